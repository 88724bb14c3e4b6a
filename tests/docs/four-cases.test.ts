import { describe, expect, it } from "vitest";
import type { Audit } from "../../src/core/index.js";
import { withRemedy } from "../builders/with-remedy.js";
import { auditOf, fourCases } from "./four-cases.js";

// docs/four-cases.md shows what the audit answers; here is what it must answer, worked out without it.

const cases = fourCases();
const caseOf = (file: string) => cases.find((one) => one.file === file)!;
const said = ({ findings }: Audit): string[] =>
  findings.map(({ id, outcome, severity, consequences }) =>
    [outcome, severity, id, ...consequences.map(({ rule }) => rule).sort()].join(" "),
  );
const figure = ({ findings }: Audit, id: string, name: string): number =>
  findings.find((finding) => finding.id === id)?.evidence.find((evidence) => evidence.name === name)?.best ??
  Number.NaN;

/** N/m³, water at 10 °C and standard gravity */
const WEIGHT = 999.702 * 9.80665;

describe("the four cases of the example", () => {
  it("a shallow trap: neither seal nor drop stand 250 Pa; 50.9 mm of drop and 25.4 mm of seal would (hydrostatics, trap manuals)", () => {
    const { answer } = caseOf("shallow-trap.json");
    expect(said(answer)).toEqual(["fail critical seal.depth~n:TRAP", "fail critical seal.drop~n:TRAP"]);
    const head = 250 / WEIGHT;
    for (const { remedy } of answer.findings) {
      expect(remedy.map(({ action, what }) => `${action} ${what}`)).toEqual([
        "rebuild-trap seal depth",
        "rebuild-trap drop",
      ]);
      expect(remedy[0].amount).toBeCloseTo((head + 0.0254) / 2, 9);
      expect(remedy[1].amount).toBeCloseTo(head + 0.0254, 9);
    }
  });

  it("a double trap: one cause, the second seal; 30 mm of it against 27 mm to the rim (hydrostatics)", () => {
    const { answer } = caseOf("double-trap.json");
    expect(said(answer)).toEqual([
      "fail critical seal.double~n:TRAP-2 air.lock-head air.trapped",
      "fail minor seal.step~n:TRAP-1",
    ]);
    const [{ lockedAir }] = answer.facts!.fanCoils as { lockedAir: Record<string, unknown> }[];
    expect(lockedAir).toMatchObject({ outcome: "overflows" });
    expect(lockedAir.needed).toBeCloseTo(0.03, 9);
    expect(lockedAir.toSpill).toBeCloseTo(0.027, 9);
  });

  it("a sagging line: between the two bounds of beam theory, and 3.9 ft would settle it (beam tables, worked below)", () => {
    const { answer } = caseOf("sagging-line.json");
    expect(said(answer)).toEqual([
      "undetermined minor support.sag~p:LINE",
      "fail advice fall.below-recommended~p:LINE",
    ]);
    // 3/4 in Schedule 40: outside 26.67 mm, wall 2.8702 mm; PVC 2.76 GPa at 23 °C and 1400 kg/m³ (from memory), 4 ft apart
    const [outside, inside] = [0.02667, 0.02667 - 2 * 0.0028702];
    const wall = (Math.PI / 4) * (outside ** 2 - inside ** 2);
    const load = 9.80665 * (wall * 1400 + (Math.PI / 4) * inside ** 2 * 999.702);
    const stiffness = 2.76e9 * (Math.PI / 64) * (outside ** 4 - inside ** 4);
    const simple = (load * 1.2192 ** 3) / (24 * stiffness);
    expect(simple).toBeCloseTo(0.0112, 4);
    const id = "support.sag~p:LINE";
    expect(Math.abs(figure(answer, id, "leastGradeSimple") / simple - 1)).toBeLessThan(0.005);
    expect(Math.abs(figure(answer, id, "leastGradeContinuous") / ((simple * 24) / 124.7) - 1)).toBeLessThan(0.005);
    const apart = ((24 * stiffness) / 96 / load) ** (1 / 3);
    const [step] = answer.findings.find((finding) => finding.id === id)!.remedy;
    expect(Math.abs(step.amount! / apart - 1)).toBeLessThan(0.005);
    expect(answer.findings.find((finding) => finding.id === id)?.family).toBe("method");
  });

  it("a bare pipe: it drips, at 27 °C and 70 % with a dew point of 21.06 °C (ASHRAE's saturation pressure, inverted)", () => {
    const { answer } = caseOf("bare-pipe.json");
    expect(said(answer)).toEqual(["fail minor sweat.uninsulated~p:P-2"]);
    const id = "sweat.uninsulated~p:P-2";
    expect(Math.abs(figure(answer, id, "dewPoint") - 21.061705)).toBeLessThan(0.05);
    // Heat through wall (0.147 W/(m·K), data sheets of pipe) and film (9 W/(m²·K)), per metre: the surface lies between the water and the air as the resistances do.
    const [outside, inside] = [0.02667, 0.02667 - 2 * 0.0028702];
    const wall = Math.log(outside / inside) / (2 * Math.PI * 0.147);
    const film = 1 / (9 * Math.PI * outside);
    const surface = 13 + ((27 - 13) * wall) / (wall + film);
    expect(Math.abs(figure(answer, id, "surfaceTemperature") - surface)).toBeLessThan(0.1);
    expect(surface).toBeLessThan(21.06);
    // Under insulation (0.036 W/(m·K)) the wall is left out: what little it helps is not counted on.
    const [step] = answer.findings[0].remedy;
    const insulated = (thickness: number): number => {
      const over = outside + 2 * thickness;
      const blanket = Math.log(over / outside) / (2 * Math.PI * 0.036);
      const outer = 1 / (9 * Math.PI * over);
      return 13 + ((27 - 13) * blanket) / (blanket + outer);
    };
    expect(insulated(step.amount!)).toBeCloseTo(21.061705 + 0.5, 2);
  });

  const findings = cases.flatMap(({ file, document, answer }) =>
    answer.findings.map((finding) => ({ file, document, answer, finding, id: finding.id })),
  );
  it.each(findings)("$file: what $id proposes clears it, and does no other harm", ({ document, answer, finding }) => {
    const better = withRemedy(document, finding.remedy);
    expect(better).not.toBeNull();
    const after = auditOf(better).findings.map(({ id }) => id);
    for (const cleared of [finding.id, ...finding.remedy.flatMap(({ clears }) => clears)])
      expect(after).not.toContain(cleared);
    expect(after.filter((id) => !answer.findings.some((before) => before.id === id))).toEqual([]);
  });

  it.each(cases)("$file: everything done, nothing fails and nothing is open", ({ after }) => {
    expect(said(after)).toEqual([]);
    expect(after.verdict).toBe("no-fault-found");
  });
});
