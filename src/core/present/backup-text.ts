import type { BackupAnswer, BackupEvent } from "../audit/backup.js";
import { counted, hanging, some, wrapped } from "./layout.js";
import { painter } from "./paint.js";
import { plain } from "./plain.js";
import type { TextOptions } from "./text.js";

/** The story of one blockage, as whoever is called out or draws the next building reads it. */
export function renderBackup(backup: BackupAnswer, { width, color }: TextOptions): string {
  const paint = painter(color);
  const { network, message, story, held, undetermined, assumptions, work, cautions } = backup;
  const lines: string[] = [paint(plain(network.name ?? network.id), "light"), ""];
  for (const sentence of message) lines.push(...wrapped(plain(sentence), width));
  const title = (words: string) => lines.push("", paint(words, "light"));
  if (story.length > 0) {
    title("Minute by minute");
    const leads = story.map(timeOf);
    const wide = Math.max(...leads.map((lead) => lead.length));
    for (const [i, { text }] of story.entries())
      lines.push(...hanging(`  ${leads[i].padStart(wide)}  `, plain(text), width));
  }
  if (held.length > 0) {
    title("What holds the water then");
    for (const [kind, noun, many] of HOLDS) {
      const those = held.filter((each) => each.kind === kind);
      if (those.length === 0) continue;
      const known = those.reduce((sum, { volume }) => sum + (volume ?? 0), 0);
      const unknown = those.filter(({ volume }) => volume === null).length;
      const more = [
        those.some(({ airtight }) => airtight) ? "some of it only if its air can leave" : null,
        unknown === 0 || unknown === those.length
          ? null
          : `${counted(unknown, noun, many)} of unknown size not counted`,
      ].filter((part) => part !== null);
      const rest = more.length === 0 ? "" : ` (${more.join("; ")})`;
      const amount = unknown === those.length ? "unknown" : `${liters(known)} L`;
      lines.push(...hanging(`  ${amount.padStart(8)}  `, `${counted(those.length, noun, many)}${rest}`, width));
    }
  }
  if (undetermined.length > 0) {
    title("What is not known");
    for (const { what, settledBy } of undetermined)
      lines.push(...hanging("  - ", plain(settledBy.length === 0 ? what : `${what} (${settledBy.join(", ")})`), width));
  }
  title("What is taken for granted");
  for (const premise of PREMISES) lines.push(...hanging("  - ", premise, width));
  for (const { name, value, unit } of assumptions)
    lines.push(
      ...hanging("  - ", plain(`${name}: ${unit === "m³" ? `${liters(value)} L` : `${value} ${unit}`}`), width),
    );
  title("To work on it");
  const points = [
    work.upstream === null ? null : `from above at ${work.upstream}`,
    work.downstream === null ? null : `from below at ${work.downstream}`,
  ].filter((point) => point !== null);
  const stop = work.isolate.length === 0 ? "no coil needs to be stopped" : `stop ${some(work.isolate, 6)} first`;
  const where = points.length === 0 ? "no point to work from is known" : points.join(", ");
  lines.push(...hanging("  ", plain(`${where}; ${stop}`), width));
  title("Cautions");
  for (const caution of cautions) lines.push(...hanging("  - ", caution, width));
  return `${lines.join("\n")}\n`;
}

const HOLDS = [
  ["pipe", "sloping pipe", "sloping pipes"],
  ["riser", "vertical pipe", "vertical pipes"],
  ["vent", "vent or stub", "vents and stubs"],
  ["pan", "pan", "pans"],
  ["sump", "sump", "sumps"],
  ["receptor", "receptor", "receptors"],
] as const;

/** What holds for every story, whatever the network. */
const PREMISES = [
  "The blockage is complete and sudden, and every coil above makes its design rate from then on until it is stopped.",
  "The water stands level, and fans stop or run on as the circuits say.",
  "A trap lets the rising water pass once it stands above the weir, whatever its kind; what its own legs take beyond its water is left out.",
] as const;

const liters = (volume: number): string => (volume * 1000).toFixed(volume < 0.00995 ? 2 : 1);

/** `11 to 14 min`; a figure that is not known is left out. */
const timeOf = ({ minutes: { soonest, latest } }: BackupEvent): string => {
  if (soonest === null && latest === null) return "?";
  const [soon, late] = [soonest, latest].map((each) => (each === null ? null : inWords(each)));
  if (soon === null) return `by ${late}`;
  if (late === null) return `from ${soon}`;
  return soon === late ? soon : `${soon} - ${late}`;
};

const inWords = (minutes: number): string =>
  minutes < 120
    ? `${minutes < 9.95 ? minutes.toFixed(1) : Math.round(minutes)} min`
    : minutes < 2880
      ? `${(minutes / 60).toFixed(1)} h`
      : `${(minutes / 1440).toFixed(1)} d`;
