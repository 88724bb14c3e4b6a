// Calls about one document: JSON in, JSON out, worked on in a thread. Each resource says what it is; the way is one.
import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import type { WorkName } from "../service/works.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { includeParameter, readInclude } from "./include.js";
import { type ProblemCode, refusalBody, sendProblem } from "./problems.js";

const JSON_TYPE = "application/json";

export const DOCUMENT_PROBLEMS: readonly ProblemCode[] = [
  "bad-encoding",
  "too-deep",
  "bad-json",
  "duplicate-key",
  "too-large",
  "too-many-elements",
  "invalid-document",
];
export const SERVICE_PROBLEMS: readonly ProblemCode[] = [
  "unsupported-type",
  "unsupported-encoding",
  "busy",
  "stopping",
];

export interface DocumentRoute {
  readonly path: string;
  readonly work: WorkName;
  readonly operationId: string;
  readonly tag: string;
  readonly summary: string;
  readonly description: string;
  /** schema of the body */
  readonly body: object;
  readonly answer: { readonly description: string; readonly schema: object };
  /** takes `?include=` */
  readonly include?: true;
}

/** Adds `POST path`, which hands its body to a thread and gives back what the thread made of it. */
export const addDocumentRoute = (app: FastifyInstance, auditor: Auditor, route: DocumentRoute): void => {
  const query = route.include ? ["include"] : [];
  app.post<{ Body?: Uint8Array; Querystring: { include?: string } }>(
    route.path,
    {
      config: { role: "read", takes: [JSON_TYPE], gives: [JSON_TYPE], query },
      schema: {
        operationId: route.operationId,
        tags: [route.tag],
        summary: route.summary,
        description: route.description,
        ...(route.include && { querystring: includeParameter }),
        body: { content: { [JSON_TYPE]: { schema: route.body } } },
        response: {
          ...answer(route.answer.description, JSON_TYPE, route.answer.schema),
          ...problemResponses([...ALWAYS, ...DOCUMENT_PROBLEMS, ...SERVICE_PROBLEMS, "over-budget"]),
        },
      },
      onRequest: async (request) => {
        readInclude(request.query.include);
      },
    },
    async (request, reply) => {
      const gone = new AbortController();
      reply.raw.once("close", () => {
        if (!reply.raw.writableFinished) gone.abort();
      });
      const result = await auditor.perform({
        work: route.work,
        body: request.body ?? new Uint8Array(0),
        include: readInclude(request.query.include),
        signal: gone.signal,
      });
      if (!result.ok) return sendProblem(reply, refusalBody(result.refusal));
      return reply
        .type(`${JSON_TYPE}; charset=utf-8`)
        .send(Buffer.from(result.body.buffer, result.body.byteOffset, result.body.byteLength));
    },
  );
};
