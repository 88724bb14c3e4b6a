// Small bodies: bytes, JSON, and the words that a schema asks for.
import * as z from "zod";
import { readJson } from "../core/index.js";
import type { Fault } from "../service/refusal.js";
import { nearest } from "./nearest.js";
import { HttpProblem } from "./problems.js";

/** bytes of a body that is no network document */
export const MAX_WORDS_BYTES = 65_536;

const MAX_LISTED = 100;

/** A body as JSON. @throws HttpProblem for what is no JSON, or too much of it */
export const readSmallJson = (body: Uint8Array): unknown => {
  if (body.byteLength > MAX_WORDS_BYTES)
    throw new HttpProblem("too-large", `This body has at most ${MAX_WORDS_BYTES} bytes.`);
  const read = readJson(body);
  if (read.ok) return read.value;
  const { code, pointer, detail, hint } = read.problem;
  throw new HttpProblem(code, detail, { errors: [{ pointer, detail, hint }] });
};

/** The body has these faults, told all at once. */
export const badBody = (errors: readonly Fault[], total = errors.length): HttpProblem =>
  new HttpProblem("invalid-body", `The body has ${total === 1 ? "a problem" : `${total} problems`}.`, {
    errors: errors.slice(0, MAX_LISTED),
    total,
  });

/** What the schema makes of a value. @throws HttpProblem `invalid-body` with every fault */
export const readWords = <T extends z.ZodObject>(schema: T, value: unknown): z.infer<T> => {
  const read = schema.safeParse(value, { error: say });
  if (read.success) return read.data;
  throw badBody(read.error.issues.flatMap((issue) => faultsOf(issue, schema)));
};

const step = (key: PropertyKey): string => `/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`;

function faultsOf(issue: z.core.$ZodIssue, schema: z.ZodObject): Fault[] {
  const at = issue.path.map(step).join("");
  if (issue.code === "unrecognized_keys") {
    const known = Object.keys(schema.shape);
    return issue.keys.map((key) => {
      const near = nearest(key, known);
      return {
        pointer: at + step(key),
        detail: `unknown field ${JSON.stringify(key.slice(0, 64))}`,
        hint: near === null ? `known fields: ${known.join(", ")}` : `did you mean ${near}?`,
      };
    });
  }
  const field = schema.shape[String(issue.path[0] ?? "")];
  const about = field === undefined ? undefined : z.globalRegistry.get(field as z.ZodType);
  const example = about?.examples === undefined ? undefined : (about.examples as readonly unknown[])[0];
  const hint = example === undefined ? undefined : `for example ${JSON.stringify(example)}`;
  return [{ pointer: at, detail: issue.message, ...(hint !== undefined && { hint }) }];
}

const KINDS: Readonly<Record<string, string>> = {
  string: "a text",
  number: "a number",
  int: "a whole number",
  array: "a list",
  object: "an object",
};

/** Our own words for what is wrong; undefined: those of the schema. */
function say(issue: z.core.$ZodRawIssue): string | undefined {
  switch (issue.code) {
    case "invalid_type":
      return issue.input === undefined
        ? "it is missing"
        : `${KINDS[issue.expected] ?? String(issue.expected)} is wanted`;
    case "invalid_format":
      return issue.format === "datetime" ? "no time with a zone (RFC 3339)" : "it has another form than it must have";
    case "too_big":
      return `at most ${issue.maximum}${issue.origin === "string" ? " characters" : ""}`;
    case "too_small":
      return `at least ${issue.minimum}${issue.origin === "string" ? " characters" : ""}`;
    default:
      return undefined;
  }
}
