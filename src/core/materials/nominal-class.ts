import { atLeast } from "../quantity/interval.js";
import { isMetricPlastic } from "./materials.js";

/** Bores, mm, from which a pipe without a DN or NPS of its own stands for that nominal size. */
const CLASS_BORES = [50, 40, 32, 25, 20] as const;

/**
 * Nominal size that a pipe stands for: its own DN, or for metric plastic and size-less pipes the one that its bore
 * reaches.
 * @param material id, or null @param size DN number (outside diameter in mm of metric plastics), or null @param bore m
 * @returns DN number; NaN where none is known, or the bore is below the least
 */
export const nominalClass = (material: string | null, size: number | null, bore: number): number => {
  if (size !== null && !(material !== null && isMetricPlastic(material))) return size;
  return CLASS_BORES.find((dn) => atLeast(bore, dn / 1000)) ?? Number.NaN;
};
