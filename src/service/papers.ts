// What is printed and drawn of a stored building.
import type { RiserRequest } from "../core/index.js";
import type { Auditor } from "./auditor.js";
import { found } from "./held.js";
import { newestNetwork } from "./questions.js";
import { RefusedDocument } from "./refused.js";
import type { Store } from "./shelves.js";
import type { ReportTask, WorkName } from "./works.js";

const encoder = new TextEncoder();

/** `2026-11-26`, as calendars go in a zone. */
const dayIn = (timeZone: string, time: Date): string => new Intl.DateTimeFormat("sv-SE", { timeZone }).format(time);

export const makePapers = (store: Store, auditor: Auditor, now: () => Date) => {
  const drawn = async (
    work: WorkName,
    network: string,
    beside: ReportTask | RiserRequest,
    signal: AbortSignal | undefined,
  ): Promise<Uint8Array> => {
    const reply = await auditor.perform({
      work,
      body: encoder.encode(network),
      beside: JSON.stringify(beside),
      ...(signal && { signal }),
    });
    if (!reply.ok) throw new RefusedDocument(reply.refusal);
    return reply.body;
  };
  return {
    /** The report on the newest revision, by the rules of today, as an HTML file. @throws Refused not-found, RefusedDocument */
    async report(organization: string, building: string, signal?: AbortSignal): Promise<Uint8Array> {
      const { timeZone } = await store.within(organization, (shelves) => found(shelves, building));
      const { network, number, createdAt, by } = await newestNetwork(store, organization, building);
      const task: ReportTask = {
        date: dayIn(timeZone, now()),
        revision: { number, at: dayIn(timeZone, createdAt), by },
      };
      return drawn("report", network, task, signal);
    },

    /**
     * The riser diagram of the newest revision, as SVG.
     * @throws Refused not-found, RefusedDocument; what is wrong with the request has its pointer into it, what is wrong with
     * the document one under /network
     */
    async riser(
      organization: string,
      building: string,
      request: RiserRequest = {},
      signal?: AbortSignal,
    ): Promise<Uint8Array> {
      const { network } = await newestNetwork(store, organization, building);
      return drawn("storedDrawing", network, request, signal);
    },
  };
};
export type Papers = ReturnType<typeof makePapers>;
