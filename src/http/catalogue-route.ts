import type { FastifyInstance } from "fastify";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { refTo } from "./components.js";
import { nearest } from "./nearest.js";
import { HttpProblem } from "./problems.js";

const JSON_TYPE = "application/json";

interface Entry {
  readonly id: string;
}

export interface Catalogue<E extends Entry> {
  /** last part of the path, and the tag */
  readonly path: string;
  readonly one: string;
  readonly many: string;
  readonly summary: string;
  readonly description: string;
  /** component name; its list is called `<component>List` */
  readonly component: string;
  readonly exampleId: string;
  /** how the path calls the id; `id` unless given */
  readonly parameter?: string;
  readonly entries: () => readonly E[];
}

/** `GET /v1/<path>`: the whole list, as one page. */
export const addList = <E extends Entry>(app: FastifyInstance, catalogue: Catalogue<E>): void => {
  const { path, component, description, summary, many } = catalogue;
  const page = { items: catalogue.entries(), next: null };
  app.get(
    `/v1/${path}`,
    {
      config: { role: "read", gives: [JSON_TYPE], query: [] },
      schema: {
        operationId: `list${component}s`,
        tags: [path],
        summary,
        description,
        response: { ...answer(`The ${many}.`, JSON_TYPE, refTo(`${component}List`)), ...problemResponses(ALWAYS) },
      },
    },
    async () => page,
  );
};

/** `GET /v1/<path>/{id}`: one entry, 404 with the nearest known id where there is none. */
export const addEntry = <E extends Entry>(app: FastifyInstance, catalogue: Catalogue<E>): void => {
  const { path, component, one, exampleId, parameter = "id" } = catalogue;
  const byId = new Map(catalogue.entries().map((entry): [string, E] => [entry.id, entry]));
  app.get<{ Params: Record<string, string> }>(
    `/v1/${path}/:${parameter}`,
    {
      config: { role: "read", gives: [JSON_TYPE], query: [] },
      schema: {
        operationId: `get${component}`,
        tags: [path],
        summary: `One ${one}`,
        description: `The ${one} with this id, as in the list.`,
        params: {
          type: "object",
          required: [parameter],
          properties: { [parameter]: { type: "string", description: `Id of the ${one}.`, examples: [exampleId] } },
        },
        response: {
          ...answer(`The ${one}.`, JSON_TYPE, refTo(component)),
          ...problemResponses([...ALWAYS, "not-found"]),
        },
      },
    },
    async (request) => {
      const id = request.params[parameter] ?? "";
      const entry = byId.get(id);
      if (entry !== undefined) return entry;
      const close = nearest(id, [...byId.keys()]);
      throw new HttpProblem(
        "not-found",
        `There is no ${one} with this id.${close === null ? "" : ` Did you mean ${close}?`}`,
      );
    },
  );
};
