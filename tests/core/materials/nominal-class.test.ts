import { describe, expect, it } from "vitest";
import { nominalClass } from "../../../src/core/materials/nominal-class.js";
import { metric } from "../../../src/core/profiles/metric.js";

describe("the nominal size that a pipe stands for", () => {
  it.each<[string | null, number | null, number, number]>([
    ["pvc-sch40", 25, 0.02614, 25],
    ["pvc-sch40", 15, 0.01529, 15],
    // metric plastics and pipes without a size: by bores of at least 20, 25, 32, 40, 50 mm
    ["pvc-u-metric", 40, 0.034, 32],
    ["pp-metric", 32, 0.0284, 25],
    [null, null, 0.02, 20],
    [null, null, 0.0199, Number.NaN],
    [null, null, 0.1, 50],
    [null, null, Number.NaN, Number.NaN],
  ])("%s of size %s with a bore of %f m is DN %f", (material, size, bore, dn) => {
    expect(nominalClass(material, size, bore, metric.nominalEquivalents.rows)).toBe(dn);
  });
  it("stands for what a firm's own bores say", () => {
    const rows = [
      { size: 25, bore: 0.024 },
      { size: 20, bore: 0.019 },
    ];
    expect([0.0189, 0.019, 0.0239, 0.024].map((bore) => nominalClass("pp-metric", 32, bore, rows))).toEqual([
      Number.NaN,
      20,
      20,
      25,
    ]);
  });
});
