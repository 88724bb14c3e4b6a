import type * as z from "zod";
import { type ProblemList, quoted, step } from "./problems.js";
import { MAX_ELEMENTS, NODE_OPTIONS } from "./schema.js";

type Issue = z.core.$ZodRawIssue;

/** Which node kinds have a field, so that a field on the wrong kind is told where it belongs. */
let kindsOfField: ReadonlyMap<string, readonly string[]> | undefined;
const kindsWith = (field: string): readonly string[] => {
  if (kindsOfField === undefined) {
    const kinds = new Map<string, string[]>();
    for (const option of NODE_OPTIONS)
      for (const name of Object.keys(option.shape)) {
        const known = kinds.get(name);
        if (known === undefined) kinds.set(name, [option.shape.kind.value]);
        else known.push(option.shape.kind.value);
      }
    kindsOfField = kinds;
  }
  return kindsOfField.get(field) ?? [];
};

const EXPECTED: ReadonlyMap<string, string> = new Map([
  ["string", "text"],
  ["number", "a number"],
  ["boolean", "true or false"],
  ["array", "a list"],
  ["object", "an object"],
  ["record", "an object"],
]);
const expectedWord = (expected: string): string => EXPECTED.get(expected) ?? expected;

/** What a value is, in words for people. */
const kindOfValue = (value: unknown): string => {
  if (value === null) return "null";
  if (Array.isArray(value)) return "a list";
  switch (typeof value) {
    case "string":
      return `the text ${quoted(value)}`;
    case "number":
      return `the number ${value}`;
    case "boolean":
      return String(value);
    case "object":
      return "an object";
    default:
      return `a ${typeof value}`;
  }
};

const words = (values: readonly unknown[]): string => values.map((value) => String(value)).join(", ");

const pointerOf = (base: string, path: readonly PropertyKey[] | undefined): string => {
  let pointer = base;
  for (const key of path ?? []) pointer += step(typeof key === "number" ? key : String(key));
  return pointer;
};

const valueAt = (value: unknown, path: readonly PropertyKey[] = []): unknown =>
  path.reduce<unknown>(
    (at, key) =>
      typeof at === "object" && at !== null && Object.hasOwn(at, key)
        ? (at as { readonly [name: PropertyKey]: unknown })[key]
        : undefined,
    value,
  );

const shapeOf = (issue: Issue): readonly string[] => {
  const def = issue.inst?._zod.def as { readonly shape?: object } | undefined;
  return def?.shape === undefined ? [] : Object.keys(def.shape);
};

/** The issues of the option that a value was most likely meant to be; undefined where it has the type of none. */
const likeliest = (options: readonly (readonly Issue[])[]): readonly Issue[] | undefined => {
  let best: readonly Issue[] | undefined;
  for (const issues of options) {
    const first = issues[0];
    if (first === undefined) continue;
    // an option of another type, or another fixed word, says nothing about this value
    const foreign =
      (first.path?.length ?? 0) === 0 && (first.code === "invalid_type" || first.code === "invalid_value");
    if (!foreign && (best === undefined || issues.length < best.length)) best = issues;
  }
  return best;
};

const wanted = (options: readonly (readonly Issue[])[]): string => {
  const names = new Set<string>();
  for (const [first] of options) {
    if (first?.code === "invalid_type") names.add(expectedWord(first.expected));
    else if (first?.code === "invalid_value") for (const value of first.values) names.add(quoted(String(value)));
  }
  if (names.has("a number") && names.has("text")) {
    names.delete("text");
    names.delete("a number");
    names.add("a number or text with a unit");
  }
  return [...names].join(" or ");
};

const sizeOfText = (path: readonly PropertyKey[] | undefined): string => `shorten ${String(path?.at(-1) ?? "it")}`;

