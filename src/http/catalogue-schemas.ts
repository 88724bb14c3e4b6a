// What the catalogue routes answer: everything that a verdict rests on, as schemas of the OpenAPI document.
import { type Schema, schemaParts } from "./components.js";

const { text, count, list, record, page } = schemaParts;

const word = (description: string, words: readonly string[]): Schema => ({
  type: "string",
  enum: words,
  description,
  examples: [words[0]],
});
const figure = (description: string, example: number): Schema => ({ type: "number", description, examples: [example] });
const maybe = (schema: Schema): Schema => ({ ...schema, type: [schema.type as string, "null"] });
const words = (description: string, example: string): Schema => list(description, { type: "string" }, [example]);
const ref = (name: string, description: string): Schema => ({ $ref: `#/components/schemas/${name}`, description });
const refs = (name: string, description: string): Schema => ({
  type: "array",
  description,
  items: { $ref: `#/components/schemas/${name}` },
});

const SEVERITIES = ["critical", "major", "minor", "advice"];
const CONFIDENCES = ["high", "medium", "low", "memory", "common-practice", "derived", "assumption", "firm"] as const;

const citation = record("A source and its title.", {
  id: text("Id of the source.", "common-practice"),
  citation: text("Title of the work, or the mark in words.", "Common practice, no source"),
});

const citedLimit = record("A figure that rules judge against, and where it comes from.", {
  name: text("Name of the limit, as `overrides` takes it.", "fall.minimumGrade"),
  value: figure("The figure, SI base units.", 0.01),
  quantity: text("What kind of quantity it is.", "grade"),
  source: text("Id of the source.", "common-practice"),
  citation: text("Title of the work, or the mark in words.", "Common practice, no source"),
  confidence: word("How sure the figure is.", CONFIDENCES),
});

const rule = record("A rule: one question, what it needs to know, when it does not apply and what to do.", {
  id: text("Id of the rule, for ever.", "fall.reverse"),
  group: text("First part of the id.", "fall"),
  title: text("The rule in a few words.", "Drain rises in the direction of flow"),
  question: text("The question that it asks.", "Does any drain rise in the direction of flow?"),
  why: text("Why it matters.", "Water stands behind the rise."),
  severity: word("How bad a failure is.", SEVERITIES),
  kind: word("Whether it judges the present state, what follows from one failure, or upkeep.", [
    "condition",
    "contingency",
    "record",
  ]),
  stage: word("The first stage in which it judges.", ["design", "as-built", "in-service"]),
  needs: words("Fields of the document that it needs.", "elevation"),
  limits: {
    type: "array",
    description: "The limits that it judges against, in each profile.",
    items: record("A limit in a profile.", {
      profile: text("Id of the profile.", "imc"),
      limit: ref("CitedLimit", "The figure and its source."),
    }),
  },
  notApplicable: text("What is said when there is nothing to judge.", "There is no sloping drain."),
  remedy: text("What to do about a failure.", "Lower the downstream end."),
  sources: refs("Citation", "What the rule rests on."),
});

const sizeTable = record("Nominal size by connected cooling capacity.", {
  rows: {
    type: "array",
    description: "Rows in ascending order.",
    items: record("One row.", {
      upTo: figure("Connected cooling capacity up to and including, W.", 70337),
      size: text("The nominal size for it.", "3/4 in"),
    }),
  },
  source: text("Id of the source.", "common-practice"),
  citation: text("Title of the work, or the mark in words.", "Common practice, no source"),
  confidence: word("How sure the table is.", CONFIDENCES),
});

const maybeTable = (description: string): Schema => ({
  description,
  anyOf: [{ $ref: "#/components/schemas/SizeTable" }, { type: "null" }],
});

const quoted = (id: string): Record<string, Schema> => ({
  source: text("Id of the source.", id),
  citation: text("Title of the work, or the mark in words.", "Common practice, no source"),
  confidence: word("How sure it is.", CONFIDENCES),
});
const ruling = (id: string): Record<string, Schema> => ({
  ruling: word("ask: the texts do not decide it, the authority does.", ["allowed", "ask", "forbidden"]),
  edition: text("Editions that say so.", "2021"),
  ...quoted(id),
});

