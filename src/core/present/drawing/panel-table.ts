import { KIND } from "../../graph/compiled.js";
import { plain } from "../plain.js";
import { type Panel, type PanelScene, pipeText, type Station, ventsOf } from "./panel-scene.js";
import type { Reach } from "./reaches.js";
import { spreadBoxes } from "./spread.js";
import { type Attributes, element, escaped, rounded } from "./svg.js";
import { fitted, TEXT, textWidth } from "./text-width.js";

const r = rounded;
/** rows that a brief table has */
const BRIEF_ROWS: ReadonlySet<string> = new Set(["Node", "Pipe", "Invert"]);
const COLUMN = 13;
/** px down a row whose texts lie across, and across the names of the rows */
const FLAT = 18;
const ROW_NAME = 44;

/** The drawing over a table, as far as the table goes by it. */
export interface Plot {
  readonly scene: PanelScene;
  readonly reach: Reach;
  readonly stations: readonly Station[];
  readonly left: number;
  readonly right: number;
  /** x of the first station */
  readonly xFrom: number;
  /** y at which the table may begin */
  readonly bottom: number;
  /** y of a level */
  readonly y: (z: number) => number;
}

/** What stands below a plot. */
export interface Table {
  /** stations that it lists, with the x of each */
  readonly listed: readonly number[];
  readonly columns: readonly number[];
  readonly rows: readonly TableRow[];
}

interface TableRow {
  readonly name: string;
  readonly height: number;
  readonly cells: readonly {
    readonly text: string;
    readonly x: number;
    readonly across: boolean;
    readonly attributes: Attributes;
  }[];
}

/** What comes in and what goes on, where the two differ. */
function invertText({ scene, reach }: Plot, i: number, figure: (z: number) => string): string {
  const { net } = scene.audited;
  const enters = i === 0 ? Number.NaN : net.toInvert[reach.pipes[i - 1]!];
  const p = reach.pipes[i] ?? reach.drop?.pipes[0];
  const leaves = p === undefined ? Number.NaN : net.fromInvert[p];
  if (Number.isNaN(enters) || Number.isNaN(leaves) || Math.abs(enters - leaves) < 5e-4)
    return figure(Number.isNaN(leaves) ? enters : leaves);
  return `${figure(enters)} → ${figure(leaves)}`;
}

/** The rows below: node, distance, invert, crown, vent top; between nodes the pipe. */
export function tableOf(plot: Plot): Table {
  const { scene, reach, stations: all, left, right, xFrom } = plot;
  const { audited, speak } = scene;
  const { net, facts } = audited;
  const most = Math.max(2, Math.floor((right - xFrom - 8) / (2 * COLUMN)));
  const listed = thinned(all, net.kind, most);
  const from = xFrom - 4;
  const columns = spreadBoxes(
    listed.map((i) => all[i]!.x - COLUMN / 2),
    listed.map(() => COLUMN),
    COLUMN,
    from,
    right - 6,
  ).map((x) => x + COLUMN / 2);
  const vents = listed.map((i) => ventsOf(scene, all[i]!.node).filter(({ isVent }) => isVent));
  const figure = (z: number) => speak.figure(z, "elevation");
  const crownAt = (i: number): number => {
    const p = reach.pipes[i] ?? reach.pipes[i - 1];
    if (p === undefined || facts.fall.vertical[p] === 1) return Number.NaN;
    return i < reach.pipes.length ? facts.water.fromCrown[p] : facts.water.toCrown[p];
  };
  const tallFor = (texts: readonly string[]): number => Math.max(16, ...texts.map((text) => textWidth(text, TEXT))) + 8;
  /** free across each column, half to each side of it */
  const free = columns.map((x, k) => {
    const before = k === 0 ? 2 * (x - left - ROW_NAME) : x - columns[k - 1]!;
    const after = k === columns.length - 1 ? 2 * (right - 8 - x) : columns[k + 1]! - x;
    return Math.min(before, after) - 6;
  });
  /** across where there is room for all of a row, else upright */
  const ofNodes = (
    name: string,
    texts: readonly string[],
    attributes: (k: number) => Attributes = () => ({}),
  ): TableRow => {
    const across = texts.every((text, k) => textWidth(text, TEXT) <= free[k]!);
    const cells = texts.map((text, k) => ({ text, x: columns[k]!, across, attributes: attributes(k) }));
    return { name, height: across ? FLAT : tallFor(texts), cells };
  };
  // pipes stand between the columns of their nodes, across where there is room, else along them
  const pipes = listed.slice(0, -1).map((i, k) => {
    const next = listed[k + 1]!;
    const p = reach.pipes[i]!;
    const alone = next - i === 1;
    const text = alone ? pipeText(scene, p) : `${next - i} pipes`;
    return {
      x: (columns[k]! + columns[k + 1]!) / 2,
      text,
      across: textWidth(text, TEXT) <= columns[k + 1]! - columns[k]! - 6,
      attributes: alone ? { "data-pipe": net.pipes[p].id } : {},
    };
  });
  const along = pipes.filter(({ across }) => !across).map(({ text }) => text);
  const rows = [
    ofNodes(
      "Node",
      listed.map((i) => fitted(plain(net.nodes[all[i]!.node].id), TEXT, 92)),
      (k) => ({ "data-node": net.nodes[all[listed[k]!]!.node].id }),
    ),
    { name: "Pipe", height: along.length === 0 ? FLAT : tallFor(along), cells: pipes },
    ofNodes(
      "Distance",
      listed.map((i) => speak.figure(all[i]!.at, "length")),
    ),
    ofNodes(
      "Invert",
      listed.map((i) => invertText(plot, i, figure)),
    ),
    ofNodes(
      "Crown",
      listed.map((i) => (Number.isNaN(crownAt(i)) ? "" : figure(crownAt(i)))),
    ),
    ofNodes(
      "Vent top",
      vents.map((each) => (each.length === 0 ? "" : figure(each[0]!.top))),
    ),
  ];
  return {
    listed,
    columns,
    rows: rows.filter(
      ({ name, cells }) => cells.some(({ text }) => text !== "") && (!scene.brief || BRIEF_ROWS.has(name)),
    ),
  };
}

