import { existsSync, readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import type { Audit, AuditFinding } from "../../../src/core/index.js";
import { audit } from "../../../src/core/index.js";

/** What a rule can say, as fixture names begin: `pass-…`, `undetermined-missing-…`, `na-…`. */
export type Word = "pass" | "fail" | "undetermined-missing" | "undetermined-tolerance" | "undetermined-method" | "na";

/** One case of a truth table. Evidence holds best values in SI base units, worked by hand and explained in `about`. */
export interface Fixture {
  readonly about: string;
  /** published work that the expected figures come from, where there is one */
  readonly source?: string;
  readonly document: Record<string, unknown>;
  readonly expect: {
    readonly outcome: "pass" | "fail" | "undetermined" | "not-applicable";
    /** the finding's id; without it any finding of the rule with that outcome is taken */
    readonly id?: string;
    readonly family?: "missing" | "tolerance" | "method";
    /** every pointer (or decision) that the finding must name, and no other */
    readonly settledBy?: readonly string[];
    readonly evidence?: Readonly<Record<string, number>>;
    /** the id of the cause that the finding folds into */
    readonly foldedInto?: string;
    /** the message must hold each of these */
    readonly says?: readonly string[];
    /** the tally of subjects, before folding */
    readonly tally?: Readonly<Partial<Record<"pass" | "fail" | "undetermined", number>>>;
    /** remedy steps, at least these: action, element, amount in the step's own unit */
    readonly remedy?: readonly { readonly action: string; readonly on: string; readonly amount?: number }[];
  };
}

export const FIXTURES = fileURLToPath(new URL("../../../fixtures/rules/", import.meta.url));

export const fixtureFiles = (rule: string): string[] => {
  const folder = `${FIXTURES}${rule}`;
  return existsSync(folder)
    ? readdirSync(folder)
        .filter((name) => name.endsWith(".json"))
        .sort()
    : [];
};

export const readFixture = (rule: string, file: string): Fixture =>
  JSON.parse(readFileSync(`${FIXTURES}${rule}/${file}`, "utf8")) as Fixture;

const auditOf = (document: unknown): Audit => {
  const answer = audit(document, { include: ["passes"] });
  if (!answer.ok) throw new Error(`not a valid document: ${JSON.stringify(answer.problems, null, 2)}`);
  return answer.audit;
};

const findingsOf = (result: Audit, rule: string): AuditFinding[] =>
  result.findings.filter((finding) => finding.rule === rule);

const nearly = (value: number | null, expected: number): boolean =>
  value !== null && Math.abs(value - expected) <= Math.max(2e-6, 1e-4 * Math.abs(expected));

/** What the rule said over a document, in the words that fixture names begin with. */
const wordsSaid = (result: Audit, rule: string): Set<string> => {
  const tally = result.rules.find((row) => row.rule === rule);
  const words = new Set<string>();
  if (tally === undefined) return words;
  if (tally.outcome === "broken") words.add("broken");
  if (tally.outcome === "not-applicable") words.add("na");
  if (tally.pass > 0) words.add("pass");
  if (tally.fail > 0) words.add("fail");
  for (const finding of findingsOf(result, rule))
    if (finding.outcome === "undetermined") words.add(`undetermined-${finding.family}`);
  return words;
};

const check = (rule: string, file: string, fixture: Fixture, result: Audit): void => {
  const wanted = fixture.expect;
  const tally = result.rules.find((row) => row.rule === rule);
  expect(tally, `the answer has no row for ${rule}`).toBeDefined();
  expect(tally?.outcome, JSON.stringify(tally)).toBe(wanted.outcome);
  const prefix =
    wanted.outcome === "not-applicable"
      ? "na-"
      : wanted.outcome === "undetermined"
        ? `undetermined-${wanted.family}`
        : `${wanted.outcome}-`;
  expect(file.startsWith(prefix), `${file} should begin with ${prefix}`).toBe(true);
  if (wanted.tally)
    for (const [word, count] of Object.entries(wanted.tally)) expect(tally, word).toHaveProperty(word, count);
  if (wanted.outcome === "not-applicable") {
    expect(tally?.why, "a rule that does not apply says why").toBeTruthy();
    return;
  }
  if (wanted.foldedInto !== undefined) {
    const cause = result.findings.find((finding) => finding.id === wanted.foldedInto);
    expect(cause, `no finding ${wanted.foldedInto} among ${result.findings.map((f) => f.id).join(", ")}`).toBeDefined();
    expect(cause?.consequences.map((consequence) => consequence.rule)).toContain(rule);
    expect(
      findingsOf(result, rule).filter((finding) => finding.outcome === "fail"),
      "folded, yet also a finding of its own",
    ).toEqual([]);
    return;
  }
  const said = findingsOf(result, rule);
  const finding = said.find(
    (candidate) => candidate.outcome === wanted.outcome && (wanted.id === undefined || candidate.id === wanted.id),
  );
  expect(finding, `not among ${said.map((f) => `${f.outcome} ${f.id}`).join(", ") || "no findings"}`).toBeDefined();
  if (finding === undefined) return;
  expect(finding.message.length).toBeGreaterThan(10);
  expect(finding.message).not.toMatch(/NaN|undefined|null|Infinity|\[object/);
  if (wanted.family !== undefined) expect(finding.family).toBe(wanted.family);
  if (wanted.outcome === "undetermined")
    expect(finding.settledBy?.length, "an undetermined outcome names what would settle it").toBeGreaterThan(0);
  if (wanted.settledBy !== undefined)
    expect(
      (finding.settledBy ?? [])
        .map((settle) => (finding.family === "method" ? settle.decision : settle.pointer))
        .sort(),
    ).toEqual([...wanted.settledBy].sort());
  for (const [name, best] of Object.entries(wanted.evidence ?? {})) {
    const evidence = finding.evidence.find((entry) => entry.name === name);
    expect(evidence, `no evidence ${name} among ${finding.evidence.map((e) => e.name).join(", ")}`).toBeDefined();
    if (evidence) expect(nearly(evidence.best, best), `${name}: ${evidence.best}, expected ${best}`).toBe(true);
  }
  for (const words of wanted.says ?? []) expect(finding.message).toContain(words);
  for (const step of wanted.remedy ?? []) {
    const found = finding.remedy.find((entry) => entry.action === step.action && entry.on === step.on);
    expect(found, `no step ${step.action} ${step.on} in ${JSON.stringify(finding.remedy)}`).toBeDefined();
    if (found && step.amount !== undefined)
      expect(nearly(found.amount ?? Number.NaN, step.amount), `${found.amount}, expected ${step.amount}`).toBe(true);
  }
};

/**
 * Runs a rule's fixtures as a truth table through the whole audit. `words` is all that the rule can say: a word that no
 * fixture reaches fails, and so does a word that a fixture makes it say without being listed.
 */
export const truthTable = (rule: string, words: readonly Word[]): void => {
  describe(rule, () => {
    const files = fixtureFiles(rule);
    const said = new Set<string>();
    it.each(files)("%s", (file) => {
      const fixture = readFixture(rule, file);
      const result = auditOf(fixture.document);
      for (const word of wordsSaid(result, rule)) said.add(word);
      expect(fixture.about.length, "a fixture says what it shows").toBeGreaterThan(20);
      check(rule, file, fixture, result);
    });
    it("reaches every outcome that it can speak, and no other", () => {
      const named = words.filter((word) => files.some((file) => file.startsWith(`${word}-`)));
      expect(named, "outcomes with a fixture").toEqual(words);
      expect([...said].sort(), "outcomes reached").toEqual([...words].sort());
    });
  });
};
