import type { AuditFinding } from "../audit/answer.js";
import type { Severity } from "../rules/rule.js";
import { type Html, html } from "./html.js";

export type Mark = Severity | "undetermined" | "pass";

export const markOf = ({ outcome, severity }: Pick<AuditFinding, "outcome" | "severity">): Mark =>
  outcome === "fail" ? severity : outcome;

// A drain pan as full as the matter is serious, so that the worst is told without color: running over, full, half full,
// a little; a question in it where nobody knows; empty where all is well.
const PAN = html`<path d="M2 4v9h16V4" fill="none" stroke="currentColor" stroke-width="2"/>`;
const SHAPES: Readonly<Record<Mark, Html>> = {
  critical: html`${PAN}<path d="M3 3h14v9H3zM0 1h20v2H0zM0 3h2v4H0zM18 3h2v4h-2z" fill="currentColor"/>`,
  major: html`${PAN}<path d="M3 5h14v7H3z" fill="currentColor"/>`,
  minor: html`${PAN}<path d="M3 8.5h14V12H3z" fill="currentColor"/>`,
  advice: html`${PAN}<path d="M3 11h14v1H3z" fill="currentColor"/>`,
  undetermined: html`${PAN}<path d="M7.4 4.6c.1-3.5 5.4-3.4 5.3-.4 0 2-2.6 1.9-2.6 4" fill="none" stroke="currentColor" stroke-width="1.7"/><circle cx="10.1" cy="10.6" r="1.1" fill="currentColor"/>`,
  pass: PAN,
};

const MARKS = Object.keys(SHAPES) as readonly Mark[];

/** The shapes, once in a document; `severityMark` refers to them. */
export const severityShapes: Html = html`<svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false"><defs>${MARKS.map(
  (mark) => html`<symbol id="mark-${mark}" viewBox="0 0 20 14">${SHAPES[mark]}</symbol>`,
)}</defs></svg>`;

/** A mark beside words that say the same; it says nothing to a reader that cannot see it. */
export const severityMark = (mark: Mark): Html =>
  html`<svg class="mark ${mark}" width="20" height="14" aria-hidden="true" focusable="false"><use href="#mark-${mark}"/></svg>`;
