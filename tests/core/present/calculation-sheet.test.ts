import { describe, expect, it } from "vitest";
import { calculate } from "../../../src/core/calculations/calculate.js";
import { calculations } from "../../../src/core/calculations/calculations.js";
import { renderCalculation } from "../../../src/core/present/calculation-sheet.js";
import { CASES } from "../calculations/cases.js";

const sheetOf = (name: string, inputs: object, width = 80, color = false): string => {
  const made = calculate(name, inputs);
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return renderCalculation(made.calculation, { width, color });
};

describe("a calculation sheet", () => {
  // by hand: 249.089 Pa is 1 inH2O; 250 Pa ÷ (999.702 × 9.80665) = 25.50 mm; + 25.4 mm = 50.90 mm, half of it 25.45 mm
  it("shows inputs, working line by line and results in SI and in US units", () => {
    const sheet = sheetOf("trap", { panStatic: "-250 Pa", fanPosition: "draw-through", sealDepth: "30 mm" });
    for (const line of [
      "  panStatic p     -250 Pa (-1.004 inH2O)",
      "  fanPosition     draw-through",
      "  sealDepth S     30 mm (1.181 in)",
      "  margin m        25.4 mm (1 in), assumed",
      "  margin        margin of practice, draw-through [trap-manuals]",
      "  Δp   = |p| = 250 Pa (1.004 inH2O)   Size of the pan's pressure.",
      "  H    = Δp ÷ (ρ g) = 25.5 mm (1.004 in)   Head of water of the pan's pressure.",
      "  S_n  = d_n ÷ 2 = 25.45 mm (1.002 in)   Seal needed.",
      "  dropNeeded d_n    50.9 mm (2.004 in)",
      "  panStanding h_p   none, where no drop is given for a pan under suction",
      "Validity: holds",
    ])
      expect(sheet.split("\n")).toContain(line);
  });

  it("shows lists by their items, air states by their parts, and what a table gives without a formula", () => {
    const lock = sheetOf("air-lock", CASES["air-lock"][0]);
    expect(lock).toContain("  sealDepths S_1    50 mm (1.969 in)\n  sealDepths S_2    30 mm (1.181 in)\n");
    expect(sheetOf("air-lock", CASES["air-lock"][4])).toContain("  sealDepths      none\n");
    const air = sheetOf("condensate-load", CASES["condensate-load"][3]);
    expect(air).toMatch(
      / {2}enteringAir\.dryBulb t_1 +27 °C \(80\.6 °F\)\n {2}enteringAir\.relativeHumidity φ_1 +0\.5\n/,
    );
    expect(air).toMatch(/ T_1 +=.*300\.1 K \(540\.3 °R\)/);
    const size = sheetOf("pipe-size", CASES["pipe-size"][0]);
    expect(size).toMatch(/ f +[=] 0\.75 {3}Greatest depth/);
    expect(size).toMatch(/ requiredSize +1 in\n/);
    const dry = sheetOf("pipe-capacity", CASES["pipe-capacity"][7]);
    expect(dry).toMatch(/ y_c +=.*, such that Q² T = g A³/);
    expect(dry).toMatch(/ overCapacity +no\n/);
  });

  it("says loudly where the formula does not hold, and by how much", () => {
    const sheet = sheetOf("trap", { panStatic: "-3 Pa", fanPosition: "draw-through" });
    expect(sheet).toContain("\nValidity: DOES NOT HOLD\n  NOT MET   The pan is not at atmosphere");
    expect(sheet).toContain("Here: 3 Pa (0.01204 inH2O).");
  });

  it.each(calculations().flatMap(({ id }) => CASES[id].map((inputs) => [id, inputs] as const)))(
    "of %s %j keeps to its width, has no trailing space and says every figure",
    (id, inputs) => {
      for (const width of [40, 80, 120]) {
        const sheet = sheetOf(id, inputs, width);
        expect(sheet).not.toMatch(/NaN|undefined|null|Infinity|\[object| \n|\n\n\n/);
        expect(sheet.endsWith("\n")).toBe(true);
        for (const line of sheet.split("\n")) expect(line.length, line).toBeLessThanOrEqual(width);
      }
    },
  );

  it("is the same without color", () => {
    const plain = sheetOf("trap", CASES.trap[0]);
    const colored = sheetOf("trap", CASES.trap[0], 80, true);
    expect(colored).not.toBe(plain);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: that is what color is made of
    expect(colored.replace(/\u001b\[[\d;]*m/g, "")).toBe(plain);
  });
});
