// Calls about one document: JSON in, JSON or another form out, worked on in a thread. Each resource says what it is; the
// way is one.
import type { FastifyInstance } from "fastify";
import Negotiator from "negotiator";
import type { Auditor } from "../service/auditor.js";
import type { Reply } from "../service/refusal.js";
import type { WorkName } from "../service/works.js";
import { ALWAYS, problemResponses } from "./answers.js";
import type { Caller } from "./auth.js";
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
  readonly answer: { readonly description: string; readonly schema: object } & Partial<
    Pick<AnswerForm, "type" | "policy">
  >;
  /** takes `?include=` */
  readonly include?: true;
  /** what it gives besides, where Accept asks for it */
  readonly forms?: readonly AnswerForm[];
  /** beside those of every such route */
  readonly problems?: readonly ProblemCode[];
  /** how the body becomes the answer, where that is more than handing it to a thread */
  readonly perform?: (caller: Caller, body: Uint8Array, signal: AbortSignal) => Promise<Reply>;
}

/** Another form of an answer, made by a work of its own. */
export interface AnswerForm {
  readonly type: string;
  readonly work: WorkName;
  /** what the work is given beside the document */
  readonly beside?: () => object;
  /** what a browser may do with it, where that is more than with data */
  readonly policy?: string;
}

/** Pages of one file: their look stands in them, nothing else is loaded, and each says so itself by the digest of its look. */
export const FILE_POLICY =
  "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

export const SVG_TYPE = "image/svg+xml";

/** A page to print, dated by the day on which it is asked for. */
export const printed = (work: WorkName): AnswerForm => ({
  type: "text/html",
  work,
  beside: () => ({ date: new Date().toISOString().slice(0, 10) }),
  policy: FILE_POLICY,
});

/** Adds `POST path`, which hands its body to a thread and gives back what the thread made of it. */
export const addDocumentRoute = (app: FastifyInstance, auditor: Auditor, route: DocumentRoute): void => {
  const query = route.include ? ["include"] : [];
  const { forms = [], problems = [] } = route;
  const { type: own = JSON_TYPE, policy } = route.answer;
  const gives = [own, ...forms.map(({ type }) => type)];
  app.post<{ Body?: Uint8Array; Querystring: { include?: string } }>(
    route.path,
    {
      config: { role: "read", takes: [JSON_TYPE], gives, query },
      schema: {
        operationId: route.operationId,
        tags: [route.tag],
        summary: route.summary,
        description: route.description,
        ...(route.include && { querystring: includeParameter }),
        body: { content: { [JSON_TYPE]: { schema: route.body } } },
        response: {
          200: {
            description: route.answer.description,
            content: {
              [own]: { schema: route.answer.schema },
              ...Object.fromEntries(forms.map(({ type }) => [type, { schema: { type: "string" } }])),
            },
          },
          ...problemResponses([...ALWAYS, ...DOCUMENT_PROBLEMS, ...SERVICE_PROBLEMS, "over-budget", ...problems]),
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
      const asked = new Negotiator(request.raw).mediaType(gives);
      const form = forms.find(({ type }) => type === asked);
      const beside = form?.beside?.();
      const body = request.body ?? new Uint8Array(0);
      const result =
        route.perform === undefined
          ? await auditor.perform({
              work: form?.work ?? route.work,
              body,
              include: readInclude(request.query.include),
              ...(beside !== undefined && { beside: JSON.stringify(beside) }),
              signal: gone.signal,
            })
          : await route.perform(request.caller!, body, gone.signal);
      if (!result.ok) return sendProblem(reply, refusalBody(result.refusal));
      if (forms.length > 0) reply.header("vary", "accept");
      const allowed = form === undefined ? policy : form.policy;
      if (allowed !== undefined) reply.header("content-security-policy", allowed);
      return reply
        .type(`${form?.type ?? own}; charset=utf-8`)
        .send(Buffer.from(result.body.buffer, result.body.byteOffset, result.body.byteLength));
    },
  );
};
