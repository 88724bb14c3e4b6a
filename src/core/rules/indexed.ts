import type { Facts } from "../analysis/facts.js";
import type { Case } from "./rule.js";

/**
 * Something that a rule looks up per subject and that takes one pass over the facts to build. It depends on nothing but
 * the facts, and lives no longer than they do.
 */
export const indexed = <T extends object>(build: (c: Case) => T): ((c: Case) => T) => {
  const built = new WeakMap<Facts, T>();
  return (c) => {
    const known = built.get(c.facts);
    if (known !== undefined) return known;
    const made = build(c);
    built.set(c.facts, made);
    return made;
  };
};
