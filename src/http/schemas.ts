import type { FastifyInstance } from "fastify";
import { networkSchema } from "../core/index.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";

const TYPE = "application/schema+json";

export const addSchemas = (app: FastifyInstance): void => {
  const network = JSON.stringify(networkSchema());
  app.get(
    "/v1/schemas/network",
    {
      config: { role: "read", gives: [TYPE, "application/json"], query: [] },
      schema: {
        operationId: "getNetworkSchema",
        tags: ["schemas"],
        summary: "Schema of the network document",
        description:
          "JSON Schema (draft 2020-12) of the network document, format 1: what the body of an audit is checked by.",
        response: {
          ...answer("The schema.", TYPE, { type: "object", description: "A JSON Schema.", additionalProperties: true }),
          ...problemResponses(ALWAYS),
        },
      },
    },
    async (_request, reply) => reply.type(TYPE).send(Buffer.from(network)),
  );
};
