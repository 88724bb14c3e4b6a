import "./route.js";
import { randomUUID } from "node:crypto";
import { type IncomingMessage, STATUS_CODES } from "node:http";
import type { Socket } from "node:net";
import helmet from "@fastify/helmet";
import fastify, {
  type FastifyBaseLogger,
  type FastifyError,
  type FastifyInstance,
  type FastifyReply,
  type FastifyRequest,
  LogController,
} from "fastify";
import type { Registry } from "prom-client";
import { LIMITS } from "../core/index.js";
import type { Auditor } from "../service/auditor.js";
import { makeKeys } from "../service/keys.js";
import { noStore } from "../service/no-store.js";
import { Abandoned, Unavailable } from "../service/refusal.js";
import { Refused, RefusedDocument } from "../service/refused.js";
import { type Store, StoreFull, StoreUnavailable } from "../service/shelves.js";
import { makeStored } from "../service/stored.js";
import { addAudits } from "./audits.js";
import { byCookie, byKey, guardRoutes, type Identify } from "./auth.js";
import { addBackups } from "./backups.js";
import { addBlockages } from "./blockages.js";
import { readBodies } from "./body.js";
import { addBuildingHealth } from "./building-health.js";
import { addBuildings } from "./buildings.js";
import { addCalculations } from "./calculations.js";
import { addCommissionings } from "./commissionings.js";
import { addComparisons } from "./comparisons.js";
import { addDocs, describeRoutes } from "./docs.js";
import { addDrawings } from "./drawings.js";
import { addExpansions } from "./expansions.js";
import { addFindings } from "./findings.js";
import { addHealth } from "./health.js";
import { addInspections } from "./inspections.js";
import { addLimits, HTTP_LIMITS, type HttpLimits } from "./limits.js";
import { addMaterials } from "./materials.js";
import { addMetrics, watch } from "./metrics.js";
import { answerMissing } from "./missing.js";
import { negotiate } from "./negotiation.js";
import { addObservations } from "./observations.js";
import { addPapers } from "./papers.js";
import { HttpProblem, PROBLEM_TYPE, PROBLEMS, type ProblemCode, problemBody, sendProblem } from "./problems.js";
import { addProfiles } from "./profiles.js";
import { addQuestions } from "./questions.js";
import { boundRates } from "./rates.js";
import { addRevisions } from "./revisions.js";
import { addRules } from "./rules.js";
import { addSchemas } from "./schemas.js";
import { addSite } from "./site/site.js";
import { Running } from "./stored-routes.js";
import { addTransfers } from "./transfers.js";

export interface AppOptions {
  readonly auditor: Auditor;
  /** none: what is about stored things says that its database is away */
  readonly store?: Store;
  readonly now?: () => Date;
  /** what is told at /metrics besides what the service counts itself */
  readonly metrics?: Registry;
  /** none: nothing is logged */
  readonly logger?: FastifyBaseLogger;
  readonly limits?: Partial<HttpLimits>;
  /** none: by the keys of the store */
  readonly identify?: Identify;
  /** ms that open streams may still run when the service stops */
  readonly streamGrace?: number;
}

const REQUEST_ID = /^[\w.:~-]{1,128}$/;
const requestId = (request: IncomingMessage): string => {
  const given = request.headers["x-request-id"];
  return typeof given === "string" && REQUEST_ID.test(given) ? given : randomUUID();
};

/** What the framework found wrong before a handler of ours ran. */
const frameworkProblem = (error: FastifyError): HttpProblem => {
  switch (error.code) {
    case "FST_ERR_CTP_INVALID_MEDIA_TYPE":
    case "FST_ERR_CTP_INVALID_TYPE":
      return new HttpProblem("unsupported-type", "The route does not take this Content-Type.");
    case "FST_ERR_CTP_BODY_TOO_LARGE":
      return new HttpProblem("too-large", `A body has at most ${LIMITS.maxBytes} bytes.`);
    case "FST_ERR_BAD_URL":
      return new HttpProblem("bad-request", "The path holds percent-encoding that is not UTF-8.");
    case "FST_ERR_MAX_PARAM_LENGTH":
      return new HttpProblem("not-found", "An id in the path is longer than any that exists.");
    default:
      return new HttpProblem("bad-request", "The request is malformed.");
  }
};

