import type { AuditFinding, AuditSubject } from "../../audit/answer.js";
import type { Audited } from "../../audit/run.js";
import { formatAgainst, formatQuantity } from "../../quantity/format.js";
import type { QuantityKind } from "../../quantity/speaker.js";
import { catalogue } from "../../rules/catalogue.js";
import { camelWords } from "../camel-words.js";
import { type Html, html } from "../html.js";
import { markOf, severityMark } from "../severity-marks.js";
import { familyWords, kindWords, settlement, severityWords } from "../words.js";
import { idList } from "./schedule.js";

const titles: ReadonlyMap<string, string> = new Map(catalogue.map(({ id, title }) => [id, title]));
export const ruleTitle = (id: string): string => titles.get(id) ?? id;

/** More than these are counted: what settles stands in the survey list, what to do in the answer as data. */
const TOLD = 8;

/** One finding in full: what, where, how much against which limit, what to do, what follows from it. */
export const findingArticle = (
  audited: Audited,
  position: number,
  kinds: readonly QuantityKind[],
  picture: Html | null,
): Html => {
  const finding = audited.audit.findings[position]!;
  const mark = markOf(finding);
  const kind = kindWords[finding.kind];
  const said =
    finding.outcome === "fail"
      ? severityWords[finding.severity]
      : `not decided; if it fails: ${severityWords[finding.severity]}`;
  const settled = finding.settledBy ?? [];
  return html`<article class="finding" id="finding-${position + 1}">
<h3>${position + 1}. ${ruleTitle(finding.rule)}</h3>
<p class="named"><span class="tag ${mark}">${severityMark(mark)}<span>${capital(said)}${kind !== null && ` (${kind})`}</span></span><small class="id">${finding.id}</small></p>
<div class="told">
<div>
<p>${finding.message}</p>
<dl class="facts">
${subjectOf(finding.subject).map(
  ([label, ids]) => html`<dt>${label}</dt><dd>${idList(ids)}</dd>
`,
)}${
  finding.outcome === "undetermined" &&
  finding.family !== undefined &&
  html`<dt>Why not decided</dt><dd>${familyWords[finding.family]}</dd>
`
}${
  settled.length > 0 &&
  html`<dt>What settles it</dt><dd><ul>${settled.slice(0, TOLD).map((step) => html`<li>${settlement(step)}</li>`)}${
    settled.length > TOLD && html`<li>${`and ${settled.length - TOLD} more, in the survey list`}</li>`
  }</ul></dd>
`
}${
  finding.remedy.length > 0 &&
  html`<dt>What to do</dt><dd><ul>${finding.remedy.slice(0, TOLD).map((step) => html`<li>${step.text}</li>`)}${
    finding.remedy.length > TOLD && html`<li>${`and ${finding.remedy.length - TOLD} more, in the answer as data`}</li>`
  }</ul></dd>
`
}${
  finding.consequences.length > 0 &&
  html`<dt>What follows from it</dt><dd><ul>${finding.consequences.map(
    (each) => html`<li>${ruleTitle(each.rule)} (${severityWords[each.severity]}): ${each.message}</li>`,
  )}</ul></dd>
`
}${figures(audited, finding, kinds)}</dl>
</div>
${picture}
</div>
</article>
`;
};

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

const subjectOf = ({ fanCoils, nodes, pipes }: AuditSubject): readonly (readonly [string, readonly string[]])[] =>
  (
    [
      ["Fan coils", fanCoils],
      ["Nodes", nodes],
      ["Pipes", pipes],
    ] as const
  ).filter(([, ids]) => ids.length > 0);

/** Figures against their limits, in the document's units. */
const figures = (
  { net, profile }: Audited,
  { evidence }: AuditFinding,
  kinds: readonly QuantityKind[],
): Html | null => {
  if (evidence.length === 0) return null;
  const { units } = net.model;
  const figure = (si: number | null, kind: QuantityKind, toward?: "down" | "up"): string =>
    si === null ? "not known" : formatQuantity(si, kind, units, toward, profile.sizeSystem);
  return html`<dt>Figures</dt><dd><ul>${evidence.map(({ name, low, best, high, limit, margin, from }, k) => {
    const kind = kinds[k]!;
    const value = limit?.value ?? null;
    const said =
      best !== null && value !== null
        ? formatAgainst(best, value, kind, units, profile.sizeSystem)
        : { figure: figure(best, kind), limit: value === null ? "" : figure(value, kind) };
    const spread = low !== null && high !== null && low !== high && ` (${figure(low, kind)} to ${figure(high, kind)})`;
    return html`<li>${camelWords(name)}: <strong>${said.figure}</strong>${spread}${
      limit !== undefined && html`; limit ${limitName(limit.name)} ${said.limit} [${sourceLink(limit.source)}]`
    }${marginWords(margin, kind, figure)}${from.length > 0 && html` <small>from ${from.map((pointer, n) => html`${n > 0 && ", "}<code>${pointer}</code>`)}</small>`}</li>`;
  })}</ul></dd>
`;
};

/** The profile's limits keep their names; others are said in words. */
const limitName = (name: string): string => (name.includes(".") ? name : camelWords(name));

export const sourceLink = (id: string): Html => html`<a href="#source-${id}">${id}</a>`;

const marginWords = (
  margin: number | null | undefined,
  kind: QuantityKind,
  figure: (si: number, kind: QuantityKind, toward?: "down" | "up") => string,
): string => {
  if (margin === undefined || margin === null) return "";
  if (kind === "size" || kind === "count") return margin < 0 ? "; short" : "";
  if (margin === 0) return "; nothing to spare";
  return margin < 0 ? `; short by ${figure(-margin, kind, "up")}` : `; ${figure(margin, kind, "down")} to spare`;
};
