// What people have measured and tried in a building, as its next revision and as observations.
import type { Reading } from "../core/index.js";
import type { Auditor } from "./auditor.js";
import type { FilledSheet, Measured } from "./building-works.js";
import { found } from "./held.js";
import type { Entered, Observations } from "./observations.js";
import { askedOf, newestNetwork } from "./questions.js";
import type { Fault } from "./refusal.js";
import { Refused, RefusedDocument } from "./refused.js";
import { type Repeatable, recall } from "./repeat.js";
import type { Added, Revisions } from "./revisions.js";
import type { Observation, Store, StoredNetwork } from "./shelves.js";

const encoder = new TextEncoder();

/** Types of observations that may say something of the network. */
const MEASURING: readonly string[] = [
  "inspection",
  "level-reading",
  "grade-reading",
  "cleaned",
  "trap-primed",
  "cap-found-open",
  "switch-tested",
  "switch-jumpered",
];
const MAX_NOTE = 2000;

export interface MeasuredWords {
  /** ids; null: everything that came since the newest revision */
  readonly observations: readonly string[] | null;
  readonly by: string;
  /** null: one that names the observations */
  readonly note: string | null;
}

export const makeInspections = (store: Store, auditor: Auditor, observations: Observations, revisions: Revisions) => {
  /** What is to be entered, whether or not it measured anything. */
  const readingsFor = (
    organization: string,
    { building, createdAt }: StoredNetwork,
    asked: readonly string[] | null,
  ): Promise<readonly Observation[]> =>
    store.within(organization, async (shelves) => {
      if (asked === null) {
        const all = await shelves.observations.ofTypes(building, MEASURING);
        const gone = new Set(all.map(({ withdraws }) => withdraws));
        return all.filter(
          ({ id, type, withdraws, receivedAt }) =>
            withdraws === null && !gone.has(id) && receivedAt > createdAt && MEASURING.includes(type),
        );
      }
      const faults: Fault[] = [];
      const chosen: Observation[] = [];
      for (const [i, id] of asked.entries()) {
        const seen = await shelves.observations.get(building, id);
        if (seen !== null) chosen.push(seen);
        else faults.push({ pointer: `/observations/${i}`, detail: "there is no such observation" });
      }
      if (faults.length > 0) throw new Refused("invalid-body", "Some observations are not there.", faults);
      return chosen;
    });

  return {
    /**
     * Makes the next revision of a building out of the newest one and what was measured since.
     * @throws Refused conflict where nothing was measured, invalid-body where a reading cannot be entered
     */
    async revise(
      organization: string,
      building: string,
      words: MeasuredWords,
      repeatable: Repeatable<Added> | null = null,
      signal?: AbortSignal,
    ): Promise<Added> {
      await store.within(organization, async (shelves) => {
        await recall(shelves, repeatable);
        await found(shelves, building);
      });
      const newest = await newestNetwork(store, organization, building);
      const seen = await readingsFor(organization, newest, words.observations);
      const readings = seen.map(
        ({ id, type, timeText, node, pipe, fanCoil, attribute, value }): Reading => ({
          id,
          type,
          time: timeText,
          node,
          pipe,
          fanCoil,
          attribute,
          value,
        }),
      );
      const beside = JSON.stringify(readings);
      const { network, taken } = await askedOf<Measured>(
        auditor,
        "measured",
        encoder.encode(newest.network),
        beside,
        signal,
      ).catch((error: unknown) => {
        throw error instanceof RefusedDocument ? unreadable(error, readings) : error;
      });
      if (taken.length === 0) throw new Refused("conflict", "Nothing was measured since the newest revision.");
      const note = words.note ?? noteOf(taken);
      const body = encoder.encode(JSON.stringify({ network, by: words.by, note }));
      return revisions.add(organization, building, body, words.by, repeatable, newest.number);
    },

    /** Enters a test sheet that was filled in. @param body as JSON */
    async enterSheet(
      organization: string,
      building: string,
      body: Uint8Array,
      repeatable: Repeatable<readonly Entered[]> | null = null,
      signal?: AbortSignal,
    ): Promise<readonly Entered[]> {
      await store.within(organization, async (shelves) => {
        await recall(shelves, repeatable);
        await found(shelves, building);
      });
      const { network } = await newestNetwork(store, organization, building);
      const filled = new Uint8Array(body);
      const sheet = await askedOf<FilledSheet>(auditor, "filledSheet", filled, network, signal);
      const pointerOf = (position: number) => `/results/${sheet.results[position]}`;
      return observations.addAll(organization, building, sheet.observations, pointerOf, repeatable);
    },
  };
};
export type Inspections = ReturnType<typeof makeInspections>;

const noteOf = (taken: readonly string[]): string => {
  const whole = `measured: ${taken.join(", ")}`;
  return whole.length <= MAX_NOTE ? whole : `measured: ${taken.length} observations`;
};

/** A reading that cannot be entered, by its id. */
function unreadable({ refusal }: RefusedDocument, readings: readonly Reading[]): Refused {
  const errors = refusal.errors.map((fault): Fault => {
    const position = /^\/observations\/(\d+)/.exec(fault.pointer)?.[1];
    const id = position === undefined ? undefined : readings[Number(position)]?.id;
    return id === undefined ? fault : { ...fault, detail: `${id}: ${fault.detail}` };
  });
  return new Refused("invalid-body", "Some readings cannot be entered.", errors, refusal.total);
}
