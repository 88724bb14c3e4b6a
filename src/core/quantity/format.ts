import { EPSILON } from "./interval.js";
import { sizeName } from "./sizes.js";
import type { QuantityKind } from "./speaker.js";
import type { UnitSystem } from "./unit-system.js";
import { fromSi } from "./units.js";

/** How a kind is printed: the figure shown per SI unit and unit system, its unit, and how many decimals suit its size. */
interface Print {
  readonly shown: (si: number) => number;
  readonly unit: string;
  readonly decimals: (shown: number) => number;
}

/** As many decimals as give three figures, from none to `most`. */
const threeFigures =
  (most: number) =>
  (shown: number): number => {
    const size = Math.abs(shown);
    const whole = size < 1 ? (size < 0.1 ? (size < 0.01 ? -1 : 0) : 0) : Math.floor(Math.log10(size)) + 1;
    return Math.max(0, Math.min(most, 3 - whole));
  };
const fixed = (count: number) => (): number => count;
const asBare = (kind: QuantityKind, system: UnitSystem) => (si: number) => fromSi(kind, si, system);

const prints: Readonly<Record<UnitSystem, Readonly<Record<Exclude<QuantityKind, "size" | "duration">, Print>>>> = {
  si: {
    length: { shown: (m) => m, unit: "m", decimals: fixed(3) },
    elevation: { shown: (m) => m, unit: "m", decimals: fixed(3) },
    dimension: { shown: (m) => m * 1000, unit: "mm", decimals: (mm) => (Math.abs(mm) < 100 ? 1 : 0) },
    "gauge-pressure": { shown: (pa) => pa, unit: "Pa", decimals: (pa) => (Math.abs(pa) < 10 ? 1 : 0) },
    pressure: { shown: (pa) => pa / 1000, unit: "kPa", decimals: fixed(1) },
    "cooling-capacity": { shown: (w) => w / 1000, unit: "kW", decimals: threeFigures(2) },
    flow: { shown: asBare("flow", "si"), unit: "L/h", decimals: threeFigures(3) },
    airflow: { shown: asBare("airflow", "si"), unit: "m³/h", decimals: fixed(0) },
    temperature: { shown: (c) => c, unit: "°C", decimals: fixed(1) },
    area: { shown: (m2) => m2, unit: "m²", decimals: threeFigures(3) },
    volume: { shown: asBare("volume", "si"), unit: "L", decimals: threeFigures(3) },
    conductivity: { shown: (k) => k, unit: "W/(m·K)", decimals: fixed(3) },
    grade: { shown: (ratio) => ratio * 100, unit: "%", decimals: fixed(2) },
    ratio: { shown: (ratio) => ratio, unit: "", decimals: threeFigures(3) },
    angle: { shown: (deg) => deg, unit: "°", decimals: fixed(1) },
    velocity: { shown: (v) => v, unit: "m/s", decimals: threeFigures(3) },
    "flow-per-capacity": { shown: asBare("flow-per-capacity", "si"), unit: "L/h per kW", decimals: threeFigures(3) },
    count: { shown: (count) => count, unit: "", decimals: fixed(0) },
    density: { shown: (rho) => rho, unit: "kg/m³", decimals: threeFigures(3) },
    viscosity: { shown: (nu) => nu * 1e6, unit: "mm²/s", decimals: threeFigures(3) },
    "film-coefficient": { shown: (h) => h, unit: "W/(m²·K)", decimals: threeFigures(2) },
    modulus: { shown: (pa) => pa / 1e9, unit: "GPa", decimals: threeFigures(3) },
    "specific-energy": { shown: (j) => j / 1000, unit: "kJ/kg", decimals: threeFigures(3) },
    "specific-volume": { shown: (v) => v, unit: "m³/kg", decimals: fixed(3) },
    "humidity-ratio": { shown: (w) => w * 1000, unit: "g/kg", decimals: threeFigures(3) },
    "mass-flow": { shown: (q) => q * 3600, unit: "kg/h", decimals: threeFigures(3) },
    "temperature-difference": { shown: (k) => k, unit: "K", decimals: fixed(1) },
    "absolute-temperature": { shown: (k) => k, unit: "K", decimals: fixed(1) },
    "weight-per-length": { shown: (w) => w, unit: "N/m", decimals: threeFigures(3) },
    "second-moment": { shown: (i) => i * 1e12, unit: "mm⁴", decimals: fixed(0) },
  },
  us: {
    length: { shown: asBare("length", "us"), unit: "ft", decimals: fixed(2) },
    elevation: { shown: asBare("elevation", "us"), unit: "ft", decimals: fixed(2) },
    dimension: { shown: asBare("dimension", "us"), unit: "in", decimals: fixed(2) },
    "gauge-pressure": { shown: asBare("gauge-pressure", "us"), unit: "inH2O", decimals: threeFigures(3) },
    pressure: { shown: asBare("pressure", "us"), unit: "inHg", decimals: fixed(2) },
    "cooling-capacity": { shown: asBare("cooling-capacity", "us"), unit: "ton", decimals: threeFigures(2) },
    flow: { shown: asBare("flow", "us"), unit: "gal/h", decimals: threeFigures(3) },
    airflow: { shown: asBare("airflow", "us"), unit: "ft³/min", decimals: fixed(0) },
    temperature: { shown: asBare("temperature", "us"), unit: "°F", decimals: fixed(1) },
    area: { shown: asBare("area", "us"), unit: "ft²", decimals: threeFigures(3) },
    volume: { shown: asBare("volume", "us"), unit: "gal", decimals: threeFigures(3) },
    conductivity: { shown: asBare("conductivity", "us"), unit: "Btu·in/(h·ft²·°F)", decimals: fixed(3) },
    grade: { shown: (ratio) => ratio * 12, unit: "in/ft", decimals: fixed(3) },
    ratio: { shown: (ratio) => ratio, unit: "", decimals: threeFigures(3) },
    angle: { shown: (deg) => deg, unit: "°", decimals: fixed(1) },
    velocity: { shown: asBare("velocity", "us"), unit: "ft/s", decimals: threeFigures(2) },
    "flow-per-capacity": { shown: asBare("flow-per-capacity", "us"), unit: "gal/h per ton", decimals: threeFigures(3) },
    count: { shown: (count) => count, unit: "", decimals: fixed(0) },
    density: { shown: asBare("density", "us"), unit: "lb/ft³", decimals: threeFigures(3) },
    viscosity: { shown: asBare("viscosity", "us"), unit: "ft²/s", decimals: fixed(9) },
    "film-coefficient": {
      shown: asBare("film-coefficient", "us"),
      unit: "Btu/(h·ft²·°F)",
      decimals: threeFigures(3),
    },
    modulus: { shown: asBare("modulus", "us"), unit: "psi", decimals: fixed(0) },
    "specific-energy": { shown: asBare("specific-energy", "us"), unit: "Btu/lb", decimals: threeFigures(3) },
    "specific-volume": { shown: asBare("specific-volume", "us"), unit: "ft³/lb", decimals: fixed(2) },
    "humidity-ratio": { shown: asBare("humidity-ratio", "us"), unit: "gr/lb", decimals: threeFigures(3) },
    "mass-flow": { shown: asBare("mass-flow", "us"), unit: "lb/h", decimals: threeFigures(3) },
    "temperature-difference": { shown: asBare("temperature-difference", "us"), unit: "°F", decimals: fixed(1) },
    "absolute-temperature": { shown: asBare("absolute-temperature", "us"), unit: "°R", decimals: fixed(1) },
    "weight-per-length": { shown: asBare("weight-per-length", "us"), unit: "lbf/ft", decimals: threeFigures(3) },
    "second-moment": { shown: asBare("second-moment", "us"), unit: "in⁴", decimals: fixed(4) },
  },
};

