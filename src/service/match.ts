import { Refused } from "./refused.js";

/**
 * Whether a caller knows what it changes.
 * @param tag entity tag of what is kept
 * @param ifMatch what the caller sent: tags in a list, or `*`; null: nothing
 * @throws Refused match-required, stale
 */
export const checkMatch = (tag: string, ifMatch: string | null): void => {
  if (ifMatch === null) throw new Refused("match-required", "It exists: send its entity tag as If-Match.");
  if (ifMatch.trim() !== "*" && !ifMatch.split(",").some((each) => each.trim() === tag))
    throw new Refused("stale", "It was changed since; read it again.");
};
