import type { Break, Drawing } from "../drawing/sheet.js";
import { drawingStyle } from "../drawing/style.js";
import { drawn, type Html, html } from "../html.js";

/** Height of a sheet of paper for its width, on both sorts of paper; of the first, with room for a heading. */
const UPRIGHT = 1.28;
const HEADED = 1.17;
/** share of a sheet that is filled before what is apart goes on to the next */
const FILLED = 0.6;

/** A drawing in a page: its look stands in the page's own sheet, once for all of them. */
export const inPage = (svg: string): Html => drawn(svg.replace(`<style>${drawingStyle}</style>`, ""));

/**
 * A drawing of the whole building: one picture to move about in on a screen; on paper, where it is too high for a page, cut
 * into sheets between its floors and lists.
 */
export const onSheets = ({ svg, breaks }: Drawing, label: string): Html => {
  const picture = inPage(svg).toString();
  const [width = 0, height = 0] = (/ width="([\d.]+)" height="([\d.]+)"/.exec(picture)?.slice(1) ?? []).map(Number);
  if (height <= width * HEADED)
    return html`<div class="scroll picture" tabindex="0" role="group" aria-label="${label}">${drawn(picture)}</div>`;
  const sheets: Html[] = [];
  for (let top = 0; top < height; ) {
    const most = Math.floor(width * (top === 0 ? HEADED : UPRIGHT));
    const end = height - top <= most ? height : cutBelow(breaks, top, most);
    const view = `0 ${top} ${width} ${end - top}`;
    top = end;
    sheets.push(
      html`<svg class="dw sheet" viewBox="${view}" role="img" aria-label="${`${label}, sheet ${sheets.length + 1}`}"><use href="#drawing"/></svg>
`,
    );
  }
  const start = picture.indexOf("</desc>") + "</desc>".length;
  const end = picture.lastIndexOf("</svg>");
  const whole = `${picture.slice(0, start)}<g id="drawing" class="dw">${picture.slice(start, end)}</g>${picture.slice(end)}`;
  return html`<div class="scroll picture screen" tabindex="0" role="group" aria-label="${label}">${drawn(whole)}</div>
<div class="sheets">${sheets}</div>`;
};

/** Where a sheet ends: after what is apart from the rest, if that fills it, else after the last floor or row that fits. */
const cutBelow = (breaks: readonly Break[], top: number, most: number): number => {
  const fitting = breaks.filter(({ y }) => y > top && y <= top + most);
  const apart = fitting.findLast((each) => each.apart && each.y > top + most * FILLED);
  return (apart ?? fitting.at(-1))?.y ?? top + most;
};