const explainOne = (issue: Issue, base: string, problems: ProblemList): void => {
  if (issue.code === "unrecognized_keys") {
    const at = pointerOf(base, issue.path);
    const known = shapeOf(issue);
    for (const key of issue.keys) {
      if (!problems.listing) {
        problems.count(1);
        continue;
      }
      const near = problems.nearest(key, known);
      const kinds = known.includes("kind") ? kindsWith(key) : [];
      let hint: string | undefined;
      if (kinds.length > 0 && kinds.length <= 3) hint = `\`${key}\` belongs to ${kinds.join(", ")}`;
      else if (near !== undefined) hint = `did you mean \`${near}\`?`;
      else if (known.length > 0 && known.length <= 12) hint = `known fields: ${known.join(", ")}`;
      problems.add(`${at}${step(key)}`, "unknown-field", `unknown field ${quoted(key)}`, hint);
    }
    return;
  }
  if (issue.code === "invalid_union" && issue.errors.length > 0) {
    const meant = likeliest(issue.errors as readonly (readonly Issue[])[]);
    if (meant !== undefined) {
      const at = pointerOf(base, issue.path);
      // what an option of a union refuses comes without the value that it refused
      for (const inner of meant)
        explainOne({ ...inner, input: valueAt(issue.input, inner.path) } as Issue, at, problems);
      return;
    }
  }
  if (!problems.listing) {
    problems.count(1);
    return;
  }
  const pointer = pointerOf(base, issue.path);
  const field = String(issue.path?.at(-1) ?? "");
  const value = issue.input;
  const infinite = typeof value === "number" && !Number.isFinite(value);
  switch (issue.code) {
    case "invalid_type":
      if (value === undefined) {
        problems.add(pointer, "missing-field", `${quoted(field)} is missing`, `add ${expectedWord(issue.expected)}`);
      } else if (infinite) {
        problems.add(pointer, "not-finite", `${value} is not a finite number`, "write a number below 1e308 in size");
      } else {
        problems.add(
          pointer,
          "wrong-type",
          `${expectedWord(issue.expected)} is wanted, not ${kindOfValue(value)}`,
          value === null ? "leave the field out where nothing is known" : undefined,
        );
      }
      return;
    case "invalid_union": {
      if ("discriminator" in issue && issue.discriminator !== undefined) {
        const options = (issue.options ?? []) as readonly unknown[];
        const given = (value as { readonly [key: string]: unknown } | null)?.[issue.discriminator];
        if (given === undefined) {
          problems.add(pointer, "missing-field", `${quoted(field)} is missing`, `one of ${words(options)}`);
          return;
        }
        const near = typeof given === "string" ? problems.nearest(given, options.map(String)) : undefined;
        problems.add(
          pointer,
          "unknown-value",
          `${kindOfValue(given)} is not known here`,
          near === undefined ? `one of ${words(options)}` : `did you mean "${near}"?`,
        );
        return;
      }
      const options = issue.errors as readonly (readonly Issue[])[];
      const what = wanted(options);
      if (value === undefined) problems.add(pointer, "missing-field", `${quoted(field)} is missing`, `add ${what}`);
      else if (infinite)
        problems.add(pointer, "not-finite", `${value} is not a finite number`, "write a number below 1e308 in size");
      else {
        const fixed = options.flatMap(([first]) => (first?.code === "invalid_value" ? first.values.map(String) : []));
        const near = typeof value === "string" && fixed.length > 0 ? problems.nearest(value, fixed) : undefined;
        problems.add(
          pointer,
          typeof value === "string" && fixed.length > 0 ? "unknown-value" : "wrong-type",
          `${what} is wanted, not ${kindOfValue(value)}`,
          near !== undefined
            ? `did you mean "${near}"?`
            : value === null
              ? "leave the field out where nothing is known"
              : undefined,
        );
      }
      return;
    }
    case "invalid_value": {
      const options = issue.values.map(String);
      if (value === undefined) {
        problems.add(pointer, "missing-field", `${quoted(field)} is missing`, `one of ${words(options)}`);
        return;
      }
      const text = typeof value === "string";
      const near = text ? problems.nearest(value, options) : undefined;
      const sameType = options.length > 0 && typeof issue.values[0] === typeof value;
      problems.add(
        pointer,
        infinite ? "not-finite" : sameType ? "unknown-value" : "wrong-type",
        `${kindOfValue(value)} is not known here`,
        near === undefined ? `one of ${words(options)}` : `did you mean "${near}"?`,
      );
      return;
    }
    case "too_big":
      if (issue.origin === "string")
        problems.add(pointer, "too-long", `longer than ${issue.maximum} characters`, sizeOfText(issue.path));
      else if (issue.origin === "array")
        problems.add(
          pointer,
          "too-many",
          `more than ${issue.maximum} elements`,
          Number(issue.maximum) >= MAX_ELEMENTS ? "send one riser at a time" : undefined,
        );
      else problems.add(pointer, "absurd-number", `${String(value)} is over ${issue.maximum}`, "check the number");
      return;
    case "too_small":
      if (issue.origin === "array")
        problems.add(pointer, "too-few", `a list of at least ${issue.minimum} is wanted`, "add what is missing");
      else problems.add(pointer, "absurd-number", `${String(value)} is below ${issue.minimum}`, "check the number");
      return;
    case "invalid_format":
      explainText(pointer, field, String(value), problems);
      return;
    case "invalid_key":
      problems.add(`${base}${pointerOf("", issue.path)}`, "too-long", "a name longer than it may be", undefined);
      return;
    default:
      problems.add(pointer, "not-allowed", "this value is not allowed here");
  }
};

