import type { Audited } from "../../audit/run.js";
import { catalogue } from "../../rules/catalogue.js";
import type { Severity } from "../../rules/rule.js";
import { plain } from "../plain.js";
import { severities, severityWords } from "../words.js";
import type { Floors } from "./floors.js";
import { anchorOf, drawMark, indexOf, type MarkShape, type Marks, shapeOf } from "./marks.js";
import type { Riser } from "./risers.js";
import { blockSymbol, dropSymbol, riserTag, type Sign } from "./signs.js";
import { element, escaped, rounded } from "./svg.js";
import { clipped, fitted, textWidth } from "./text-width.js";

const r = rounded;

interface Block {
  readonly content: string;
  readonly height: number;
}

const NOTHING: Block = { content: "", height: 0 };
const LINE = 16;

const head = (text: string, x: number, y: number): string =>
  element("text", { class: "dw-head dw-start", x, y }, escaped(text));

/** Rows in as many columns as there is room for. */
function columns(
  rows: number,
  width: number,
  least: number,
): { readonly count: number; readonly width: number; readonly deep: number } {
  const count = Math.max(1, Math.min(Math.floor(width / least), rows));
  return { count, width: width / count, deep: Math.ceil(rows / count) };
}

/** The index of risers: number, foot, floors, coils, where it ends, and its findings by severity. */
export function riserIndex(
  { net, facts }: Audited,
  risers: readonly Riser[],
  marks: Marks,
  { rows }: Floors,
  left: number,
  top: number,
  room: number,
): Block {
  if (risers.length === 0) return NOTHING;
  const found = findingsByRiser(net, facts, risers, marks);
  const { width, deep } = columns(risers.length, room, 430);
  let content = head("Risers", left, top + 12);
  for (const [i, riser] of risers.entries()) {
    const x = left + Math.floor(i / deep) * width;
    const y = top + 30 + (i % deep) * 18;
    const end = riser.outlet < 0 ? "no outlet" : `to ${plain(net.nodes[riser.outlet].id)}`;
    const words = `${plain(net.nodes[riser.foot].id)} · ${plain(rows[riser.from].name)} to ${plain(rows[riser.to].name)} · ${riser.coils} coils · ${end}`;
    const counts = found.get(riser.foot) ?? new Map<MarkShape, number>();
    let used = 0;
    let tallies = "";
    for (const shape of [...severities, "undetermined"] as const) {
      const count = counts.get(shape);
      if (count === undefined) continue;
      const text = String(count);
      const wide = Math.max(13, textWidth(text, 9) + 8);
      tallies += drawMark(shape, text, used, y, wide);
      used += wide + 3;
    }
    const words_ = fitted(words, 10, width - 34 - used);
    const start = x + 26 + textWidth(words_, 10) + 6;
    content += element(
      "g",
      { "data-riser": net.nodes[riser.foot].id },
      riserTag(riser.number, x + 8, y) +
        element("text", { class: "dw-start", x: x + 22, y: y + 3.5 }, escaped(words_)) +
        (tallies === "" ? "" : `<g transform="translate(${r(start)} 0)">${tallies}</g>`),
    );
  }
  return { content, height: 30 + deep * 18 + 8 };
}

