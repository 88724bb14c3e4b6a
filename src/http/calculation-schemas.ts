// The calculations as schemas of the OpenAPI document, made from their own listing.
import { calculations } from "../core/index.js";
import { refTo, type Schema, schemaParts } from "./components.js";

const { text, record, page } = schemaParts;

type Info = ReturnType<typeof calculations>[number];
type Input = Info["inputs"][number];

const nullable = (schema: Schema): Schema => ({ ...schema, type: [schema.type as string, "null"] });
const list = (description: string, items: Schema): Schema => ({ type: "array", description, items, examples: [[]] });
const figure = (description: string, example: number): Schema => ({ type: "number", description, examples: [example] });
const figureOrNull = (description: string, example: number): Schema => nullable(figure(description, example));
const textOrNull = (description: string, example: string): Schema => nullable(text(description, example));
const flag = (description: string): Schema => ({ type: "boolean", description, examples: [true] });
const words = (description: string, example: string): Schema => ({
  type: ["array", "null"],
  description,
  items: { type: "string" },
  examples: [[example]],
});

const pascal = (id: string): string => id.replace(/(?:^|-)([a-z])/g, (_match, letter: string) => letter.toUpperCase());

/** One input as a caller may write it. */
const inputSchema = (input: Input, example: unknown): Schema => {
  const { type, meaning, unit } = input;
  const examples = [example ?? (type === "flag" ? true : (input.words?.[0] ?? 1))];
  switch (type) {
    case "figure":
      return { type: ["number", "string"], description: `${meaning} A bare number is in ${unit}.`, examples };
    case "figures":
      return {
        type: "array",
        description: `${meaning} Bare numbers are in ${unit}.`,
        maxItems: input.most ?? 50,
        items: { type: ["number", "string"] },
        examples,
      };
    case "word":
      return { type: "string", enum: input.words, description: meaning, examples };
    case "flag":
      return { type: "boolean", description: meaning, examples };
    case "air-state":
      return {
        type: "object",
        description: `${meaning} Its dry bulb, and exactly one of the others.`,
        properties: Object.fromEntries((input.parts ?? []).map((part) => [part.name, inputSchema(part, undefined)])),
        required: ["dryBulb"],
        additionalProperties: false,
        examples: [example ?? { dryBulb: 24, relativeHumidity: 0.5 }],
      };
  }
};

const inputsSchema = ({ title, inputs, example }: Info): Schema => ({
  type: "object",
  description: `Inputs: ${title}.`,
  properties: Object.fromEntries(inputs.map((input) => [input.name, inputSchema(input, example[input.name])])),
  required: inputs.filter(({ required }) => required).map(({ name }) => name),
  additionalProperties: false,
  examples: [example],
});

const alternative = record("One way to say it.", {
  needs: { type: "array", description: "All of these are given.", items: { type: "string" }, examples: [["flow"]] },
  may: {
    type: "array",
    description: "These may go with them.",
    items: { type: "string" },
    examples: [["latentHeat"]],
  },
});

const standard: Schema = nullable(
  record("What is taken where it is not given.", {
    value: figureOrNull("The figure, SI base; null where it depends on other inputs.", 0.0254),
    why: text("Why.", "a pan at atmosphere"),
    source: text("Id of the source.", "assumption"),
  }),
);

const input = record("An input.", {
  name: text("Its name.", "panStatic"),
  type: text("figure, figures, word, flag or air-state.", "figure"),
  symbol: text("As formulas write it.", "p"),
  meaning: text("What it is.", "Gauge pressure at the pan."),
  required: flag("It must be given."),
  default: standard,
  quantity: textOrNull("What kind of quantity it is.", "gauge-pressure"),
  unit: textOrNull("What a bare number is.", "Pa"),
  least: figureOrNull("Least value taken.", -100000),
  greatest: figureOrNull("Greatest value taken.", 100000),
  most: figureOrNull("Of a list: how many figures at most.", 50),
  words: words("The words that it may be.", "draw-through"),
  parts: {
    type: ["array", "null"],
    description: "Of an air state: its parts.",
    items: refTo("CalculationInput"),
    examples: [null],
  },
});

const outcome = record("A result.", {
  name: text("Its name.", "head"),
  type: text("figure, word, flag, size or group.", "figure"),
  symbol: text("As formulas write it.", "H"),
  meaning: text("What it is.", "Head of water of the pan's pressure."),
  quantity: textOrNull("What kind of quantity it is.", "dimension"),
  unit: textOrNull("Its unit.", "m"),
  words: words("The words that it may be.", "drains-dry"),
  orNull: textOrNull("When it is null; null: never.", "where no sealDepth is given"),
  results: {
    type: ["array", "null"],
    description: "Of a group: its results.",
    items: refTo("CalculationOutcome"),
    examples: [null],
  },
});

