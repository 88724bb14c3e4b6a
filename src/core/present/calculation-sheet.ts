import type { CalculationAnswer, InputValue } from "../calculations/calculate.js";
import type { ResultValue } from "../calculations/calculation.js";
import { type CalculationInfo, type CalculationOutcome, calculations } from "../calculations/calculations.js";
import { formatQuantity } from "../quantity/format.js";
import type { QuantityKind } from "../quantity/speaker.js";
import { hanging, wrapped } from "./layout.js";
import { painter } from "./paint.js";
import { plain } from "./plain.js";
import type { TextOptions } from "./text.js";

/** A calculation as an engineer puts it into a calculation sheet: inputs, formula, working, result, validity, sources. */
export function renderCalculation(answer: CalculationAnswer, { width, color }: TextOptions): string {
  const info = calculations().find(({ id }) => id === answer.calculation);
  if (info === undefined) throw new Error(`no calculation ${answer.calculation}`);
  const paint = painter(color);
  const lines: string[] = [...wrapped(info.title, width).map((line) => paint(line, "light")), ""];
  const part = (title: string, rows: readonly (readonly [lead: string, body: string])[]) => {
    if (rows.length === 0) return;
    const lead = Math.min(28, Math.max(...rows.map(([first]) => first.length)) + 2);
    lines.push(paint(title, "light"));
    for (const [first, body] of rows) lines.push(...hanging(`  ${first.padEnd(lead)}`, plain(body), width));
    lines.push("");
  };
  const assumed = new Set(answer.assumptions.map(({ name }) => name));
  const inputs = new Map(info.inputs.map((input) => [input.name, input]));
  part(
    "Inputs",
    Object.entries(answer.inputs).map(([name, value]) => [
      symbolled(name, inputs.get(name)?.symbol ?? ""),
      `${inputWords(value, inputs.get(name))}${assumed.has(name) ? ", assumed" : ""}`,
    ]),
  );
  part(
    "Assumed",
    answer.assumptions.map(({ name, why, source }) => [name, `${why} [${source}]`]),
  );
  part("Formula", [["", answer.formula]]);
  part(
    "Working",
    answer.working.map(({ symbol, formula, name, value }) => [
      symbol,
      `= ${formula} = ${bothUnits(value, kindOf(info, name))}   ${meaningOf(info, name)}`,
    ]),
  );
  part("Result", results(info.results, answer.result, ""));
  part("Validity", [
    ...answer.validity.conditions.map(({ condition, holds }): [string, string] => [
      holds ? "holds" : "NOT MET",
      condition,
    ]),
    ...answer.validity.premises.map((premise): [string, string] => ["to check", premise]),
  ]);
  part(
    "Sources",
    answer.source.map(({ id, citation }) => [id, citation]),
  );
  lines.push(
    ...wrapped("A calculation is no approval: the authority, the manufacturer and a licensed designer decide.", width),
  );
  return `${lines.join("\n")}\n`;
}

const symbolled = (name: string, symbol: string): string => (symbol === "" ? name : `${name} ${symbol}`);

/** A figure in both unit systems where they print it differently. */
function bothUnits(value: number, kind: QuantityKind | null): string {
  if (kind === null) return String(value);
  const si = formatQuantity(value, kind, "si");
  const us = formatQuantity(value, kind, "us");
  return si === us ? si : `${si} (${us})`;
}

function inputWords(value: InputValue, input: CalculationInfo["inputs"][number] | undefined): string {
  const kind = (input?.quantity ?? null) as QuantityKind | null;
  if (typeof value === "number") return bothUnits(value, kind);
  if (typeof value !== "object") return String(value);
  if (Array.isArray(value)) return value.map((each: number) => bothUnits(each, kind)).join("; ");
  const parts = new Map((input?.parts ?? []).map((each) => [each.name, each.quantity as QuantityKind]));
  return Object.entries(value)
    .map(([name, each]) => `${name} ${bothUnits(each as number, parts.get(name) ?? null)}`)
    .join(", ");
}

/** Kind of a line of the working: a figure on the way, or a result; a group's with its name before. */
function kindOf({ figures, results: outcomes }: CalculationInfo, name: string): QuantityKind | null {
  return (figures.find((each) => each.name === name)?.quantity ??
    outcomeOf(outcomes, name)?.quantity ??
    null) as QuantityKind | null;
}

const meaningOf = ({ figures, results: outcomes }: CalculationInfo, name: string): string =>
  figures.find((each) => each.name === name)?.meaning ?? outcomeOf(outcomes, name)?.meaning ?? "";

function outcomeOf(outcomes: readonly CalculationOutcome[], name: string): CalculationOutcome | undefined {
  const [first, ...rest] = name.split(".");
  const outcome = outcomes.find((each) => each.name === first);
  return rest.length === 0 ? outcome : outcomeOf(outcome?.results ?? [], rest.join("."));
}

function results(
  outcomes: readonly CalculationOutcome[],
  values: Readonly<Record<string, ResultValue>>,
  before: string,
): [string, string][] {
  return outcomes.flatMap(({ name, symbol, quantity, orNull, results: inner }): [string, string][] => {
    const value = values[name];
    if (inner !== null && typeof value === "object" && value !== null)
      return results(inner, value, `${before}${name}.`);
    const words =
      value === null || value === undefined
        ? `none${orNull === null ? "" : ` ${orNull}`}`
        : typeof value === "number"
          ? bothUnits(value, quantity as QuantityKind | null)
          : String(value);
    return [[symbolled(before + name, symbol), words]];
  });
}
