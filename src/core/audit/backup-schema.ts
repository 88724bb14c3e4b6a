import * as z from "zod";
import type { BackupAnswer } from "./backup.js";

const text = (description: string, example: string) => z.string().meta({ description, examples: [example] });
const idOrNull = (description: string, example: string | null) =>
  z
    .string()
    .nullable()
    .meta({ description, examples: [example] });
const ids = (description: string, ...examples: string[]) =>
  z.array(z.string()).meta({ description, examples: [examples] });
const figure = (description: string, example: number) => z.number().meta({ description, examples: [example] });
const figureOrNull = (description: string, example: number) =>
  z
    .number()
    .nullable()
    .meta({ description, examples: [example] });
const flag = (description: string, example: boolean) => z.boolean().meta({ description, examples: [example] });
const list = <T extends z.ZodType>(of: T, description: string) => z.array(of).meta({ description, examples: [[]] });

const minutes = (description: string) =>
  z
    .strictObject({
      soonest: figureOrNull("Branches whose air cannot leave hold nothing, nor does what is of unknown size.", 21.9),
      latest: figureOrNull("Every branch fills.", 22.1),
    })
    .meta({ description, examples: [{ soonest: 21.9, latest: 22.1 }] });
const volume = (description: string) =>
  z
    .strictObject({
      least: figureOrNull("Branches whose air cannot leave hold nothing, nor does what is of unknown size.", 0.0152),
      most: figureOrNull("Every branch fills.", 0.0153),
    })
    .meta({ description, examples: [{ least: 0.0152, most: 0.0153 }] });

const opening = z.strictObject({
  node: text("The pan, vent, cleanout or receptor; of another drain the node that it leaves.", "F-0301"),
  elevation: figure("Level of the opening itself, m.", 12.35),
  dwelling: idOrNull("Who is under the water there.", "0201"),
  told: flag("The water goes where somebody sees it.", false),
  harmless: flag("Spilling there does no harm.", false),
});
const openings = (description: string) => list(opening, description);

const event = z.strictObject({
  event: z.enum(["joins", "trips", "fans-stop", "spills", "carried-off", "stands", "open"]).meta({
    description:
      "`joins`: the water stands before a pan that went on draining until now; `trips`: an overflow device; `fans-stop`: what suction held up runs back; the last one is `spills`, `carried-off` (another way takes the water, or somebody sees it), `stands` (nothing more comes) or `open` (it cannot be told any further).",
    examples: ["trips"],
  }),
  text: text("A sentence for people.", "SW-1 at F-0301 (level 3) trips, the water at 12.325 m, and stops F-0301."),
  minutes: minutes(
    "Minutes since the blockage, at the design rate of every coil that is not stopped; null: cannot be told.",
  ),
  level: figureOrNull("Level of the rising water once it has happened, m.", 12.325),
  volume: volume("What has come since the blockage, m³."),
  inflow: figureOrNull("What comes from here on, m³/s.", 0.0000113),
  device: idOrNull("The overflow device that trips.", "SW-1"),
  fanCoils: ids("Coils that join, that it stops, or whose fans stop.", "F-0301"),
  openings: openings(
    "What spills or carries the water off, within the survey's tolerance; at `open`, what is of unknown height.",
  ),
  surge: figure("What runs out at once, m³.", 0),
});

