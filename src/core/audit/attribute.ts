import type { AuditSubject } from "./answer.js";

/** What brought a change about: the building itself, a closer look at it, or other rules. */
export type Cause = "building" | "survey" | "catalogue";

type Fields = Readonly<Record<string, unknown>>;

/** Fields that a survey finds out without anything being changed in the building. */
const FOUND_OUT = new Set([
  "elevation",
  "tolerance",
  "fromInvert",
  "toInvert",
  "length",
  "grade",
  "insideDiameter",
  "panStatic",
  "sealDepth",
  "inletDrop",
  "tripElevation",
  "tripHeight",
  "waterLevel",
  "primed",
  "accessible",
  "filterAccessClear",
  "lastCleaned",
  "connection",
  "notes",
  "name",
  "x",
  "y",
]);

const PARTS = ["nodes", "pipes", "overflowDevices", "circuits"] as const;

const elementsOf = (document: unknown): ReadonlyMap<string, Fields> => {
  const found = new Map<string, Fields>();
  for (const part of PARTS) {
    const list = (document as Fields)[part];
    if (!Array.isArray(list)) continue;
    for (const each of list as Fields[]) found.set(`${part} ${String(each.id)}`, each);
  }
  return found;
};

/** What became of an element: built anew or changed, measured anew, or neither. */
const changeOf = (before: Fields | undefined, after: Fields | undefined): "building" | "survey" | null => {
  if (before === undefined || after === undefined) return "building";
  let found: "survey" | null = null;
  for (const field of new Set([...Object.keys(before), ...Object.keys(after)])) {
    if (JSON.stringify(before[field]) === JSON.stringify(after[field])) continue;
    // what was not stated before was found out
    if (!FOUND_OUT.has(field) && before[field] !== undefined) return "building";
    found = "survey";
  }
  return found;
};

/**
 * Says of findings whether the building was changed or only looked at more closely.
 * @param before expanded network document @param after the same building later, expanded
 * @returns for the subject of a finding: what changed on its own elements; where nothing did, on any of the network
 */
export function attribution(before: unknown, after: unknown): (subject: AuditSubject) => Exclude<Cause, "catalogue"> {
  const then = elementsOf(before);
  const now = elementsOf(after);
  const changes = new Map<string, "building" | "survey">();
  for (const key of new Set([...then.keys(), ...now.keys()])) {
    const change = changeOf(then.get(key), now.get(key));
    if (change !== null) changes.set(key, change);
  }
  const anywhere = [...changes.values()].includes("building") ? "building" : "survey";
  return ({ fanCoils, nodes, pipes }) => {
    const own = [...pipes.map((id) => `pipes ${id}`), ...[...nodes, ...fanCoils].map((id) => `nodes ${id}`)]
      .map((key) => changes.get(key))
      .filter((change) => change !== undefined);
    if (own.length === 0) return anywhere;
    return own.includes("building") ? "building" : "survey";
  };
}
