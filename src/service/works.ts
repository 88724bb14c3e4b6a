import {
  audit,
  backup,
  commissioning,
  drawPath,
  drawRiser,
  expand,
  locateBlockage,
  type Problem,
  type ReportOptions,
  type Revised,
  renderCommissioningPage,
  report,
  revise,
  type Tracked,
} from "../core/index.js";
import { BUILDING_WORKS } from "./building-works.js";
import { compareBodies } from "./comparison-work.js";
import { openEnvelope, under } from "./envelope.js";
import { openRevision } from "./open-revision.js";

export interface WorkOptions {
  /** words of `?include=`, for the works that take them */
  readonly include: readonly string[];
  /** what the service itself gives beside the body, as JSON: see each work */
  readonly beside?: string;
}

/** What a work makes of a parsed body; `value` is the answer, to be written as JSON, `text` one that is written already. */
export type Done =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: true; readonly text: string }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

interface Work {
  /** fields of the body that may hold network documents; an empty name: the body itself */
  readonly documents: readonly string[];
  readonly run: (body: unknown, options: WorkOptions) => Done;
}

/** Everything that can be asked about a document, by name. Each runs in a thread, on a body that is JSON and no more. */
export const WORKS = {
  audit: {
    documents: [""],
    run: (body, { include }) => {
      const result = audit(body, { include });
      return result.ok ? { ok: true, value: result.audit } : result;
    },
  },
  report: {
    documents: [""],
    run: (body, { beside }) => {
      const result = report(body, JSON.parse(beside ?? "{}") as ReportTask);
      return result.ok ? { ok: true, text: result.html } : result;
    },
  },
  auditDrawing: {
    documents: [""],
    run: (body) => {
      const result = drawRiser(body);
      if (result.ok) return { ok: true, text: result.svg };
      const problems = result.problems.map((each) => ({ ...each, pointer: each.pointer.slice("/network".length) }));
      return { ok: false, problems, total: result.total };
    },
  },
  riserDrawing: {
    documents: ["network"],
    run: (body) => {
      const opened = openEnvelope(body, ["network"], ["highlight", "riser", "width"]);
      if (!opened.ok) return opened;
      const { network, ...request } = opened.fields;
      const result = drawRiser(network, request);
      return result.ok ? { ok: true, text: result.svg } : result;
    },
  },
  pathDrawing: {
    documents: ["network"],
    run: (body) => {
      const opened = openEnvelope(body, ["network", "fanCoil"], ["blocked", "width"]);
      if (!opened.ok) return opened;
      const { network, ...request } = opened.fields;
      const result = drawPath(network, request);
      return result.ok ? { ok: true, text: result.svg } : result;
    },
  },
  comparison: {
    documents: ["before", "after"],
    run: compareBodies,
  },
  backup: {
    documents: ["network"],
    run: (body) => {
      const opened = openEnvelope(body, ["network", "blocked"]);
      if (!opened.ok) return opened;
      const result = backup(opened.fields.network, opened.fields.blocked);
      return result.ok ? { ok: true, value: result.backup } : result;
    },
  },
  blockage: {
    documents: ["network"],
    run: (body) => {
      const opened = openEnvelope(body, ["network", "observations"], ["at"]);
      if (!opened.ok) return opened;
      const { network, observations, at } = opened.fields;
      const result = locateBlockage(network, observations, at);
      return result.ok ? { ok: true, value: result.blockage } : result;
    },
  },
  commissioning: {
    documents: [""],
    run: (body) => {
      const result = commissioning(body);
      return result.ok ? { ok: true, value: result.sheet } : result;
    },
  },
  commissioningPage: {
    documents: [""],
    run: (body, { beside }) => {
      const result = commissioning(body);
      const { date } = JSON.parse(beside ?? "{}") as ReportTask;
      return result.ok ? { ok: true, text: renderCommissioningPage(result.sheet, { date }) } : result;
    },
  },
  expansion: {
    documents: [""],
    run: (body) => {
      const result = expand(body);
      return result.ok ? { ok: true, value: result.document } : result;
    },
  },
  revision: {
    documents: ["", "network"],
    run: (body, { beside }) => {
      const opened = openRevision(body);
      if (!opened.ok) return opened;
      const { network, enveloped, by, note, changed } = opened;
      const { previous, catalogue, tracked } = JSON.parse(beside ?? "") as RevisionTask;
      const result = revise(network, previous, catalogue, tracked, changed);
      if (!result.ok) return enveloped ? { ...result, problems: under("network", result.problems) } : result;
      const posted: Posted = { by, note, network: enveloped ? JSON.stringify(network) : null };
      return { ok: true, value: { posted, revised: result.revised } };
    },
  },
  ...BUILDING_WORKS,
} as const satisfies Readonly<Record<string, Work>>;

/** What is printed on paper beside what the document tells. */
export type ReportTask = Pick<ReportOptions, "date" | "revision">;

/** What a revision is judged beside. */
export interface RevisionTask {
  /** the document of the revision before; null: none */
  readonly previous: unknown;
  readonly catalogue: string | null;
  readonly tracked: readonly Tracked[];
}

/** What a body says beside its document. */
export interface Posted {
  /** null: it does not say */
  readonly by: string | null;
  readonly note: string | null;
  /** the document as JSON text; null: it is the body itself */
  readonly network: string | null;
}

/** What the work on a revision gives. */
export interface RevisionDone {
  readonly posted: Posted;
  readonly revised: Revised;
}

export type WorkName = keyof typeof WORKS;
