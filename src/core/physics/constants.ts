/** Standard acceleration of free fall, m/s². */
export const GRAVITY = 9.80665;

/** Density of water at 10 °C and 0.1 MPa, kg/m³ (IAPWS SR6-08): that of every network analysis. */
export const WATER_DENSITY = 999.702;

/** Enthalpy of vaporization taken in every network analysis, J/kg: water at 10 °C (IAPWS-IF97). */
export const LATENT_HEAT = 2_477_200;

/** Standard atmosphere, Pa. */
export const STANDARD_PRESSURE = 101_325;

/** Suction or pressure at a pan within which it counts as at atmosphere, Pa. */
export const PAN_AT_ATMOSPHERE = 5;

/** Head of water of a pressure difference, m. `density` kg/m³. */
export const headOf = (pressure: number, density: number = WATER_DENSITY): number => pressure / (density * GRAVITY);

/** Pressure of a head of water, Pa. `head` m, `density` kg/m³. */
export const pressureOf = (head: number, density: number = WATER_DENSITY): number => head * density * GRAVITY;
