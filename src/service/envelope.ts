import { distance } from "fastest-levenshtein";
import type { Problem } from "../core/index.js";

export type Opened<F extends string> =
  | { readonly ok: true; readonly fields: Readonly<Record<F, unknown>> }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** The fields of a body that is more than a document; an optional one that is absent is undefined. Every fault at once. */
export const openEnvelope = <F extends string>(
  body: unknown,
  required: readonly F[],
  optional: readonly F[] = [],
): Opened<F> => {
  const known: readonly string[] = [...required, ...optional];
  const wanted = `{ ${known.join(", ")} }`;
  if (typeof body !== "object" || body === null || Array.isArray(body))
    return {
      ok: false,
      problems: [{ pointer: "", code: "wrong-type", detail: "an object is wanted", hint: `write ${wanted}` }],
      total: 1,
    };
  const given = Object.keys(body);
  const problems: Problem[] = [];
  for (const field of required)
    if (!Object.hasOwn(body, field))
      problems.push({
        pointer: `/${field}`,
        code: "missing-field",
        detail: `${field} is missing`,
        hint: `write ${wanted}`,
      });
  let total = problems.length;
  for (const field of given) {
    if (known.includes(field)) continue;
    total += 1;
    if (problems.length >= 100) continue;
    const short = field.slice(0, 64);
    const near = known.find((each) => distance(each, short) <= Math.max(2, each.length / 3));
    problems.push({
      pointer: `/${field.replace(/~/g, "~0").replace(/\//g, "~1")}`,
      code: "unknown-field",
      detail: `unknown field ${JSON.stringify(short)}`,
      hint: near === undefined ? `write ${wanted}` : `did you mean "${near}"?`,
    });
  }
  if (total > 0) return { ok: false, problems, total };
  return {
    ok: true,
    fields: Object.fromEntries(
      known.map((field) => [field, Object.getOwnPropertyDescriptor(body, field)?.value]),
    ) as Record<F, unknown>,
  };
};

/** Problems of a part of a body, told where that part stands. */
export const under = (field: string, problems: readonly Problem[]): Problem[] =>
  problems.map((problem) => ({ ...problem, pointer: `/${field}${problem.pointer}` }));
