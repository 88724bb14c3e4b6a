/**
 * Annular flow down a vertical pipe: the water clings to the wall around a core of air. Bore d in m, flow q in m³/s,
 * r the share of the bore's area that is water.
 * Source: National Bureau of Standards Monograph 31 and BMS 132, q = 27.8 r^(5/3) d^(8/3) (gpm, inches),
 * V = 3.0 (q/d)^(2/5) ft/s, L = 0.052 V² ft. Derived on stacks of 3 to 6 in; smaller bores extrapolate.
 */

/** Where the law was found. */
export const RISER_VALIDITY = {
  fraction: { least: 1 / 4, greatest: 1 / 3 },
  /** m: 3 to 6 in */
  testedBore: { least: 0.0762, greatest: 0.1524 },
} as const;

/** 27.8 gpm·in^(−8/3) in m^(1/3)/s. */
export const RISER_CONSTANT = 31.46179;

/** 3.0 ft/s·(gpm/in)^(−2/5) in SI. */
const TERMINAL_VELOCITY_CONSTANT = 3 * 0.3048 * (0.0254 / 6.30901964e-5) ** 0.4;

/** 0.052 ft·(ft/s)^(−2) in s²/m. */
const TERMINAL_LENGTH_CONSTANT = 0.052 / 0.3048;

/** Flow that fills a share `fraction` (0 … 1) of a riser, m³/s. */
export const riserFlow = (diameter: number, fraction: number): number =>
  RISER_CONSTANT * fraction ** (5 / 3) * diameter ** (8 / 3);

/** Share of a riser that a flow fills: the inverse of `riserFlow`. Above 1 the pipe cannot carry it as an annulus. */
export const riserFraction = (diameter: number, flow: number): number =>
  (flow / (RISER_CONSTANT * diameter ** (8 / 3))) ** (3 / 5);

/** Thickness of the annulus, t = (d/2)(1 − √(1 − r)), m; the radius where r ≥ 1. */
export const filmThickness = (diameter: number, fraction: number): number =>
  fraction >= 1 ? diameter / 2 : ((diameter / 2) * fraction) / (1 + Math.sqrt(1 - fraction));

/** Velocity that the annulus settles at, m/s. */
export const terminalVelocity = (diameter: number, flow: number): number =>
  TERMINAL_VELOCITY_CONSTANT * (flow / diameter) ** 0.4;

/** Length of fall in which it does so, m. `velocity` m/s. */
export const terminalLength = (velocity: number): number => TERMINAL_LENGTH_CONSTANT * velocity * velocity;
