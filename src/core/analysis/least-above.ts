import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { DeviceFact } from "./facts.js";
import type { SpillLevels } from "./spill-levels.js";

/**
 * Lowest pool levels over all that drains into a node by drains (itself, and the vents and cleanouts that rise from it,
 * included), up to the next pumps. Infinity: none.
 */
export interface LeastAbove {
  /** at which something spills or is carried off */
  readonly open: Float64Array;
  /** at which something spills of which nobody is told */
  readonly spills: Float64Array;
  /** at which something spills of which nobody is told and which does harm */
  readonly harms: Float64Array;
  /** of an open vent or cleanout */
  readonly vents: Float64Array;
  /** from which an opening of unknown height may spill */
  readonly unknown: Float64Array;
  /** at which a working device trips */
  readonly trips: Float64Array;
}

export function leastAbove(
  net: Compiled,
  spill: SpillLevels,
  tripLevel: Float64Array,
  tripped: readonly DeviceFact[],
): LeastAbove {
  const made = () => new Float64Array(net.nodeCount).fill(Infinity);
  const least = { open: made(), spills: made(), harms: made(), vents: made(), unknown: made(), trips: made() };
  const { own, ownTold, second } = spill;
  for (let i = 0; i < net.nodeCount; i++) {
    if (second[i] < Infinity) least.open[i] = second[i];
    if (spill.unknown[i] < Infinity) least.unknown[i] = spill.unknown[i];
    if (Number.isNaN(own[i])) continue;
    if (own[i] < least.open[i]) least.open[i] = own[i];
    if (!ownTold[i]) {
      least.spills[i] = own[i];
      if (!net.nodes[i].spillHarmless) least.harms[i] = own[i];
    }
    if (net.kind[i] !== KIND.coil) least.vents[i] = own[i];
  }
  for (const [d, { at }] of net.model.devices.entries()) {
    const node = net.nodeRank[at];
    if (tripped[d].works && tripLevel[d] < least.trips[node]) least.trips[node] = tripLevel[d];
  }
  const { open, spills, harms, vents, unknown, trips } = least;
  const lower = (node: number, by: number) => {
    if (open[by] < open[node]) open[node] = open[by];
    if (spills[by] < spills[node]) spills[node] = spills[by];
    if (harms[by] < harms[node]) harms[node] = harms[by];
    if (vents[by] < vents[node]) vents[node] = vents[by];
    if (unknown[by] < unknown[node]) unknown[node] = unknown[by];
    if (trips[by] < trips[node]) trips[node] = trips[by];
  };
  for (const p of stubsFromTheTop(net)) lower(net.from[p], net.to[p]);
  drainFromTheTop(net, lower);
  return least;
}

const risesFromDrain = (net: Compiled, p: number): boolean => net.role[p] === ROLE.vent || net.role[p] === ROLE.access;

