// What a worker thread runs. Bytes come in and go out by transfer: a parsed document would cost more to copy than to parse.
import { move } from "piscina";
import { auditBytes } from "./audit-bytes.js";
import type { AuditReply } from "./refusal.js";

export interface AuditTask {
  readonly body: Uint8Array;
  readonly include: readonly string[];
}

/** null: no work, only proof that the thread has loaded and listens */
const run = (task: AuditTask | null): AuditReply | null => {
  if (task === null) return null;
  const reply = auditBytes(task.body, task.include);
  return reply.ok ? { ok: true, body: move(reply.body) as Uint8Array } : reply;
};

export default run;
