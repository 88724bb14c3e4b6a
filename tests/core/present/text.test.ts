import { stripVTControlCharacters } from "node:util";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { renderText } from "../../../src/core/present/text.js";
import type { Severity } from "../../../src/core/rules/rule.js";
import { auditWith, findingWith, fullAudit } from "./audits.js";

const text = (audit = fullAudit, width = 80) => renderText(audit, { width, color: false });
const flat = (page: string) => page.replace(/\s+/g, " ");
const columns = (line: string) => [...line].length;

describe("the text form", () => {
  it("opens with who was judged, by what, and the verdict in words", () => {
    const [first, ...rest] = text().split("\n");
    expect(first).toBe("Lindenrow House 3 (lindenrow-3)");
    const head = flat(rest.slice(0, 12).join("\n"));
    expect(head).toContain("Stage as-built");
    expect(head).toContain("Profile imc, 2021; the firm's own figures: fall.minimumGrade");
    expect(head).toContain("Verdict Faulty");
    expect(head).toContain("1 water will escape · 1 will fail in use · 1 good practice · 1 advice");
    expect(head).toContain("3 undetermined");
    expect(head).toContain("1 judged, 1 had nothing to look at, 1 broke, by a fault of this program: fall.budget");
  });

  it("never rounds the decided share up to all or down to none", () => {
    expect(text(auditWith({ decidedShare: 0.996 }))).toContain("99 % of");
    expect(text(auditWith({ decidedShare: 0.001 }))).toContain("under 1 % of");
    expect(text(auditWith({ decidedShare: 1 }))).toContain("100 % of");
    expect(text(auditWith({ decidedShare: 0 }))).toContain("0 % of");
    expect(text(auditWith({ decidedShare: null }))).not.toContain("Decided");
  });

  it("keeps the order of the audit, failing before undetermined before passing", () => {
    const page = text();
    const places = [
      "What fails (5)",
      "path.no-outlet~f:0301",
      "fall.reverse~p:P-14",
      "air.vent-capped~n:V-1",
      "path.dead-leg~p:P-9",
      "What could not be decided (3)",
      "seal.missing~f:0402",
      "fall.below-minimum~p:P-3",
      "What holds (1)",
      "fall.reverse~p:P-15",
      "What to survey next (14 figures)",
      "What was assumed",
      "Before anybody works on it",
      "What this audit cannot see",
    ].map((words) => page.indexOf(words));
    expect(places).not.toContain(-1);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  it("says of a finding what, where, against which limit, what to do and what follows from it", () => {
    const page = flat(text());
    expect(page).toContain("P-14 rises 14 mm in the direction of flow");
    expect(page).toContain("At pipe P-14");
    expect(page).toContain("Limit fall.backFallIgnored (common-practice)");
    expect(page).toContain("Do Raise N-2 by 14 mm.");
    expect(page).toContain("Hence fall.standing-water, will fail in use: Water stands 14 mm deep at N-2.");
    expect(page).toContain("air.trapped, will fail in use: Air is locked");
  });

  it("says of an undetermined finding why and what settles it", () => {
    const page = flat(text());
    expect(page).toContain("Because A figure is missing. Settle find out /nodes/7/panStatic");
    expect(page).toContain("Because The margin is smaller than the survey can tell.");
    expect(page).toContain("Settle decide (/pipes/1): The authority says by which method this pipe is sized.");
  });

  it("asks for a reading no coarser than the one that settles it, in both unit systems", () => {
    // 2.59 mm, and 0.00259 m / 0.0254 m per in = 0.1019 in: both cut, not rounded.
    expect(flat(text())).toContain("re-measure /nodes/9/elevation to within 2.5 mm (0.1 in)");
    const pressure = findingWith({
      outcome: "undetermined",
      family: "tolerance",
      settledBy: [{ pointer: "/nodes/1/panStatic", within: 25 }],
    });
    // 25 Pa / 249.08891 Pa per inH2O (conventional, 4 °C) = 0.10037
    expect(flat(text(auditWith({ findings: [pressure] })))).toContain("to within 25 Pa (0.1 inH2O)");
  });

  it("counts what it does not list", () => {
    const page = flat(text());
    expect(page).toContain("/nodes/9/elevation, for fall.reverse and fall.budget");
    expect(page).not.toContain("/nodes/10/elevation, for");
    expect(page).toContain("and 4 more");
    expect(page).toContain("for 0301, 0302, 0303, 0304 and 2 more");
    const step = (k: number) => ({ action: "interlock-device", on: `S-${k}`, text: `Wire S-${k}.`, clears: [] });
    const steps = (count: number) =>
      flat(text(auditWith({ findings: [findingWith({ remedy: Array.from({ length: count }, (_, k) => step(k)) })] })));
    expect(steps(8)).not.toContain("more");
    expect(steps(9)).toContain("Wire S-7. and 1 more");
    expect(steps(9)).not.toContain("Wire S-8.");
  });

  it.each([
    ["critical", "|####| WATER WILL ESCAPE"],
    ["major", "|### | WILL FAIL IN USE"],
    ["minor", "|##  | GOOD PRACTICE"],
    ["advice", "|#   | ADVICE"],
  ] satisfies [Severity, string][])("marks and names %s without color", (severity, heading) => {
    expect(text(auditWith({ findings: [findingWith({ severity })] }))).toContain(heading);
  });

  it("does not let an undetermined, a passing or a contingent finding look like a failure that is so now", () => {
    const page = text();
    const line = (id: string) => page.split("\n").find((one) => one.includes(id));
    expect(line("seal.missing~f:0402")).toMatch(/^\| {2}\? \| UNDETERMINED; IF IT FAILS: WATER WILL ESCAPE/);
    expect(line("fall.reverse~p:P-15")).toMatch(/^\| {4}\| HOLDS/);
    expect(line("seal.dry-out~n:T-1")).toContain("(if something blocks, fails or dries out)");
  });

  it.each([
    ["faulty", /^Verdict\s+Faulty/m],
    ["undetermined", /^Verdict\s+Undetermined/m],
    ["no-fault-found", /^Verdict\s+No fault found/m],
    ["nothing-judged", /^Verdict\s+Nothing judged/m],
  ] as const)("has a sentence for the verdict %s that promises nothing", (verdict, sentence) => {
    const page = text(auditWith({ verdict }));
    expect(page).toMatch(sentence);
    expect(page).not.toMatch(/\b(safe|sound|compliant|approved|certified)\b/i);
  });

  it("leaves out the sections that have nothing to say", () => {
    const page = text(auditWith());
    for (const title of [
      "What fails",
      "could not be decided",
      "What holds",
      "survey next",
      "assumed",
      "Before anybody",
    ])
      expect(page).not.toContain(title);
    expect(page).toContain("What this audit cannot see");
  });
});

describe("the lines of the text form", () => {
  it.each([40, 80, 120])("are at most %i columns, end in no space, and lose no word", (width) => {
    const page = text(fullAudit, width);
    expect(page.endsWith("\n")).toBe(true);
    for (const line of page.split("\n")) {
      expect(columns(line)).toBeLessThanOrEqual(width);
      expect(line).toBe(line.trimEnd());
    }
    const solid = (words: string) => words.replace(/[\s~]/g, "");
    expect(solid(page)).toBe(solid(text(fullAudit, 1000)));
  });

  it("hang below the first word of what they continue", () => {
    const lines = text(fullAudit, 40).split("\n");
    const row = lines.findIndex((line) => line.startsWith("   Hence    "));
    expect(row).toBeGreaterThan(0);
    expect(lines[row + 1]).toMatch(/^ {12}\S/);
  });

  it("carry no escape without color, and the same words with it", () => {
    const colored = renderText(fullAudit, { width: 80, color: true });
    expect(text()).not.toContain("\u001b");
    expect(colored).toContain("\u001b[");
    expect(stripVTControlCharacters(colored)).toBe(text());
    // Every line that sets a tone ends it, so that a cut-off page leaves the terminal as it was.
    for (const line of colored.split("\n"))
      expect(line.split("\u001b[0m").length * 2 - 1).toBe(line.split("\u001b[").length);
  });

  it("wrap at wide characters by their columns", () => {
    const message = "排水管".repeat(30);
    const page = text(auditWith({ findings: [findingWith({ message })] }), 40);
    const widest = Math.max(...page.split("\n").map((line) => line.match(/[排水管]/g)?.length ?? 0));
    expect(widest).toBeLessThanOrEqual(18);
    expect(widest).toBeGreaterThan(10);
  });
});

describe("hostile names", () => {
  const names: [string, string, string][] = [
    ["an escape sequence", "A\u001b[2J\u001b[31mB", "A<U+001B>[2J<U+001B>[31mB"],
    ["a one-byte control sequence", "A\u009b31mB", "A<U+009B>31mB"],
    ["a bell, a return and a line feed", "A\u0007\r\nB", "A<U+0007><U+000D><U+000A>B"],
    ["a bidirectional override", "A\u202eB\u2066C", "A<U+202E>B<U+2066>C"],
    ["zero-width characters", "A\u200bB\ufeffC", "A<U+200B>B<U+FEFF>C"],
    ["tag characters", "A\u{e0041}B", "A<U+E0041>B"],
    ["half a surrogate pair", "A\ud800B", "A<U+D800>B"],
    ["line separators", "A\u2028B\u2029C", "A<U+2028>B<U+2029>C"],
  ];
  it.each(names)("%s is shown, not obeyed", (_, name, shown) => {
    const finding = findingWith({
      id: `fall.reverse~p:${name}`,
      message: `${name} rises.`,
      subject: { fanCoils: [name], nodes: [name], pipes: [name] },
      settledBy: [{ pointer: `/nodes/${name}`, decision: name }],
      remedy: [{ action: "decide", on: name, text: `Re-hang ${name}.`, clears: [] }],
      consequences: [
        { rule: "air.trapped", severity: "minor", subject: { fanCoils: [], nodes: [], pipes: [] }, message: name },
      ],
    });
    const page = text(
      auditWith({
        network: { id: name, name, digest: "" },
        profile: { id: name, edition: name, overridden: [name] },
        findings: [finding],
        toSurvey: [{ pointer: `/${name}`, for: [name], within: null }],
        assumptions: [{ name, value: name, unit: null, appliesTo: [name], source: name }],
        cautions: [name],
      }),
      400,
    );
    expect(page.split(shown).length - 1).toBeGreaterThanOrEqual(17);
    expect(page).not.toMatch(/[^\n\P{Cc}]|[\p{Cf}\p{Zl}\p{Zp}\p{Cs}]/u);
  });

  it("leave letters of every script as they are", () => {
    expect(text(auditWith({ network: { id: "ß-Ж", name: "Élan עברית العربية 排水 ½″ −3", digest: "" } }))).toContain(
      "Élan עברית العربية 排水 ½″ −3 (ß-Ж)",
    );
  });

  it("never break the page, whatever they hold", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 300 }), fc.integer({ min: 40, max: 140 }), (name, width) => {
        const page = text(
          auditWith({
            network: { id: name, name, digest: "" },
            findings: [findingWith({ message: name, subject: { fanCoils: [name], nodes: [], pipes: [] } })],
          }),
          width,
        );
        expect(page).not.toMatch(/[^\n\P{Cc}]|[\p{Cf}\p{Zl}\p{Zp}\p{Cs}]/u);
        for (const line of page.split("\n")) expect(line).toBe(line.trimEnd());
        expect(page).toContain("What this audit cannot see");
      }),
      { numRuns: 200 },
    );
  });
});
