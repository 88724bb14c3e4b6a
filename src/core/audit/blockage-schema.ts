import * as z from "zod";
import type { Blockage } from "./locate.js";

const text = (description: string, example: string) => z.string().meta({ description, examples: [example] });
const idOrNull = (description: string, example: string) =>
  z
    .string()
    .nullable()
    .meta({ description, examples: [example] });
const ids = (description: string, ...examples: string[]) =>
  z.array(z.string()).meta({ description, examples: [examples] });
const positions = (description: string) => z.array(z.int().min(0)).meta({ description, examples: [[0]] });
const figure = (description: string, example: number) => z.number().meta({ description, examples: [example] });
const list = <T extends z.ZodType>(of: T, description: string) => z.array(of).meta({ description, examples: [[]] });

const BlockageAnswer = z
  .strictObject({
    format: z.literal(1).meta({ description: "Version of this answer.", examples: [1] }),
    network: z
      .strictObject({
        id: text("Id of the network.", "alder-court"),
        name: idOrNull("Its name.", "Alder Court"),
      })
      .meta({ description: "Which network.", examples: [{ id: "alder-court", name: "Alder Court" }] }),
    state: z.enum(["located", "cannot-tell", "nothing-reported"]).meta({
      description:
        "`located`: one class of candidates leads; `cannot-tell`: two are about as likely and no check tells them apart; `nothing-reported`: no water was seen.",
      examples: ["located"],
    }),
    message: ids("Sentences for people.", "Most likely blocked is the pipe P-14, 62 %."),
    observations: list(
      z.strictObject({
        node: idOrNull("Node at which it was made; of a pipe the one that it leaves.", "F-0301"),
        says: z
          .enum(["wet", "dry", "nothing", "withdrawn"])
          .meta({ description: "What it was taken to say.", examples: ["wet"] }),
      }),
      "What each observation was taken to say, in their order.",
    ),
    candidates: list(
      z.strictObject({
        pipe: idOrNull("Id of the pipe; null for what is no pipe.", "P-14"),
        node: idOrNull("Id of the node; null for pipes.", "T-0301"),
        kind: z
          .enum(["pipe", "pan-outlet", "trap", "pump", "receptor"])
          .meta({ description: "What would be blocked.", examples: ["pipe"] }),
        weight: figure("Its probability; those of all candidates sum to 1.", 0.62),
        class: z
          .int()
          .min(0)
          .meta({ description: "Position of its class.", examples: [0] }),
        unexplained: positions("Positions of the observations that it leaves unexplained."),
        zone: z
          .enum(["private", "common"])
          .nullable()
          .meta({ description: "Who looks after it; null unknown.", examples: ["common"] }),
        owner: idOrNull("Whose it is.", "association"),
      }),
      "Everything that may be blocked, the likeliest first.",
    ),
    classes: list(
      z.strictObject({
        weight: figure("Probability of its members together.", 0.62),
        members: ids("Pipes and nodes that no observation can tell apart.", "P-14", "P-15"),
        wets: ids("Pans and other openings that their blockage makes wet.", "F-0301", "F-0302"),
      }),
      "Candidates that no observation can tell apart, the likeliest first.",
    ),
    twoBlockages: list(
      z.strictObject({
        classes: positions("Positions of the two classes."),
        unexplained: positions("Positions of the observations that both together leave unexplained."),
      }),
      "Two blockages at once, where one alone leaves two or more observations unexplained.",
    ),
    nextCheck: z
      .strictObject({
        node: text("Pan or opening to look at.", "F-0402"),
        dwelling: idOrNull("Whose dwelling it is in.", "0402"),
        entropy: figure("Bits of doubt now.", 2.4),
        expectedEntropy: figure("Bits of doubt to be expected after the check.", 1.7),
      })
      .nullable()
      .meta({
        description: "The check that tells the most; null where none tells anything.",
        examples: [{ node: "F-0402", dwelling: "0402", entropy: 2.4, expectedEntropy: 1.7 }],
      }),
    work: list(
      z.strictObject({
        candidate: text("Id of the pipe or node.", "P-14"),
        upstream: idOrNull("Nearest point above it to work from.", "C-03"),
        downstream: idOrNull("Nearest point below it to work from.", "C-04"),
        isolate: ids("Fan coils to stop so that no water comes while the pipe is open.", "F-0301", "F-0401"),
      }),
      "How to work on the likeliest class.",
    ),
    sweating: z
      .strictObject({ dwelling: text("The dwelling that reports water.", "0301") })
      .nullable()
      .meta({
        description: "Perhaps nothing is blocked: one dwelling alone reports water, and its pan drains.",
        examples: [null],
      }),
    assumptions: list(
      z.strictObject({
        name: text("What is assumed.", "an observation is wrong"),
        value: figure("Its figure.", 0.1),
        unit: text("Its unit.", "probability"),
      }),
      "What the weights rest on besides the network.",
    ),
    cautions: ids("What can hurt whoever does the work.", "Isolate and prove dead before opening a cabinet."),
  })
  .meta({ description: "Where a blockage is, by what was observed." });

// The type and the schema say the same.
const checked: z.ZodType<Blockage> = BlockageAnswer;
void checked;

let made: object | undefined;

/** JSON Schema (draft 2020-12) of a located blockage. The same object each time: do not change it. */
export const blockageSchema = (): object => {
  made ??= z.toJSONSchema(BlockageAnswer, { target: "draft-2020-12" });
  return made;
};
