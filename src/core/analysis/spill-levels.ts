import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { FanCoil } from "../network/model.js";
import { spillLevel } from "../physics/spill-level.js";
import type { StandingWater } from "./facts.js";

/** Whether an auxiliary pan's drain tells of what a pan spills: never, always, or while the pool has not reached its foot. */
export const TOLD = { never: 0, always: 1, unlessReached: 2 } as const;

/** Where a rising pool can leave, node by node. Levels are the pool's: at a pan under suction lower than its own water. */
export interface SpillLevels {
  /** node → pool level at which its own opening spills: a pan's rim or lower open port, a vent, a cleanout. NaN none or unknown */
  readonly own: Float64Array;
  /** node → level of that opening itself */
  readonly ownElevation: Float64Array;
  /** node → TOLD */
  readonly ownTold: Uint8Array;
  /** node → level below which an opening of unknown height does not spill; NaN where nothing is unknown */
  readonly unknown: Float64Array;
  /** fan coil node → pool level at which its independent second line carries the water off; NaN none */
  readonly second: Float64Array;
  readonly secondElevation: Float64Array;
  /** node → suction at its pan while the fan runs, Pa, ≤ 0 */
  readonly suction: Float64Array;
  /** ways out that hold only while the blocked pipe is not on them, by level */
  readonly escapes: readonly Escape[];
}

/**
 * Another drain, or a second line that meets the drains further down. It carries a pool off that holds `source` and does
 * not hold `target`; of an auxiliary pan's drain it tells what `source` spills.
 */
export interface Escape {
  readonly kind: "carries-off" | "tells";
  readonly pipe: number;
  readonly source: number;
  readonly target: number;
  /** pool level */
  readonly level: number;
  /** weir or port */
  readonly elevation: number;
}

/** Suction lifts a pan's water while its fan runs; fan pressure lowers it, and there the stopped state governs. Pa, ≤ 0. */
const suctionAt = (coil: FanCoil): number => (coil.inService ? Math.min(0, coil.panStatic ?? 0) : 0);

export function spillLevels(net: Compiled, water: StandingWater): SpillLevels {
  const n = net.nodeCount;
  const nan = () => new Float64Array(n).fill(NaN);
  const found = {
    own: nan(),
    ownElevation: nan(),
    ownTold: new Uint8Array(n),
    unknown: nan(),
    second: nan(),
    secondElevation: nan(),
    suction: new Float64Array(n),
    escapes: [] as Escape[],
  };
  for (let i = 0; i < n; i++) {
    const node = net.nodes[i];
    if (node.coil !== null) {
      const { rimHeight, secondary } = node.coil.pan;
      found.suction[i] = suctionAt(node.coil);
      const port = secondary?.is === "open" ? (secondary.height ?? NaN) : Infinity;
      // A port lies below the rim: where its height is known, the rim's does not matter.
      const height =
        port < Infinity ? Math.min(port, rimHeight ?? Infinity) : Number.isNaN(port) ? NaN : (rimHeight ?? NaN);
      if (Number.isNaN(height)) found.unknown[i] = net.z[i];
      else {
        found.ownElevation[i] = net.z[i] + height;
        found.own[i] = spillLevel(found.ownElevation[i], found.suction[i]);
      }
    } else if (node.vent !== null) {
      if (!node.vent.capped && node.vent.opening !== "admittance-valve") found.own[i] = net.z[i];
      found.ownElevation[i] = found.own[i];
    } else if (node.cleanout !== null && !node.cleanout.capped) {
      if (node.cleanout.opening === null) found.unknown[i] = net.z[i];
      else found.own[i] = net.z[i] + node.cleanout.opening;
      found.ownElevation[i] = found.own[i];
    }
  }
  secondWays(net, water, found);
  found.escapes.sort((a, b) => a.level - b.level || a.pipe - b.pipe);
  return found;
}

type Found = Pick<SpillLevels, "own" | "ownTold" | "second" | "secondElevation" | "suction"> & { escapes: Escape[] };

