// What a person sees of a stored building at one glance.
import { type Audit, catalogueVersion, type Places } from "../core/index.js";
import type { BuildingHealths } from "./building-health.js";
import type { Findings, LivingFinding } from "./findings.js";
import type { Health, HealthState } from "./health.js";
import { found } from "./held.js";
import type { Building, Observation, Revision, Store, StoredAudit } from "./shelves.js";

/** One state without a break. */
export interface StateSpan {
  readonly state: HealthState;
  /** the first instant that was looked at in it, and the last */
  readonly from: Date;
  readonly until: Date;
}

export interface KeptRevision extends Revision {
  /** as it was audited last */
  readonly audit: Omit<StoredAudit, "answer"> | null;
}

export interface Overview {
  readonly building: Building;
  readonly health: Health;
  /** the last year, looked at week by week, the newest first */
  readonly states: readonly StateSpan[];
  /** worst first; `more` are not listed */
  readonly open: readonly LivingFinding[];
  readonly more: number;
  readonly waived: readonly LivingFinding[];
  /** the newest first */
  readonly revisions: readonly KeptRevision[];
  readonly observations: readonly Observation[];
  readonly dwellings: readonly string[];
  /** those that serve several floors, by the nodes at their feet */
  readonly risers: readonly string[];
  /** finding → its number in the newest audit, as pictures and report have it; empty where that went by other rules */
  readonly numbers: ReadonlyMap<string, number>;
}

const DAY = 86_400_000;
const WEEKS = 52;
/** What one page shows; the calls about each give all. */
const SHOWN = { findings: 100, revisions: 20, observations: 20 } as const;
/** How far back observations are looked for, and how many are read for it. */
const SEEN = { days: 90, read: 10_000 } as const;
const ALL = { after: null, limit: 100_000 } as const;

const SEVERITIES = ["critical", "major", "minor", "advice"];
const worstFirst =
  (numbers: ReadonlyMap<string, number>) =>
  (a: LivingFinding, b: LivingFinding): number =>
    SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity) ||
    (numbers.get(a.id) ?? 0) - (numbers.get(b.id) ?? 0) ||
    (a.id < b.id ? -1 : 1);

export const makeOverview = (store: Store, health: BuildingHealths, findings: Findings, now: () => Date) => ({
  /** @throws Refused not-found */
  async of(organization: string, id: string): Promise<Overview> {
    const at = now();
    const kept = await store.within(organization, async (shelves) => {
      const building = await found(shelves, id);
      const { revision } = building;
      const audits = new Map<number, Omit<StoredAudit, "answer">>();
      for (const audit of await shelves.audits.list(id)) audits.set(audit.revision, audit);
      const after = Math.max(0, revision - SHOWN.revisions);
      const revisions = await shelves.revisions.list(id, { after, limit: SHOWN.revisions });
      const told = revision === 0 ? null : await shelves.revisions.places(id, revision);
      const places = told === null ? null : (JSON.parse(told) as Places);
      const newest = revision === 0 ? null : await shelves.audits.get(id, revision);
      const from = new Date(at.getTime() - SEEN.days * DAY);
      const seen = await shelves.observations.list(id, { from, to: null }, { after: null, limit: SEEN.read });
      return {
        building,
        revisions: revisions.map((each) => ({ ...each, audit: audits.get(each.number) ?? null })).reverse(),
        observations: seen.slice(-SHOWN.observations).reverse(),
        dwellings: places?.dwellings ?? [],
        risers: places === null ? [] : acrossFloors(places),
        numbers: newest?.catalogue === catalogueVersion() ? numbersOf(newest.answer) : new Map<string, number>(),
      };
    });
    const order = worstFirst(kept.numbers);
    const open = (await findings.list(organization, id, "open", ALL)).sort(order);
    const instants = Array.from({ length: WEEKS + 1 }, (_, week) => new Date(at.getTime() - week * 7 * DAY)).filter(
      (instant) => instant >= kept.building.createdAt,
    );
    return {
      ...kept,
      health: await health.whole(organization, id, at),
      states: spansOf(await health.series(organization, id, instants)),
      open: open.slice(0, SHOWN.findings),
      more: Math.max(0, open.length - SHOWN.findings),
      waived: (await findings.list(organization, id, "waived", ALL)).sort(order),
    };
  },
});
export type Overviews = ReturnType<typeof makeOverview>;

const numbersOf = (answer: string): Map<string, number> =>
  new Map((JSON.parse(answer) as Audit).findings.map((finding, position) => [finding.id, position + 1]));

const acrossFloors = ({ risers, fanCoils }: Places): string[] => {
  const floors = new Map<string, Set<string | null>>();
  for (const { riser, floor } of fanCoils) {
    if (riser === null) continue;
    const known = floors.get(riser);
    if (known === undefined) floors.set(riser, new Set([floor]));
    else known.add(floor);
  }
  return risers.flatMap(({ id }) => ((floors.get(id)?.size ?? 0) > 1 ? [id] : []));
};

/** @param series the newest first */
const spansOf = (series: readonly Health[]): StateSpan[] => {
  const spans: { state: HealthState; from: Date; until: Date }[] = [];
  for (const { state, at } of series) {
    const last = spans.at(-1);
    if (last !== undefined && last.state === state) last.from = new Date(at);
    else spans.push({ state, from: new Date(at), until: new Date(at) });
  }
  return spans;
};
