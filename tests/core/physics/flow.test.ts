import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  boreArea,
  depthOfAngle,
  flowArea,
  hydraulicRadius,
  topWidth,
  wettedAngle,
} from "../../../src/core/physics/circle.js";
import { GRAVITY } from "../../../src/core/physics/constants.js";
import {
  criticalDepth,
  DEPTH_RATIO_OF_GREATEST_FLOW,
  frictionFlow,
  frictionGreatestFlow,
  frictionNormalDepth,
  froudeNumber,
  fullFlow,
  GREATEST_FLOW_RATIO,
  laminarVelocity,
  manningFlow,
  normalDepth,
  OVER_CAPACITY_RATIO,
  reynoldsNumber,
  trickleDepth,
  trickleFlow,
} from "../../../src/core/physics/part-full-flow.js";
import {
  filmThickness,
  riserFlow,
  riserFraction,
  terminalLength,
  terminalVelocity,
} from "../../../src/core/physics/riser-flow.js";

const bore = fc.double({ min: 0.01, max: 0.5, noNaN: true });
const grade = fc.double({ min: 1e-4, max: 1, noNaN: true });
const fill = fc.double({ min: 1e-6, max: 0.93, noNaN: true });

describe("part-full circle", () => {
  it("is exact at empty, half and full (by construction)", () => {
    expect(flowArea(2, 0)).toBe(0);
    expect(flowArea(2, 1)).toBeCloseTo(Math.PI / 2, 15);
    expect(flowArea(2, 2)).toBeCloseTo(Math.PI, 15);
    expect(hydraulicRadius(2, 1)).toBeCloseTo(0.5, 15);
    expect(topWidth(2, 1)).toBe(2);
    expect([flowArea(2, -1), flowArea(2, 3)]).toEqual([0, boreArea(2)]);
  });
  it("wet and dry parts make the whole; the width is the slope of the area", () => {
    fc.assert(
      fc.property(bore, fill, (d, f) => {
        const y = f * d;
        expect(flowArea(d, y) + flowArea(d, d - y)).toBeCloseTo(boreArea(d), 14);
        const h = 1e-5 * y;
        const slope = (flowArea(d, y + h) - flowArea(d, y - h)) / (2 * h);
        expect(Math.abs(slope / topWidth(d, y) - 1)).toBeLessThan(1e-4);
        expect(Math.abs(depthOfAngle(d, wettedAngle(d, y)) / y - 1)).toBeLessThan(1e-12);
      }),
    );
  });
  it("keeps its digits in a film: A → (4/3) y √(D y) and R → (2/3) y", () => {
    const d = 0.026;
    for (const y of [1e-6, 1e-9]) {
      expect(Math.abs(flowArea(d, y) / ((4 / 3) * y * Math.sqrt(d * y)) - 1)).toBeLessThan(y / d);
      expect(Math.abs(hydraulicRadius(d, y) / ((2 / 3) * y) - 1)).toBeLessThan(y / d);
    }
  });
});

describe("Manning's equation", () => {
  it("goes from depth to flow and back to the depth within 1e-12 of the bore", () => {
    fc.assert(
      fc.property(bore, grade, fill, fc.double({ min: 0.008, max: 0.02, noNaN: true }), (d, s, f, n) => {
        expect(Math.abs(normalDepth(d, s, n, manningFlow(d, f * d, s, n)) - f * d)).toBeLessThan(1e-12 * d);
      }),
      { numRuns: 2000 },
    );
  });
  it("takes the lower of two depths up to the greatest flow, and none beyond", () => {
    const full = fullFlow(0.05, 0.01, 0.012);
    expect(normalDepth(0.05, 0.01, 0.012, full) / 0.05).toBeCloseTo(0.8196, 3);
    expect(normalDepth(0.05, 0.01, 0.012, full)).toBeLessThan(0.05);
    expect(normalDepth(0.05, 0.01, 0.012, full * OVER_CAPACITY_RATIO) / 0.05).toBeLessThanOrEqual(
      DEPTH_RATIO_OF_GREATEST_FLOW,
    );
    expect(normalDepth(0.05, 0.01, 0.012, full * GREATEST_FLOW_RATIO * 1.000001)).toBeNaN();
    expect(normalDepth(0.05, 0.01, 0.012, 0)).toBe(0);
    expect(normalDepth(0.05, 0.01, 0.012, -1)).toBeNaN();
    expect(normalDepth(0.05, 0, 0.012, 1e-6)).toBeNaN();
  });
  it("has its greatest flow where the constant says (search by golden section)", () => {
    const ratio = (y: number): number => manningFlow(1, y, 0.01, 0.012) / fullFlow(1, 0.01, 0.012);
    let [low, high] = [0.8, 1];
    for (let i = 0; i < 100; i += 1) {
      const [a, b] = [low + 0.382 * (high - low), low + 0.618 * (high - low)];
      if (ratio(a) < ratio(b)) low = a;
      else high = b;
    }
    expect(low).toBeCloseTo(DEPTH_RATIO_OF_GREATEST_FLOW, 6);
    expect(ratio(low)).toBeCloseTo(GREATEST_FLOW_RATIO, 12);
  });
  it("obeys its power laws: D^(8/3), S^(1/2), 1/n", () => {
    fc.assert(
      fc.property(bore, grade, fill, (d, s, f) => {
        const flow = manningFlow(d, f * d, s, 0.012);
        expect(manningFlow(2 * d, 2 * f * d, s, 0.012) / flow / 2 ** (8 / 3)).toBeCloseTo(1, 12);
        expect(manningFlow(d, f * d, 4 * s, 0.012) / flow / 2).toBeCloseTo(1, 12);
        expect(manningFlow(d, f * d, s, 0.024) / flow / 0.5).toBeCloseTo(1, 12);
      }),
    );
  });
});

