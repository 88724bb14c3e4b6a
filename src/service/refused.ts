import type { Fault, Refusal } from "./refusal.js";

/** Why a call about stored things was refused. */
export type RefusedCode =
  | "not-found"
  | "match-required"
  | "stale"
  | "conflict"
  | "invalid-body"
  | "still-running"
  | "key-reused";

/** Nothing was done. */
export class Refused extends Error {
  readonly code: RefusedCode;
  readonly errors: readonly Fault[];
  readonly total: number;
  constructor(code: RefusedCode, message: string, errors: readonly Fault[] = [], total = errors.length) {
    super(message);
    this.code = code;
    this.errors = errors;
    this.total = total;
  }
}

/** Nothing was done: a document that came with the call is no network document. */
export class RefusedDocument extends Error {
  readonly refusal: Refusal;
  constructor(refusal: Refusal) {
    super(refusal.detail);
    this.refusal = refusal;
  }
}
