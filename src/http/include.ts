import { INCLUDES } from "../core/index.js";
import type { Fault } from "../service/refusal.js";
import { nearest } from "./nearest.js";
import { HttpProblem } from "./problems.js";

export const INCLUDE_WORDS: readonly string[] = [...INCLUDES, "passes", "all"];

/** The words of `?include=`. @throws HttpProblem `bad-query`, with the nearest known word for each unknown one */
export const readInclude = (list: string | undefined): readonly string[] => {
  if (list === undefined || list === "") return [];
  const words = list.split(",");
  const errors = words.flatMap((word): Fault[] => {
    if (INCLUDE_WORDS.includes(word)) return [];
    const close = nearest(word, INCLUDE_WORDS);
    return [
      {
        pointer: "",
        detail: `Unknown word ${JSON.stringify(word.slice(0, 64))} in include.`,
        hint: close === null ? `Known are ${INCLUDE_WORDS.join(", ")}.` : `Did you mean ${close}?`,
      },
    ];
  });
  if (errors.length === 0) return words;
  throw new HttpProblem("bad-query", "The query parameter include has unknown words.", {
    errors: errors.slice(0, 100),
    total: errors.length,
  });
};

/** The same as a schema. */
export const includeParameter = {
  type: "object",
  style: "form",
  explode: false,
  properties: {
    include: {
      type: "array",
      items: { type: "string", enum: INCLUDE_WORDS },
      description:
        "Which facts to answer with, as one list with commas; `all` for every one. `passes` adds the findings of what was found right (`all` does not). Without it the answer has no `facts`.",
      examples: [["fanCoils", "pipes"]],
    },
  },
} as const;
