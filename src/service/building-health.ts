import type { Places } from "../core/index.js";
import {
  bare,
  type Cleaning,
  cleaningsAt,
  HEALTH_TYPES,
  type Health,
  type HealthInputs,
  type HealthState,
  healthFrom,
  type Judged,
  type Outlook,
  outlookOf,
  type Part,
  type Sign,
  signsAt,
  signsOf,
  stateFrom,
  worseFirst,
} from "./health.js";
import { found } from "./held.js";
import { Refused } from "./refused.js";
import type { Building, Page, Shelves, Store } from "./shelves.js";

const ALL = 1_000_000;

/** Everything that a building's health is a function of; null: it has no revision yet. */
const inputsOf = async (shelves: Shelves, building: Building): Promise<HealthInputs | null> => {
  const { id, revision, cleaningDays, timeZone } = building;
  if (revision === 0) return null;
  const places = await shelves.revisions.places(id, revision);
  if (places === null) return null;
  const revised = await shelves.revisions.times(id);
  const audits = await shelves.audits.list(id);
  return {
    places: JSON.parse(places) as Places,
    building,
    revised,
    judged: judgedOf(revised, audits),
    findings: await shelves.findings.list(id, ["open", "cleared", "lost-sight"], { after: null, limit: ALL }),
    waivers: await shelves.waivers.list(id),
    observations: await shelves.observations.ofTypes(id, HEALTH_TYPES),
    cleaningDays,
    timeZone,
  };
};

/** Which verdict counted from when: that of the newest revision, as it was audited last. */
function judgedOf(revised: readonly Date[], audits: Awaited<ReturnType<Shelves["audits"]["list"]>>): Judged[] {
  const judged: Judged[] = [];
  for (const { revision, sequence, madeAt, verdict, exposure } of audits) {
    const began = revised[revision - 1] ?? madeAt;
    const from = sequence === 1 ? began : madeAt;
    const next = revised[revision];
    // an old revision that is audited again says nothing of what has come since
    if (next === undefined || from < next) judged.push({ from, verdict, exposure });
  }
  return judged;
}

const allSigns = async (shelves: Shelves, building: Building): Promise<Sign[]> => {
  const inputs = await inputsOf(shelves, building);
  return inputs === null ? [bare(building)] : signsOf(inputs);
};

/** What is kept with a building so that its health need not be worked out again: it tells every instant from `asOf` on. */
interface Kept {
  readonly asOf: number;
  readonly signs: readonly Sign[];
}

/** Keeps with the building what its health is read from; called whenever something that it rests on has changed. */
export const summarized = async (shelves: Shelves, id: string, now: Date): Promise<void> => {
  const inputs = await inputsOf(shelves, await found(shelves, id));
  if (inputs === null) return;
  const asOf = now.getTime();
  const signs = signsOf(inputs).filter(({ until }) => until > asOf);
  const kept: Kept = { asOf, signs };
  await shelves.buildings.summarize(id, { signs: JSON.stringify(kept), outlook: JSON.stringify(outlookOf(signs)) });
};

/** Signs that tell the health of a building at an instant. */
const signsFor = async (shelves: Shelves, id: string, at: Date): Promise<readonly Sign[]> => {
  const text = await shelves.buildings.signs(id);
  const kept = text === null ? null : (JSON.parse(text) as Kept);
  if (kept !== null && kept.asOf <= at.getTime()) return kept.signs;
  return allSigns(shelves, await found(shelves, id));
};

export interface BuildingHealth extends Health {
  readonly building: string;
  readonly name: string;
}

/** A building's place in the portfolio: worse states first, then by id. */
export interface PortfolioPlace {
  readonly state: HealthState;
  readonly building: string;
}

export interface Portfolio extends Health {
  readonly buildings: readonly BuildingHealth[];
}

const behind = (a: PortfolioPlace, b: PortfolioPlace): number =>
  worseFirst(a.state, b.state) || (a.building < b.building ? -1 : a.building > b.building ? 1 : 0);