/** How many findings of each sort lie above a riser's foot. */
function findingsByRiser(
  net: Audited["net"],
  { topology }: Audited["facts"],
  risers: readonly Riser[],
  marks: Marks,
): Map<number, Map<MarkShape, number>> {
  const feet = new Set(risers.map(({ foot }) => foot));
  /** node → foot of the first riser on its way */
  const first = new Int32Array(net.nodeCount).fill(-2);
  const footFrom = (node: number): number => {
    const way: number[] = [];
    let found = -1;
    for (let v = node; v >= 0; v = topology.next[v] < 0 ? -1 : net.to[topology.next[v]]) {
      if (first[v] !== -2) {
        found = first[v];
        break;
      }
      first[v] = -1;
      way.push(v);
      if (feet.has(v)) {
        found = v;
        break;
      }
    }
    for (const v of way) first[v] = found;
    return found;
  };
  const seen = new Map<number, Map<number, MarkShape>>();
  const add = (node: number, of: ReturnType<Marks["ofNode"]>) => {
    if (of.length === 0) return;
    const foot = footFrom(node);
    if (foot < 0) return;
    let known = seen.get(foot);
    if (known === undefined) {
      known = new Map();
      seen.set(foot, known);
    }
    for (const mark of of) known.set(mark.number, shapeOf(mark));
  };
  for (let v = 0; v < net.nodeCount; v++) add(hostFor(net, topology.next, v), marks.ofNode(v));
  for (let p = 0; p < net.pipeCount; p++) add(hostFor(net, topology.next, net.from[p]), marks.ofPipe(p));
  return new Map(
    [...seen].map(([foot, shapes]) => {
      const counts = new Map<MarkShape, number>();
      for (const shape of shapes.values()) counts.set(shape, (counts.get(shape) ?? 0) + 1);
      return [foot, counts];
    }),
  );
}

/** The node that a vent or cleanout rises from. */
function hostFor(net: Audited["net"], next: Int32Array, node: number): number {
  let host = node;
  for (let steps = 0; next[host] < 0 && steps < 8; steps++) {
    const start = net.ends.start[host];
    if (net.ends.start[host + 1] - start !== 1 || (net.ends.list[start] & 1) === 0) break;
    const p = net.ends.list[start] >> 1;
    if (net.pipes[p].role !== "vent" && net.pipes[p].role !== "access") break;
    host = net.from[p];
  }
  return host;
}

const MOST_FINDINGS = 80;

/** The numbers in the picture and what they stand for, worst first, as the audit lists them. */
export function findingsList(
  { net, audit }: Audited,
  shown: (node: number) => boolean,
  left: number,
  top: number,
  room: number,
): Block {
  const index = indexOf(net);
  const titles = new Map(catalogue.map(({ id, title }) => [id, title]));
  const listed = audit.findings.flatMap((finding, position) => {
    if (finding.outcome === "pass") return [];
    const mark = { finding, number: position + 1 };
    const { node, pipe } = anchorOf(net, index, finding);
    const places = pipe >= 0 ? shown(net.from[pipe]) && shown(net.to[pipe]) : node < 0 || shown(node);
    return places ? [mark] : [];
  });
  if (listed.length === 0) return NOTHING;
  const few = listed.slice(0, MOST_FINDINGS);
  const { width, deep } = columns(few.length + (few.length < listed.length ? 1 : 0), room, 380);
  let content = head("Findings", left, top + 12);
  for (const [i, mark] of few.entries()) {
    const x = left + Math.floor(i / deep) * width;
    const y = top + 28 + (i % deep) * LINE;
    const shape = shapeOf(mark);
    const text = shape === "undetermined" ? `${mark.number}?` : String(mark.number);
    const wide = Math.max(13, textWidth(text, 9) + 8);
    const name = fitted(plain(anchorName(mark.finding.id)), 10, (width - 44) / 2);
    const rule = titles.get(mark.finding.rule) ?? mark.finding.rule;
    const words = `${clipped(rule, 10, width - 44 - textWidth(` · ${name}`, 10))} · ${name}`;
    content += drawMark(shape, text, x + 2, y, wide, {
      "data-finding": mark.finding.id,
      title: `${mark.number}. ${mark.finding.message}`,
    });
    content += element("text", { class: "dw-start", x: x + 36, y: y + 3.5 }, escaped(words));
  }
  if (few.length < listed.length) {
    const x = left + Math.floor(few.length / deep) * width;
    const y = top + 28 + (few.length % deep) * LINE;
    content += element(
      "text",
      { class: "dw-start dw-soft", x: x + 36, y: y + 3.5 },
      `and ${listed.length - few.length} more`,
    );
  }
  return { content, height: 28 + deep * LINE + 8 };
}

