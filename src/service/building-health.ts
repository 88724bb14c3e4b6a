import type { Places } from "../core/index.js";
import { found } from "./buildings.js";
import {
  CLEANING_DAYS,
  type Health,
  type HealthState,
  healthFrom,
  type Part,
  type Sign,
  signsAt,
  signsOf,
  worseFirst,
} from "./health.js";
import { Refused } from "./refused.js";
import type { Building, Page, Shelves, Store } from "./shelves.js";

const ALL = 1_000_000;
/** Signs kept with a building for its own health and the portfolio's: the first of each state tell enough. */
const KEPT = 200;

/** Every sign of a building as of an instant; null: it has no revision yet. */
const signsNow = async (shelves: Shelves, building: Building, at: Date): Promise<Sign[] | null> => {
  if (building.revision === 0) return null;
  const { id, revision } = building;
  const [places, audit, times, findings, waivers, observations] = await Promise.all([
    shelves.revisions.places(id, revision),
    shelves.audits.get(id, revision),
    shelves.revisions.times(id),
    shelves.findings.list(id, ["open"], { after: null, limit: ALL }),
    shelves.waivers.list(id),
    shelves.observations.list(id, { from: null, to: at }, { after: null, limit: ALL }),
  ]);
  if (places === null || audit === null) return null;
  return signsOf(
    {
      places: JSON.parse(places) as Places,
      verdict: audit.verdict,
      exposure: audit.exposure,
      revisedAt: times[0] ?? building.createdAt,
      madeAt: (number) => times[number - 1] ?? building.createdAt,
      findings,
      waivers,
      observations,
      cleaningDays: building.cleaningDays ?? CLEANING_DAYS,
    },
    at,
  );
};

const EMPTY: Omit<Health, "at"> = {
  state: "unknown",
  reasons: [],
  next: [{ do: "post the first revision", at: "", who: null }],
};

/** Keeps with the building what its health is read from; called whenever something that it rests on has changed. */
export const summarized = async (shelves: Shelves, id: string, now: Date): Promise<void> => {
  const building = await found(shelves, id);
  // observations that are ahead of the clock speak when their time has come
  const signs = await signsNow(shelves, building, new Date(now.getTime() + 26 * 3_600_000));
  if (signs === null) return;
  const kept = signs.sort((a, b) => worseFirst(a.state, b.state) || a.from - b.from).slice(0, KEPT);
  await shelves.buildings.summarize(id, JSON.stringify(kept));
};

export interface BuildingHealth extends Health {
  readonly building: string;
  readonly name: string;
}

export const makeHealth = (store: Store, now: () => Date) => {
  const whole = async (organization: string, id: string, at: Date | null): Promise<Health> =>
    store.within(organization, async (shelves) => {
      const building = await found(shelves, id);
      const when = at ?? now();
      const signs = await signsNow(shelves, building, when);
      return signs === null ? { ...EMPTY, at: when.toISOString() } : healthFrom(signs, when);
    });

  return {
    whole,
    /** Health of one coil, riser or dwelling. @throws Refused not-found where the network has no such part */
    part: (organization: string, id: string, part: Part, at: Date | null): Promise<Health> =>
      store.within(organization, async (shelves) => {
        const building = await found(shelves, id);
        const places = building.revision === 0 ? null : await shelves.revisions.places(id, building.revision);
        if (places === null || !isPart(JSON.parse(places) as Places, part))
          throw new Refused("not-found", "The building has no such part.");
        const when = at ?? now();
        const signs = (await signsNow(shelves, building, when)) ?? [];
        return healthFrom(signsAt(signs, part), when);
      }),

    /** Health as a series: at each of the instants. */
    series: async (organization: string, id: string, instants: readonly Date[]): Promise<Health[]> => {
      const all: Health[] = [];
      for (const at of instants) all.push(await whole(organization, id, at));
      return all;
    },

    /** Every building of an organization, worst first. */
    portfolio: async (organization: string): Promise<{ state: HealthState; buildings: BuildingHealth[] }> => {
      const page: Page<string> = { after: null, limit: ALL };
      const summaries = await store.within(organization, (shelves) => shelves.buildings.summaries(page));
      const at = now();
      const buildings = summaries.map(({ building, name, signs }): BuildingHealth => {
        const health =
          signs === null ? { ...EMPTY, at: at.toISOString() } : healthFrom(JSON.parse(signs) as Sign[], at);
        return { building, name, ...health };
      });
      buildings.sort((a, b) => worseFirst(a.state, b.state) || (a.building < b.building ? -1 : 1));
      return { state: buildings[0]?.state ?? "good", buildings };
    },
  };
};
export type BuildingHealths = ReturnType<typeof makeHealth>;

const isPart = (places: Places, part: Part): boolean =>
  "fanCoil" in part
    ? places.fanCoils.some(({ id }) => id === part.fanCoil)
    : "riser" in part
      ? places.risers.some(({ id }) => id === part.riser)
      : places.dwellings.includes(part.dwelling);
