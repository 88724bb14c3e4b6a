import type { CalculationAnswer, InputValue, WorkingLine } from "../calculations/calculate.js";
import type { ResultValue } from "../calculations/calculation.js";
import {
  type CalculationInfo,
  type CalculationInput,
  type CalculationOutcome,
  calculations,
} from "../calculations/calculations.js";
import { formatSignificant } from "../quantity/format.js";
import { hanging, wrapped } from "./layout.js";
import { painter } from "./paint.js";
import { plain } from "./plain.js";
import type { TextOptions } from "./text.js";

/**
 * A calculation as an engineer puts it on a calculation sheet: inputs, formula, working line by line, results, validity,
 * sources; every figure in SI and in US customary units. Arranges the answer and computes nothing.
 * Lines are at most `width` columns (40 or more).
 */
export function renderCalculation(answer: CalculationAnswer, { width, color }: TextOptions): string {
  const info = calculations().find(({ id }) => id === answer.calculation);
  if (info === undefined) throw new Error(`no calculation ${answer.calculation}`);
  const paint = painter(color);
  const lines: string[] = [...wrapped(info.title, width).map((line) => paint(line, "light"))];
  const part = (title: string, rows: readonly Row[]) => {
    if (rows.length === 0) return;
    lines.push("", ...wrapped(title, width).map((line) => paint(line, "light")));
    const lead = Math.min(Math.floor(width / 2), Math.max(...rows.map(([first]) => first.length)) + 4);
    for (const [first, body] of rows) {
      const isLong = first.length + 4 > lead;
      if (isLong) lines.push(...wrapped(first, width - 2).map((line) => `  ${line}`));
      lines.push(...hanging((isLong ? "" : `  ${first}`).padEnd(lead), plain(body), width));
    }
  };
  const assumed = new Set(answer.assumptions.map(({ name }) => name));
  part(
    "Inputs",
    info.inputs.flatMap((input) =>
      inputRows(input, answer.inputs[input.name], assumed.has(input.name) ? ", assumed" : ""),
    ),
  );
  part(
    "Assumed",
    answer.assumptions.map(({ name, why, source }) => [name, `${why} [${source}]`]),
  );
  lines.push("", paint("Formula", "light"), ...hanging("  ", answer.formula, width));
  part(
    "Working (formulas in SI base units, temperatures in °C)",
    answer.working.map((line) => [line.symbol, `${worked(line, kindOf(info, line.name))}   ${meaningOf(info, line)}`]),
  );
  part("Results", resultRows(info.results, answer.result, ""));
  part(answer.validity.holds ? "Validity: holds" : "Validity: DOES NOT HOLD", [
    ...answer.validity.conditions.map(
      ({ condition, holds, figure, value }): Row =>
        holds ? ["met", condition] : ["NOT MET", `${condition} Here: ${bothUnits(value, kindOf(info, figure))}.`],
    ),
    ...answer.validity.premises.map((premise): Row => ["to check", premise]),
  ]);
  part(
    "Sources",
    answer.source.map(({ id, citation }) => [id, citation]),
  );
  lines.push(
    "",
    ...wrapped("A calculation is no approval: the authority, the manufacturer and a licensed designer decide.", width),
  );
  return `${lines.join("\n")}\n`;
}

type Row = readonly [lead: string, body: string];
type Kind = CalculationInput["quantity"];

const symbolled = (name: string, symbol: string): string => (symbol === "" ? name : `${name} ${symbol}`);

/** A figure in both unit systems where they print it differently. */
function bothUnits(value: number, kind: Kind): string {
  if (kind === null) return String(value);
  const [si, us] = [formatSignificant(value, kind, "si"), formatSignificant(value, kind, "us")];
  return si === us ? si : `${si} (${us})`;
}

/** The formula and its figure; a figure from a table, or one that was given, has no formula to show. */
function worked({ symbol, formula, value }: WorkingLine, kind: Kind): string {
  const figure = bothUnits(value, kind);
  if (formula.startsWith("such that ")) return `= ${figure}, ${formula}`;
  return formula === symbol || formula === String(value) ? `= ${figure}` : `= ${formula} = ${figure}`;
}

/** A row for each figure: a list by its items, an air state by its parts. */
function inputRows(input: CalculationInput, value: InputValue | undefined, remark: string): Row[] {
  const { name, symbol, quantity, parts } = input;
  if (value === undefined) return [];
  if (typeof value === "number") return [[symbolled(name, symbol), `${bothUnits(value, quantity)}${remark}`]];
  if (typeof value !== "object") return [[symbolled(name, symbol), `${value}${remark}`]];
  if (Array.isArray(value)) {
    if (value.length === 0) return [[name, "none"]];
    return value.map((each: number, i): Row => [symbolled(name, `${symbol}_${i + 1}`), bothUnits(each, quantity)]);
  }
  return (parts ?? []).flatMap((each) =>
    inputRows({ ...each, name: `${name}.${each.name}` }, (value as Readonly<Record<string, number>>)[each.name], ""),
  );
}

const lineOf = ({ figures, results, inputs }: CalculationInfo, name: string) =>
  figures.find((each) => each.name === name) ?? outcomeOf(results, name) ?? inputs.find((each) => each.name === name);

const kindOf = (info: CalculationInfo, name: string): Kind => lineOf(info, name)?.quantity ?? null;

const meaningOf = (info: CalculationInfo, { name }: WorkingLine): string => lineOf(info, name)?.meaning ?? "";

/** A result by its name in the working: one of a group has the group's name before it. */
function outcomeOf(outcomes: readonly CalculationOutcome[], name: string): CalculationOutcome | undefined {
  const [first, ...rest] = name.split(".");
  const outcome = outcomes.find((each) => each.name === first);
  return rest.length === 0 ? outcome : outcomeOf(outcome?.results ?? [], rest.join("."));
}

function resultRows(
  outcomes: readonly CalculationOutcome[],
  values: Readonly<Record<string, ResultValue>>,
  before: string,
): Row[] {
  return outcomes.flatMap(({ name, symbol, quantity, orNull, results }): Row[] => {
    const value = values[name];
    if (results !== null && typeof value === "object" && value !== null)
      return resultRows(results, value, `${before}${name}.`);
    const words =
      value === null
        ? `none, ${orNull ?? "not computable"}`
        : typeof value === "number"
          ? bothUnits(value, quantity)
          : typeof value === "boolean"
            ? value
              ? "yes"
              : "no"
            : String(value);
    return [[symbolled(before + name, symbol), words]];
  });
}
