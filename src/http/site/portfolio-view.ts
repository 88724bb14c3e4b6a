import { type Html, html } from "../../core/index.js";
import type { BuildingHealth, Portfolio } from "../../service/building-health.js";
import { pathTo, stateTag, steps } from "./frame.js";

/** The buildings, worst first. @param next path of the page that follows */
export const portfolioView = ({ state, buildings }: Portfolio, next: string | null): Html =>
  buildings.length === 0
    ? html`<p>No building is kept yet.</p>`
    : html`<p class="state">The worst of them: ${stateTag(state)}</p>
<ul class="entries">${buildings.map(building)}</ul>
${next !== null && html`<p><a href="${next}">More buildings</a></p>`}`;

const building = ({ building: id, name, state, reasons, next }: BuildingHealth): Html => html`<li>
<h2><a href="${pathTo("buildings", id)}">${name}</a></h2>
<p>${stateTag(state)} <small class="id">${id}</small></p>
${reasons.length > 0 && html`<p>${reasons[0]!.text}${reasons.length > 1 && ` (and ${reasons.length - 1} more)`}</p>`}
${next.length > 0 && steps(next, 1)}
</li>
`;
