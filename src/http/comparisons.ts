import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { refTo } from "./components.js";
import { addDocumentRoute } from "./document-routes.js";

export const addComparisons = (app: FastifyInstance, auditor: Auditor): void =>
  addDocumentRoute(app, auditor, {
    path: "/v1/comparisons",
    work: "comparison",
    operationId: "compareNetworks",
    tag: "audits",
    summary: "Compare two network documents",
    description:
      "Audits a document before and after a change and says which findings are new, persist, are cleared, or cannot be told any longer, and which margins moved.",
    body: refTo("ComparisonRequest"),
    answer: { description: "The comparison.", schema: refTo("Comparison") },
  });
