import { createHash } from "node:crypto";
import * as z from "zod";
import { expand } from "../network/expand.js";
import { explain } from "../network/explain.js";
import type { Problem } from "../network/model.js";
import { type RawObservation, time } from "../network/observations.js";
import { ProblemList, step } from "../network/problems.js";
import type { QuantityKind } from "../quantity/speaker.js";
import { parseQuantity } from "../quantity/units.js";
import { commissioning } from "./commissioning.js";
import type { CheckKind, SheetBox, SheetCheck } from "./commissioning-sheet.js";

const who = (description: string, example: string) =>
  z
    .string()
    .min(1)
    .max(200)
    .meta({ description, examples: [example] });

const Result = z
  .strictObject({
    check: z
      .string()
      .max(400)
      .meta({ description: "Id of the check on the sheet.", examples: ["pour-fan-off~f:F-0301"] }),
    boxes: z.record(z.string().max(32), z.union([z.number(), z.boolean(), z.string().max(2000)])).meta({
      description:
        "What was written into its boxes, by their names: yes or no, text, or a figure, of which a bare number is in the box's unit and a text carries its own.",
      examples: [{ arrival: 42, leaves: true, leftInPan: "0 mm" }],
    }),
    time: time("When, with its zone; without it the time of all.").optional(),
    by: who("Who did it; without it whoever did them all.", "fitter").optional(),
  })
  .meta({
    description: "What was found at one check.",
    examples: [{ check: "pour-fan-off~f:F-0301", boxes: { arrival: 42, leaves: true } }],
  });

const Results = z
  .strictObject({
    results: z
      .array(Result)
      .min(1)
      .max(10_000)
      .meta({
        description: "What was found, check by check.",
        examples: [[{ check: "pour-fan-off~f:F-0301", boxes: { arrival: 42, leaves: true } }]],
      }),
    time: time("When, with its zone, where a result does not say."),
    by: who("Who did it, where a result does not say.", "fitter"),
  })
  .meta({
    description: "A test sheet that was filled in, or a part of it.",
    examples: [
      {
        time: "2026-07-14T11:00:00+02:00",
        by: "fitter",
        results: [{ check: "pour-fan-off~f:F-0301", boxes: { arrival: 42, leaves: true } }],
      },
    ],
  });

let made: object | undefined;

/** JSON Schema (draft 2020-12) of a sheet that was filled in. The same object each time: do not change it. */
export const commissioningResultsSchema = (): object => {
  made ??= z.toJSONSchema(Results, { target: "draft-2020-12" });
  return made;
};

/** An observation with all that a stored one needs. */
export type MadeObservation = RawObservation & { readonly id: string; readonly source: string };

export type CommissioningObservations =
  | {
      readonly ok: true;
      readonly observations: readonly MadeObservation[];
      /** by observation: the position of the result that says so */
      readonly results: readonly number[];
    }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * Observations of what a test sheet of a network says once it is filled in. The same results give the same ids, so that
 * they can be sent twice.
 * @param document a network document that reads (parsed JSON)
 * @param filled `{ results: [{ check, boxes, time?, by? }], time, by }` (parsed JSON)
 * @returns the observations, or every result that fits no check of the sheet
 */
