import fc from "fast-check";
import psychrolib from "psychrolib";
import { describe, expect, it } from "vitest";
import { condensateOfAir, condensateOfCapacity, greatestCondensate } from "../../../src/core/physics/condensate.js";
import {
  dewPoint,
  enthalpy,
  humidityRatioOf,
  humidityRatioOfWetBulb,
  moistAir,
  relativeHumidity,
  saturationPressure,
  standardPressureAt,
  wetBulb,
} from "../../../src/core/physics/moist-air.js";
import { surfaceTemperature, thicknessAgainstCondensation } from "../../../src/core/physics/surface-condensation.js";

const dry = fc.double({ min: 1, max: 50, noNaN: true });
const rh = fc.double({ min: 0.02, max: 1, noNaN: true });
const pressure = fc.double({ min: 60_000, max: 110_000, noNaN: true });

describe("moist air", () => {
  it("every form of one state gives the same humidity ratio", () => {
    fc.assert(
      fc.property(dry, rh, pressure, (t, humidity, p) => {
        const air = moistAir({ dryBulb: t, relativeHumidity: humidity }, p);
        // the wet bulb of air that is all but dry lies below freezing, where the equation jumps
        if (air.wetBulb > 0.1)
          expect(humidityRatioOf({ dryBulb: t, wetBulb: air.wetBulb }, p) / air.humidityRatio).toBeCloseTo(1, 6);
        expect(humidityRatioOf({ dryBulb: t, dewPoint: air.dewPoint }, p) / air.humidityRatio).toBeCloseTo(1, 8);
        expect(humidityRatioOf({ dryBulb: t, humidityRatio: air.humidityRatio }, p)).toBe(air.humidityRatio);
        expect(relativeHumidity(t, air.humidityRatio, p)).toBeCloseTo(humidity, 10);
        expect(air.dewPoint).toBeLessThanOrEqual(air.wetBulb + 1e-6);
        expect(air.wetBulb).toBeLessThanOrEqual(t + 1e-6);
      }),
    );
  });
  it("agrees with psychrolib at states of its own choosing", () => {
    psychrolib.SetUnitSystem(psychrolib.SI);
    fc.assert(
      fc.property(dry, rh, pressure, (t, humidity, p) => {
        const air = moistAir({ dryBulb: t, relativeHumidity: humidity }, p);
        const ratio = psychrolib.GetHumRatioFromRelHum(t, humidity, p);
        expect(Math.abs(air.humidityRatio / ratio - 1)).toBeLessThan(1e-9);
        expect(Math.abs(air.enthalpy / psychrolib.GetMoistAirEnthalpy(t, ratio) - 1)).toBeLessThan(1e-9);
        expect(Math.abs(air.specificVolume / psychrolib.GetMoistAirVolume(t, ratio, p) - 1)).toBeLessThan(1e-9);
        if (air.wetBulb > 0.01) {
          const twb = air.wetBulb;
          expect(
            Math.abs(humidityRatioOfWetBulb(t, twb, p) / psychrolib.GetHumRatioFromTWetBulb(t, twb, p) - 1),
          ).toBeLessThan(1e-9);
        }
      }),
    );
  });
  it("saturated air has its dry bulb for wet bulb and dew point (by construction)", () => {
    const air = moistAir({ dryBulb: 20, relativeHumidity: 1 }, 101_325);
    expect(air.dewPoint).toBeCloseTo(20, 8);
    expect(air.wetBulb).toBeCloseTo(20, 8);
    expect(enthalpy(0, 0)).toBe(0);
    expect(standardPressureAt(0)).toBe(101_325);
  });
  it("says nothing of air that cannot be", () => {
    const p = 101_325;
    for (const air of [
      { dryBulb: 20 },
      { dryBulb: 20, wetBulb: 21 },
      { dryBulb: 20, dewPoint: 21 },
      { dryBulb: 20, relativeHumidity: 1.1 },
      { dryBulb: 20, relativeHumidity: -0.1 },
      { dryBulb: 20, humidityRatio: -0.001 },
      { dryBulb: 50, wetBulb: 1 },
    ])
      expect(humidityRatioOf(air, p), JSON.stringify(air)).toBeNaN();
    expect(saturationPressure(201)).toBeNaN();
    expect(saturationPressure(-101)).toBeNaN();
    expect(dewPoint(0, p)).toBeNaN();
    expect(wetBulb(20, 0.02, p)).toBeNaN();
    expect(humidityRatioOf({ dryBulb: 200, relativeHumidity: 1 }, p)).toBeNaN();
  });
});

describe("condensate", () => {
  it("by air and by the air's own latent heat agree where the sensible part is taken out", () => {
    const entering = { dryBulb: 27, relativeHumidity: 0.5 };
    const leaving = { dryBulb: 13, relativeHumidity: 0.95 };
    const [a, b] = [moistAir(entering, 101_325), moistAir(leaving, 101_325)];
    const water = condensateOfAir(0.2, entering, leaving, 101_325);
    const dryAir = 0.2 / a.specificVolume;
    // latent part at the leaving temperature: W (2501 + 1.86 t)
    const latent = dryAir * (a.humidityRatio - b.humidityRatio) * 1000 * (2501 + 1.86 * 13);
    const total = dryAir * (a.enthalpy - b.enthalpy);
    expect(condensateOfCapacity(total, 1 - latent / total, 1000 * (2501 + 1.86 * 13))).toBeCloseTo(water, 12);
    expect(water).toBeLessThan(greatestCondensate(total, 2_477_200));
  });
  it("makes none where the air gains water, or all the work is sensible", () => {
    expect(
      condensateOfAir(0.2, { dryBulb: 20, relativeHumidity: 0.3 }, { dryBulb: 18, relativeHumidity: 0.9 }, 101_325),
    ).toBe(0);
    expect(condensateOfCapacity(1000, 1, 2_477_200)).toBe(0);
    expect(condensateOfAir(0.2, { dryBulb: 20 }, { dryBulb: 18, relativeHumidity: 0.9 }, 101_325)).toBeNaN();
  });
});

describe("condensation on cold pipes", () => {
  it("the least thickness brings the surface just to the dew point", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 15, noNaN: true }),
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        fc.double({ min: 0.01, max: 0.2, noNaN: true }),
        (water, share, diameter) => {
          const pipe = {
            airTemperature: 26,
            pipeTemperature: water,
            diameter,
            conductivity: 0.036,
            filmCoefficient: 9,
          };
          const surface = water + share * (26 - water);
          expect(surfaceTemperature(pipe, thicknessAgainstCondensation(pipe, surface))).toBeCloseTo(surface, 8);
        },
      ),
    );
  });
  it("bare, the surface has the pipe's temperature; as warm as the air it can never be", () => {
    const pipe = { airTemperature: 26, pipeTemperature: 10, diameter: 0.03, conductivity: 0.036, filmCoefficient: 9 };
    expect(surfaceTemperature(pipe, 0)).toBe(10);
    expect(thicknessAgainstCondensation(pipe, 9)).toBe(0);
    expect(thicknessAgainstCondensation(pipe, 26)).toBe(Number.POSITIVE_INFINITY);
  });
});
