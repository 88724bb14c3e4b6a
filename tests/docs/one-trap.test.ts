import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { audit } from "../../src/core/index.js";

// docs/one-trap-by-hand.md is solved with a pencil. What it prints is held here against what the product answers for the
// very document that it prints, so neither can change without the other.

const page = readFileSync(new URL("../../docs/one-trap-by-hand.md", import.meta.url), "utf8");

interface Answer {
  readonly seal: Readonly<Record<string, unknown>>;
  readonly outcomes: ReadonlyMap<string, string>;
}

const documentOf = (): { nodes: Record<string, unknown>[] } => {
  const block = page.match(/```json\n([\s\S]*?)```/)?.[1];
  if (block === undefined) throw new Error("the page shows no document");
  return JSON.parse(block);
};

const answerTo = (document: unknown): Answer => {
  const result = audit(document, { include: ["seals"] });
  if (!result.ok) throw new Error(JSON.stringify(result.problems, null, 1));
  const [seal] = result.audit.facts!.seals as readonly Record<string, unknown>[];
  return { seal, outcomes: new Map(result.audit.rules.map(({ rule, outcome }) => [rule, outcome])) };
};

const chapter = (title: string): string => {
  const found = page.split(/^## /m).find((part) => part.startsWith(title));
  if (found === undefined) throw new Error(`the page has no chapter "${title}"`);
  return found;
};

type Row = readonly [first: string, working: string, si: string, us: string];
const tableOf = (text: string): Row[] =>
  [...text.matchAll(/^\| (.+) \|$/gm)]
    .map(([, line]) => line.split(" | ") as unknown as Row)
    .filter(([first]) => first !== "figure" && first !== "rule");

/** How much of the unit one SI base unit is; unit definitions: 25.4 mm to the inch, 3.785411784 L to the gallon. */
const PER_SI: Readonly<Record<string, number>> = {
  Pa: 1,
  inH2O: 1 / 249.08891,
  mm: 1e3,
  in: 1 / 0.0254,
  "mm²": 1e6,
  "in²": 1 / 0.0254 ** 2,
  L: 1e3,
  gal: 1 / 3.785411784e-3,
  "Pa/m": 1,
  "inH2O/in": 0.0254 / 249.08891,
  days: 1,
  "": 1,
};

/** A printed figure is right within half of its last digit. */
const expectPrinted = (printed: string, si: unknown): void => {
  const [, digits, unit] = printed.match(/^(-?[\d.]+) ?(.*)$/) ?? [];
  const scale = PER_SI[unit];
  if (digits === undefined || scale === undefined) throw new Error(`no figure: ${printed}`);
  const decimals = digits.split(".")[1]?.length ?? 0;
  const shown = Number(si) * scale;
  expect(typeof si, printed).toBe("number");
  expect(Math.abs(shown - Number(digits)), `${printed}, answered ${shown}`).toBeLessThanOrEqual(
    0.5 * 10 ** -decimals * (1 + 1e-9),
  );
};

const factOf = (seal: Answer["seal"], name: string): unknown =>
  name.split(".").reduce((value, key) => (value as Record<string, unknown>)[key], seal as unknown);

/** Steps on the way, each from facts of the answer: what they must be for the answer to be what it is. */
const STEPS: Readonly<Record<string, (seal: Record<string, number>) => number>> = {
  "weight of water, ρg": ({ staticPressure, head }) => Math.abs(staticPressure) / head,
  // (π/4) d² of legs whose widths the document states
  "area of the inlet leg": () => (Math.PI / 4) * width("inletLegSize") ** 2,
  "area of the outlet leg": () => (Math.PI / 4) * width("outletLegSize") ** 2,
  "share of the outlet leg's fall": ({ sealDepth, sealMarginStart, head }) => (sealDepth - sealMarginStart) / head,
  "fall of the outlet leg": ({ sealDepth, sealMarginStart }) => sealDepth - sealMarginStart,
};
const width = (leg: string): number => Number(documentOf().nodes.find(({ kind }) => kind === "trap")![leg]) / 1000;

const check = (rows: readonly Row[], { seal }: Answer): void => {
  for (const [first, , si, us] of rows) {
    const name = first.match(/^`(.+)`$/)?.[1];
    const value = name === undefined ? STEPS[first]?.(seal as Record<string, number>) : factOf(seal, name);
    expect(value, `nothing answers "${first}"`).toBeDefined();
    expectPrinted(si, value);
    expectPrinted(us, value);
  }
};

describe("docs/one-trap-by-hand.md", () => {
  it("works out, in both unit systems, what the product answers", () => {
    const rows = tableOf(chapter("The figures"));
    expect(rows.length).toBeGreaterThanOrEqual(20);
    check(rows, answerTo(documentOf()));
  });

  it("leaves out no fact of the trap but what has no meaning under suction", () => {
    const { seal } = answerTo(documentOf());
    const printed = new Set(tableOf(chapter("The figures")).map(([first]) => first.match(/^`([^.`]+)/)?.[1] ?? first));
    const known = Object.entries(seal).filter(([, value]) => typeof value !== "string" && value !== null);
    const named = known.map(([name]) => name).filter((name) => !["fanCoils", "weirElevation"].includes(name));
    for (const name of named) expect(printed).toContain(name);
  });

  it("tells of each rule what the audit says", () => {
    const { outcomes } = answerTo(documentOf());
    const rows = tableOf(chapter("What follows"));
    expect(rows.length).toBe(7);
    for (const [rule, outcome] of rows) expect([rule, outcomes.get(rule.replaceAll("`", ""))]).toEqual([rule, outcome]);
  });

  it("is as right under a fan that blows", () => {
    const text = chapter("The same trap under a fan that blows");
    const change = JSON.parse(`{${text.match(/\(`(.+)`\)/)?.[1]}}`);
    const document = documentOf();
    Object.assign(document.nodes.find(({ kind }) => kind === "fan-coil")!, change);
    const rows = tableOf(text);
    expect(rows.length).toBe(6);
    check(rows, answerTo(document));
  });
});
