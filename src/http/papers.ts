import type { FastifyInstance } from "fastify";
import type { Papers } from "../service/papers.js";
import { RefusedDocument } from "../service/refused.js";
import { FILE_POLICY, SVG_TYPE } from "./document-routes.js";
import { HttpProblem, type ProblemCode } from "./problems.js";
import { addStoredRoute, type Running } from "./stored-routes.js";

/** What goes with a printed page or a picture. */
export const PAPER_HEADERS = { "content-security-policy": FILE_POLICY } as const;

const THREAD_PROBLEMS: readonly ProblemCode[] = ["busy", "stopping", "over-budget", "invalid-document"];

const idParameter = (description: string, example: string) => ({ type: "string", description, examples: [example] });

export const addPapers = (app: FastifyInstance, running: Running, papers: Papers): void => {
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/report",
    role: "read",
    operationId: "printReport",
    tag: "revisions",
    summary: "The report on the newest revision, to print",
    description:
      "The newest network judged by the rules of today, as one HTML file that prints on A4 and Letter: summary, findings with their pictures, schedules, what to survey, sources.",
    gives: ["text/html"],
    answers: { 200: { description: "The report.", schema: { type: "string" } } },
    problems: THREAD_PROBLEMS,
    handle: async ({ organization, params, gone }) => ({
      value: await papers.report(organization, params.building!, gone),
      headers: PAPER_HEADERS,
    }),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/riser.svg",
    role: "read",
    operationId: "drawStoredRiser",
    tag: "drawings",
    summary: "The riser diagram of the newest revision",
    description:
      "The risers of the newest network with the findings of its audit by the rules of today, as `POST /v1/drawings/riser` draws them; at most one of `fanCoil`, `blockedPipe`, `blockedNode` and `finding` stands out.",
    query: {
      riser: idParameter("The sheet of one riser, by the node at its foot; every floor of it.", "J-01"),
      fanCoil: idParameter("The way out of this fan coil stands out.", "F-0301"),
      blockedPipe: idParameter("What fills behind this pipe if it blocks stands out.", "P-14"),
      blockedNode: idParameter("The same of a node.", "T-0301"),
      finding: idParameter("What this finding speaks of stands out.", "fall.reverse~p:P-14"),
      width: {
        type: "integer",
        minimum: 320,
        maximum: 4000,
        description: "px at which its text is meant to be read.",
        examples: [1200],
      },
    },
    gives: [SVG_TYPE],
    answers: {
      200: { description: "The diagram, light or dark as the reader's machine is set.", schema: { type: "string" } },
    },
    problems: THREAD_PROBLEMS,
    handle: async ({ organization, params, query, gone }) => ({
      value: await papers.riser(organization, params.building!, requestOf(query), gone).catch(asQuery),
      headers: PAPER_HEADERS,
    }),
  });
};

type Query = Readonly<Record<string, string | undefined>>;

function requestOf({ riser, width, fanCoil, finding, blockedPipe, blockedNode }: Query) {
  const blocked = {
    ...(blockedPipe !== undefined && { pipe: blockedPipe }),
    ...(blockedNode !== undefined && { node: blockedNode }),
  };
  const highlight = {
    ...(fanCoil !== undefined && { fanCoil }),
    ...(finding !== undefined && { finding }),
    ...(Object.keys(blocked).length > 0 && { blocked }),
  };
  return {
    ...(riser !== undefined && { riser }),
    ...(Object.keys(highlight).length > 0 && { highlight }),
    ...(width !== undefined && { width: /^\d{1,5}$/.test(width) ? Number(width) : width }),
  };
}

const PARAMETER_OF: Readonly<Record<string, string>> = {
  "/highlight/blocked/pipe": "blockedPipe",
  "/highlight/blocked/node": "blockedNode",
};

/** What was asked for is told as parameters of the query, what is wrong with the network as it is everywhere. */
function asQuery(error: unknown): never {
  if (!(error instanceof RefusedDocument)) throw error;
  const { code, errors } = error.refusal;
  if (code !== "invalid-document" || errors.some(({ pointer }) => pointer.startsWith("/network"))) throw error;
  throw new HttpProblem("bad-query", "The query asks for what cannot be drawn.", {
    errors: errors.map(({ pointer, detail, hint }) => {
      const name = PARAMETER_OF[pointer] ?? pointer.slice(pointer.lastIndexOf("/") + 1);
      const asJson = hint?.includes("{");
      return { pointer: "", detail: `${name}: ${detail}`, hint: asJson ? "name one thing to stand out" : hint };
    }),
  });
}
