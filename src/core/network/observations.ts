import * as z from "zod";
import { explain } from "./explain.js";
import type { Problems } from "./model.js";
import { ProblemList, quoted } from "./problems.js";
import { id, line, word } from "./schema.js";

/** What can be told of a building between its revisions. */
export const OBSERVATION_TYPES = [
  "switch-trip",
  "switch-tested",
  "switch-jumpered",
  "water-seen",
  "drains-freely",
  "slow-drain",
  "flow-test",
  "grade-reading",
  "level-reading",
  "cap-found-open",
  "cleaned",
  "trap-primed",
  "ceiling-opened",
  "inspection",
] as const;
export type ObservationType = (typeof OBSERVATION_TYPES)[number];

/** RFC 3339 with its zone. */
const TIME =
  /^\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])[Tt](?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d{1,9})?(?:[Zz]|[+-](?:[01]\d|2[0-3]):[0-5]\d)$/;

/** A time with its zone. */
export const time = (description: string) =>
  z
    .string()
    .regex(TIME)
    .meta({ description, examples: ["2026-07-14T09:30:00+02:00"] });

const MAX_OBSERVATIONS = 10_000;

const Observation = z
  .strictObject({
    id: id("Id of its own; the same one sent again changes nothing.", "obs-2026-0714-1").optional(),
    type: word(OBSERVATION_TYPES, "What was observed.", "water-seen"),
    time: time("When, with its zone (RFC 3339)."),
    node: id("Id of the node where it was observed.", "F-0301").optional(),
    pipe: id("Id of the pipe where it was observed.", "P-14").optional(),
    fanCoil: id("Id of the fan coil where it was observed.", "F-0301").optional(),
    attribute: line("Field of that element which was measured.", "panStatic", 64).optional(),
    value: z
      .union([
        z.number(),
        z.string().max(64),
        z.boolean(),
        z.record(z.string().max(32), z.union([z.number(), z.string().max(64)])),
      ])
      .meta({
        description: "What was measured: a figure, words, or the two figures of a flow test.",
        examples: [{ litres: 5, seconds: 90 }],
      })
      .optional(),
    source: line("Who or what says so.", "front desk").optional(),
    text: line("Anything else worth keeping.", "Stain at the corridor ceiling", 2000).optional(),
    withdraws: id("Id of an earlier observation that was wrong.", "obs-2026-0713-4").optional(),
  })
  .meta({
    description: "Something seen, heard or measured at one place of the network.",
    examples: [{ type: "water-seen", node: "F-0301", time: "2026-07-14T09:30:00+02:00", source: "tenant" }],
  });

export type RawObservation = z.infer<typeof Observation>;

let made: object | undefined;

/** JSON Schema (draft 2020-12) of one observation. The same object each time: do not change it. */
export const observationSchema = (): object => {
  made ??= z.toJSONSchema(Observation, { target: "draft-2020-12" });
  return made;
};

export type ReadObservations =
  | { readonly ok: true; readonly observations: readonly RawObservation[] }
  | ({ readonly ok: false } & Problems);

/** Reads a list of observations; every problem at once, with pointers into the list. */
export const readObservations = (value: unknown): ReadObservations => {
  const problems = new ProblemList();
  if (!Array.isArray(value)) problems.add("", "wrong-type", "a list of observations is wanted", "write [ … ]");
  else if (value.length > MAX_OBSERVATIONS)
    problems.add("", "too-many", `more than ${MAX_OBSERVATIONS} observations`, "send them in parts");
  else
    value.forEach((each: unknown, i) => {
      if (!explain(Observation, each, `/${i}`, problems)) checkTogether(each as RawObservation, i, problems);
    });
  return problems.total > 0
    ? { ok: false, problems: problems.listed, total: problems.total }
    : { ok: true, observations: value as RawObservation[] };
};

/** What the fields of one say together. */
const checkTogether = (each: RawObservation, i: number, problems: ProblemList): void => {
  const at = `/${i}`;
  const places = (["node", "pipe", "fanCoil"] as const).filter((field) => each[field] !== undefined);
  if (places.length !== 1)
    problems.add(
      places.length === 0 ? at : `${at}/${places[1]}`,
      places.length === 0 ? "missing-field" : "two-forms",
      places.length === 0 ? "no place is named" : `${places.join(" and ")} are named`,
      "name one of node, pipe and fanCoil",
    );
  // the parser carries a day too many over into the next month
  const [year, month, day] = each.time.slice(0, 10).split("-").map(Number);
  if (new Date(Date.UTC(year, month - 1, day)).getUTCDate() !== day)
    problems.add(`${at}/time`, "bad-date", `${quoted(each.time)} is no time`, "check the day of the month");
};
