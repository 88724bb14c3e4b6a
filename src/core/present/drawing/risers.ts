import { risers as feetOfPipes } from "../../audit/places.js";
import type { Audited } from "../../audit/run.js";
import { plain } from "../plain.js";
import { unknown } from "./emphasis.js";
import { floorsOf } from "./floors.js";
import type { Part } from "./forest.js";
import type { Index } from "./marks.js";

/** A riser in the index of the picture. */
export interface Riser {
  /** in the order of the ids of their feet, counted from 1 */
  readonly number: number;
  readonly foot: number;
  /** its uppermost nodes: one, unless risers join into one */
  readonly heads: readonly number[];
  readonly coils: number;
  /** node at which its water ends, -1 */
  readonly outlet: number;
  readonly from: number;
  readonly to: number;
}

/** The risers that pass a floor, by the ids of their feet. */
export function risersOf(audited: Audited): readonly Riser[] {
  const { net, facts } = audited;
  const { row } = floorsOf(net);
  const footOf = feetOfPipes(net, facts);
  const pipes = new Map<number, number[]>();
  for (let p = 0; p < net.pipeCount; p++) {
    if (footOf[p] < 0) continue;
    const known = pipes.get(footOf[p]);
    if (known === undefined) pipes.set(footOf[p], [p]);
    else known.push(p);
  }
  const found: Riser[] = [];
  for (const foot of [...pipes.keys()].sort((a, b) => a - b)) {
    const own = pipes.get(foot)!;
    const ends = new Set(own.map((p) => net.to[p]));
    const heads = own.map((p) => net.from[p]).filter((node) => !ends.has(node));
    const top = own.reduce((most, p) => Math.max(most, row[net.from[p]]), 0);
    if (top === row[foot]) continue;
    const coils = own.reduce((most, p) => Math.max(most, facts.topology.coilsAbove[p]), 0);
    found.push({
      number: found.length + 1,
      foot,
      heads,
      coils,
      outlet: facts.topology.outlet[foot],
      from: row[foot],
      to: top,
    });
  }
  return found;
}

/**
 * What belongs on the sheet of one riser: all that drains through its foot, and the way from there to the end. What else
 * joins that way comes in from outside the sheet.
 * @throws RangeError where no riser has that foot
 */
export function partOfRiser(
  { net, facts }: Audited,
  index: Index,
  risers: readonly Riser[],
  id: string,
): { part: Part; offSheet: Map<number, string>; number: number } {
  const foot = index.node.get(id);
  const riser = risers.find((each) => each.foot === foot);
  if (foot === undefined || riser === undefined) throw unknown("riser", id);
  const { next, coilsAbove } = facts.topology;
  const shown = new Set<number>();
  for (let node = foot; ; node = net.to[next[node]]) {
    if (shown.has(node)) break;
    shown.add(node);
    if (next[node] < 0) break;
  }
  const way = [...shown];
  const offSheet = new Map<number, string>();
  const above = [foot];
  for (const node of above)
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const other = (net.ends.list[k] & 1) === 1 ? net.from[p] : net.to[p];
      const drainsHere = (net.ends.list[k] & 1) === 1 && next[other] === p;
      if (drainsHere && !shown.has(other)) {
        shown.add(other);
        above.push(other);
      }
    }
  for (const node of way.slice(1)) {
    const from: string[] = [];
    let coils = 0;
    for (let k = net.drainsIn.start[node]; k < net.drainsIn.start[node + 1]; k++) {
      const p = net.drainsIn.list[k];
      if (shown.has(net.from[p])) continue;
      from.push(plain(net.pipes[p].id));
      coils += coilsAbove[p];
    }
    if (from.length > 0)
      offSheet.set(
        node,
        `${from.slice(0, 2).join(", ")}${from.length > 2 ? " …" : ""}: ${coils} ${coils === 1 ? "coil" : "coils"}`,
      );
  }
  return { part: withStubs(net, shown), offSheet, number: riser.number };
}

/** Nodes with the vents, cleanouts and second lines that hang on them. */
export function withStubs(net: Audited["net"], nodes: Set<number>): Part {
  for (const node of nodes)
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const role = net.pipes[p].role;
      if ((net.ends.list[k] & 1) === 0 && role !== "drain" && role !== "pressure") nodes.add(net.to[p]);
    }
  return { hasNode: (node) => nodes.has(node) };
}
