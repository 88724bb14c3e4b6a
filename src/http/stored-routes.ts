// Calls about what is stored: each resource says what it takes and answers, the way is one. Keys of organizations, entity
// tags, repeated calls, pages and problems are seen to here.
import { createHash } from "node:crypto";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { type KeptAnswer, type Repeatable, Replayed } from "../service/repeat.js";
import type { Role } from "../service/shelves.js";
import { ALWAYS, problemResponses, type Responses } from "./answers.js";
import type { Caller } from "./auth.js";
import { PAGE_PARAMETERS } from "./pages.js";
import { PARAMETERS } from "./parameters.js";
import { HttpProblem, type ProblemCode } from "./problems.js";
import { readSmallJson } from "./read-words.js";

const JSON_TYPE = "application/json";

type Query = Readonly<Record<string, string | undefined>>;

/** What a route is asked, with everything about it that is the same for all. */
export interface StoredCall {
  readonly organization: string;
  readonly caller: Caller;
  readonly params: Readonly<Record<string, string>>;
  readonly query: Query;
  readonly url: string;
  readonly body: Uint8Array;
  /** the body, which is short, as JSON. @throws HttpProblem */
  readonly json: () => unknown;
  /** null: not sent */
  readonly ifMatch: string | null;
  /** makes a piece of work one that is done once for each Idempotency-Key; null: the caller sent none */
  readonly repeatable: <T>(render: (result: T) => StoredAnswer) => Repeatable<T> | null;
  /** aborted when nobody waits any more */
  readonly gone: AbortSignal;
}

export interface StoredAnswer {
  readonly status?: 200 | 201 | 204;
  readonly headers?: Readonly<Record<string, string>>;
  /** written as JSON; a Buffer is JSON already */
  readonly value?: unknown;
}

interface DescribedAnswer {
  readonly description: string;
  /** none: nothing comes with it */
  readonly schema?: object;
  readonly tagged?: true;
  readonly located?: true;
}

export interface StoredRoute {
  readonly method: "GET" | "PUT" | "POST" | "DELETE";
  /** as the router writes it; what its parameters are stands in parameters.ts */
  readonly path: string;
  readonly role: Role;
  readonly operationId: string;
  readonly tag: string;
  readonly summary: string;
  readonly description: string;
  /** query parameters with their schemas */
  readonly query?: Readonly<Record<string, object>>;
  /** it answers a page: takes `limit` and `cursor` */
  readonly paged?: true;
  /** schema of the body; none: it takes none */
  readonly body?: object;
  /** it changes or removes what exists: reads If-Match */
  readonly matched?: true;
  readonly answers: Readonly<Partial<Record<200 | 201 | 204, DescribedAnswer>>>;
  /** beside those that every stored route can have */
  readonly problems?: readonly ProblemCode[];
  /** media types of its answer; JSON unless given */
  readonly gives?: readonly string[];
  readonly handle: (call: StoredCall) => Promise<StoredAnswer>;
}

const BODY_PROBLEMS: readonly ProblemCode[] = [
  "bad-encoding",
  "too-deep",
  "bad-json",
  "duplicate-key",
  "too-large",
  "unsupported-type",
  "unsupported-encoding",
  "busy",
];
const WRITE_PROBLEMS: readonly ProblemCode[] = ["store-full"];
const MATCH_PROBLEMS: readonly ProblemCode[] = ["match-required", "stale"];
const ONCE_PROBLEMS: readonly ProblemCode[] = ["still-running", "key-reused"];

const IF_MATCH = {
  type: "string",
  description: "Entity tag of what is changed, as `ETag` gave it. Needed where it exists.",
  examples: ['"mcp4k2o0-3"'],
} as const;
const IDEMPOTENCY_KEY = {
  type: "string",
  maxLength: 255,
  description:
    "Any text of the caller's own. The same call sent again with it is answered as the first time and does nothing more; it is remembered for a day.",
  examples: ["7f9c2ba4-e88f-4d1e-9a4b"],
} as const;
const IDEMPOTENCY_FORM = /^[\x21-\x7e](?:[\x20-\x7e]{0,253}[\x21-\x7e])?$/;

