import * as z from "zod";
import type { DwellingReport } from "./dwelling.js";
import type { Isolation } from "./isolation.js";
import type { SurveyList } from "./survey-list.js";

// The answers about one dwelling, one pipe and a survey, as schemas.

const text = (description: string, example: string) => z.string().meta({ description, examples: [example] });
const orNull = (description: string, example: string) =>
  z
    .string()
    .nullable()
    .meta({ description, examples: [example] });
const ids = (description: string, ...examples: string[]) =>
  z.array(z.string()).meta({ description, examples: [examples] });
const figureOrNull = (description: string, example: number) =>
  z
    .number()
    .nullable()
    .meta({ description, examples: [example] });
const list = <T extends z.ZodType>(of: T, description: string, ...example: unknown[]) =>
  z.array(of).meta({ description, examples: [example] as never });

const head = {
  format: z.literal(1).meta({ description: "Version of this answer.", examples: [1] }),
  network: z
    .strictObject({ id: text("Id of the network.", "alder-court"), name: orNull("Its name.", "Alder Court") })
    .meta({ description: "Which network.", examples: [{ id: "alder-court", name: "Alder Court" }] }),
};
const zone = z
  .enum(["private", "common"])
  .nullable()
  .meta({ description: "Who looks after it; null unknown.", examples: ["common"] });
const owner = orNull("Whose it is, and whom to call; null: nobody is named.", "association");
const work = {
  upstream: orNull("Nearest point above it to work from.", "C-03"),
  downstream: orNull("Nearest point below it to work from.", "C-04"),
  isolate: ids("Fan coils to stop so that no water comes while it is open.", "F-0301", "F-0401"),
};
const cautions = ids("What can hurt whoever does the work.", "Isolate and prove dead before opening a cabinet.");

const IsolationAnswer = z
  .strictObject({
    ...head,
    pipe: text("Id of the pipe.", "P-14"),
    zone,
    owner,
    ...work,
    fanCoils: list(
      z.strictObject({
        id: text("Id of the fan coil.", "F-0301"),
        dwelling: orNull("The dwelling that it cools.", "0301"),
        floor: orNull("The floor on which it is.", "L3"),
      }),
      "The same fan coils, with whom to tell.",
      { id: "F-0301", dwelling: "0301", floor: "L3" },
    ),
    pumps: ids("Pumps above it, which are stopped as well.", "S-01"),
    foreign: list(
      z.strictObject({
        node: text("Where it discharges.", "J-0301"),
        what: text("What discharges there.", "Washing machine"),
      }),
      "What else discharges above it.",
      { node: "J-0301", what: "Washing machine" },
    ),
    message: ids("Sentences for people.", "Stop F-0301 and F-0401 before P-14 is opened."),
    cautions,
  })
  .meta({ description: "What to stop so that no water comes while a pipe is open, and where to work on it from." });

const opening = {
  node: text("Pan, vent, cleanout or receptor where the water comes out.", "F-0301"),
  dwelling: orNull("The dwelling under it.", "0301"),
  level: figureOrNull("m: level of the water from which it spills.", 12.4),
};
const Opening = z.strictObject(opening);
const exampleOpening = { node: "F-0301", dwelling: "0301", level: 12.4 };

const Flood = z
  .strictObject({
    blocked: list(
      z.strictObject({
        pipe: orNull("Id of the pipe; null for what is no pipe.", "P-14"),
        node: orNull("Id of the fan coil (its pan's outlet), trap, pump or outlet; null for pipes.", "T-0301"),
      }),
      "What may be blocked for this to happen: any one of them.",
      { pipe: "P-14", node: null },
    ),
    outcome: z.enum(["contained", "uncontained", "undetermined"]).meta({
      description:
        "`contained`: switches stop all of the water first; `undetermined`: it cannot be told whether they do, or whether it comes out here.",
      examples: ["uncontained"],
    }),
    zone,
    owner,
    openings: list(Opening, "Where it comes out in this dwelling.", exampleOpening),
    alsoAt: list(Opening, "Where it comes out at the same time elsewhere.", exampleOpening),
    madeBy: list(
      z.strictObject({
        dwelling: orNull("Whose fan coils; null: nobody's.", "0401"),
        fanCoils: ids("Those whose water it is.", "F-0401"),
        stillRunning: ids("Of them those that no switch stops before it comes out.", "F-0401"),
      }),
      "Who makes the water.",
      { dwelling: "0401", fanCoils: ["F-0401"], stillRunning: ["F-0401"] },
    ),
    next: z
      .strictObject({
        ...opening,
        higherBy: z.number().meta({ description: "m above where it comes out first.", examples: [0.04] }),
      })
      .nullable()
      .meta({
        description: "Where it comes out next, if it rises on; null: nowhere that is known.",
        examples: [{ node: "F-0302", dwelling: "0302", level: 12.44, higherBy: 0.04 }],
      }),
    inflow: figureOrNull("m³/s that feed it.", 0.0000021),
    inflowAfterTrips: figureOrNull("m³/s that still come after every trip.", 0.0000014),
    trips: ids("Overflow devices that trip before, in that order.", "SW-0301"),
    work: z.strictObject(work).meta({
      description: "How to work on the first of them.",
      examples: [{ upstream: "C-03", downstream: "C-04", isolate: ["F-0301"] }],
    }),
  })
  .meta({ description: "Blockages that come out at the same places, fed by the same fan coils, and one owner's." });