/** Text that a pattern refuses. */
const explainText = (pointer: string, field: string, value: string, problems: ProblemList): void => {
  if (value === "") problems.add(pointer, "bad-text", "empty text", "write at least one character");
  else if (/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/u.test(value) && field !== "notes")
    problems.add(
      pointer,
      "bad-text",
      "text with characters that cannot be printed",
      "leave out control and invisible characters (line breaks, zero-width and direction marks, lone surrogates)",
    );
  else if (field === "lastCleaned")
    problems.add(pointer, "bad-date", `${quoted(value)} is no date`, 'write "2026-03-14"');
  else if (field === "time")
    problems.add(
      pointer,
      "bad-date",
      `${quoted(value)} is no time with its zone`,
      'write "2026-07-14T09:30:00+02:00", or Z for UTC',
    );
  else if (pointer === "/id")
    problems.add(
      pointer,
      "bad-text",
      `${quoted(value)} is no network id`,
      "lower-case letters, digits, dot, dash and underscore, first a letter or digit, at most 128",
    );
  else if (field === "notes")
    problems.add(pointer, "bad-text", "text with characters that cannot be printed", "leave out control characters");
  else if ([...value].length > 128) problems.add(pointer, "too-long", "longer than 128 characters", `shorten ${field}`);
  else problems.add(pointer, "bad-text", "a blank at the start or end", "leave it out");
};

const issuesOf = (schema: z.ZodType, value: unknown): readonly Issue[] => {
  const payload = schema._zod.run({ value, issues: [] }, { async: false });
  if (payload instanceof Promise) throw new Error("the document's schema is synchronous");
  return payload.issues;
};

/** Whether a schema has nothing against a value. */
export const conforms = (schema: z.ZodType, value: unknown): boolean => issuesOf(schema, value).length === 0;

/**
 * Says what a schema has against a value.
 * @param base JSON pointer of the value in the document
 * @param touched takes the names of the value's own fields that have a problem
 * @returns whether anything was wrong
 */
export const explain = (
  schema: z.ZodType,
  value: unknown,
  base: string,
  problems: ProblemList,
  touched?: Set<string>,
): boolean => {
  const issues = issuesOf(schema, value);
  for (const issue of issues) {
    const field = issue.path?.[0];
    if (field !== undefined) touched?.add(String(field));
    explainOne(issue, base, problems);
  }
  return issues.length > 0;
};