const asProblem = (error: unknown): HttpProblem | null => {
  if (error instanceof HttpProblem) return error;
  if (error instanceof Unavailable) {
    return new HttpProblem(error.code, PROBLEMS[error.code].when, {
      headers: { "retry-after": String(error.retryAfter) },
    });
  }
  if (error instanceof Refused) {
    const { code, message, errors, total } = error;
    return new HttpProblem(code, message, { errors, total });
  }
  if (error instanceof RefusedDocument) return new HttpProblem(error.refusal.code, error.message, error.refusal);
  if (error instanceof StoreUnavailable) return new HttpProblem("store-away", PROBLEMS["store-away"].when);
  if (error instanceof StoreFull) return new HttpProblem("store-full", PROBLEMS["store-full"].when);
  if (error instanceof Error && "statusCode" in error && "code" in error && Number(error.statusCode) < 500) {
    return frameworkProblem(error as FastifyError);
  }
  return null;
};

const fail = (error: unknown, request: FastifyRequest, reply: FastifyReply): FastifyReply | undefined => {
  // nobody listens any more
  if (error instanceof Abandoned) {
    reply.hijack();
    reply.raw.destroy();
    return undefined;
  }
  const problem = asProblem(error);
  if (problem !== null) return sendProblem(reply, problemBody(problem), problem.headers);
  request.log.error({ err: error }, "failed");
  const detail = `The fault is logged under the request id ${request.id}.`;
  return sendProblem(reply, problemBody({ code: "internal", detail, errors: [], total: 0 }));
};

/** Answers by hand on a connection whose request never became one. */
const refuseConnection = (socket: Socket, code: ProblemCode): void => {
  if (!socket.writable) {
    socket.destroy();
    return;
  }
  const body = JSON.stringify(problemBody({ code, detail: PROBLEMS[code].when, errors: [], total: 0 }));
  const { status } = PROBLEMS[code];
  socket.end(
    `HTTP/1.1 ${status} ${STATUS_CODES[status]}\r\nContent-Type: ${PROBLEM_TYPE}\r\nContent-Length: ${Buffer.byteLength(body)}\r\nConnection: close\r\n\r\n${body}`,
    () => socket.destroy(),
  );
};

const clientProblem = (code: string | undefined): ProblemCode => {
  if (code === "ERR_HTTP_REQUEST_TIMEOUT") return "request-timeout";
  return code === "HPE_HEADER_OVERFLOW" ? "headers-too-large" : "bad-request";
};

const HELMET = {
  contentSecurityPolicy: { useDefaults: false, directives: { defaultSrc: ["'none'"], frameAncestors: ["'none'"] } },
  // plain HTTP here: whoever puts TLS before it sets this
  strictTransportSecurity: false,
} as const;

