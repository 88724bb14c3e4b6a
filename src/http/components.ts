// Named schemas of the OpenAPI document, made from the very schemas that validate.
import {
  auditSchema,
  backupSchema,
  blockageSchema,
  commissioningResultsSchema,
  commissioningSchema,
  comparisonSchema,
  dwellingSchema,
  isolationSchema,
  networkSchema,
  observationSchema,
  remedySchema,
  surveyListSchema,
} from "../core/index.js";
import { PROBLEM_CODES, PROBLEMS, typeOf } from "./problems.js";

export type Schema = Readonly<Record<string, unknown>>;

const isObject = (value: unknown): value is Schema =>
  typeof value === "object" && value !== null && !Array.isArray(value);

export const refTo = (name: string): { readonly $ref: string } => ({ $ref: `#/components/schemas/${name}` });

/** Field names are data, not keywords: a field called `$ref` or `$schema` stays. */
const NAMED = new Set(["properties", "patternProperties", "$defs", "dependentSchemas"]);

export const relocate = (value: unknown, root: string, named = false): unknown => {
  if (Array.isArray(value)) return value.map((item) => relocate(item, root));
  if (!isObject(value)) return value;
  const entries = Object.entries(value)
    .filter(([key]) => named || (key !== "$schema" && key !== "$id" && key !== "$defs"))
    .map(([key, inner]): [string, unknown] => {
      if (!named && key === "$ref" && typeof inner === "string") {
        return [key, inner === "#" ? refTo(root).$ref : inner.replace(/^#\/\$defs\//, "#/components/schemas/")];
      }
      if (!named && (key === "examples" || key === "example" || key === "const" || key === "enum")) return [key, inner];
      return [key, relocate(inner, root, !named && NAMED.has(key))];
    });
  return Object.fromEntries(entries);
};

/** A schema and its `$defs` as components that refer to each other by name. */
const lift = (name: string, schema: Schema): [string, Schema][] => [
  [name, relocate(schema, name) as Schema],
  ...Object.entries(isObject(schema.$defs) ? schema.$defs : {}).map(([inner, definition]): [string, Schema] => [
    inner,
    relocate(definition, name) as Schema,
  ]),
];

const pascal = (word: string): string =>
  word.replace(/(?:^|-)([a-z])/g, (_match, letter: string) => letter.toUpperCase());

/** The value of `const` by which a branch of a discriminated union is told apart. */
const tagOf = (branch: Schema, property: string): string => {
  const field = isObject(branch.properties) ? branch.properties[property] : null;
  if (!isObject(field) || typeof field.const !== "string") throw new Error(`a branch has no constant ${property}`);
  return field.const;
};

/** Names the branches of a discriminated union, which is what a discriminator needs. */
const nameBranches = (name: string, schema: Schema): [string, Schema][] => {
  const { discriminator, oneOf } = schema;
  if (!isObject(discriminator) || !Array.isArray(oneOf)) return [[name, schema]];
  const branches = (oneOf as Schema[]).map((branch): [string, string, Schema] => {
    const tag = tagOf(branch, String(discriminator.propertyName));
    return [tag, `${pascal(tag)}${name}`, branch];
  });
  const mapping = Object.fromEntries(branches.map(([tag, component]) => [tag, refTo(component).$ref]));
  // what the branches say need not be said again beside them
  const { type: _type, required: _required, ...rest } = schema;
  const union = {
    ...rest,
    discriminator: { ...discriminator, mapping },
    oneOf: branches.map(([, component]) => refTo(component)),
  };
  return [[name, union], ...branches.map(([, component, branch]): [string, Schema] => [component, branch])];
};

/** Gives the items of these list fields names of their own, so that made clients have types for them. */
const nameItems = (schema: Schema, names: Readonly<Record<string, string>>): [Schema, [string, Schema][]] => {
  const named: [string, Schema][] = [];
  const properties = isObject(schema.properties) ? schema.properties : {};
  const replaced = Object.fromEntries(
    Object.entries(properties).map(([field, list]) => {
      const name = names[field];
      if (name === undefined || !isObject(list) || !isObject(list.items)) return [field, list];
      if (!named.some(([known]) => known === name)) named.push(...nameBranches(name, list.items));
      return [field, { ...list, items: refTo(name) }];
    }),
  );
  return [{ ...schema, properties: replaced }, named];
};

const liftNamed = (name: string, schema: Schema, items: Readonly<Record<string, string>>): [string, Schema][] =>
  lift(name, schema).flatMap(([inner, lifted]): [string, Schema][] => {
    if (inner !== name) return [[inner, lifted]];
    const [whole, named] = nameItems(lifted, items);
    return [[name, whole], ...named];
  });

const NETWORK_ITEMS = { nodes: "Node", pipes: "Pipe", overflowDevices: "OverflowDevice", circuits: "Circuit" };
const AUDIT_ITEMS = { findings: "Finding", rules: "RuleTally", toSurvey: "SurveyItem", assumptions: "Assumption" };

const COMPARISON_ITEMS = {
  new: "FindingChange",
  persists: "FindingChange",
  cleared: "FindingChange",
  lostSight: "FindingChange",
  margins: "MarginChange",
};

const text = (description: string, example: string): Schema => ({ type: "string", description, examples: [example] });
const count = (description: string, example: number): Schema => ({
  type: "integer",
  minimum: 0,
  description,
  examples: [example],
});
const list = (description: string, items: Schema, examples: readonly unknown[]): Schema => ({
  type: "array",
  description,
  items,
  examples: [examples],
});
/** The example of a field: its own first, or an empty list of what has examples elsewhere. */
const exampleOf = (field: Schema): unknown =>
  Array.isArray(field.examples) ? field.examples[0] : field.type === "array" ? [] : undefined;

/** An object, with an example made of its fields' own where each has one. */
const record = (
  description: string,
  properties: Readonly<Record<string, Schema>>,
  optional: string[] = [],
): Schema => ({
  type: "object",
  description,
  properties,
  required: Object.keys(properties).filter((name) => !optional.includes(name)),
  additionalProperties: false,
  ...(Object.values(properties).every((field) => exampleOf(field) !== undefined) && {
    examples: [Object.fromEntries(Object.entries(properties).map(([name, field]) => [name, exampleOf(field)]))],
  }),
});
const page = (description: string, item: string): Schema =>
  record(description, {
    items: { type: "array", description: "The entries, in their fixed order.", items: refTo(item) },
    next: {
      type: ["string", "null"],
      description: "Opaque cursor of the next page; null on the last.",
      examples: [null],
    },
  });

const fault = record(
  "One fault at one place.",
  {
    pointer: text("JSON pointer (RFC 6901) into the posted document; empty for the whole.", "/pipes/3/size"),
    detail: text("What is wrong there.", 'Unknown unit "inches".'),
    hint: text("What would be right.", "Write 1-1/4 in or DN 32."),
  },
  ["hint"],
);

const problem = record("An error answer (RFC 9457).", {
  type: { ...text("Stable name of the kind of problem.", typeOf("invalid-document")), format: "uri" },
  title: text("The kind of problem in words.", PROBLEMS["invalid-document"].title),
  status: {
    type: "integer",
    minimum: 400,
    maximum: 599,
    description: "The HTTP status; of a line of a stream, the one that the document would have had by itself.",
    examples: [422],
  },
  code: {
    type: "string",
    enum: PROBLEM_CODES,
    description: "Stable short name of the kind of problem, the last part of `type`.",
    examples: ["invalid-document"],
  },
  detail: text("This case in words.", "The document has 3 problems."),
  errors: {
    type: "array",
    maxItems: 100,
    description: "The faults and where they are; at most 100 are listed.",
    items: refTo("Fault"),
    examples: [[{ pointer: "/pipes/3/sise", detail: "Unknown field.", hint: "Did you mean size?" }]],
  },
  total: count("How many faults there are, listed or not.", 3),
});

const streamTally = record("The last line of a stream. Without it the stream was cut short.", {
  tally: {
    ...record("What became of the lines.", {
      read: count("Documents read; blank lines are passed over.", 100),
      audited: count("Documents audited.", 99),
      bad: count("Documents answered with a problem.", 1),
    }),
    examples: [{ read: 100, audited: 99, bad: 1 }],
  },
});

const keptNetwork = record("A network that is kept.", {
  building: text("Id of the building.", "alder-court"),
  revision: {
    description: "Number of its revision, or `latest`.",
    anyOf: [
      { type: "integer", minimum: 1 },
      { type: "string", enum: ["latest"] },
    ],
    examples: [3],
  },
});

const compared = (description: string): Schema => ({
  description,
  anyOf: [refTo("Network"), refTo("KeptNetwork")],
});

const comparisonRequest = record("Two networks to compare.", {
  before: compared("The network as it was."),
  after: compared("The network as it is."),
});

const blocked: Schema = {
  description: "The pipe or the node that blocks: of a pan outlet the coil, of a receptor the outlet.",
  oneOf: [
    record("A pipe.", { pipe: text("Id of the pipe.", "P-14") }),
    record("A node.", { node: text("Id of the node.", "F-0301") }),
  ],
  examples: [{ pipe: "P-14" }],
};

const backupRequest = record("A network and what blocks in it.", {
  network: { ...refTo("Network"), description: "The network." },
  blocked,
});

const drawingWidth: Schema = {
  type: "number",
  minimum: 320,
  maximum: 4000,
  description: "px at which its text is meant to be read; what is wider goes on below.",
  examples: [1200],
};

const riserDrawingRequest = record(
  "A network whose risers are drawn.",
  {
    network: { ...refTo("Network"), description: "The network." },
    highlight: {
      description: "What stands out from the rest.",
      oneOf: [
        record("The way out of one fan coil.", { fanCoil: text("Id of the fan coil.", "F-0301") }),
        record("What fills behind a blockage, and where it first comes out.", { blocked }),
        record("What one finding speaks of.", { finding: text("Id of the finding.", "fall.reverse~p:P-14") }),
      ],
      examples: [{ fanCoil: "F-0301" }],
    },
    riser: text("Id of the node at the foot of a riser: its sheet alone, every floor of it.", "R1-foot"),
    width: drawingWidth,
  },
  ["highlight", "riser", "width"],
);

const pathDrawingRequest = record(
  "A network of which one coil's way out is drawn.",
  {
    network: { ...refTo("Network"), description: "The network." },
    fanCoil: text("Id of the fan coil.", "F-0301"),
    blocked,
    width: drawingWidth,
  },
  ["blocked", "width"],
);

const blockageRequest = record(
  "A network and what was observed in it.",
  {
    network: { ...refTo("Network"), description: "The network." },
    observations: list("What was observed.", refTo("Observation"), [
      { type: "water-seen", node: "F-0301", time: "2026-07-14T09:30:00+02:00" },
    ]),
    at: text(
      "Observations to this time count, and years since a cleaning are counted to it; default: the latest observation.",
      "2026-07-14T12:00:00+02:00",
    ),
  },
  ["at"],
);

const badLine = record("A line of a stream whose document could not be audited.", {
  line: { ...count("Number of the line in the body, from 1, blank lines counted.", 7), minimum: 1 },
  problem: { ...refTo("Problem"), description: "The answer that the document would have had by itself." },
});

const health = (description: string, word: string): Schema =>
  record(description, { status: { type: "string", enum: [word], description: "Always this word.", examples: [word] } });

/** An answer that says more than another schema: its fields, and these. */
const beside = (base: Schema, description: string, more: Readonly<Record<string, Schema>>): Schema => ({
  ...base,
  description,
  properties: { ...(base.properties as Schema), ...more },
  required: [...(base.required as readonly string[]), ...Object.keys(more)],
});

const dwellingMore = { health: { ...refTo("Health"), description: "The drain health of the dwelling." } };
const blockageMore = {
  since: text("Observations from this time on count.", "2026-07-13T09:30:00.000Z"),
  at: text("And to this time.", "2026-07-14T09:30:00.000Z"),
  observed: list("Ids of the observations, in the order of `observations`.", { type: "string" }, ["obs-2026-0714-1"]),
  leftOut: list(
    "Observations of that time that say nothing any more.",
    record("An observation that does not count.", {
      id: text("Its id.", "obs-2026-0713-4"),
      why: {
        type: "string",
        enum: ["cleaned-since", "place-gone"],
        description: "The way of its water was cleaned since, or the newest network has no such place.",
        examples: ["cleaned-since"],
      },
    }),
    [{ id: "obs-2026-0713-4", why: "cleaned-since" }],
  ),
};
const whatIfMore = {
  network: {
    description: "The document after the remedies, its typicals written out; null where a document was sent.",
    anyOf: [refTo("Network"), { type: "null" }],
    examples: [null],
  },
};

export const makeComponents = (catalogue: Readonly<Record<string, Schema>>): Record<string, Schema> => {
  const components = new Map<string, Schema>();
  const add = (entries: readonly (readonly [string, Schema])[]) => {
    for (const [name, schema] of entries) {
      if (components.has(name)) throw new Error(`two schemas are called ${name}`);
      components.set(name, schema);
    }
  };
  add(liftNamed("Network", networkSchema() as Schema, NETWORK_ITEMS));
  add(liftNamed("Audit", auditSchema() as Schema, AUDIT_ITEMS));
  add(liftNamed("Backup", backupSchema() as Schema, { story: "BackupEvent" }));
  add(
    liftNamed("Blockage", blockageSchema() as Schema, {
      candidates: "BlockageCandidate",
      classes: "BlockageClass",
      work: "BlockageWork",
    }),
  );
  add(liftNamed("CommissioningSheet", commissioningSchema() as Schema, { stops: "SheetStop" }));
  add(liftNamed("Comparison", comparisonSchema() as Schema, COMPARISON_ITEMS));
  add(liftNamed("Isolation", isolationSchema() as Schema, { fanCoils: "IsolatedFanCoil" }));
  add(
    liftNamed("Dwelling", dwellingSchema() as Schema, {
      fanCoils: "DwellingFanCoil",
      floodedBy: "DwellingFlood",
      caught: "DwellingFlood",
      floods: "DwellingReach",
    }),
  );
  add(liftNamed("SurveyList", surveyListSchema() as Schema, { floors: "SurveyFloor" }));
  add([
    ["Fault", fault],
    ["Problem", problem],
    ["ComparisonRequest", comparisonRequest],
    ["KeptNetwork", keptNetwork],
    ["Observation", relocate(observationSchema(), "Observation") as Schema],
    ["Remedy", relocate(remedySchema(), "Remedy") as Schema],
    ["BackupRequest", backupRequest],
    ["RiserDrawingRequest", riserDrawingRequest],
    ["PathDrawingRequest", pathDrawingRequest],
    ["BlockageRequest", blockageRequest],
    ["BadLine", badLine],
    ["StreamTally", streamTally],
    ["Alive", health("The process runs.", "alive")],
    ["Ready", health("The service can audit.", "ready")],
  ]);
  add(liftNamed("CommissioningResults", commissioningResultsSchema() as Schema, { results: "CommissioningResult" }));
  const own = (name: string): Schema => components.get(name)!;
  components.set("Dwelling", beside(own("Dwelling"), "What concerns a dwelling, with its health.", dwellingMore));
  add([
    [
      "BlockageAnswer",
      beside(own("Blockage"), "Where a blockage is, by the observations that are kept.", blockageMore),
    ],
    ["WhatIf", beside(own("Comparison"), "What remedies or another document would change.", whatIfMore)],
  ]);
  add(Object.entries(catalogue));
  return Object.fromEntries([...components].sort(([a], [b]) => (a < b ? -1 : 1)));
};

export const schemaParts = { text, count, list, record, page };
