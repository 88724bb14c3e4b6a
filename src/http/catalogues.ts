import type { FastifyInstance } from "fastify";
import { LIMITS, materials, networkSchema, profiles, rules } from "../core/index.js";
import { nearest } from "./nearest.js";
import { listOf, problems } from "./openapi.js";
import { HttpProblem } from "./problems.js";

const JSON_ONLY = { role: "read", gives: ["application/json"], query: [] } as const;

const idParameter = {
  type: "object",
  required: ["id"],
  properties: { id: { type: "string", maxLength: 200, description: "Its id.", examples: ["imc"] } },
} as const;

interface Listed {
  readonly id: string;
}

const find = <T extends Listed>(items: readonly T[], what: string, id: string): T => {
  const found = items.find((item) => item.id === id);
  if (found !== undefined) return found;
  const ids = items.map((item) => item.id);
  const close = nearest(id, ids);
  throw new HttpProblem(
    "not-found",
    `There is no ${what} with this id.${close === null ? "" : ` Did you mean ${close}?`}`,
  );
};

/** Everything that a verdict rests on. */
export const catalogueRoutes = (app: FastifyInstance): void => {
  const list = (path: string, name: string, component: string, what: string, all: () => readonly Listed[]) => {
    app.get(path, {
      config: JSON_ONLY,
      schema: {
        operationId: `list${name}`,
        summary: `List the ${what}s`,
        description: `Every ${what}, in the order of the documentation.`,
        tags: ["catalogues"],
        response: {
          200: { description: `The ${what}s.`, content: { "application/json": { schema: listOf(component) } } },
          ...problems(400, 401, 406, 500),
        },
      },
      handler: async (_request, reply) => reply.send({ items: all(), next: null }),
    });
  };
  const one = (path: string, name: string, component: string, what: string, all: () => readonly Listed[]) => {
    app.get(`${path}/:id`, {
      config: JSON_ONLY,
      schema: {
        operationId: `get${name}`,
        summary: `Read one ${what}`,
        description: `One ${what} by its id.`,
        tags: ["catalogues"],
        params: idParameter,
        response: {
          200: { description: `The ${what}.`, content: { "application/json": { schema: { $ref: `${component}#` } } } },
          ...problems(400, 401, 404, 406, 500),
        },
      },
      handler: async (request, reply) => reply.send(find(all(), what, (request.params as Listed).id)),
    });
  };
  list("/v1/rules", "Rules", "Rule", "rule", rules);
  one("/v1/rules", "Rule", "Rule", "rule", rules);
  list("/v1/profiles", "Profiles", "Profile", "profile", profiles);
  one("/v1/profiles", "Profile", "Profile", "profile", profiles);
  list("/v1/materials", "Materials", "Material", "material", materials);
  app.get("/v1/limits", {
    config: JSON_ONLY,
    schema: {
      operationId: "getLimits",
      summary: "Read the bounds of the service",
      description: "How large a document may be, and how many problems are listed.",
      tags: ["catalogues"],
      response: {
        200: { description: "The bounds.", content: { "application/json": { schema: { $ref: "Limits#" } } } },
        ...problems(400, 401, 406, 500),
      },
    },
    handler: async (_request, reply) => reply.send(LIMITS),
  });
  app.get("/v1/schemas/network", {
    config: { ...JSON_ONLY, gives: ["application/schema+json", "application/json"] },
    schema: {
      operationId: "getNetworkSchema",
      summary: "Read the schema of the network document",
      description: "JSON Schema (draft 2020-12) of the network document, as it is checked.",
      tags: ["catalogues"],
      response: {
        200: {
          description: "The schema.",
          content: {
            "application/schema+json": {
              schema: {
                type: "object",
                description: "A JSON Schema.",
                additionalProperties: true,
                examples: [{ type: "object" }],
              },
            },
          },
        },
        ...problems(400, 401, 406, 500),
      },
    },
    handler: async (_request, reply) => reply.type("application/schema+json").send(JSON.stringify(networkSchema())),
  });
};
