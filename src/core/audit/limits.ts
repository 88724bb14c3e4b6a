import { MAX_DEPTH } from "../network/json.js";
import { MAX_LISTED } from "../network/problems.js";

/** Bounds of what is taken in one document. */
export const LIMITS = {
  /** bytes of one document */
  maxBytes: 64 * 1024 * 1024,
  /** nodes and pipes of one document together */
  maxElements: 500_000,
  /** brackets within brackets */
  maxDepth: MAX_DEPTH,
  /** problems that are listed; all are counted */
  maxProblems: MAX_LISTED,
} as const;
