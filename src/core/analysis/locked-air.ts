import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { headOverCompressibleAir } from "../physics/air-lock.js";
import { boreArea } from "../physics/circle.js";
import { headOf, STANDARD_PRESSURE, WATER_DENSITY } from "../physics/constants.js";
import { atMost, exact, type Interval } from "../quantity/interval.js";
import {
  type AirFacts,
  type AirPartition,
  type CircuitFacts,
  CLOSURE,
  type LockedAir,
  type LockedAirFacts,
  type LockedAirReading,
  type LockedSpace,
  type SealFacts,
  type StandingWater,
  type Topology,
} from "./facts.js";
import type { Geometry } from "./geometry.js";
import { alongMainWays } from "./topology.js";

/**
 * Air locked between the seals of coils' ways out, and the head that pushes it on: the air is taken as rigid and every
 * seal as filled after its pocket was closed, since no drawing tells the order. Paths are followed from one trapped space
 * to the next only, and not at all where nothing is trapped.
 */
export function lockedAir(
  net: Compiled,
  shape: Geometry,
  water: StandingWater,
  ways: Topology,
  seals: SealFacts,
  air: AirFacts,
  circuits: CircuitFacts,
): LockedAirFacts {
  const read = (partition: AirPartition): LockedAirReading => {
    const exits = exitsOf(net, ways, partition);
    return exits === null ? NOTHING : reading(net, shape, water, seals, circuits, partition, exits);
  };
  const best = read(air.best);
  return {
    best,
    closed: air.closed === air.best ? best : read(air.closed),
    open: air.open === air.best ? best : read(air.open),
  };
}

const NOTHING: LockedAirReading = { spaces: [], ofCoil: new Map() };

/** Where a path leaves a trapped space. */
interface Exit {
  /** index into the partition's spaces, -1: no exit, but the pump at which the coil's own fall ends */
  readonly space: number;
  /** the seal that is a trap, -1 */
  readonly trap: number;
  /** the pipe end that standing water closes there (2p from, 2p + 1 to), -1 */
  readonly end: number;
  /** the pipe in which the water's surface stands on the side of the air */
  readonly pipe: number;
  /** the next one down the path */
  readonly next: Exit | null;
}

/** For each coil the exits on its path, along the flow; null where no path meets trapped air. */
function exitsOf(net: Compiled, ways: Topology, partition: AirPartition): ((coil: number) => Exit | null) | null {
  const { spaces, ofNode, ofOutletSide, ofPipe } = partition;
  if (!spaces.some((space) => space.kind === "trapped" && space.onPath)) return null;
  const { next } = ways;
  const isTrapped = (space: number): boolean => space >= 0 && spaces[space].kind === "trapped";
  /** What is left between the outlet side of a pipe's upper node and that of its lower one, before `after`. */
  const along = (p: number, after: Exit | null): Exit | null => {
    const below = net.to[p];
    const [above, inside, before, beyond] = [ofOutletSide[net.from[p]], ofPipe[p], ofNode[below], ofOutletSide[below]];
    let list = after;
    if (net.kind[below] === KIND.pump) list = { space: -1, trap: -1, end: -1, pipe: p, next: list };
    if (before !== beyond && isTrapped(before)) list = { space: before, trap: below, end: -1, pipe: p, next: list };
    if (inside !== before && isTrapped(inside)) list = { space: inside, trap: -1, end: 2 * p + 1, pipe: p, next: list };
    if (above !== inside && isTrapped(above)) list = { space: above, trap: -1, end: 2 * p, pipe: p, next: list };
    return list;
  };
  // Each node knows the first exit ahead; a path that ends in a loop is walked.
  const ahead: (Exit | null)[] = new Array(net.nodeCount).fill(null);
  const loops = new Uint8Array(net.nodeCount).fill(1);
  for (const node of alongMainWays(net, next)) {
    const p = next[node];
    const goesOn = p >= 0 && (net.role[p] === ROLE.drain || net.role[p] === ROLE.pressure);
    loops[node] = goesOn ? loops[net.to[p]] : 0;
    if (goesOn) ahead[node] = along(p, ahead[net.to[p]]);
  }
  return (coil) => {
    const node = net.coils[coil];
    return loops[node] ? ways.path(coil).reduceRight<Exit | null>((list, p) => along(p, list), null) : ahead[node];
  };
}

