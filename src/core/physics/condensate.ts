import { type AirStateInput, humidityRatioOf, specificVolume } from "./moist-air.js";

/** Rate at which a cooling coil makes water, kg/s. */

/**
 * From total capacity and sensible heat ratio: Q (1 − SHR)/h_fg.
 * @param totalCapacity W, ≥ 0 @param sensibleHeatRatio 0 … 1 @param latentHeat J/kg
 */
export const condensateOfCapacity = (totalCapacity: number, sensibleHeatRatio: number, latentHeat: number): number =>
  (totalCapacity * (1 - sensibleHeatRatio)) / latentHeat;

/**
 * From the air: V/v₁ (W₁ − W₂), V measured at the entering state; 0 where the air gains water.
 * @param airflow m³/s @param pressure Pa
 * @returns kg/s; NaN where a state is impossible
 * Source: ASHRAE Fundamentals chapter 1, cooling and dehumidifying. W₂ is the mixed leaving state.
 */
export const condensateOfAir = (
  airflow: number,
  entering: AirStateInput,
  leaving: AirStateInput,
  pressure: number,
): number => {
  const before = humidityRatioOf(entering, pressure);
  const after = humidityRatioOf(leaving, pressure);
  if (Number.isNaN(before) || Number.isNaN(after)) return Number.NaN;
  return (airflow / specificVolume(entering.dryBulb, before, pressure)) * Math.max(0, before - after);
};

/** No coil makes more water than its whole capacity could condense: Q/h_fg, kg/s. */
export const greatestCondensate = (totalCapacity: number, latentHeat: number): number => totalCapacity / latentHeat;
