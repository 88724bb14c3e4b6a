import type { Audited } from "../../audit/run.js";
import { speakerFor } from "../../audit/speaker.js";
import { KIND, ROLE } from "../../graph/compiled.js";
import { sizeNameOf } from "../../materials/materials.js";
import type { ModelNode } from "../../network/model.js";
import type { QuantityKind, Speaker } from "../../quantity/speaker.js";
import { plain } from "../plain.js";
import type { Emphasis } from "./emphasis.js";
import type { Forest, Link, Stub } from "./forest.js";
import type { Plan, Room } from "./layout.js";
import { MARK_HEIGHT, type Mark, type Marks, marksWidth } from "./marks.js";
import { fitted, textWidth, wrap } from "./text-width.js";

/** How much of each element is drawn. */
export interface Detail {
  /** coils carry their names */
  readonly named: boolean;
  /** what carries size and grade */
  readonly sized: "all" | "common" | "none";
  readonly coilHeight: number;
  readonly coilWidth: number;
  readonly trapWidth: number;
  readonly trapDepth: number;
  readonly stub: number;
  /** least free length of a pipe */
  readonly pipe: number;
  /** least height between joints of a riser */
  readonly step: number;
  readonly gap: number;
}

const MIDDLING: Detail = {
  named: true,
  sized: "common",
  coilHeight: 13,
  coilWidth: 22,
  trapWidth: 7,
  trapDepth: 8,
  stub: 14,
  pipe: 8,
  step: 14,
  gap: 5,
};

/** From the most to the least. */
export const DETAILS: readonly Detail[] = [
  {
    named: true,
    sized: "all",
    coilHeight: 15,
    coilWidth: 26,
    trapWidth: 9,
    trapDepth: 11,
    stub: 19,
    pipe: 14,
    step: 18,
    gap: 7,
  },
  MIDDLING,
  { ...MIDDLING, sized: "none" },
  {
    named: false,
    sized: "none",
    coilHeight: 9,
    coilWidth: 12,
    trapWidth: 6,
    trapDepth: 7,
    stub: 11,
    pipe: 6,
    step: 10,
    gap: 4,
  },
];

const LABEL = 9;
const MOST_OF_A_NAME = 96;
const LINK_WIDTH = 15;

/** Size of a pipe in words, or its bore; null: neither is known. */
export const sizeOf = ({ audited, speak }: Pick<Scene, "audited" | "speak">, p: number): string | null => {
  const { net, facts, profile } = audited;
  const { size, material } = net.pipes[p];
  if (size !== null) return sizeNameOf(size, material, profile.sizeSystem);
  const bore = facts.geometry.bore[p];
  return Number.isNaN(bore) ? null : `bore ${speak.figure(bore, "dimension")}`;
};

/** Everything that the parts of one picture share. */
export interface Scene {
  readonly audited: Audited;
  readonly speak: Speaker;
  readonly trees: Forest;
  readonly marks: Marks;
  readonly detail: Detail;
  readonly emphasis: Emphasis | null;
  /** node at the top of a riser → that riser's number */
  readonly riserHead: ReadonlyMap<number, number>;
  /** what enters the picture at a node from parts that are not in it */
  readonly offSheet: ReadonlyMap<number, string>;
  readonly linksOf: (node: number) => readonly Link[];
  readonly labels: Labels;
}

export interface Labels {
  readonly coil: (node: number) => string;
  readonly coilWidth: number;
  /** size and grade of a pipe that carries them, "" on others */
  readonly pipe: (pipe: number) => string;
  /** size beside a riser where it changes, "" elsewhere */
  readonly riser: (node: number) => string;
  /** what an outlet or pump is called, and what it is, in lines */
  readonly end: (node: number) => EndLabel;
}

export interface EndLabel {
  readonly names: readonly string[];
  readonly kinds: readonly string[];
}

/** At what a blockage stops, and where its water comes out: said in the picture itself. */
export const BLOCKED = "blocked";
export const COMES_OUT = "comes out first";
/** px by which the sign of a blockage lifts what is written over its pipe */
export const BLOCK_LIFT = 4;

