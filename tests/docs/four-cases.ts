import { readFileSync } from "node:fs";
import { type Audit, type AuditFinding, audit, renderText } from "../../src/core/index.js";
import { withRemedy } from "../builders/with-remedy.js";

/** A small network with one thing wrong that anybody may meet, and what is answered to it. */
interface ExampleCase {
  /** under fixtures/examples */
  readonly file: string;
  /** what stands there and what a pencil makes of it, Markdown */
  readonly about: string;
}

const CASES: readonly ExampleCase[] = [
  {
    file: "shallow-trap.json",
    about: `The fan sucks 250 Pa at the pan: 250 ÷ (999.702 · 9.80665) = 25.5005 mm of water. The trap's weir lies 22 mm below the pan's outlet, so a little over 3.5 mm of water stay in the pan as long as the fan runs. From rest the outlet leg of a trap with equal legs falls by half of the head, 12.75 mm, and the seal is 10 mm: air breaks through. With the margin of practice, 25.4 mm, the drop must be 50.9 mm and the seal half of that, 25.45 mm.`,
  },
  {
    file: "double-trap.json",
    about: `The unit has its trap, and so has the end of the line. The air between the two can go nowhere: before any water leaves, it must be pushed through the second seal of 30 mm, and the water that pushes stands in the pan. The pan has 25 mm of rim and its outlet lies 2 mm above the first weir: it spills at 27 mm. The first trap is also drawn with next to no step between its ends.`,
  },
  {
    file: "sagging-line.json",
    about: `A 3/4 in PVC line of 24 ft at 1/8 in per ft, 1.0417 %, on the 4 ft that codes allow. Full of water at 73 °F it hangs between supports so that a span that stands for itself takes wL³/24EI = 1.12 % to keep falling, one continuous line wL³/124.7EI = 0.22 %. The true line lies between: no formula decides, and supports 3.9 ft apart end the question.`,
  },
  {
    file: "bare-pipe.json",
    about: `Water of 13 °C runs through a bare pipe in a ceiling at 27 °C and 70 %, where the dew point is 21.1 °C. The wall of the pipe keeps its surface a little warmer than the water, and not nearly enough.`,
  },
];

export interface SolvedCase extends ExampleCase {
  readonly document: Record<string, unknown>;
  readonly answer: Audit;
  /** what was carried out, finding by finding */
  readonly done: readonly string[];
  /** the answer once everything that it asked for is done */
  readonly after: Audit;
}

export const auditOf = (document: unknown): Audit => {
  const result = audit(document, { include: ["fanCoils", "seals"] });
  if (!result.ok) throw new Error(JSON.stringify(result.problems, null, 1));
  return result.audit;
};

/** Each step once, though several findings may ask for it. */
const stepsOf = (findings: readonly AuditFinding[]): AuditFinding["remedy"] => [
  ...new Map(findings.flatMap(({ remedy }) => remedy).map((step) => [step.text, step])).values(),
];

export const fourCases = (): SolvedCase[] =>
  CASES.map((one) => {
    const text = readFileSync(new URL(`../../fixtures/examples/${one.file}`, import.meta.url), "utf8");
    const document: Record<string, unknown> = JSON.parse(text);
    const answer = auditOf(document);
    const steps = stepsOf(answer.findings);
    const better = withRemedy(document, steps);
    if (better === null) throw new Error(`${one.file}: a step leaves a choice`);
    return { ...one, document, answer, done: steps.map((step) => step.text), after: auditOf(better) };
  });

/** Verdict and findings as people read them, without the parts that every answer has. */
const shown = (answer: Audit): string => {
  const lines = renderText(answer, { width: 100, color: false }).split("\n");
  const titles = lines.flatMap((line, i) => (/^~+$/.test(line) ? [i - 1] : []));
  const first = titles[0] ?? lines.length;
  const end = titles.find((at) => !/^What (fails|could not be decided)/.test(lines[at])) ?? lines.length;
  const verdict = lines.findIndex((line) => line.startsWith("Verdict"));
  const rest = lines.slice(verdict + 1, first);
  const wrapped = rest.slice(
    0,
    rest.findIndex((line) => !line.startsWith(" ")),
  );
  return [lines[verdict], ...wrapped, "", ...(first < end ? lines.slice(first, end) : [])].join("\n").trim();
};

export const fourCasesPage = (): string => {
  const chapters = fourCases().map(({ file, about, document, answer, done, after }) =>
    [
      `## ${String(document.name)}`,
      about,
      `[\`fixtures/examples/${file}\`](../fixtures/examples/${file}) says so, and is answered:`,
      `\`\`\`text\n${shown(answer)}\n\`\`\``,
      `Once all of that is done${done.length === 1 ? "" : `, ${done.length} steps`}:`,
      `\`\`\`text\n${shown(after)}\n\`\`\``,
    ].join("\n\n"),
  );
  return `${[OPENING, ...chapters].join("\n\n")}\n`;
};

const OPENING = `# Four cases

Made by \`npm run docs\` from the documents under \`fixtures/examples/\` and what the audit answers to them; do not edit it by hand. \`npm run example\` prints the same answers in full.

Four small networks, invented, each with one thing wrong that a good engineer would see. A test carries out what each finding proposes, alone and together, and audits again.`;
