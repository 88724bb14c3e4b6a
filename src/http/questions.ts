import type { FastifyInstance } from "fastify";
import type { Questions, StoredBlockage } from "../service/questions.js";
import { refTo } from "./components.js";
import { DOCUMENT_PROBLEMS } from "./document-routes.js";
import type { ProblemCode } from "./problems.js";
import { readWords } from "./read-words.js";
import { addStoredRoute, type Running, type StoredAnswer } from "./stored-routes.js";
import { BlockageRange } from "./stored-schemas.js";
import { readTime, timeParameter } from "./times.js";

/** What a question about a network may be refused with: it is worked on in a thread, and its document may no longer read. */
const THREAD_PROBLEMS: readonly ProblemCode[] = ["busy", "stopping", "over-budget", "invalid-document"];

const answered = (value: unknown): StoredAnswer => ({ value });

export const addQuestions = (app: FastifyInstance, running: Running, questions: Questions): void => {
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/dwellings/:dwelling",
    role: "read",
    operationId: "getDwelling",
    tag: "dwellings",
    summary: "What concerns one dwelling",
    description:
      "The blockages whose water comes out there: whose pipe and whom to call, who made the water, where it comes out next, which switches trip before, where to work from and whom to stop. What its own fan coils can flood, and its drain health.",
    query: { at: timeParameter("Its health as of this time; without it now.") },
    answers: { 200: { description: "The report.", schema: refTo("Dwelling") } },
    problems: THREAD_PROBLEMS,
    handle: async ({ organization, params, query, gone }) => {
      const at = readTime("at", query.at);
      return answered(await questions.dwelling(organization, params.building!, params.dwelling!, at, gone));
    },
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/pipes/:pipe/isolation",
    role: "read",
    operationId: "getIsolation",
    tag: "blockages",
    summary: "Whom to stop while a pipe is open",
    description:
      "The fan coils, and pumps, to stop so that no water comes while the pipe is open, with whom to tell; and where to work on it from.",
    answers: { 200: { description: "The list.", schema: refTo("Isolation") } },
    problems: THREAD_PROBLEMS,
    handle: async ({ organization, params, gone }) =>
      answered(await questions.isolation(organization, params.building!, params.pipe!, gone)),
  });
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/blockages",
    role: "read",
    operationId: "locateStoredBlockage",
    tag: "blockages",
    summary: "Locate a blockage from what was observed",
    description:
      "Locates a blockage in the newest network by the observations between two times, of the last day where nothing is said. What was seen before the way of its water was cleaned does not count, and observed cleanings make a pipe less likely to be blocked.",
    body: refTo("BlockageRange"),
    answers: { 200: { description: "The candidates.", schema: refTo("BlockageAnswer") } },
    problems: [...THREAD_PROBLEMS, "invalid-body"],
    handle: async ({ organization, params, body, json, repeatable, gone }) => {
      const { since, at } = readWords(BlockageRange, body.byteLength === 0 ? {} : json());
      const range = { since: since === undefined ? null : new Date(since), at: at === undefined ? null : new Date(at) };
      const once = repeatable<StoredBlockage>(answered);
      return answered(await questions.blockages(organization, params.building!, range, once, gone));
    },
  });
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/what-if",
    role: "read",
    operationId: "askWhatIf",
    tag: "revisions",
    summary: "See what remedies or another document would change",
    description:
      "The difference between the audit of the newest network and that of the same network with remedies carried out, or of another document: which findings would clear, which would be new, which margins would move. Nothing is kept. A remedy that leaves a choice is refused with the choice named.",
    body: { anyOf: [refTo("WhatIfRemedies"), refTo("WhatIfNetwork")] },
    answers: { 200: { description: "The difference.", schema: refTo("WhatIf") } },
    problems: [...DOCUMENT_PROBLEMS, "stopping", "over-budget"],
    handle: async ({ organization, params, body, repeatable, gone }) =>
      answered(await questions.whatIf(organization, params.building!, body, repeatable(answered), gone)),
  });
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/survey-list",
    role: "read",
    operationId: "getSurveyList",
    tag: "revisions",
    summary: "What to measure, floor by floor",
    description:
      "Every figure that is missing or too uncertain, where one stands to measure it, from the roof down; each names the field as an inspection does.",
    answers: { 200: { description: "The list.", schema: refTo("SurveyList") } },
    problems: THREAD_PROBLEMS,
    handle: async ({ organization, params, gone }) =>
      answered(await questions.surveyList(organization, params.building!, gone)),
  });
};
