import { bore, isMetricPlastic } from "../materials/materials.js";
import { toSi } from "../quantity/units.js";
import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import type { RawQuantity } from "./schema.js";

/**
 * A nominal size as its DN number. For the metric plastic materials a bare number is the outside diameter in mm in
 * either unit system.
 * @returns NaN where absent or wrong; what is wrong has been told
 */
export const sizeOfPipe = (
  draft: Draft,
  raw: RawQuantity | undefined,
  material: string | undefined,
  suffix: string,
): number => {
  if (typeof raw !== "number" || draft.system !== "us" || material === undefined || !isMetricPlastic(material))
    return draft.figure(FIGURES.size, raw, suffix);
  const outside = toSi("size", raw, "si");
  return draft.figure(FIGURES.size, Number.isNaN(outside) ? raw : `DN ${outside}`, suffix);
};

/** Inside diameter of a pipe, measured or from its material's table, m; NaN where unknown or where there is no pipe (-1). */
export const boreOfPipe = (draft: Draft, pipe: number): number => {
  if (pipe < 0 || pipe >= draft.pipes.length || draft.illFormed("pipes", pipe)) return Number.NaN;
  const raw = draft.pipes[pipe];
  if (raw.insideDiameter !== undefined) return draft.quietFigure(FIGURES.bore, raw.insideDiameter);
  if (raw.material === undefined || raw.size === undefined) return Number.NaN;
  const before = draft.quiet;
  draft.quiet = true;
  const size = sizeOfPipe(draft, raw.size, raw.material, "");
  draft.quiet = before;
  return bore(raw.material, size);
};
