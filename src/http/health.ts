import type { FastifyInstance } from "fastify";
import { answer, problemResponses } from "./answers.js";
import { refTo } from "./components.js";
import { HttpProblem, PROBLEMS } from "./problems.js";

export const addHealth = (app: FastifyInstance, isReady: () => boolean): void => {
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
        description:
          "Answers 200 as long as the worker threads run and the database answers; 503 before that, while the database is away, and while the service stops.",
        security: [],
        response: {
          ...answer("It can.", "application/json", refTo("Ready")),
          ...problemResponses(["bad-request", "internal", "not-ready"]),
        },
      },
    },
    async () => {
      if (!isReady()) throw new HttpProblem("not-ready", PROBLEMS["not-ready"].when);
      return { status: "ready" };
    },
  );
};
