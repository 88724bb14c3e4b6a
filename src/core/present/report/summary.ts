import type { Audit } from "../../audit/answer.js";
import type { Audited } from "../../audit/run.js";
import type { Stage } from "../../network/model.js";
import type { UnitSystem } from "../../quantity/unit-system.js";
import { dateWords } from "../dates.js";
import { type Content, type Html, html } from "../html.js";
import { counted } from "../layout.js";
import { markOf, severityMark } from "../severity-marks.js";
import { exposureWords, severities, severityWords, share, verdictWords } from "../words.js";
import { ruleTitle } from "./findings.js";
import { idList } from "./schedule.js";

/** Which state of a stored building it is. */
export interface RevisionWords {
  readonly number: number;
  /** RFC 3339 */
  readonly at: string;
  readonly by: string;
}

const STAGES: Readonly<Record<Stage, string>> = {
  design: "Design: the network as it is drawn",
  "as-built": "As built: the network as it was surveyed",
  "in-service": "In service: the network as it is kept",
};

const UNITS: Readonly<Record<UnitSystem, string>> = {
  si: "SI. Levels are of the document's own datum.",
  us: "US customary. Levels are of the document's own datum.",
};

/** The first findings that somebody must act on. */
const FIRST = 6;
/** What to do about each that is told before the rest is counted. */
const STEPS = 3;

/** What whoever signs must have read: verdict, exposure, how much was decided, what to do first. */
export const summary = (
  { audit, net }: Audited,
  { date, revision }: { readonly date: string | undefined; readonly revision: RevisionWords | undefined },
): Html => {
  const { network, profile } = audit;
  const failing = audit.findings.flatMap((finding, position) =>
    finding.outcome === "fail" ? [{ finding, position }] : [],
  );
  const grave = failing.filter(({ finding }) => finding.severity === "critical" || finding.severity === "major");
  return html`<header>
<p class="kicker">Audit of condensate drains</p>
<h1>${network.name ?? network.id}</h1>
<dl class="facts">
<dt>Network</dt><dd><span class="id">${network.id}</span></dd>
${
  revision !== undefined &&
  html`<dt>Revision</dt><dd>${`${revision.number}, of ${dateWords(revision.at)}, by ${revision.by}`}</dd>
`
}<dt>Stage</dt><dd>${STAGES[audit.stage]}</dd>
<dt>Judged by</dt><dd>${`Profile ${profile.id}, ${profile.edition}`}${
    profile.overridden.length > 0 && html`; the firm's own figures replace ${profile.overridden.join(", ")}`
  }</dd>
<dt>Units</dt><dd>${UNITS[net.model.units]}</dd>
${
  date !== undefined &&
  html`<dt>Made on</dt><dd>${dateWords(date)}</dd>
`
}</dl>
</header>
<section>
<h2 id="summary">Summary</h2>
<dl class="facts verdict">
<dt>Verdict</dt><dd><strong>${verdictWords[audit.verdict]}</strong></dd>
<dt>If a drain blocks</dt><dd>${exposure(audit)}</dd>
<dt>Decided</dt><dd>${decided(audit)}</dd>
<dt>Fails</dt><dd><ul class="counts">${severities.map(
    (severity) =>
      html`<li class="tag ${severity}">${severityMark(severity)}<span>${audit.counts[severity]} ${severityWords[severity]}</span></li>`,
  )}</ul></dd>
<dt>Open</dt><dd><span class="tag undetermined">${severityMark("undetermined")}<span>${audit.counts.undetermined} not decided</span></span></dd>
<dt>Rules</dt><dd>${rulesLine(audit)}</dd>
</dl>
${
  grave.length > 0 &&
  html`<h3>What to act on first</h3>
<div class="scroll" tabindex="0" role="group" aria-label="What to act on first"><table class="first">
<thead><tr><th scope="col">Finding</th><th scope="col">What</th><th scope="col">What to do</th></tr></thead>
<tbody>${grave.slice(0, FIRST).map(
    ({
      finding,
      position,
    }) => html`<tr><th scope="row"><a class="tag" href="#finding-${position + 1}">${severityMark(markOf(finding))}${position + 1}</a></th><td><strong>${ruleTitle(finding.rule)}.</strong> ${finding.message}</td><td>${finding.remedy.slice(0, STEPS).map((step, k) => html`${k > 0 && " "}${step.text}`)}${finding.remedy.length > STEPS && ` And ${finding.remedy.length - STEPS} more.`}</td></tr>
`,
  )}</tbody></table></div>
${grave.length > FIRST && html`<p>${`${grave.length - FIRST} more that let water escape or fail in use follow among the findings.`}</p>`}`
}
<div class="signing">
<h3>Before anybody works on it</h3>
<ul>${audit.cautions.map((caution) => html`<li>${caution}</li>`)}</ul>
<h3>Read and accepted</h3>
<table class="sign"><caption>Whoever signs has read the findings, the open questions and the assumptions. A signature here approves nothing that the authority having jurisdiction must approve.</caption>
<tbody><tr><th scope="row">Name and license</th><td></td></tr><tr><th scope="row">Date</th><td></td></tr><tr><th scope="row">Signature</th><td></td></tr></tbody></table>
</div>
</section>
`;
};

const exposure = ({ exposure }: Audit): Content => {
  if (exposure === null) return "No drain below a fan coil was there to judge.";
  const { state, worst, pipes } = exposure;
  if (worst === null) return exposureWords[state];
  const drains = pipes === 1 ? "one drain" : `any of ${pipes} drains`;
  return html`${exposureWords[state]}, if ${drains} blocked. Worst is <bdi class="id">${worst.pipe}</bdi>: it spills first at ${idList(worst.openings)}.`;
};

const decided = ({ decidedShare, toSurvey }: Audit): string => {
  const open = toSurvey.length === 0 ? "" : ` ${counted(toSurvey.length, "figure")} to survey would tell more.`;
  return decidedShare === null
    ? `Nothing was there to decide.${open}`
    : `${share(decidedShare)} of what the rules looked at.${open}`;
};

const rulesLine = ({ rules }: Audit): string => {
  const idle = rules.filter((tally) => tally.outcome === "not-applicable").length;
  const broken = rules.filter((tally) => tally.outcome === "broken").map((tally) => tally.rule);
  const parts = [`${rules.length - idle - broken.length} judged`, `${idle} had nothing to look at`];
  if (broken.length > 0) parts.push(`${broken.length} broke, by a fault of this program: ${broken.join(", ")}`);
  return `${parts.join(", ")}.`;
};
