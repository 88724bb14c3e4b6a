import { atLeast } from "../quantity/interval.js";
import { ownNominal } from "./materials.js";

/**
 * Nominal size that a pipe stands for: its own DN, or for metric plastic and size-less pipes the one that its bore
 * reaches.
 * @param material id, or null @param size DN number (outside diameter in mm of metric plastics), or null @param bore m
 * @param equivalents bores in m from which a pipe stands for a size, by falling size
 * @returns DN number; NaN where none is known, or the bore is below the least
 */
export const nominalClass = (
  material: string | null,
  size: number | null,
  bore: number,
  equivalents: readonly { readonly size: number; readonly bore: number }[],
): number => {
  const own = ownNominal({ size, material });
  if (!Number.isNaN(own)) return own;
  return equivalents.find((row) => atLeast(bore, row.bore))?.size ?? Number.NaN;
};