describe("critical flow", () => {
  it("has a Froude number of 1 at the critical depth and satisfies Q²T = gA³", () => {
    fc.assert(
      fc.property(bore, fc.double({ min: 1e-4, max: 0.98, noNaN: true }), (d, f) => {
        const y = f * d;
        const flow = Math.sqrt((GRAVITY * flowArea(d, y) ** 3) / topWidth(d, y));
        expect(Math.abs(criticalDepth(d, flow) / y - 1)).toBeLessThan(1e-9);
        expect(froudeNumber(d, y, flow)).toBeCloseTo(1, 9);
      }),
    );
  });
  it("never reaches the crown, however great the flow", () => {
    expect(criticalDepth(0.05, 10)).toBeLessThanOrEqual(0.05);
    expect(criticalDepth(0.05, 0)).toBe(0);
    expect(froudeNumber(0.05, 0.05, 1)).toBeNaN();
  });
});

describe("friction by Darcy", () => {
  it("goes from depth to flow and back, laminar and turbulent", () => {
    fc.assert(
      fc.property(
        bore,
        fc.double({ min: 0.003, max: 0.05, noNaN: true }),
        fc.double({ min: 0.01, max: 0.86, noNaN: true }),
        (d, s, f) => {
          const reynolds = reynoldsNumber(d, f * d, laminarVelocity(d, f * d, s, 1.14e-6), 1.14e-6);
          // at the very depth where it turns, rounding decides which flow it is
          fc.pre(Math.abs(reynolds / 2300 - 1) > 1e-9);
          const flow = frictionFlow(d, f * d, s, 1e-4, 1.14e-6);
          const depth = frictionNormalDepth(d, s, 1e-4, 1.14e-6, flow);
          // where the flow turns turbulent two depths carry it: the answer is the lesser
          expect(depth).toBeLessThanOrEqual(f * d * (1 + 1e-9));
          expect(Math.abs(frictionFlow(d, depth, s, 1e-4, 1.14e-6) / flow - 1)).toBeLessThan(1e-9);
        },
      ),
      // turbulent only where the section is widest, and laminar again above
      { examples: [[0.01, 0.00545, 0.8599]] },
    );
  });
  it("is laminar as the grade: twice the grade, twice the flow", () => {
    expect(laminarVelocity(0.02, 0.002, 0.02, 1.14e-6) / laminarVelocity(0.02, 0.002, 0.01, 1.14e-6)).toBeCloseTo(
      2,
      12,
    );
  });
  it("a trickle's closed form and its inverse agree, and lie within 7 % in depth of f = 64/Re below y/D 0.15", () => {
    for (const f of [0.02, 0.05, 0.1, 0.14]) {
      const d = 0.0204;
      const flow = trickleFlow(d, f * d, 0.01, 1.14e-6);
      expect(trickleDepth(d, flow, 0.01, 1.14e-6)).toBeCloseTo(f * d, 12);
      const exact = frictionNormalDepth(d, 0.01, 0, 1.14e-6, flow);
      if (flow < 5e-6) expect(Math.abs(trickleDepth(d, flow, 0.01, 1.14e-6) / exact - 1)).toBeLessThan(0.07);
    }
  });
  it("its greatest flow is that of the best of many depths, and no more is carried", () => {
    for (const [d, s, k] of [
      [0.02, 0.01, 0],
      [0.1, 0.01, 1e-3],
      [0.008, 0.001, 0],
      [0.05, 0.05, 1.5e-6],
    ] as const) {
      const tried = Array.from({ length: 2000 }, (_, i) => frictionFlow(d, ((i + 1) / 2000) * d, s, k, 1.14e-6));
      const most = frictionGreatestFlow(d, s, k, 1.14e-6);
      expect(Math.abs(Math.max(...tried) / most - 1)).toBeLessThan(1e-4);
      expect(frictionNormalDepth(d, s, k, 1.14e-6, most * (1 - 1e-9)) / d).toBeGreaterThan(0.8);
      expect(frictionNormalDepth(d, s, k, 1.14e-6, most * (1 + 1e-6))).toBeNaN();
    }
  });
  it("refuses what the pipe cannot carry", () => {
    expect(frictionNormalDepth(0.02, 0.01, 0, 1.14e-6, 1)).toBeNaN();
    expect(frictionNormalDepth(0.02, 0.01, 0, 1.14e-6, 0)).toBe(0);
  });
});

describe("flow down a riser", () => {
  it("goes from share to flow and back; the film's ring is that share of the bore", () => {
    fc.assert(
      fc.property(bore, fc.double({ min: 0.001, max: 1, noNaN: true }), (d, r) => {
        expect(riserFraction(d, riserFlow(d, r))).toBeCloseTo(r, 12);
        const t = filmThickness(d, r);
        expect((boreArea(d) - boreArea(d - 2 * t)) / boreArea(d)).toBeCloseTo(r, 12);
      }),
    );
  });
  it("is consistent with itself: the ring times the terminal velocity is the flow within 1 % (27.74 against 27.8)", () => {
    for (const r of [1 / 4, 7 / 24, 1 / 3]) {
      const flow = riserFlow(0.1, r);
      expect(Math.abs((r * boreArea(0.1) * terminalVelocity(0.1, flow)) / flow - 1)).toBeLessThan(0.01);
    }
  });
  it("a film of the whole bore is its radius; length grows with the square of velocity", () => {
    expect(filmThickness(0.1, 1)).toBe(0.05);
    expect(filmThickness(0.1, 2)).toBe(0.05);
    expect(filmThickness(0.1, 0)).toBe(0);
    expect(terminalLength(4) / terminalLength(2)).toBe(4);
  });
});
