// Every error that the service can answer, in one table: handlers, OpenAPI and docs read it, and a test compares them.
import type { FastifyReply } from "fastify";
import type { Fault, Refusal } from "../service/refusal.js";

interface Row {
  readonly status: number;
  readonly title: string;
  /** when it is answered, for the docs */
  readonly when: string;
  /** s: sent as `Retry-After` unless the case at hand knows better */
  readonly retryAfter?: number;
}

export const PROBLEMS = {
  "bad-request": {
    status: 400,
    title: "The request is malformed",
    when: "The HTTP message cannot be read: its URL, its framing, or a Content-Length that its body does not have.",
  },
  "bad-query": {
    status: 400,
    title: "The query is not understood",
    when: "A query parameter is unknown, is given twice, or has a value that the route does not know.",
  },
  "bad-encoding": {
    status: 400,
    title: "The body is not UTF-8",
    when: "The body holds bytes that are not UTF-8.",
  },
  "too-deep": {
    status: 400,
    title: "The JSON is nested too deeply",
    when: "Objects and arrays stand in each other more deeply than the limit.",
  },
  "bad-json": { status: 400, title: "The body is not JSON", when: "The body breaks the syntax of JSON (RFC 8259)." },
  "duplicate-key": {
    status: 400,
    title: "An object has the same key twice",
    when: "One object of the body names a member twice, so that readers would disagree about its value.",
  },
  "no-key": {
    status: 401,
    title: "The caller is not known",
    when: "The call has no key that is known here and still good, and it is not one from this machine while no key exists.",
  },
  "role-too-low": {
    status: 403,
    title: "The caller may not do this",
    when: "The caller is known, and its role is lower than the one that the route declares.",
  },
  "not-found": { status: 404, title: "There is nothing here", when: "The path or the id in it is unknown." },
  "method-not-allowed": {
    status: 405,
    title: "The path does not take this method",
    when: "The path exists for other methods; the header Allow lists them.",
  },
  "not-acceptable": {
    status: 406,
    title: "No acceptable form exists",
    when: "None of the media types in Accept exists for this route; the detail lists those that do.",
  },
  "still-running": {
    status: 409,
    title: "The first call still runs",
    when: "A call with this Idempotency-Key is being worked on; the same call gets its answer once it is done.",
  },
  conflict: {
    status: 409,
    title: "The call contradicts what is kept",
    when: "Another observation has this id, another revision came between again and again, or what is asked for was judged by other rules.",
  },
  stale: {
    status: 412,
    title: "It was changed since",
    when: "If-Match names another state than the one that is kept: read again before changing it.",
  },
  "request-timeout": {
    status: 408,
    title: "The request came too slowly",
    when: "Headers or body were not complete in time. The connection is closed.",
  },
  "too-large": {
    status: 413,
    title: "The body is too large",
    when: "The body, or a line of a stream, has more bytes than the limit.",
  },
  "too-many-elements": {
    status: 413,
    title: "The document has too many nodes and pipes",
    when: "Nodes and pipes together are more than the limit.",
  },
  "unsupported-type": {
    status: 415,
    title: "The route does not take this body type",
    when: "Content-Type is missing or is none that the route takes.",
  },
  "unsupported-encoding": {
    status: 415,
    title: "The body is compressed",
    when: "Content-Encoding is anything but identity.",
  },
  "invalid-document": {
    status: 422,
    title: "The document has problems",
    when: "The JSON is no network document: each problem is listed with its place, up to 100 of them, with the total.",
  },
  "invalid-inputs": {
    status: 422,
    title: "The inputs have problems",
    when: "The JSON is no set of inputs of this calculation: each problem is listed with its place and a hint.",
  },
  "invalid-body": {
    status: 422,
    title: "The body has problems",
    when: "The JSON is not what the route takes: each problem is listed with its place and a hint.",
  },
  "key-reused": {
    status: 422,
    title: "The Idempotency-Key came before",
    when: "This Idempotency-Key came before with another body or at another path. Nothing was done.",
  },
  "match-required": {
    status: 428,
    title: "If-Match is missing",
    when: "What exists is changed or removed only by who has read it: send its entity tag as If-Match.",
  },
  "too-many-requests": {
    status: 429,
    title: "The caller asks too often",
    when: "More requests came with this key than the limit allows; Retry-After says when to go on.",
    retryAfter: 1,
  },
  "headers-too-large": {
    status: 431,
    title: "The headers are too large",
    when: "The request line and headers are larger than the server reads. The connection is closed.",
  },
  internal: {
    status: 500,
    title: "The service failed",
    when: "A fault of the service itself. It is logged under the request id.",
  },
  busy: {
    status: 503,
    title: "The service is full",
    when: "As many documents wait as may. Nothing was done; Retry-After says when to try again.",
    retryAfter: 1,
  },
  "over-budget": {
    status: 503,
    title: "The budget is spent",
    when: "The work was not finished within its budget of time or memory.",
    retryAfter: 30,
  },
  stopping: {
    status: 503,
    title: "The service is stopping",
    when: "The service is shutting down and takes no new work.",
    retryAfter: 5,
  },
  "not-ready": {
    status: 503,
    title: "The service is not ready",
    when: "The service runs, and its threads or its database do not, or not yet.",
    retryAfter: 1,
  },
  "store-away": {
    status: 503,
    title: "The database does not answer",
    when: "Nothing is known to be kept. The same call may be made again, with the same Idempotency-Key where it has one.",
    retryAfter: 2,
  },
  "store-full": {
    status: 507,
    title: "The database has no room",
    when: "Nothing was kept. Reading goes on.",
  },
} as const satisfies Record<string, Row>;