const condition = record("A limit within which the formula holds.", {
  condition: text("In words.", "The pipe falls."),
  figure: text("The input, line of the working or result that is judged.", "grade"),
  unit: text("Its unit.", "ratio"),
  least: figureOrNull("Least value.", 0),
  greatest: figureOrNull("Greatest value.", 0.04),
  source: text("Id of the source.", "derived"),
});

const sources = list("What it rests on.", refTo("Citation"));
const premises: Schema = {
  type: "array",
  description: "What must be so and no input tells.",
  items: { type: "string" },
  examples: [["Uniform, turbulent flow."]],
};

const info = record("One calculation: what it takes and gives, and within what it holds.", {
  id: text("Its name.", "trap"),
  title: text("What it is.", "Water seal of a fan coil"),
  question: text("What it answers.", "How deep must the seal be?"),
  inputs: list("What it takes.", refTo("CalculationInput")),
  choices: list("Of each choice exactly one alternative is given.", list("The alternatives.", alternative)),
  results: list("What it gives.", refTo("CalculationOutcome")),
  figures: list(
    "Lines of the working that are no results.",
    record("A line.", {
      name: text("Its name.", "fanPressure"),
      symbol: text("As formulas write it.", "Δp"),
      meaning: text("What it is.", "Size of the pan's pressure."),
      quantity: text("What kind of quantity it is.", "gauge-pressure"),
      unit: text("Its unit.", "Pa"),
    }),
  ),
  formula: text("The governing formulas.", "H = |p| ÷ (ρ g)"),
  sources,
  validity: record("Within what it holds.", {
    conditions: list("The limits.", condition),
    premises,
  }),
  example: {
    type: "object",
    description: "Inputs that show it.",
    additionalProperties: true,
    examples: [{ panStatic: "-250 Pa" }],
  },
});

const value: Schema = {
  description: "The value, SI base; null where it has none here.",
  examples: [0.0255],
};

const answer = record("A calculation made, with its working.", {
  calculation: text("Its name.", "trap"),
  inputs: {
    type: "object",
    description: "The inputs that were given or assumed, SI base.",
    additionalProperties: true,
    examples: [{ panStatic: -250 }],
  },
  assumptions: list(
    "What was assumed.",
    record("An assumption.", {
      name: text("The input, or what else is assumed.", "margin"),
      value: figureOrNull("The figure, SI base.", 0.0254),
      unit: text("Its unit.", "m"),
      why: text("Why.", "margin of practice, draw-through"),
      source: text("Id of the source.", "trap-manuals"),
    }),
  ),
  result: {
    type: "object",
    description: "The results by name, SI base; null where a result has no value here.",
    additionalProperties: value,
    examples: [{ head: 0.0255 }],
  },
  working: list(
    "Line by line.",
    record("A line of the working.", {
      name: text("Its name.", "head"),
      symbol: text("As formulas write it.", "H"),
      formula: text("In symbols of inputs and of lines above.", "Δp ÷ (ρ g)"),
      value: figure("Its value, SI base.", 0.0255),
      unit: text("Its unit.", "m"),
    }),
  ),
  formula: text("The governing formulas.", "H = |p| ÷ (ρ g)"),
  source: sources,
  validity: record("Whether it holds here.", {
    holds: flag("Every condition holds."),
    conditions: list(
      "The conditions that this case has.",
      record("A condition, judged.", {
        condition: text("In words.", "The pipe falls."),
        figure: text("What is judged.", "grade"),
        value: figure("Its value.", 0.0104),
        unit: text("Its unit.", "ratio"),
        least: figureOrNull("Least value.", 0),
        greatest: figureOrNull("Greatest value.", 0.04),
        source: text("Id of the source.", "derived"),
        holds: flag("It holds."),
      }),
    ),
    premises,
  }),
});

const perCalculation = calculations().map((each): [string, Schema] => [`${pascal(each.id)}Inputs`, inputsSchema(each)]);

export const calculationSchemas: Readonly<Record<string, Schema>> = {
  Calculation: info,
  CalculationList: page("The calculations.", "Calculation"),
  // without an example: one with a `type` and a `default` would be taken for a schema itself
  CalculationInput: { ...input, examples: undefined },
  CalculationOutcome: outcome,
  CalculationAnswer: answer,
  CalculationInputs: {
    description: "The inputs of the calculation that the path names.",
    anyOf: perCalculation.map(([name]) => refTo(name)),
    examples: [calculations()[1].example],
  },
  ...Object.fromEntries(perCalculation),
};