/** What is written over a pipe of a line. */
export const pipeLabel = ({ labels, emphasis }: Scene, p: number): string =>
  [emphasis?.flood?.blockedPipe === p ? BLOCKED : "", labels.pipe(p)].filter((part) => part !== "").join(" · ");

/** What a blockage has to do with an outlet or pump. */
export const endWords = ({ emphasis }: Scene, node: number): string[] => [
  ...(emphasis?.flood?.blockedNode === node ? [BLOCKED] : []),
  ...(emphasis?.flood?.spills.has(node) ? [COMES_OUT] : []),
];

/** A figure in the document's units without what the drawing has no room for. */
export const short = (speak: Speaker, si: number, kind: QuantityKind): string =>
  speak.figure(si, kind).replace(/ \(.*\)$/, "");

export function labelsOf(audited: Audited, trees: Forest, detail: Detail): Labels {
  const { net, facts, profile } = audited;
  const speak = speakerFor(net, profile);
  const short_ = shortNames(net.nodes);
  const names = new Map<number, string>();
  let widest = 0;
  if (detail.named)
    for (const coil of net.coils) {
      const name = fitted(plain(short_(coil)), LABEL, MOST_OF_A_NAME);
      names.set(coil, name);
      widest = Math.max(widest, textWidth(name, LABEL));
    }
  const size = (p: number): string => sizeOf({ audited, speak }, p) ?? "size unknown";
  const { runs, runOf, grade, vertical } = facts.fall;
  const carrier = new Map<number, number>();
  const carries = (p: number): boolean => {
    const run = runOf[p];
    if (run < 0) return false;
    let longest = carrier.get(run);
    if (longest === undefined) {
      longest = runs[run].pipes.reduce((best, q) => (net.length[q] > net.length[best] ? q : best));
      carrier.set(run, longest);
    }
    return longest === p && runs[run].length >= LEAST_OF_A_RUN;
  };
  const sizeAndGrade = (p: number): string => {
    if (detail.sized === "none" || (detail.sized === "common" && facts.topology.common[p] === 0)) return "";
    if (net.role[p] !== ROLE.drain || vertical[p] === 1 || !carries(p)) return "";
    const fall = runs[runOf[p]].grade;
    return `${size(p)} · ${short(speak, Number.isNaN(fall) ? grade[p] : fall, "grade")}`;
  };
  /** on a common drain where it is another than on the one that it goes on from */
  const pipe = (p: number): string => {
    const text = sizeAndGrade(p);
    if (text === "" || facts.topology.common[p] === 0) return text;
    const { start, list } = net.drainsIn;
    for (let k = start[net.from[p]]; k < start[net.from[p] + 1]; k++)
      if (facts.topology.common[list[k]] === 1 && sizeAndGrade(list[k]) === text) return "";
    return text;
  };
  const above = new Map<number, number>();
  for (const v of trees.order)
    if (trees.via[v] >= 0 && vertical[trees.via[v]] === 1) above.set(trees.parent[v], trees.via[v]);
  return {
    coil: (node) => names.get(node) ?? "",
    coilWidth: detail.named ? Math.max(detail.coilWidth, Math.ceil(widest) + 10) : detail.coilWidth,
    pipe,
    riser: (node) => {
      const p = trees.via[node];
      if (p < 0 || vertical[p] !== 1 || facts.topology.common[p] !== 1) return "";
      const upper = above.get(node);
      return upper !== undefined && size(upper) === size(p) ? "" : size(p);
    },
    end: (node) => endLabel(net.nodes[node]),
  };
}

/** A shorter run is judged for its direction only. */
const LEAST_OF_A_RUN = 0.5;

