import type { FastifyInstance } from "fastify";
import { LIMITS } from "../core/index.js";
import type { AuditorLimits } from "../service/auditor.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { refTo } from "./components.js";

/** What the HTTP side bounds, all of it listed at `/v1/limits`. Times in ms. */
export interface HttpLimits {
  readonly receivingBytes: number;
  readonly streams: number;
  readonly headersTimeout: number;
  readonly requestTimeout: number;
  readonly idleTimeout: number;
}

export const HTTP_LIMITS: HttpLimits = {
  receivingBytes: 256 * 1024 * 1024,
  streams: 16,
  headersTimeout: 10_000,
  requestTimeout: 120_000,
  idleTimeout: 120_000,
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