/** The element that a finding is named after. */
export const anchorName = (id: string): string => decodeURIComponent(id.slice(id.indexOf(":") + 1));

/** What each sign means, of those that the picture uses, and what the shapes of the marks say. */
export function legend({ audit }: Audited, used: ReadonlySet<Sign>, left: number, top: number, room: number): Block {
  const signs = SIGNS.filter(({ sign }) => used.has(sign));
  const found = new Set(
    audit.findings.flatMap((finding) => (finding.outcome === "pass" ? [] : shapeOf({ finding, number: 0 }))),
  );
  const shapes = ([...severities, "undetermined"] as const)
    .filter((shape) => found.has(shape))
    .map((shape) => ({
      words: SHAPE_WORDS[shape],
      width: 17,
      draw: (x: number, y: number) => drawMark(shape, shape === "undetermined" ? "n?" : "n", x, y, 17),
    }));
  const wide = [...signs, ...shapes].reduce((most, { words }) => Math.max(most, textWidth(words, 9)), 0) + ICON + 20;
  const across = Math.max(1, Math.floor((room + 20) / wide));
  let content = head("Signs", left, top + 12);
  let y = top + 30;
  for (const group of [signs, shapes]) {
    for (const [i, { draw, words, width = 18 }] of group.entries()) {
      const x = left + (i % across) * wide;
      const line = y + Math.floor(i / across) * (LINE + 4);
      content +=
        draw(x + (ICON - width) / 2, line) +
        element("text", { class: "dw-small dw-start dw-soft", x: x + ICON + 7, y: line + 3 }, escaped(words));
    }
    y += Math.ceil(group.length / across) * (LINE + 4);
  }
  return { content, height: y - top };
}

/** px across that every sign is set in the middle of */
const ICON = 26;

const SHAPE_WORDS: Readonly<Record<Severity | "undetermined", string>> = {
  ...severityWords,
  undetermined: "cannot be told yet",
};

interface Entry {
  readonly sign: Sign;
  readonly words: string;
  readonly width?: number;
  readonly draw: (x: number, y: number) => string;
}

const line = (name: string) => (x: number, y: number) => element("path", { class: name, d: `M${r(x)} ${r(y)}h24` });
const path = (name: string, d: string) => (x: number, y: number) => `<path class="${name}" d="M${r(x)} ${r(y)}${d}"/>`;
const both =
  (...parts: ((x: number, y: number) => string)[]) =>
  (x: number, y: number) =>
    parts.map((part) => part(x, y)).join("");

