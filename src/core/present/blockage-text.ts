import type { Blockage } from "../audit/locate.js";
import { formatProbability } from "../quantity/format.js";
import { hanging, some, wrapped } from "./layout.js";
import { painter } from "./paint.js";
import { plain } from "./plain.js";
import type { TextOptions } from "./text.js";

/** Classes that are listed; the rest of the weight is told in one line. */
const LISTED = 5;

/** Where a blockage is, as whoever sends the plumber reads it. */
export function renderBlockage(blockage: Blockage, { width, color }: TextOptions): string {
  const paint = painter(color);
  const { network, message, classes, candidates, work, cautions } = blockage;
  const lines: string[] = [paint(plain(network.name ?? network.id), "light"), ""];
  for (const sentence of message) lines.push(...wrapped(plain(sentence), width));
  const share = (weight: number) => formatProbability(weight).padStart(11);
  lines.push("", paint("Candidates", "light"));
  for (const [position, { weight, members, wets }] of classes.slice(0, LISTED).entries()) {
    const first = candidates.find((candidate) => candidate.class === position);
    const whose = first?.zone == null ? "" : `, ${first.zone}${first.owner === null ? "" : ` of ${first.owner}`}`;
    const wet = wets.length === 0 ? "nothing gets wet" : `wets ${some(wets, 4)}`;
    lines.push(...hanging(`${share(weight)}  `, plain(`${some(members, 4)}${whose}; ${wet}`), width));
  }
  const rest = classes.slice(LISTED).reduce((sum, { weight }) => sum + weight, 0);
  if (rest > 0.0005) lines.push(`${share(rest)}  everything else`);
  if (work.length > 0) {
    lines.push("", paint("Work", "light"));
    for (const { candidate, upstream, downstream, isolate } of work.slice(0, 3)) {
      const points = [
        upstream === null ? null : `from above at ${upstream}`,
        downstream === null ? null : `from below at ${downstream}`,
      ].filter((point) => point !== null);
      const where = points.length === 0 ? "no point to work from is known" : points.join(", ");
      const stop = isolate.length === 0 ? "no coil needs to be stopped" : `stop ${some(isolate, 6)} first`;
      lines.push(...hanging(`  ${plain(candidate)}: `, plain(`${where}; ${stop}`), width));
    }
  }
  lines.push("", paint("Cautions", "light"));
  for (const caution of cautions) lines.push(...hanging("  - ", caution, width));
  return `${lines.join("\n")}\n`;
}
