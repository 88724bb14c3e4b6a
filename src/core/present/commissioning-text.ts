import type { CommissioningSheet, SheetBox, SheetCheck, SheetStop } from "../audit/commissioning-sheet.js";
import { hanging, wrapped } from "./layout.js";
import { painter } from "./paint.js";
import { plain } from "./plain.js";
import type { TextOptions } from "./text.js";

/** A commissioning sheet to print and to fill in with a pencil: floor by floor, each check with its boxes and its id. */
export function renderCommissioning(sheet: CommissioningSheet, { width, color }: TextOptions): string {
  const paint = painter(color);
  const { network, profile, stage, stops, assumptions, cautions } = sheet;
  const lines: string[] = [];
  const title = (words: string) => {
    lines.push("", paint(words, "light"), paint("~".repeat(Math.min(words.length, width)), "faint"));
  };
  const heading = `Commissioning sheet: ${plain(network.name ?? network.id)} (${plain(network.id)})`;
  lines.push(...wrapped(heading, width).map((line) => paint(line, "light")));
  lines.push(...wrapped(`Stage ${stage}, profile ${plain(profile.id)}, ${plain(profile.edition)}`, width));
  lines.push(...wrapped(plain(network.digest), width));
  lines.push("", ...wrapped("Date __________________  Done by ______________________________", width));
  title("Before anybody begins");
  for (const caution of cautions) lines.push(...hanging("  - ", caution, width));
  let floor: string | null | undefined;
  for (const stop of stops) {
    if (stop.floor !== floor) {
      floor = stop.floor;
      title(floor === null ? "Of no floor" : `Floor ${plain(floor)}`);
    }
    lines.push("", ...wrapped(headOf(stop), width).map((line) => paint(line, "light")));
    for (const check of stop.checks) lines.push(...checkLines(check, width, (id) => paint(id, "faint")));
  }
  title("What was assumed");
  for (const { name, text, source } of assumptions)
    lines.push(...hanging("  ", plain(`${name}: ${text} (${source})`), width));
  return `${lines.join("\n")}\n`;
}

const headOf = ({ title, dwelling }: SheetStop): string =>
  plain(dwelling === null ? title : `${title}, in dwelling ${dwelling}`);

function checkLines(check: SheetCheck, width: number, faint: (id: string) => string): string[] {
  const boxes = check.boxes.map(boxOf);
  return [
    ...hanging("  [ ] ", plain(check.text), width),
    ...hanging("      ", boxes.join("   "), width),
    ...hanging("      ", plain(check.id), width).map(faint),
  ];
}

const boxOf = ({ form, label, writtenIn }: SheetBox): string => {
  if (form === "yes-no") return `${label}: yes / no`;
  if (form === "text") return `${label}: ____________________`;
  return `${label}: ________ ${writtenIn ?? ""}`.trimEnd();
};
