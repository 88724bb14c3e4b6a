import rateLimit from "@fastify/rate-limit";
import type { FastifyInstance } from "fastify";
import { HttpProblem, PROBLEMS } from "./problems.js";

export interface Rate {
  /** requests of one key within the window; Infinity: as many as it likes */
  readonly requests: number;
  /** ms */
  readonly window: number;
}

/** Bounds what one caller may ask for, so that it leaves something for others. Callers are known by then. */
export const boundRates = async (app: FastifyInstance, { requests, window }: Rate): Promise<void> => {
  if (requests === Number.POSITIVE_INFINITY) return;
  const silent = { "x-ratelimit-limit": false, "x-ratelimit-remaining": false, "x-ratelimit-reset": false };
  await app.register(rateLimit, {
    hook: "preParsing",
    max: requests,
    timeWindow: window,
    // whoever needs no key to ask is not counted
    allowList: (request) => request.caller === null,
    keyGenerator: (request) => request.caller?.key ?? request.ip,
    addHeaders: silent,
    addHeadersOnExceeding: silent,
    errorResponseBuilder: (_request, { ttl }) =>
      new HttpProblem("too-many-requests", PROBLEMS["too-many-requests"].when, {
        headers: { "retry-after": String(Math.max(1, Math.ceil(ttl / 1000))) },
      }),
  });
};
