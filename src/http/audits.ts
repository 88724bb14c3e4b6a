import { Readable } from "node:stream";
import type { FastifyInstance } from "fastify";
import { auditStream, type StreamEvent } from "../service/audit-stream.js";
import type { Auditor } from "../service/auditor.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { refTo } from "./components.js";
import { addDocumentRoute, FILE_POLICY, printed, SERVICE_PROBLEMS, SVG_TYPE } from "./document-routes.js";
import { includeParameter, readInclude } from "./include.js";
import { HttpProblem, PROBLEMS, refusalBody } from "./problems.js";

const NDJSON_TYPES = ["application/x-ndjson", "application/ndjson"] as const;

const NEWLINE = Buffer.from("\n");
const asLine = (event: StreamEvent): Buffer => {
  if ("tally" in event) return Buffer.from(`${JSON.stringify(event)}\n`);
  const { line, reply } = event;
  if (reply.ok) return Buffer.concat([reply.body, NEWLINE]);
  return Buffer.from(`${JSON.stringify({ line, problem: refusalBody(reply.refusal) })}\n`);
};

async function* asLines(events: AsyncIterable<StreamEvent>): AsyncGenerator<Buffer> {
  for await (const event of events) yield asLine(event);
}

export interface AuditRoutes {
  readonly auditor: Auditor;
  /** streams that may be open at the same time */
  readonly streams: number;
  /** ms that open streams may still run when the service stops */
  readonly streamGrace: number;
}

export const addAudits = (app: FastifyInstance, { auditor, streams, streamGrace }: AuditRoutes): void => {
  const open = new Set<AbortController>();
  let stopping = false;
  let cutting: NodeJS.Timeout | undefined;
  app.addHook("preClose", async () => {
    stopping = true;
    cutting = setTimeout(() => {
      for (const stream of open) stream.abort();
    }, streamGrace);
  });
  app.addHook("onClose", async () => clearTimeout(cutting));

  addDocumentRoute(app, auditor, {
    path: "/v1/audits",
    work: "audit",
    operationId: "auditNetwork",
    tag: "audits",
    summary: "Audit a network document",
    description:
      "Audits one document without storing it. The answer is 200 whatever the audit finds; the same document gives the same bytes.",
    body: refTo("Network"),
    answer: {
      description:
        "The audit; as `text/html` the report to print, as `image/svg+xml` the riser diagram with the findings on it.",
      schema: refTo("Audit"),
    },
    include: true,
    forms: [printed("report"), { type: SVG_TYPE, work: "auditDrawing", policy: FILE_POLICY }],
  });

  app.post<{ Body?: Readable; Querystring: { include?: string } }>(
    "/v1/audits/stream",
    {
      config: { role: "read", takes: NDJSON_TYPES, gives: NDJSON_TYPES, query: ["include"], stream: true },
      schema: {
        operationId: "auditStream",
        tags: ["audits"],
        summary: "Audit a stream of documents",
        description:
          "Newline-delimited JSON in, one network document a line, and newline-delimited JSON out in the same order: for a good line the bare audit, byte for byte the one that `POST /v1/audits` gives; for a bad one its problem, and the stream goes on; last the tally. Blank lines are passed over. Read while you send: the service reads no further than a few lines ahead of what you have read. An answer without a tally was cut short.",
        querystring: includeParameter,
        body: { content: { [NDJSON_TYPES[0]]: { schema: refTo("Network") } } },
        response: {
          ...answer("The answers, one a line; the schema is that of a line.", NDJSON_TYPES[0], {
            anyOf: [refTo("Audit"), refTo("BadLine"), refTo("StreamTally")],
          }),
          ...problemResponses([...ALWAYS, ...SERVICE_PROBLEMS]),
        },
      },
      onRequest: async (request) => {
        readInclude(request.query.include);
      },
    },
    async (request, reply) => {
      if (stopping) throw new HttpProblem("stopping", PROBLEMS.stopping.when);
      if (open.size >= streams) throw new HttpProblem("busy", `At most ${streams} streams are open at once.`);
      const gone = new AbortController();
      open.add(gone);
      reply.raw.once("close", () => {
        open.delete(gone);
        gone.abort();
      });
      const events = auditStream({
        chunks: request.body ?? Readable.from([]),
        include: readInclude(request.query.include),
        auditor,
        signal: gone.signal,
        onFault: (error) => request.log.error({ err: error }, "a line failed"),
      });
      gone.signal.addEventListener("abort", () => reply.raw.destroy(), { once: true });
      return reply.type(NDJSON_TYPES[0]).send(Readable.from(asLines(events), { objectMode: false, highWaterMark: 1 }));
    },
  );
};
