import type { FastifyInstance } from "fastify";
import type { Auditor } from "../service/auditor.js";
import { answer, problemResponses } from "./answers.js";
import { refTo } from "./components.js";
import { HttpProblem } from "./problems.js";

export const addHealth = (app: FastifyInstance, auditor: Auditor): void => {
  app.get(
    "/livez",
    {
      config: { role: "open" },
      schema: {
        operationId: "getLiveness",
        tags: ["health"],
        summary: "Is the process alive?",
        description: "Answers as long as the process serves requests, however busy it is.",
        security: [],
        response: {
          ...answer("It is.", "application/json", refTo("Alive")),
          ...problemResponses(["bad-request", "internal"]),
        },
      },
    },
    async () => ({ status: "alive" }),
  );
  app.get(
    "/readyz",
    {
      config: { role: "open" },
      schema: {
        operationId: "getReadiness",
        tags: ["health"],
        summary: "Can it audit?",
        description: "Answers 200 once the worker threads run, and 503 before that and while the service stops.",
        security: [],
        response: {
          ...answer("It can.", "application/json", refTo("Ready")),
          ...problemResponses(["bad-request", "internal", "not-ready"]),
        },
      },
    },
    async () => {
      if (!auditor.ready) throw new HttpProblem("not-ready", "The worker threads do not run.");
      return { status: "ready" };
    },
  );
};