/** Adds one route about what is stored, in its organization and by its role. */
export const addStoredRoute = (app: FastifyInstance, running: Running, route: StoredRoute): void => {
  const once = route.method === "POST";
  const query = { ...(route.paged && PAGE_PARAMETERS), ...route.query };
  const names = [...route.path.matchAll(/:(\w+)/g)].map(([, name]) => name!);
  const { gives = [JSON_TYPE] } = route;
  const problems: ProblemCode[] = [
    ...ALWAYS,
    "store-away",
    "too-many-requests",
    ...(names.length > 0 ? (["not-found"] as const) : []),
    ...(route.method === "GET" ? [] : WRITE_PROBLEMS),
    ...(route.body === undefined ? [] : BODY_PROBLEMS),
    ...(route.matched ? MATCH_PROBLEMS : []),
    ...(once ? ONCE_PROBLEMS : []),
    ...(route.problems ?? []),
  ];
  app.route<{ Body?: Uint8Array; Params: Record<string, string>; Querystring: Query }>({
    method: route.method,
    url: route.path,
    config: {
      role: route.role,
      gives,
      query: Object.keys(query),
      ...(route.body !== undefined && { takes: [JSON_TYPE] }),
    },
    schema: {
      operationId: route.operationId,
      tags: [route.tag],
      summary: route.summary,
      description: route.description,
      ...(names.length > 0 && {
        params: {
          type: "object",
          required: names,
          properties: Object.fromEntries(names.map((name) => [name, PARAMETERS[name as keyof typeof PARAMETERS]])),
        },
      }),
      ...(Object.keys(query).length > 0 && { querystring: { type: "object", properties: query } }),
      ...((route.matched || once) && {
        headers: {
          type: "object",
          properties: {
            ...(route.matched && { "If-Match": IF_MATCH }),
            ...(once && { "Idempotency-Key": IDEMPOTENCY_KEY }),
          },
        },
      }),
      ...(route.body !== undefined && { body: { content: { [JSON_TYPE]: { schema: route.body } } } }),
      response: { ...answersOf(route, gives), ...problemResponses(problems) },
    },
    handler: (request, reply) => {
      const key = once ? idempotencyKeyOf(request) : null;
      return running.one(request.caller?.organization ?? "", key, async () => {
        const answer = await route.handle(callOf(request, reply, route, key)).catch((error: unknown) => {
          if (error instanceof Replayed) return error.answer;
          throw error;
        });
        return send(reply, answer, gives[0]!);
      });
    },
  });
};

/** The calls with an Idempotency-Key that are being worked on in this process. */
export class Running {
  readonly #keys = new Set<string>();

  /** @throws HttpProblem `still-running` */
  async one<T>(organization: string, key: string | null, work: () => Promise<T>): Promise<T> {
    if (key === null) return work();
    const own = `${organization} ${key}`;
    if (this.#keys.has(own))
      throw new HttpProblem("still-running", "The first call with this Idempotency-Key runs still.");
    this.#keys.add(own);
    try {
      return await work();
    } finally {
      this.#keys.delete(own);
    }
  }
}

function idempotencyKeyOf(request: FastifyRequest): string | null {
  const key = request.headers["idempotency-key"];
  if (key === undefined) return null;
  if (typeof key === "string" && IDEMPOTENCY_FORM.test(key)) return key;
  throw new HttpProblem("bad-request", "An Idempotency-Key has 1 to 255 printable ASCII characters.");
}

function callOf(
  request: FastifyRequest<{ Body?: Uint8Array; Params: Record<string, string>; Querystring: Query }>,
  reply: FastifyReply,
  { method }: StoredRoute,
  key: string | null,
): StoredCall {
  const { caller } = request;
  // the guard lets nobody in without
  if (caller === null) throw new Error("a stored route was reached without a caller");
  const body = request.body ?? new Uint8Array(0);
  const gone = new AbortController();
  reply.raw.once("close", () => {
    if (!reply.raw.writableFinished) gone.abort();
  });
  const bodyDigest = key === null ? "" : createHash("sha256").update(body).digest("hex");
  const route = `${method} ${request.url.split("?", 1)[0]}`;
  return {
    organization: caller.organization,
    caller,
    params: request.params,
    query: request.query,
    url: request.url,
    body,
    json: () => readSmallJson(body),
    ifMatch: request.headers["if-match"] ?? null,
    repeatable: (render) =>
      key === null ? null : { key, route, bodyDigest, at: new Date(), render: (result) => kept(render(result)) },
    gone: gone.signal,
  };
}

const kept = ({ status = 200, headers = {}, value }: StoredAnswer): KeptAnswer => ({
  status,
  headers,
  body: value === undefined ? "" : JSON.stringify(value),
});

function send(reply: FastifyReply, answer: StoredAnswer | KeptAnswer, type: string): FastifyReply {
  reply.code(answer.status ?? 200).headers(answer.headers ?? {});
  const value = "body" in answer ? Buffer.from(answer.body) : "value" in answer ? answer.value : undefined;
  if (reply.statusCode === 204 || value === undefined) return reply.send();
  const bytes = value instanceof Uint8Array ? value : Buffer.from(JSON.stringify(value));
  return reply.type(`${type}; charset=utf-8`).send(bytes);
}

const TAG_HEADER = { type: "string", description: "Entity tag of this state.", examples: ['"mcp4k2o0-3"'] };
const LOCATION_HEADER = { type: "string", description: "Where it is.", examples: ["/v1/buildings/alder-court"] };
const LINK_HEADER = {
  type: "string",
  description: "The next page, where there is one (RFC 8288).",
  examples: ['</v1/buildings?cursor=WyJidWlsZGluZ3MiLCJlbG0iXQ>; rel="next"'],
};

function answersOf({ answers, paged }: StoredRoute, gives: readonly string[]): Responses {
  return Object.fromEntries(
    Object.entries(answers).map(([status, { description, schema, tagged, located }]): [string, unknown] => {
      const headers = {
        ...(tagged && { ETag: TAG_HEADER }),
        ...(located && { Location: LOCATION_HEADER }),
        ...(paged && { Link: LINK_HEADER }),
      };
      return [
        status,
        {
          description,
          ...(Object.keys(headers).length > 0 && { headers }),
          ...(schema !== undefined && { content: Object.fromEntries(gives.map((type) => [type, { schema }])) }),
        },
      ];
    }),
  );
}
