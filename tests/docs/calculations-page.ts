import type { CalculationAnswer } from "../../src/core/calculations/calculate.js";
import type {
  CalculationInfo,
  CalculationInput,
  CalculationOutcome,
} from "../../src/core/calculations/calculations.js";
import { formatSignificant } from "../../src/core/quantity/format.js";
import { type SourceEntry, sourceChapter } from "./rules-page.js";

type Kind = CalculationInput["quantity"];

/** Every calculation as Markdown, made from its own data and from its answer to its own example. */
export const calculationsPage = (
  infos: readonly CalculationInfo[],
  answerTo: (id: string, inputs: unknown) => CalculationAnswer,
  sources: readonly SourceEntry[],
): string =>
  `${[
    opening,
    infos.map(({ id, question }) => `- [${id}](#${id}): ${question}`).join("\n"),
    ...infos.map((info) => chapter(info, answerTo(info.id, info.example))),
    sourceList(infos, sources),
  ].join("\n\n")}\n`;

const opening = `# The calculations

Made by \`npm run docs\` from the calculations' own data; do not edit it by hand. \`POST /v1/calculations/{name}\`, \`calculate(name, inputs)\` and \`drainward calculate <name> input=value …\` answer alike: \`{ inputs, result, working, formula, source, validity }\`, with \`assumptions\` for what was not given. A bare number is in the unit that the tables name; a text carries its unit, of either system: \`"30 mm"\`, \`"1-1/4 in"\`, \`"-0.6 inH2O"\`, \`"1/8 in/ft"\`. Every figure of an answer is in the unit named. An air state is a \`dryBulb\` with exactly one of \`relativeHumidity\`, \`wetBulb\`, \`dewPoint\` and \`humidityRatio\`. Names in bold must be given. A result that has no value in a case is null. Where a condition of the validity is not met, the answer says so and gives its figures all the same: whoever uses them decides.`;

const chapter = (info: CalculationInfo, answer: CalculationAnswer): string => {
  const { id, title, question, inputs, choices, results, formula, validity, sources, example } = info;
  return [
    `## ${id}`,
    `${title}. *${question}*`,
    table(["input", "symbol", "unit", "range", "meaning"], inputs.map(inputRow)),
    ...choices.map(choiceWords),
    table(
      ["result", "symbol", "unit", "meaning"],
      results.flatMap((each) => resultRows(each, "")),
    ),
    `Formula: ${formula}`,
    `Holds where:\n\n${[
      ...validity.conditions.map((each) => `- ${each.condition} (${limits(each, kindOf(info, each.figure))})`),
      ...validity.premises.map((premise) => `- ${premise} (to check: no input tells)`),
    ].join("\n")}`,
    `For example \`${JSON.stringify(example)}\` gives ${resultWords(results, answer.result)}.`,
    `Rests on: ${sources.map((source) => code(source.id)).join(", ")}`,
  ].join("\n\n");
};

const inputRow = (input: CalculationInput): string[] => {
  const { name, symbol, meaning, required, unit, least, greatest, quantity, type, words, parts, most } = input;
  const standard = input.default;
  const instead =
    standard === null
      ? ""
      : ` Else ${standard.value === null ? standard.why : `${bothUnits(standard.value, quantity)}, ${standard.why}`} (\`${standard.source}\`).`;
  const kinds = {
    figure: unit,
    figures: `list, ${unit}`,
    word: "word",
    flag: "true or false",
    "air-state": "air state",
  };
  const range =
    least !== null && greatest !== null
      ? `${least} to ${greatest}${most === null ? "" : `, at most ${most}`}`
      : (words?.map(code).join(", ") ?? "");
  return [
    required ? `**${code(name)}**` : code(name),
    parts === null ? symbol : parts.map((part) => part.symbol).join(" "),
    kinds[type] ?? "",
    range,
    `${meaning}${instead}`,
  ];
};

const choiceWords = (choice: CalculationInfo["choices"][number]): string =>
  `Give ${choice
    .map(({ needs, may }) => {
      const others = may.length === 0 ? "" : ` (and ${may.map(code).join(", ")})`;
      return `${needs.map(code).join(" and ")}${others}`;
    })
    .join(", or ")}.`;

const resultRows = (
  { name, symbol, unit, meaning, orNull, results, words, type }: CalculationOutcome,
  before: string,
): string[][] =>
  results !== null
    ? results.flatMap((each) => resultRows({ ...each, meaning: `${each.meaning} ${meaning}` }, `${before}${name}.`))
    : [
        [
          code(before + name),
          symbol,
          unit ?? words?.map(code).join(", ") ?? (type === "flag" ? "true or false" : "nominal size"),
          `${meaning}${orNull === null ? "" : ` Null ${orNull}.`}`,
        ],
      ];

/** The figures of an example, in both unit systems. */
const resultWords = (
  outcomes: readonly CalculationOutcome[],
  values: CalculationAnswer["result"],
  before = "",
): string =>
  outcomes
    .map(({ name, quantity, results }) => {
      const value = values[name];
      if (results !== null && typeof value === "object" && value !== null)
        return resultWords(results, value, `${before}${name}.`);
      return `${code(before + name)} ${typeof value === "number" ? bothUnits(value, quantity) : String(value)}`;
    })
    .join(", ");

const kindOf = ({ inputs, figures, results }: CalculationInfo, name: string): Kind =>
  [...figures, ...results, ...inputs].find((each) => each.name === name)?.quantity ?? null;

const limits = ({ figure, least, greatest }: CalculationInfo["validity"]["conditions"][number], kind: Kind): string => {
  const ends = [
    least === null ? [] : [`at least ${bothUnits(least, kind)}`],
    greatest === null ? [] : [`at most ${bothUnits(greatest, kind)}`],
  ].flat();
  return `${code(figure)} ${ends.join(", ")}`;
};

const bothUnits = (value: number, kind: Kind): string => {
  if (kind === null) return String(value);
  const [si, us] = [formatSignificant(value, kind, "si"), formatSignificant(value, kind, "us")];
  return si === us ? si : `${si} (${us})`;
};

/** What formulas, conditions and defaults rest on. */
const sourceList = (infos: readonly CalculationInfo[], sources: readonly SourceEntry[]): string =>
  sourceChapter(
    infos.flatMap((info) => [
      ...info.sources.map(({ id }) => id),
      ...info.validity.conditions.map(({ source }) => source),
      ...info.inputs.flatMap((input) => input.default?.source ?? []),
    ]),
    sources,
  );

const table = (heads: readonly string[], rows: readonly (readonly string[])[]): string =>
  [
    `| ${heads.join(" | ")} |`,
    `|${heads.map(() => "---").join("|")}|`,
    ...rows.map((row) => `| ${row.map((cell) => cell.replaceAll("|", "\\|")).join(" | ")} |`),
  ].join("\n");

const code = (text: string): string => `\`${text}\``;
