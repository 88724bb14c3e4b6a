// What a worker thread runs. Bytes come in and go out by transfer: a parsed document would cost more to copy than to parse.
import { move } from "piscina";
import type { Refusal } from "./refusal.js";
import { workBytes } from "./work-bytes.js";
import type { WorkName, WorkOptions } from "./works.js";

export interface ThreadTask {
  readonly work: WorkName;
  readonly body: Uint8Array;
  readonly options: WorkOptions;
}

/** Bytes are an answer; null answers null. */
export type ThreadResult = Uint8Array | Refusal | null;

/** null: no work, only proof that the thread has loaded and listens */
const run = (task: ThreadTask | null): ThreadResult => {
  if (task === null) return null;
  const reply = workBytes(task.work, task.body, task.options);
  // only what is returned by itself can be moved
  return reply.ok ? (move(reply.body) as Uint8Array) : reply.refusal;
};

// The first audit of a thread compiles the schema, which costs more than most audits: do it before anybody waits.
workBytes("audit", new TextEncoder().encode("{}"), { include: [] });

export default run;
