import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { refTo } from "./components.js";
import { addDocumentRoute } from "./document-routes.js";

export const addBlockages = (app: FastifyInstance, auditor: Auditor): void =>
  addDocumentRoute(app, auditor, {
    path: "/v1/blockages",
    work: "blockage",
    operationId: "locateBlockage",
    tag: "blockages",
    summary: "Locate a blockage from observations",
    description:
      "Says which one blockage explains what was observed, and how likely each is: whose it is, what it leaves unexplained, which pan or opening to look at next, where to work from and which fan coils to stop meanwhile. It says that it cannot tell where it cannot.",
    body: refTo("BlockageRequest"),
    answer: { description: "The candidates.", schema: refTo("Blockage") },
  });
