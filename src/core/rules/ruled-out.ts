import type { SourceId } from "../sources/sources.js";
import type { Evidence } from "./rule.js";

/** One thing that a table of the profile does not allow, so that the finding cites whose table it is. */
export const ruledOut = (name: string, table: string, source: SourceId, from: readonly string[]): Evidence[] => [
  { name, low: 1, best: 1, high: 1, kind: "count", limit: { name: table, value: 0, source }, margin: -1, from },
];
