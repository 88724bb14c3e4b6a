// Laminar flow in sloping pipes and down risers, written once more and plainly, for tests.

const G = 9.80665;

/** Kinematic viscosity at 15 °C from the IAPWS values of viscosity and density there, m²/s. */
export const NU_15 = 1.1375478e-3 / 999.10203;

/** Wetted angle's area and hydraulic radius, bore d in m. */
const section = (d: number, angle: number) => ({
  area: ((d * d) / 8) * (angle - Math.sin(angle)),
  radius: (d / 4) * (1 - Math.sin(angle) / angle),
});

/**
 * Mean velocity, m/s, of a trickle of `flow` m³/s in a bore at a grade: f = 64/Re with Dh = 4R, V = 2 g Dh² S/(64 ν),
 * the depth found by halving. Laminar only: throws above Re 2300.
 */
export const trickleVelocity = (d: number, grade: number, flow: number): number => {
  let [low, high] = [1e-6, Math.PI];
  for (let i = 0; i < 200; i++) {
    const angle = (low + high) / 2;
    const { area, radius } = section(d, angle);
    if (area * ((2 * G * (4 * radius) ** 2 * grade) / (64 * NU_15)) < flow) low = angle;
    else high = angle;
  }
  const { area, radius } = section(d, low);
  const velocity = flow / area;
  if ((4 * radius * velocity) / NU_15 > 2300) throw new Error("this trickle is turbulent");
  return velocity;
};

/**
 * Mean velocity, m/s, of a turbulent flow in a bore at a grade with roughness k: Colebrook-White in explicit form, the
 * depth found by halving. Throws where the flow would be laminar.
 */
export const turbulentVelocity = (d: number, grade: number, flow: number, k = 0): number => {
  const at = (angle: number) => {
    const { area, radius } = section(d, angle);
    const root = Math.sqrt(2 * G * 4 * radius * grade);
    return { area, radius, v: -2 * root * Math.log10(k / (3.71 * 4 * radius) + (2.51 * NU_15) / (4 * radius * root)) };
  };
  let [low, high] = [0.2, 5];
  for (let i = 0; i < 200; i++) {
    const angle = (low + high) / 2;
    const { area, v } = at(angle);
    if (area * v < flow) low = angle;
    else high = angle;
  }
  const { radius, v } = at(low);
  if ((4 * radius * v) / NU_15 < 2300) throw new Error("this flow is laminar");
  return v;
};

/** Annular flow in a riser, m/s: 3 (q/d)^(2/5) ft/s, q in US gpm and d in inches. */
export const terminalVelocity = (d: number, flow: number): number =>
  3 * (flow / 6.30901964e-5 / (d / 0.0254)) ** 0.4 * 0.3048;

/** Mean velocity of a laminar film down the whole wall, m/s: V = (g Γ²/(3 ν))^(1/3), Γ = Q/(π d). */
export const filmVelocity = (d: number, flow: number): number => {
  const perWidth = flow / (Math.PI * d);
  return ((G * perWidth ** 2) / (3 * NU_15)) ** (1 / 3);
};

/** Depth at which the plain figures meet the published check: 0.0021154731 m, Re 365.04. */
export const checkDepth = (): { readonly depth: number; readonly reynolds: number } => {
  const [d, grade, flow] = [0.0204, 0.01, 1.39e-6];
  const velocity = trickleVelocity(d, grade, flow);
  let [low, high] = [1e-6, Math.PI];
  for (let i = 0; i < 200; i++) {
    const angle = (low + high) / 2;
    if (section(d, angle).area < flow / velocity) low = angle;
    else high = angle;
  }
  return {
    depth: (d / 2) * (1 - Math.cos(low / 2)),
    reynolds: (4 * section(d, low).radius * velocity) / NU_15,
  };
};
