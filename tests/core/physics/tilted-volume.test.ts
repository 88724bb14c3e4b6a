import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { boreArea, flowArea } from "../../../src/core/physics/circle.js";
import { sagAirGap, sagSeal, segmentIntegral, volumeBelowLevel } from "../../../src/core/physics/tilted-volume.js";

/** The volume by slices across the axis (midpoint rule): independent of the closed form. */
const bySlices = (d: number, length: number, rise: number, level: number, slices = 20_000): number => {
  const sine = rise / length;
  const cosine = Math.sqrt(1 - sine * sine);
  let sum = 0;
  for (let i = 0; i < slices; i += 1) {
    const s = ((i + 0.5) / slices) * length;
    sum += flowArea(d, (level - s * sine) / cosine);
  }
  return (sum * length) / slices;
};

const pipe = (insideDiameter: number, length: number, rise: number, levelAboveLowInvert: number): number =>
  volumeBelowLevel({ insideDiameter, length, rise, levelAboveLowInvert });

const bore = fc.double({ min: 0.01, max: 0.3, noNaN: true });
const length = fc.double({ min: 0.05, max: 30, noNaN: true });
const UNIT = { min: 0, max: 1, noNaN: true } as const;

describe("water in a tilted pipe below a level plane", () => {
  it("is [F(h₀) − F(h₀ − L tan θ)]/tan θ, F by its closed form with acos and its limits", () => {
    // r³ (w − u acos u − w³/3), u = 1 − h/r, w = √(1 − u²); beyond the bore πr³ + πr² (h − D)
    const closed = (d: number, h: number): number => {
      const r = d / 2;
      if (h <= 0) return 0;
      if (h >= d) return Math.PI * r ** 3 + Math.PI * r * r * (h - d);
      const u = 1 - h / r;
      const w = Math.sqrt(1 - u * u);
      return r ** 3 * (w - u * Math.acos(u) - w ** 3 / 3);
    };
    fc.assert(
      fc.property(
        bore,
        length,
        fc.double({ min: 0.01, max: 2, noNaN: true }),
        fc.double(UNIT),
        (d, l, tangent, share) => {
          const cosine = 1 / Math.hypot(1, tangent);
          const rise = l * tangent * cosine;
          const level = share * (rise + d);
          const [near, far] = [level / cosine, level / cosine - l * tangent];
          for (const h of [near, far]) expect(Math.abs(segmentIntegral(d, h) - closed(d, h))).toBeLessThan(1e-12 * d);
          const volume = (segmentIntegral(d, near) - segmentIntegral(d, far)) / tangent;
          expect(Math.abs(volume - pipe(d, l, rise, level))).toBeLessThan(1e-9 * boreArea(d) * (l + d));
        },
      ),
    );
    expect(segmentIntegral(0.1, -1)).toBe(0);
    expect(segmentIntegral(0.1, 0.1)).toBeCloseTo(Math.PI * 0.05 ** 3, 15);
  });
  it("equals the sum of slices at any tilt and level", () => {
    fc.assert(
      fc.property(
        bore,
        length,
        fc.double({ min: 0, max: 0.999, noNaN: true }),
        fc.double({ min: 0, max: 1.2, noNaN: true }),
        (d, l, sine, share) => {
          const level = share * (l * sine + d);
          const slices = bySlices(d, l, l * sine, level);
          expect(Math.abs(pipe(d, l, l * sine, level) - slices)).toBeLessThan(2e-6 * boreArea(d) * l);
        },
      ),
      { numRuns: 200 },
    );
  });
  it("is exact for a level, a vertical and a drowned pipe, and for none at all (by construction)", () => {
    expect(pipe(0.1, 3, 0, 0.05)).toBeCloseTo((boreArea(0.1) / 2) * 3, 15);
    expect(pipe(0.1, 3, 0, 0.1)).toBeCloseTo(boreArea(0.1) * 3, 15);
    expect(pipe(0.1, 3, 3, 1.2)).toBeCloseTo(boreArea(0.1) * 1.2, 15);
    expect(pipe(0.1, 3, 3, 9)).toBeCloseTo(boreArea(0.1) * 3, 15);
    expect(pipe(0.1, 3, 0.03, 9)).toBeCloseTo(boreArea(0.1) * 3, 15);
    expect(pipe(0.1, 3, 0.03, 0)).toBe(0);
    expect(pipe(0.1, 3, 0.03, -1)).toBe(0);
    expect(pipe(0.1, 0, 0, 0.05)).toBe(0);
    expect(pipe(Number.NaN, 3, 0.03, 0.05)).toBeNaN();
  });
  it("has the cylinder hoof of a plane through the axis: (2/3) r² H", () => {
    // a long pipe at 45° whose water stands at the height of its low end's axis: the hoof of height r
    const d = 0.1;
    const tilt = Math.SQRT1_2;
    expect(pipe(d, 5, 5 * tilt, (d / 2) * tilt)).toBeCloseTo((2 / 3) * (d / 2) ** 3, 15);
  });
  it("fills by the width of its surface: grows with the level, never shrinks", () => {
    fc.assert(
      fc.property(
        bore,
        length,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (d, l, sine, a, b) => {
          const top = l * sine + d;
          const [low, high] = a < b ? [a, b] : [b, a];
          expect(pipe(d, l, l * sine, high * top)).toBeGreaterThanOrEqual(
            pipe(d, l, l * sine, low * top) * (1 - 1e-12),
          );
        },
      ),
    );
  });
  it("water and the air above it make the whole pipe: turned over, the air is the water", () => {
    fc.assert(
      fc.property(
        bore,
        length,
        fc.double({ min: 0, max: 0.9999, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (d, l, sine, share) => {
          const top = l * sine + d * Math.sqrt(1 - sine * sine);
          const whole = boreArea(d) * l;
          expect(pipe(d, l, l * sine, share * top) + pipe(d, l, l * sine, (1 - share) * top)).toBeCloseTo(whole, 13);
        },
      ),
    );
  });
  it("goes over into the level pipe without a jump or a lost digit as the tilt vanishes", () => {
    const level = pipe(0.0261, 6, 0, 0.011);
    for (const rise of [1e-5, 1e-8, 1e-11, 1e-14, 1e-300]) {
      const tilted = pipe(0.0261, 6, rise, 0.011 + rise / 2);
      expect(Math.abs(tilted / level - 1)).toBeLessThan(1e-9 + 1e3 * rise * rise);
    }
  });
});

describe("a sag", () => {
  it("seals by what it is deeper than the bore, and leaves open what it is shallower", () => {
    fc.assert(
      fc.property(bore, bore, (sag, d) => {
        expect(sagSeal(sag, d) * sagAirGap(sag, d)).toBe(0);
        expect(sagSeal(sag, d) - sagAirGap(sag, d)).toBeCloseTo(sag - d, 15);
      }),
    );
  });
});
