import { bore } from "../materials/materials.js";
import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";

/** Bore of a stated pipe, m: as measured, else its material's table; NaN where neither says it. -1: no pipe. */
export const boreOfPipe = (draft: Draft, pipe: number): number => {
  if (pipe < 0 || pipe >= draft.pipes.length || draft.illFormed("pipes", pipe)) return Number.NaN;
  const raw = draft.pipes[pipe];
  if (raw.insideDiameter !== undefined) return draft.quietFigure(FIGURES.bore, raw.insideDiameter);
  if (raw.material === undefined || raw.size === undefined) return Number.NaN;
  return bore(raw.material, draft.quietFigure(FIGURES.size, raw.size));
};
