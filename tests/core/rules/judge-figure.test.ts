import { describe, expect, it } from "vitest";
import { exact, within } from "../../../src/core/quantity/interval.js";
import { evidenceOf, judgeFigure, type Sense } from "../../../src/core/rules/judge-figure.js";

// The convention: pass and fail hold at both ends of the tolerance; equality within 1 µm or 1e-9 relative passes.
describe("judgeFigure", () => {
  it.each<[string, number, number, Sense, string]>([
    ["above", 0.011, 0, "at-least", "pass"],
    ["equal", 0.01, 0, "at-least", "pass"],
    ["a micrometer short", 0.01 - 1e-6, 0, "at-least", "pass"],
    ["two micrometers short", 0.01 - 2e-6, 0, "at-least", "fail"],
    ["below", 0.009, 0, "at-least", "fail"],
    ["low end short", 0.011, 0.002, "at-least", "undetermined"],
    ["high end enough", 0.009, 0.002, "at-least", "undetermined"],
    ["low end just enough", 0.012, 0.002, "at-least", "pass"],
    ["both ends short", 0.007, 0.002, "at-least", "fail"],
    ["below a ceiling", 0.009, 0, "at-most", "pass"],
    ["at a ceiling", 0.01, 0, "at-most", "pass"],
    ["over a ceiling", 0.0101, 0, "at-most", "fail"],
    ["high end over a ceiling", 0.009, 0.002, "at-most", "undetermined"],
  ])("%s", (_, best, half, sense, outcome) => {
    expect(judgeFigure(within(best, half), 0.01, sense).outcome).toBe(outcome);
  });

  it("compares large figures relatively: one part in a thousand million", () => {
    expect(judgeFigure(exact(1e6 - 5e-4), 1e6, "at-least").outcome).toBe("pass");
    expect(judgeFigure(exact(1e6 - 2e-3), 1e6, "at-least").outcome).toBe("fail");
  });

  it("calls an unknown figure missing, never passed", () => {
    expect(judgeFigure(exact(Number.NaN), 0.01, "at-least")).toMatchObject({
      outcome: "undetermined",
      family: "missing",
    });
    expect(judgeFigure({ low: Number.NaN, best: 1, high: 1 }, 0.01, "at-least").family).toBe("missing");
    expect(judgeFigure(exact(1), Number.NaN, "at-most").family).toBe("missing");
  });

  it("gives a margin that is positive on the right side, and how closely to measure", () => {
    expect(judgeFigure(exact(0.012), 0.01, "at-least").margin).toBeCloseTo(0.002, 12);
    expect(judgeFigure(exact(0.012), 0.01, "at-most").margin).toBeCloseTo(-0.002, 12);
    const doubtful = judgeFigure(within(0.012, 0.004), 0.01, "at-least");
    expect(doubtful).toMatchObject({ outcome: "undetermined", family: "tolerance" });
    // Measured again just as closely as asked, with the same best value, it is decided.
    expect(judgeFigure(within(0.012, doubtful.within), 0.01, "at-least").outcome).toBe("pass");
  });

  it("never prints a negative zero", () => {
    expect(Object.is(judgeFigure(exact(0), 0, "at-most").margin, 0)).toBe(true);
  });

  it("becomes evidence with its limit", () => {
    const judged = judgeFigure(within(0.012, 0.004), 0.01, "at-least");
    expect(evidenceOf("grade", "grade", judged, { name: "fall.minimumGrade", source: "imc-307.2.1" }, ["/p"])).toEqual({
      name: "grade",
      low: 0.008,
      best: 0.012,
      high: 0.016,
      kind: "grade",
      limit: { name: "fall.minimumGrade", value: 0.01, source: "imc-307.2.1" },
      margin: expect.closeTo(0.002, 12),
      from: ["/p"],
    });
  });
});
