import * as z from "zod";
import { CHECK_KINDS, type CommissioningSheet } from "./commissioning-sheet.js";

const text = (description: string, example: string) => z.string().meta({ description, examples: [example] });
const textOrNull = (description: string, example: string | null) =>
  z
    .string()
    .nullable()
    .meta({ description, examples: [example] });
const ids = (description: string, ...examples: string[]) =>
  z.array(z.string()).meta({ description, examples: [examples] });
const list = <T extends z.ZodType>(of: T, description: string) => z.array(of).meta({ description, examples: [[]] });

const Check = z.strictObject({
  id: text(
    "Kind (of a question: `question.` and its rule), `~`, and what it is about. The same in the next revision.",
    "prime~n:0401-A%2Ftrap",
  ),
  kind: z.enum(CHECK_KINDS).meta({ description: "What is done.", examples: ["prime"] }),
  rule: textOrNull("The rule whose question it answers; null none.", "seal.priming"),
  subject: z
    .strictObject({
      fanCoils: ids("Fan coils; of a switch those that must stop.", "0401-A/coil"),
      nodes: ids("Other nodes.", "0401-A/trap"),
      pipes: ids("Pipes.", "0401-A/branch"),
      devices: ids("Overflow devices.", "0401-A/switch"),
    })
    .meta({ description: "What it is about.", examples: [{ fanCoils: [], nodes: [], pipes: [], devices: [] }] }),
  text: text("Sentences for people.", "Fill the trap 0401-A/trap: 0.04 L or more, until water runs over its weir."),
  expected: list(
    z.strictObject({
      name: text("What the figure is.", "arrival"),
      value: z
        .number()
        .nullable()
        .meta({ description: "The figure in its SI base unit; null where it cannot be told.", examples: [73.2] }),
      unit: text("SI base unit.", "s"),
      text: textOrNull("The figure in the document's units; null where it cannot be told.", "73 s"),
      reason: textOrNull("Why it cannot be told; null where it can.", null),
    }),
    "What is expected.",
  ),
  boxes: list(
    z.strictObject({
      name: text("Name of the box, unique in its check.", "arrival"),
      form: z.enum(["yes-no", "figure", "text"]).meta({ description: "What is written in it.", examples: ["figure"] }),
      unit: textOrNull("SI base unit of a figure; null of others.", "m"),
      writtenIn: textOrNull("The document's unit of a figure, which people write it in; null of others.", "mm"),
      label: text("What it asks.", "arrived after"),
    }),
    "What is to be filled in.",
  ),
});

const Stop = z.strictObject({
  title: text("Where to stand.", "Fan coil 0401-A/coil (Level 4)"),
  kind: z
    .enum(["main", "fan-coil", "pump", "outlet", "building"])
    .meta({ description: "What stands there.", examples: ["fan-coil"] }),
  floor: textOrNull("Id of the floor; null where none is known.", "04"),
  dwelling: textOrNull("The dwelling that is entered; null none.", "0401"),
  checks: list(Check, "What is done there, in this order."),
});

const Sheet = z
  .strictObject({
    format: z.literal(1).meta({ description: "Version of this answer.", examples: [1] }),
    engine: z
      .strictObject({
        name: z.literal("drainward").meta({ description: "Always this word.", examples: ["drainward"] }),
        version: text("Its version.", "0.1.0"),
        catalogue: text("Names its set of rules.", "5f1f0c6c9a3e"),
      })
      .meta({
        description: "What made it.",
        examples: [{ name: "drainward", version: "0.1.0", catalogue: "5f1f0c6c9a3e" }],
      }),
    network: z
      .strictObject({
        id: text("Id of the network.", "alder-court"),
        name: textOrNull("Its name.", "Alder Court"),
        digest: text("Digest of the document (RFC 8785 form).", "sha256:9f86d081884c7d65"),
      })
      .meta({
        description: "Of which network.",
        examples: [{ id: "alder-court", name: "Alder Court", digest: "sha256:9f86d081884c7d65" }],
      }),
    profile: z
      .strictObject({ id: text("Its id.", "imc"), edition: text("Its editions.", "2021") })
      .meta({ description: "The profile.", examples: [{ id: "imc", edition: "2021" }] }),
    stage: z
      .enum(["design", "as-built", "in-service"])
      .meta({ description: "Stage of the document.", examples: ["design"] }),
    units: z
      .enum(["si", "us"])
      .meta({ description: "Unit system of the document, of what is said, and of the boxes.", examples: ["si"] }),
    stops: list(Stop, "Where somebody stands and works, in walking order from the roof down."),
    assumptions: list(
      z.strictObject({
        name: text("What is assumed.", "temperature of the test water"),
        value: z.number().meta({ description: "Its figure.", examples: [15] }),
        unit: text("Its SI base unit.", "°C"),
        text: text("The same in the document's units.", "15 °C"),
        source: text("Id of its source.", "assumption"),
      }),
      "What the figures rest on besides the network.",
    ),
    cautions: ids("What can hurt whoever does it.", "Isolate and prove dead before opening a cabinet."),
  })
  .meta({ description: "The test sheet of a commissioning day." });

// The type and the schema say the same.
const checked: z.ZodType<Omit<CommissioningSheet, "assumptions">> = Sheet;
void checked;

let made: object | undefined;

/** JSON Schema (draft 2020-12) of a commissioning sheet. The same object each time: do not change it. */
export const commissioningSchema = (): object => {
  made ??= z.toJSONSchema(Sheet, { target: "draft-2020-12" });
  return made;
};