/** Rounding to the side: the figure printed is never past the true one. */
export type Toward = "down" | "up";

/** A digit that is off by less than this share of a last place is the last place: 0.29 × 100 is 29. */
const SLACK = 1e-7;

const rounded = (value: number, decimals: number, toward?: Toward): number => {
  const scale = 10 ** decimals;
  const scaled = value * scale;
  const whole = Math.round(scaled);
  const near = Math.abs(scaled - whole) <= SLACK + Math.abs(scaled) * 1e-12;
  const result = near || toward === undefined ? whole : toward === "down" ? Math.floor(scaled) : Math.ceil(scaled);
  return result === 0 ? 0 : result / scale;
};

/** Plain decimals, thousands apart by nothing, no trailing zeros unless asked. */
const digits = (value: number, decimals: number, keepZeros = false): string => {
  const text = (value === 0 ? 0 : value).toFixed(decimals);
  return keepZeros || !text.includes(".") ? text : text.replace(/\.?0+$/, "");
};

const withUnit = (text: string, unit: string): string =>
  unit === "" || unit === "°" ? `${text}${unit}` : `${text} ${unit}`;

/** Inches as the trade says them: a fraction of sixteenths where it is one, else undefined. */
const fraction = (inches: number): string | undefined => {
  const sixteenths = Math.round(inches * 16);
  if (Math.abs(inches * 16 - sixteenths) > 1e-6 * 16 || sixteenths === 0 || Math.abs(inches) >= 100) return undefined;
  const size = Math.abs(sixteenths);
  const whole = Math.floor(size / 16);
  let top = size % 16;
  let over = 16;
  while (top > 0 && top % 2 === 0) {
    top /= 2;
    over /= 2;
  }
  const sign = sixteenths < 0 ? "-" : "";
  if (top === 0) return `${sign}${whole}`;
  return whole === 0 ? `${sign}${top}/${over}` : `${sign}${whole}-${top}/${over}`;
};

const duration = (seconds: number, toward?: Toward): string => {
  const size = Math.abs(seconds);
  const [over, unit, decimals] =
    size < 90
      ? [1, "s", 0]
      : size < 120 * 60
        ? [60, "min", 0]
        : size < 48 * 3600
          ? [3600, "h", 1]
          : [86_400, "days", 0];
  return `${digits(rounded(seconds / (over as number), decimals as number, toward), decimals as number)} ${unit}`;
};