export const makeHealth = (store: Store, now: () => Date) => ({
  /** Health of a building. @param at null: now */
  whole: (organization: string, id: string, at: Date | null): Promise<Health> =>
    store.within(organization, async (shelves) => {
      const when = at ?? now();
      return healthFrom(await signsFor(shelves, id, when), when);
    }),

  /** Health of one coil, riser or dwelling. @throws Refused not-found where the network has no such part */
  part: (organization: string, id: string, part: Part, at: Date | null): Promise<Health> =>
    store.within(organization, async (shelves) => {
      const building = await found(shelves, id);
      const places = building.revision === 0 ? null : await shelves.revisions.places(id, building.revision);
      if (places === null || !isPart(JSON.parse(places) as Places, part))
        throw new Refused("not-found", "The building has no such part.");
      const when = at ?? now();
      return healthFrom(signsAt(await signsFor(shelves, id, when), part), when);
    }),

  /**
   * Health as a series: as it was at `from`, and from then on at each instant at which a reason began or ended.
   * @param page goes on after an instant
   */
  history: (
    organization: string,
    id: string,
    { from, to }: { readonly from: Date; readonly to: Date },
    page: Page<Date>,
  ): Promise<Health[]> =>
    store.within(organization, async (shelves) => {
      const signs = await allSigns(shelves, await found(shelves, id));
      return seriesOf(signs, page.after ?? from, to, page.limit, page.after === null);
    }),

  /** Health at each of the instants. */
  series: (organization: string, id: string, instants: readonly Date[]): Promise<Health[]> =>
    store.within(organization, async (shelves) => {
      const signs = await allSigns(shelves, await found(shelves, id));
      return instants.map((at) => healthFrom(signs, at));
    }),

  /** When each riser, and what else is common, was cleaned and is to be cleaned next, and why. */
  cleanings: (organization: string, id: string, at: Date | null): Promise<Cleaning[]> =>
    store.within(organization, async (shelves) => {
      const inputs = await inputsOf(shelves, await found(shelves, id));
      return inputs === null ? [] : cleaningsAt(inputs, at ?? now());
    }),

  /** The buildings of an organization, worst first, a page of them; the state of the whole is that of the worst. */
  portfolio: (
    organization: string,
    page: { readonly after: PortfolioPlace | null; readonly limit: number } = { after: null, limit: ALL },
  ): Promise<Portfolio> =>
    store.within(organization, async (shelves) => {
      const at = now();
      let outlooks = await shelves.buildings.outlooks();
      const behindhand = outlooks.filter(({ revision, outlook }) => revision > 0 && outlook === null);
      for (const { building } of behindhand) await summarized(shelves, building, at);
      if (behindhand.length > 0) outlooks = await shelves.buildings.outlooks();
      const all = outlooks.map(({ building, outlook }) => ({
        building,
        state: outlook === null ? ("unknown" as const) : stateFrom(JSON.parse(outlook) as Outlook, at),
      }));
      all.sort(behind);
      const { after } = page;
      const listed = all.filter((each) => after === null || behind(each, after) > 0).slice(0, page.limit);
      const summaries = await shelves.buildings.summaries(listed.map(({ building }) => building));
      const told = new Map(summaries.map((summary) => [summary.building, summary]));
      const buildings = listed.flatMap(({ building }): BuildingHealth[] => {
        const summary = told.get(building);
        if (summary === undefined) return [];
        const { name, createdAt, signs } = summary;
        const known = signs === null ? [bare({ id: building, createdAt })] : (JSON.parse(signs) as Kept).signs;
        const health = healthFrom(known, at);
        return [{ building, name, ...health }];
      });
      const state = all[0]?.state ?? "good";
      const worst = buildings.filter((each) => each.state === state);
      return {
        state,
        at: at.toISOString(),
        reasons: worst.flatMap(({ name, reasons: [first] }) =>
          first === undefined ? [] : [{ ...first, text: `${name}: ${first.text}` }],
        ),
        next: state === "good" ? [] : worst.map(({ building }) => ({ do: "see its health", at: building, who: null })),
        buildings,
      };
    }),
});
export type BuildingHealths = ReturnType<typeof makeHealth>;

function seriesOf(signs: readonly Sign[], from: Date, to: Date, limit: number, withFirst: boolean): Health[] {
  const turns = [...new Set(signs.flatMap((sign) => [sign.from, sign.until]))]
    .filter((turn) => turn > from.getTime() && turn <= to.getTime())
    .sort((a, b) => a - b);
  let last = healthFrom(signs, from);
  const series: Health[] = withFirst ? [last] : [];
  const told = ({ state, reasons }: Health) => JSON.stringify([state, reasons]);
  for (const turn of turns) {
    if (series.length >= limit) break;
    const next = healthFrom(signs, new Date(turn));
    if (told(next) === told(last)) continue;
    last = next;
    series.push(next);
  }
  return series;
}

const isPart = (places: Places, part: Part): boolean =>
  "fanCoil" in part
    ? places.fanCoils.some(({ id }) => id === part.fanCoil)
    : "riser" in part
      ? places.risers.some(({ id }) => id === part.riser)
      : places.dwellings.includes(part.dwelling);