/** Vent pipes and access stubs, those at the top first; such as run in a ring lead to no opening. */
export function stubsFromTheTop(net: Compiled): number[] {
  const leaving = new Int32Array(net.nodeCount);
  const tops: number[] = [];
  for (let p = 0; p < net.pipeCount; p++) if (risesFromDrain(net, p)) leaving[net.from[p]]++;
  for (let p = 0; p < net.pipeCount; p++) if (risesFromDrain(net, p) && leaving[net.to[p]] === 0) tops.push(p);
  for (let i = 0; i < tops.length; i++) {
    const at = net.from[tops[i]];
    if (--leaving[at] > 0) continue;
    for (let k = net.ends.start[at]; k < net.ends.start[at + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      if (net.ends.list[k] & 1 && risesFromDrain(net, p)) tops.push(p);
    }
  }
  return tops;
}

/** Water in a pool rises through a drain against its flow, but through no pump. */
export const joinsPool = (net: Compiled, drain: number): boolean => net.kind[net.from[drain]] !== KIND.pump;

/**
 * Calls `take(node, above)` for every drain that joins a pool, with all that drains into `above` taken before. What lies
 * on one loop of drains takes from each other.
 */
export function drainFromTheTop(net: Compiled, take: (node: number, above: number) => void): void {
  const { drainsIn, from } = net;
  const takeAll = (node: number) => {
    for (let k = drainsIn.start[node]; k < drainsIn.start[node + 1]; k++)
      if (joinsPool(net, drainsIn.list[k])) take(node, from[drainsIn.list[k]]);
  };
  if (net.cycles.length === 0 && !net.onStandingCycle.includes(1)) {
    for (let k = net.nodeCount - 1; k >= 0; k--) takeAll(net.downstreamFirst[k]);
    return;
  }
  const loopOf = new Int32Array(net.nodeCount).fill(-1);
  for (const [i, loop] of net.cycles.entries()) for (const node of loop) loopOf[node] = i;
  const inOneLoop = (a: number, b: number) => loopOf[a] >= 0 && loopOf[a] === loopOf[b];
  // Counted by node, of a loop by its first node.
  const unit = (node: number) => (loopOf[node] < 0 ? node : net.cycles[loopOf[node]][0]);
  const waiting = new Int32Array(net.nodeCount);
  for (let node = 0; node < net.nodeCount; node++)
    for (let k = drainsIn.start[node]; k < drainsIn.start[node + 1]; k++)
      if (!inOneLoop(from[drainsIn.list[k]], node)) waiting[unit(node)]++;
  const ready: number[] = [];
  for (let node = 0; node < net.nodeCount; node++) if (unit(node) === node && waiting[node] === 0) ready.push(node);
  for (let at = ready.pop(); at !== undefined; at = ready.pop()) {
    const members = loopOf[at] < 0 ? [at] : net.cycles[loopOf[at]];
    for (const node of members) takeAll(node);
    if (members.length > 1) {
      for (const node of members) take(members[0], node);
      for (const node of members) take(node, members[0]);
    }
    for (const node of members)
      for (let k = net.drainsOut.start[node]; k < net.drainsOut.start[node + 1]; k++) {
        const below = net.to[net.drainsOut.list[k]];
        if (!inOneLoop(node, below) && --waiting[unit(below)] === 0) ready.push(unit(below));
      }
  }
}

/** Levels that hold for one blocked pipe alone, since the ways out that they stand for may lead through it. Infinity: none. */
export interface EscapeLevels {
  readonly carriesOff: Float64Array;
  /** of pans whose auxiliary drain leads into the pool: what they spill is not told */
  readonly untold: Float64Array;
  /** those of them that do harm */
  readonly harms: Float64Array;
}

/** Ways out are followed so many at a time, one bit each. */
const BITS = 31;

/** For each pipe the lowest way out that its pool holds the head of and not the foot. null: the network has none. */
export function escapeLevels(net: Compiled, { escapes }: SpillLevels): EscapeLevels | null {
  if (escapes.length === 0) return null;
  const made = () => new Float64Array(net.pipeCount).fill(Infinity);
  const levels = { carriesOff: made(), untold: made(), harms: made() };
  const holdsSource = new Int32Array(net.nodeCount);
  const holdsTarget = new Int32Array(net.nodeCount);
  const stubs = stubsFromTheTop(net);
  for (let first = 0; first < escapes.length; first += BITS) {
    holdsSource.fill(0);
    holdsTarget.fill(0);
    const batch = escapes.slice(first, first + BITS);
    const blocks = new Map<number, number>();
    let offs = 0;
    for (const [bit, way] of batch.entries()) {
      holdsSource[way.source] |= 1 << bit;
      holdsTarget[way.target] |= 1 << bit;
      blocks.set(way.pipe, 1 << bit);
      if (way.kind === "carries-off") offs |= 1 << bit;
    }
    const hold = (node: number, above: number) => {
      holdsSource[node] |= holdsSource[above];
      holdsTarget[node] |= holdsTarget[above];
    };
    for (const p of stubs) hold(net.from[p], net.to[p]);
    drainFromTheTop(net, hold);
    for (let p = 0; p < net.pipeCount; p++) {
      const at = net.from[p];
      if (net.role[p] !== ROLE.drain || holdsSource[at] === 0) continue;
      const off = holdsSource[at] & ~holdsTarget[at] & offs & ~(blocks.get(p) ?? 0);
      // Batches and bits stand in the order of their levels: the lowest bit is the lowest level.
      if (off !== 0) levels.carriesOff[p] = Math.min(levels.carriesOff[p], batch[lowestBit(off)].level);
      let mute = holdsSource[at] & holdsTarget[at] & ~offs;
      while (mute !== 0) {
        const { source, level } = batch[lowestBit(mute)];
        levels.untold[p] = Math.min(levels.untold[p], level);
        if (!net.nodes[source].spillHarmless) levels.harms[p] = Math.min(levels.harms[p], level);
        mute &= mute - 1;
      }
    }
  }
  return levels;
}

const lowestBit = (bits: number): number => 31 - Math.clz32(bits & -bits);
