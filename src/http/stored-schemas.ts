// What callers send about stored things, as schemas that validate and describe; and what they are answered.
import * as z from "zod";
import { BUILDING_ID } from "../service/building-id.js";
import { refTo, relocate, type Schema, schemaParts } from "./components.js";

const { text, count, list, record, page } = schemaParts;

/** Printable text in one line, without characters that turn or hide others. */
const LINE = /^[^\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]*$/u;

const line = (description: string, example: string, max = 200) =>
  z
    .string()
    .min(1)
    .max(max)
    .regex(LINE)
    .meta({ description, examples: [example] });
const isTimeZone = (name: string): boolean => {
  try {
    new Intl.DateTimeFormat("en", { timeZone: name });
    return true;
  } catch {
    return false;
  }
};

export const BuildingBody = z
  .strictObject({
    id: z
      .string()
      .regex(BUILDING_ID)
      .meta({ description: "The id in the path, if it is said again.", examples: ["alder-court"] })
      .optional(),
    name: line("Name for people.", "Alder Court"),
    timeZone: z
      .string()
      .max(64)
      .refine(isTimeZone, { error: "no time zone of the IANA database" })
      .meta({ description: "Time zone of the building (IANA).", examples: ["Europe/Lisbon"] }),
    tags: z
      .array(line("A word to find it by.", "harbor", 64))
      .max(50)
      .meta({ description: "Words to find it by.", examples: [["harbor"]] })
      .optional(),
    cleaningDays: z
      .int()
      .min(1)
      .max(3650)
      .nullable()
      .meta({ description: "Days between cleanings of what is common; null: a year.", examples: [180] })
      .optional(),
  })
  .meta({ description: "What is said of a building.", examples: [{ name: "Alder Court", timeZone: "Europe/Lisbon" }] });

export const WaiverBody = z
  .strictObject({
    by: line("Who answers for it.", "J. Doe, building manager"),
    reason: line("Why it may stay as it is.", "The branch is replaced in spring.", 2000),
    until: z.iso
      .datetime({ offset: true })
      .nullable()
      .meta({
        description: "To when it counts; null or left out: until it is withdrawn.",
        examples: ["2027-03-31T00:00:00Z"],
      })
      .optional(),
  })
  .meta({
    description: "Why a finding is let be.",
    examples: [{ by: "J. Doe", reason: "The branch is replaced in spring.", until: "2027-03-31T00:00:00Z" }],
  });

const time = (description: string) =>
  z.iso.datetime({ offset: true }).meta({ description, examples: ["2026-07-14T09:30:00+02:00"] });

export const BlockageRange = z
  .strictObject({
    since: time("Observations from this time on count; left out: from a day before `at`.").optional(),
    at: time("And to this time; left out: now.").optional(),
  })
  .meta({
    description: "Between which times observations count.",
    examples: [{ since: "2026-07-12T00:00:00+02:00", at: "2026-07-14T09:30:00+02:00" }],
  });

export const MeasuredBody = z
  .strictObject({
    observations: z
      .array(z.string().min(1).max(128))
      .min(1)
      .max(10_000)
      .meta({
        description: "Ids of the observations to enter; left out: all that came since the newest revision.",
        examples: [["obs-2026-0714-1"]],
      })
      .optional(),
    by: line("Who made it; left out: whoever the key names.", "survey team").optional(),
    note: line("Why; left out: one that names the observations.", "survey of floor 3", 2000).optional(),
  })
  .meta({ description: "What to make the next revision of.", examples: [{ by: "survey team" }] });

const inputSchema = (name: string, schema: z.ZodType): Schema =>
  relocate(z.toJSONSchema(schema, { target: "draft-2020-12", io: "input" }), name) as Schema;

const instant = (description: string): Schema => ({
  ...text(description, "2026-07-14T09:30:00.000Z"),
  format: "date-time",
});
const maybe = (schema: Schema): Schema => ({ ...schema, type: [schema.type as string, "null"] });
const word = (description: string, words: readonly string[]): Schema => ({
  type: "string",
  enum: words,
  description,
  examples: [words[0]],
});
const ids = (description: string, example: string): Schema => list(description, { type: "string" }, [example]);

const building = record("A building that is kept.", {
  id: text("Its id.", "alder-court"),
  name: text("Name for people.", "Alder Court"),
  timeZone: text("Its time zone (IANA).", "Europe/Lisbon"),
  tags: ids("Words to find it by.", "harbor"),
  cleaningDays: maybe(count("Days between cleanings of what is common; null: a year.", 180)),
  revision: count("Number of its newest revision; 0: none yet.", 3),
  createdAt: instant("When it was made."),
  changedAt: instant("When it, or its newest revision, was changed last."),
});

