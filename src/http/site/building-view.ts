import { type Html, html, type Mark, severityMark, severityWords, verdictWords } from "../../core/index.js";
import type { LivingFinding } from "../../service/findings.js";
import type { HealthReason } from "../../service/health.js";
import type { KeptRevision, Overview, StateSpan } from "../../service/overview.js";
import type { Observation } from "../../service/shelves.js";
import { pathTo, stateTag, steps, timeIn } from "./frame.js";

/** One building: how it is and why, what to do, what fails, its drains drawn, and what came before. */
export const buildingView = (overview: Overview): Html => {
  const { building, health, states, open, more, waived, revisions, observations, dwellings, risers, numbers } =
    overview;
  const time = timeIn(building.timeZone);
  const own = (...ids: readonly string[]): string => pathTo("buildings", building.id, ...ids);
  return html`<p><span class="id">${building.id}</span>${building.tags.length > 0 && ` · ${building.tags.join(", ")}`}</p>
<p><small>${`Times are those of ${building.timeZone}. As of ${time(health.at)}.`}</small></p>
<section><h2 id="health">How it is</h2>
<p class="state">${stateTag(health.state)}</p>
${reasonsBeside(health.reasons, time)}
<h3>What to do next</h3>
${steps(health.next, STEPS)}
</section>
${
  building.revision > 0 &&
  html`<section><h2 id="diagram">Riser diagram</h2>
<div class="picture" tabindex="0" role="group" aria-label="Riser diagram"><img src="${own("riser.svg")}" alt="Riser diagram of revision ${building.revision}. The findings that it marks stand below under their numbers."></div>
<ul class="links"><li><a href="${own("riser.svg")}">The diagram by itself</a></li><li><a href="${own("report")}">The report to print</a></li></ul>
${
  risers.length > 0 &&
  html`<h3>Sheets of single risers</h3>
<ul class="links">${risers.map((riser) => html`<li><a class="id" href="${own("riser.svg")}?riser=${encodeURIComponent(riser)}">${riser}</a></li>`)}</ul>`
}
</section>
`
}<section><h2 id="findings">What fails (${open.length + more})</h2>
${open.length === 0 ? html`<p>No finding is open.</p>` : html`<ul class="entries">${open.map((finding) => findingEntry(finding, numbers))}</ul>`}
${more > 0 && html`<p>${`${more} more stand in the report.`}</p>`}
${
  waived.length > 0 &&
  html`<h3>Let be (${waived.length})</h3>
<ul class="entries">${waived.map((finding) => waivedEntry(finding, numbers, time))}</ul>`
}
</section>
${
  dwellings.length > 0 &&
  html`<section><h2 id="dwellings">Dwellings</h2>
<ul class="links">${dwellings.map((dwelling) => html`<li><a href="${own("dwellings", dwelling)}">${dwelling}</a></li>`)}</ul>
</section>
`
}<section><h2 id="history">What came before</h2>
<h3>State over the last year</h3>
${states.length === 0 ? html`<p>It has not been kept long enough to tell.</p>` : html`<ul>${states.map((span) => spanEntry(span, time))}</ul>`}
<h3>Revisions</h3>
${revisions.length === 0 ? html`<p>None yet.</p>` : html`<ul class="entries">${revisions.map((revision) => revisionEntry(revision, time))}</ul>`}
<h3>Observations of the last 90 days</h3>
${observations.length === 0 ? html`<p>None.</p>` : html`<ul class="entries">${observations.map((seen) => observationEntry(seen, time))}</ul>`}
</section>`;
};

/** What to do that is told before the rest is counted. */
const STEPS = 12;

/** The reasons, but for the findings, which stand below in full. */
const reasonsBeside = (reasons: readonly HealthReason[], time: Clock): Html => {
  const others = reasons.filter(({ kind }) => kind !== "finding");
  const fails = reasons.length - others.length;
  if (fails === 0) return reasonList(others, time);
  const told = html`<p><a href="#findings">${fails === 1 ? "One finding that fails" : `${fails} findings that fail`}</a></p>`;
  return others.length === 0 ? told : html`${reasonList(others, time)}${told}`;
};

type Clock = (time: Date | string) => string;

export const reasonList = (reasons: readonly HealthReason[], time: Clock): Html =>
  reasons.length === 0
    ? html`<p>Nothing speaks against it.</p>`
    : html`<ul class="entries">${reasons.map(
        ({ kind, since, text }) =>
          html`<li><p>${text}</p><p><small>${`${KINDS[kind]}, since ${time(since)}`}</small></p></li>`,
      )}</ul>`;

const KINDS: Readonly<Record<HealthReason["kind"], string>> = {
  finding: "Finding",
  observation: "Observed",
  overdue: "Overdue",
  unknown: "Not decided",
};

type Numbers = ReadonlyMap<string, number>;

/** Its number in pictures and report, and how serious it is. */
const headOf = ({ id, severity }: LivingFinding, numbers: Numbers): Html =>
  html`<span class="tag ${severity satisfies Mark}">${severityMark(severity)}<span>${numbers.has(id) && `${numbers.get(id)} · `}${severityWords[severity]}</span></span>`;

const findingEntry = (finding: LivingFinding, numbers: Numbers): Html => {
  const { id, message, since } = finding;
  return html`<li>
<p>${headOf(finding, numbers)}</p>
<p>${message}</p>
<p><small><span class="id">${id}</span>, since revision ${since}</small></p>
</li>
`;
};

const waivedEntry = (finding: LivingFinding, numbers: Numbers, time: Clock): Html => {
  const { id, message, waiver } = finding;
  return html`<li>
<p>${headOf(finding, numbers)}</p>
<p>${message}</p>
<p><small><span class="id">${id}</span>${waiver !== null && `; let be by ${waiver.by}${waiver.until === null ? "" : `, until ${time(waiver.until)}`}: ${waiver.reason}`}</small></p>
</li>
`;
};

const spanEntry = ({ state, from, until }: StateSpan, time: Clock): Html =>
  html`<li>${stateTag(state)} ${from.getTime() === until.getTime() ? `on ${time(from)}` : `from ${time(from)} to ${time(until)}`}</li>`;

const revisionEntry = ({ number, createdAt, by, note, audit }: KeptRevision, time: Clock): Html => {
  const verdict = audit === null ? undefined : verdictWords[audit.verdict as keyof typeof verdictWords];
  return html`<li><p><strong>Revision ${number}</strong>, ${time(createdAt)}, by ${by}</p>${note !== null && html`<p>${note}</p>`}${verdict !== undefined && html`<p>${verdict}</p>`}</li>
`;
};

const observationEntry = ({ type, time: seen, source, node, pipe, fanCoil, text }: Observation, time: Clock): Html =>
  html`<li><p><strong>${type.replaceAll("-", " ")}</strong> at <bdi class="id">${node ?? pipe ?? fanCoil}</bdi>, ${time(seen)}</p><p><small>${source}${text !== null && `: ${text}`}</small></p></li>
`;
