import type { Audit } from "../../audit/answer.js";
import { type Audited, auditedCase } from "../../audit/run.js";
import type { Problem } from "../../network/model.js";
import { findingDetail } from "../drawing/finding-detail.js";
import { riserDrawing } from "../drawing/riser-diagram.js";
import { drawingStyle } from "../drawing/style.js";
import { type Html, html } from "../html.js";
import { htmlPage, runningFoot } from "../page.js";
import { blindSpots } from "../words.js";
import { coilSchedule } from "./coil-schedule.js";
import { findingArticle } from "./findings.js";
import { assumptions, rulesAsked, sourcesUsed } from "./grounds.js";
import { pipeSchedule } from "./pipe-schedule.js";
import { reportStyle } from "./report-style.js";
import { findingsAt, scheduleTable } from "./schedule.js";
import { inPage, onSheets } from "./sheets.js";
import { type RevisionWords, summary } from "./summary.js";
import { surveyList } from "./survey-list.js";
import { trapSchedule } from "./trap-schedule.js";

export interface ReportOptions {
  /** id of a profile that replaces the document's */
  readonly profile?: string;
  /** day on which it is made, `2026-11-26`; without it the report has no date */
  readonly date?: string;
  /** of a stored building */
  readonly revision?: RevisionWords;
}

export type ReportResult =
  | { readonly ok: true; readonly html: string; readonly audit: Audit }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * Audits a network document (a parsed JSON value) and prints the audit as one HTML file without script or outside
 * resources: on screen, and on A4 or Letter paper. Pure: the same document and options give the same bytes.
 * @returns the file, or every problem of the document with its JSON pointer (at most 100 listed, `total` counted)
 */
export function report(document: unknown, options: ReportOptions = {}): ReportResult {
  const made = auditedCase(document, { profile: options.profile });
  if (!made.ok) return made;
  return { ok: true, audit: made.audited.audit, html: renderReport(made.audited, document, options) };
}

/** px across paper held upright: its smallest text is still read there. */
const DIAGRAM_WIDTH = 820;
/** px of about four sheets of paper */
const DIAGRAM_HEIGHT = 4000;
/** px across half of it, beside what is said. */
const DETAIL_WIDTH = 480;

interface Section {
  readonly id: string;
  readonly title: string;
  readonly body: Html;
  /** printed across the paper */
  readonly across?: true;
}

const renderReport = (audited: Audited, document: unknown, { date, revision }: ReportOptions): string => {
  const { audit } = audited;
  const { network, engine } = audit;
  const sections = sectionsOf(audited, document);
  return htmlPage({
    title: `${network.name ?? network.id}: audit of condensate drains`,
    style: `${reportStyle}${drawingStyle}${runningFoot(network, date)}`,
    body: html`<a class="skip" href="#summary">To the summary</a>
<main>
${summary(audited, { date, revision })}
<nav class="contents screen" aria-label="Contents"><ol>${sections.map(({ id, title }) => html`<li><a href="#${id}">${title}</a></li>`)}</ol></nav>
${sections.map(
  ({ id, title, body, across }) => html`<section${across && html` class="across"`}>
<h2 id="${id}">${title}</h2>
${body}
</section>
`,
)}</main>
<footer><p class="soft"><small>${`${engine.name} ${engine.version}, rules ${engine.catalogue}; document ${network.digest}`}</small></p></footer>`,
  });
};

const sectionsOf = (audited: Audited, document: unknown): Section[] => {
  const { audit } = audited;
  const kinds = audited.evidenceKinds();
  const articles = (outcome: "fail" | "undetermined"): Html =>
    html`${audit.findings.map((finding, position) =>
      finding.outcome === outcome
        ? findingArticle(audited, position, kinds[position]!, detail(audited, finding.id))
        : null,
    )}`;
  const failing = audit.findings.filter(({ outcome }) => outcome === "fail").length;
  const open = audit.findings.filter(({ outcome }) => outcome === "undetermined").length;
  const at = findingsAt(audited);
  return [
    {
      id: "diagram",
      title: "Riser diagram",
      body: onSheets(riserDrawing(audited, { width: DIAGRAM_WIDTH, highest: DIAGRAM_HEIGHT }), "Riser diagram"),
    },
    {
      id: "fails",
      title: `What fails (${failing})`,
      body: failing === 0 ? html`<p>Nothing that could be decided.</p>` : articles("fail"),
    },
    {
      id: "open",
      title: `What could not be decided (${open})`,
      body: open === 0 ? html`<p>Nothing.</p>` : articles("undetermined"),
    },
    { id: "coils", title: "Fan coils", body: scheduleTable(audited, coilSchedule(audited, at)), across: true },
    { id: "traps", title: "Traps", body: scheduleTable(audited, trapSchedule(audited, at)), across: true },
    { id: "pipes", title: "Pipes", body: scheduleTable(audited, pipeSchedule(audited, at)), across: true },
    ...(audit.toSurvey.length === 0
      ? []
      : [{ id: "survey", title: "What to survey", body: surveyList(audited, document) }]),
    { id: "assumed", title: "What was assumed", body: assumptions(audited) },
    { id: "asked", title: "What was asked", body: rulesAsked(audited) },
    { id: "sources", title: "Sources", body: sourcesUsed(audited) },
    {
      id: "unseen",
      title: "What this audit cannot see",
      body: html`<ul>${blindSpots.map((spot) => html`<li>${spot}</li>`)}</ul>`,
    },
  ];
};

const detail = (audited: Audited, finding: string): Html | null => {
  const picture = findingDetail(audited, finding, { width: DETAIL_WIDTH });
  return picture === null ? null : html`<figure>${inPage(picture)}</figure>`;
};
