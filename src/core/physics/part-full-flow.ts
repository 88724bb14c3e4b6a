import { arcLessSine, boreArea, depthOfAngle, flowArea, hydraulicRadius, topWidth } from "./circle.js";
import { GRAVITY } from "./constants.js";

/**
 * Uniform gravity flow in a part-full circular pipe. Bore D and depth y in m, grade S as fall ÷ run (> 0), flow in
 * m³/s, Manning's n in s/m^(1/3), roughness k in m, kinematic viscosity in m²/s.
 */

/** Depth ratio at which Manning's flow with constant n is greatest. */
export const DEPTH_RATIO_OF_GREATEST_FLOW = 0.938181216160607;

/** Greatest flow over flow full, constant n (maximum of A·R^(2/3)). */
export const GREATEST_FLOW_RATIO = 1.075706129400465;

/** A pipe that must carry more than this times its full flow is over capacity: no uniform depth carries it. */
export const OVER_CAPACITY_RATIO = 1.0757;

/** Where Manning's equation holds; between these it may be used, outside it misleads. */
export const MANNING_VALIDITY = {
  /** 4RV/ν below which the flow is laminar or in transition */
  leastReynolds: 4000,
  /** above this depth ratio the pipe may flip to full and lose its air path: not for design */
  greatestDesignFill: 0.8,
} as const;

/**
 * Flow by Manning's equation, Q = A R^(2/3) S^(1/2) / n.
 * @param diameter bore, m, > 0
 * @param depth depth above the invert, m, 0 … diameter
 * @param grade fall ÷ run, ≥ 0
 * @param n Manning's roughness, > 0
 * @returns m³/s
 * Source: Manning's equation (SI form). Valid for uniform, fully rough flow, `MANNING_VALIDITY`.
 */
export const manningFlow = (diameter: number, depth: number, grade: number, n: number): number => {
  const radius = hydraulicRadius(diameter, depth);
  return (flowArea(diameter, depth) * Math.cbrt(radius * radius) * Math.sqrt(grade)) / n;
};

/** Velocity by Manning's equation, V = R^(2/3) S^(1/2) / n, m/s. Arguments as `manningFlow`. */
export const manningVelocity = (diameter: number, depth: number, grade: number, n: number): number => {
  const radius = hydraulicRadius(diameter, depth);
  return (Math.cbrt(radius * radius) * Math.sqrt(grade)) / n;
};

/** Manning's flow of the full bore, m³/s. Arguments as `manningFlow`. */
export const fullFlow = (diameter: number, grade: number, n: number): number => {
  const radius = diameter / 4;
  return (boreArea(diameter) * Math.cbrt(radius * radius) * Math.sqrt(grade)) / n;
};

/** Wetted angle of the greatest flow: below it depth grows with flow. */
const ANGLE_OF_GREATEST_FLOW = 5.278107137933795;

/**
 * Depth of uniform flow by Manning's equation: the lower of the two depths that carry it.
 *
 * With q = Q/Q_full the wetted angle solves (θ − sin θ)^(5/3) = 2π q θ^(2/3). In ln θ the left side less the right is
 * increasing and concave up to the greatest flow, so Newton's method from the shallow-water angle climbs to the lower
 * root and never passes it.
 * @param diameter bore, m, > 0
 * @param grade fall ÷ run, > 0
 * @param n Manning's roughness, > 0
 * @param flow m³/s, ≥ 0
 * @returns depth in m (within 1e-12 of the bore, less closely where the flow is all but the greatest); NaN where no
 * uniform depth carries the flow
 */
export const normalDepth = (diameter: number, grade: number, n: number, flow: number): number => {
  const q = flow / fullFlow(diameter, grade, n);
  if (q === 0) return 0;
  if (!(q > 0) || q > GREATEST_FLOW_RATIO) return Number.NaN;
  const logTarget = 0.6 * Math.log(2 * Math.PI * q);
  let logAngle = (logTarget + Math.log(6)) / 2.6;
  let angle = Math.min(Math.exp(logAngle), ANGLE_OF_GREATEST_FLOW);
  logAngle = Math.log(angle);
  for (let i = 0; i < 60; i += 1) {
    const segment = arcLessSine(angle);
    const half = Math.sin(angle / 2);
    const slope = (2 * angle * half * half) / segment - 0.4;
    const step = (logTarget - Math.log(segment) + 0.4 * logAngle) / slope;
    if (!(step > 1e-14) || slope <= 0) break;
    logAngle += step;
    angle = Math.exp(logAngle);
    if (angle >= ANGLE_OF_GREATEST_FLOW) {
      angle = ANGLE_OF_GREATEST_FLOW;
      break;
    }
    if (step < 1e-13) break;
  }
  return depthOfAngle(diameter, angle);
};

/**
 * Froude number V / √(g A/T).
 * @param diameter bore, m
 * @param depth m, 0 < depth < diameter
 * @param flow m³/s
 * @returns dimensionless; NaN for a dry or a full pipe, which has no free surface
 */