function reading(
  net: Compiled,
  shape: Geometry,
  water: StandingWater,
  seals: SealFacts,
  circuits: CircuitFacts,
  partition: AirPartition,
  exits: (coil: number) => Exit | null,
): LockedAirReading {
  const spaces = new Map<number, { coils: number[]; seals: Set<number> }>();
  const ofCoil = new Map<number, LockedAir>();
  const depths = new Map<number, Interval>();
  const sealOf = ({ trap, end }: Exit): number => {
    if (trap >= 0) return seals.ofTrap[trap];
    const pool = water.poolOfEnd[end];
    return pool < 0 ? -1 : seals.ofPool[pool];
  };
  const depthOf = (exit: Exit): Interval => {
    const key = exit.trap >= 0 ? -1 - exit.trap : exit.end;
    const known = depths.get(key);
    if (known !== undefined) return known;
    const made =
      exit.trap >= 0 ? trapDepth(net, exit.trap) : poolDepth(net, water, exit.end, seals.list[sealOf(exit)]?.sealDepth);
    depths.set(key, made);
    return made;
  };
  for (let coil = 0; coil < net.coils.length; coil++) {
    // A space that the path leaves twice is one body of air: the seal behind which it is left for good holds it.
    const last = new Map<number, Exit>();
    let isOwnFall = true;
    for (let exit = exits(coil); exit !== null; exit = exit.next) {
      if (exit.space < 0) {
        isOwnFall = false;
        continue;
      }
      const entry = spaces.get(exit.space) ?? { coils: [], seals: new Set<number>() };
      spaces.set(exit.space, entry);
      if (entry.coils.at(-1) !== coil) entry.coils.push(coil);
      const seal = sealOf(exit);
      if (seal >= 0) entry.seals.add(seal);
      if (isOwnFall) last.set(exit.space, exit);
    }
    if (last.size === 0) continue;
    const pushed = [...last].map(([space, exit]) => ({
      space,
      seal: sealOf(exit),
      depth: depthOf(exit),
      gasLength: partition.spaces[space].volume / boreArea(surfaceBore(net, shape, exit)),
    }));
    ofCoil.set(coil, pushing(net, water, seals, circuits, coil, pushed));
  }
  const list: LockedSpace[] = [...spaces].map(([space, { coils, seals: leftThrough }]) => ({
    space,
    anchor: partition.spaces[space].nodes[0] ?? partition.spaces[space].traps[0],
    coils,
    seals: [...leftThrough],
  }));
  return { spaces: list.sort((a, b) => a.anchor - b.anchor), ofCoil };
}

