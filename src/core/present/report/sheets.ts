import { drawingStyle } from "../drawing/style.js";
import { drawn, type Html, html } from "../html.js";

/** Height of a sheet of paper for its width, room for a heading left. */
const UPRIGHT = 1.15;
/** px that two sheets have in common, so that what one cuts stands whole on the other. */
const OVERLAP = 60;

/** A drawing in a page: its look stands in the page's own sheet, once for all of them. */
export const inPage = (svg: string): Html => drawn(svg.replace(`<style>${drawingStyle}</style>`, ""));

/**
 * A drawing of the whole building: one picture to move about in on a screen; on paper, where it is too high for a page, cut
 * into sheets that overlap.
 */
export const onSheets = (svg: string, label: string): Html => {
  const picture = inPage(svg).toString();
  const [width = 0, height = 0] = (/ width="([\d.]+)" height="([\d.]+)"/.exec(picture)?.slice(1) ?? []).map(Number);
  const most = Math.floor(width * UPRIGHT);
  if (height <= most)
    return html`<div class="scroll" tabindex="0" role="group" aria-label="${label}">${drawn(picture)}</div>`;
  const sheets: Html[] = [];
  for (let top = 0; top === 0 || top + OVERLAP < height; top += most - OVERLAP) {
    const view = `0 ${top} ${width} ${Math.min(most, height - top)}`;
    sheets.push(
      html`<svg class="dw sheet" viewBox="${view}" role="img" aria-label="${`${label}, sheet ${sheets.length + 1}`}"><use href="#drawing"/></svg>
`,
    );
  }
  const start = picture.indexOf("</desc>") + "</desc>".length;
  const end = picture.lastIndexOf("</svg>");
  const whole = `${picture.slice(0, start)}<g id="drawing">${picture.slice(start, end)}</g>${picture.slice(end)}`;
  return html`<div class="scroll screen" tabindex="0" role="group" aria-label="${label}">${drawn(whole)}</div>
<div class="sheets">${sheets}</div>`;
};
