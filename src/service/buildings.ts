import { summarized } from "./building-health.js";
import { found, held } from "./held.js";
import { checkMatch } from "./match.js";
import { Refused } from "./refused.js";
import type { Building, Page, Store } from "./shelves.js";

/** What a caller may say of a building. */
export interface BuildingWords {
  readonly name: string;
  /** IANA name */
  readonly timeZone: string;
  readonly tags: readonly string[];
  readonly cleaningDays: number | null;
}

/** The entity tag of a building: another one after each change, and after it was removed and made again. */
export const tagOf = ({ createdAt, version }: Building): string => `"${createdAt.getTime().toString(36)}-${version}"`;

export const makeBuildings = (store: Store, now: () => Date) => ({
  /** Makes a building, or changes what is said of one. */
  put: (organization: string, id: string, words: BuildingWords, ifMatch: string | null) =>
    store.within(organization, async (shelves) => {
      const known = await shelves.buildings.hold(id);
      if (known === null) {
        if (ifMatch !== null) throw new Refused("stale", "There is no such building.");
        if (!(await shelves.buildings.add({ id, ...words, createdAt: now() })))
          throw new Refused("match-required", "Somebody else made it just now: send its entity tag as If-Match.");
        return { made: true, building: await found(shelves, id) };
      }
      checkMatch(tagOf(known), ifMatch);
      await shelves.buildings.change(id, { ...words, changedAt: now() });
      if (words.cleaningDays !== known.cleaningDays || words.timeZone !== known.timeZone)
        await summarized(shelves, id, now());
      return { made: false, building: await found(shelves, id) };
    }),

  get: (organization: string, id: string) => store.within(organization, (shelves) => found(shelves, id)),

  list: (organization: string, page: Page<string>) =>
    store.within(organization, (shelves) => shelves.buildings.list(page)),

  /** With all its revisions, audits, findings and observations. */
  remove: (organization: string, id: string, ifMatch: string | null) =>
    store.within(organization, async (shelves) => {
      checkMatch(tagOf(await held(shelves, id)), ifMatch);
      await shelves.buildings.remove(id);
    }),
});
export type Buildings = ReturnType<typeof makeBuildings>;