/** Names without the part that every element of a typical has, where they stay apart. */
function shortNames(nodes: readonly ModelNode[]): (node: number) => string {
  const placed = new Map<string, number>();
  const stem = ({ id, typical }: ModelNode): string | null => {
    const cut = typical === null ? -1 : id.lastIndexOf("/");
    return cut <= 0 ? null : id.slice(0, cut);
  };
  for (const node of nodes) {
    const name = node.coil === null ? null : stem(node);
    if (name !== null) placed.set(name, (placed.get(name) ?? 0) + 1);
  }
  return (i) => {
    const name = stem(nodes[i]);
    return name !== null && placed.get(name) === 1 ? name : nodes[i].id;
  };
}

const MOST_OF_AN_END = 150;

function endLabel({ id, name, outlet, pump }: ModelNode): EndLabel {
  const [first = "", second, ...rest] = wrap(plain(name ?? id), 10, MOST_OF_AN_END);
  const names = second === undefined ? [first] : [first, rest.length === 0 ? second : `${second} …`];
  if (pump !== null) return { names, kinds: ["condensate pump"] };
  const what = [outlet?.discharge, outlet?.connection].flatMap((part) => part?.replaceAll("-", " ") ?? []);
  return { names, kinds: what.length === 0 ? [] : [fitted(what.join(", "), LABEL, MOST_OF_AN_END)] };
}

/** A drain that stands: it is drawn plumb. */
export const isPlumb = ({ net, facts }: Audited, p: number): boolean =>
  facts.fall.vertical[p] === 1 && facts.fall.fall[p] > 0 && net.role[p] !== ROLE.pressure;

/** Nodes that a plumb pipe enters from above or leaves downwards. */
export function onRisers(audited: Audited, { parent, via, order }: Forest): { entered: Uint8Array; left: Uint8Array } {
  const entered = new Uint8Array(parent.length);
  const left = new Uint8Array(parent.length);
  for (const v of order)
    if (via[v] >= 0 && isPlumb(audited, via[v])) {
      entered[parent[v]] = 1;
      left[v] = 1;
    }
  return { entered, left };
}

/** What stands beside a node of a riser, in one line to the right of it. */
export interface Beside {
  readonly marks: readonly Mark[];
  readonly size: string;
  readonly links: readonly Link[];
  /** the riser is stopped below it */
  readonly blocked: boolean;
  readonly width: number;
}

export function besideOf(scene: Scene, node: number): Beside {
  const { trees, marks, labels } = scene;
  const p = trees.via[node];
  const all = [...nodeMarks(scene, node), ...(p >= 0 && isPlumb(scene.audited, p) ? marks.ofPipe(p) : [])];
  const size = labels.riser(node);
  const links = scene.linksOf(node);
  const blocked = p >= 0 && scene.emphasis?.flood?.blockedPipe === p && isPlumb(scene.audited, p);
  const parts = [
    marksWidth(all),
    size === "" ? 0 : textWidth(size, LABEL),
    blocked ? textWidth(BLOCKED, LABEL) + 4 : 0,
    links.length * LINK_WIDTH,
  ].filter((width) => width > 0);
  return { marks: all, size, links, blocked, width: parts.length === 0 ? 0 : 6 + parts.reduce((a, b) => a + b + 4, 0) };
}

/** Findings on a node, on what rises from it, and on what goes on from it at a letter. */
export function nodeMarks({ audited: { net }, trees, marks, linksOf }: Scene, node: number): readonly Mark[] {
  const stubs = trees.stubs.get(node);
  const own = marks.ofNode(node);
  const links = linksOf(node);
  if (stubs === undefined && links.length === 0) return own;
  const all = [...own];
  for (const { pipes, end } of stubs ?? []) {
    for (const p of pipes) all.push(...marks.ofPipe(p), ...(net.to[p] === end ? [] : marks.ofNode(net.to[p])));
    if (end >= 0) all.push(...marks.ofNode(end));
  }
  for (const { pipe } of links) if (net.from[pipe] === node) all.push(...marks.ofPipe(pipe));
  return [...new Set(all)].sort((a, b) => a.number - b.number);
}

