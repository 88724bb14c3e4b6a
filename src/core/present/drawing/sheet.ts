import type { Audited } from "../../audit/run.js";
import { speakerFor } from "../../audit/speaker.js";
import { counted } from "../layout.js";
import { plain } from "../plain.js";
import { stageWords } from "../words.js";
import { type Band, bandsOf, cutsOf, soundRoots } from "./bands.js";
import { joined, newLayers, Pen } from "./draw-elements.js";
import type { Emphasis } from "./emphasis.js";
import { type Floors, floorsOf } from "./floors.js";
import { type Fold, foldWords, looksOf, rowsOf, type Shown } from "./folds.js";
import { type Forest, forest, type Link, type Part, WHOLE } from "./forest.js";
import { findingsList, legend, riserIndex } from "./keys.js";
import { layOut, type Places, type Plan } from "./layout.js";
import type { Marks } from "./marks.js";
import type { Riser } from "./risers.js";
import {
  DETAILS,
  type Detail,
  devicesByCoil,
  isPlumb,
  labelsOf,
  lockedPipes,
  onRisers,
  pipeLabel,
  planOf,
  type Scene,
} from "./scene.js";
import { drawingStyle } from "./style.js";
import { element, escaped, rounded, svgDocument } from "./svg.js";
import { fitted, textWidth, wrap } from "./text-width.js";

const r = rounded;

export interface Sheet {
  readonly audited: Audited;
  readonly marks: Marks;
  readonly risers: readonly Riser[];
  readonly emphasis: Emphasis | null;
  readonly width: number;
  readonly title: string;
  readonly kind: string;
  /** null: all of it */
  readonly part: Part | null;
  readonly offSheet?: ReadonlyMap<number, string>;
  /** floors that are alike are drawn once */
  readonly folds: boolean;
  /** px; what is higher than this with more detail is drawn with less */
  readonly highest: number;
  /** with its title, the index of risers, the list of findings and the legend */
  readonly key: boolean;
}

const MARGIN = 18;
const GUTTER = 14;
const FOLD = 15;
const FOLD_LINE = 11;
const NARROWEST = 720;
const MOST_FOLD_LINES = 4;
/** px of a row of the list of findings, and of its head with two of them */
const ROW = 16;
const HEAD_AND_TWO = 52;

/** A picture, and where paper may be cut through it. */
export interface Drawing {
  readonly svg: string;
  /** px from its top, downwards */
  readonly breaks: readonly Break[];
}

export interface Break {
  readonly y: number;
  /** what stands above and below it is apart */
  readonly apart: boolean;
}

/** Draws a part of the network or all of it, floor over floor. */
export function drawSheet(sheet: Sheet): Drawing {
  const { audited, width } = sheet;
  const floors = floorsOf(audited.net);
  const speak = speakerFor(audited.net, audited.profile);
  const gutter = Math.min(
    170,
    Math.max(56, ...floors.rows.map((row) => Math.max(textWidth(plain(row.name), 10), elevationWidth(row.elevation)))) +
      GUTTER,
  );
  function elevationWidth(elevation: number): number {
    return Number.isNaN(elevation) ? 0 : textWidth(speak.figure(elevation, "elevation"), 9);
  }
  const drawn = mostDetailed(sheet, floors, width - 2 * MARGIN - gutter);
  const { pen, bands } = drawn;
  const least = sheet.key ? Math.min(width, NARROWEST) : 0;
  const whole = Math.max(least, ...bands.map((band) => MARGIN + gutter + band.width + MARGIN));
  const inner = whole - 2 * MARGIN;
  const head = sheet.key ? heading(sheet, inner) : { content: "", height: MARGIN };
  let y = head.height;
  let content = head.content;
  const breaks: Break[] = [];
  for (const band of bands) {
    const picture = drawBand(
      sheet,
      floors,
      drawn,
      band,
      { left: MARGIN + gutter, right: whole - MARGIN, top: y },
      (elevation) => speak.figure(elevation, "elevation"),
    );
    content += picture.content;
    for (const line of picture.lines) breaks.push({ y: line + 1, apart: false });
    y += picture.height + 18;
    breaks.push({ y: y - 9, apart: true });
  }
  content += joined(pen.layers);
  const under = (block: { readonly content: string; readonly height: number }) => {
    content += block.content;
    for (let row = HEAD_AND_TWO; row < block.height - ROW; row += ROW) breaks.push({ y: y + row, apart: false });
    y += block.height;
    breaks.push({ y, apart: true });
  };
  if (sheet.key) {
    if (sheet.part === null) under(riserIndex(audited, sheet.risers, sheet.marks, floors, MARGIN, y, inner));
    under(findingsList(audited, drawn.shown, MARGIN, y, inner));
    under(legend(audited, pen.used, MARGIN, y, inner));
  }
  const svg = svgDocument({
    width: whole,
    height: y + MARGIN - 6,
    title: `${sheet.kind}: ${sheet.title}`,
    description: describe(sheet),
    style: drawingStyle,
    attributes: { "data-network": audited.net.model.id },
    content,
  });
  return { svg, breaks };
}

