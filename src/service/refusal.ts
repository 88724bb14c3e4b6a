/** Why nothing was made of a document: the same words for a single answer and for a line of a stream. */
export type RefusalCode =
  | "bad-encoding"
  | "too-deep"
  | "bad-json"
  | "duplicate-key"
  | "too-large"
  | "too-many-elements"
  | "invalid-document"
  | "over-budget"
  | "internal";

/** One fault at one place; `pointer` is a JSON pointer into the document as posted. */
export interface Fault {
  readonly pointer: string;
  readonly detail: string;
  readonly hint?: string;
}

export interface Refusal {
  readonly code: RefusalCode;
  readonly detail: string;
  readonly errors: readonly Fault[];
  /** how many faults there are, listed or not */
  readonly total: number;
}

/** `body` is the answer as JSON text in UTF-8, so that nothing is parsed or encoded twice. */
export type Reply =
  | { readonly ok: true; readonly body: Uint8Array }
  | { readonly ok: false; readonly refusal: Refusal };

/** The service is full or stopping. Nothing was done; the same request may be sent again. */
export class Unavailable extends Error {
  readonly code: "busy" | "stopping";
  /** s */
  readonly retryAfter: number;
  constructor(code: "busy" | "stopping", retryAfter: number) {
    super(code);
    this.code = code;
    this.retryAfter = retryAfter;
  }
}

/** The caller went away before its answer was ready. */
export class Abandoned extends Error {}
