import type { AuditFinding } from "../audit/answer.js";
import type { Severity } from "../rules/rule.js";
import { type Html, html } from "./html.js";

export type Mark = Severity | "undetermined" | "pass";

export const markOf = ({ outcome, severity }: Pick<AuditFinding, "outcome" | "severity">): Mark =>
  outcome === "fail" ? severity : outcome;

// The shapes of the marks on the drawings, so that the worst is told without color: pointed at both ends where water will
// escape, square where something will fail in use, round for good practice, round and empty for advice, dashed with a
// question where nobody knows; a tick where all is well.
const SHAPES: Readonly<Record<Mark, Html>> = {
  critical: html`<path d="M0 9l5-8h14l5 8-5 8H5z" fill="currentColor"/>`,
  major: html`<path d="M4 1h16v16H4z" fill="currentColor"/>`,
  minor: html`<circle cx="12" cy="9" r="8" fill="currentColor"/>`,
  advice: html`<circle cx="12" cy="9" r="7" fill="none" stroke="currentColor" stroke-width="2"/>`,
  undetermined: html`<circle cx="12" cy="9" r="7.4" fill="none" stroke="currentColor" stroke-width="1.6" stroke-dasharray="3 1.65"/><path d="M9.6 7.3c.1-3.4 5-3.3 4.9-.3 0 2-2.4 1.8-2.4 3.6" fill="none" stroke="currentColor" stroke-width="1.6"/><circle cx="12.1" cy="12.9" r="1.1" fill="currentColor"/>`,
  pass: html`<path d="M4 9l5.5 6L20 3" fill="none" stroke="currentColor" stroke-width="2.6"/>`,
};

const MARKS = Object.keys(SHAPES) as readonly Mark[];

/** The shapes, once in a document; `severityMark` refers to them. */
export const severityShapes: Html = html`<svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false"><defs>${MARKS.map(
  (mark) => html`<symbol id="mark-${mark}" viewBox="0 0 24 18">${SHAPES[mark]}</symbol>`,
)}</defs></svg>`;

/** A mark beside words that say the same; it says nothing to a reader that cannot see it. */
export const severityMark = (mark: Mark): Html =>
  html`<svg class="mark ${mark}" width="24" height="18" aria-hidden="true" focusable="false"><use href="#mark-${mark}"/></svg>`;