const coilsIn = ({ audited: { net }, part }: Sheet): string =>
  counted(part === null ? net.coils.length : net.coils.filter((node) => part.hasNode(node)).length, "fan coil");

const describe = (sheet: Sheet): string => {
  const { audited, emphasis, risers, part } = sheet;
  const { counts } = audited.audit;
  const coils = `${coilsIn(sheet)}${part === null ? ` on ${counted(risers.length, "riser")}` : ""}. `;
  return `${coils}Floors as levels; heights within a floor and lengths are not to scale. Findings: ${counts.critical} critical, ${counts.major} major, ${counts.minor} minor, ${counts.advice} advice, ${counts.undetermined} undetermined.${emphasis === null ? "" : ` ${emphasis.words}`}`;
};

function heading(sheet: Sheet, room: number): { content: string; height: number } {
  const { audited, title, kind, emphasis } = sheet;
  const { audit, net } = audited;
  const subtitle = `${kind} · ${coilsIn(sheet)} · ${stageWords[net.model.stage]} · judged by ${audit.profile.id} ${audit.profile.edition} · floors as levels, otherwise not to scale`;
  const lines = [
    element("text", { class: "dw-title dw-start", x: MARGIN, y: 30 }, escaped(fitted(plain(title), 17, room / 1.1))),
    ...wrap(subtitle, 11, room).map((line, i) =>
      element("text", { class: "dw-subtitle dw-start", x: MARGIN, y: 47 + i * 14 }, escaped(line)),
    ),
  ];
  let y = 47 + (lines.length - 2) * 14;
  if (emphasis !== null)
    for (const line of wrap(emphasis.words, 11, room)) {
      y += 15;
      lines.push(element("text", { class: "dw-head dw-start", x: MARGIN, y }, escaped(line)));
    }
  return { content: lines.join(""), height: y + 14 };
}

interface Drawn {
  readonly scene: Scene;
  readonly pen: Pen;
  readonly room: Plan["room"];
  readonly places: Places;
  readonly bands: readonly Band[];
  /** rows from the top of each band: what is drawn, and what is left out */
  readonly floors: readonly (readonly (Shown | Fold)[])[];
  /** node → x of its tree; NaN where it is not drawn */
  readonly shift: Float64Array;
  readonly bandOf: Int32Array;
  readonly shown: (node: number) => boolean;
}

/**
 * The most detail with which every tree fits into the room and the picture does not grow too high; where none does, lines
 * that are too long are broken.
 */
function mostDetailed(sheet: Sheet, floors: Floors, room: number): Drawn {
  const { audited, part } = sheet;
  const uncut = forest(audited.net, audited.facts, part ?? WHOLE);
  const fits = ({ bands }: Drawn): boolean => bands.every(({ width }) => width <= room);
  const isLow = (drawn: Drawn): boolean => heightOf(drawn) <= sheet.highest;
  const tried: Drawn[] = [];
  for (const detail of DETAILS) {
    const drawn = layOutWith(sheet, floors, uncut, detail, room);
    if (fits(drawn) && (isLow(drawn) || detail === DETAILS.at(-1))) return drawn;
    tried.push(drawn);
  }
  let last = tried.at(-1)!;
  for (const drawn of tried.slice(1)) {
    const cuts = cutsOf(drawn, uncut, room);
    if (cuts.size === 0) continue;
    const trees = forest(audited.net, audited.facts, part ?? WHOLE, cuts);
    last = layOutWith(sheet, floors, trees, drawn.scene.detail, room, cuts);
    if (fits(last) && isLow(last)) return last;
  }
  return last;
}

const heightOf = ({ floors }: Drawn): number =>
  floors.flat().reduce((sum, each) => sum + ("like" in each ? FOLD : each.height), 0);

