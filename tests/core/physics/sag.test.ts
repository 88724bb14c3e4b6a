import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  deflection,
  leastGradeBetweenSupports,
  longestSpan,
  type Span,
  weightPerLength,
} from "../../../src/core/physics/sag.js";

const pipe: Span = {
  outsideDiameter: 0.0334,
  wall: 0.0034,
  pipeDensity: 1400,
  waterDensity: 998.2,
  fill: 1,
  modulus: 2.76e9,
};
const kind = fc.constantFrom("simple" as const, "continuous" as const);
const span = fc.double({ min: 0.3, max: 5, noNaN: true });

describe("a pipe between supports", () => {
  it("grade and longest span undo one another", () => {
    fc.assert(
      fc.property(span, kind, (length, how) => {
        expect(longestSpan(pipe, leastGradeBetweenSupports(pipe, length, how), how)).toBeCloseTo(length, 10);
      }),
    );
  });
  it("deflects with the fourth and turns with the third power of the span", () => {
    for (const how of ["simple", "continuous"] as const) {
      expect(deflection(pipe, 2, how) / deflection(pipe, 1, how)).toBeCloseTo(16, 10);
      expect(leastGradeBetweenSupports(pipe, 2, how) / leastGradeBetweenSupports(pipe, 1, how)).toBeCloseTo(8, 10);
    }
  });
  it("as a simple span deflects five times, and turns 5.2 times, what a continuous line does (beam tables)", () => {
    expect(deflection(pipe, 1, "simple") / deflection(pipe, 1, "continuous")).toBeCloseTo(5, 12);
    expect(leastGradeBetweenSupports(pipe, 1, "simple") / leastGradeBetweenSupports(pipe, 1, "continuous")).toBeCloseTo(
      124.708 / 24,
      3,
    );
  });
  it("a continuous span is steepest at 0.2113 of its length (the fixed beam's line, derived by hand)", () => {
    // y = w x² (L − x)²/24EI: its slope w x (L − x)(L − 2x)/12EI
    const slope = (x: number): number => (x * (1 - x) * (1 - 2 * x)) / 12;
    let steepest = 0;
    for (let x = 0; x <= 0.5; x += 1e-4) steepest = Math.max(steepest, slope(x));
    const unit: Span = { ...pipe };
    const scale = weightPerLength(unit) / (unit.modulus * (Math.PI / 64) * (0.0334 ** 4 - (0.0334 - 2 * 0.0034) ** 4));
    expect(leastGradeBetweenSupports(unit, 1, "continuous") / scale).toBeCloseTo(steepest, 6);
  });
  it("weighs its wall, its water and its insulation (by construction)", () => {
    const empty = weightPerLength({ ...pipe, fill: 0 });
    const half = weightPerLength({ ...pipe, fill: 0.5 });
    expect(weightPerLength(pipe) - half).toBeCloseTo(half - empty, 12);
    expect(weightPerLength({ ...pipe, insulation: 1 }) - weightPerLength(pipe)).toBeCloseTo(9.80665, 12);
  });
});
