import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { refTo } from "./components.js";
import { addDocumentRoute, printed } from "./document-routes.js";

export const addCommissionings = (app: FastifyInstance, auditor: Auditor): void =>
  addDocumentRoute(app, auditor, {
    path: "/v1/commissioning",
    work: "commissioning",
    operationId: "makeCommissioningSheet",
    tag: "commissioning",
    summary: "Make the test sheet of a commissioning day",
    description:
      "Says what to do and to look at from the roof down: what to isolate, which traps to fill with how much, how much to pour and when it arrives, which levels to see with the fan off and on, which equipment each switch must stop, how to flush and test each main, and what the rules ask that cannot judge in this stage. Each check has boxes to fill and an id that stays the same in the next revision.",
    body: refTo("Network"),
    answer: {
      description: "The sheet; as `text/html` a page to print, with boxes to fill.",
      schema: refTo("CommissioningSheet"),
    },
    forms: [printed("commissioningPage")],
  });
