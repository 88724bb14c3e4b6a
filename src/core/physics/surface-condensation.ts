/**
 * Sweating of cold pipes. Temperatures °C, diameters and thickness m, conductivity W/(m·K), film coefficient W/(m²·K).
 * Steady conduction through a cylinder with a film outside; the inside film is neglected (safe).
 * Source: cylinder conduction; the case is that of ISO 12241.
 */
export interface ColdPipe {
  readonly airTemperature: number;
  /** of the water, or of the surface under the insulation */
  readonly pipeTemperature: number;
  /** diameter at which `pipeTemperature` holds */
  readonly diameter: number;
  readonly conductivity: number;
  readonly filmCoefficient: number;
}

/** Temperature of the outer surface under a layer `thickness` (≥ 0), °C. */
export const surfaceTemperature = (pipe: ColdPipe, thickness: number): number => {
  const inner = pipe.diameter / 2;
  const outer = inner + thickness;
  const layer = (Math.log(outer / inner) * outer * pipe.filmCoefficient) / pipe.conductivity;
  return pipe.airTemperature - (pipe.airTemperature - pipe.pipeTemperature) / (1 + layer);
};

/**
 * Least thickness at which the surface stays at or above `leastSurface` (dew point and margin):
 * r_o ln(r_o/r_i) = (k/h)(T_s − T_p)/(T_a − T_s).
 * @returns m; 0 where none is needed, Infinity where none suffices (surface as warm as the air)
 */
export const thicknessAgainstCondensation = (pipe: ColdPipe, leastSurface: number): number => {
  if (leastSurface <= pipe.pipeTemperature) return 0;
  if (leastSurface >= pipe.airTemperature) return Number.POSITIVE_INFINITY;
  const inner = pipe.diameter / 2;
  const target =
    ((pipe.conductivity / pipe.filmCoefficient) * (leastSurface - pipe.pipeTemperature)) /
    (pipe.airTemperature - leastSurface) /
    inner;
  // x ln x = target is increasing and convex from x = 1: Newton from above converges from above
  let x = 1 + target;
  for (let i = 0; i < 100; i += 1) {
    const next = x - (x * Math.log(x) - target) / (Math.log(x) + 1);
    if (Math.abs(next - x) < 1e-15 * x) break;
    x = next;
  }
  return (x - 1) * inner;
};
