import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { boreArea } from "../physics/circle.js";
import { PAN_AT_ATMOSPHERE } from "../physics/constants.js";
import { atMost, EPSILON } from "../quantity/interval.js";
import {
  type AirFacts,
  type AirPartition,
  type AirSpace,
  type CapacityFacts,
  CLOSURE,
  type LoadFacts,
  type StandingWater,
  type Topology,
} from "./facts.js";
import { type Geometry, waterBelow } from "./geometry.js";
import { isSealed } from "./seals.js";

/**
 * Air spaces: the connected parts of what is not water, at rest and at design flow. Where the tolerance or an unknown
 * bore leaves a closure open, the partition is also made with all such closures closed and with all of them open.
 */
export function airSpaces(
  net: Compiled,
  shape: Geometry,
  water: StandingWater,
  ways: Topology,
  load: LoadFacts,
  capacity: CapacityFacts,
): AirFacts {
  const m = net.pipeCount;
  const onPath = pathMembers(net, ways);
  const doubtful = { rest: false, flow: false };

  // Closed ends per reading: bit 1 from, bit 2 to.
  const best = new Uint8Array(m);
  const closed = new Uint8Array(m);
  const open = new Uint8Array(m);
  const flowBest = new Uint8Array(m);
  const flowClosed = new Uint8Array(m);
  const flowOpen = new Uint8Array(m);
  for (let p = 0; p < m; p++) {
    const a = water.fromClosure[p];
    const b = water.toClosure[p];
    best[p] = (a & CLOSURE.best ? 1 : 0) | (b & CLOSURE.best ? 2 : 0);
    closed[p] = (a & CLOSURE.wettest ? 1 : 0) | (b & CLOSURE.wettest ? 2 : 0);
    open[p] = (a & CLOSURE.driest ? 1 : 0) | (b & CLOSURE.driest ? 2 : 0);
    if (closed[p] !== open[p]) doubtful.rest = true;
    const full = closedByFlow(net, shape, load, capacity, p);
    flowBest[p] = full === "closed" ? 3 : best[p];
    flowClosed[p] = full === "open" ? closed[p] : 3;
    flowOpen[p] = full === "closed" ? 3 : open[p];
    if (flowClosed[p] !== flowOpen[p]) doubtful.flow = true;
  }
  const [drowned, wettest, driest] = [drownedAtBest, drownedAtWettest, drownedAtDriest].map((of) => of(net, water));
  for (let i = 0; i < net.nodeCount && !doubtful.rest; i++)
    if (isOpening(net, i, driest) !== isOpening(net, i, wettest)) doubtful.rest = doubtful.flow = true;

  const make = (ends: Uint8Array, under: Drowned) => partition(net, shape, water, onPath, ends, under);
  const atRest = make(best, drowned);
  const atFlow = make(flowBest, drowned);
  return {
    best: atRest,
    closed: doubtful.rest ? make(closed, wettest) : atRest,
    open: doubtful.rest ? make(open, driest) : atRest,
    atFlow,
    atFlowClosed: doubtful.flow ? make(flowClosed, wettest) : atFlow,
    atFlowOpen: doubtful.flow ? make(flowOpen, driest) : atFlow,
  };
}

/** Does water stand more than a height above the invert of a node? */
type Drowned = (node: number, height: number) => boolean;

const drownedAtBest =
  (net: Compiled, water: StandingWater): Drowned =>
  (i, height) =>
    water.level[i] - net.z[i] > height + EPSILON;

/** A dry node's level is its own invert, whose tolerance cancels: only depths at its pipes' ends tell how wet it may be. */
const drownedAtWettest =
  (net: Compiled, water: StandingWater): Drowned =>
  (i, height) => {
    if (water.levelHigh[i] - net.z[i] - net.tolerance[i] > height + EPSILON) return true;
    for (let k = net.ends.start[i]; k < net.ends.start[i + 1]; k++) {
      const end = net.ends.list[k];
      if ((end & 1 ? water.toDepthHigh : water.fromDepthHigh)[end >> 1] > height + EPSILON) return true;
    }
    return false;
  };

const drownedAtDriest =
  (net: Compiled, water: StandingWater): Drowned =>
  (i, height) =>
    water.levelLow[i] - net.z[i] - net.tolerance[i] > height + EPSILON;

