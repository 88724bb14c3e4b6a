import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import type { Comparisons } from "../service/comparisons.js";
import { refTo } from "./components.js";
import { addDocumentRoute } from "./document-routes.js";

export const addComparisons = (app: FastifyInstance, auditor: Auditor, comparisons: Comparisons): void =>
  addDocumentRoute(app, auditor, {
    path: "/v1/comparisons",
    work: "comparison",
    operationId: "compareNetworks",
    tag: "audits",
    summary: "Compare two networks",
    description:
      "Audits a network before and after a change by the rules of today and says which findings are new, persist, are cleared, or cannot be told any longer, and which margins moved. Each of the two is a document, or `{ building, revision }`: any revision of any building that is kept.",
    body: refTo("ComparisonRequest"),
    answer: { description: "The comparison.", schema: refTo("Comparison") },
    problems: ["not-found", "store-away"],
    perform: ({ organization }, body, signal) => comparisons.compare(organization, body, signal),
  });
