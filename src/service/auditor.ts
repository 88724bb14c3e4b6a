import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { Piscina } from "piscina";
import { Abandoned, type Refusal, type Reply, Unavailable } from "./refusal.js";
import type { ThreadResult, ThreadTask } from "./work-thread.js";
import type { WorkName } from "./works.js";

export interface AuditorLimits {
  /** worker threads; each runs one audit at a time */
  readonly threads: number;
  /** single audits that may wait for a thread; beyond, the service says that it is full */
  readonly queued: number;
  /** bytes of documents that may be waiting or running, but one document is always taken by an idle thread */
  readonly queuedBytes: number;
  /** ms from being accepted to the answer */
  readonly budget: number;
  /** MiB of heap in each thread; a document that needs more is refused as over budget, the service goes on */
  readonly heap: number;
  /** ms that a running audit may still take after its caller has gone, before its thread is ended */
  readonly farewell: number;
}

const threads = Math.max(2, availableParallelism());
export const AUDITOR_LIMITS: AuditorLimits = {
  threads,
  queued: 32 * threads,
  queuedBytes: 128 * 1024 * 1024,
  budget: 30_000,
  heap: 2048,
  farewell: 250,
};

export interface WorkRequest {
  readonly work: WorkName;
  /** handed over: the caller must not use it afterwards */
  readonly body: Uint8Array;
  readonly include?: readonly string[];
  /** what the service itself gives beside the body, as JSON */
  readonly beside?: string;
  /** aborted when nobody waits for the answer any more */
  readonly signal?: AbortSignal;
  /** true: waits however long the queue is (a stream's own look-ahead bounds it) */
  readonly patient?: boolean;
}

/** Audits, and whatever else is asked about a document, off the event loop. */
export interface Auditor {
  readonly limits: AuditorLimits;
  readonly ready: boolean;
  /** starts the threads and waits until one of them listens */
  warm(): Promise<void>;
  /** @throws Unavailable when full or stopping, Abandoned when `signal` was aborted, any other error: a fault of ours */
  perform(request: WorkRequest): Promise<Reply>;
  /** lets running audits finish, then ends the threads */
  close(): Promise<void>;
}

// Threads run compiled code: run from sources (development, tests), they take what was last built.
const fromSources = import.meta.url.endsWith(".ts");
const workerFile = fileURLToPath(
  new URL(fromSources ? "../../dist/service/work-thread.js" : "./work-thread.js", import.meta.url),
);

/**
 * Bytes of heap that a byte of JSON may become: `{},` is an object of 56 bytes and a place of 8 to 16 in its list. Parsing
 * is one call that nothing interrupts: beyond its heap it would end the process, not the thread.
 */
const HEAP_PER_BYTE = 24;

const overBudget = (detail: string): Refusal => ({ code: "over-budget", detail, errors: [], total: 0 });

/** The whole buffer must be the document's own: what is handed over is gone, and a shared one would take others along. */
const ownBytes = (body: Uint8Array): Uint8Array<ArrayBuffer> =>
  body.buffer instanceof ArrayBuffer && body.byteLength === body.buffer.byteLength && !Buffer.isBuffer(body)
    ? (body as Uint8Array<ArrayBuffer>)
    : new Uint8Array(body);

export const makeAuditor = (options: Partial<AuditorLimits> = {}): Auditor => {
  const limits = { ...AUDITOR_LIMITS, ...options };
  let pool: Piscina<ThreadTask | null, ThreadResult> | null = null;
  let ready = false;
  let closing = false;
  let pending = 0;
  let pendingBytes = 0;

  const start = (): Piscina<ThreadTask | null, ThreadResult> => {
    if (pool !== null) return pool;
    pool = new Piscina<ThreadTask | null, ThreadResult>({
      filename: workerFile,
      // the others start when there is work for them, and stay: a service is ready sooner with one
      minThreads: 1,
      maxThreads: limits.threads,
      idleTimeout: Number.POSITIVE_INFINITY,
      maxQueue: Number.POSITIVE_INFINITY,
      // health, refusals and reading of bodies come before audits where cores are scarce
      niceIncrement: 5,
      resourceLimits: { maxOldGenerationSizeMb: limits.heap },
      execArgv: [],
      closeTimeout: limits.budget,
    });
    // a thread that dies between tasks is replaced; one that dies with a task rejects that task
    pool.on("error", () => {});
    return pool;
  };

  return {
    limits,
    get ready() {
      return ready && !closing;
    },
    async warm() {
      await start().run(null);
      ready = true;
    },
    async perform({ work, body, include = [], beside, signal, patient = false }) {
      const bytes = body.byteLength;
      if (closing) throw new Unavailable("stopping", 5);
      if (signal?.aborted) throw new Abandoned();
      if (bytes * HEAP_PER_BYTE > limits.heap * 2 ** 20)
        return { ok: false, refusal: overBudget(`The work may need more than ${limits.heap} MiB of memory.`) };
      const idle = pending < limits.threads;
      if (
        !patient &&
        !idle &&
        (pending >= limits.threads + limits.queued || pendingBytes + bytes > limits.queuedBytes)
      ) {
        throw new Unavailable("busy", 1);
      }
      const stop = new AbortController();
      let spent = false;
      const budget = setTimeout(() => {
        spent = true;
        stop.abort();
      }, limits.budget);
      let farewell: NodeJS.Timeout | undefined;
      const leave = () => {
        farewell = setTimeout(() => stop.abort(), limits.farewell);
      };
      signal?.addEventListener("abort", leave, { once: true });
      pending += 1;
      pendingBytes += bytes;
      try {
        const own = ownBytes(body);
        const result = await start().run(
          { work, body: own, options: { include, ...(beside !== undefined && { beside }) } },
          { transferList: [own.buffer], signal: stop.signal },
        );
        if (result === null) throw new Error("the thread gave no answer");
        return result instanceof Uint8Array ? { ok: true, body: result } : { ok: false, refusal: result };
      } catch (error) {
        if (spent) {
          const seconds = limits.budget / 1000;
          return { ok: false, refusal: overBudget(`The work was not finished within ${seconds} s.`) };
        }
        if (stop.signal.aborted) throw new Abandoned();
        if (error instanceof Error && "code" in error && error.code === "ERR_WORKER_OUT_OF_MEMORY") {
          return { ok: false, refusal: overBudget(`The work needs more than ${limits.heap} MiB of memory.`) };
        }
        throw error;
      } finally {
        pending -= 1;
        pendingBytes -= bytes;
        clearTimeout(budget);
        clearTimeout(farewell);
        signal?.removeEventListener("abort", leave);
      }
    },
    async close() {
      closing = true;
      await pool?.close();
    },
  };
};
