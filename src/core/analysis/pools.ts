import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { EPSILON } from "../quantity/interval.js";
import { CLOSURE, type Pool, type PossiblePool } from "./facts.js";
import { type Geometry, waterBelow } from "./geometry.js";
import type { Crowns, Ends, Levels } from "./standing-water.js";

/** A pool shallower than this and closing nothing is none: it cannot be told from a wet invert (capillarity on plastic). */
const POOL_DEPTH = 0.003;
/** In bores up to this one a shallow pool is bounded in millimetres too. */
const SMALL_BORE = 0.025;

interface Pools {
  readonly pools: readonly Pool[];
  readonly possiblePools: readonly PossiblePool[];
  readonly poolOfEnd: Int32Array;
  readonly poolOfNode: Int32Array;
}

type Reading = "best" | "wettest" | "driest";
type PoolClass = "none" | "shallow" | "deep" | "sealing" | null;

const same = (x: number, y: number): boolean => Math.abs(x - y) <= EPSILON;

/** Connected water at one level, what holds it, how much there is of it and what it closes. */
export function findPools(net: Compiled, profile: Profile, shape: Geometry, w: Levels, e: Ends, c: Crowns): Pools {
  const bodies = connectedWater(net, w, e);
  const classify = classifier(profile, shape, e, c);
  const poolOfEnd = new Int32Array(2 * net.pipeCount).fill(-1);
  const poolOfNode = new Int32Array(net.nodeCount).fill(-1);

  const found: { pool: Pool; ends: readonly number[] }[] = [];
  for (const body of bodies) {
    const depth = greatestDepths(net, w, e, body.nodes, body.ends);
    const best = classify(body.ends, depth.best, "best");
    if (best === "none") continue;
    const nodes = body.nodes.length > 0 ? body.nodes : [...new Set(body.ends.map((end) => nodeOfEnd(net, end)))];
    nodes.sort((x, y) => x - y);
    const lowest = nodes.reduce((x, y) => (net.z[y] < net.z[x] ? y : x));
    const pipes = [...new Set(body.ends.map((end) => end >> 1))].sort((x, y) => x - y);
    const level = body.level;
    const weir = holder(net, w, lowest, level);
    const cause = causeOf(net, w, shape, nodes, lowest, weir);
    const closed = body.ends.filter((end) => closureOf(c, end) & CLOSURE.best);
    const gaps = body.ends.map((end) => crownOf(c, end) - level);
    found.push({
      ends: body.ends,
      pool: {
        node: lowest,
        cause,
        level,
        maxDepth: depth.best,
        maxDepthLow: depth.low,
        maxDepthHigh: depth.high,
        volume: pipes.reduce((sum, p) => sum + volumeIn(net, shape, e, p, level), 0),
        weir,
        nodes,
        pipes,
        class: best,
        classDriest: classify(body.ends, depth.low, "driest"),
        classWettest: classify(body.ends, depth.high, "wettest"),
        sealDepth: closed.length > 0 ? level - Math.min(...closed.map((end) => crownOf(c, end))) : NaN,
        airGap: closed.length > 0 || gaps.length === 0 ? NaN : Math.max(0, Math.min(...gaps)),
        raiseBy: cause === "low-point" || cause === "reverse-grade" ? Math.max(0, level - net.z[lowest]) : NaN,
        risingPipes: pipes.filter((p) => net.role[p] === ROLE.drain && shape.fall[p] < 0),
      },
    });
  }
  found.sort((x, y) => x.pool.node - y.pool.node || x.pool.level - y.pool.level);
  found.forEach(({ pool, ends }, index) => {
    for (const end of ends) poolOfEnd[end] = index;
    for (const node of pool.nodes) poolOfNode[node] = index;
  });
  return {
    pools: found.map((f) => f.pool),
    possiblePools: possible(net, w, e, c, classify, poolOfEnd, poolOfNode),
    poolOfEnd,
    poolOfNode,
  };
}

interface Body {
  readonly level: number;
  readonly nodes: number[];
  readonly ends: number[];
}

