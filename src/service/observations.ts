import { isDeepStrictEqual } from "node:util";
import { distance } from "fastest-levenshtein";
import type { Places, RawObservation } from "../core/index.js";
import { summarized } from "./building-health.js";
import { found, held } from "./held.js";
import type { Fault } from "./refusal.js";
import { Refused } from "./refused.js";
import { once, type Repeatable } from "./repeat.js";
import type { Building, Observation, Page, Shelves, Store } from "./shelves.js";

/** A clock may run so far ahead of ours (the widest two zones are apart 26 hours). */
export const AHEAD = 26 * 3_600_000;

const same = (a: Observation, b: Observation): boolean =>
  isDeepStrictEqual({ ...a, receivedAt: null }, { ...b, receivedAt: null });

/** An observation as it is kept, and whether it is new. */
export interface Entered {
  readonly made: boolean;
  readonly observation: Observation;
}

export const makeObservations = (store: Store, now: () => Date, newId: () => string) => {
  /** Enters observations in their order, all or none. The building must be held. */
  const enter = async (
    shelves: Shelves,
    { id: building, revision }: Building,
    given: readonly RawObservation[],
    pointerOf: (position: number) => string,
  ): Promise<Entered[]> => {
    const receivedAt = now();
    const text = revision === 0 ? null : await shelves.revisions.places(building, revision);
    const places = text === null ? null : placesIn(JSON.parse(text) as Places);
    const entered: Entered[] = [];
    const fresh = new Map<string, Observation>();
    const faults: Fault[] = [];
    for (const [position, each] of given.entries()) {
      const seen = observationOf(building, each, each.id ?? newId(), receivedAt);
      const known = fresh.get(seen.id) ?? (await shelves.observations.get(building, seen.id));
      if (known !== null) {
        if (!same(known, seen))
          throw new Refused("conflict", `Another observation has the id ${seen.id}; observations are never edited.`);
        entered.push({ made: false, observation: known });
        continue;
      }
      const own = [
        ...faultsOf(each, seen, places),
        ...(seen.withdraws === null
          ? []
          : whatItWithdraws(fresh.get(seen.withdraws) ?? (await shelves.observations.get(building, seen.withdraws)))),
      ];
      faults.push(...own.map((fault) => ({ ...fault, pointer: `${pointerOf(position)}${fault.pointer}` })));
      fresh.set(seen.id, seen);
      entered.push({ made: true, observation: seen });
    }
    if (faults.length > 0) throw new Refused("invalid-body", "What was observed has problems.", faults);
    if (fresh.size > 0) {
      await shelves.observations.add([...fresh.values()]);
      await summarized(shelves, building, receivedAt);
    }
    return entered;
  };

  return {
    /** Adds an observation. The same one sent again changes nothing; another one under the same id is refused. */
    add: (
      organization: string,
      building: string,
      given: RawObservation,
      repeatable: Repeatable<Entered> | null = null,
    ): Promise<Entered> =>
      store.within(organization, (shelves) =>
        once(shelves, repeatable, async () => {
          const [only] = await enter(shelves, await held(shelves, building), [given], () => "");
          return only!;
        }),
      ),

    /** Adds several, all or none. @param pointerOf where in the caller's body the one at a position stands */
    addAll: (
      organization: string,
      building: string,
      given: readonly RawObservation[],
      pointerOf: (position: number) => string,
      repeatable: Repeatable<readonly Entered[]> | null = null,
    ): Promise<readonly Entered[]> =>
      store.within(organization, (shelves) =>
        once(shelves, repeatable, async () => enter(shelves, await held(shelves, building), given, pointerOf)),
      ),

    get: async (organization: string, building: string, id: string): Promise<Observation> => {
      const seen = await store.within(organization, async (shelves) => {
        await found(shelves, building);
        return shelves.observations.get(building, id);
      });
      if (seen === null) throw new Refused("not-found", "There is no such observation.");
      return seen;
    },

    list: (
      organization: string,
      building: string,
      range: { readonly from: Date | null; readonly to: Date | null },
      page: Page<{ readonly time: Date; readonly id: string }>,
    ) =>
      store.within(organization, async (shelves) => {
        await found(shelves, building);
        return shelves.observations.list(building, range, page);
      }),
  };
};
export type Observations = ReturnType<typeof makeObservations>;

const observationOf = (building: string, given: RawObservation, id: string, receivedAt: Date): Observation => ({
  building,
  id,
  type: given.type,
  time: new Date(given.time),
  timeText: given.time,
  receivedAt,
  node: given.node ?? null,
  pipe: given.pipe ?? null,
  fanCoil: given.fanCoil ?? null,
  attribute: given.attribute ?? null,
  value: given.value ?? null,
  source: given.source ?? "",
  text: given.text ?? null,
  withdraws: given.withdraws ?? null,
});

interface KnownPlaces {
  readonly nodes: ReadonlySet<string>;
  readonly pipes: ReadonlySet<string>;
  readonly fanCoils: ReadonlySet<string>;
}

const placesIn = ({ nodes, pipes, fanCoils }: Places): KnownPlaces => ({
  nodes: new Set(nodes.map(({ id }) => id)),
  pipes: new Set(pipes.map(({ id }) => id)),
  fanCoils: new Set(fanCoils.map(({ id }) => id)),
});

function faultsOf(given: RawObservation, seen: Observation, places: KnownPlaces | null): Fault[] {
  const faults: Fault[] = [];
  if (given.source === undefined)
    faults.push({ pointer: "/source", detail: "source is missing", hint: "say who or what observed it" });
  if (seen.time.getTime() > seen.receivedAt.getTime() + AHEAD)
    faults.push({ pointer: "/time", detail: "more than 26 hours after now", hint: "check the clock and the zone" });
  return [...faults, ...unknownPlace(seen, places)];
}

function whatItWithdraws(other: Observation | null): Fault[] {
  if (other === null)
    return [
      {
        pointer: "/withdraws",
        detail: "there is no such observation",
        hint: "name one that was made of this building",
      },
    ];
  if (other.withdraws === null) return [];
  return [
    {
      pointer: "/withdraws",
      detail: "that one took another back",
      hint: "send what was right after all again, under a new id",
    },
  ];
}

/** An observation is made of something that the newest revision has. */
function unknownPlace({ node, pipe, fanCoil }: Observation, places: KnownPlaces | null): Fault[] {
  if (places === null)
    return [{ pointer: "", detail: "the building has no revision yet", hint: "post its network first" }];
  const unless = (known: ReadonlySet<string>, id: string, field: string, what: string): Fault[] => {
    if (known.has(id)) return [];
    const near = meant(id, known);
    const hint = near === null ? `name a ${what} of the network` : `did you mean ${JSON.stringify(near)}?`;
    return [{ pointer: `/${field}`, detail: `the newest revision has no such ${what}`, hint }];
  };
  if (node !== null) return unless(places.nodes, node, "node", "node");
  if (pipe !== null) return unless(places.pipes, pipe, "pipe", "pipe");
  return unless(places.fanCoils, fanCoil ?? "", "fanCoil", "fan coil");
}

/** The known id that was most likely meant: a part of what was named, or one that is spelled nearly so; null: none. */
function meant(id: string, known: Iterable<string>): string | null {
  if (id === "" || id.length > 64) return null;
  let best: string | null = null;
  let least = 3;
  for (const each of known) {
    if (each.startsWith(`${id}/`)) return each;
    if (Math.abs(each.length - id.length) >= least) continue;
    const away = distance(each.toLowerCase(), id.toLowerCase());
    if (away < least) [best, least] = [each, away];
  }
  return best;
}