/** Does the design flow leave no air in this pipe? Over the allowed fill or capacity, or level or rising and carrying water. */
function closedByFlow(
  net: Compiled,
  shape: Geometry,
  load: LoadFacts,
  capacity: CapacityFacts,
  p: number,
): "closed" | "open" | "doubtful" {
  if (net.role[p] !== ROLE.drain) return "open";
  const flow = load.designFlow[p];
  if (Number.isNaN(flow)) return "doubtful";
  if (flow === 0) return "open";
  if (shape.fall[p] <= 0) return "closed";
  if (Number.isNaN(shape.bore[p])) return "doubtful";
  return capacity.utilisation[p] > 1 + 1e-9 ? "closed" : "open";
}

/** Nodes and pipes of coils' paths. */
function pathMembers(net: Compiled, ways: Topology): { node: Uint8Array; pipe: Uint8Array } {
  const node = new Uint8Array(net.nodeCount);
  const pipe = new Uint8Array(net.pipeCount);
  for (const coil of net.coils) {
    for (let at = coil; !node[at]; ) {
      node[at] = 1;
      const p = ways.next[at];
      if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) break;
      pipe[p] = 1;
      at = net.to[p];
    }
  }
  return { node, pipe };
}

/** Opens to the atmosphere. */
function isOpening(net: Compiled, i: number, drowned: Drowned): boolean {
  const node = net.nodes[i];
  switch (net.kind[i]) {
    case KIND.outlet:
    case KIND.pump:
      return true;
    case KIND.vent:
      return !node.vent!.capped && node.vent!.opening !== "admittance-valve" && !drowned(i, 0);
    case KIND.cleanout:
      return !node.cleanout!.capped && !drowned(i, openingHeight(net, i));
    case KIND.coil:
      return node.coil!.pan.secondary?.is === "open" || panIsAtAtmosphere(net, i);
    default:
      return false;
  }
}

/** Height of a cleanout's opening over its invert; 0 where a bore is unknown. */
const openingHeight = (net: Compiled, i: number): number => net.nodes[i].cleanout!.opening ?? 0;

const panIsAtAtmosphere = (net: Compiled, i: number): boolean => {
  const coil = net.nodes[i].coil!;
  return !coil.inService || (coil.panStatic !== null && atMost(Math.abs(coil.panStatic), PAN_AT_ATMOSPHERE));
};

