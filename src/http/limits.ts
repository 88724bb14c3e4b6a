import type { FastifyInstance } from "fastify";
import { LIMITS } from "../core/index.js";
import type { AuditorLimits } from "../service/auditor.js";
import { AHEAD } from "../service/observations.js";
import { REMEMBERED } from "../service/repeat.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { refTo } from "./components.js";
import { PAGE } from "./pages.js";
import { MAX_WORDS_BYTES } from "./read-words.js";

/** What the HTTP side bounds, all of it listed at `/v1/limits`. Times in ms. */
export interface HttpLimits {
  readonly receivingBytes: number;
  readonly streams: number;
  readonly headersTimeout: number;
  readonly requestTimeout: number;
  readonly idleTimeout: number;
  /** requests of one key within the window; beyond, 429 */
  readonly requestsPerKey: number;
  readonly requestsWindow: number;
}

export const HTTP_LIMITS: HttpLimits = {
  receivingBytes: 256 * 1024 * 1024,
  streams: 16,
  headersTimeout: 10_000,
  requestTimeout: 120_000,
  idleTimeout: 120_000,
  requestsPerKey: 10_000,
  requestsWindow: 10_000,
};

export const addLimits = (app: FastifyInstance, limits: HttpLimits, auditor: AuditorLimits): void => {
  const listed = {
    bodyBytes: LIMITS.maxBytes,
    elements: LIMITS.maxElements,
    depth: LIMITS.maxDepth,
    problemsListed: LIMITS.maxProblems,
    auditSeconds: auditor.budget / 1000,
    auditMemoryMebibytes: auditor.heap,
    auditsAtOnce: auditor.threads,
    auditsWaiting: auditor.queued,
    waitingBytes: auditor.queuedBytes,
    receivingBytes: limits.receivingBytes,
    streamsAtOnce: limits.streams,
    headersSeconds: limits.headersTimeout / 1000,
    requestSeconds: limits.requestTimeout / 1000,
    idleSeconds: limits.idleTimeout / 1000,
    requestsPerKey: Number.isFinite(limits.requestsPerKey) ? limits.requestsPerKey : null,
    requestsWindowSeconds: limits.requestsWindow / 1000,
    wordsBytes: MAX_WORDS_BYTES,
    pageEntries: PAGE.usual,
    pageEntriesMost: PAGE.most,
    observationAheadHours: AHEAD / 3_600_000,
    idempotencyHours: REMEMBERED / 3_600_000,
  };
  app.get(
    "/v1/limits",
    {
      config: { role: "read", gives: ["application/json"], query: [] },
      schema: {
        operationId: "getLimits",
        tags: ["limits"],
        summary: "The limits",
        description: "How much the service takes, and for how long.",
        response: { ...answer("The limits.", "application/json", refTo("Limits")), ...problemResponses(ALWAYS) },
      },
    },
    async () => listed,
  );
};
