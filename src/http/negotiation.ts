// What a request asks of a route before its body is read: form of the answer, form of the body, query parameters.
import type { FastifyInstance, FastifyRequest } from "fastify";
import Negotiator from "negotiator";
import { nearest } from "./nearest.js";
import { HttpProblem } from "./problems.js";

const listed = (words: readonly string[]): string => words.join(", ");

const checkAccept = (request: FastifyRequest, gives: readonly string[]): void => {
  const accepts = new Negotiator(request.raw);
  if (accepts.mediaType([...gives]) !== undefined) return;
  throw new HttpProblem("not-acceptable", `This route answers ${listed(gives)}.`);
};

/** The media type of a Content-Type header in lower case, and its charset if it names one. */
const readType = (header: string): { type: string; charset: string | null } => {
  const [type, ...parameters] = header.split(";").map((part) => part.trim().toLowerCase());
  const charset = parameters.find((parameter) => parameter.startsWith("charset="));
  return { type: type ?? "", charset: charset?.slice("charset=".length).replace(/^"(.*)"$/, "$1") ?? null };
};

export const hasBody = (request: FastifyRequest): boolean =>
  request.headers["transfer-encoding"] !== undefined || Number(request.headers["content-length"] ?? 0) > 0;

const checkBody = (request: FastifyRequest, takes: readonly string[]): void => {
  const coding = request.headers["content-encoding"];
  if (coding !== undefined && coding.trim().toLowerCase() !== "identity") {
    throw new HttpProblem("unsupported-encoding", "Send the body as it is, without Content-Encoding.", {
      headers: { "accept-encoding": "identity" },
    });
  }
  const header = request.headers["content-type"];
  if (header === undefined && !hasBody(request)) return;
  const { type, charset } = readType(header ?? "");
  if (takes.includes(type) && (charset === null || charset === "utf-8" || charset === "utf8")) return;
  const detail = takes.includes(type) ? "Only UTF-8 is read." : `This route takes ${listed(takes)}.`;
  throw new HttpProblem("unsupported-type", detail, { headers: { accept: listed(takes) } });
};

const checkQuery = (request: FastifyRequest, known: readonly string[]): void => {
  const query = request.query as Readonly<Record<string, unknown>>;
  for (const name of Object.keys(query)) {
    if (!known.includes(name)) {
      const hint = known.length === 0 ? "This route has no query parameters." : `Known here: ${listed(known)}.`;
      const close = nearest(name, known);
      throw new HttpProblem("bad-query", "The query has an unknown parameter.", {
        errors: [
          {
            pointer: "",
            detail: `Unknown query parameter ${JSON.stringify(name.slice(0, 64))}.`,
            hint: close === null ? hint : `Did you mean ${close}?`,
          },
        ],
      });
    }
    if (typeof query[name] !== "string") {
      const detail = `The query parameter ${name} is given more than once.`;
      throw new HttpProblem("bad-query", detail, {
        errors: [{ pointer: "", detail, hint: "Write its words as one list with commas." }],
      });
    }
  }
};

/** Refuses in the order form of the answer, form of the body, query. */
export const negotiate = (app: FastifyInstance): void => {
  app.addHook("onRequest", async (request) => {
    if (request.is404) return;
    const { gives, takes, query } = request.routeOptions.config;
    if (gives !== undefined) checkAccept(request, gives);
    if (takes !== undefined) checkBody(request, takes);
    if (query !== undefined) checkQuery(request, query);
  });
};
