// The state of moist air over a grid of states, against PsychroLib 2.5 (MIT license), an implementation of ASHRAE
// Fundamentals 2017 that shares no code with this one.
import psychrolib from "psychrolib";
import { describe, expect, it } from "vitest";
import { calculate } from "../../src/core/calculations/calculate.js";

psychrolib.SetUnitSystem(psychrolib.SI);

const stateOf = (inputs: object): Readonly<Record<string, number>> => {
  const made = calculate("moist-air", inputs);
  if (!made.ok) throw new Error(`${JSON.stringify(inputs)}: ${JSON.stringify(made.problems)}`);
  return made.calculation.result as Readonly<Record<string, number>>;
};

// It finds wet bulb and dew point to 0.001 °C.
const FOUND = 0.0011;
const DRY_BULBS = [-20, -5, 2, 10, 16, 20, 24, 27, 32, 38, 45];
const HUMIDITIES = [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1];
const PRESSURES = [101_325, 89_875, 70_000];
const grid = PRESSURES.flatMap((pressure) =>
  DRY_BULBS.flatMap((dryBulb) => HUMIDITIES.map((relativeHumidity) => ({ dryBulb, relativeHumidity, pressure }))),
);

const apart = (value: number, expected: number): number => Math.abs(value / expected - 1);

describe("moist air over a grid, against the reference library", () => {
  it.each(grid.map((state) => [state.dryBulb, state.relativeHumidity, state.pressure, state] as const))(
    "%d °C at a relative humidity of %d and %d Pa",
    (dryBulb, relativeHumidity, pressure, state) => {
      const air = stateOf(state);
      const ratio = psychrolib.GetHumRatioFromRelHum(dryBulb, relativeHumidity, pressure);
      expect(apart(air.humidityRatio, ratio)).toBeLessThan(1e-9);
      expect(apart(air.saturationPressure, psychrolib.GetSatVapPres(dryBulb))).toBeLessThan(1e-12);
      expect(Math.abs(air.enthalpy - psychrolib.GetMoistAirEnthalpy(dryBulb, ratio))).toBeLessThan(1e-3);
      expect(apart(air.specificVolume, psychrolib.GetMoistAirVolume(dryBulb, ratio, pressure))).toBeLessThan(1e-9);
      expect(air.relativeHumidity).toBeCloseTo(relativeHumidity, 9);
      const dew = psychrolib.GetTDewPointFromHumRatio(dryBulb, ratio, pressure);
      expect(Math.abs(air.dewPoint - dew)).toBeLessThan(FOUND);
      const wet = psychrolib.GetTWetBulbFromHumRatio(dryBulb, ratio, pressure);
      expect(Math.abs(air.wetBulb - wet)).toBeLessThan(FOUND);
    },
  );

  it.each(grid.filter(({ relativeHumidity }) => relativeHumidity < 1).map((state) => [JSON.stringify(state), state]))(
    "%s is the same state by dew point, by humidity ratio and as one object",
    (_said, { dryBulb, relativeHumidity, pressure }) => {
      const air = stateOf({ dryBulb, relativeHumidity, pressure });
      for (const same of [
        { dryBulb, dewPoint: air.dewPoint, pressure },
        { dryBulb, humidityRatio: air.humidityRatio, pressure },
        { air: { dryBulb, relativeHumidity }, pressure },
      ])
        for (const [name, value] of Object.entries(stateOf(same)))
          expect(Math.abs(value - air[name]), name).toBeLessThanOrEqual(1e-6 * Math.max(1, Math.abs(air[name])));
    },
  );

  it.each(
    grid
      .filter(({ dryBulb, relativeHumidity }) => dryBulb >= 10 && relativeHumidity >= 0.35 && relativeHumidity < 1)
      .map((state) => [JSON.stringify(state), state]),
  )("%s has the humidity ratio that its wet bulb has there", (_said, { dryBulb, relativeHumidity, pressure }) => {
    const { wetBulb } = stateOf({ dryBulb, relativeHumidity, pressure });
    const { humidityRatio } = stateOf({ dryBulb, wetBulb, pressure });
    expect(apart(humidityRatio, psychrolib.GetHumRatioFromTWetBulb(dryBulb, wetBulb, pressure))).toBeLessThan(1e-9);
  });
});