function partition(
  net: Compiled,
  shape: Geometry,
  water: StandingWater,
  onPath: { node: Uint8Array; pipe: Uint8Array },
  closedEnds: Uint8Array,
  drowned: Drowned,
): AirPartition {
  const n = net.nodeCount;
  const m = net.pipeCount;
  const { from, to, role, kind } = net;
  // Cells: nodes 0…n-1 (of a sealed trap its inlet side), the outlet sides of traps n…2n-1.
  const sealed = new Uint8Array(n);
  for (let i = 0; i < n; i++) sealed[i] = kind[i] === KIND.trap && isSealed(net, i) ? 1 : 0;
  const cell = (i: number, outletSide: boolean) => (sealed[i] && outletSide ? n + i : i);
  const parent = new Int32Array(2 * n);
  for (let i = 0; i < 2 * n; i++) parent[i] = i;
  const find = (i: number): number => {
    while (parent[i] !== i) {
      parent[i] = parent[parent[i]];
      i = parent[i];
    }
    return i;
  };
  const openEnds = new Int32Array(2 * n);
  const allEnds = new Int32Array(2 * n);
  for (let p = 0; p < m; p++) {
    if (role[p] === ROLE.pressure) continue;
    const a = cell(from[p], true);
    const b = cell(to[p], false);
    allEnds[a]++;
    allEnds[b]++;
    if (!(closedEnds[p] & 1)) openEnds[a]++;
    if (!(closedEnds[p] & 2)) openEnds[b]++;
    if (closedEnds[p] !== 0) continue;
    const x = find(a);
    const y = find(b);
    parent[Math.max(x, y)] = Math.min(x, y);
  }
  /** A cell belongs to no space when water closes every way into it, unless air stands there all the same. */
  const hasAir = (c: number): boolean => {
    if (allEnds[c] === 0 || openEnds[c] > 0) return true;
    const i = c >= n ? c - n : c;
    if (kind[i] === KIND.coil || kind[i] === KIND.outlet || kind[i] === KIND.pump) return true;
    if (kind[i] === KIND.vent) return !drowned(i, 0);
    if (kind[i] === KIND.cleanout) return !drowned(i, openingHeight(net, i));
    return false;
  };

  interface Draft {
    kind: AirSpace["kind"];
    onPath: boolean;
    openings: number[];
    pans: number[];
    nodes: number[];
    pipes: number[];
    traps: number[];
    volume: number;
  }
  const drafts = new Map<number, Draft>();
  const draftOf = (c: number): Draft => {
    const root = find(c);
    let draft = drafts.get(root);
    if (draft === undefined) {
      draft = { kind: "trapped", onPath: false, openings: [], pans: [], nodes: [], pipes: [], traps: [], volume: 0 };
      drafts.set(root, draft);
    }
    return draft;
  };
  for (let i = 0; i < n; i++) {
    if (sealed[i]) {
      for (const c of [i, n + i]) {
        if (!hasAir(c)) continue;
        const draft = draftOf(c);
        if (draft.traps[draft.traps.length - 1] !== i) draft.traps.push(i);
        if (onPath.node[i]) draft.onPath = true;
      }
      continue;
    }
    if (!hasAir(i)) continue;
    const draft = draftOf(i);
    draft.nodes.push(i);
    if (onPath.node[i]) draft.onPath = true;
    if (isOpening(net, i, drowned)) draft.openings.push(i);
    if (kind[i] === KIND.coil && !panIsAtAtmosphere(net, i)) draft.pans.push(i);
  }
  const cellOfPipe = (p: number): number => {
    if (role[p] === ROLE.pressure || closedEnds[p] === 3) return -1;
    return closedEnds[p] & 1 ? cell(to[p], false) : cell(from[p], true);
  };
  for (let p = 0; p < m; p++) {
    const c = cellOfPipe(p);
    if (c < 0) continue;
    const draft = draftOf(c);
    draft.pipes.push(p);
    draft.volume += airIn(net, shape, water, p);
    if (onPath.pipe[p]) draft.onPath = true;
  }

  const roots = [...drafts.entries()].map(([root, draft]) => ({ root, draft }));
  const idOf = ({ draft }: { draft: Draft }) => draft.nodes[0] ?? draft.traps[0] ?? -1;
  roots.sort((a, b) => idOf(a) - idOf(b) || a.root - b.root);
  const indexOfRoot = new Map(roots.map(({ root }, i) => [root, i]));
  const spaceOf = (c: number) => (c < 0 || !hasAir(c) ? -1 : (indexOfRoot.get(find(c)) ?? -1));
  for (const { draft } of roots) {
    const pans = draft.pans.length;
    draft.kind =
      draft.openings.length > 0
        ? pans > 0
          ? "bypass"
          : "open"
        : pans > 1
          ? "shared-pans"
          : pans === 1
            ? "pan-side"
            : "trapped";
  }
  return {
    spaces: roots.map(({ draft }) => draft),
    ofNode: Int32Array.from({ length: n }, (_, i) => spaceOf(i)),
    ofOutletSide: Int32Array.from({ length: n }, (_, i) => spaceOf(cell(i, true))),
    ofPipe: Int32Array.from({ length: m }, (_, p) => {
      const c = cellOfPipe(p);
      return c < 0 ? -1 : (indexOfRoot.get(find(c)) ?? -1);
    }),
  };
}

/** Bore of a pipe less the standing water in it, m³. */
function airIn(net: Compiled, shape: Geometry, water: StandingWater, p: number): number {
  const whole = boreArea(shape.bore[p]) * net.length[p];
  if (Number.isNaN(water.fromLevel[p]) || Number.isNaN(water.toLevel[p])) return NaN;
  const level = Math.max(
    water.fromDepth[p] > EPSILON ? water.fromLevel[p] : -Infinity,
    water.toDepth[p] > EPSILON ? water.toLevel[p] : -Infinity,
  );
  if (level === -Infinity) return whole;
  return whole - waterBelow(net, shape, p, level);
}
