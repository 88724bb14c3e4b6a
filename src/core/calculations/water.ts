import { WATER_DENSITY } from "../physics/constants.js";
import { type Condition, figure, otherwise } from "./calculation.js";

/** Density of the water, as the calculations with a head of water take it. */
export const waterDensity = otherwise(
  figure("density", "ρ", [900, 1100], "Density of the water."),
  WATER_DENSITY,
  "water at 10 °C",
  "iapws-sr6-08",
);

/** Liquid water at 0.1 MPa from 0 to 60 °C. */
export const LIQUID_WATER: Condition = {
  figure: "waterDensity",
  least: 983.19,
  greatest: 999.98,
  condition: "The density is that of liquid water from 0 to 60 °C.",
  source: "iapws-sr6-08",
};
