import type { Audited } from "../../audit/run.js";
import { emphasisOf, type Highlight } from "./emphasis.js";
import { indexOf, placeMarks } from "./marks.js";
import { partOfRiser, risersOf } from "./risers.js";
import { type Drawing, drawSheet } from "./sheet.js";

export interface RiserOptions {
  readonly highlight?: Highlight;
  /** the foot of a riser: a sheet of that riser alone, every floor of it */
  readonly riser?: string;
  /** px at which its text is meant to be read; what is wider goes on below. Default 1400 */
  readonly width?: number;
  /** px; a picture of the whole that is higher than this with more detail is drawn with less. Default 2400 */
  readonly highest?: number;
}

/**
 * The building's drains as one SVG document: floors as levels, each riser in its place, findings by their place in the
 * audit's list, counted from 1. Floors that are alike are drawn once. Pure: the same network and options give the same
 * bytes.
 * @throws RangeError on an id that the network or its audit does not have
 */
export const riserDiagram = (audited: Audited, options: RiserOptions = {}): string =>
  riserDrawing(audited, options).svg;

/** The same, and where paper may be cut through it. */
export const riserDrawing = (
  audited: Audited,
  { highlight, riser, width = 1400, highest = 2400 }: RiserOptions,
): Drawing => {
  const { net } = audited;
  const index = indexOf(net);
  const marks = placeMarks(audited, index);
  const risers = risersOf(audited);
  const emphasis = highlight === undefined ? null : emphasisOf(audited, index, highlight);
  const name = net.model.name ?? net.model.id;
  if (riser === undefined)
    return drawSheet({
      audited,
      marks,
      risers,
      emphasis,
      width,
      title: name,
      kind: "Riser diagram",
      part: null,
      folds: true,
      highest,
      key: true,
    });
  const { part, offSheet, number } = partOfRiser(audited, index, risers, riser);
  return drawSheet({
    audited,
    marks,
    risers,
    emphasis,
    width,
    title: `${name}: riser ${number}`,
    kind: "Sheet of one riser",
    part,
    offSheet,
    folds: false,
    highest: Number.POSITIVE_INFINITY,
    key: true,
  });
};