export type ProblemCode = keyof typeof PROBLEMS;
export const PROBLEM_CODES = Object.keys(PROBLEMS) as ProblemCode[];

const row = (code: ProblemCode): Row => PROBLEMS[code];

export const PROBLEM_TYPE = "application/problem+json";
export const typeOf = (code: ProblemCode): string => `urn:drainward:problem:${code}`;

/** RFC 9457, with a stable `code`, the faults with their places, and how many there are. */
export interface ProblemBody {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly code: ProblemCode;
  readonly detail: string;
  readonly errors: readonly Fault[];
  readonly total: number;
}

/** Thrown by hooks and handlers; the error handler of the app answers it. */
export class HttpProblem extends Error {
  readonly code: ProblemCode;
  readonly errors: readonly Fault[];
  readonly total: number;
  readonly headers: Readonly<Record<string, string>>;
  constructor(
    code: ProblemCode,
    detail: string,
    more: { errors?: readonly Fault[]; total?: number; headers?: Readonly<Record<string, string>> } = {},
  ) {
    super(detail);
    this.code = code;
    this.errors = more.errors ?? [];
    this.total = more.total ?? this.errors.length;
    this.headers = more.headers ?? {};
  }
  get detail(): string {
    return this.message;
  }
}

export const problemBody = (problem: {
  readonly code: ProblemCode;
  readonly detail: string;
  readonly errors: readonly Fault[];
  readonly total: number;
}): ProblemBody => ({
  type: typeOf(problem.code),
  title: row(problem.code).title,
  status: row(problem.code).status,
  code: problem.code,
  detail: problem.detail,
  errors: problem.errors,
  total: problem.total,
});

export const refusalBody = (refusal: Refusal): ProblemBody => problemBody(refusal);

export const sendProblem = (reply: FastifyReply, body: ProblemBody, headers: Readonly<Record<string, string>> = {}) => {
  const { retryAfter } = row(body.code);
  if (retryAfter !== undefined) reply.header("retry-after", String(retryAfter));
  return reply
    .code(body.status)
    .headers(headers)
    .type(PROBLEM_TYPE)
    .send(Buffer.from(JSON.stringify(body)));
};
