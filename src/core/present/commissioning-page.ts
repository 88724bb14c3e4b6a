import type { CommissioningSheet, SheetBox, SheetCheck, SheetStop } from "../audit/commissioning-sheet.js";
import { source } from "../sources/sources.js";
import { camelWords } from "./camel-words.js";
import { dateWords } from "./dates.js";
import { type Html, html } from "./html.js";
import { htmlPage, runningFoot } from "./page.js";

/**
 * A commissioning sheet as one HTML file: printed and filled in with a pencil, or on a screen and then printed. Each floor
 * begins a page.
 * @param date day on which it is made, `2026-11-26`; without it the sheet has no date
 */
export function renderCommissioningPage(sheet: CommissioningSheet, { date }: { readonly date?: string } = {}): string {
  const { network, profile, stage, units, stops, assumptions, cautions, engine } = sheet;
  const floors: { floor: string | null; stops: SheetStop[] }[] = [];
  for (const stop of stops) {
    const last = floors.at(-1);
    if (last !== undefined && last.floor === stop.floor) last.stops.push(stop);
    else floors.push({ floor: stop.floor, stops: [stop] });
  }
  let number = 0;
  return htmlPage({
    title: `${network.name ?? network.id}: commissioning sheet`,
    style: `${sheetStyle}${runningFoot(network, date)}`,
    body: html`<main>
<header>
<p class="kicker">Commissioning sheet for condensate drains</p>
<h1>${network.name ?? network.id}</h1>
<dl class="facts">
<dt>Network</dt><dd><span class="id">${network.id}</span></dd>
<dt>Stage</dt><dd>${stage}</dd>
<dt>Profile</dt><dd>${`${profile.id}, ${profile.edition}`}</dd>
<dt>Units</dt><dd>${units === "si" ? "SI" : "US customary"}</dd>
${
  date !== undefined &&
  html`<dt>Made on</dt><dd>${dateWords(date)}</dd>
`
}<dt><label for="tested">Tested on</label></dt><dd><input id="tested" type="text"></dd>
<dt><label for="by">Done by</label></dt><dd><input id="by" class="long" type="text"></dd>
<dt><label for="signature">Signature</label></dt><dd><input id="signature" class="long" type="text"></dd>
</dl>
</header>
<section>
<h2 id="before">Before anybody begins</h2>
<ul>${cautions.map((caution) => html`<li>${caution}</li>`)}</ul>
</section>
${floors.map(
  ({ floor, stops }, k) => html`<section class="floor">
<h2 id="floor-${k + 1}">${nameOf(floor)}</h2>
<div class="scroll" tabindex="0" role="group" aria-label="${`Checks, ${nameOf(floor)}`}"><table class="checks">
<thead><tr><th scope="col">No.</th><th scope="col">What to do and to look at</th><th scope="col">Expected</th><th scope="col">Found</th></tr></thead>
${stops.map((stop) => {
  const first = number;
  number += stop.checks.length;
  return stopRows(stop, first);
})}</table></div>
</section>
`,
)}<section>
<h2 id="assumed">What was assumed</h2>
<dl>${assumptions.map(
      ({ name, text, source: id }) => html`<dt>${name}: ${text}</dt><dd><small>${source(id).title}</small></dd>
`,
    )}</dl>
</section>
</main>
<footer><p class="soft"><small>${`${engine.name} ${engine.version}, rules ${engine.catalogue}; document ${network.digest}`}</small></p></footer>`,
  });
}

const nameOf = (floor: string | null): string => (floor === null ? "Of no floor" : `Floor ${floor}`);

const stopRows = ({ title, dwelling, checks }: SheetStop, first: number): Html => html`<tbody>
<tr class="part"><th scope="rowgroup" colspan="4"><h3>${dwelling === null ? title : `${title}, in dwelling ${dwelling}`}</h3></th></tr>
${checks.map((check, k) => checkRow(check, first + k + 1))}</tbody>
`;

const checkRow = (
  check: SheetCheck,
  number: number,
): Html => html`<tr><th scope="row">${number}</th><td>${check.text}<br><small class="id">${check.id}</small></td><td>${check.expected.map(
  ({ name, text, reason }) => html`<p>${camelWords(name)}: ${text ?? html`not known <small>(${reason})</small>`}</p>`,
)}</td><td>${check.boxes.map((box, k) => boxOf(box, `c${number}-${k + 1}`))}</td></tr>
`;

const boxOf = ({ form, label, writtenIn }: SheetBox, id: string): Html => {
  if (form === "yes-no")
    return html`<fieldset><legend>${label}</legend>${["yes", "no"].map(
      (word) => html`<label><input type="radio" name="${id}">${word}</label>`,
    )}</fieldset>`;
  if (form === "text")
    return html`<p><label for="${id}">${label}</label><br><input id="${id}" class="long" type="text"></p>`;
  return html`<p><label for="${id}">${label}</label> <span class="figure"><input id="${id}" type="text" inputmode="decimal"> ${writtenIn}</span></p>`;
};

const sheetStyle = `
h3{margin:0}
tr.part th{padding-top:1.1rem;break-after:avoid}
table.checks th:first-child{width:2.5rem}
table.checks td:nth-child(2){min-width:16rem}
table.checks td:nth-child(3){width:18%;min-width:9rem}
table.checks td:last-child{width:31%;min-width:12rem}
.checks p,.checks fieldset{margin:0 0 .35rem}
fieldset{border:0;padding:0;min-width:0}
legend{padding:0;float:left;margin-right:.8em}
fieldset label{margin-right:.9em;white-space:nowrap}
.figure{white-space:nowrap}
input{font:inherit;color:inherit;background:transparent;border:1px solid var(--soft);border-radius:2px;height:1.7em;width:6.5em;padding:0 .3em}
input.long{width:100%;max-width:22rem}
input[type=radio]{appearance:none;width:1.05em;height:1.05em;vertical-align:-.15em;margin:0 .35em 0 0;padding:0}
input[type=radio]:checked{background:radial-gradient(var(--ink) 45%,transparent 50%)}
@media print{.floor{break-before:page}table.checks{font-size:8pt}.checks small{font-size:6.5pt}.checks td,.checks th{padding-top:2pt;padding-bottom:2pt}.checks p,.checks fieldset{margin-bottom:1pt}input{height:1.8em}input[type=radio]{print-color-adjust:exact}}
`;
