import { GRAVITY } from "./constants.js";

/**
 * A laminar film of water that runs down the whole wall of a vertical pipe. Bore d in m, flow Q in m³/s, kinematic
 * viscosity ν in m²/s; Γ = Q/(π d) is the flow per width of wall. Valid for films that are thin against the bore, up to a
 * Reynolds number 4Γ/ν of about 1500: a thicker film is turbulent, and slower than this.
 * Source: balance of weight and shear in a film without waves (Nusselt).
 */

/** Thickness of the film, δ = (3 ν Γ/g)^(1/3), m. */
export const laminarFilmThickness = (diameter: number, flow: number, viscosity: number): number =>
  Math.cbrt((3 * viscosity * flow) / (Math.PI * diameter * GRAVITY));

/** Mean velocity of the film, Γ/δ = g δ²/(3 ν), m/s. */
export const laminarFilmVelocity = (diameter: number, flow: number, viscosity: number): number => {
  const thickness = laminarFilmThickness(diameter, flow, viscosity);
  return (GRAVITY * thickness * thickness) / (3 * viscosity);
};