const SIGNS: readonly Entry[] = [
  {
    sign: "coil",
    words: "fan coil on its pan",
    draw: both(path("dw-symbol", "m1 -6h16v10h-16z"), path("dw-line dw-pan", "m-.5 1v4h19v-4")),
  },
  { sign: "drain", words: "drain of one coil", width: 24, draw: line("dw-pipe") },
  { sign: "common", words: "common drain", width: 24, draw: line("dw-pipe dw-common") },
  { sign: "vent", words: "vent", width: 24, draw: line("dw-pipe dw-vent") },
  { sign: "second", words: "second line", width: 24, draw: line("dw-pipe dw-second") },
  { sign: "pressure", words: "pump discharge", width: 24, draw: line("dw-pipe dw-pressure") },
  {
    sign: "trap",
    words: "trap, full",
    draw: both(path("dw-seal", "m4 -1v3a4 4 0 0 0 8 0v-3"), path("dw-line", "m4 -4v6a4 4 0 0 0 8 0v-6")),
  },
  { sign: "dry-trap", words: "trap, dry", draw: path("dw-line", "m4 -4v6a4 4 0 0 0 8 0v-6") },
  { sign: "waterless", words: "waterless trap", draw: path("dw-symbol", "m4 -4h9v8h-9zl9 8") },
  { sign: "check-valve", words: "check valve", draw: path("dw-symbol", "m4 -4v8l9 -4z") },
  { sign: "open-vent", words: "open end", draw: path("dw-line", "m9 6v-8m-3.5 -3l3.5 3 3.5 -3") },
  { sign: "capped-vent", words: "vent, capped", draw: path("dw-line", "m9 6v-10m-4 0h8") },
  { sign: "admittance", words: "lets air in only", draw: path("dw-symbol", "m5 -4h8l-4 6z") },
  {
    sign: "cleanout",
    words: "cleanout",
    draw: both(path("dw-line", "m9 6v-8"), path("dw-solid", "m5.5 -5h7v3.5h-7z")),
  },
  { sign: "open-cleanout", words: "cleanout, open", draw: path("dw-line", "m9 6v-8m-3.5 -3v3h7v-3") },
  {
    sign: "switch",
    words: "overflow switch",
    draw: both(path("dw-line", "m9 6v-5"), (x, y) =>
      element("circle", { class: "dw-symbol", cx: x + 9, cy: y - 2, r: 3.2 }),
    ),
  },
  {
    sign: "dead-switch",
    words: "switch, not working",
    draw: both(
      (x, y) => element("circle", { class: "dw-symbol", cx: x + 9, cy: y, r: 3.2 }),
      path("dw-line", "m5 -4l8 8m0 -8l-8 8"),
    ),
  },
  {
    sign: "trips",
    words: "switch that trips",
    draw: (x, y) => element("circle", { class: "dw-symbol dw-tripped", cx: x + 9, cy: y, r: 3.2 }),
  },
  {
    sign: "pump",
    words: "pump",
    draw: both(
      (x, y) => element("circle", { class: "dw-symbol", cx: x + 9, cy: y, r: 7 }),
      path("dw-solid", "m6 -4.5l8 4.5 -8 4.5z"),
    ),
  },
  { sign: "outlet", words: "outlet", draw: path("dw-symbol", "m1 -6h16l-5 8v4h-6v-4z") },
  {
    sign: "open-end",
    words: "leads no further",
    draw: (x, y) => element("circle", { class: "dw-symbol", cx: x + 9, cy: y, r: 3 }),
  },
  { sign: "reducer", words: "reducer", draw: path("dw-symbol", "m5 -3l8 1.5v3l-8 1.5z") },
  {
    sign: "wet",
    words: "standing water",
    width: 24,
    draw: both((x, y) => path("dw-wet", "h24")(x, y + 2.6), line("dw-pipe")),
  },
  { sign: "sealed", words: "water that closes the pipe", width: 24, draw: both(line("dw-sealed"), line("dw-pipe")) },
  { sign: "air", words: "locked air", width: 24, draw: both(line("dw-pipe"), path("dw-air", "m2 0h22")) },
  { sign: "way", words: "marked way", width: 24, draw: both(path("dw-way", "m4.5 0h15"), line("dw-pipe")) },
  {
    sign: "flood",
    words: "fills behind the blockage",
    width: 24,
    draw: both(path("dw-flood", "m4.5 0h15"), line("dw-pipe")),
  },
  { sign: "blocked", words: "blocked", draw: (x, y) => blockSymbol(x + 9, y) },
  { sign: "spill", words: "comes out first", draw: (x, y) => dropSymbol(x + 9, y + 1) },
  { sign: "link", words: "goes on at the same letter", draw: path("dw-symbol", "m2 -6h9l4 6 -4 6h-9z") },
  {
    sign: "off-sheet",
    words: "comes from elsewhere",
    draw: both(path("dw-line", "m9 -7v12"), path("dw-solid", "m6 -2h6l-3 6z")),
  },
  { sign: "folded", words: "floors left out", draw: path("dw-line", "m4 2l10 -8m-10 12l10 -8") },
];
