import {
  audit,
  commissioning,
  compare,
  expand,
  locateBlockage,
  type Problem,
  revise,
  type Tracked,
} from "../core/index.js";
import { openEnvelope, under } from "./envelope.js";

export interface WorkOptions {
  /** words of `?include=`, for the works that take them */
  readonly include: readonly string[];
}

/** What a work makes of a parsed body; `value` is the answer, to be written as JSON. */
export type Done =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

interface Work {
  /** fields of the body that hold network documents; none: the body is the document */
  readonly documents: readonly string[];
  readonly run: (body: unknown, options: WorkOptions) => Done;
}

/** Everything that can be asked about a document, by name. Each runs in a thread, on a body that is JSON and no more. */
export const WORKS = {
  audit: {
    documents: [],
    run: (body, { include }) => {
      const result = audit(body, { include });
      return result.ok ? { ok: true, value: result.audit } : result;
    },
  },
  comparison: {
    documents: ["before", "after"],
    run: (body) => {
      const opened = openEnvelope(body, ["before", "after"]);
      if (!opened.ok) return opened;
      const before = audit(opened.fields.before);
      const after = audit(opened.fields.after);
      if (before.ok && after.ok) return { ok: true, value: compare(before.audit, after.audit) };
      const problems = [
        ...(before.ok ? [] : under("before", before.problems)),
        ...(after.ok ? [] : under("after", after.problems)),
      ];
      const total = (before.ok ? 0 : before.total) + (after.ok ? 0 : after.total);
      return { ok: false, problems: problems.slice(0, 100), total };
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
    documents: [],
    run: (body) => {
      const result = commissioning(body);
      return result.ok ? { ok: true, value: result.sheet } : result;
    },
  },
  expansion: {
    documents: [],
    run: (body) => {
      const result = expand(body);
      return result.ok ? { ok: true, value: result.document } : result;
    },
  },
  revision: {
    documents: ["network"],
    run: (body) => {
      const { network, previous, catalogue, tracked } = body as RevisionTask;
      const result = revise(network, previous, catalogue, tracked);
      return result.ok ? { ok: true, value: result.revised } : result;
    },
  },
} as const satisfies Readonly<Record<string, Work>>;

/** Written by the service itself, never taken from a caller. */
export interface RevisionTask {
  readonly network: unknown;
  readonly previous: unknown;
  readonly catalogue: string | null;
  readonly tracked: readonly Tracked[];
}

export type WorkName = keyof typeof WORKS;
