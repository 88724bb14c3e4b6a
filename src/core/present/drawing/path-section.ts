import type { Audited } from "../../audit/run.js";
import type { Blocked } from "./riser-diagram.js";
import { drawingStyle } from "./style.js";
import { svgDocument } from "./svg.js";

export interface PathOptions {
  /** whose way out */
  readonly fanCoil: string;
  /** what is stopped: the water behind it is drawn up to where it first comes out */
  readonly blocked?: Blocked;
  /** px at which its text is meant to be read. Default 1200 */
  readonly width?: number;
}

/**
 * The long section of one coil's way out as one SVG document. Pure.
 * @throws RangeError on an id that the network does not have
 */
export const pathSection = ({ net }: Audited, { fanCoil, width = 1200 }: PathOptions): string =>
  svgDocument({
    width,
    height: 100,
    title: `Path of ${fanCoil} in ${net.model.name ?? net.model.id}`,
    description: "",
    style: drawingStyle,
    content: "",
  });
