import type { AuditFinding } from "../audit/answer.js";
import type { Severity } from "../rules/rule.js";
import { type Html, html } from "./html.js";

export type Mark = Severity | "undetermined" | "pass";

export const markOf = ({ outcome, severity }: Pick<AuditFinding, "outcome" | "severity">): Mark =>
  outcome === "fail" ? severity : outcome;

// A drain pan as full as the matter is serious, so that the worst is told without color: running over, full, half full,
// a line; a question in it where nobody knows; empty where all is well.
const PAN = html`<path d="M4 4v11h16V4" fill="none" stroke="currentColor" stroke-width="2"/>`;
const SHAPES: Readonly<Record<Mark, Html>> = {
  critical: html`${PAN}<path d="M5 5h14v10H5zM3 1h18v3H3z" fill="currentColor"/><path d="M1.5 3v7m0 3v4M22.5 3v7m0 3v4" fill="none" stroke="currentColor" stroke-width="2"/>`,
  major: html`${PAN}<path d="M5 4h14v11H5z" fill="currentColor"/>`,
  minor: html`${PAN}<path d="M5 9h14v6H5z" fill="currentColor"/>`,
  advice: html`${PAN}<path d="M7 11h10v1.5H7z" fill="currentColor"/>`,
  undetermined: html`${PAN}<path d="M9 6.2c.1-4 6.1-3.9 6-.4 0 2.4-3 2.1-3 4.4" fill="none" stroke="currentColor" stroke-width="1.8"/><circle cx="12" cy="12.4" r="1.2" fill="currentColor"/>`,
  pass: PAN,
};

const MARKS = Object.keys(SHAPES) as readonly Mark[];

/** The shapes, once in a document; `severityMark` refers to them. */
export const severityShapes: Html = html`<svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false"><defs>${MARKS.map(
  (mark) => html`<symbol id="mark-${mark}" viewBox="0 0 24 18">${SHAPES[mark]}</symbol>`,
)}</defs></svg>`;

/** A mark beside words that say the same; it says nothing to a reader that cannot see it. */
export const severityMark = (mark: Mark): Html =>
  html`<svg class="mark ${mark}" width="24" height="18" aria-hidden="true" focusable="false"><use href="#mark-${mark}"/></svg>`;
