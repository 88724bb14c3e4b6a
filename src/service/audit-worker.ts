// What a worker thread runs. Bytes come in and go out by transfer: a parsed document would cost more to copy than to parse.
import { move } from "piscina";
import { auditBytes } from "./audit-bytes.js";
import type { Refusal } from "./refusal.js";

export interface AuditTask {
  readonly body: Uint8Array;
  readonly include: readonly string[];
}

/** Bytes are an answer; null answers null. */
export type AuditTaskResult = Uint8Array | Refusal | null;

/** null: no work, only proof that the thread has loaded and listens */
const run = (task: AuditTask | null): AuditTaskResult => {
  if (task === null) return null;
  const reply = auditBytes(task.body, task.include);
  // only what is returned by itself can be moved
  return reply.ok ? (move(reply.body) as Uint8Array) : reply.refusal;
};

// The first audit of a thread compiles the schema, which costs more than most audits: do it before anybody waits.
auditBytes(new TextEncoder().encode("{}"), []);

export default run;
