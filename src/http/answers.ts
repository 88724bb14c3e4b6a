// How a route lists what it answers, so that its OpenAPI responses come from the error table and not from memory.
import { refTo } from "./components.js";
import { PROBLEM_TYPE, PROBLEMS, type ProblemCode, typeOf } from "./problems.js";

export type Responses = Record<string, unknown>;

/** What any guarded route can answer. */
export const ALWAYS: readonly ProblemCode[] = [
  "bad-request",
  "bad-query",
  "no-key",
  "role-too-low",
  "not-acceptable",
  "internal",
];

const example = (code: ProblemCode) => ({
  summary: PROBLEMS[code].title,
  value: {
    type: typeOf(code),
    title: PROBLEMS[code].title,
    status: PROBLEMS[code].status,
    code,
    detail: PROBLEMS[code].when,
    errors: [],
    total: 0,
  },
});

// the plugin puts what is written here under `schema`, and lifts the description out of it
const header = (description: string, value: unknown, type = "string") => ({ type, description, examples: [value] });

/** One response for each status among `codes`, listing the codes that share it. */
export const problemResponses = (codes: readonly ProblemCode[]): Responses => {
  const byStatus = new Map<number, ProblemCode[]>();
  for (const code of codes) {
    const { status } = PROBLEMS[code];
    byStatus.set(status, [...(byStatus.get(status) ?? []), code]);
  }
  return Object.fromEntries(
    [...byStatus].map(([status, group]): [string, unknown] => [
      String(status),
      {
        description: group.map((code) => `\`${code}\`: ${PROBLEMS[code].when}`).join("\n\n"),
        ...((status === 503 || status === 429) && {
          headers: { "Retry-After": header("Seconds to wait before the next try.", 1, "integer") },
        }),
        ...(status === 401 && { headers: { "WWW-Authenticate": header("The scheme of keys.", "Bearer") } }),
        content: {
          [PROBLEM_TYPE]: {
            schema: refTo("Problem"),
            examples: Object.fromEntries(group.map((code) => [code, example(code)])),
          },
        },
      },
    ]),
  );
};

/** The good answer of a route. */
export const answer = (description: string, type: string, schema: unknown): Responses => ({
  200: { description, content: { [type]: { schema } } },
});