/** What rises from a node of a line or riser: stubs side by side, then what comes in from outside the picture. */
export interface Columns {
  /** x from the node, in the direction of the flow */
  readonly stubs: readonly { readonly stub: Stub; readonly x: number }[];
  /** stubs too many to be drawn */
  readonly more: number;
  readonly offSheet: { readonly text: string; readonly x: number } | null;
  /** x of the words at one from which water comes out */
  readonly spill: number | null;
  /** from the node to the end of the last */
  readonly width: number;
}

const MOST_STUBS = 5;
const STUB_STEP = 9;

/** @param entered a riser comes in from above: they stand beside it */
export function columnsOf({ audited, trees, offSheet, emphasis }: Scene, node: number, entered: boolean): Columns {
  const all = trees.stubs.get(node) ?? [];
  const kind = audited.net.kind[node];
  const from = entered || kind === KIND.coil || kind === KIND.trap ? 8 : 0;
  const stubs = all.slice(0, MOST_STUBS).map((stub, i) => ({ stub, x: from + i * STUB_STEP }));
  const more = all.length - stubs.length;
  let end = from + stubs.length * STUB_STEP;
  if (more > 0) end += textWidth(`+${more}`, LABEL) + 3;
  let spill: number | null = null;
  if (all.some((stub) => emphasis?.flood?.spills.has(stub.end))) {
    spill = end;
    end += textWidth(COMES_OUT, LABEL) + 5;
  }
  const text = offSheet.get(node);
  if (text === undefined)
    return { stubs, more, offSheet: null, spill, width: stubs.length === 0 ? 0 : end - STUB_STEP + 5 };
  return { stubs, more, offSheet: { text, x: end + 2 }, spill, width: end + 8 + textWidth(text, LABEL) };
}

/** px that a coil's own second line takes beside it */
export function tailLength(scene: Scene, coil: number): number {
  const tail = scene.trees.tails.get(coil);
  if (tail === undefined) return 0;
  return Math.max(tail.nodes.length * TAIL_STEP + END_SYMBOL, marksWidth(tailMarksOf(scene, coil)) + 6);
}

/** px of a switch on its stalk over a coil */
export const DEVICE_HEIGHT = 10;
export const END_SYMBOL = 12;
export const TAIL_STEP = 18;
const HEAD = 17;

/** Devices in the pan of a coil. */
export function devicesByCoil({ net }: Audited): ReadonlyMap<number, readonly number[]> {
  const found = new Map<number, number[]>();
  for (const [device, { at }] of net.model.devices.entries()) {
    const node = net.nodeRank[at];
    if (net.kind[node] !== KIND.coil) continue;
    const known = found.get(node);
    if (known === undefined) found.set(node, [device]);
    else known.push(device);
  }
  return found;
}

