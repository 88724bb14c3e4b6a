import { distance } from "fastest-levenshtein";
import { SI_UNIT } from "../quantity/si-unit.js";
import { type SourceId, source } from "../sources/sources.js";
import type { Calculation, FigureSpec, ResultSpec, ResultValue, Sheet } from "./calculation.js";
import { catalogue } from "./catalogue.js";
import { type InputProblem, readInputs } from "./read-inputs.js";

/** What an input was given as: SI base; an air state by its parts. */
export type InputValue = number | string | boolean | readonly number[] | Readonly<Record<string, number>>;

/** A line of the working. */
export interface WorkingLine {
  readonly name: string;
  readonly symbol: string;
  /** in symbols of inputs and of lines above; one that starts with `such that` was solved for */
  readonly formula: string;
  /** SI base */
  readonly value: number;
  readonly unit: string;
}

/** A limit within which a formula holds, and whether it does here. */
export interface JudgedCondition {
  readonly condition: string;
  readonly figure: string;
  /** SI base, as the limits */
  readonly value: number;
  readonly unit: string;
  readonly least: number | null;
  readonly greatest: number | null;
  readonly source: string;
  readonly holds: boolean;
}

export interface CalculationAssumption {
  readonly name: string;
  /** SI base; null where it is no figure */
  readonly value: number | null;
  readonly unit: string;
  readonly why: string;
  readonly source: string;
}

/** One calculation with its working. Numbers are SI base (temperatures °C); null is what has no value here. */
export interface CalculationAnswer {
  readonly calculation: string;
  /** those given and those assumed */
  readonly inputs: Readonly<Record<string, InputValue>>;
  readonly assumptions: readonly CalculationAssumption[];
  readonly result: Readonly<Record<string, ResultValue>>;
  readonly working: readonly WorkingLine[];
  readonly formula: string;
  readonly source: readonly { readonly id: string; readonly citation: string }[];
  /** `holds`: every condition does; what no input tells stands in `premises` */
  readonly validity: {
    readonly holds: boolean;
    readonly conditions: readonly JudgedCondition[];
    readonly premises: readonly string[];
  };
}

export type CalculationResult =
  | { readonly ok: true; readonly calculation: CalculationAnswer }
  | { readonly ok: false; readonly problems: readonly InputProblem[]; readonly total: number };

const byId: ReadonlyMap<string, Calculation> = new Map(catalogue.map((each) => [each.id, each]));

/** Figures among results, by the names that the working gives them: a group's with its name before. */
const figuresOf = (results: Readonly<Record<string, ResultSpec>>, before = ""): [string, FigureSpec][] =>
  Object.entries(results).flatMap(([name, spec]): [string, FigureSpec][] => {
    if (spec.type === "group") return figuresOf(spec.results, `${name}.`);
    return spec.type === "figure" ? [[before + name, spec]] : [];
  });

/** Not computable is null; −0 is 0. */
const settled = (value: ResultValue): ResultValue => {
  if (typeof value === "number") return Number.isFinite(value) ? value + 0 : null;
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([name, inner]) => [name, settled(inner)]));
};

/** An air state without the parts that were not given. */
const shown = (value: unknown): InputValue => {
  if (typeof value !== "object" || value === null || Array.isArray(value)) return value as InputValue;
  return Object.fromEntries(Object.entries(value).filter(([, part]) => part !== null)) as InputValue;
};

/** Equality counts as met. */
const SLACK = 1e-9;

/**
 * Makes one calculation.
 * @param name of the calculation
 * @param inputs its inputs: a bare number is SI base (temperatures °C), a text carries its unit; anything at all may be
 * passed
 * @returns the answer with its working, or everything that is wrong with the inputs; never throws over inputs
 */
export const calculate = (name: string, inputs: unknown): CalculationResult => {
  const calculation = byId.get(name);
  if (calculation === undefined) return unknownCalculation(name);
  const read = readInputs(calculation, inputs);
  if (!read.ok) return read;

  const figures = new Map<string, FigureSpec>([
    ...Object.entries(calculation.figures),
    ...figuresOf(calculation.results),
  ]);
  const working: WorkingLine[] = [];
  const assumptions: CalculationAssumption[] = [];
  const values: Record<string, unknown> = { ...read.values };
  const units = new Map(
    Object.entries(calculation.inputs).map(([input, spec]) => [input, "kind" in spec ? SI_UNIT[spec.kind] : ""]),
  );
  for (const [input, { value, why, source: from }] of read.assumed)
    assumptions.push({ name: input, value, unit: units.get(input) ?? "", why, source: from });
  const sheet: Sheet = {
    line(line, formula, value, number) {
      const spec = figures.get(line);
      if (spec === undefined) throw new Error(`${name} has no figure ${line}`);
      const symbol = number === undefined ? spec.symbol : `${spec.symbol}_${number}`;
      working.push({ name: line, symbol, formula, value: value + 0, unit: SI_UNIT[spec.kind] });
      return value;
    },
    assume(assumption, value, why, from: SourceId) {
      if (value !== null && assumption in values) values[assumption] = value;
      assumptions.push({ name: assumption, value, unit: units.get(assumption) ?? "", why, source: from });
    },
  };
  const result = settled(calculation.work(read.values as never, sheet)) as CalculationAnswer["result"];
  return {
    ok: true,
    calculation: {
      calculation: name,
      inputs: Object.fromEntries(
        Object.entries(values)
          .filter(([, value]) => value !== null)
          .map(([input, value]) => [input, shown(value)]),
      ),
      assumptions,
      result,
      working,
      formula: calculation.formula,
      source: calculation.sources.map((id) => ({ id, citation: source(id).title })),
      validity: judged(calculation, values, working),
    },
  };
};

const judged = (
  calculation: Calculation,
  values: Readonly<Record<string, unknown>>,
  working: readonly WorkingLine[],
): CalculationAnswer["validity"] => {
  const conditions = calculation.validity.flatMap((each): JudgedCondition[] => {
    const line = working.find(({ name }) => name === each.figure);
    const input = values[each.figure];
    const spec = calculation.inputs[each.figure];
    const [value, unit] =
      line !== undefined
        ? [line.value, line.unit]
        : typeof input === "number" && spec !== undefined && "kind" in spec
          ? [input, SI_UNIT[spec.kind]]
          : [Number.NaN, ""];
    if (Number.isNaN(value)) return [];
    const { least = null, greatest = null } = each;
    const slack = SLACK * Math.max(Math.abs(least ?? 0), Math.abs(greatest ?? 0));
    return [
      {
        condition: each.condition,
        figure: each.figure,
        value,
        unit,
        least,
        greatest,
        source: each.source,
        holds: (least === null || value >= least - slack) && (greatest === null || value <= greatest + slack),
      },
    ];
  });
  return { holds: conditions.every(({ holds }) => holds), conditions, premises: calculation.premises };
};

const unknownCalculation = (name: string): CalculationResult => {
  const short = String(name).slice(0, 64);
  const names = catalogue.map(({ id }) => id);
  const near = names.reduce((best, each) => (distance(short, each) < distance(short, best) ? each : best));
  const isNear = distance(short, near) <= Math.max(2, short.length / 3);
  return {
    ok: false,
    problems: [
      {
        pointer: "",
        code: "unknown-calculation",
        detail: `there is no calculation ${JSON.stringify(short)}`,
        hint: isNear ? `did you mean ${near}?` : `known are ${names.join(", ")}`,
      },
    ],
    total: 1,
  };
};