const profile = record("A code profile: the limits and tables that an audit judges by.", {
  id: text("Id of the profile.", "imc"),
  title: text("Its title.", "International Mechanical Code"),
  edition: text("The edition that it follows.", "2021"),
  limits: refs("CitedLimit", "Its limits."),
  codeTable: maybeTable("The code's sizing table; null where it has none."),
  practiceTable: maybeTable("The sizing table of good practice; null where it has none."),
  aboveTable: word("What sizes a pipe above the last row.", ["hydraulic", "undetermined"]),
  sizeBasis: word("What the least size is measured by.", ["pipe-size", "inside-diameter"]),
  ventRule: word("The level that a vent must stand above.", ["trip", "rim", "spill-at-vent"]),
  overflowMethods: {
    type: "array",
    description: "What it accepts as protection against overflow, one for each coil.",
    items: record("An accepted method.", {
      method: word("What protects.", [
        "level-device",
        "secondary-drain",
        "auxiliary-pan-drained",
        "auxiliary-pan-device",
      ]),
      edition: text("Editions that list it.", "2024"),
      source: text("Id of the source.", "imc-307.2.3"),
      citation: text("Title of the work, or the mark in words.", "Common practice, no source"),
      confidence: word("How sure it is.", CONFIDENCES),
    }),
  },
  inLineDevice: word("Whether a level device in the drain line counts: always, or only beside a second drain or pan.", [
    "accepted",
    "beside-second-line",
  ]),
  overflowExemption: word("What overflow may wet without protection.", ["none", "lay-in-tiles"]),
  supportSpacing: {
    type: "array",
    description: "How far apart supports may be, by material; without a table the profile's texts do not name it.",
    items: record("One material.", {
      name: text("Name of the table, as `overrides` takes it.", "support.spacing.pvc-sch40"),
      material: text("Id of the material.", "pvc-sch40"),
      rows: {
        type: "array",
        description: "Rows by rising size.",
        items: record("One row.", {
          upTo: maybe(text("Largest size of the row; null: every larger one.", "1 in")),
          spacing: figure("Most between supports of a sloping pipe, m.", 1.2192),
          upright: maybe(figure("Most between supports of an upright pipe, m; null where nobody says.", 3.048)),
          source: text("Id of the source.", "imc-305.4"),
          citation: text("Title of the work, or the mark in words.", "Common practice, no source"),
          confidence: word("How sure the row is.", CONFIDENCES),
        }),
      },
    }),
  },
  nominalEquivalents: record("Bores from which a pipe without a nominal size of its own stands for one.", {
    rows: {
      type: "array",
      description: "Rows by falling size.",
      items: record("One size.", {
        size: text("The nominal size.", "3/4 in"),
        bore: figure("Least inside diameter, m.", 0.02),
      }),
    },
    source: text("Id of the source.", "assumption"),
    citation: text("Title of the work, or the mark in words.", "Assumption"),
    confidence: word("How sure the table is.", CONFIDENCES),
  }),
  outletPlaces: {
    type: "array",
    description: "Where a drain may end (`outlet.places`).",
    items: record("A place.", {
      discharge: text("The place, as outlets name it.", "floor-sink"),
      ...ruling("imc-307.2.1.1"),
    }),
  },
  outletConnections: {
    type: "array",
    description: "How a drain may end (`outlet.connections`).",
    items: record("A way to end.", {
      connection: word("How it ends.", ["air-gap", "air-break", "direct"]),
      discharge: maybe(text("The place for which this is said; null: anywhere else.", "fixture-tailpiece")),
      ...ruling("ipc-802"),
    }),
  },
  materialLists: {
    type: "array",
    description: "Drain materials by edition (`install.materials`); the first list is judged by. Empty: it lists none.",
    items: record("The list of one edition.", {
      edition: text("The edition.", "2021"),
      materials: words("Ids of materials.", "pvc-sch40"),
      ...quoted("imc-307.2.2"),
    }),
  },
  editionNotes: {
    type: "array",
    description: "What the code says at other times or in other places, and what this profile makes of it.",
    items: record("A difference.", {
      topic: text("What it is about.", "least slope"),
      text: text("What is said.", "1/8 in per ft and 1 percent stand side by side."),
      ...quoted("imc-307.2.1"),
    }),
  },
  cleanoutSpacing: {
    type: "boolean",
    description: "Its code, or the firm, spaces cleanouts along level drains; where not, their reach alone decides.",
    examples: [true],
  },
  severities: {
    type: "array",
    description: "Rules whose severity the profile changes or that it switches off.",
    items: record("A changed rule.", {
      rule: text("Id of the rule.", "fall.below-recommended"),
      severity: word("The severity here.", [...SEVERITIES, "off"]),
    }),
  },
});

const memberOf = (words: readonly string[], description: string): Schema => ({
  type: ["string", "null"],
  enum: [...words, null],
  description,
  examples: [words[0]],
});
const MATERIAL_CONFIDENCES = ["high", "medium", "memory"];
const sourced = {
  source: maybe(text("Id of its source; null where the figure is not known.", "pipe-data-sheets")),
  confidence: memberOf(MATERIAL_CONFIDENCES, "How sure it is; null where the figure is not known."),
};
const materialFigure = (description: string, unit: string, example: number): Schema =>
  record(description, { value: maybe(figure(`${unit}; null where it is not known.`, example)), ...sourced });

