import type { SourceId } from "../sources/sources.js";
import type { Confidence } from "./profile.js";

/** The drain materials that one edition lists. */
export interface MaterialList {
  readonly edition: string;
  /** ids of materials */
  readonly materials: readonly string[];
  readonly source: SourceId;
  readonly confidence: Confidence;
}

const SINCE_2003 = [
  "cast-iron",
  "steel-galv",
  "copper-k",
  "copper-l",
  "copper-m",
  "copper-dwv",
  "pex",
  "pe-metric",
  "abs-dwv",
  "cpvc-cts",
  "pvc-sch40",
  "pvc-sch80",
  "pvc-dwv",
  "pvc-u-metric",
] as const;

/** Newest first: the first is the profile's own. */
export const IMC_MATERIALS: readonly MaterialList[] = [
  {
    edition: "2021",
    materials: [...SINCE_2003, "pp-metric", "pe-rt", "pvdf"],
    source: "imc-307.2.2-2021",
    confidence: "high",
  },
  { edition: "2018", materials: [...SINCE_2003, "pp-metric"], source: "imc-307.2.2", confidence: "medium" },
  { edition: "2003", materials: SINCE_2003, source: "imc-2003", confidence: "medium" },
];