const revisionFields = {
  number: { ...count("Its number, from 1 without gaps.", 3), minimum: 1 },
  digest: text("SHA-256 of the document's canonical form (RFC 8785).", "sha256:7d5f0c7a"),
  createdAt: instant("When it was posted."),
  by: text("Who made it.", "survey team"),
  note: maybe(text("Why, in its maker's words.", "after the refit of floor 3")),
};

const auditFields = {
  revision: { ...count("Number of the revision that was judged.", 3), minimum: 1 },
  sequence: { ...count("Which audit of the revision this is, from 1.", 1), minimum: 1 },
  engine: text("Version of what judged.", "0.1.0"),
  catalogue: text("The set of rules that judged.", "5b0f3c1a9d27"),
  madeAt: instant("When."),
  verdict: word("The verdict.", ["faulty", "undetermined", "no-fault-found", "nothing-judged"]),
  exposure: maybe(word("What a blockage would do; null: not judged.", ["contained", "exposed", "undetermined"])),
};

const waiverFields = {
  by: text("Who answers for it.", "J. Doe, building manager"),
  reason: text("Why it may stay as it is.", "The branch is replaced in spring."),
  until: maybe({
    ...text("To when it counts; null: until it is withdrawn.", "2027-03-31T00:00:00.000Z"),
    format: "date-time",
  }),
  createdAt: instant("When it was laid."),
};

const finding = record("A finding in its life.", {
  id: text("Its id.", "fall.reverse~p:P-14"),
  rule: text("The rule that found it.", "fall.reverse"),
  severity: word("How serious it is.", ["critical", "major", "minor", "advice"]),
  kind: word("What it speaks of.", ["condition", "contingency", "record"]),
  state: word("`open`, `cleared`: found right since, `lost-sight`: no longer to be told, `waived`: open, and let be.", [
    "open",
    "cleared",
    "lost-sight",
    "waived",
  ]),
  since: { ...count("Revision since which it is found without a break.", 1), minimum: 1 },
  changed: { ...count("Revision in which its state became what it is.", 1), minimum: 1 },
  cause: word("What brought its state about.", ["building", "survey", "catalogue"]),
  message: text("The sentence for people.", "P-14 rises in the direction of flow."),
  fanCoils: ids("Fan coils that it concerns.", "F-0301"),
  nodes: ids("Nodes at fault.", "T-0301"),
  pipes: ids("Pipes at fault.", "P-14"),
  waiver: {
    anyOf: [refTo("Waiver"), { type: "null" }],
    description: "The waiver that lies over it now; null: none.",
    examples: [null],
  },
});

const healthFields = {
  state: word("`act`, `watch`, `unknown` or `good`.", ["act", "watch", "unknown", "good"]),
  at: instant("The instant that was asked for."),
  reasons: { type: "array", description: "Why, the gravest first.", items: refTo("HealthReason") },
  next: { type: "array", description: "What to do about it.", items: refTo("HealthStep") },
};

