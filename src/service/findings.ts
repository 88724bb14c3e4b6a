import { createHash } from "node:crypto";
import { summarized } from "./building-health.js";
import { found, held } from "./held.js";
import { checkMatch } from "./match.js";
import { Refused } from "./refused.js";
import type { Page, Shelves, Store, StoredFinding, Waiver } from "./shelves.js";

/** Where a finding stands, an open one over which a waiver lies told apart. */
export type LivingState = StoredFinding["state"] | "waived";
export const LIVING_STATES: readonly LivingState[] = ["open", "cleared", "lost-sight", "waived"];

/** A finding in its life, with the waiver that lies over it, if one does. */
export interface LivingFinding extends Omit<StoredFinding, "state"> {
  readonly state: LivingState;
  readonly waiver: Waiver | null;
}

/** The entity tag of a waiver: another one after each change. */
export const waiverTagOf = ({ by, reason, until, createdAt }: Waiver): string =>
  `"${createHash("sha256")
    .update(JSON.stringify([by, reason, until, createdAt]))
    .digest("hex")
    .slice(0, 16)}"`;

const ALL_STATES: readonly StoredFinding["state"][] = ["open", "cleared", "lost-sight"];

const laid = async (shelves: Shelves, building: string, finding: string): Promise<Waiver> => {
  const waiver = await shelves.waivers.get(building, finding);
  if (waiver === null) throw new Refused("not-found", "No waiver lies over that finding.");
  return waiver;
};

export const makeFindings = (store: Store, now: () => Date) => ({
  /** Findings of a building by id. @param asked null: whatever their state */
  list: (
    organization: string,
    building: string,
    asked: LivingState | null,
    page: Page<string>,
  ): Promise<LivingFinding[]> =>
    store.within(organization, async (shelves) => {
      await found(shelves, building);
      const at = now();
      const waivers = new Map((await shelves.waivers.list(building)).map((waiver) => [waiver.finding, waiver]));
      const states = asked === null ? ALL_STATES : asked === "waived" ? (["open"] as const) : [asked];
      const matching: LivingFinding[] = [];
      // waivers are few: pages are read until one is full of what was asked for
      for (let after = page.after; ; ) {
        const rows = await shelves.findings.list(building, states, { after, limit: page.limit });
        for (const row of rows) {
          const known = waivers.get(row.id);
          const waiver = known !== undefined && (known.until === null || known.until > at) ? known : null;
          const state = row.state === "open" && waiver !== null ? "waived" : row.state;
          if (asked === null || asked === state) matching.push({ ...row, state, waiver });
        }
        if (rows.length < page.limit || matching.length >= page.limit) return matching.slice(0, page.limit);
        after = rows[rows.length - 1].id;
      }
    }),

  /** Lays a waiver over an open finding, or changes it. */
  waive: (
    organization: string,
    building: string,
    finding: string,
    words: Pick<Waiver, "by" | "reason" | "until">,
    ifMatch: string | null,
  ): Promise<{ readonly made: boolean; readonly waiver: Waiver }> =>
    store.within(organization, async (shelves) => {
      await held(shelves, building);
      if ((await shelves.findings.get(building, finding)) === null)
        throw new Refused("not-found", "The building has no such finding.");
      const at = now();
      if (words.until !== null && words.until <= at)
        throw new Refused("invalid-body", "The waiver has ended before it began.", [
          { pointer: "/until", detail: "the time has passed", hint: "name a time to come, or leave it out" },
        ]);
      const known = await shelves.waivers.get(building, finding);
      if (known !== null) checkMatch(waiverTagOf(known), ifMatch);
      else if (ifMatch !== null) throw new Refused("stale", "No waiver lies over that finding.");
      const waiver = { building, finding, ...words, createdAt: at };
      await shelves.waivers.put(waiver);
      await summarized(shelves, building, at);
      return { made: known === null, waiver };
    }),

  /** The waiver that was laid over a finding, whether its time has passed or not. */
  waiver: (organization: string, building: string, finding: string): Promise<Waiver> =>
    store.within(organization, async (shelves) => {
      await found(shelves, building);
      return laid(shelves, building, finding);
    }),

  unwaive: (organization: string, building: string, finding: string, ifMatch: string | null): Promise<void> =>
    store.within(organization, async (shelves) => {
      await held(shelves, building);
      checkMatch(waiverTagOf(await laid(shelves, building, finding)), ifMatch);
      await shelves.waivers.remove(building, finding);
      await summarized(shelves, building, now());
    }),
});
export type Findings = ReturnType<typeof makeFindings>;
