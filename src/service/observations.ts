import type { Places, RawObservation } from "../core/index.js";
import { summarized } from "./building-health.js";
import { found, held } from "./held.js";
import type { Fault } from "./refusal.js";
import { Refused } from "./refused.js";
import { once, type Repeatable } from "./repeat.js";
import type { Observation, Page, Store } from "./shelves.js";

/** A clock may run so far ahead of ours (the widest two zones are apart 26 hours). */
const AHEAD = 26 * 3_600_000;

const same = (a: Observation, b: Observation): boolean => {
  const told = ({ receivedAt: _, time: __, ...rest }: Observation) => JSON.stringify(rest, Object.keys(rest).sort());
  return told(a) === told(b) && a.time.getTime() === b.time.getTime();
};

export const makeObservations = (store: Store, now: () => Date, newId: () => string) => ({
  /**
   * Adds an observation. The same one sent again changes nothing; another one under the same id is refused.
   * @returns whether it is new
   */
  add: (
    organization: string,
    building: string,
    given: RawObservation,
    repeatable: Repeatable<{ made: boolean; observation: Observation }> | null = null,
  ) =>
    store.within(organization, (shelves) =>
      once(shelves, repeatable, async () => {
        const { revision } = await held(shelves, building);
        const receivedAt = now();
        const seen: Observation = {
          building,
          id: given.id ?? newId(),
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
        };
        const known = await shelves.observations.get(building, seen.id);
        if (known !== null) {
          if (same(known, seen)) return { made: false, observation: known };
          throw new Refused("conflict", "Another observation has this id; observations are never edited.");
        }
        const faults: Fault[] = [];
        if (given.source === undefined)
          faults.push({ pointer: "/source", detail: "source is missing", hint: "say who or what observed it" });
        if (seen.time.getTime() > receivedAt.getTime() + AHEAD)
          faults.push({
            pointer: "/time",
            detail: "more than 26 hours after now",
            hint: "check the clock and the zone",
          });
        const places = revision === 0 ? null : await shelves.revisions.places(building, revision);
        faults.push(...unknownPlaces(seen, places === null ? null : (JSON.parse(places) as Places)));
        if (seen.withdraws !== null) {
          const other = await shelves.observations.get(building, seen.withdraws);
          if (other === null)
            faults.push({
              pointer: "/withdraws",
              detail: "there is no such observation",
              hint: "name one that was made of this building",
            });
          else if (other.withdraws !== null)
            faults.push({
              pointer: "/withdraws",
              detail: "that one took another back",
              hint: "send what was right after all again, under a new id",
            });
        }
        if (faults.length > 0) throw new Refused("invalid-body", "The observation has problems.", faults);
        await shelves.observations.add([seen]);
        await summarized(shelves, building, receivedAt);
        return { made: true, observation: seen };
      }),
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
});
export type Observations = ReturnType<typeof makeObservations>;

/** An observation is made of something that the newest revision has. */
function unknownPlaces({ node, pipe, fanCoil }: Observation, places: Places | null): Fault[] {
  if (places === null)
    return [{ pointer: "", detail: "the building has no revision yet", hint: "post its network first" }];
  const unknown = (field: string, what: string): Fault[] => [
    { pointer: `/${field}`, detail: `the newest revision has no such ${what}`, hint: `name a ${what} of the network` },
  ];
  if (node !== null) return places.nodes.some(({ id }) => id === node) ? [] : unknown("node", "node");
  if (pipe !== null) return places.pipes.some(({ id }) => id === pipe) ? [] : unknown("pipe", "pipe");
  return places.fanCoils.some(({ id }) => id === fanCoil) ? [] : unknown("fanCoil", "fan coil");
}
