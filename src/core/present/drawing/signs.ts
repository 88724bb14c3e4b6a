import { element, rounded as r } from "./svg.js";

/** What a legend can explain. */
export type Sign =
  | "drain"
  | "common"
  | "vent"
  | "access"
  | "second"
  | "pressure"
  | "coil"
  | "trap"
  | "dry-trap"
  | "waterless"
  | "check-valve"
  | "open-vent"
  | "capped-vent"
  | "admittance"
  | "cleanout"
  | "open-cleanout"
  | "switch"
  | "dead-switch"
  | "pump"
  | "outlet"
  | "joint"
  | "open-end"
  | "reducer"
  | "wet"
  | "sealed"
  | "air"
  | "way"
  | "flood"
  | "blocked"
  | "spill"
  | "trips"
  | "link"
  | "off-sheet"
  | "folded";

/** a, b … z, aa, ab … */
export const letters = (number: number): string => {
  let text = "";
  for (let rest = number; rest > 0; rest = Math.floor((rest - 1) / 26))
    text = String.fromCharCode(97 + ((rest - 1) % 26)) + text;
  return text;
};

export const riserTag = (number: number, x: number, y: number): string =>
  `<g class="dw-riser-tag">${element("circle", { class: "dw-symbol", cx: x, cy: y, r: 7.5 })}${element("text", { class: "dw-small dw-strong", x, y: y + 3.2 }, String(number))}</g>`;

export const blockSymbol = (x: number, y: number): string =>
  `<g class="dw-blocked">${element("rect", { class: "dw-block", x: x - 6, y: y - 6, width: 12, height: 12 })}${element("path", { class: "dw-cross", d: `M${r(x - 3.5)} ${r(y - 3.5)}l7 7m0 -7l-7 7` })}</g>`;

export const dropSymbol = (x: number, y: number): string =>
  element("path", {
    class: "dw-drop",
    d: `M${r(x)} ${r(y - 8)}C${r(x + 6)} ${r(y + 1)} ${r(x + 5)} ${r(y + 6)} ${r(x)} ${r(y + 6)}S${r(x - 6)} ${r(y + 1)} ${r(x)} ${r(y - 8)}Z`,
  });
