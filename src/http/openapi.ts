// What the contract says beside the routes: components, shared answers, words.
import { auditSchema, networkSchema } from "../core/index.js";
import { PROBLEM_CODES, PROBLEM_TYPE, PROBLEMS, typeOf } from "./problems.js";

export const description =
  "Audits of gravity condensate drain networks: a network document goes in, a true and evidenced audit comes out. Results are no approval: the authority having jurisdiction, the manufacturer's instructions and a licensed designer decide.";

export const TAGS = [
  { name: "audits", description: "Audits of documents that are not stored." },
  { name: "catalogues", description: "Everything that a verdict rests on." },
  { name: "service", description: "The service itself." },
];

const text = (words: string, example: string, more: object = {}) => ({
  type: "string",
  description: words,
  examples: [example],
  ...more,
});
const figure = (words: string, example: number, more: object = {}) => ({
  type: "number",
  description: words,
  examples: [example],
  ...more,
});
const shape = (
  $id: string,
  words: string,
  properties: Readonly<Record<string, object>>,
  optional: readonly string[] = [],
) => ({
  $id,
  type: "object",
  description: words,
  required: Object.keys(properties).filter((name) => !optional.includes(name)),
  properties,
});

/** Components by name; the network and the audit come from the schemas that check and make them. */
export const components = (): object[] => {
  const { $schema: _network, ...network } = networkSchema() as Record<string, unknown>;
  const { $schema: _audit, ...audit } = auditSchema() as Record<string, unknown>;
  const citedLimit = shape("CitedLimit", "A figure with where it comes from.", {
    name: text("Name of the limit.", "fall.minimumGrade"),
    value: figure("The figure, SI base units.", 0.01),
    quantity: text("What sort of quantity it is.", "grade"),
    source: text("Id of its source.", "imc-307.2.1"),
    citation: text("The source.", "International Mechanical Code 307.2.1"),
    confidence: text("How sure the figure is.", "high"),
  });
  const table = {
    anyOf: [
      {
        type: "object",
        description: "A sizing table.",
        required: ["rows", "source", "citation", "confidence"],
        properties: {
          rows: {
            type: "array",
            description: "Rows in ascending order.",
            examples: [[{ upTo: 70337, size: "3/4 in" }]],
            items: {
              type: "object",
              required: ["upTo", "size"],
              properties: {
                upTo: figure("Connected cooling capacity up to and including, W.", 70337),
                size: text("Nominal size for it.", "3/4 in"),
              },
            },
          },
          source: text("Id of its source.", "imc-307.2.2"),
          citation: text("The source.", "International Mechanical Code table 307.2.2"),
          confidence: text("How sure the table is.", "high"),
        },
      },
      { type: "null" },
    ],
    description: "A sizing table, or null where the profile names none.",
    examples: [null],
  };
  return [
    { $id: "Network", ...network },
    { $id: "Audit", ...audit },
    {
      $id: "StreamLine",
      description: "One line of the answer to a stream: an audit, a problem in its place, or the tally at the end.",
      anyOf: [
        { $ref: "Audit#" },
        {
          type: "object",
          description: "What is wrong with a line.",
          required: ["line", "problem"],
          properties: {
            line: { type: "integer", description: "Number of the line, from 1.", examples: [2] },
            problem: { $ref: "Problem#" },
          },
        },
        {
          type: "object",
          description: "The last line.",
          required: ["tally"],
          properties: {
            tally: {
              type: "object",
              description: "How many lines were read.",
              required: ["read", "audited", "bad"],
              examples: [{ read: 3, audited: 2, bad: 1 }],
              properties: {
                read: { type: "integer", description: "Lines that were not blank.", examples: [3] },
                audited: { type: "integer", description: "Lines that were audited.", examples: [2] },
                bad: { type: "integer", description: "Lines that were refused.", examples: [1] },
              },
            },
          },
        },
      ],
    },
    shape("Problem", "An error by RFC 9457.", {
      type: text("URI of the kind of problem; stable.", typeOf("invalid-document"), { format: "uri" }),
      title: text("The kind of problem in words.", PROBLEMS["invalid-document"].title),
      status: { type: "integer", description: "HTTP status.", examples: [422] },
      code: {
        type: "string",
        enum: [...PROBLEM_CODES],
        description: "The kind of problem; stable.",
        examples: ["invalid-document"],
      },
      detail: text("What happened this time.", "The document has a problem."),
      errors: {
        type: "array",
        description: "What is wrong, place by place; at most 100.",
        examples: [[{ pointer: "/pipes/3/to", detail: 'there is no node "M-9"', hint: 'did you mean "M-09"?' }]],
        items: {
          type: "object",
          required: ["pointer", "detail"],
          properties: {
            pointer: text("JSON pointer into the body as sent.", "/pipes/3/to"),
            detail: text("What is wrong there.", 'there is no node "M-9"'),
            hint: text("What might be meant.", 'did you mean "M-09"?'),
          },
        },
      },
      total: { type: "integer", description: "How many there are, listed or not.", examples: [1] },
    }),
    citedLimit,
    shape("Rule", "A rule: what it asks, why, and by which limits.", {
      id: text("Its id, for ever.", "fall.reverse"),
      group: text("Its group.", "fall"),
      title: text("What holds where it passes.", "No drain rises"),
      question: text("What it asks.", "Does any drain rise in the direction of flow?"),
      why: text("Why it matters.", "Water stands before a rise."),
      severity: {
        type: "string",
        enum: ["critical", "major", "minor", "advice"],
        description: "How bad a failure is.",
        examples: ["major"],
      },
      kind: {
        type: "string",
        enum: ["condition", "contingency", "record"],
        description: "What sort of statement it is.",
        examples: ["condition"],
      },
      stage: {
        type: "string",
        enum: ["design", "as-built", "in-service"],
        description: "The first stage in which it judges.",
        examples: ["design"],
      },
      needs: {
        type: "array",
        items: { type: "string" },
        description: "Fields of the document that it needs.",
        examples: [["nodes.elevation"]],
      },
      limits: {
        type: "array",
        description: "Its limits in each profile.",
        examples: [[]],
        items: {
          type: "object",
          required: ["profile", "limit"],
          properties: { profile: text("Id of the profile.", "imc"), limit: { $ref: "CitedLimit#" } },
        },
      },
      notApplicable: text("When it has nothing to look at.", "There is no sloping drain."),
      remedy: text("What to do about a finding.", "Raise the low end."),
      sources: {
        type: "array",
        description: "Where it comes from.",
        examples: [[{ id: "imc-307.2.1", citation: "International Mechanical Code 307.2.1" }]],
        items: {
          type: "object",
          required: ["id", "citation"],
          properties: {
            id: text("Id of the source.", "imc-307.2.1"),
            citation: text("The source.", "International Mechanical Code 307.2.1"),
          },
        },
      },
    }),
    shape("Profile", "A code profile as data.", {
      id: text("Its id.", "imc"),
      title: text("Its name.", "International Mechanical Code"),
      edition: text("The edition that it follows.", "2021"),
      limits: { type: "array", items: { $ref: "CitedLimit#" }, description: "Its limits.", examples: [[]] },
      codeTable: table,
      practiceTable: table,
      aboveTable: text("What answers above the last row: `hydraulic` or `undetermined`.", "undetermined"),
      sizeBasis: text("What the least size is measured by.", "pipe-size"),
      ventRule: text("What a vent's top is held against.", "trip"),
      severities: {
        type: "array",
        description: "Rules whose severity it changes or that it switches off.",
        examples: [[]],
        items: {
          type: "object",
          required: ["rule", "severity"],
          properties: {
            rule: text("Id of the rule.", "size.practice"),
            severity: text("Its severity here, or `off`.", "off"),
          },
        },
      },
    }),
    {
      $id: "Material",
      type: "object",
      description: "A pipe material with its sizes.",
      required: ["id", "title"],
      properties: { id: text("Its id.", "pvc-sch40"), title: text("Its name.", "PVC, Schedule 40") },
      additionalProperties: true,
    },
    shape("Limits", "Bounds of what is taken in one document.", {
      maxBytes: { type: "integer", description: "Bytes of one document.", examples: [67108864] },
      maxElements: { type: "integer", description: "Nodes and pipes of one document together.", examples: [500000] },
      maxDepth: { type: "integer", description: "Brackets within brackets.", examples: [64] },
      maxProblems: { type: "integer", description: "Problems that are listed; all are counted.", examples: [100] },
    }),
    shape("State", "State of the service.", {
      status: { type: "string", enum: ["alive", "ready"], description: "Its state.", examples: ["ready"] },
    }),
  ];
};

/** A list of a component. */
export const listOf = (component: string) => ({
  type: "object",
  required: ["items", "next"],
  properties: {
    items: { type: "array", items: { $ref: `${component}#` }, description: "The entries.", examples: [[]] },
    next: { type: ["string", "null"], description: "Cursor of the next page; null: this is all.", examples: [null] },
  },
});

/** The problem answers of a route, by status. */
export const problems = (...statuses: readonly number[]): Record<number, object> =>
  Object.fromEntries(
    statuses.map((status) => {
      const codes = PROBLEM_CODES.filter((code) => PROBLEMS[code].status === status);
      const when = codes.map((code) => `\`${code}\`: ${PROBLEMS[code].when}`).join(" ");
      return [status, { description: when, content: { [PROBLEM_TYPE]: { schema: { $ref: "Problem#" } } } }];
    }),
  );