/**
 * Draws a table and the lines that lead to it.
 * @param tall height of each row, as tables side by side need it
 */
export function drawTable(
  { stations, left, right, bottom, y: yOf }: Plot,
  { listed, columns, rows }: Table,
  tall: ReadonlyMap<string, number>,
): Panel {
  const out: string[] = [];
  let y = bottom + 14;
  for (const [k, i] of listed.entries()) {
    const { x, z } = stations[i]!;
    out.push(
      element("path", {
        class: "dw-leader",
        d: `M${r(x)} ${r(Math.min(yOf(z) + 3, bottom))}V${r(bottom)}L${r(columns[k]!)} ${r(y - 2)}`,
      }),
    );
  }
  const line = (at: number) =>
    out.push(element("path", { class: "dw-floor", d: `M${r(left)} ${r(at)}H${r(right - 8)}` }));
  for (const { name, cells } of rows) {
    const height = tall.get(name)!;
    line(y);
    out.push(element("text", { class: "dw-small dw-soft dw-start", x: left, y: y + 12 }, escaped(name)));
    for (const { text, x, across, attributes } of cells) {
      if (text === "") continue;
      out.push(
        across
          ? element("text", { class: "dw-small", x, y: y + height / 2 + 3, ...attributes }, escaped(text))
          : upright(x, y + height - 4, text, attributes),
      );
    }
    y += height;
  }
  line(y);
  return { content: out.join(""), height: y - bottom + 4 };
}

const upright = (x: number, y: number, text: string, attributes: Attributes = {}): string =>
  element(
    "text",
    { class: "dw-small dw-start", transform: `translate(${r(x + 3)} ${r(y)}) rotate(-90)`, ...attributes },
    escaped(text),
  );

/** The stations that are kept where there is no room for all: ends, traps and joints before mere points. */
export function thinned(all: readonly Station[], kind: Uint8Array, most: number): number[] {
  if (all.length <= most) return all.map((_, i) => i);
  const rank = (i: number): number =>
    i === 0 || i === all.length - 1
      ? 0
      : kind[all[i]!.node] === KIND.trap
        ? 1
        : kind[all[i]!.node] === KIND.junction
          ? 2
          : 3;
  return all
    .map((_, i) => i)
    .sort((a, b) => rank(a) - rank(b) || a - b)
    .slice(0, most)
    .sort((a, b) => a - b);
}
