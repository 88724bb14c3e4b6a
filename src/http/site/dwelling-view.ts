import { type Html, html } from "../../core/index.js";
import type { StoredDwelling } from "../../service/questions.js";
import type { Building } from "../../service/shelves.js";
import { reasonList } from "./building-view.js";
import { stateTag, steps, timeIn } from "./frame.js";

/** What to do that is told before the rest is counted. */
const STEPS = 12;

type Flood = StoredDwelling["floodedBy"][number];

/** One dwelling: how it is, who floods it, and whom it floods. */
export const dwellingView = (
  { fanCoils, floodedBy, caught, floods, message, cautions, health }: StoredDwelling,
  { timeZone }: Building,
): Html => {
  const time = timeIn(timeZone);
  return html`<section><h2 id="health">How it is</h2>
<p class="state">${stateTag(health.state)}</p>
${reasonList(health.reasons, time)}
<h3>What to do next</h3>
${steps(health.next, STEPS)}
</section>
<section><h2 id="said">What concerns it</h2>
${message.map((words) => html`<p>${words}</p>`)}
${fanCoils.length > 0 && html`<p>Its fan coils: ${ids(fanCoils.map(({ id }) => id))}.</p>`}
</section>
<section><h2 id="flooded">What can flood it (${floodedBy.length})</h2>
${floodedBy.length === 0 ? html`<p>No blockage that is known of.</p>` : html`<ul class="entries">${floodedBy.map(floodEntry)}</ul>`}
${caught.length > 0 && html`<h3>Caught by switches first (${caught.length})</h3><ul class="entries">${caught.map(floodEntry)}</ul>`}
</section>
<section><h2 id="floods">What its own fan coils can flood (${floods.length})</h2>
${
  floods.length === 0
    ? html`<p>Nothing that is known of.</p>`
    : html`<ul class="entries">${floods.map(
        ({ node, dwelling, blocked }) =>
          html`<li><p><bdi class="id">${node}</bdi>${dwelling !== null && html` in dwelling <bdi>${dwelling}</bdi>`}</p><p><small>if ${ids(blocked)} blocks</small></p></li>`,
      )}</ul>`
}
</section>
<section><h2 id="cautions">Before anybody works on it</h2>
<ul>${cautions.map((caution) => html`<li>${caution}</li>`)}</ul>
</section>`;
};

const OUTCOMES = {
  contained: "The switches stop all of it first.",
  uncontained: "The switches do not stop it in time.",
  undetermined: "Whether switches stop it in time cannot be told.",
} as const;

const floodEntry = ({ blocked, outcome, zone, owner, openings, alsoAt, madeBy, trips, work }: Flood): Html => html`<li>
<p><strong>If ${ids(blocked.map(({ pipe, node }) => pipe ?? node ?? ""))} blocks</strong>, water comes out at ${ids(openings.map(({ node }) => node))}${
  alsoAt.length > 0 && html`, and elsewhere at ${ids(alsoAt.map(({ node }) => node))}`
}. ${OUTCOMES[outcome]}</p>
<dl class="facts">
<dt>Whose it is</dt><dd>${zone === null ? "not known" : zone}${owner !== null && html`, <bdi>${owner}</bdi>`}</dd>
<dt>Who makes the water</dt><dd>${madeBy.map(({ dwelling, fanCoils }, k) => html`${k > 0 && "; "}${dwelling === null ? "of no dwelling" : html`dwelling <bdi>${dwelling}</bdi>`}: ${ids(fanCoils)}`)}</dd>
${
  trips.length > 0 &&
  html`<dt>Switches that trip first</dt><dd>${ids(trips)}</dd>
`
}<dt>Where to work from</dt><dd>${
  work.upstream === null && work.downstream === null
    ? "no point is known"
    : html`${work.upstream !== null && html`from above at <bdi class="id">${work.upstream}</bdi>`}${work.upstream !== null && work.downstream !== null && ", "}${work.downstream !== null && html`from below at <bdi class="id">${work.downstream}</bdi>`}`
}</dd>
${
  work.isolate.length > 0 &&
  html`<dt>To stop before it is opened</dt><dd>${ids(work.isolate)}</dd>
`
}</dl>
</li>
`;

/** How many ids are read out before the rest is counted. */
const NAMED = 8;

const ids = (list: readonly string[]): Html =>
  html`${list.slice(0, NAMED).map((id, k) => html`${k > 0 && ", "}<bdi class="id">${id}</bdi>`)}${list.length > NAMED && ` and ${list.length - NAMED} more`}`;