/** Head that one coil's water needs above its first weir, against what the pan offers. */
function pushing(
  net: Compiled,
  water: StandingWater,
  seals: SealFacts,
  circuits: CircuitFacts,
  coil: number,
  pushed: readonly { space: number; seal: number; depth: Interval; gasLength: number }[],
): LockedAir {
  const node = net.coils[coil];
  const { panStatic, pan } = net.nodes[node].coil!;
  const suction = Math.max(0, -headOf(panStatic ?? NaN));
  const pressure = net.model.site.pressure ?? STANDARD_PRESSURE;
  const needed = { low: suction, best: suction, high: suction };
  let neededCompressible = suction;
  for (const { depth, gasLength } of pushed) {
    needed.low += depth.low;
    needed.best += depth.best;
    needed.high += depth.high;
    neededCompressible += headOverCompressibleAir(depth.best, gasLength, WATER_DENSITY, pressure);
  }
  const first = seals.onPath(coil)[0];
  const seal = first === undefined ? null : seals.list[first];
  const weir = seal?.weirElevation ?? NaN;
  const toOutlet = net.z[node] - weir;
  const toTrip = circuits.stoppingTrip[coil] - weir;
  const toSpill = net.z[node] + spillHeight(pan) - weir;
  const dry = atMost(needed.best, toOutlet);
  const outcome = ((): LockedAir["outcome"] => {
    if (Number.isNaN(needed.best)) return null;
    if (dry) return "drains-dry";
    if (!Number.isNaN(toTrip) && !atMost(needed.best, toTrip) && (Number.isNaN(toSpill) || atMost(toTrip, toSpill)))
      return "trips";
    if (Number.isNaN(toSpill)) return null;
    return atMost(needed.best, toSpill) ? "drains-standing" : "overflows";
  })();
  return {
    spaces: pushed.map(({ space }) => space),
    seals: pushed.map(({ seal: behind }) => behind),
    needed,
    neededCompressible,
    toOutlet,
    toTrip,
    toSpill,
    levelTolerance: net.tolerance[node] + weirTolerance(net, water, seal),
    outcome,
    standing: outcome === "drains-dry" ? 0 : outcome === "drains-standing" ? needed.best - toOutlet : NaN,
  };
}

/** Height over the pan's outlet at which it spills: its rim, or an open second port, which lies below it. NaN: unknown. */
function spillHeight({ rimHeight, secondary }: NonNullable<Compiled["nodes"][number]["coil"]>["pan"]): number {
  if (secondary?.is !== "open") return rimHeight ?? NaN;
  return Math.min(rimHeight ?? Infinity, secondary.height ?? NaN);
}

function weirTolerance(net: Compiled, water: StandingWater, seal: SealFacts["list"][number] | null): number {
  if (seal === null) return NaN;
  if (seal.pool < 0) return net.tolerance[seal.trap];
  const { node, level } = water.pools[seal.pool];
  return Math.max(level - water.levelLow[node], water.levelHigh[node] - level);
}

/** What air must push out of a trap: its seal, or the head that opens it. Stated figures carry no tolerance. */
function trapDepth(net: Compiled, node: number): Interval {
  const trap = net.nodes[node].trap!;
  return exact(trap.sealType === "water" ? (trap.sealDepth ?? NaN) : headOf(trap.opensAt ?? NaN));
}

/**
 * The same of standing water at a closed pipe end: with the depths of all ends in its pool at their tolerance. A closure
 * that is only doubtful has no pool of its own at best values; its own end tells how deep it may be.
 */
function poolDepth(net: Compiled, water: StandingWater, end: number, sealDepth: number | undefined): Interval {
  const pool = water.poolOfEnd[end];
  let [low, best, high] = [0, 0, 0];
  const count = (at: number): void => {
    const p = at >> 1;
    const crown = at & 1 ? water.toCrown[p] - net.toInvert[p] : water.fromCrown[p] - net.fromInvert[p];
    low = Math.max(low, (at & 1 ? water.toDepthLow : water.fromDepthLow)[p] - crown);
    best = Math.max(best, (at & 1 ? water.toDepth : water.fromDepth)[p] - crown);
    high = Math.max(high, (at & 1 ? water.toDepthHigh : water.fromDepthHigh)[p] - crown);
  };
  count(end);
  if (pool < 0 || sealDepth === undefined) return { low, best, high };
  for (const p of water.pools[pool].pipes)
    for (const at of [2 * p, 2 * p + 1])
      if (water.poolOfEnd[at] === pool && (at & 1 ? water.toClosure : water.fromClosure)[p] & CLOSURE.best) count(at);
  return { low: Math.min(low, sealDepth), best: sealDepth, high: Math.max(high, sealDepth) };
}

/** Bore in which the water's surface rises on the side of the air. */
const surfaceBore = (net: Compiled, shape: Geometry, { trap, pipe }: Exit): number =>
  (trap < 0 ? null : net.nodes[trap].trap!.inletLegSize) ?? shape.bore[pipe];