const BackupSchema = z
  .strictObject({
    format: z.literal(1).meta({ description: "Version of this answer.", examples: [1] }),
    network: z
      .strictObject({ id: text("Id of the network.", "alder-court"), name: idOrNull("Its name.", "Alder Court") })
      .meta({ description: "Which network.", examples: [{ id: "alder-court", name: "Alder Court" }] }),
    blocked: z
      .strictObject({
        pipe: idOrNull("Id of the pipe; null where a node is blocked.", "P-14"),
        node: idOrNull("Id of the node; null where a pipe is blocked.", null),
        kind: z
          .enum(["pipe", "pan-outlet", "trap", "pump", "receptor", "node"])
          .meta({ description: "What is blocked; of any other `node` its main way is.", examples: ["pipe"] }),
        zone: z
          .enum(["private", "common"])
          .nullable()
          .meta({ description: "Who looks after it; null unknown.", examples: ["common"] }),
        owner: idOrNull("Whose it is.", "association"),
      })
      .meta({
        description: "What is blocked.",
        examples: [{ pipe: "P-14", node: null, kind: "pipe", zone: "common", owner: "association" }],
      }),
    outcome: z
      .enum(["contained", "told", "harmless", "uncontained", "undetermined"])
      .nullable()
      .meta({
        description: "As the audit has it; null where nothing backs up, or round a loop where nobody can tell.",
        examples: ["uncontained"],
      }),
    message: ids("Sentences for people.", "Water comes out first at dwelling 0201 (F-0301), after about 22 min."),
    fanCoilsFeeding: ids("Coils whose water comes that way.", "F-0301", "F-0401"),
    inflow: figureOrNull("What comes at the design rate of all of them, m³/s.", 0.0000117),
    inflowAfterTrips: figureOrNull(
      "What still comes when every device at or below the first spill has tripped, m³/s.",
      0.0000113,
    ),
    start: z
      .strictObject({
        node: text("The node above the blockage.", "M-03"),
        level: figure("Level from which the water rises, m.", 12.1),
      })
      .nullable()
      .meta({
        description: "Where it begins; null where nothing backs up.",
        examples: [{ node: "M-03", level: 12.1 }],
      }),
    firstTrip: z
      .strictObject({
        device: text("The overflow device.", "SW-1"),
        minutes: minutes("Minutes since the blockage."),
      })
      .nullable()
      .meta({
        description: "The device that trips first; null where none does in time.",
        examples: [{ device: "SW-1", minutes: { soonest: 11.4, latest: 11.5 } }],
      }),
    firstSpill: z
      .strictObject({
        elevation: figure("Level of the rising water at which it spills while every fan runs, m.", 12.33),
        openings: openings("What spills within the survey's tolerance of the first."),
        minutes: minutes("Minutes since the blockage; null where everything is stopped before."),
        litersPerHour: figureOrNull("What runs out then, L/h; 0 where nothing does.", 40.8),
      })
      .nullable()
      .meta({ description: "As the audit has it; null where it cannot be told.", examples: [null] }),
    story: list(event, "What happens, in order."),
    held: list(
      z.strictObject({
        kind: z
          .enum(["pipe", "riser", "vent", "pan", "sump", "receptor"])
          .meta({ description: "What holds it.", examples: ["riser"] }),
        pipe: idOrNull("Id of the pipe.", "R-02"),
        node: idOrNull("Id of the pan's coil, the pump or the outlet.", null),
        volume: figureOrNull("m³ more than before the blockage; null: of a size that nobody gave.", 0.00032),
        airtight: flag("No air can leave it, so that it may hold as good as nothing.", false),
      }),
      "What holds the water at the end, every branch filled.",
    ),
    afterRun: z
      .strictObject({
        perFanCoil: figure("What a stopped coil still makes, m³: an assumption of the profile.", 0.0005),
        volume: figure("What all that are stopped still make, m³.", 0.001),
        room: volume("What there is room for below the first spill, m³."),
        level: figureOrNull("Level once it has come, m.", 12.34),
        fits: z
          .boolean()
          .nullable()
          .meta({ description: "There is room; null: cannot be told.", examples: [true] }),
      })
      .nullable()
      .meta({
        description: "Water still to come once everything has stopped; null where that is not so.",
        examples: [null],
      }),
    wouldContain: z
      .strictObject({
        node: text("The node above the blockage, where the water begins to rise: the device sits there.", "M-03"),
        highestTrip: figureOrNull(
          "Highest level of the rising water at which it may trip so that what still comes has room, m; null: none is low enough.",
          12.2,
        ),
        stops: ids("Coils that it must stop.", "F-0301", "F-0401"),
        devices: ids("Devices that trip low enough already: wired to stop all of these, one of them would do.", "SW-1"),
      })
      .nullable()
      .meta({
        description: "One more overflow device that would contain it; null where none is needed.",
        examples: [null],
      }),
    partial: z
      .strictObject({
        pipe: text("Id of the pipe.", "P-14"),
        insideDiameter: figure("Its bore, m.", 0.0404),
        boreLeft: figure("Bore at which its capacity is down to the design flow, m.", 0.0084),
      })
      .nullable()
      .meta({
        description:
          "How far it may close before it backs up; null where that is not known, or it carries too much already.",
        examples: [{ pipe: "P-14", insideDiameter: 0.0404, boreLeft: 0.0084 }],
      }),
    undetermined: list(
      z.strictObject({
        what: text("What is not known, and what that leaves open.", "How much the pan of F-0301 holds."),
        settledBy: ids("JSON pointers into the network document.", "/nodes/3/pan/area"),
      }),
      "What is not known.",
    ),
    assumptions: list(
      z.strictObject({
        name: text("What is assumed.", "water that a stopped coil still makes"),
        value: figure("Its figure.", 0.0005),
        unit: text("Its unit.", "m³"),
      }),
      "What the story rests on besides the network.",
    ),
    work: z
      .strictObject({
        upstream: idOrNull("Nearest point above it to work from.", "C-03"),
        downstream: idOrNull("Nearest point below it to work from.", "C-04"),
        isolate: ids("Fan coils to stop so that no water comes while the pipe is open.", "F-0301", "F-0401"),
      })
      .meta({
        description: "How to work on it.",
        examples: [{ upstream: "C-03", downstream: "C-04", isolate: ["F-0301", "F-0401"] }],
      }),
    cautions: ids("What can hurt whoever does the work.", "Isolate and prove dead before opening a cabinet."),
  })
  .meta({ description: "What follows in time if one pipe or node blocks." });

// The type and the schema say the same.
const checked: z.ZodType<BackupAnswer> = BackupSchema;
void checked;

let made: object | undefined;

/** JSON Schema (draft 2020-12) of the story of a blockage. The same object each time: do not change it. */
export const backupSchema = (): object => {
  made ??= z.toJSONSchema(BackupSchema, { target: "draft-2020-12" });
  return made;
};