function layOutWith(
  sheet: Sheet,
  floors: Floors,
  trees: Forest,
  detail: Detail,
  room: number,
  cuts: ReadonlySet<number> = NO_CUTS,
): Drawn {
  const { audited, marks, emphasis, risers } = sheet;
  const { net } = audited;
  const linksAt = new Map<number, Link[]>();
  for (const link of trees.links)
    for (const node of new Set([net.from[link.pipe], net.to[link.pipe]])) {
      const known = linksAt.get(node);
      if (known === undefined) linksAt.set(node, [link]);
      else known.push(link);
    }
  const riserHead = new Map<number, number>();
  for (const { heads, number } of risers) for (const node of heads) riserHead.set(node, number);
  const scene: Scene = {
    audited,
    speak: speakerFor(net, audited.profile),
    trees,
    marks,
    detail,
    emphasis,
    riserHead,
    offSheet: sheet.offSheet ?? new Map(),
    linksOf: (node) => linksAt.get(node) ?? NO_LINKS,
    labels: labelsOf(audited, trees, detail),
  };
  const devices = devicesByCoil(audited);
  const plan = planOf(scene, floors.row, devices);
  const places = layOut(plan);
  const bands = bandsOf(places, room, soundRoots(net, trees, cuts));
  const shift = new Float64Array(net.nodeCount).fill(Number.NaN);
  const bandOf = new Int32Array(net.nodeCount).fill(-1);
  for (const [b, band] of bands.entries())
    for (const { root, x } of band.trees) {
      shift[root] = x;
      bandOf[root] = b;
    }
  for (const v of trees.order) {
    const up = trees.parent[v];
    if (up < 0) continue;
    shift[v] = shift[up];
    bandOf[v] = bandOf[up];
  }
  const shownStubs = new Set<number>();
  for (const [host, stubs] of trees.stubs) if (bandOf[host] >= 0) for (const { end } of stubs) shownStubs.add(end);
  for (const [coil, tail] of trees.tails) if (bandOf[coil] >= 0) for (const node of tail.nodes) shownStubs.add(node);
  const drawn = {
    scene,
    pen: new Pen(scene, newLayers(), onRisers(audited, trees).entered, devices, lockedPipes(audited)),
    room: plan.room,
    places,
    bands,
    shift,
    bandOf,
    shown: (node: number) => bandOf[node] >= 0 || shownStubs.has(node),
  };
  const own = bands.map((): number[] => []);
  for (const v of trees.order) own[bandOf[v]].push(v);
  return {
    ...drawn,
    floors: bands.map((band, b) => rowsOf(band, sheet.folds ? looksOf(drawn, floors, own[b]) : null)),
  };
}

