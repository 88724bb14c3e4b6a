// What is asked about a stored building and needs its network: see works.ts. The body is the stored network, or what a
// caller has sent beside it; the rest comes with the options.
import {
  audit,
  type Comparison,
  carryOut,
  commissioningObservations,
  compare,
  digest,
  drawRiser,
  dwellingReport,
  isolation,
  locateBlockage,
  type MadeObservation,
  measured,
  type Places,
  type Problem,
  placesOf,
  type RawObservation,
  type Reading,
  type RiserRequest,
  surveyList,
} from "../core/index.js";
import { openEnvelope, under } from "./envelope.js";
import type { Done, WorkOptions } from "./works.js";

const beside = <T>({ beside: text }: WorkOptions): T => JSON.parse(text ?? "null") as T;

const none = (problems: readonly Problem[], total: number): Done => ({
  ok: false,
  problems: problems.slice(0, 100),
  total,
});

/** Observations of a stored building, and what else of them bears on where a blockage is. */
export interface BlockageTask {
  readonly observations: readonly RawObservation[];
  /** RFC 3339 */
  readonly at: string;
  /** ids of pipes and when each was cleaned last, as was observed */
  readonly cleaned: readonly (readonly [pipe: string, time: string])[];
}

/** What remedies or another document would change. */
export interface WhatIf extends Comparison {
  /** the document after the remedies, its typicals written out; null where a document was given */
  readonly network: unknown;
}

/** What was measured, in a document that has it. */
export interface Measured {
  readonly network: unknown;
  readonly taken: readonly string[];
}

/** A network's digest and places. */
export interface Placed {
  readonly digest: string;
  readonly places: Places;
}

/** What a filled-in sheet says, and by observation the position of the result that says so. */
export interface FilledSheet {
  readonly observations: readonly MadeObservation[];
  readonly results: readonly number[];
}

export const BUILDING_WORKS = {
  dwelling: {
    documents: [""],
    run: (network: unknown, options: WorkOptions): Done => {
      const result = dwellingReport(network, beside<{ dwelling: string }>(options).dwelling);
      return result.ok ? { ok: true, value: result.report } : result;
    },
  },
  isolation: {
    documents: [""],
    run: (network: unknown, options: WorkOptions): Done => {
      const result = isolation(network, beside<{ pipe: string }>(options).pipe);
      return result.ok ? { ok: true, value: result.isolation } : result;
    },
  },
  storedDrawing: {
    documents: [""],
    run: (network: unknown, options: WorkOptions): Done => {
      const result = drawRiser(network, beside<RiserRequest>(options));
      return result.ok ? { ok: true, text: result.svg } : result;
    },
  },
  surveyList: {
    documents: [""],
    run: (network: unknown): Done => {
      const result = surveyList(network);
      return result.ok ? { ok: true, value: result.list } : result;
    },
  },
  storedBlockage: {
    documents: [""],
    run: (network: unknown, options: WorkOptions): Done => {
      const { observations, at, cleaned } = beside<BlockageTask>(options);
      const result = locateBlockage(network, observations, at, new Map(cleaned));
      return result.ok ? { ok: true, value: result.blockage } : result;
    },
  },
  /** body: `{ remedies }` or `{ network }`; beside: the stored network */
  whatIf: {
    documents: ["network"],
    run: (body: unknown, options: WorkOptions): Done => {
      const opened = openEnvelope<"remedies" | "network">(body, [], ["remedies", "network"]);
      if (!opened.ok) return opened;
      const { remedies, network } = opened.fields;
      if ((remedies === undefined) === (network === undefined)) {
        const detail = remedies === undefined ? "neither remedies nor a network is given" : "both are given";
        return none([{ pointer: "", code: "two-forms", detail, hint: "write { remedies } or { network }" }], 1);
      }
      const before = audit(beside<unknown>(options));
      if (!before.ok) return none(before.problems, before.total);
      let then = network;
      if (remedies !== undefined) {
        const carried = carryOut(beside<unknown>(options), remedies);
        if (!carried.ok) return none(under("remedies", carried.problems), carried.total);
        then = carried.document;
      }
      const after = audit(then);
      if (!after.ok) return none(under("network", after.problems), after.total);
      const difference = compare(before.audit, after.audit);
      const value: WhatIf = { ...difference, network: remedies === undefined ? null : then };
      return { ok: true, value };
    },
  },
  measured: {
    documents: [""],
    run: (network: unknown, options: WorkOptions): Done => {
      const result = measured(network, beside<readonly Reading[]>(options));
      if (!result.ok) {
        const told = result.problems.flatMap((problem) =>
          under(/^\/\d/.test(problem.pointer) ? "observations" : "network", [problem]),
        );
        return none(told, result.total);
      }
      const value: Measured = { network: result.document, taken: result.taken };
      return { ok: true, value };
    },
  },
  /** what a network that comes from elsewhere is kept with */
  placed: {
    documents: [""],
    run: (network: unknown): Done => {
      const result = placesOf(network);
      if (!result.ok) return result;
      const value: Placed = { digest: digest(network), places: result.places };
      return { ok: true, value };
    },
  },
  /** body: a sheet that was filled in; beside: the stored network */
  filledSheet: {
    documents: [],
    run: (body: unknown, options: WorkOptions): Done => {
      const result = commissioningObservations(beside<unknown>(options), body);
      if (!result.ok) return result;
      const { observations, results } = result;
      const value: FilledSheet = { observations, results };
      return { ok: true, value };
    },
  },
} as const;
