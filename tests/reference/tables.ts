/**
 * What the reference takes as given: the tables of pipe bores and the figures of the code profiles. They are data with
 * tests of their own; only what is computed from them is computed twice.
 */
import { materials } from "../../src/core/materials/materials.js";
import { type LimitName, limitOf } from "../../src/core/profiles/profile.js";
import { profileById } from "../../src/core/profiles/profiles.js";

/** Sizes of a material in rising order with their mean bores, m. */
const bores = new Map<string | null, readonly [size: number, bore: number][]>(
  materials.map(({ id, sizes }) => [id, sizes.map(({ size, bore }) => [size, bore])]),
);
export const boresOf = (material: string | null): readonly [size: number, bore: number][] => bores.get(material) ?? [];

/** m; null where neither measured nor in a table */
export const boreOf = (material: string | null, size: number | null, measured: number | null): number | null => {
  const bore = measured ?? boresOf(material).find(([nominal]) => nominal === size)?.[1] ?? Number.NaN;
  return Number.isNaN(bore) ? null : bore;
};

export const cleanManning = (material: string | null): number =>
  materials.find(({ id }) => id === material)?.manningN ?? 0;

export interface ReferenceProfile {
  minimumGrade: number;
  maximumFill: number;
  riserFraction: number;
  manning: number;
  drawThroughMargin: number;
  blowThroughMargin: number;
  ratePerCapacity: number;
  codeRows: readonly { upTo: number; size: number }[] | null;
  aboveTable: "hydraulic" | "undetermined";
  ventRule: "trip" | "rim" | "spill-at-vent";
  sizeSystem: "nps" | "dn";
}

export const profileOf = (base: string, overrides: ReadonlyMap<string, number>): ReferenceProfile => {
  const profile = profileById(base)!;
  const limit = (name: LimitName): number => overrides.get(name) ?? limitOf(profile, name).value;
  return {
    minimumGrade: limit("fall.minimumGrade"),
    maximumFill: limit("capacity.maximumFill"),
    riserFraction: limit("capacity.riserFraction"),
    manning: limit("capacity.manningN"),
    drawThroughMargin: limit("trap.drawThroughMargin"),
    blowThroughMargin: limit("trap.blowThroughMargin"),
    ratePerCapacity: limit("load.ratePerCapacity"),
    codeRows: profile.codeTable?.rows ?? null,
    aboveTable: profile.aboveTable,
    ventRule: profile.ventRule,
    sizeSystem: profile.sizeSystem,
  };
};
