/**
 * Geometry of a circular pipe filled to a depth above its invert. Diameters and depths in m, depth 0 … diameter
 * (outside that range the nearer end counts). Formulas by the central angle θ = 4 asin √(y/D), which keeps its digits
 * where acos(1 − 2y/D) loses them. Source: open-channel geometry of circular sections.
 */

/** θ − sin θ without losing digits at small θ. */
export const arcLessSine = (angle: number): number => {
  if (angle > 0.6) return angle - Math.sin(angle);
  const s = angle * angle;
  return ((angle * s) / 6) * (1 - (s / 20) * (1 - (s / 42) * (1 - (s / 72) * (1 - (s / 110) * (1 - s / 156)))));
};

/** Central angle of the wetted segment, 0 … 2π rad. */
export const wettedAngle = (diameter: number, depth: number): number => {
  if (depth <= 0) return 0;
  if (depth >= diameter) return 2 * Math.PI;
  return 4 * Math.asin(Math.sqrt(depth / diameter));
};

/** Depth of a wetted angle, m. */
export const depthOfAngle = (diameter: number, angle: number): number => {
  const half = Math.sin(angle / 4);
  return diameter * half * half;
};

/** A = D²(θ − sin θ)/8, m². */
export const flowArea = (diameter: number, depth: number): number =>
  ((diameter * diameter) / 8) * arcLessSine(wettedAngle(diameter, depth));

/** πD²/4, m². */
export const boreArea = (diameter: number): number => (Math.PI * diameter * diameter) / 4;

/** P = Dθ/2, m. */
export const wettedPerimeter = (diameter: number, depth: number): number =>
  (diameter * wettedAngle(diameter, depth)) / 2;

/** R = A/P, m; 0 for a dry pipe. */
export const hydraulicRadius = (diameter: number, depth: number): number => {
  const angle = wettedAngle(diameter, depth);
  return angle === 0 ? 0 : (diameter * arcLessSine(angle)) / (4 * angle);
};

/** Width of the water surface T = D sin(θ/2), m; 0 for a dry or a full pipe. */
export const topWidth = (diameter: number, depth: number): number =>
  depth <= 0 || depth >= diameter ? 0 : 2 * Math.sqrt(depth * (diameter - depth));
