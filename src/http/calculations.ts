import type { FastifyInstance } from "fastify";
import { calculate, calculations, readJson } from "../core/index.js";
import { ALWAYS, answer, problemResponses } from "./answers.js";
import { addEntry, addList, type Catalogue } from "./catalogue-route.js";
import { refTo } from "./components.js";
import { nearest } from "./nearest.js";
import { HttpProblem, type ProblemCode } from "./problems.js";

const JSON_TYPE = "application/json";
/** bytes of one set of inputs: they are few and short */
const MAX_INPUT_BYTES = 65_536;

const BODY_PROBLEMS: readonly ProblemCode[] = [
  "bad-encoding",
  "too-deep",
  "bad-json",
  "duplicate-key",
  "too-large",
  "unsupported-type",
  "unsupported-encoding",
];

const catalogue: Catalogue<ReturnType<typeof calculations>[number]> = {
  path: "calculations",
  one: "calculation",
  many: "calculations",
  summary: "The calculations",
  description:
    "Every single calculation: what it takes and gives, in which units, its formula, its sources and within what it holds.",
  component: "Calculation",
  exampleId: "trap",
  parameter: "name",
  entries: calculations,
};

/** Calculations are short: they are made right here and not in a thread. */
export const addCalculations = (app: FastifyInstance): void => {
  addList(app, catalogue);
  addEntry(app, catalogue);
  const names = catalogue.entries().map(({ id }) => id);
  app.post<{ Body?: Uint8Array; Params: { name: string } }>(
    "/v1/calculations/:name",
    {
      config: { role: "read", takes: [JSON_TYPE], gives: [JSON_TYPE], query: [] },
      schema: {
        operationId: "calculate",
        tags: ["calculations"],
        summary: "Make one calculation",
        description:
          "Takes the inputs that the calculation lists: a bare number is SI base (temperatures °C), a text carries its unit. Answers with the result, the working line by line, the formula, its sources and whether it holds here.",
        params: {
          type: "object",
          required: ["name"],
          properties: { name: { type: "string", description: "Name of the calculation.", examples: ["trap"] } },
        },
        body: { content: { [JSON_TYPE]: { schema: refTo("CalculationInputs") } } },
        response: {
          ...answer("The result with its working.", JSON_TYPE, refTo("CalculationAnswer")),
          ...problemResponses([...ALWAYS, ...BODY_PROBLEMS, "not-found", "invalid-inputs"]),
        },
      },
    },
    async (request) => {
      const { name } = request.params;
      if (!names.includes(name)) {
        const close = nearest(name, names);
        throw new HttpProblem(
          "not-found",
          `There is no calculation with this name.${close === null ? "" : ` Did you mean ${close}?`}`,
        );
      }
      const body = request.body ?? new Uint8Array(0);
      if (body.byteLength > MAX_INPUT_BYTES)
        throw new HttpProblem("too-large", `Inputs have at most ${MAX_INPUT_BYTES} bytes.`);
      const read = readJson(body);
      if (!read.ok) {
        const { code, pointer, detail, hint } = read.problem;
        throw new HttpProblem(code, detail, { errors: [{ pointer, detail, hint }] });
      }
      const made = calculate(name, read.value);
      if (made.ok) return made.calculation;
      const { problems, total } = made;
      throw new HttpProblem("invalid-inputs", `The inputs have ${total === 1 ? "a problem" : `${total} problems`}.`, {
        errors: problems.map(({ pointer, detail, hint }) => ({ pointer, detail, hint })),
        total,
      });
    },
  );
};