const print = (
  si: number,
  kind: Exclude<QuantityKind, "size" | "duration">,
  system: UnitSystem,
  decimals: number,
  toward: Toward | undefined,
  zeros: boolean,
): string => {
  const how = prints[system][kind];
  const shown = how.shown(si);
  if (system === "us" && kind === "dimension") {
    const inches = fraction(shown);
    if (inches !== undefined) return `${inches} in`;
  }
  const text = withUnit(digits(rounded(shown, decimals, toward), decimals, zeros), how.unit);
  if (system === "us" && kind === "grade") {
    const percent = digits(rounded(si * 100, Math.max(2, decimals - 1), toward), Math.max(2, decimals - 1), true);
    return `${text} (${percent} %)`;
  }
  return text;
};

const isGrade = (kind: QuantityKind): boolean => kind === "grade";

/** The unit that people write a figure in: `mm` or `in`; durations in s. */
export const writtenUnit = (kind: Exclude<QuantityKind, "size">, system: UnitSystem): string =>
  kind === "duration" ? "s" : prints[system][kind].unit;

/**
 * Prints a figure with its unit for people.
 * @param si SI base units (sizes as DN numbers)
 * @param toward rounds to that side, so that a printed figure never contradicts its outcome
 * @param names how nominal sizes are said; by default as the unit system does
 */
export const formatQuantity = (
  si: number,
  kind: QuantityKind,
  system: UnitSystem,
  toward?: Toward,
  names: "nps" | "dn" = system === "us" ? "nps" : "dn",
): string => {
  if (Number.isNaN(si)) return "unknown";
  if (!Number.isFinite(si)) return si > 0 ? "without limit" : "below any limit";
  if (kind === "size") return sizeName(si, names);
  if (kind === "duration") return duration(si, toward);
  const how = prints[system][kind];
  return print(si, kind, system, how.decimals(how.shown(si)), toward, isGrade(kind));
};

/** A probability for people, never rounded to certainty: `63 %`, `3.8 %`, `over 99 %`. */
export const formatProbability = (p: number): string => {
  if (p > 0 && p < 0.0005) return "under 0.1 %";
  if (p < 1 && p >= 0.995) return "over 99 %";
  return `${(100 * p).toFixed(p < 0.0995 ? 1 : 0)} %`;
};

/**
 * Prints a figure to so many significant digits, as a calculation sheet shows it: `1.004 in`, `0.3395 gal/h`.
 * @param si SI base units; finite
 */
export const formatSignificant = (
  si: number,
  kind: Exclude<QuantityKind, "size" | "duration">,
  system: UnitSystem,
  digits = 4,
): string => {
  const { shown, unit } = prints[system][kind];
  return withUnit(String(Number(shown(si).toPrecision(digits))), unit);
};

/** Equal within the comparison of figures with limits: 1 µm for lengths and ratios, or 1e-9 of the limit. */
const equalWithin = (a: number, b: number): boolean => Math.abs(a - b) <= Math.max(EPSILON, Math.abs(b) * 1e-9);

/** Kinds of a size at which one millionth is far below a printed digit; others compare by 1e-9 of the limit alone. */
const byMicrometre: ReadonlySet<QuantityKind> = new Set([
  "length",
  "elevation",
  "dimension",
  "grade",
  "ratio",
  "angle",
  "temperature",
  "count",
  "size",
]);

/**
 * Prints a figure and its limit so that the two never print alike unless they are equal within the comparison, and
 * never stand in the wrong order: 0.996 % against 1 % prints 0.99 %.
 */
export const formatAgainst = (
  si: number,
  limit: number,
  kind: QuantityKind,
  system: UnitSystem,
  names?: "nps" | "dn",
): { figure: string; limit: string } => {
  const plain = {
    figure: formatQuantity(si, kind, system, undefined, names),
    limit: formatQuantity(limit, kind, system, undefined, names),
  };
  if (kind === "size" || kind === "duration" || !Number.isFinite(si) || !Number.isFinite(limit)) return plain;
  const same = byMicrometre.has(kind) ? equalWithin(si, limit) : Math.abs(si - limit) <= Math.abs(limit) * 1e-9;
  if (same) return { figure: plain.limit, limit: plain.limit };
  const how = prints[system][kind];
  const a = how.shown(si);
  const b = how.shown(limit);
  const toward: Toward = a < b ? "down" : "up";
  for (let decimals = Math.max(how.decimals(a), how.decimals(b)); decimals <= 12; decimals += 1) {
    const apart = (one: number, other: number, places: number): boolean => {
      const figure = rounded(one, places, toward);
      const bound = rounded(other, places);
      // not only apart but in order: a limit rounded past the figure would contradict it
      return a < b ? figure < bound : figure > bound;
    };
    const inPercentToo = system === "us" && kind === "grade";
    if (apart(a, b, decimals) && (!inPercentToo || apart(si * 100, limit * 100, Math.max(2, decimals - 1))))
      return {
        figure: print(si, kind, system, decimals, toward, isGrade(kind)),
        limit: print(limit, kind, system, decimals, undefined, isGrade(kind)),
      };
  }
  return plain;
};