export function commissioningObservations(document: unknown, filled: unknown): CommissioningObservations {
  const problems = new ProblemList();
  if (explain(Results, filled, "", problems)) return { ok: false, problems: problems.listed, total: problems.total };
  const sheet = commissioning(document);
  if (!sheet.ok) return sheet;
  const expanded = expand(document);
  if (!expanded.ok) return expanded;
  const checks = new Map(sheet.sheet.stops.flatMap(({ checks: all }) => all.map((check) => [check.id, check])));
  const deviceAt = new Map((expanded.document.overflowDevices ?? []).map(({ id, at }) => [id, at]));
  const outlet = expanded.document.nodes.find(({ kind }) => kind === "outlet")?.id;
  const { results, ...all } = filled as z.infer<typeof Results>;
  const from: number[] = [];
  const observations = results.flatMap(({ check: id, boxes, ...own }, i): MadeObservation[] => {
    const check = checks.get(id);
    if (check === undefined) {
      problems.add(
        `/results/${i}/check`,
        "unknown-reference",
        "the sheet of the newest revision has no such check",
        "copy the id from the sheet",
      );
      return [];
    }
    const entries = Object.entries(boxes);
    if (entries.length === 0)
      problems.add(`/results/${i}/boxes`, "missing-field", "no box is filled in", `fill ${namesOf(check)}`);
    const read = new Map<string, Filled>();
    for (const [name, value] of entries) {
      const box = check.boxes.find((each) => each.name === name);
      const pointer = `/results/${i}/boxes${step(name)}`;
      if (box === undefined)
        problems.add(pointer, "unknown-field", "the check has no such box", `its boxes: ${namesOf(check)}`);
      else {
        const figure = readBox(box, value);
        if (figure.ok) read.set(name, figure.value);
        else problems.add(pointer, "bad-value", figure.detail, figure.hint);
      }
    }
    const { time: at, by } = { ...all, ...own };
    const place = placeOf(check, deviceAt, outlet);
    const said = READ[check.kind](check, read);
    from.push(...said.map(() => i));
    return said.map((each, part) => ({ id: idOf(id, at, by, part, boxes), time: at, source: by, ...place, ...each }));
  });
  return problems.total > 0
    ? { ok: false, problems: problems.listed, total: problems.total }
    : { ok: true, observations, results: from };
}

const namesOf = ({ boxes }: SheetCheck): string => boxes.map(({ name }) => name).join(", ");

const idOf = (...parts: readonly unknown[]): string =>
  `sheet-${createHash("sha256").update(JSON.stringify(parts)).digest("hex").slice(0, 24)}`;

/** SI figure, yes or no, or words. */
type Filled = number | string;

const KINDS: ReadonlyMap<string, QuantityKind> = new Map([
  ["m", "length"],
  ["m³", "volume"],
  ["s", "duration"],
  ["Pa", "gauge-pressure"],
]);
const YES = new Map<unknown, string>([
  [true, "yes"],
  ["yes", "yes"],
  [false, "no"],
  ["no", "no"],
]);

function readBox(
  box: SheetBox,
  value: number | string | boolean,
):
  | { readonly ok: true; readonly value: Filled }
  | { readonly ok: false; readonly detail: string; readonly hint: string } {
  if (box.form === "text")
    return typeof value === "string"
      ? { ok: true, value }
      : { ok: false, detail: "words are wanted", hint: `write down ${box.label}` };
  if (box.form === "yes-no") {
    const word = YES.get(value);
    return word === undefined
      ? { ok: false, detail: "yes or no is wanted", hint: "write true or false" }
      : { ok: true, value: word };
  }
  if (typeof value === "number") return { ok: true, value };
  const kind = KINDS.get(box.unit ?? "");
  if (typeof value === "boolean" || kind === undefined)
    return { ok: false, detail: "a figure is wanted", hint: `write a number in ${box.unit}` };
  const read = parseQuantity(kind, value, "si");
  return read.ok ? { ok: true, value: read.value } : { ok: false, detail: read.detail, hint: read.hint };
}

/** An observation is made at one place: what the check is about, of a device where it sits, of a building at its outlet. */
function placeOf(
  { subject: { fanCoils, nodes, pipes, devices }, kind }: SheetCheck,
  deviceAt: ReadonlyMap<string, string>,
  outlet: string | undefined,
): Pick<RawObservation, "node" | "pipe" | "fanCoil"> {
  const [device] = devices;
  if (device !== undefined) return { node: deviceAt.get(device) };
  if (pipes.length > 0) return { pipe: pipes[pipes.length - 1] };
  if (fanCoils.length > 0 && kind !== "prime") return { fanCoil: fanCoils[0] };
  return { node: nodes[0] ?? outlet };
}