export const froudeNumber = (diameter: number, depth: number, flow: number): number => {
  const width = topWidth(diameter, depth);
  if (width <= 0) return Number.NaN;
  const area = flowArea(diameter, depth);
  return flow / area / Math.sqrt((GRAVITY * area) / width);
};

/**
 * Critical depth: Q² T = g A³ (cosine of the slope neglected: under 0.1 % below 4 % fall).
 * @param diameter bore, m, > 0
 * @param flow m³/s, ≥ 0
 * @returns m, less than the bore
 */
export const criticalDepth = (diameter: number, flow: number): number => {
  if (flow === 0) return 0;
  // (θ − sin θ)³ = k sin(θ/2); ln of the left side less the right grows with θ without bound
  const logK = Math.log(512 / GRAVITY) + 2 * Math.log(flow) - 5 * Math.log(diameter);
  let low = 0;
  let high = 2 * Math.PI;
  let angle = Math.min(Math.exp((Math.log(108) + logK) / 8), 6);
  for (let i = 0; i < 200; i += 1) {
    const segment = arcLessSine(angle);
    const half = angle / 2;
    const miss = 3 * Math.log(segment) - Math.log(Math.sin(half)) - logK;
    if (miss > 0) high = angle;
    else low = angle;
    const slope = (3 * (1 - Math.cos(angle))) / segment - Math.cos(half) / (2 * Math.sin(half));
    let next = angle - miss / slope;
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - angle) <= 1e-15 * angle) break;
    angle = next;
  }
  return depthOfAngle(diameter, angle);
};

/** Reynolds number 4RV/ν of a part-full pipe. */
export const reynoldsNumber = (diameter: number, depth: number, velocity: number, viscosity: number): number =>
  (4 * hydraulicRadius(diameter, depth) * velocity) / viscosity;

/** Reynolds number below which flow is taken as laminar. */
export const LAMINAR_REYNOLDS = 2300;

/**
 * Velocity of laminar part-full flow, V = 2 g Dh² S / (64 ν) with Dh = 4R.
 * Departure from the exact solution with a free surface: within 3 % for depths below half.
 * @returns m/s
 */
export const laminarVelocity = (diameter: number, depth: number, grade: number, viscosity: number): number => {
  const hydraulicDiameter = 4 * hydraulicRadius(diameter, depth);
  return (2 * GRAVITY * hydraulicDiameter * hydraulicDiameter * grade) / (64 * viscosity);
};

/**
 * Velocity by Colebrook-White in explicit gradient form:
 * V = −2 √(2 g Dh S) log₁₀[ k/(3.71 Dh) + 2.51 ν/(Dh √(2 g Dh S)) ], Dh = 4R. Turbulent flow only; 0 where the
 * roughness fills the section.
 * @param roughness equivalent sand roughness k, m, ≥ 0
 * @param viscosity kinematic, m²/s, > 0
 * @returns m/s
 */
export const colebrookWhiteVelocity = (
  diameter: number,
  depth: number,
  grade: number,
  roughness: number,
  viscosity: number,
): number => {
  const hydraulicDiameter = 4 * hydraulicRadius(diameter, depth);
  if (hydraulicDiameter === 0 || grade === 0) return 0;
  const root = Math.sqrt(2 * GRAVITY * hydraulicDiameter * grade);
  return Math.max(
    0,
    -2 * root * Math.log10(roughness / (3.71 * hydraulicDiameter) + (2.51 * viscosity) / (hydraulicDiameter * root)),
  );
};

/**
 * Velocity by friction: laminar below Re 2300, above it the lesser of laminar and Colebrook-White. In smooth pipes the
 * velocity falls where the flow turns turbulent, as it does in nature. Arguments as `colebrookWhiteVelocity`. m/s
 */
export const frictionVelocity = (
  diameter: number,
  depth: number,
  grade: number,
  roughness: number,
  viscosity: number,
): number => {
  const laminar = laminarVelocity(diameter, depth, grade, viscosity);
  if (reynoldsNumber(diameter, depth, laminar, viscosity) < LAMINAR_REYNOLDS) return laminar;
  return Math.min(laminar, colebrookWhiteVelocity(diameter, depth, grade, roughness, viscosity));
};

/** Flow by friction, m³/s: area times `frictionVelocity`. */
export const frictionFlow = (
  diameter: number,
  depth: number,
  grade: number,
  roughness: number,
  viscosity: number,
): number => flowArea(diameter, depth) * frictionVelocity(diameter, depth, grade, roughness, viscosity);

/** Depth ratio of the greatest hydraulic radius (wetted angle θ = tan θ): up to it the Reynolds number grows with depth. */
const DEPTH_RATIO_OF_GREATEST_RADIUS = 0.812803127339861;

/** First depth between `low` and `high` at which `reaches` becomes true. */
const firstDepth = (low: number, high: number, reaches: (depth: number) => boolean): number => {
  let [below, above] = [low, high];
  for (let i = 0; i < 60; i += 1) {
    const middle = (below + above) / 2;
    if (reaches(middle)) above = middle;
    else below = middle;
  }
  return (below + above) / 2;
};