/** Bodies of water: nodes and the water inside pipes, joined where they touch at one level. */
function connectedWater(net: Compiled, w: Levels, e: Ends): Body[] {
  const n = net.nodeCount;
  const m = net.pipeCount;
  const parent = new Int32Array(n + m);
  for (let i = 0; i < n + m; i++) parent[i] = i;
  const find = (i: number): number => {
    while (parent[i] !== i) {
      parent[i] = parent[parent[i]];
      i = parent[i];
    }
    return i;
  };
  const join = (i: number, j: number) => {
    const x = find(i);
    const y = find(j);
    parent[Math.max(x, y)] = Math.min(x, y);
  };
  const wet: number[] = [];
  // Water at both ends but at two levels is two bodies: the upper end's then belongs to its node.
  const apart = (p: number) =>
    e.fromDepth[p] > EPSILON && e.toDepth[p] > EPSILON && !same(e.fromLevel[p], e.toLevel[p]);
  for (let p = 0; p < m; p++) {
    const fromWet = e.fromDepth[p] > EPSILON;
    const toWet = e.toDepth[p] > EPSILON;
    if (!fromWet && !toWet) continue;
    wet.push(p);
    if (toWet && same(e.toLevel[p], w.level[net.to[p]])) join(n + p, net.to[p]);
    if (fromWet && !apart(p) && same(e.fromLevel[p], w.level[net.from[p]])) join(n + p, net.from[p]);
  }
  const bodies = new Map<number, Body>();
  const body = (root: number, level: number): Body => {
    let b = bodies.get(root);
    if (b === undefined) {
      b = { level, nodes: [], ends: [] };
      bodies.set(root, b);
    }
    return b;
  };
  for (let i = 0; i < n; i++) if (w.level[i] - net.z[i] > EPSILON) body(find(i), w.level[i]).nodes.push(i);
  for (const p of wet) {
    if (e.fromDepth[p] > EPSILON) body(apart(p) ? find(net.from[p]) : find(n + p), e.fromLevel[p]).ends.push(2 * p);
    if (e.toDepth[p] > EPSILON) body(find(n + p), e.toLevel[p]).ends.push(2 * p + 1);
  }
  return [...bodies.values()];
}

const nodeOfEnd = (net: Compiled, end: number): number => (end & 1 ? net.to[end >> 1] : net.from[end >> 1]);
const crownOf = (c: Crowns, end: number): number => (end & 1 ? c.toCrown : c.fromCrown)[end >> 1];
const closureOf = (c: Crowns, end: number): number => (end & 1 ? c.toClosure : c.fromClosure)[end >> 1];

function greatestDepths(net: Compiled, w: Levels, e: Ends, nodes: readonly number[], ends: readonly number[]) {
  let best = 0;
  let low = 0;
  let high = 0;
  for (const i of nodes) {
    best = Math.max(best, w.level[i] - net.z[i]);
    low = Math.max(low, w.heldLow[i] - net.z[i] - net.spread.most[i]);
    high = Math.max(high, w.heldHigh[i] - net.z[i] + net.spread.least[i]);
  }
  for (const end of ends) {
    const p = end >> 1;
    best = Math.max(best, end & 1 ? e.toDepth[p] : e.fromDepth[p]);
    low = Math.max(low, end & 1 ? e.toDepthLow[p] : e.fromDepthLow[p]);
    high = Math.max(high, end & 1 ? e.toDepthHigh[p] : e.fromDepthHigh[p]);
  }
  return { best, low, high };
}

/** Sealing where an end is closed, else shallow or deep by every wet end's depth; null where an unknown bore decides. */
function classifier(profile: Profile, shape: Geometry, e: Ends, c: Crowns) {
  const share = limitOf(profile, "fall.poolShallow").value;
  const small = limitOf(profile, "fall.poolShallowSmallBore").value;
  const depths = {
    best: [e.fromDepth, e.toDepth],
    wettest: [e.fromDepthHigh, e.toDepthHigh],
    driest: [e.fromDepthLow, e.toDepthLow],
  } as const;
  return (ends: readonly number[], greatest: number, reading: Reading): PoolClass => {
    let unknown = false;
    let shallow = true;
    for (const end of ends) {
      const depth = depths[reading][end & 1][end >> 1];
      if (depth <= EPSILON) continue;
      const closure = closureOf(c, end);
      if (closure & CLOSURE.unknownBore) {
        unknown = true;
        continue;
      }
      if (closure & CLOSURE[reading]) return "sealing";
      const bore = shape.bore[end >> 1];
      if (Number.isNaN(bore)) unknown = true;
      else if (depth > share * bore + EPSILON || (bore <= SMALL_BORE + EPSILON && depth > small + EPSILON))
        shallow = false;
    }
    if (greatest <= POOL_DEPTH + EPSILON) return "none";
    return unknown ? null : shallow ? "shallow" : "deep";
  };
}