const DwellingAnswer = z
  .strictObject({
    ...head,
    dwelling: text("Id of the dwelling.", "0301"),
    fanCoils: list(
      z.strictObject({
        id: text("Id of the fan coil.", "F-0301"),
        floor: orNull("The floor on which it is.", "L3"),
        inService: z.boolean().meta({ description: "Whether it runs.", examples: [true] }),
        condensateRate: figureOrNull("m³/s of condensate at design.", 0.0000007),
        owners: z.array(z.string().nullable()).meta({
          description: "Whose the drains on its way are, one after the other; null: nobody is named.",
          examples: [["0301", "association"]],
        }),
      }),
      "The fan coils that cool it.",
      { id: "F-0301", floor: "L3", inService: true, condensateRate: 7e-7, owners: ["0301", "association"] },
    ),
    floodedBy: list(Flood, "Blockages whose water comes out here, and no switch stops it in time."),
    caught: list(Flood, "Blockages whose water would come out here, and switches stop it first."),
    floods: list(
      z.strictObject({
        node: text("Where it comes out.", "F-0201"),
        dwelling: orNull("The dwelling under it.", "0201"),
        fanCoils: ids("Whose water it is.", "F-0301"),
        blocked: ids("What must be blocked for it, any one of them.", "P-12"),
      }),
      "Where the water of its own fan coils can come out, and no switch stops it in time.",
      { node: "F-0201", dwelling: "0201", fanCoils: ["F-0301"], blocked: ["P-12"] },
    ),
    message: ids("Sentences for people.", "If P-14 blocks, water comes out at F-0301 with the water of 0401 and 0501."),
    cautions,
  })
  .meta({ description: "What concerns one dwelling: who floods it, whom it floods, and whom to call." });

const SurveyListAnswer = z
  .strictObject({
    ...head,
    asks: z
      .int()
      .min(0)
      .meta({ description: "How many figures are asked for.", examples: [1] }),
    floors: list(
      z.strictObject({
        floor: orNull("Id of the floor; null: where none is known, and what concerns the whole building.", "L3"),
        name: orNull("Its name.", "Level 3"),
        stops: list(
          z.strictObject({
            kind: z.enum(["common", "fan-coil", "building"]).meta({
              description: "Along common drains, at a fan coil and its own drain, or nowhere in particular.",
              examples: ["fan-coil"],
            }),
            fanCoil: orNull("Id of the fan coil.", "F-0301"),
            dwelling: orNull("The dwelling that it cools.", "0301"),
            asks: list(
              z.strictObject({
                node: orNull("Id of the node that it is a figure of.", "F-0301"),
                pipe: orNull("Id of the pipe.", "P-14"),
                device: orNull("Id of the overflow device.", "SW-0301"),
                circuit: orNull("Id of the circuit.", "CIR-0301"),
                name: orNull("What it is called.", "Coil over the hall"),
                attribute: text(
                  "The field to fill in, its parts joined by dots: what an inspection names as its attribute.",
                  "pan.rimHeight",
                ),
                what: orNull("What it means.", "Height of the pan's rim above the primary outlet invert."),
                within: figureOrNull(
                  "How closely, in m or the figure's SI unit; null: as well as can be measured.",
                  0.002,
                ),
                for: ids("Rules that wait for it.", "overflow.trip-above-spill"),
              }),
              "What to bring back from there.",
            ),
          }),
          "Where to stand, one after the other.",
        ),
      }),
      "From the roof down.",
    ),
  })
  .meta({ description: "What is missing of a network, by floor, in the order in which one walks." });

// The types and the schemas say the same.
const checked: [z.ZodType<Isolation>, z.ZodType<DwellingReport>, z.ZodType<SurveyList>] = [
  IsolationAnswer,
  DwellingAnswer,
  SurveyListAnswer,
];
void checked;

const once = (schema: z.ZodType): (() => object) => {
  let made: object | undefined;
  return () => {
    made ??= z.toJSONSchema(schema, { target: "draft-2020-12" });
    return made;
  };
};

/** JSON Schemas (draft 2020-12). The same object each time: do not change it. */
export const isolationSchema = once(IsolationAnswer);
export const dwellingSchema = once(DwellingAnswer);
export const surveyListSchema = once(SurveyListAnswer);
