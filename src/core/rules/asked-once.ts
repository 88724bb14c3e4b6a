import { writtenAt } from "../network/written-at.js";
import { indexed } from "./indexed.js";
import type { Case, Settle } from "./rule.js";

/** Subjects that wait for the same: told by the first of them, counted for each. */
export interface Waiting {
  readonly first: number;
  /** ascending */
  readonly all: readonly number[];
}

/**
 * Subjects by what they wait for, so that what nobody gave for a whole building is asked for once and not once for each
 * pipe. `reason`: null where a subject waits for nothing.
 */
export const waitingFor = (
  subjects: (c: Case) => Iterable<number>,
  reason: (c: Case, subject: number) => string | null,
): ((c: Case) => ReadonlyMap<number, Waiting>) =>
  indexed((c) => {
    const groups = new Map<string, { first: number; all: number[] }>();
    const of = new Map<number, Waiting>();
    for (const subject of subjects(c)) {
      const why = reason(c, subject);
      if (why === null) continue;
      let group = groups.get(why);
      if (group === undefined) {
        group = { first: subject, all: [] };
        groups.set(why, group);
      }
      group.all.push(subject);
      of.set(subject, group);
    }
    return of;
  });

/** What settles a whole group; a figure of a typical is asked for where the typical states it, once. */
export const settleAll = (
  c: Case,
  { all }: Waiting,
  settle: (c: Case, subject: number) => readonly Settle[],
): Settle[] => {
  const asked = new Map<string, Settle>();
  for (const subject of all)
    for (const each of settle(c, subject)) {
      const key = `${writtenAt(c.net.model, each.pointer)} ${each.decision ?? ""}`;
      if (!asked.has(key)) asked.set(key, each);
    }
  return [...asked.values()];
};