/** Makes the service's app; listening is the caller's. Not ready until awaited. */
export const makeApp = async (options: AppOptions): Promise<FastifyInstance> => {
  const { store = noStore, now = () => new Date(), streamGrace = 5_000 } = options;
  // where nothing is to be kept, nothing is waited for
  const isReady = () => options.auditor.ready && (options.store?.available ?? true);
  const keys = makeKeys(store, now);
  const { identify = byKey(keys) } = options;
  const limits: HttpLimits = { ...HTTP_LIMITS, ...options.limits };
  const streaming = new WeakSet<Socket>();
  const app: FastifyInstance = fastify({
    ...(options.logger === undefined ? { logger: false } : { loggerInstance: options.logger }),
    logController: new LogController({ disableRequestLogging: true, requestIdLogLabel: "requestId" }),
    bodyLimit: LIMITS.maxBytes,
    routerOptions: { maxParamLength: 2_048 },
    genReqId: requestId,
    // requestTimeout alone lets slow headers pass, and without the interval nothing looks at either
    requestTimeout: limits.requestTimeout,
    connectionTimeout: limits.idleTimeout,
    keepAliveTimeout: 60_000,
    http: {
      headersTimeout: limits.headersTimeout,
      requestTimeout: limits.requestTimeout,
      connectionsCheckingInterval: Math.min(2_000, limits.headersTimeout),
    },
    forceCloseConnections: "idle",
    // before any hook of ours: what the hooks would add and log is added and logged here
    frameworkErrors: (error, request, reply) => {
      reply.headers({ "x-request-id": request.id, "x-content-type-options": "nosniff" });
      fail(error, request as FastifyRequest, reply as FastifyReply);
      request.log.info({ method: request.method, route: null, status: reply.statusCode }, "request");
    },
    clientErrorHandler: (error, socket) => {
      // a stream's body may take as long as it moves; the idle timeout watches it
      if (error.code === "ERR_HTTP_REQUEST_TIMEOUT" && streaming.has(socket)) return;
      refuseConnection(socket, clientProblem(error.code));
    },
  });

  // Schemas describe; what is posted is judged by the core, and what is answered is made right where it is made.
  app.setValidatorCompiler(() => () => true);
  app.setSerializerCompiler(() => (value) => JSON.stringify(value));
  app.setErrorHandler(fail);

  app.addHook("onRequest", async (request, reply) => {
    reply.header("x-request-id", request.id);
    if (request.routeOptions.config?.stream) {
      const { socket } = request.raw;
      streaming.add(socket);
      reply.raw.once("close", () => streaming.delete(socket));
    }
  });
  app.addHook("onResponse", async (request, reply) => {
    request.log.info(
      {
        method: request.method,
        route: request.routeOptions.url ?? null,
        status: reply.statusCode,
        ms: Math.round(reply.elapsedTime * 10) / 10,
      },
      "request",
    );
  });
  app.addHook("onRequestAbort", async (request) => {
    request.log.info(
      { method: request.method, route: request.routeOptions.url ?? null, status: null },
      "request abandoned",
    );
  });

  const { auditor, registry } = watch(app, { registry: options.metrics, auditor: options.auditor, isReady });
  await app.register(helmet, HELMET);
  guardRoutes(app, identify, byCookie(keys, identify));
  await boundRates(app, { requests: limits.requestsPerKey, window: limits.requestsWindow });
  answerMissing(app);
  negotiate(app);
  readBodies(app, { body: LIMITS.maxBytes, receiving: limits.receivingBytes });
  await describeRoutes(app);

  addAudits(app, { auditor, streams: limits.streams, streamGrace });
  addDrawings(app, auditor);
  addExpansions(app, auditor);
  addCalculations(app);
  addBackups(app, auditor);
  addBlockages(app, auditor);
  addCommissionings(app, auditor);

  const stored = makeStored(store, auditor, now, randomUUID);
  addComparisons(app, auditor, stored.comparisons);
  const running = new Running();
  addBuildings(app, running, stored.buildings);
  addRevisions(app, running, stored.revisions, auditor);
  addFindings(app, running, stored.findings);
  addObservations(app, running, stored.observations);
  addBuildingHealth(app, running, stored.health, now);
  addPapers(app, running, stored.papers);
  addQuestions(app, running, stored.questions);
  addInspections(app, running, stored.inspections, stored.questions);
  addTransfers(app, stored.transfers);

  await addSite(app, { stored, keys, asProblem });

  addRules(app);
  addProfiles(app);
  addMaterials(app);
  addLimits(app, limits, auditor.limits);
  addSchemas(app);
  addHealth(app, isReady);
  addMetrics(app, registry);
  addDocs(app);
  return app;
};
