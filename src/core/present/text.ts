import type { Audit, AuditFinding, AuditSubject } from "../audit/answer.js";
import { counted, hanging, some, wrapped } from "./layout.js";
import { painter, type Tone } from "./paint.js";
import { plain } from "./plain.js";
import {
  blindSpots,
  closeness,
  exposureWords,
  familyWords,
  kindWords,
  passMark,
  settlement,
  severities,
  severityMarks,
  severityWords,
  share,
  undeterminedMark,
  verdictWords,
} from "./words.js";

export interface TextOptions {
  /** columns to wrap to */
  readonly width: number;
  /** terminal color; the text says the same without it */
  readonly color: boolean;
}

/** How many subjects, settlements and survey lines are named before the rest is counted. */
const most = { subjects: 6, settlements: 6, steps: 8, survey: 10, applies: 4 } as const;

/**
 * An audit as a person reads it: who was judged by what, then the findings from the worst, each with where, how much,
 * against which limit and what to do, then what is still to be surveyed, what was assumed and what can hurt.
 * Arranges the audit and computes nothing; text from the document is made plain before it is printed.
 * Lines are at most `width` columns (40 or more) and end in no space; the last ends in a line feed.
 */
export const renderText = (audit: Audit, options: TextOptions): string => {
  const page = new Page(options);
  heading(page, audit);
  const failing = audit.findings.filter((finding) => finding.outcome === "fail");
  const open = audit.findings.filter((finding) => finding.outcome === "undetermined");
  const passing = audit.findings.filter((finding) => finding.outcome === "pass");
  section(page, `What fails (${failing.length})`, failing);
  section(page, `What could not be decided (${open.length})`, open);
  section(page, `What holds (${passing.length})`, passing);
  toSurvey(page, audit);
  assumptions(page, audit);
  list(page, "Before anybody works on it", audit.cautions.map(plain));
  list(page, "What this audit cannot see", blindSpots);
  return page.text();
};

class Page {
  readonly #lines: string[] = [];
  readonly #width: number;
  readonly #paint: (text: string, tone: Tone) => string;

  constructor({ width, color }: TextOptions) {
    this.#width = Number.isFinite(width) ? Math.max(24, Math.floor(width)) : 80;
    this.#paint = painter(color);
  }

  say(sentence: string, tone?: Tone): void {
    this.#add(wrapped(sentence, this.#width), tone);
  }

  hang(lead: string, body: string, tone?: Tone): void {
    this.#add(hanging(lead, body, this.#width), tone);
  }

  /** A labelled part of the heading or of a finding. */
  field(indent: string, label: string, body: string): void {
    this.hang(`${indent}${label.padEnd(labelWidth)}`, body);
  }

  gap(): void {
    this.#lines.push("");
  }

  title(text: string): void {
    this.gap();
    this.say(text, "light");
    this.#lines.push(this.#paint("~".repeat(Math.min(text.length, this.#width)), "faint"));
  }

  text(): string {
    return `${this.#lines.join("\n")}\n`;
  }

  #add(lines: readonly string[], tone?: Tone): void {
    for (const line of lines) this.#lines.push(tone === undefined ? line : this.#paint(line, tone));
  }
}

const labelWidth = 9;

const heading = (page: Page, audit: Audit): void => {
  const { network, profile, counts } = audit;
  page.say(
    network.name === null ? plain(network.id) : `${plain(network.name)} (${plain(network.id)})`,
    audit.verdict === "faulty" ? "loud" : "light",
  );
  page.field("", "Stage", audit.stage);
  const own =
    profile.overridden.length === 0 ? "" : `; the firm's own figures: ${profile.overridden.map(plain).join(", ")}`;
  page.field("", "Profile", `${plain(profile.id)}, ${plain(profile.edition)}${own}`);
  page.field("", "Verdict", verdictWords[audit.verdict]);
  if (audit.exposure !== null) page.field("", "Exposure", exposureLine(audit.exposure));
  if (audit.decidedShare !== null)
    page.field("", "Decided", `${share(audit.decidedShare)} of what the rules looked at`);
  page.field("", "Failing", severities.map((severity) => `${counts[severity]} ${severityWords[severity]}`).join(" · "));
  page.field("", "Open", `${counts.undetermined} undetermined`);
  page.field("", "Rules", rulesLine(audit));
};

const exposureLine = ({ state, worst, pipes }: NonNullable<Audit["exposure"]>): string => {
  if (worst === null) return exposureWords[state];
  const first = worst.openings.slice(0, 3).map(plain).join(", ");
  const more = worst.openings.length > 3 ? ` and ${worst.openings.length - 3} more` : "";
  const drains = pipes === 1 ? "one drain" : `any of ${pipes} drains`;
  return `${exposureWords[state]}, if ${drains} blocked; worst ${plain(worst.pipe)}, spilling first at ${first}${more}.`;
};

