// The working is a calculation sheet: every line follows from its own formula, of inputs and of lines above it.
import { describe, expect, it } from "vitest";
import { AIR_PARTS } from "../../../src/core/calculations/air-state.js";
import { type CalculationAnswer, calculate } from "../../../src/core/calculations/calculate.js";
import type { Calculation, ResultSpec } from "../../../src/core/calculations/calculation.js";
import { catalogue } from "../../../src/core/calculations/catalogue.js";
import { CASES } from "./cases.js";
import { evaluate } from "./formula.js";

const answerOf = (name: string, inputs: unknown): CalculationAnswer => {
  const answer = calculate(name, inputs);
  if (!answer.ok) throw new Error(`${name} ${JSON.stringify(inputs)}: ${JSON.stringify(answer.problems)}`);
  return answer.calculation;
};

/** The inputs by their symbols. */
const symbolsOf = (calculation: Calculation, { inputs }: CalculationAnswer): Map<string, number> => {
  const symbols = new Map<string, number>();
  for (const [name, spec] of Object.entries(calculation.inputs)) {
    const value = inputs[name];
    if (typeof value === "number") symbols.set(spec.symbol, value);
    else if (Array.isArray(value))
      for (const [i, item] of value.entries()) symbols.set(`${spec.symbol}_${i + 1}`, item);
    else if (typeof value === "object")
      for (const [part, of] of Object.entries(AIR_PARTS)) {
        const given = (value as Record<string, number>)[part];
        if (given !== undefined) symbols.set(of.symbol + spec.symbol, given);
      }
  }
  return symbols;
};

describe.each(catalogue.map((each) => [each.id, each] as const))("%s", (id, calculation) => {
  const answers = CASES[id].map((inputs) => [JSON.stringify(inputs), answerOf(id, inputs)] as const);

  it.each(answers)("can be worked line by line: %s", (_said, answer) => {
    const symbols = symbolsOf(calculation, answer);
    for (const line of answer.working) {
      if (!line.formula.startsWith("such that ")) {
        const worked = evaluate(line.formula, symbols);
        const apart = Math.abs(worked - line.value);
        expect(apart, `${line.name} = ${line.formula}: ${worked}, not ${line.value}`).toBeLessThanOrEqual(
          1e-9 * Math.max(Math.abs(line.value), line.unit === "°C" ? 100 : 0) + 1e-15,
        );
      }
      symbols.set(line.symbol, line.value);
    }
  });

  it.each(answers)("gives what its working says, or what was given: %s", (_said, answer) => {
    const { result, working } = answer;
    const lines = new Map(working.map(({ name, value }) => [name, value]));
    const given = [...symbolsOf(calculation, answer).values()];
    const visit = (part: object, before: string): void => {
      for (const [name, value] of Object.entries(part)) {
        if (typeof value === "object" && value !== null) visit(value, `${name}.`);
        else if (typeof value === "number") {
          const line = lines.get(before + name) ?? given.find((each) => each === value);
          expect([name, line]).toEqual([name, value]);
        }
      }
    };
    visit(result, "");
  });

  it("declares no figure that no case reaches", () => {
    const reached = new Set(answers.flatMap(([, { working }]) => working.map(({ name }) => name)));
    expect(Object.keys(calculation.figures).filter((name) => !reached.has(name))).toEqual([]);
  });

  it("has each condition of its validity met by one case and broken by another", () => {
    for (const { condition } of calculation.validity) {
      const seen = new Set(
        answers.flatMap(([, { validity }]) =>
          validity.conditions.filter((each) => each.condition === condition).map(({ holds }) => holds),
        ),
      );
      expect([condition, [...seen].sort()]).toEqual([condition, [false, true]]);
    }
  });

  it("says of each null when it is null, and is null in one case", () => {
    const nulls = new Set<string>();
    const visit = (part: object, before: string): void => {
      for (const [name, value] of Object.entries(part))
        if (value === null) nulls.add(before + name);
        else if (typeof value === "object") visit(value, `${name}.`);
    };
    for (const [, { result }] of answers) visit(result, "");
    const promised = Object.entries(calculation.results).flatMap(([name, spec]): [string, ResultSpec][] =>
      spec.type === "group"
        ? Object.entries(spec.results).map(([inner, of]): [string, ResultSpec] => [`${name}.${inner}`, of])
        : [[name, spec]],
    );
    expect([...nulls].sort()).toEqual(
      promised
        .filter(([, spec]) => spec.type !== "group" && spec.orNull !== null)
        .map(([name]) => name)
        .sort(),
    );
  });
});