const NO_CUTS: ReadonlySet<number> = new Set();
const NO_LINKS: readonly Link[] = [];
/** One band: its floors from the top, and all that stands in them. */
function drawBand(
  sheet: Sheet,
  floors: Floors,
  drawn: Drawn,
  band: Band,
  { left, right, top }: { readonly left: number; readonly right: number; readonly top: number },
  level: (elevation: number) => string,
): { content: string; height: number; lines: readonly number[] } {
  const { audited } = sheet;
  const { net } = audited;
  const { scene, pen, places, shift } = drawn;
  const { trees } = scene;
  const own = trees.order.filter((v) => drawn.bands[drawn.bandOf[v]] === band);

  /** row → y of its bottom, or of the fold that it is part of */
  const bottom = new Map<number, number>();
  const heights = new Map<number, { readonly top: number; readonly bottom: number }>();
  let content = "";
  let y = top;
  const lines: number[] = [];
  for (const each of drawn.floors[drawn.bands.indexOf(band)]) {
    if ("like" in each) {
      const words = foldWords(each, floors);
      const all = wrap(words, 9, right - MARGIN - 8);
      const few = all.length > MOST_FOLD_LINES ? [...all.slice(0, MOST_FOLD_LINES - 1), "…"] : all;
      const height = FOLD + (few.length - 1) * FOLD_LINE;
      // what runs through the floors that are left out runs behind
      pen.layers.symbols.push(element("rect", { class: "dw-band", x: MARGIN, y, width: right - MARGIN, height }));
      for (const [i, line] of few.entries())
        pen.layers.texts.push(
          element("text", { class: "dw-small dw-start", x: MARGIN + 4, y: y + 10.5 + i * FOLD_LINE }, escaped(line)),
        );
      for (const { row } of each.like) {
        heights.set(row, { top: y, bottom: y + height });
      }
      y += height;
      continue;
    }
    y += each.height;
    lines.push(y);
    bottom.set(each.row, y - 2);
    const floor = floors.rows[each.row];
    const room = left - MARGIN - 6;
    const names =
      element("text", { class: "dw-start", x: MARGIN, y: y - 13 }, escaped(fitted(plain(floor.name), 10, room))) +
      (Number.isNaN(floor.elevation)
        ? ""
        : element(
            "text",
            { class: "dw-small dw-soft dw-start", x: MARGIN, y: y - 3 },
            escaped(level(floor.elevation)),
          ));
    content += element(
      "g",
      { "data-floor": floor.ids[0] },
      element("path", { class: "dw-floor", d: `M${MARGIN} ${r(y)}H${r(right)}` }) + (floor.name === "" ? "" : names),
    );
  }
  const hidden = (v: number): boolean => heights.has(floors.row[v]);
  const xOf = (v: number): number => left + shift[v] + places.x[v];
  /** of one that is left out, the edge of the fold that lies towards the other */
  const yOf = (v: number, other: number): number => {
    const fold = heights.get(floors.row[v]);
    if (fold !== undefined) return floors.row[other] > floors.row[v] ? fold.top : fold.bottom;
    return bottom.get(floors.row[v])! - places.y[v];
  };

  /** from a node to the middle of what its pipe has free of either node's own room */
  const freeOf = (v: number, up: number): number => {
    const length = Math.abs(xOf(up) - xOf(v));
    const flow = xOf(up) < xOf(v) ? -1 : 1;
    const { left, right, beside } = drawn.room(up);
    const before = drawn.room(v).right;
    const after = flow === places.flow[up] ? left : Math.max(right, beside);
    return (flow * (length + before - after)) / 2;
  };
  const breaks = new Set<string>();
  for (const v of own) {
    const up = trees.parent[v];
    if (!hidden(v)) pen.node(v, { x: xOf(v), y: yOf(v, v), flow: places.flow[v] });
    if (up < 0 || (hidden(v) && hidden(up))) continue;
    const p = trees.via[v];
    if (hidden(v) !== hidden(up)) breaks.add(`${r(xOf(up))} ${r(hidden(v) ? yOf(v, up) : yOf(up, v))}`);
    const shape = edge(
      net,
      scene.detail,
      p,
      { x: xOf(v), y: yOf(v, up), flow: places.flow[v] },
      { x: xOf(up), y: yOf(up, v) },
      isPlumb(audited, p),
    );
    pen.pipe(p, shape.points, shape.level === null ? null : { x: xOf(v) + freeOf(v, up), y: shape.y });
    if (
      shape.level !== null &&
      (pipeLabel(scene, p) !== "" || audited.facts.topology.common[p] === 1) &&
      Math.abs(shape.level[1] - shape.level[0]) > 12
    )
      pen.arrow(shape.level[0], shape.level[1], shape.y, p);
  }
  for (const at of breaks) {
    const [x, middle] = at.split(" ").map(Number) as [number, number];
    pen.layers.symbols.push(
      element("path", { class: "dw-line", d: `M${r(x - 5)} ${r(middle + 2.5)}L${r(x + 5)} ${r(middle - 2.5)}` }),
    );
    pen.used.add("folded");
  }
  return { content, height: y - top, lines };
}

/** How a pipe is drawn from a node to the one below it, and its stretch that lies level, where its label stands. */
function edge(
  net: Audited["net"],
  detail: Detail,
  p: number,
  from: { readonly x: number; readonly y: number; readonly flow: number },
  to: { readonly x: number; readonly y: number },
  plumb: boolean,
): { points: [number, number][]; level: [number, number] | null; y: number } {
  const half = detail.trapWidth / 2;
  const flow = to.x > from.x ? 1 : to.x < from.x ? -1 : from.flow;
  const start: [number, number] = [net.nodes[net.from[p]].trap === null ? from.x : from.x + from.flow * half, from.y];
  const end: [number, number] = [
    net.nodes[net.to[p]].trap === null ? to.x : to.x - (plumb ? from.flow : flow) * half,
    to.y,
  ];
  if (plumb || Math.abs(start[0] - end[0]) < 0.5) {
    if (Math.abs(start[0] - end[0]) < 0.5) return { points: [start, end], level: null, y: from.y };
    return { points: [start, [start[0], end[1] - 5], end], level: null, y: from.y };
  }
  const points: [number, number][] =
    Math.abs(start[1] - end[1]) < 0.5 ? [start, end] : [start, [end[0], start[1]], end];
  return { points, level: [start[0], end[0]], y: start[1] };
}
