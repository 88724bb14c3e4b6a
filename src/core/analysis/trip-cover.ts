import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { EPSILON } from "../quantity/interval.js";
import type { DeviceFact, LoadFacts, Topology } from "./facts.js";
import { type MainWayTree, passes } from "./main-way-tree.js";

/** What feeds a blocked pipe still when every device at or below its first spill has tripped. Indexed by pipe. */
export interface TripCover {
  /** coils that none of them stops */
  readonly unstopped: Int32Array;
  /** m³/s of these; NaN where one of them is unknown */
  readonly inflow: Float64Array;
  /** equal for equal sets of such coils */
  readonly mark: Float64Array;
}

export interface TripGround {
  readonly net: Compiled;
  readonly tree: MainWayTree;
  readonly ways: Topology;
  readonly load: LoadFacts;
  readonly tripped: readonly DeviceFact[];
  /** device → pool level at which it trips; NaN: it is left out */
  readonly tripLevel: Float64Array;
  /** pipe → level of its first spill; NaN: nothing acts there */
  readonly firstSpill: Float64Array;
  /** the first spill may be higher further down, where the pool has swallowed a way out */
  readonly canRise: boolean;
}

/**
 * A device acts on the blockages below it as long as the first spill there is no lower than its trip: on stretches of the
 * main way. Each coil's stretches are joined, and what is left of its path is summed from the top down.
 */
export function tripCover({ net, tree, ways, load, tripped, tripLevel, firstSpill, canRise }: TripGround): TripCover {
  const { to, coils } = net;
  const { next, order, hops } = tree;
  const stretchesFrom = stretches(net, tree, firstSpill, canRise);

  // (coil, first node, end node) of each stretch; the pipes that leave the nodes before the end are meant.
  const ofCoil: (number[] | undefined)[] = [];
  const meet = new Int32Array(net.nodeCount);
  const asked = new Int32Array(net.nodeCount).fill(-1);
  for (const [d, { works, stops }] of tripped.entries()) {
    const level = tripLevel[d];
    if (!works || stops.length === 0 || Number.isNaN(level)) continue;
    const at = hostOf(net, net.nodeRank[net.model.devices[d].at]);
    let start = -1;
    let found: readonly number[] = [];
    for (const c of stops) {
      const coil = coils[c];
      if (tree.first[coil] < 0) continue;
      const node = passes(tree, coil, at) ? at : meetingOf(net, tree, d, at, coil, meet, asked);
      if (node < 0) continue;
      if (node !== start) {
        start = node;
        found = stretchesFrom(node, level);
      }
      if (found.length === 0) continue;
      const list = ofCoil[c];
      if (list === undefined) ofCoil[c] = [...found];
      else list.push(...found);
    }
  }

  const n = net.nodeCount;
  const count = new Int32Array(n);
  const unknown = new Int32Array(n);
  const rate = new Float64Array(n);
  const mark = new Float64Array(n);
  const add = (node: number, c: number, sign: 1 | -1) => {
    count[node] += sign;
    if (Number.isNaN(load.rate[c])) unknown[node] += sign;
    else rate[node] += sign * load.rate[c];
    mark[node] += sign * markOf(c);
  };
  for (let c = 0; c < coils.length; c++) {
    add(coils[c], c, 1);
    const list = ofCoil[c];
    if (list === undefined) continue;
    for (const [start, end] of joined(list, hops)) {
      add(start, c, -1);
      add(end, c, 1);
    }
  }
  const m = net.pipeCount;
  const cover = { unstopped: new Int32Array(m), inflow: new Float64Array(m).fill(NaN), mark: new Float64Array(m) };
  for (let k = order.length - 1; k >= 0; k--) {
    const node = order[k];
    const p = next[node];
    if (p < 0) continue;
    cover.unstopped[p] = count[node];
    // What was added and taken away leaves its rounding behind.
    cover.inflow[p] =
      unknown[node] > 0
        ? NaN
        : count[node] === 0
          ? 0
          : count[node] === ways.coilsAbove[p]
            ? load.designFlow[p]
            : Math.max(0, rate[node]);
    cover.mark[p] = mark[node];
    const below = to[p];
    count[below] += count[node];
    unknown[below] += unknown[node];
    rate[below] += rate[node];
    mark[below] += mark[node];
  }
  return cover;
}