const INVERSE_GOLDEN = (Math.sqrt(5) - 1) / 2;

/** Depth from `low` to `high` at which a flow with a single maximum between them is greatest. */
const depthOfGreatest = (low: number, high: number, flowAt: (depth: number) => number): number => {
  let [left, right] = [low, high];
  for (let i = 0; i < 60; i += 1) {
    const step = INVERSE_GOLDEN * (right - left);
    if (flowAt(right - step) < flowAt(left + step)) left = right - step;
    else right = left + step;
  }
  return (left + right) / 2;
};

/** A run of depths over which the flow is of one kind. */
interface Branch {
  readonly from: number;
  /** depth of its greatest flow, m: up to it the flow grows */
  readonly peak: number;
  /** flow at a depth, m³/s */
  readonly flowAt: (depth: number) => number;
}

/** From shallow to full: laminar, turbulent where the section is wide enough, laminar again where the crown slows it. */
const frictionBranches = (diameter: number, grade: number, roughness: number, viscosity: number): readonly Branch[] => {
  const laminar = (depth: number): number => laminarVelocity(diameter, depth, grade, viscosity);
  const turbulent = (depth: number): boolean =>
    reynoldsNumber(diameter, depth, laminar(depth), viscosity) >= LAMINAR_REYNOLDS;
  const laminarFlowAt = (depth: number): number => flowArea(diameter, depth) * laminar(depth);
  const turbulentFlowAt = (depth: number): number =>
    flowArea(diameter, depth) *
    Math.min(laminar(depth), colebrookWhiteVelocity(diameter, depth, grade, roughness, viscosity));
  const widest = DEPTH_RATIO_OF_GREATEST_RADIUS * diameter;
  if (!turbulent(widest))
    return [{ from: 0, peak: depthOfGreatest(widest, diameter, laminarFlowAt), flowAt: laminarFlowAt }];
  const turn = firstDepth(0, widest, turbulent);
  const end = turbulent(diameter) ? diameter : firstDepth(widest, diameter, (depth) => !turbulent(depth));
  const branches = [
    { from: 0, peak: turn, flowAt: laminarFlowAt },
    { from: turn, peak: depthOfGreatest(widest, end, turbulentFlowAt), flowAt: turbulentFlowAt },
  ];
  if (end < diameter)
    branches.push({ from: end, peak: depthOfGreatest(end, diameter, laminarFlowAt), flowAt: laminarFlowAt });
  return branches;
};

/**
 * Greatest uniform flow that friction lets through, m³/s: at about 0.87 of the bore where it is laminar, 0.94 where it
 * is turbulent. Arguments as `colebrookWhiteVelocity`.
 */
export const frictionGreatestFlow = (diameter: number, grade: number, roughness: number, viscosity: number): number =>
  // in smooth pipes the flow falls where it turns turbulent
  Math.max(...frictionBranches(diameter, grade, roughness, viscosity).map(({ peak, flowAt }) => flowAt(peak)));

/**
 * Depth of uniform flow by friction, the least that carries so much: on the laminar branch where that reaches so far, else
 * on the turbulent one, else where it is laminar again.
 * @returns m; NaN where the flow is more than the pipe carries at any depth
 */
export const frictionNormalDepth = (
  diameter: number,
  grade: number,
  roughness: number,
  viscosity: number,
  flow: number,
): number => {
  if (flow === 0) return 0;
  if (!(flow > 0)) return Number.NaN;
  for (const { from, peak, flowAt } of frictionBranches(diameter, grade, roughness, viscosity))
    if (flowAt(peak) >= flow) return firstDepth(from, peak, (depth) => flowAt(depth) >= flow);
  return Number.NaN;
};

/**
 * Flow of a shallow laminar trickle, Q = (32/105) (g S/ν) √D y^3.5, m³/s. Within about 5 % in depth for y/D < 0.15.
 * Derived from the lubrication integral of a thin film in a circular invert.
 */
export const trickleFlow = (diameter: number, depth: number, grade: number, viscosity: number): number =>
  (32 / 105) * ((GRAVITY * grade) / viscosity) * Math.sqrt(diameter) * depth ** 3.5;

/** Depth of a shallow laminar trickle, m: the inverse of `trickleFlow`. */
export const trickleDepth = (diameter: number, flow: number, grade: number, viscosity: number): number =>
  (((105 / 32) * flow * (viscosity / (GRAVITY * grade))) / Math.sqrt(diameter)) ** (2 / 7);

/**
 * Bore at which a pipe carries just so much, m: at one grade and one share of its bore filled, the flow of Manning's law
 * and that of annular flow down a riser both go with d^(8/3), so d = D (q/Q)^(3/8).
 * @param diameter D, m @param capacity Q of that bore, m³/s, > 0 @param flow q, m³/s, ≥ 0
 */
export const boreThatCarries = (diameter: number, capacity: number, flow: number): number =>
  diameter * (flow / capacity) ** (3 / 8);