type Boxes = ReadonlyMap<string, Filled>;
type Said = Pick<RawObservation, "type" | "attribute" | "value" | "text">;

/** Everything that was written down, by the names of the boxes. */
const filledIn = (boxes: Boxes): Pick<Said, "value"> =>
  boxes.size === 0 ? {} : { value: Object.fromEntries([...boxes].map(([name, value]) => [name, short(value)])) };
/** a value holds 64 characters of words; the whole of them stands in the text */
const short = (value: Filled): Filled => (typeof value === "string" ? value.slice(0, 64) : value);

const wordsOf = ({ text }: SheetCheck, boxes: Boxes, ...names: readonly string[]): Pick<Said, "text"> => ({
  text: [text, ...names.flatMap((name) => boxes.get(name) ?? [])].join(" ").slice(0, 2000),
});

const note =
  (...names: readonly string[]) =>
  (check: SheetCheck, boxes: Boxes): Said[] => [
    { type: "inspection", ...filledIn(boxes), ...wordsOf(check, boxes, ...names) },
  ];

const pour = (check: SheetCheck, boxes: Boxes): Said[] => {
  const leaves = boxes.get("leaves");
  const pressure = boxes.get("panStatic");
  const type = leaves === undefined ? "inspection" : leaves === "yes" ? "drains-freely" : "slow-drain";
  return [
    { type, ...filledIn(boxes), ...wordsOf(check, boxes) },
    ...(typeof pressure === "number"
      ? [{ type: "inspection" as const, attribute: "panStatic", value: `${pressure} Pa`, ...wordsOf(check, boxes) }]
      : []),
  ];
};

const LITER = 1e-3;

const READ: Readonly<Record<CheckKind, (check: SheetCheck, boxes: Boxes) => Said[]>> = {
  isolate: note(),
  "trial-assembly": note(),
  prime: (check, boxes) => [
    {
      type: boxes.get("runsOver") === "yes" ? "trap-primed" : "inspection",
      ...filledIn(boxes),
      ...wordsOf(check, boxes),
    },
  ],
  "pour-fan-off": pour,
  "pour-fan-on": pour,
  switch: (check, boxes) => [
    {
      type: "switch-tested",
      attribute: check.subject.devices[0],
      ...filledIn(boxes),
      ...wordsOf(check, boxes, "alsoStopped"),
    },
  ],
  "second-line": note("shownAt"),
  flush: (check, boxes) => [
    {
      type: boxes.get("clear") === "yes" ? "cleaned" : "inspection",
      ...filledIn(boxes),
      ...wordsOf(check, boxes),
    },
  ],
  "flow-test": (check, boxes) => {
    const [collected, seconds] = [boxes.get("collected"), boxes.get("arrival")];
    const measured = {
      ...(typeof collected === "number" ? { litres: Number((collected / LITER).toPrecision(9)) } : {}),
      ...(typeof seconds === "number" ? { seconds } : {}),
    };
    return [
      { type: "flow-test", value: measured, ...wordsOf(check, boxes) },
      ...(boxes.get("elsewhere") === "yes"
        ? [{ type: "slow-drain" as const, ...filledIn(boxes), ...wordsOf(check, boxes) }]
        : []),
    ];
  },
  pump: note(),
  outlet: (check, boxes) => {
    const gap = boxes.get("airGap");
    return [
      {
        type: boxes.get("drainsAway") === "no" ? "slow-drain" : "inspection",
        ...filledIn(boxes),
        ...wordsOf(check, boxes, "found"),
      },
      ...(typeof gap === "number"
        ? [{ type: "inspection" as const, attribute: "airGap", value: `${gap} m`, ...wordsOf(check, boxes) }]
        : []),
    ];
  },
  question: note("where"),
};
