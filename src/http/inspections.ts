import type { FastifyInstance } from "fastify";
import type { Inspections } from "../service/inspections.js";
import type { Entered } from "../service/observations.js";
import type { Questions } from "../service/questions.js";
import { refTo } from "./components.js";
import { DOCUMENT_PROBLEMS } from "./document-routes.js";
import { shownObservation } from "./observations.js";
import { readWords } from "./read-words.js";
import { addedRevision } from "./revisions.js";
import { addStoredRoute, type Running, type StoredAnswer } from "./stored-routes.js";
import { MeasuredBody } from "./stored-schemas.js";

const entered = (all: readonly Entered[]): StoredAnswer => ({
  status: all.some(({ made }) => made) ? 201 : 200,
  value: { items: all.map(({ made, observation }) => ({ made, observation: shownObservation(observation) })) },
});

export const addInspections = (
  app: FastifyInstance,
  running: Running,
  inspections: Inspections,
  questions: Questions,
): void => {
  addStoredRoute(app, running, {
    method: "GET",
    path: "/v1/buildings/:building/commissioning",
    role: "read",
    operationId: "getCommissioningSheet",
    tag: "commissioning",
    summary: "The test sheet of the newest network",
    description: "What to do and to look at from the roof down, with figures to expect and boxes to fill.",
    answers: { 200: { description: "The sheet.", schema: refTo("CommissioningSheet") } },
    problems: ["busy", "stopping", "over-budget", "invalid-document"],
    handle: async ({ organization, params, gone }) => ({
      value: await questions.commissioning(organization, params.building!, gone),
    }),
  });
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/commissioning/results",
    role: "write",
    operationId: "addCommissioningResults",
    tag: "commissioning",
    summary: "Send a filled-in test sheet back",
    description:
      "Keeps what was written into the boxes of the sheet as observations: what drains freely and what does not, what was primed, flushed, measured and tried. The same results sent again change nothing.",
    body: refTo("CommissioningResults"),
    answers: {
      200: { description: "All of it was there already.", schema: refTo("EnteredObservations") },
      201: { description: "It was kept.", schema: refTo("EnteredObservations") },
    },
    problems: [...DOCUMENT_PROBLEMS, "invalid-body", "conflict", "stopping", "over-budget"],
    handle: async ({ organization, params, body, repeatable, gone }) =>
      entered(await inspections.enterSheet(organization, params.building!, body, repeatable(entered), gone)),
  });
  addStoredRoute(app, running, {
    method: "POST",
    path: "/v1/buildings/:building/inspections/revision",
    role: "write",
    operationId: "addMeasuredRevision",
    tag: "revisions",
    summary: "Make the next revision of what was measured",
    description:
      "Enters what inspections and readings have measured, what was cleaned, primed, tested or found jumpered into the newest document, and keeps it as the next revision. Without `observations` all that came since the newest revision are taken, withdrawn ones left out; of each field the latest reading counts.",
    body: refTo("MeasuredBody"),
    answers: { 201: { description: "It was kept.", schema: refTo("Revision"), tagged: true, located: true } },
    problems: ["invalid-body", "invalid-document", "conflict", "stopping", "over-budget"],
    handle: async ({ organization, caller, params, body, json, repeatable, gone }) => {
      const read = readWords(MeasuredBody, body.byteLength === 0 ? {} : json());
      const words = { observations: read.observations ?? null, by: read.by ?? caller.name, note: read.note ?? null };
      const once = repeatable(addedRevision);
      return addedRevision(await inspections.revise(organization, params.building!, words, once, gone));
    },
  });
};
