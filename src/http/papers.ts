import type { FastifyInstance } from "fastify";
import type { Papers } from "../service/papers.js";
import { FILE_POLICY } from "./document-routes.js";
import { addStoredRoute, type Running } from "./stored-routes.js";

/** What goes with a printed page. */
export const PAPER_HEADERS = { "content-security-policy": FILE_POLICY } as const;

export const addPapers = (app: FastifyInstance, running: Running, papers: Papers): void =>
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
    problems: ["busy", "stopping", "over-budget", "invalid-document"],
    handle: async ({ organization, params, gone }) => ({
      value: await papers.report(organization, params.building!, gone),
      headers: PAPER_HEADERS,
    }),
  });
