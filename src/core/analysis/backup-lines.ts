import { type Compiled, KIND } from "../graph/compiled.js";
import { EPSILON } from "../quantity/interval.js";
import type { BackupLine, ContainingMeasure, Topology } from "./facts.js";
import type { LeastAbove } from "./least-above.js";
import type { MainWayTree } from "./main-way-tree.js";
import type { PoolReader } from "./pool-reader.js";

export interface LineGround {
  readonly net: Compiled;
  readonly ways: Topology;
  readonly tree: MainWayTree;
  readonly tripLevel: Float64Array;
  readonly least: LeastAbove;
  readonly pools: PoolReader;
  readonly firstSpill: Float64Array;
  readonly inflowAfterTrips: Float64Array;
  readonly sameSpill: Int32Array;
  readonly bore: Float64Array;
  /** most that suction lifts the water over a device at a pan, m */
  readonly highestLift: number;
  readonly isJudged: (pipe: number) => boolean;
  readonly isUncontained: (pipe: number) => boolean;
  readonly isUndetermined: (pipe: number) => boolean;
}

/** Dwellings and openings of one blockage are counted so far: beyond, it is bad enough. */
const MOST_COUNTED = 256;

/**
 * The common drains by the riser or main that they are part of, with the blockages that nothing contains. A riser is a chain
 * of common drains that single coils' branches join; a main carries two such chains or more, with all that leads to it from
 * where they met.
 */
export function backupLines(ground: LineGround): readonly BackupLine[] {
  const { net, ways, tree, sameSpill, inflowAfterTrips, isJudged, isUncontained, isUndetermined } = ground;
  const { from, to } = net;
  const isCommon = (p: number) => p >= 0 && ways.common[p] === 1 && isJudged(p);

  const entering = new Int32Array(net.nodeCount);
  const isMain = new Uint8Array(net.pipeCount);
  for (let k = tree.order.length - 1; k >= 0; k--) {
    const p = tree.next[tree.order[k]];
    if (!isCommon(p)) continue;
    if (entering[from[p]] >= 2) isMain[p] = 1;
    const below = tree.next[to[p]];
    if (net.kind[to[p]] === KIND.pump || !isCommon(below)) continue;
    entering[to[p]]++;
    if (isMain[p]) isMain[below] = 1;
  }
  const lineOf = new Int32Array(net.pipeCount).fill(-1);
  for (let p = 0; p < net.pipeCount; p++) if (isCommon(p)) lineOf[p] = p;
  for (const node of tree.order) {
    const p = tree.next[node];
    if (!isCommon(p) || net.kind[to[p]] === KIND.pump) continue;
    const below = tree.next[to[p]];
    if (isCommon(below) && isMain[below] === isMain[p]) lineOf[p] = lineOf[below];
  }

  interface Draft {
    readonly pipe: number;
    readonly isMain: boolean;
    readonly alike: Map<number, number[]>;
    readonly undetermined: number[];
  }
  const lines = new Map<number, Draft>();
  const lineAt = (p: number): Draft => {
    const root = lineOf[p];
    let line = lines.get(root);
    if (line === undefined) {
      line = { pipe: root, isMain: isMain[root] === 1, alike: new Map(), undetermined: [] };
      lines.set(root, line);
    }
    return line;
  };
  for (let p = 0; p < net.pipeCount; p++) {
    if (!isCommon(p)) continue;
    if (isUndetermined(p)) lineAt(p).undetermined.push(p);
    else if (isUncontained(p)) {
      // What spills alike is told where it lies furthest down.
      const lowest = sameSpill[p] < 0 ? p : sameSpill[p];
      const { alike } = lineAt(lowest);
      const known = alike.get(lowest);
      if (known === undefined) alike.set(lowest, [p]);
      else known.push(p);
    }
  }
  const placesOf = (p: number): number => {
    const places = new Set<string | number>();
    for (const node of ground.pools.openings(p, MOST_COUNTED)) places.add(net.nodes[node].dwelling ?? node);
    return places.size;
  };
  const rate = (p: number) => (Number.isNaN(inflowAfterTrips[p]) ? -1 : inflowAfterTrips[p]);
  const furtherDown = (a: number, b: number) => tree.hops[from[a]] - tree.hops[from[b]] || a - b;
  return [...lines.values()]
    .sort((a, b) => a.pipe - b.pipe)
    .map(({ pipe, isMain: main, alike, undetermined }) => ({
      pipe,
      isMain: main,
      uncontained: [...alike]
        .map(([lowest, pipes]) => ({ pipe: lowest, pipes, places: placesOf(lowest) }))
        .sort((a, b) => b.places - a.places || rate(b.pipe) - rate(a.pipe) || furtherDown(a.pipe, b.pipe))
        .map(({ pipe: lowest, pipes }) => ({ pipe: lowest, pipes })),
      undetermined: undetermined.sort(furtherDown),
    }));
}

