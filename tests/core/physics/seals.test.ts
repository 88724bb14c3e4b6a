import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { headOverCompressibleAir, headOverLockedAir, isAirLocked } from "../../../src/core/physics/air-lock.js";
import { GRAVITY, headOf, pressureOf } from "../../../src/core/physics/constants.js";
import { evaporationRate, timeToEvaporate } from "../../../src/core/physics/evaporation.js";
import { highestTrip, spillLevel, timeToFill } from "../../../src/core/physics/spill-level.js";
import {
  breakingHead,
  columnPeriod,
  outletLegFall,
  primingVolume,
  sealLeftAtStart,
} from "../../../src/core/physics/trap-statics.js";

const head = fc.double({ min: 0, max: 0.3, noNaN: true });
const area = fc.double({ min: 0.1, max: 10, noNaN: true });

describe("trap statics", () => {
  it("keeps the water's volume: what leaves one leg enters the other, and the levels differ by the head", () => {
    fc.assert(
      fc.property(head, area, area, (h, inlet, outlet) => {
        const fall = outletLegFall(h, inlet, outlet);
        const rise = (fall * outlet) / inlet;
        expect(rise + fall).toBeCloseTo(h, 14);
      }),
    );
  });
  it("the breaking head is the one whose fall is the whole seal", () => {
    fc.assert(
      fc.property(head, area, area, (seal, inlet, outlet) => {
        expect(outletLegFall(breakingHead(seal, inlet, outlet), inlet, outlet)).toBeCloseTo(seal, 13);
        expect(sealLeftAtStart(seal, 0, breakingHead(seal, inlet, outlet), inlet, outlet)).toBeCloseTo(0, 13);
      }),
    );
  });
  it("heads and pressures undo one another", () => {
    expect(pressureOf(headOf(250))).toBeCloseTo(250, 12);
    expect(headOf(999.702 * GRAVITY)).toBeCloseTo(1, 15);
  });
  it("a column four times as long swings twice as slowly", () => {
    expect(columnPeriod(1, GRAVITY) / columnPeriod(0.25, GRAVITY)).toBeCloseTo(2, 14);
  });
  it("a trap of one bore needs twice its leg (by construction)", () => {
    expect(primingVolume(0.05, 0.02, 0.02)).toBeCloseTo((2 * Math.PI * 0.02 ** 2 * 0.07) / 4, 18);
  });
});

describe("locked air", () => {
  it("squeezed air balances: p V₀/(V₀ − A y) − p = ρ g (S − y)", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.001, max: 1, noNaN: true }),
        fc.double({ min: 0.01, max: 200, noNaN: true }),
        (seal, length) => {
          const back = headOverCompressibleAir(seal, length, 998.2, 101_325);
          const y = seal - back;
          const gas = (101_325 * length) / (length - y) - 101_325;
          expect(Math.abs(gas - 998.2 * GRAVITY * back)).toBeLessThan(1e-6);
          expect(back).toBeLessThanOrEqual(seal);
        },
      ),
    );
  });
  it("is rigid where there is little of it and yields where there is much", () => {
    expect(headOverCompressibleAir(0.05, 1e-6, 998.2, 101_325)).toBeCloseTo(0.05, 6);
    expect(headOverCompressibleAir(0.05, 1e6, 998.2, 101_325)).toBeLessThan(1e-6);
    expect(headOverCompressibleAir(0, 1, 998.2, 101_325)).toBe(0);
  });
  it("adds up whatever the order, and no seal makes it less", () => {
    fc.assert(
      fc.property(fc.array(head, { maxLength: 5 }), head, head, (seals, more, suction) => {
        expect(headOverLockedAir(suction, [...seals].reverse())).toBeCloseTo(headOverLockedAir(suction, seals), 14);
        expect(headOverLockedAir(suction, [...seals, more])).toBeGreaterThanOrEqual(headOverLockedAir(suction, seals));
        expect(isAirLocked(10, 0, suction, seals)).toBe(false);
      }),
    );
  });
});

describe("spilling and evaporating", () => {
  it("suction lowers the level at which a pan spills, fan pressure raises it by as much", () => {
    expect(spillLevel(3, 0)).toBe(3);
    expect(spillLevel(3, -250) + spillLevel(3, 250)).toBeCloseTo(6, 14);
  });
  it("fills by what comes less what goes, and never where nothing stays", () => {
    expect(timeToFill(0.01, 3e-6, 1e-6)).toBeCloseTo(5000, 9);
    expect(timeToFill(0.01, 1e-6, 1e-6)).toBe(Number.POSITIVE_INFINITY);
    expect(highestTrip(0.05, 0, 0.5)).toBe(0.05);
  });
  it("saturated air dries nothing; twice the still path, half the rate; the time integrates the rate", () => {
    expect(evaporationRate(25, 1, 0.05, 101_325)).toBe(0);
    expect(evaporationRate(25, 0.5, 0.1, 101_325) * 2).toBeCloseTo(evaporationRate(25, 0.5, 0.05, 101_325), 16);
    let time = 0;
    const steps = 10_000;
    for (let i = 0; i < steps; i += 1)
      time += 0.05 / steps / evaporationRate(25, 0.5, 0.05 + ((i + 0.5) / steps) * 0.05, 101_325);
    expect(timeToEvaporate(25, 0.5, 0.05, 0.05, 101_325) / time).toBeCloseTo(1, 6);
  });
  it("a textbook tube: 1 in tube, 10 in path, 80 °F, 13.8 psia, dry air, 10 days lose 0.0025 lb (+7.5 %: within 10 %)", () => {
    const rate = evaporationRate(26.6667, 0, 0.254, 13.8 * 6894.757);
    const pounds = (rate * 997 * (Math.PI / 4) * 0.0254 ** 2 * 864_000) / 0.45359237;
    expect(Math.abs(pounds / 0.0025 - 1)).toBeLessThan(0.1);
  });
});
