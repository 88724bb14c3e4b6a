import type { Audited } from "../../audit/run.js";
import { type Html, html } from "../html.js";
import { counted } from "../layout.js";
import { closeness } from "../words.js";
import { idList } from "./schedule.js";

/** What the next survey must bring, one row for each sort of figure: which, of what, how closely, and which rules ask. */
export const surveyList = ({ audit }: Audited, document: unknown): Html => {
  const rows = new Map<string, Sort>();
  for (const { pointer, for: rules, within } of audit.toSurvey) {
    const { field, of } = named(document, pointer);
    const how = within === null ? "" : closeness(pointer, within);
    const key = [field, how, ...rules].join("\u0000");
    const known = rows.get(key);
    if (known) {
      known.of.push(of);
      known.pointers.push(pointer);
    } else rows.set(key, { field, how, rules, of: [of], pointers: [pointer] });
  }
  return html`<div class="scroll" tabindex="0" role="group" aria-label="What to survey"><table>
<caption>${counted(audit.toSurvey.length, "figure")}, in the order in which the findings ask for them.</caption>
<thead><tr><th scope="col">Figure</th><th scope="col">Of</th><th scope="col">How closely</th><th scope="col">Asked by</th><th scope="col">Where it is written</th></tr></thead>
<tbody>${[...rows.values()].map(
    ({
      field,
      how,
      rules,
      of,
      pointers,
    }) => html`<tr><th scope="row">${field}</th><td>${idList(of)}</td><td>${how || "any reading will do"}</td><td>${rules.join(", ")}</td><td><code>${pointers[0]}</code>${pointers.length > 1 && ` and ${pointers.length - 1} more`}</td></tr>
`,
  )}</tbody></table></div>`;
};

interface Sort {
  readonly field: string;
  readonly how: string;
  readonly rules: readonly string[];
  readonly of: string[];
  readonly pointers: string[];
}

/** The field that a pointer ends in, and the id of the innermost thing that it stands in. */
const named = (document: unknown, pointer: string): { field: string; of: string } => {
  const steps = pointer
    .split("/")
    .slice(1)
    .map((step) => step.replace(/~1/g, "/").replace(/~0/g, "~"));
  let of = "the document";
  let from = 0;
  let value: unknown = document;
  for (const [k, step] of steps.entries()) {
    value =
      typeof value === "object" && value !== null && Object.hasOwn(value, step)
        ? (value as Record<string, unknown>)[step]
        : undefined;
    if (typeof value === "object" && value !== null && "id" in value && typeof value.id === "string") {
      of = value.id;
      from = k + 1;
    }
  }
  return { field: steps.slice(from).join(" ") || pointer, of };
};