/** A measure that is being tried: which of its two forms still contain all that it is meant for. */
interface Trial {
  readonly first: number;
  /** the overflow device that could be wired to stop more, -1 none */
  device: number;
  /** lowest level at which a new device can trip, NaN none */
  lowest: number;
  /** highest at which it may */
  highest: number;
  readonly pipes: number[];
}

/**
 * The least set of devices and interlocks that contains blockages of the given drains: from the top down each serves as far
 * down as it trips in time, and is begun only where none does. A new device sits at the upper end of its first drain, higher
 * than water runs there.
 */
export function containing(ground: LineGround, drains: readonly number[], isNew: boolean): ContainingMeasure[] {
  const { net, tree, tripLevel, least, pools, firstSpill, bore, highestLift } = ground;
  const { from, to, model } = net;
  const meant = new Set(drains);
  const tolerance = model.site.surveyTolerance;

  const overVents = new Map<number, number>();
  /** The device that must not be the first to trip: with its fan off, its pan's water runs out by a vent. -1 none. */
  const overVent = (p: number): number => {
    if (least.vents[from[p]] >= firstSpill[p] + highestLift) return -1;
    const known = overVents.get(p) ?? pools.firstOverVent(p, firstSpill[p]);
    overVents.set(p, known);
    return known;
  };
  /** highest level at which a new device contains a blockage of `p` */
  const boundOf = (p: number): number => {
    const over = overVent(p);
    return Math.min(firstSpill[p] - tolerance, over < 0 ? Infinity : tripLevel[over] - BEFORE);
  };
  /** would the device contain a blockage of `p` if it stopped every coil above? */
  const locks = (device: number, p: number): boolean => {
    if (!(tripLevel[device] <= firstSpill[p] + EPSILON)) return false;
    const over = overVent(p);
    return over < 0 || pools.tripsBefore(device, over);
  };
  const begin = (p: number): Trial | null => {
    const device = isNew ? -1 : pools.firstTrip(p);
    const rise = Number.isNaN(bore[p]) ? 0 : bore[p];
    const bound = boundOf(p);
    const lowest = net.z[from[p]] + rise;
    const trial: Trial = {
      first: p,
      device: device >= 0 && locks(device, p) ? device : -1,
      lowest: lowest <= bound ? lowest : Number.NaN,
      highest: bound,
      pipes: [p],
    };
    return trial.device < 0 && Number.isNaN(trial.lowest) ? null : trial;
  };
  const serves = (trial: Trial, p: number): boolean => {
    const isLock = trial.device >= 0 && locks(trial.device, p);
    const bound = boundOf(p);
    const isNew = trial.lowest <= bound;
    if (!isLock && !isNew) return false;
    if (!isLock) trial.device = -1;
    if (!isNew) trial.lowest = Number.NaN;
    trial.highest = Math.min(trial.highest, bound);
    trial.pipes.push(p);
    return true;
  };
  const levelOf = ({ device, lowest }: Trial): number =>
    Math.min(device < 0 ? Infinity : tripLevel[device], Number.isNaN(lowest) ? Infinity : lowest);

  const order = [...meant].filter((p) => tree.first[from[p]] >= 0 && !Number.isNaN(firstSpill[p]));
  order.sort((a, b) => tree.hops[from[b]] - tree.hops[from[a]] || a - b);
  const inWay = new Map<number, Trial>();
  const trials: Trial[] = [];
  // Each hands the lowest measure above it on down to the next of the drains that are meant.
  const below = nextMeant(tree.next, to, meant);
  for (const p of order) {
    let trial = inWay.get(p) ?? null;
    if (trial === null || !serves(trial, p)) {
      trial = begin(p);
      if (trial !== null) trials.push(trial);
    }
    const next = below(p);
    if (trial === null || next < 0) continue;
    const known = inWay.get(next);
    if (known === undefined || levelOf(trial) < levelOf(known)) inWay.set(next, trial);
  }
  return trials.map(({ first, device, highest, pipes }) => ({
    device,
    node: from[first],
    level: highest,
    stopsAbove: pipes[pipes.length - 1],
    pipes: [...pipes].sort((a, b) => a - b),
  }));
}

/** m by which a switch is set lower than another, to trip before it. */
const BEFORE = 0.001;

/** The next of the meant pipes down the main way, -1 none or on a loop; what lies between is walked over once. */
function nextMeant(next: Int32Array, to: Int32Array, meant: ReadonlySet<number>): (pipe: number) => number {
  const known = new Map<number, number>();
  return (pipe) => {
    const passed: number[] = [];
    let found = -1;
    for (let at = next[to[pipe]]; at >= 0; at = next[to[at]]) {
      if (meant.has(at)) {
        found = at;
        break;
      }
      const before = known.get(at);
      if (before !== undefined) {
        found = before;
        break;
      }
      passed.push(at);
      // a way that comes round to itself, as behind a pump it may, meets this
      known.set(at, -1);
    }
    for (const at of passed) known.set(at, found);
    return found;
  };
}