const stiffness = record("How stiff the material is, in bending.", {
  modulus: materialFigure("Modulus of elasticity for loads of short duration.", "Pa", 2.76e9),
  temperature: figure("Temperature at which it holds, °C; cooler pipe is taken as just as stiff.", 23),
  warmer: record("What is left of it in warmer pipe; without shares it is not known.", {
    shares: list(
      "Temperature in °C and the share of the modulus that is left, linear between.",
      { type: "array", minItems: 2, maxItems: 2, items: { type: "number" } },
      [[38, 0.88]],
    ),
    ...sourced,
  }),
  creep: {
    type: "array",
    description: "Apparent modulus under a lasting load.",
    items: record("After so many years.", {
      years: figure("Years under load.", 50),
      value: maybe(figure("Pa; null where it is not known.", 0.97e9)),
      ...sourced,
    }),
  },
});

const material = record("A pipe material: its bores, and how it bends and conducts.", {
  id: text("Id of the material, as documents name it.", "pvc-sch40"),
  title: text("Its name.", "PVC pipe, Schedule 40"),
  sizedBy: word("What `size` means.", ["nominal", "outside-diameter"]),
  manningN: figure("Manning's n of the clean pipe.", 0.009),
  manningSource: text("Id of the source of that figure.", "common-practice"),
  manningConfidence: word("How sure that figure is.", ["high", "medium", "memory"]),
  boreBasis: maybe(text("How the bores were made; null where no table is at hand.", "Mean bore from the least wall.")),
  boreNote: maybe(
    text("Why other published tables differ; null where no table is at hand.", "Others print the widest."),
  ),
  source: maybe(text("Id of the source of the bores; null where there are none.", "common-practice")),
  confidence: memberOf(MATERIAL_CONFIDENCES, "How sure the bores are."),
  stiffness,
  density: materialFigure("Density.", "kg/m³", 1400),
  conductivity: materialFigure("Thermal conductivity of the wall.", "W/(m·K)", 0.147),
  sizes: {
    type: "array",
    description: "Sizes in ascending order.",
    items: record("One size.", {
      size: figure("DN number; of metric plastics the outside diameter in mm.", 20),
      name: text("The size as it is printed.", "3/4 in"),
      outsideDiameter: maybe(figure("Outside diameter, m; null where the table does not say.", 0.02667)),
      wall: maybe(figure("Wall, m; null where the table does not say.", 0.00287)),
      bore: maybe(figure("Mean bore, m; null where the table does not say.", 0.02042)),
    }),
  },
});

const limits = record("The bounds of what the service takes.", {
  bodyBytes: count("Bytes of one document.", 67108864),
  elements: count("Nodes and pipes of one document together.", 500000),
  depth: count("Objects and arrays within each other.", 64),
  problemsListed: count("Problems that are listed; all are counted.", 100),
  auditSeconds: figure("Time budget of one audit, from its acceptance, s.", 30),
  auditMemoryMebibytes: count("Memory of one audit, MiB.", 2048),
  auditsAtOnce: count("Audits that run at the same time.", 2),
  auditsWaiting: count("Audits that may wait; beyond, 503.", 64),
  waitingBytes: count("Bytes of documents that may run or wait; beyond, 503.", 134217728),
  receivingBytes: count("Bytes of bodies that may be arriving at the same time; beyond, 503.", 268435456),
  streamsAtOnce: count("Streams that may be open at the same time; beyond, 503.", 16),
  headersSeconds: figure("Time for the headers of a request to arrive, s.", 10),
  requestSeconds: figure("Time for a whole request to arrive (streams: no such bound), s.", 120),
  idleSeconds: figure("Time after which a connection on which nothing moves is closed, s.", 120),
  requestsPerKey: maybe(count("Requests of one key within the window; beyond, 429. null: as many as it likes.", 10000)),
  requestsWindowSeconds: figure("That window, s.", 10),
  wordsBytes: count("Bytes of a body that is no network document.", 65536),
  pageEntries: count("Entries of a page, unless the caller says.", 100),
  pageEntriesMost: count("Entries of a page at most.", 1000),
  observationAheadHours: figure("How far ahead of the service's clock an observation may be, h.", 26),
  idempotencyHours: figure("How long an Idempotency-Key is remembered, h.", 24),
});

export const catalogueSchemas: Readonly<Record<string, Schema>> = {
  Citation: citation,
  CitedLimit: citedLimit,
  Rule: rule,
  RuleList: page("The rules.", "Rule"),
  SizeTable: sizeTable,
  Profile: profile,
  ProfileList: page("The profiles.", "Profile"),
  Material: material,
  MaterialList: page("The pipe materials.", "Material"),
  Limits: limits,
};