/** From the pool's lowest node along the main way: the first node that is dry, or beyond which the level is lower, or an end. */
function holder(net: Compiled, w: Levels, lowest: number, level: number): number {
  let node = lowest;
  for (let hops = 0; hops <= net.nodeCount; hops++) {
    if (net.kind[node] === KIND.outlet || net.kind[node] === KIND.pump) return node;
    if (w.level[node] - net.z[node] <= EPSILON) return node;
    const way = mainWay(net, w, node);
    if (way < 0) return drainSide(net, node, hops) ?? node;
    const below = net.to[way];
    if (w.level[below] < level - EPSILON) return node;
    node = below;
  }
  return -1;
}

/** The node at the foot of a vent run or access stub, where the water comes from. */
function drainSide(net: Compiled, node: number, hops: number): number | null {
  if (hops > 0) return null;
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
    const end = net.ends.list[k];
    if (end & 1) return net.from[end >> 1];
  }
  return null;
}

/** The drain with the lowest weir, the first in natural order on a tie; -1 where none leaves. */
export function mainWay(net: Compiled, w: { readonly level: Float64Array }, node: number): number {
  let best = -1;
  let lowest = Infinity;
  for (let k = net.waysOut.start[node]; k < net.waysOut.start[node + 1]; k++) {
    const p = net.waysOut.list[k];
    const below = w.level[net.to[p]];
    const weir =
      net.role[p] === ROLE.pressure || Number.isNaN(below)
        ? Infinity
        : Math.max(net.fromInvert[p], net.toInvert[p], below);
    // Levels within a micrometre are equal, and of equals the first counts.
    if (best < 0 || weir < lowest - EPSILON) {
      best = p;
      lowest = weir;
    }
  }
  return best;
}

function causeOf(
  net: Compiled,
  w: Levels,
  shape: Geometry,
  nodes: readonly number[],
  lowest: number,
  weir: number,
): Pool["cause"] {
  // Held by an end of the path: under water it is the water outside that stands back, dry it is only a lip.
  const isEnd = weir >= 0 && (net.kind[weir] === KIND.outlet || net.kind[weir] === KIND.pump);
  if (isEnd && w.level[weir] - net.z[weir] > EPSILON) return "submerged-outlet";
  if (weir >= 0 && net.kind[weir] === KIND.trap && nodes.some((i) => net.kind[i] === KIND.coil)) return "high-weir";
  for (let k = net.drainsIn.start[lowest]; k < net.drainsIn.start[lowest + 1]; k++)
    if (shape.fall[net.drainsIn.list[k]] > 0) return "low-point";
  return "reverse-grade";
}

/** Water between the two ends of a pipe below the level of its pool, m³. */
function volumeIn(net: Compiled, shape: Geometry, e: Ends, p: number, level: number): number {
  // Of two bodies in one pipe the lower end's counts here; the upper end's is in its own pool.
  if (!same(e.toLevel[p], level) && !same(e.fromLevel[p], level)) return 0;
  return waterBelow(net, shape, p, level);
}

/** Places that are no pool at best values but hold one at the wettest end of the tolerance. */
function possible(
  net: Compiled,
  w: Levels,
  e: Ends,
  c: Crowns,
  classify: (ends: readonly number[], greatest: number, reading: Reading) => PoolClass,
  poolOfEnd: Int32Array,
  poolOfNode: Int32Array,
): PossiblePool[] {
  const list: PossiblePool[] = [];
  for (let node = 0; node < net.nodeCount; node++) {
    if (poolOfNode[node] >= 0) continue;
    // A node that lies on the line between its neighbors is no low point of its own.
    if (net.nodes[node].derived) continue;
    let greatest = Math.max(0, w.heldHigh[node] - net.z[node] + net.tolerance[node]);
    let closes = false;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      if (poolOfEnd[end] >= 0) continue;
      const depth = end & 1 ? e.toDepthHigh[end >> 1] : e.fromDepthHigh[end >> 1];
      if (depth > greatest) greatest = depth;
      if (closureOf(c, end) & CLOSURE.wettest) closes = true;
    }
    if (greatest <= POOL_DEPTH + EPSILON && !closes) continue;
    const ends: number[] = [];
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      if (poolOfEnd[end] < 0 && (end & 1 ? e.toDepthHigh : e.fromDepthHigh)[end >> 1] > EPSILON) ends.push(end);
    }
    const classWettest = classify(ends, greatest, "wettest");
    if (classWettest === "none") continue;
    list.push({ node, pipes: [...new Set(ends.map((end) => end >> 1))], maxDepthHigh: greatest, classWettest });
  }
  return list;
}
