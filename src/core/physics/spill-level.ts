import { headOf } from "./constants.js";

/** A rising pool against the openings that it meets. Source: hydrostatics; conservation of volume. */

/**
 * Level of the pool at which an opening under local pressure spills: rim + p/(ρg).
 * @param rim m @param gaugePressure Pa, negative under suction @param density kg/m³
 */
export const spillLevel = (rim: number, gaugePressure: number, density?: number): number =>
  rim + headOf(gaugePressure, density);

/** Water over a level floor between upright walls: A (z − z₀), m³; 0 below the floor. `area` m². */
export const prismBelow = (area: number, floor: number, level: number): number =>
  level <= floor ? 0 : area * (level - floor);

/** Time to fill a volume (m³) by a steady inflow less outflow (m³/s): V/q, s; Infinity where nothing comes in. */
export const timeToFill = (volume: number, inflow: number, outflow = 0): number =>
  inflow > outflow ? volume / (inflow - outflow) : Number.POSITIVE_INFINITY;

/** Highest trip level that leaves room for the water after the stop: rim − V/A, m above the pan's floor. */
export const highestTrip = (rim: number, volumeAfterTrip: number, panArea: number): number =>
  rim - volumeAfterTrip / panArea;
