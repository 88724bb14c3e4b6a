import type { Audited } from "../../audit/run.js";
import { catalogue } from "../../rules/catalogue.js";
import { type SourceId, source } from "../../sources/sources.js";
import { type Html, html } from "../html.js";
import { ruleTitle, sourceLink } from "./findings.js";
import { idList } from "./schedule.js";

/** What was taken for granted. SI base units, as the answer gives them. */
export const assumptions = ({ audit }: Audited): Html =>
  audit.assumptions.length === 0
    ? html`<p>Nothing.</p>`
    : html`<div class="scroll" tabindex="0" role="group" aria-label="What was assumed"><table>
<thead><tr><th scope="col">What</th><th scope="col">Taken as</th><th scope="col">For</th><th scope="col">Source</th></tr></thead>
<tbody>${audit.assumptions.map(
        ({ name, value, unit, appliesTo, source: id }) => html`<tr><th scope="row">${name}</th><td>${
          typeof value === "number"
            ? Number(value.toPrecision(4))
            : value === true
              ? "yes"
              : value === false
                ? "no"
                : value
        }${unit !== null && ` ${unit}`}</td><td>${idList(appliesTo)}</td><td>${sourceLink(id)}</td></tr>
`,
      )}</tbody></table></div>`;

const OUTCOMES = {
  pass: "holds",
  fail: "fails",
  undetermined: "not decided",
  "not-applicable": "nothing to look at",
  broken: "broke: a fault of this program",
} as const;

/** Every rule, what it asks, and how often which outcome. */
export const rulesAsked = ({ audit }: Audited): Html => {
  const questions = new Map(catalogue.map(({ id, question }) => [id, question]));
  return html`<div class="scroll" tabindex="0" role="group" aria-label="What was asked"><table class="rules">
<thead><tr><th scope="col">Rule</th><th scope="col">Question</th><th scope="col">Outcome</th><th scope="col" class="number">Holds</th><th scope="col" class="number">Fails</th><th scope="col" class="number">Open</th></tr></thead>
<tbody>${audit.rules.map(
    ({
      rule,
      outcome,
      pass,
      fail,
      undetermined,
      why,
    }) => html`<tr><th scope="row">${ruleTitle(rule)}<br><small class="id">${rule}</small></th><td>${questions.get(rule)}</td><td>${OUTCOMES[outcome]}${
      why !== undefined && html`<br><small>${why}</small>`
    }</td><td class="number">${pass}</td><td class="number">${fail}</td><td class="number">${undetermined}</td></tr>
`,
  )}</tbody></table></div>`;
};

const SEEN = {
  read: "read",
  quoted: "read as quoted elsewhere",
  memory: "from memory: check an official copy",
  none: "no publication",
} as const;

/** Every source that the findings and assumptions rest on. */
export const sourcesUsed = ({ audit }: Audited): Html => {
  const used = new Set<string>();
  for (const { outcome, sources, evidence } of audit.findings) {
    if (outcome === "pass") continue;
    for (const id of sources) used.add(id);
    for (const { limit } of evidence) if (limit !== undefined) used.add(limit.source);
  }
  for (const { source: id } of audit.assumptions) used.add(id);
  return html`<dl class="sources">${[...used].sort().map((id) => {
    const { title, what, seen } = source(id as SourceId);
    return html`<dt id="source-${id}"><span class="id">${id}</span> ${title}</dt><dd>${what} <small>(${SEEN[seen]})</small></dd>
`;
  })}</dl>`;
};
