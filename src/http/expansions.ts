import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { refTo } from "./components.js";
import { addDocumentRoute } from "./document-routes.js";

export const addExpansions = (app: FastifyInstance, auditor: Auditor): void =>
  addDocumentRoute(app, auditor, {
    path: "/v1/expansions",
    work: "expansion",
    operationId: "expandNetwork",
    tag: "expansions",
    summary: "Write a document's shorthand out",
    description:
      "Answers with the same network without typicals, placements and stubs: what is audited, and what findings name. A document without shorthand comes back as it is.",
    body: refTo("Network"),
    answer: { description: "The expanded document.", schema: refTo("Network") },
  });
