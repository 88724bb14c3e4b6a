import { SI_UNIT } from "../quantity/si-unit.js";
import { source } from "../sources/sources.js";
import { AIR_PART_NAMES, AIR_PARTS } from "./air-state.js";
import type { Calculation, Condition, FigureKind, FigureSpec, InputSpec, ResultSpec } from "./calculation.js";
import { catalogue } from "./catalogue.js";
import { MAX_FIGURES } from "./read-inputs.js";

/** Everything about the calculations as plain data, for the API, the command line and the documentation. */

export interface CalculationInput {
  readonly name: string;
  readonly type: InputSpec["type"];
  /** as formulas write it; empty: in none, or by its parts */
  readonly symbol: string;
  readonly meaning: string;
  readonly required: boolean;
  /** what it is taken to be where it is not given; its value null where it depends on other inputs */
  readonly default: { readonly value: number | null; readonly why: string; readonly source: string } | null;
  /** what a bare number is, SI base; null of what is no figure */
  readonly quantity: FigureKind | null;
  readonly unit: string | null;
  readonly least: number | null;
  readonly greatest: number | null;
  /** of a list: how many figures at most */
  readonly most: number | null;
  readonly words: readonly string[] | null;
  /** of an air state: its dry bulb, and exactly one of the others */
  readonly parts: readonly CalculationInput[] | null;
}

export interface CalculationFigure {
  readonly name: string;
  readonly symbol: string;
  readonly meaning: string;
  readonly quantity: FigureKind;
  readonly unit: string;
}

export interface CalculationOutcome {
  readonly name: string;
  readonly type: ResultSpec["type"];
  readonly symbol: string;
  readonly meaning: string;
  readonly quantity: FigureKind | null;
  readonly unit: string | null;
  readonly words: readonly string[] | null;
  /** when it is null; null: never */
  readonly orNull: string | null;
  readonly results: readonly CalculationOutcome[] | null;
}

export interface CalculationCondition {
  readonly condition: string;
  /** an input, a line of the working or a result */
  readonly figure: string;
  readonly unit: string;
  readonly least: number | null;
  readonly greatest: number | null;
  readonly source: string;
}

export interface CalculationInfo {
  readonly id: string;
  readonly title: string;
  readonly question: string;
  readonly inputs: readonly CalculationInput[];
  /** of each choice exactly one alternative is given: all of `needs`, and with them `may` */
  readonly choices: readonly (readonly { readonly needs: readonly string[]; readonly may: readonly string[] }[])[];
  readonly results: readonly CalculationOutcome[];
  /** lines of the working that are no results */
  readonly figures: readonly CalculationFigure[];
  readonly formula: string;
  readonly sources: readonly { readonly id: string; readonly citation: string }[];
  readonly validity: {
    readonly conditions: readonly CalculationCondition[];
    /** what must be so and no input tells */
    readonly premises: readonly string[];
  };
  readonly example: Readonly<Record<string, unknown>>;
}

const NO_FIGURE = { quantity: null, unit: null, least: null, greatest: null, most: null, words: null, parts: null };

const inputInfo = (name: string, spec: InputSpec): CalculationInput => {
  const { type, symbol, meaning, required, standard } = spec;
  const stated = { name, type, symbol, meaning, required, default: standard, ...NO_FIGURE };
  switch (spec.type) {
    case "figure":
    case "figures":
      return {
        ...stated,
        quantity: spec.kind,
        unit: SI_UNIT[spec.kind],
        least: spec.least,
        greatest: spec.greatest,
        most: spec.type === "figures" ? MAX_FIGURES : null,
      };
    case "word":
      return { ...stated, words: spec.words };
    case "flag":
      return stated;
    case "air-state":
      return {
        ...stated,
        parts: AIR_PART_NAMES.map((part) => {
          const own: InputSpec = { type: "figure", ...AIR_PARTS[part], required: part === "dryBulb", standard: null };
          return inputInfo(part, { ...own, symbol: own.symbol + symbol });
        }),
      };
  }
};

const outcomeInfo = (name: string, spec: ResultSpec): CalculationOutcome => {
  const stated = { name, type: spec.type, symbol: "", meaning: spec.meaning, quantity: null, unit: null };
  if (spec.type === "group") return { ...stated, words: null, orNull: null, results: outcomesOf(spec.results) };
  if (spec.type !== "figure") return { ...stated, words: spec.words ?? null, orNull: spec.orNull, results: null };
  const { symbol, kind, orNull } = spec;
  return { ...stated, symbol, quantity: kind, unit: SI_UNIT[kind], words: null, orNull, results: null };
};

const outcomesOf = (results: Readonly<Record<string, ResultSpec>>): CalculationOutcome[] =>
  Object.entries(results).map(([name, spec]) => outcomeInfo(name, spec));

/** Unit of the figure that a condition is about. */
const unitOf = ({ inputs, figures, results }: Calculation, figure: string): string => {
  const spec: InputSpec | FigureSpec | ResultSpec | undefined = figures[figure] ?? results[figure] ?? inputs[figure];
  if (spec === undefined || !("kind" in spec)) throw new Error(`no figure ${figure}`);
  return SI_UNIT[spec.kind];
};

const info = (calculation: Calculation): CalculationInfo => ({
  id: calculation.id,
  title: calculation.title,
  question: calculation.question,
  inputs: Object.entries(calculation.inputs).map(([name, spec]) => inputInfo(name, spec)),
  choices: (calculation.choices ?? []).map((choice) => choice.map(({ needs, may = [] }) => ({ needs, may }))),
  results: outcomesOf(calculation.results),
  figures: Object.entries(calculation.figures).map(([name, { symbol, meaning, kind }]) => ({
    name,
    symbol,
    meaning,
    quantity: kind,
    unit: SI_UNIT[kind],
  })),
  formula: calculation.formula,
  sources: calculation.sources.map((id) => ({ id, citation: source(id).title })),
  validity: {
    conditions: calculation.validity.map(
      ({ condition, figure, least = null, greatest = null, source: from }: Condition) => ({
        condition,
        figure,
        unit: unitOf(calculation, figure),
        least,
        greatest,
        source: from,
      }),
    ),
    premises: calculation.premises,
  },
  example: calculation.example,
});

/** Every calculation: what it takes and gives, its formula, sources and validity. */
export const calculations = (): readonly CalculationInfo[] => catalogue.map(info);
