import { audit, type Problem } from "../core/index.js";

export interface WorkOptions {
  /** words of `?include=`, for the works that take them */
  readonly include: readonly string[];
}

/** What a work makes of a parsed body; `value` is the answer, to be written as JSON. */
export type Done =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

interface Work {
  /** field of the body that holds the network document; null: the body is the document */
  readonly network: string | null;
  readonly run: (body: unknown, options: WorkOptions) => Done;
}

/** Everything that can be asked about a document, by name. Each runs in a thread, on a body that is JSON and no more. */
export const WORKS = {
  audit: {
    network: null,
    run: (body, { include }) => {
      const result = audit(body, { include });
      return result.ok ? { ok: true, value: result.audit } : result;
    },
  },
} as const satisfies Readonly<Record<string, Work>>;

export type WorkName = keyof typeof WORKS;