/** Room that each element needs, so that nothing stands over anything else. */
export function planOf(scene: Scene, row: Int32Array, devices: ReadonlyMap<number, readonly number[]>): Plan {
  const { audited, trees, marks, detail, labels } = scene;
  const { net } = audited;
  const risers = onRisers(audited, trees);
  const spilling = Math.ceil(textWidth(COMES_OUT, LABEL)) + 10;
  const flood = scene.emphasis?.flood;
  const room = (node: number): Room => {
    const own = marksWidth(nodeMarks(scene, node));
    const isBlocked = flood?.blockedNode === node;
    const links = scene.linksOf(node).length * LINK_WIDTH;
    switch (net.kind[node]) {
      case KIND.coil: {
        const { width } = columnsOf(scene, node, false);
        const tailMarks = marksWidth(tailMarksOf(scene, node));
        const up =
          detail.coilHeight +
          ((devices.get(node) ?? []).length > 0 ? DEVICE_HEIGHT : 0) +
          (own > 0 ? MARK_HEIGHT + 3 : 3);
        return {
          left:
            Math.max(labels.coilWidth, own + 2, links) +
            tailLength(scene, node) +
            (flood?.spills.has(node) ? spilling : 0) +
            2,
          right: Math.max(1, width),
          up: Math.max(up, width > 0 ? detail.stub + 5 : 0, tailMarks > 0 ? detail.coilHeight + MARK_HEIGHT + 2 : 0),
          down: isBlocked ? 20 : links > 0 ? 18 : 5,
          beside: 0,
        };
      }
      case KIND.trap: {
        const half = Math.max(
          detail.trapWidth / 2 + 1,
          own / 2 + 1,
          links / 2,
          isBlocked ? textWidth(BLOCKED, LABEL) / 2 : 0,
        );
        const { width } = columnsOf(scene, node, false);
        return {
          left: half,
          right: width > 0 ? Math.max(half, width + (own > 0 ? own + 3 : 0)) : half,
          up: Math.max(own > 0 ? MARK_HEIGHT + 5 : 4, width > 0 ? detail.stub + 5 : 0),
          down: detail.trapDepth + (isBlocked ? 14 : links > 0 ? 16 : 4),
          beside: 0,
        };
      }
      case KIND.outlet:
      case KIND.pump: {
        const { names, kinds } = labels.end(node);
        const told = [...kinds, ...endWords(scene, node)];
        const width = Math.max(
          ...names.map((line) => textWidth(line, 10)),
          ...told.map((line) => textWidth(line, LABEL)),
        );
        const lines = names.length + told.length;
        return {
          left: Math.max(END_SYMBOL, links),
          right: END_SYMBOL + 4 + Math.max(width, own),
          up: own > 0 ? MARK_HEIGHT + 6 : 9,
          down: Math.max(links > 0 ? 42 : 26, 4 + 11 * lines),
          beside: 0,
        };
      }
    }
    const { width, stubs, offSheet } = columnsOf(scene, node, risers.entered[node] === 1);
    const rising = stubs.length > 0 || offSheet !== null ? detail.stub + 5 : 3;
    const head = scene.riserHead.has(node) ? HEAD : 0;
    if (risers.entered[node] === 1 || risers.left[node] === 1)
      return { left: 4, right: Math.max(4, width), up: rising + head, down: 4, beside: besideOf(scene, node).width };
    const beside = width > 0 ? width + (own > 0 ? own + 3 : 0) : own / 2 + 1;
    return {
      left: Math.max(4, width > 0 ? 0 : own / 2 + 1, links / 2),
      right: Math.max(3, beside, links / 2),
      up: Math.max(rising, own > 0 ? MARK_HEIGHT + 5 : 0) + head,
      down: links > 0 ? 20 : 4,
      beside: 0,
    };
  };
  const rooms = new Map<number, Room>();
  return {
    trees,
    row,
    plumb: (p) => isPlumb(audited, p),
    room: (node) => {
      let known = rooms.get(node);
      if (known === undefined) {
        known = room(node);
        rooms.set(node, known);
      }
      return known;
    },
    span: (p) => {
      const label = pipeLabel(scene, p);
      const own = marksWidth(marks.ofPipe(p));
      const lift = flood?.blockedPipe === p ? BLOCK_LIFT : 0;
      return {
        length: Math.max(detail.pipe, label === "" ? 0 : textWidth(label, LABEL) + 10, own > 0 ? own + 10 : 0),
        up: 5 + (label === "" ? 0 : 11 + lift) + (own > 0 ? MARK_HEIGHT + 2 : 0),
      };
    },
    gap: detail.gap,
    step: detail.step,
  };
}

/** Findings on a coil's second line. */
export function tailMarksOf({ trees, marks }: Scene, coil: number): Mark[] {
  const tail = trees.tails.get(coil);
  return tail === undefined
    ? []
    : [...tail.pipes.flatMap((p) => marks.ofPipe(p)), ...tail.nodes.flatMap((node) => marks.ofNode(node))];
}

/** pipe → part of a space of locked air on some coil's way */
export function lockedPipes({ facts }: Audited): (pipe: number) => boolean {
  const locked = new Set<number>();
  for (const space of facts.air.best.spaces)
    if (space.kind === "trapped" && space.onPath) for (const p of space.pipes) locked.add(p);
  return (pipe) => locked.has(pipe);
}
