import { STANDARD_PRESSURE } from "./constants.js";
import { saturationPressure } from "./moist-air.js";

/** Evaporation of an idle seal through still air (Stefan diffusion). Moving air raises it two- to tenfold. */
export const EVAPORATION_VALIDITY = { accuracy: 0.1, stillAirOnly: true } as const;

const VAPOR_MOLAR_MASS = 0.018015268; // kg/mol
const GAS_CONSTANT = 8.314462618; // J/(mol·K)
/** density of water at 25 °C, kg/m³ */
const SEAL_DENSITY = 997;

/**
 * Diffusivity of water vapor in air, 2.178e-5 (T/273.15)^1.81 (p₀/p), m²/s.
 * Exponent from a thesis extract; the constant is from memory.
 */
export const vaporDiffusivity = (celsius: number, pressure: number): number =>
  2.178e-5 * ((celsius + 273.15) / 273.15) ** 1.81 * (STANDARD_PRESSURE / pressure);

/**
 * Rate at which one open leg loses level: D p M/(R T δ) ln[(p − p_v)/(p − p_ws)] over the density of water.
 * @param celsius air and water temperature, °C, 0 … 60
 * @param relativeHumidity of the mixed air, 0 … 1
 * @param path still air between water and mixed air, m, > 0
 * @param pressure absolute, Pa
 * @returns m/s
 */
export const evaporationRate = (celsius: number, relativeHumidity: number, path: number, pressure: number): number => {
  const saturated = saturationPressure(celsius);
  const kelvin = celsius + 273.15;
  const flux =
    ((vaporDiffusivity(celsius, pressure) * pressure * VAPOR_MOLAR_MASS) / (GAS_CONSTANT * kelvin * path)) *
    Math.log((pressure - relativeHumidity * saturated) / (pressure - saturated));
  return flux / SEAL_DENSITY;
};

/** Time in which one open leg loses `loss` (m) with the path growing from `path` (m): ((δ + l)² − δ²)/(2K), s. */
export const timeToEvaporate = (
  celsius: number,
  relativeHumidity: number,
  path: number,
  loss: number,
  pressure: number,
): number => {
  const k = evaporationRate(celsius, relativeHumidity, 1, pressure);
  return (loss * (2 * path + loss)) / (2 * k);
};