export const storedSchemas: Readonly<Record<string, Schema>> = {
  BuildingBody: inputSchema("BuildingBody", BuildingBody),
  WaiverBody: inputSchema("WaiverBody", WaiverBody),
  BlockageRange: inputSchema("BlockageRange", BlockageRange),
  MeasuredBody: inputSchema("MeasuredBody", MeasuredBody),
  WhatIfRemedies: record("Remedies to think of as carried out.", {
    remedies: { type: "array", description: "As findings propose them.", items: refTo("Remedy"), maxItems: 1000 },
  }),
  WhatIfNetwork: record("Another document to think of as the next revision.", {
    network: { ...refTo("Network"), description: "The document." },
  }),
  EnteredObservation: record("An observation that a test sheet says.", {
    made: { type: "boolean", description: "It is new; false: it was there already.", examples: [true] },
    observation: { ...refTo("ObservationKept"), description: "The observation." },
  }),
  EnteredObservations: record("What a test sheet says.", {
    items: {
      type: "array",
      description: "Its observations, in the order of the results.",
      items: refTo("EnteredObservation"),
    },
  }),
  TransferLine: {
    description: "A line of a building that is carried: first what it is, then its rows, last how many they are.",
    anyOf: [
      record("What follows.", {
        drainward: {
          type: "object",
          description: "Kind and version.",
          examples: [{ archive: 1, of: "building", version: "0.1.0", madeAt: "2026-07-14T09:30:00.000Z", columns: {} }],
        },
      }),
      record("A row. What it holds is the store's own business.", {
        table: text("Of which table.", "observation"),
        row: { type: "object", description: "Its columns.", examples: [{ id: "obs-2026-0714-1", type: "water-seen" }] },
      }),
      record("The end.", {
        end: {
          type: "object",
          description: "The number of rows and their digest.",
          examples: [{ rows: 16, digest: "sha256:7d5f0c7a" }],
        },
      }),
    ],
    examples: [{ end: { rows: 16, digest: "sha256:7d5f0c7a" } }],
  },
  HealthHistory: page("How it was, and each time that it changed.", "Health"),
  CleaningReason: record("What makes a drain close sooner.", {
    why: word("In a word.", ["flat", "small", "pool", "trickle", "many-coils"]),
    text: text("In words.", "flat"),
    pipes: ids("Where.", "P-14"),
  }),
  Cleaning: record("When something common was cleaned, and is to be cleaned.", {
    riser: maybe(text("Id of the riser; null: the other common drains.", "J-01")),
    who: maybe(text("Whose it is; null: nobody is named.", "association")),
    every: { ...count("Days between two cleanings.", 365), minimum: 1 },
    last: instant("When it was cleaned last."),
    by: word("What says so; where nobody ever did, the first revision counts as a cleaning.", [
      "document",
      "observation",
      "first-revision",
    ]),
    due: instant("When it is due again."),
    overdue: { type: "boolean", description: "It is overdue.", examples: [false] },
    reasons: {
      type: "array",
      description: "Why it closes sooner rather than later.",
      items: refTo("CleaningReason"),
    },
  }),
  CleaningList: page("What is cleaned as one, first what is due first.", "Cleaning"),
  Building: building,
  BuildingList: page("Buildings by their ids.", "Building"),
  RevisionBody: record(
    "A network document with what is said of it.",
    {
      network: { ...refTo("Network"), description: "The document." },
      by: text("Who made it; without it whoever the key names.", "survey team"),
      note: text("Why.", "after the refit of floor 3"),
      changed: word(
        "Whether it differs from the revision before by work done in the building or by a closer look at it; without it that is told by the fields that differ.",
        ["building", "survey"],
      ),
    },
    ["by", "note", "changed"],
  ),
  Revision: record("A revision that was kept, and its verdict.", {
    ...revisionFields,
    audit: { ...refTo("StoredAudit"), description: "Its audit." },
  }),
  RevisionEntry: record("A revision in a list.", revisionFields),
  RevisionList: page("Revisions, the first first.", "RevisionEntry"),
  RevisionDocument: record("A revision with its document as posted.", {
    ...revisionFields,
    network: { ...refTo("Network"), description: "The document." },
  }),
  StoredAudit: record("One audit of one revision, without its answer.", auditFields),
  Waiver: record("Why a finding is let be.", waiverFields),
  LivingFinding: finding,
  LivingFindingList: page("Findings by their ids.", "LivingFinding"),
  ObservationKept: record(
    "An observation that was kept.",
    {
      id: text("Its id.", "obs-2026-0714-1"),
      type: text("What was observed.", "water-seen"),
      time: text("When, as it was given.", "2026-07-14T09:30:00+02:00"),
      node: text("Node where.", "F-0301"),
      pipe: text("Pipe where.", "P-14"),
      fanCoil: text("Fan coil where.", "F-0301"),
      attribute: text("Field that was measured.", "panStatic"),
      value: { description: "What was measured.", examples: [{ litres: 5, seconds: 90 }] },
      source: text("Who or what says so.", "front desk"),
      text: text("Anything else worth keeping.", "Stain at the corridor ceiling"),
      withdraws: text("The observation that it takes back.", "obs-2026-0713-4"),
      receivedAt: instant("When it was received."),
    },
    ["node", "pipe", "fanCoil", "attribute", "value", "text", "withdraws"],
  ),
  ObservationList: page("Observations by their time.", "ObservationKept"),
  HealthReason: record("A reason for a state.", {
    kind: word("What speaks.", ["finding", "observation", "overdue", "unknown"]),
    ref: text("Finding, observation, riser or question that speaks.", "fall.reverse~p:P-14"),
    since: instant("Since when."),
    text: text("The sentence for people.", "P-14 rises in the direction of flow."),
  }),
  HealthStep: record("Something to do.", {
    do: text("What.", "clean and flush"),
    at: text("Where: a node, a pipe, a riser or a building.", "R-1"),
    who: maybe(text("Whose it is; null: whoever keeps the building.", "association")),
  }),
  Health: record("Drain health at an instant.", healthFields),
  BuildingHealth: record("Drain health of a building of a portfolio.", {
    building: text("Its id.", "alder-court"),
    name: text("Its name.", "Alder Court"),
    ...healthFields,
  }),
  Portfolio: record("Drain health of all buildings: the state of the worst.", {
    ...healthFields,
    items: {
      type: "array",
      description: "The buildings, worst first; the header Link leads to more.",
      items: refTo("BuildingHealth"),
    },
  }),
};