/** Second lines of pans, drained auxiliary pans, and drains beside each other. */
function secondWays(net: Compiled, water: StandingWater, found: Found): void {
  const isSecondLine = (p: number) => net.role[p] === ROLE.secondary || net.role[p] === ROLE.auxiliary;
  const lines = net.role.includes(ROLE.secondary) || net.role.includes(ROLE.auxiliary);
  const end = lines ? secondLineEnds(net) : null;
  let reaches: Uint8Array | null = null;
  const reachesOutlet = (node: number): boolean => {
    reaches ??= aboveOutlets(net);
    return reaches[node] === 1;
  };

  for (const node of net.coils) {
    const coil = net.nodes[node].coil!;
    const pan = coil.auxiliaryPan;
    let drawn = false;
    for (let k = net.ends.start[node]; lines && k < net.ends.start[node + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      if (net.ends.list[k] & 1 || !isSecondLine(p)) continue;
      const target = end![net.to[p]];
      const auxiliary = net.role[p] === ROLE.auxiliary;
      if (auxiliary) drawn = true;
      else if (isClosedPort(coil)) continue;
      if (!reachesOutlet(target)) continue;
      const independent = rowLength(net.drainsOut, target) === 0;
      const port = coil.pan.secondary?.height ?? null;
      const elevation = net.fromOwn[p] || port === null ? net.fromInvert[p] : net.z[node] + port;
      const level = spillLevel(elevation, found.suction[node]);
      if (auxiliary && pan?.present !== false) {
        if (independent) found.ownTold[node] = TOLD.always;
        else if (!Number.isNaN(found.own[node]) && found.ownTold[node] === TOLD.never) {
          found.ownTold[node] = TOLD.unlessReached;
          found.escapes.push({ kind: "tells", pipe: p, source: node, target, level: found.own[node], elevation });
        }
      } else if (!auxiliary && independent) {
        if (!(found.second[node] <= level)) {
          found.second[node] = level;
          found.secondElevation[node] = elevation;
        }
      } else if (!auxiliary)
        found.escapes.push({ kind: "carries-off", pipe: p, source: node, target, level, elevation });
    }
    if (pan !== null && pan.present !== false && pan.drain === "piped" && !drawn) found.ownTold[node] = TOLD.always;
  }

  for (let node = 0; node < net.nodeCount; node++) {
    const leaving = rowLength(net.drainsOut, node);
    if (
      leaving === 0 ||
      (leaving === 1 && !endsVent(net, node)) ||
      net.kind[node] === KIND.pump ||
      net.kind[node] === KIND.outlet
    )
      continue;
    for (let k = net.drainsOut.start[node]; k < net.drainsOut.start[node + 1]; k++) {
      const p = net.drainsOut.list[k];
      const level = water.weir[p];
      if (!Number.isNaN(level) && reachesOutlet(net.to[p]))
        found.escapes.push({ kind: "carries-off", pipe: p, source: node, target: net.to[p], level, elevation: level });
    }
  }
}

/** Does a vent pipe or an access stub lead up to a node, so that a pool below may rise into the drain that leaves it? */
function endsVent(net: Compiled, node: number): boolean {
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
    const role = net.role[net.ends.list[k] >> 1];
    if (net.ends.list[k] & 1 && (role === ROLE.vent || role === ROLE.access)) return true;
  }
  return false;
}

/** A second port that lets nothing into a line, whatever is drawn at it. */
const isClosedPort = ({ pan: { secondary } }: FanCoil): boolean =>
  secondary?.is === "plugged" || secondary?.is === "switch" || secondary?.is === "none";

/** Where a second line that passes a node ends: at the first node that a primary drain leaves, else where nothing leads on. */
function secondLineEnds(net: Compiled): Int32Array {
  const end = new Int32Array(net.nodeCount);
  for (let i = 0; i < net.nodeCount; i++) end[i] = i;
  for (const node of net.downstreamFirst) {
    if (rowLength(net.drainsOut, node) > 0 || net.onStandingCycle[node]) continue;
    const way = net.waysOut.start[node] < net.waysOut.start[node + 1] ? net.waysOut.list[net.waysOut.start[node]] : -1;
    if (way >= 0 && net.role[way] !== ROLE.pressure) end[node] = end[net.to[way]];
  }
  return end;
}

/** Nodes from which some way through drains, second lines and pumps leads to an outlet. */
function aboveOutlets(net: Compiled): Uint8Array {
  const reaches = new Uint8Array(net.nodeCount);
  const stack: number[] = [];
  for (let i = 0; i < net.nodeCount; i++) {
    if (net.kind[i] !== KIND.outlet) continue;
    reaches[i] = 1;
    stack.push(i);
  }
  while (stack.length > 0) {
    const node = stack.pop()!;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const above = net.from[p];
      if (!(net.ends.list[k] & 1) || reaches[above]) continue;
      if (net.role[p] === ROLE.vent || net.role[p] === ROLE.access) continue;
      reaches[above] = 1;
      stack.push(above);
    }
  }
  return reaches;
}
