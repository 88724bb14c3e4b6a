import { LIMITS } from "../core/index.js";
import type { Auditor } from "./auditor.js";
import { type Line, splitLines } from "./lines.js";
import { Abandoned, type Reply } from "./refusal.js";

export interface Tally {
  readonly read: number;
  readonly audited: number;
  readonly bad: number;
}

export type StreamEvent = { readonly line: number; readonly reply: Reply } | { readonly tally: Tally };

export interface AuditStreamOptions {
  readonly chunks: AsyncIterable<Uint8Array>;
  readonly include: readonly string[];
  readonly auditor: Auditor;
  /** aborted when the reader has gone: what is running is dropped and nothing more is read */
  readonly signal: AbortSignal;
  /** told of faults of ours, which cost one line and not the stream */
  readonly onFault: (error: unknown) => void;
}

interface Ahead {
  readonly line: number;
  readonly bytes: number;
  readonly reply: Promise<Reply>;
}

const tooLong: Reply = {
  ok: false,
  refusal: { code: "too-large", detail: `A line has at most ${LIMITS.maxBytes} bytes.`, errors: [], total: 0 },
};
const fault: Reply = {
  ok: false,
  refusal: { code: "internal", detail: "The audit failed by a fault of the service.", errors: [], total: 0 },
};

/** Resolves when rung; rings that nobody waits for are not kept. */
const makeBell = () => {
  let wake: (() => void) | null = null;
  return {
    ring: () => wake?.(),
    heard: () =>
      new Promise<void>((resolve) => {
        wake = resolve;
      }),
  };
};

/**
 * Audits the lines of a stream, in their order, one event for each as soon as it and all before it are done, then the
 * tally. It is pulled: at most a few lines are read ahead of what was taken, so a slow reader slows the sender and memory
 * stays bounded. A bad line is an event like any other. No tally means that the stream was cut short.
 */
export async function* auditStream(options: AuditStreamOptions): AsyncGenerator<StreamEvent> {
  const { chunks, include, auditor, signal, onFault } = options;
  const ahead: Ahead[] = [];
  let aheadBytes = 0;
  let ended = false;
  let broken: { readonly error: unknown } | null = null;
  const filled = makeBell();
  const emptied = makeBell();
  const gone = new AbortController();
  const leave = () => {
    gone.abort();
    filled.ring();
    emptied.ring();
  };
  signal.addEventListener("abort", leave, { once: true });
  if (signal.aborted) leave();

  const judge = async (line: Line): Promise<Reply> => {
    if (line.bytes === null) return tooLong;
    try {
      return await auditor.perform({ work: "audit", body: line.bytes, include, signal: gone.signal, patient: true });
    } catch (error) {
      if (!(error instanceof Abandoned)) onFault(error);
      return fault;
    }
  };
  const full = () => ahead.length > auditor.limits.threads || (ahead.length > 0 && aheadBytes > LIMITS.maxBytes);
  const fill = async () => {
    try {
      for await (const line of splitLines(chunks, LIMITS.maxBytes)) {
        while (full() && !gone.signal.aborted) await emptied.heard();
        if (gone.signal.aborted) return;
        const bytes = line.bytes?.byteLength ?? 0;
        aheadBytes += bytes;
        ahead.push({ line: line.number, bytes, reply: judge(line) });
        filled.ring();
      }
    } catch (error) {
      broken = { error };
    } finally {
      ended = true;
      filled.ring();
    }
  };

  let audited = 0;
  let bad = 0;
  const filling = fill();
  try {
    for (;;) {
      while (ahead.length === 0 && !ended && !gone.signal.aborted) await filled.heard();
      if (gone.signal.aborted) return;
      const next = ahead[0];
      if (next === undefined) break;
      const reply = await next.reply;
      if (gone.signal.aborted) return;
      ahead.shift();
      aheadBytes -= next.bytes;
      emptied.ring();
      if (reply.ok) audited += 1;
      else bad += 1;
      yield { line: next.line, reply };
    }
    await filling;
    if (broken !== null) throw (broken as { readonly error: unknown }).error;
    yield { tally: { read: audited + bad, audited, bad } };
  } finally {
    signal.removeEventListener("abort", leave);
    leave();
  }
}
