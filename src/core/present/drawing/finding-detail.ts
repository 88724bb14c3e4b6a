import { hostOf } from "../../analysis/trip-cover.js";
import type { AuditFinding } from "../../audit/answer.js";
import type { Audited } from "../../audit/run.js";
import { speakerFor } from "../../audit/speaker.js";
import { catalogue } from "../../rules/catalogue.js";
import { plain } from "../plain.js";
import { unknown } from "./emphasis.js";
import { floorsOf } from "./floors.js";
import { anchorOf, type Index, indexOf, placeMarks } from "./marks.js";
import { panelsOf } from "./panel.js";
import type { PanelScene } from "./panel-scene.js";
import { type Reach, reachesOf } from "./reaches.js";
import { risersOf, withStubs } from "./risers.js";
import { lockedPipes } from "./scene.js";
import { drawSheet } from "./sheet.js";
import { drawingStyle } from "./style.js";
import { svgDocument } from "./svg.js";
import { trapStates } from "./trap-states.js";

/** Groups of rules whose matter is levels and slopes: a section shows it. */
const IN_SECTION: ReadonlySet<string> = new Set(["fall", "seal", "air", "support"]);
const MARGIN = 12;
/** px; a section needs so much */
const NARROWEST = 480;

/**
 * The surroundings of what one finding speaks of as one SVG document: a part of the long section where levels and slopes
 * are the matter, else of the riser diagram; no other finding is marked in it. null where it speaks of the building as a
 * whole. Pure.
 * @param finding its id, as the audit lists it
 * @throws RangeError on a finding that the audit does not list
 */
export const findingDetail = (
  audited: Audited,
  finding: string,
  { width = 640 }: { readonly width?: number } = {},
): string | null => {
  const { audit, net } = audited;
  const position = audit.findings.findIndex(({ id }) => id === finding);
  if (position < 0) throw unknown("finding", finding);
  const found = audit.findings[position]!;
  const index = indexOf(net);
  const anchor = anchorOf(net, index, found);
  if (anchor.node < 0 && anchor.pipe < 0) return null;
  const node = hostOf(net, anchor.pipe >= 0 ? net.from[anchor.pipe] : anchor.node);
  const marks = placeMarks(audited, index, found);
  const rule = catalogue.find(({ id }) => id === found.rule);
  const title = `${position + 1}. ${rule?.title ?? found.rule}`;
  const [group] = found.rule.split(".");
  const place = IN_SECTION.has(group!) ? placeOf(audited, node, anchor.pipe) : null;
  if (place === null) {
    const { shown, offSheet } = around(audited, node, found, index);
    return drawSheet({
      audited,
      marks,
      risers: risersOf(audited),
      emphasis: null,
      width,
      title,
      kind: "Detail",
      part: withStubs(net, shown),
      offSheet,
      folds: false,
      highest: Number.POSITIVE_INFINITY,
      key: false,
    }).svg;
  }
  const scene: PanelScene = {
    audited,
    speak: speakerFor(net, audited.profile),
    marks,
    flood: null,
    coil: place.coil,
    locked: lockedPipes(audited),
    brief: true,
  };
  const room = Math.max(width, NARROWEST);
  const panel = panelsOf(scene, [{ ...place, left: MARGIN, width: room - 2 * MARGIN }], MARGIN);
  const top = MARGIN + panel.height + 8;
  const traps = group === "seal" && place.first ? trapStates(scene, MARGIN, top, room - 2 * MARGIN) : null;
  return svgDocument({
    width: room,
    height: top + (traps?.height ?? 0) + 4,
    title,
    description: plain(found.message),
    style: drawingStyle,
    attributes: { "data-finding": found.id },
    content: panel.content + (traps?.content ?? ""),
  });
};

/** The reach of some coil's path on which a node or pipe lies; null where none does. */
function placeOf(
  audited: Audited,
  node: number,
  pipe: number,
): { readonly coil: number; readonly reach: Reach; readonly first: boolean; readonly last: boolean } | null {
  const { net, facts } = audited;
  const coil = coilAbove(audited, node);
  if (coil < 0) return null;
  const reaches = reachesOf(audited, coil, facts.topology.path(net.coilAt[coil]));
  const i = reaches.findIndex(
    ({ pipes, start }) => (pipes.length > 0 && start === node) || pipes.some((p) => p === pipe || net.to[p] === node),
  );
  const reach = reaches[i];
  if (reach === undefined || reach.pipes.length === 0) return null;
  return { coil, reach, first: i === 0, last: i === reaches.length - 1 };
}

/** The coil nearest above a node, itself included; -1 none. */
function coilAbove({ net, facts }: Audited, node: number): number {
  const { next } = facts.topology;
  const met = new Set([node]);
  for (const v of met) {
    if (net.coilAt[v] >= 0) return v;
    for (let k = net.drainsIn.start[v]; k < net.drainsIn.start[v + 1]; k++) {
      const p = net.drainsIn.list[k];
      if (next[net.from[p]] === p) met.add(net.from[p]);
    }
  }
  return -1;
}

/** Nodes drawn around one, at most, and floors above and below it. */
const MOST_AROUND = 40;
const MOST_FLOORS = 2;

/** What a finding speaks of, with the coils' ways to where they join, and what drains into all of it. */
function around(
  { net, facts }: Audited,
  node: number,
  { subject }: AuditFinding,
  index: Index,
): { shown: Set<number>; offSheet: Map<number, string> } {
  const { next, coilsAbove, joiningPoint } = facts.topology;
  const { row } = floorsOf(net);
  const shown = new Set([node]);
  const add = (v: number) => {
    if (shown.size < MOST_AROUND && Math.abs(row[v] - row[node]) <= MOST_FLOORS) shown.add(v);
  };
  for (const id of subject.pipes) {
    const p = index.pipe.get(id);
    if (p === undefined) continue;
    add(hostOf(net, net.from[p]));
    add(hostOf(net, net.to[p]));
  }
  for (const id of [...subject.nodes, ...subject.fanCoils]) {
    const v = index.node.get(id);
    if (v !== undefined) add(hostOf(net, v));
  }
  for (const v of [...shown]) {
    const end = net.coilAt[v] >= 0 ? joiningPoint[net.coilAt[v]] : -1;
    for (let at = v, steps = 0; steps < MOST_AROUND; steps++) {
      const p = next[at];
      if (p < 0 || (steps > 0 && (end < 0 || at === end))) break;
      at = net.to[p];
      add(at);
    }
    for (let k = net.drainsIn.start[v]; k < net.drainsIn.start[v + 1]; k++) add(net.from[net.drainsIn.list[k]]);
  }
  // one coil's own drain is drawn up to the coil
  for (const v of shown)
    for (let k = net.drainsIn.start[v]; k < net.drainsIn.start[v + 1]; k++) {
      const p = net.drainsIn.list[k];
      if (coilsAbove[p] === 1 && next[net.from[p]] === p && next[v] >= 0 && coilsAbove[next[v]] === 1) add(net.from[p]);
    }
  const offSheet = new Map<number, string>();
  for (const v of shown) {
    let coils = 0;
    let first = "";
    for (let k = net.drainsIn.start[v]; k < net.drainsIn.start[v + 1]; k++) {
      const p = net.drainsIn.list[k];
      if (shown.has(net.from[p]) || next[net.from[p]] !== p) continue;
      coils += coilsAbove[p];
      if (first === "") first = plain(net.pipes[p].id);
    }
    if (first !== "") offSheet.set(v, `${first}: ${coils} ${coils === 1 ? "coil" : "coils"}`);
  }
  return { shown, offSheet };
}
