// What is asked about the newest network of a stored building.
import type { Blockage, CommissioningSheet, DwellingReport, Isolation, Places, SurveyList } from "../core/index.js";
import type { Auditor } from "./auditor.js";
import type { BuildingHealths } from "./building-health.js";
import type { BlockageTask, WhatIf } from "./building-works.js";
import { blockageSigns, type Health } from "./health.js";
import { found } from "./held.js";
import { Refused, RefusedDocument } from "./refused.js";
import { askedOnce, type Repeatable } from "./repeat.js";
import type { Observation, Store, StoredNetwork } from "./shelves.js";
import type { WorkName } from "./works.js";

const decoder = new TextDecoder("utf-8", { fatal: true });
const encoder = new TextEncoder();

/** How far back a blockage is looked for, ms, where nobody says since when. */
const DAY = 86_400_000;
/** What one question may go by. */
const MAX_OBSERVATIONS = 10_000;

/** What concerns a dwelling, and how it is with its drains. */
export interface StoredDwelling extends DwellingReport {
  readonly health: Health;
}

/** Where a blockage is, by the observations of a stored building. */
export interface StoredBlockage extends Blockage {
  readonly since: string;
  readonly at: string;
  /** ids, in the order of `observations` */
  readonly observed: readonly string[];
  /** seen between the two times, and why it does not count */
  readonly leftOut: readonly { readonly id: string; readonly why: "cleaned-since" | "place-gone" }[];
}

/** The newest revision with its document. @throws Refused not-found, also where there is none yet */
export const newestNetwork = async (store: Store, organization: string, building: string): Promise<StoredNetwork> => {
  const network = await store.within(organization, async (shelves) => {
    const { revision } = await found(shelves, building);
    return revision === 0 ? null : shelves.revisions.get(building, revision);
  });
  if (network === null) throw new Refused("not-found", "The building has no revision yet.");
  return network;
};

/** Puts a question to a thread. @throws RefusedDocument, and Refused not-found where `/missing` is what the question is about */
export const askedOf = async <T>(
  auditor: Auditor,
  work: WorkName,
  body: Uint8Array,
  beside: string | undefined,
  signal: AbortSignal | undefined,
  missing: string | null = null,
): Promise<T> => {
  const reply = await auditor.perform({
    work,
    body,
    ...(beside !== undefined && { beside }),
    ...(signal && { signal }),
  });
  if (reply.ok) return JSON.parse(decoder.decode(reply.body)) as T;
  const [first] = reply.refusal.errors;
  if (missing !== null && first?.pointer === `/${missing}`)
    throw new Refused("not-found", `The newest network has no such ${missing}.`);
  throw new RefusedDocument(reply.refusal);
};

export const makeQuestions = (store: Store, auditor: Auditor, health: BuildingHealths, now: () => Date) => {
  const newest = (organization: string, building: string) => newestNetwork(store, organization, building);

  return {
    async dwelling(
      organization: string,
      building: string,
      dwelling: string,
      at: Date | null,
      signal?: AbortSignal,
    ): Promise<StoredDwelling> {
      const { network } = await newest(organization, building);
      const report = await askedOf<DwellingReport>(
        auditor,
        "dwelling",
        encoder.encode(network),
        JSON.stringify({ dwelling }),
        signal,
        "dwelling",
      );
      return { ...report, health: await health.part(organization, building, { dwelling }, at) };
    },

    async isolation(organization: string, building: string, pipe: string, signal?: AbortSignal): Promise<Isolation> {
      const { network } = await newest(organization, building);
      return askedOf(auditor, "isolation", encoder.encode(network), JSON.stringify({ pipe }), signal, "pipe");
    },

    async surveyList(organization: string, building: string, signal?: AbortSignal): Promise<SurveyList> {
      const { network } = await newest(organization, building);
      return askedOf(auditor, "surveyList", encoder.encode(network), undefined, signal);
    },

    async commissioning(organization: string, building: string, signal?: AbortSignal): Promise<CommissioningSheet> {
      const { network } = await newest(organization, building);
      return askedOf(auditor, "commissioning", encoder.encode(network), undefined, signal);
    },

    /** @param body `{ remedies }` or `{ network }` as JSON */
    whatIf: (
      organization: string,
      building: string,
      body: Uint8Array,
      repeatable: Repeatable<WhatIf> | null = null,
      signal?: AbortSignal,
    ): Promise<WhatIf> =>
      askedOnce(store, organization, repeatable, async () => {
        const { network } = await newest(organization, building);
        return askedOf(auditor, "whatIf", new Uint8Array(body), network, signal);
      }),

    /** @param at null: now @param since null: a day before */
    blockages: (
      organization: string,
      building: string,
      range: { readonly since: Date | null; readonly at: Date | null },
      repeatable: Repeatable<StoredBlockage> | null = null,
      signal?: AbortSignal,
    ): Promise<StoredBlockage> =>
      askedOnce(store, organization, repeatable, async () => {
        const at = range.at ?? now();
        const since = range.since ?? new Date(at.getTime() - DAY);
        if (since > at)
          throw new Refused("invalid-body", "The time ends before it begins.", [
            { pointer: "/since", detail: "it is later than at", hint: "name an earlier time" },
          ]);
        const { network, places, observations } = await store.within(organization, async (shelves) => {
          const { revision } = await found(shelves, building);
          const newestOne = revision === 0 ? null : await shelves.revisions.get(building, revision);
          if (newestOne === null) throw new Refused("not-found", "The building has no revision yet.");
          const page = { after: null, limit: MAX_OBSERVATIONS + 1 };
          const between = await shelves.observations.list(building, { from: since, to: at }, page);
          if (between.length > MAX_OBSERVATIONS)
            throw new Refused("invalid-body", `More than ${MAX_OBSERVATIONS} observations lie between the two times.`, [
              { pointer: "/since", detail: "too long ago", hint: "name a later time" },
            ]);
          const own = new Set(between.map(({ id }) => id));
          const cleanings = await shelves.observations.ofTypes(building, ["cleaned"]);
          return {
            network: newestOne.network,
            places: JSON.parse(newestOne.places) as Places,
            observations: [...between, ...cleanings.filter(({ id }) => !own.has(id))],
          };
        });
        const { heard, leftOut, cleaned } = blockageSigns(places, observations, since, at);
        const task: BlockageTask = { observations: heard.map(rawOf), at: at.toISOString(), cleaned };
        const beside = JSON.stringify(task);
        const blockage = await askedOf<Blockage>(auditor, "storedBlockage", encoder.encode(network), beside, signal);
        return {
          ...blockage,
          since: since.toISOString(),
          at: at.toISOString(),
          observed: heard.map(({ id }) => id),
          leftOut,
        };
      }),
  };
};
export type Questions = ReturnType<typeof makeQuestions>;

/** An observation as it was sent. */
const rawOf = (seen: Observation): BlockageTask["observations"][number] => {
  const { id, type, timeText, node, pipe, fanCoil, attribute, value, source, text, withdraws } = seen;
  const own = { node, pipe, fanCoil, attribute, value, text, withdraws };
  const said = Object.fromEntries(Object.entries(own).filter(([, each]) => each !== null));
  return { id, type, time: timeText, source, ...said } as BlockageTask["observations"][number];
};
