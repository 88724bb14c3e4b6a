import type { UnitSystem } from "./unit-system.js";

/** A nominal pipe size: its DN number and its NPS name in inches. */
export interface NominalSize {
  readonly dn: number;
  readonly nps: string;
  readonly inches: number;
}

/** DN and NPS name one size. Ascending. */
export const NOMINAL_SIZES: readonly NominalSize[] = [
  { dn: 6, nps: "1/8", inches: 0.125 },
  { dn: 8, nps: "1/4", inches: 0.25 },
  { dn: 10, nps: "3/8", inches: 0.375 },
  { dn: 15, nps: "1/2", inches: 0.5 },
  { dn: 20, nps: "3/4", inches: 0.75 },
  { dn: 25, nps: "1", inches: 1 },
  { dn: 32, nps: "1-1/4", inches: 1.25 },
  { dn: 40, nps: "1-1/2", inches: 1.5 },
  { dn: 50, nps: "2", inches: 2 },
  { dn: 65, nps: "2-1/2", inches: 2.5 },
  { dn: 80, nps: "3", inches: 3 },
  { dn: 90, nps: "3-1/2", inches: 3.5 },
  { dn: 100, nps: "4", inches: 4 },
  { dn: 125, nps: "5", inches: 5 },
  { dn: 150, nps: "6", inches: 6 },
  { dn: 200, nps: "8", inches: 8 },
  { dn: 250, nps: "10", inches: 10 },
  { dn: 300, nps: "12", inches: 12 },
  { dn: 350, nps: "14", inches: 14 },
  { dn: 400, nps: "16", inches: 16 },
  { dn: 450, nps: "18", inches: 18 },
  { dn: 500, nps: "20", inches: 20 },
  { dn: 600, nps: "24", inches: 24 },
];

const byDn: ReadonlyMap<number, NominalSize> = new Map(NOMINAL_SIZES.map((size) => [size.dn, size]));
const byInches: ReadonlyMap<number, NominalSize> = new Map(NOMINAL_SIZES.map((size) => [size.inches, size]));

/** DN number of a nominal size in inches; NaN where the trade has no such size. */
export const dnOfInches = (inches: number): number => byInches.get(inches)?.dn ?? Number.NaN;

/** Inches of a DN number; NaN where it has no NPS twin. */
export const inchesOfDn = (dn: number): number => byDn.get(dn)?.inches ?? Number.NaN;

/**
 * Prints a nominal size: `3/4 in` or `DN 20`.
 * @param dn DN number (of metric plastics: the outside diameter)
 * @param names `nps` or `dn`; a number without NPS twin is printed as millimetres either way
 */
export const sizeName = (dn: number, names: "nps" | "dn"): string => {
  if (names === "dn") return `DN ${dn}`;
  const size = byDn.get(dn);
  return size === undefined ? `${dn} mm` : `${size.nps} in`;
};

/** What a size by an outside diameter (metric plastics) is printed as. */
export const outsideDiameterName = (millimetres: number): string => `${millimetres} mm`;

const nearest = (dn: number): string => {
  let below = NOMINAL_SIZES[0]!;
  let above = NOMINAL_SIZES.at(-1)!;
  for (const size of NOMINAL_SIZES) {
    if (size.dn <= dn) below = size;
    if (size.dn >= dn && size.dn < above.dn) above = size;
  }
  return below.dn === above.dn
    ? `DN ${below.dn} (${below.nps} in)`
    : `DN ${below.dn} (${below.nps} in) or DN ${above.dn} (${above.nps} in)`;
};

/**
 * A number as a nominal size: DN in millimetres, or NPS in inches, by `names`.
 * @returns the DN number, a whole number; NaN where there is no such size
 */
export const nominalSize = (value: number, names: UnitSystem): number => {
  if (names === "us") return dnOfInches(Math.round(value * 8) / 8 === value ? value : Number.NaN);
  return Number.isInteger(value) && value >= 1 ? value : Number.NaN;
};

/** What to say where a number is no nominal size. */
export const sizeAdvice = (value: number, names: UnitSystem): string => {
  const dn = names === "us" ? value * 25.4 : value;
  return `the nearest nominal sizes are ${nearest(dn)}; a measured bore belongs in insideDiameter`;
};
