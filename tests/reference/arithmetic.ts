/** Plain arithmetic by other methods than the product's: bisection and numerical integration. SI throughout. */

export const GRAVITY = 9.80665;
export const DENSITY = 999.702;
export const LATENT_HEAT = 2477.2e3;
const GALLON = 3.785411784e-3;

export const bisect = (low: number, high: number, tooHigh: (x: number) => boolean): number => {
  let a = low;
  let b = high;
  for (let i = 0; i < 200; i++) {
    const middle = (a + b) / 2;
    if (middle <= a || middle >= b) break;
    if (tooHigh(middle)) b = middle;
    else a = middle;
  }
  return (a + b) / 2;
};

const segment = (depth: number, bore: number): { area: number; perimeter: number; width: number } => {
  const y = Math.min(Math.max(depth, 0), bore);
  // atan2 keeps its digits near an empty and a full bore, where an arc cosine loses them
  const width = 2 * Math.sqrt(y * (bore - y));
  const theta = 2 * Math.atan2(width / 2, bore / 2 - y);
  const r = bore / 2;
  // below a small angle theta − sin theta cancels: its series does not
  const lens = theta < 1e-2 ? theta ** 3 / 6 - theta ** 5 / 120 + theta ** 7 / 5040 : theta - Math.sin(theta);
  return { area: (r * r * lens) / 2, perimeter: r * theta, width };
};

export const manningFlow = (depth: number, bore: number, slope: number, n: number): number => {
  const { area, perimeter } = segment(depth, bore);
  return perimeter === 0 ? 0 : (area * (area / perimeter) ** (2 / 3) * Math.sqrt(slope)) / n;
};

export interface Flowing {
  depth: number;
  fill: number;
  velocity: number;
  froude: number | null;
}

/** Lower root of Manning's equation; beyond 1.0757 of the full-bore flow the pipe runs full. */
export const slopingFlow = (flow: number, bore: number, slope: number, n: number): Flowing => {
  if (flow === 0) return { depth: 0, fill: 0, velocity: 0, froude: null };
  const full = manningFlow(bore, bore, slope, n);
  if (flow > 1.0757 * full)
    return { depth: bore, fill: 1, velocity: flow / ((Math.PI * bore * bore) / 4), froude: null };
  const depth = bisect(0, 0.93818 * bore, (y) => manningFlow(y, bore, slope, n) > flow);
  const { area, width } = segment(depth, bore);
  const velocity = flow / area;
  return { depth, fill: depth / bore, velocity, froude: velocity / Math.sqrt((GRAVITY * area) / width) };
};

const GPM = GALLON / 60;
const INCH = 0.0254;

/** Annular flow, 27.8 gpm·in^(−8/3) r^(5/3) d^(8/3) in the page's SI constant. */
export const annularCapacity = (fraction: number, bore: number): number =>
  31.46179 * fraction ** (5 / 3) * bore ** (8 / 3);

export const annularFlow = (flow: number, bore: number): Flowing => {
  if (flow === 0) return { depth: 0, fill: 0, velocity: 0, froude: null };
  const fraction = bisect(0, 1, (r) => annularCapacity(r, bore) > flow);
  // terminal velocity 3.0 (q/d)^(2/5) ft/s, q in gal/min, d in inches
  const velocity = 3.0 * 0.3048 * (flow / GPM / (bore / INCH)) ** 0.4;
  return { depth: (bore / 2) * (1 - Math.sqrt(1 - fraction)), fill: fraction, velocity, froude: null };
};

/** ∫ f over [a, b] by the tanh-sinh rule, which bears square-root ends. */
const integrate = (f: (x: number) => number, a: number, b: number): number => {
  if (b <= a) return 0;
  const half = (b - a) / 2;
  const middle = (a + b) / 2;
  const step = 1 / 64;
  let sum = 0;
  for (let k = -260; k <= 260; k++) {
    const t = k * step;
    const u = (Math.PI / 2) * Math.sinh(t);
    const weight = ((Math.PI / 2) * Math.cosh(t)) / Math.cosh(u) ** 2;
    if (weight < 1e-300) continue;
    sum += weight * f(middle + half * Math.tanh(u));
  }
  return sum * half * step;
};

/**
 * Water below `level` in a straight bore between its two square-cut ends: the area wetted at each section normal to the
 * axis, integrated along the axis. `low` is the invert of the lower end, `fall` its height below the other (≥ 0).
 */
export const waterInPipe = (bore: number, length: number, fall: number, low: number, level: number): number => {
  const full = (Math.PI * bore * bore) / 4;
  const run = Math.sqrt(Math.max(0, length * length - fall * fall));
  // below a micrometre of run the pipe is upright: what is left of it is rounding
  if (run < 1e-6) return full * length * Math.min(1, Math.max(0, (level - low) / fall));
  const cosine = run / length;
  const sine = fall / length;
  const depthAt = (s: number): number => (level - low - s * sine) / cosine;
  if (sine < 1e-15) return segment(depthAt(0), bore).area * length;
  const along = (depth: number): number => Math.min(length, Math.max(0, (level - low - depth * cosine) / sine));
  const toFull = along(bore);
  const toDry = along(0);
  return full * toFull + integrate((s) => segment(depthAt(s), bore).area, toFull, toDry);
};

/** Saturation pressure over water, Pa, Hyland and Wexler's form as in the ASHRAE Fundamentals. */
export const saturationPressure = (celsius: number): number => {
  const t = celsius + 273.15;
  return Math.exp(
    -5.8002206e3 / t +
      1.3914993 -
      4.8640239e-2 * t +
      4.1764768e-5 * t * t -
      1.4452093e-8 * t ** 3 +
      6.5459673 * Math.log(t),
  );
};

const ratioOfPressure = (vapor: number, pressure: number): number => (0.621945 * vapor) / (pressure - vapor);

export interface Air {
  dryBulb: number;
  relativeHumidity?: number;
  wetBulb?: number;
  dewPoint?: number;
  humidityRatio?: number;
}

export const humidityRatio = (air: Air, pressure: number): number => {
  if (air.humidityRatio !== undefined) return air.humidityRatio;
  if (air.relativeHumidity !== undefined)
    return ratioOfPressure(air.relativeHumidity * saturationPressure(air.dryBulb), pressure);
  if (air.dewPoint !== undefined) return ratioOfPressure(saturationPressure(air.dewPoint), pressure);
  const wet = air.wetBulb!;
  const saturated = ratioOfPressure(saturationPressure(wet), pressure);
  return ((2501 - 2.326 * wet) * saturated - 1.006 * (air.dryBulb - wet)) / (2501 + 1.86 * air.dryBulb - 4.186 * wet);
};

/** m³ of moist air per kg of dry air */
export const specificVolume = (air: Air, pressure: number): number =>
  (287.042 * (air.dryBulb + 273.15) * (1 + 1.607858 * humidityRatio(air, pressure))) / pressure;