const rulesLine = (audit: Audit): string => {
  const idle = audit.rules.filter((tally) => tally.outcome === "not-applicable").length;
  const broken = audit.rules.filter((tally) => tally.outcome === "broken").map((tally) => tally.rule);
  const judged = audit.rules.length - idle - broken.length;
  const parts = [`${judged} judged`, `${idle} had nothing to look at`];
  if (broken.length > 0) parts.push(`${broken.length} broke, by a fault of this program: ${broken.join(", ")}`);
  return parts.join(", ");
};

const section = (page: Page, title: string, findings: readonly AuditFinding[]): void => {
  if (findings.length === 0) return;
  page.title(title);
  findings.forEach((finding, row) => {
    if (row > 0) page.gap();
    writeFinding(page, finding);
  });
};

const body = "   ";

const writeFinding = (page: Page, finding: AuditFinding): void => {
  page.hang(`${markOf(finding)} `, `${titleOf(finding)} · ${plain(finding.id)}`, toneOf(finding));
  page.hang(body, plain(finding.message));
  const where = subjectWords(finding.subject);
  if (where !== "") page.field(body, "At", where);
  const limits = limitWords(finding);
  if (limits !== "") page.field(body, "Limit", limits);
  if (finding.outcome === "undetermined" && finding.family !== undefined)
    page.field(body, "Because", familyWords[finding.family]);
  const settled = finding.settledBy ?? [];
  settled.slice(0, most.settlements).forEach((step, row) => {
    page.field(body, row === 0 ? "Settle" : "", plain(settlement(step)));
  });
  if (settled.length > most.settlements) page.field(body, "", `and ${settled.length - most.settlements} more`);
  finding.remedy.slice(0, most.steps).forEach((step, row) => {
    page.field(body, row === 0 ? "Do" : "", plain(step.text));
  });
  if (finding.remedy.length > most.steps) page.field(body, "", `and ${finding.remedy.length - most.steps} more`);
  finding.consequences.forEach((effect, row) => {
    const words = `${plain(effect.rule)}, ${severityWords[effect.severity]}: ${plain(effect.message)}`;
    page.field(body, row === 0 ? "Hence" : "", words);
  });
};

const markOf = (finding: AuditFinding): string => {
  if (finding.outcome === "fail") return severityMarks[finding.severity];
  return finding.outcome === "pass" ? passMark : undeterminedMark;
};

const titleOf = (finding: AuditFinding): string => {
  const severity = severityWords[finding.severity];
  const kind = kindWords[finding.kind];
  const words = {
    fail: severity,
    undetermined: `undetermined; if it fails: ${severity}`,
    pass: "holds",
  }[finding.outcome];
  return kind === null ? words.toUpperCase() : `${words.toUpperCase()} (${kind})`;
};

const toneOf = (finding: AuditFinding): Tone => {
  if (finding.outcome !== "fail") return "light";
  if (finding.severity === "critical") return "loud";
  return finding.severity === "major" ? "heavy" : "light";
};

const subjectWords = (subject: AuditSubject): string =>
  [named(subject.fanCoils, "coil"), named(subject.nodes, "node"), named(subject.pipes, "pipe")]
    .filter((part) => part !== "")
    .join("; ");

const named = (ids: readonly string[], noun: string): string =>
  ids.length === 0 ? "" : `${noun}${ids.length === 1 ? "" : "s"} ${some(ids.map(plain), most.subjects)}`;

const limitWords = (finding: AuditFinding): string => {
  const limits = finding.evidence.flatMap(({ limit }) =>
    limit === undefined ? [] : [`${plain(limit.name)} (${plain(limit.source)})`],
  );
  return [...new Set(limits)].join("; ");
};

const toSurvey = (page: Page, audit: Audit): void => {
  const { length } = audit.toSurvey;
  if (length === 0) return;
  page.title(`What to survey next (${counted(length, "figure")})`);
  for (const { pointer, for: rules, within } of audit.toSurvey.slice(0, most.survey)) {
    const how = within === null ? "" : ` ${closeness(pointer, within)}`;
    page.hang("  ", `${plain(pointer)}${how}, for ${some(rules.map(plain), most.applies)}`);
  }
  if (length > most.survey) page.hang("  ", `and ${length - most.survey} more`);
};

const assumptions = (page: Page, audit: Audit): void => {
  if (audit.assumptions.length === 0) return;
  page.title("What was assumed");
  for (const { name, value, unit, appliesTo, source } of audit.assumptions) {
    const figure = typeof value === "number" ? String(Number(value.toPrecision(4))) : plain(String(value));
    const scope = appliesTo.length === 0 ? "" : ` for ${some(appliesTo.map(plain), most.applies)}`;
    page.hang("  ", `${plain(name)}: ${figure}${unit === null ? "" : ` ${unit}`}${scope} (${plain(source)})`);
  }
};

const list = (page: Page, title: string, sentences: readonly string[]): void => {
  if (sentences.length === 0) return;
  page.title(title);
  for (const sentence of sentences) page.hang("  ", sentence);
};
