import type { Model } from "./model.js";
import { type Origin, PARTS, type Part } from "./placements.js";
import { step } from "./problems.js";

/** Where the elements of a document stand that its placements made: after its own, in the order of `origins`. */
export interface Shorthand {
  readonly first: Readonly<Record<Part, number>>;
  readonly origins: Readonly<Record<Part, readonly Origin[]>>;
}

/** Fields that a stub states itself; its level, length and bore follow from these. */
const STUB_FIELDS: ReadonlySet<string> = new Set(["top", "size", "opening", "capped"]);

/** Fields that a placement states for all its parts, by what they are called at a part. */
const PLACEMENT_FIELDS: ReadonlyMap<string, string> = new Map([
  ["dwelling", "dwelling"],
  ["serves", "dwelling"],
  ["owner", "owner"],
  ["zone", "zone"],
]);

const has = (value: unknown, field: string): value is { readonly [field: string]: unknown } =>
  typeof value === "object" && value !== null && Object.hasOwn(value, field);

/** How many steps of a path lead somewhere. */
const reach = (value: unknown, path: readonly string[]): number => {
  let at = value;
  for (let k = 0; k < path.length; k += 1) {
    if (!has(at, path[k])) return k;
    at = at[path[k]];
  }
  return path.length;
};

const joined = (path: readonly string[]): string => path.map(step).join("");
const stepsOf = (pointer: string): string[] =>
  pointer
    .split("/")
    .slice(1)
    .map((each) => each.replace(/~1/g, "/").replace(/~0/g, "~"));

/** Where a field of an element that a placement made was written. */
export const originOf = (
  origin: Origin,
  part: Part,
  path: readonly string[],
): { readonly pointer: string; readonly by: "placement" | "typical" } => {
  const placement = `/placements/${origin.placement}`;
  const [field] = path;
  const stated = has(origin.stated, field);
  if (part === "pipes") {
    const join = field === "from" || field === "fromInvert" ? origin.fromJoin : origin.toJoin;
    const isEnd = field === "from" || field === "to";
    const isInvert = (field === "fromInvert" || field === "toInvert") && !stated && !has(origin.set, field);
    if (join !== null && (isEnd || isInvert)) return { pointer: join, by: "placement" };
  }
  if (has(origin.set, field)) {
    // of a group, what the placement leaves out is the typical's
    const own = reach(origin.set, path);
    if (own === path.length || reach(origin.stated, path) <= own)
      return { pointer: `${placement}/set${step(origin.local)}${joined(path)}`, by: "placement" };
  }
  const shared = PLACEMENT_FIELDS.get(field ?? "");
  if (shared !== undefined && !stated && has(origin.raw, shared))
    return { pointer: `${placement}${step(shared)}`, by: "placement" };
  return { pointer: `/typicals${step(origin.typical)}/${part}/${origin.index}${joined(path)}`, by: "typical" };
};

/**
 * Where what a model's pointer names was written in the document as posted: of what a placement made, in the placement if it
 * says it, else in the typical; of what a stub comes to, at the stub's own figures.
 */
export const writtenAt = (model: Pick<Model, "shorthand">, pointer: string): string => {
  const [section, position, ...rest] = stepsOf(pointer);
  const part = PARTS.find((each) => each === section);
  if (part === undefined || position === undefined) return pointer;
  const index = Number(position);
  const path = part === "nodes" ? atStub(rest) : rest;
  const first = model.shorthand?.first[part];
  if (first === undefined || index < first) return `/${part}/${index}${joined(path)}`;
  return originOf(model.shorthand!.origins[part][index - first], part, path).pointer;
};

const atStub = (path: readonly string[]): readonly string[] => {
  const [stub, field] = path;
  if ((stub !== "vent" && stub !== "cleanout") || field === undefined || STUB_FIELDS.has(field)) return path;
  if (field === "elevation" || field === "length") return [stub, stub === "vent" ? "top" : "opening"];
  return [stub];
};

/** The pointer, or as much of it as leads to something in the document: of a default there is no figure to point at. */
export const asFarAsWritten = (document: unknown, pointer: string): string => {
  const path = stepsOf(pointer);
  return joined(path.slice(0, reach(document, path)));
};