/** The drain from which a vent run or an access stub rises; every other node is its own. */
export function hostOf(net: Compiled, node: number): number {
  const met = new Set<number>();
  for (let at = node; !met.has(at); ) {
    met.add(at);
    if (rowLength(net.drainsOut, at) > 0 || rowLength(net.drainsIn, at) > 0) return at;
    let below = -1;
    for (let k = net.ends.start[at]; k < net.ends.start[at + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const isStub = net.role[p] === ROLE.vent || net.role[p] === ROLE.access;
      if (net.ends.list[k] & 1 && isStub) below = net.from[p];
    }
    if (below < 0) break;
    at = below;
  }
  return node;
}

/**
 * From a node down its main way to the next pump or outlet: where the first spill is no lower than a level. Runs of
 * equal first spills are passed in one step. Returns first and end node of each stretch, one after the other.
 */
function stretches(net: Compiled, { next, order }: MainWayTree, firstSpill: Float64Array, canRise: boolean) {
  const { to, kind } = net;
  const leaves = (node: number) => next[node] >= 0 && kind[node] !== KIND.pump && kind[node] !== KIND.outlet;
  const skip = new Int32Array(net.nodeCount).fill(-1);
  for (const node of order) {
    if (!leaves(node)) continue;
    const below = to[next[node]];
    skip[node] = leaves(below) && Object.is(firstSpill[next[below]], firstSpill[next[node]]) ? skip[below] : below;
  }
  return (from: number, level: number): number[] => {
    const found: number[] = [];
    let start = -1;
    let node = from;
    while (skip[node] >= 0) {
      const spill = firstSpill[next[node]];
      if (level <= spill + EPSILON) {
        if (start < 0) start = node;
      } else {
        if (start >= 0) found.push(start, node);
        start = -1;
        if (!canRise && !Number.isNaN(spill)) return found;
      }
      node = skip[node];
    }
    if (start >= 0) found.push(start, node);
    return found;
  };
}

/**
 * Where a coil's way first meets what lies below a device's node (itself included), -1 nowhere. Each node is walked over
 * once for each device.
 */
function meetingOf(
  net: Compiled,
  { next, first }: MainWayTree,
  device: number,
  at: number,
  coil: number,
  meet: Int32Array,
  asked: Int32Array,
): number {
  if (asked[at] !== device) {
    const stack = [at];
    asked[at] = device;
    while (stack.length > 0) {
      const node = stack.pop()!;
      meet[node] = node;
      if (net.kind[node] === KIND.pump) continue;
      for (let k = net.drainsOut.start[node]; k < net.drainsOut.start[node + 1]; k++) {
        const below = net.to[net.drainsOut.list[k]];
        if (asked[below] === device) continue;
        asked[below] = device;
        stack.push(below);
      }
    }
  }
  const leadsOn = (node: number) => asked[node] !== device && next[node] >= 0 && first[node] >= 0;
  let end = coil;
  while (leadsOn(end)) end = net.to[next[end]];
  const found = asked[end] === device ? meet[end] : -1;
  for (let node = coil; leadsOn(node); node = net.to[next[node]]) {
    asked[node] = device;
    meet[node] = found;
  }
  return found;
}

/** First and end nodes of stretches of one path, joined where they touch, from the top down. */
function* joined(list: readonly number[], hops: Int32Array): Generator<readonly [number, number]> {
  if (list.length === 2) {
    yield [list[0], list[1]];
    return;
  }
  const order = Array.from({ length: list.length / 2 }, (_, i) => 2 * i).sort(
    (a, b) => hops[list[b]] - hops[list[a]] || list[a] - list[b],
  );
  let start = -1;
  let end = -1;
  for (const i of order) {
    if (start >= 0 && hops[list[i]] >= hops[end]) {
      if (hops[list[i + 1]] < hops[end]) end = list[i + 1];
      continue;
    }
    if (start >= 0) yield [start, end];
    start = list[i];
    end = list[i + 1];
  }
  if (start >= 0) yield [start, end];
}

/** A fixed number for each coil, spread over 32 bits, so that sums tell sets apart. */
function markOf(c: number): number {
  let x = (c + 0x9e3779b9) | 0;
  x = Math.imul(x ^ (x >>> 16), 0x21f0aaad);
  x = Math.imul(x ^ (x >>> 15), 0x735a2d97);
  return (x ^ (x >>> 15)) >>> 0;
}
