import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { EPSILON } from "../quantity/interval.js";
import { naturalOrder } from "../quantity/natural-order.js";
import type { Backup, BackupOutcome, DeviceFact, LoadFacts, SpillOpening, Topology } from "./facts.js";
import { joinsPool, type LeastAbove } from "./least-above.js";
import type { MainWayTree } from "./main-way-tree.js";
import { type Escape, type SpillLevels, TOLD } from "./spill-levels.js";

export interface PoolGround {
  readonly net: Compiled;
  readonly ways: Topology;
  readonly load: LoadFacts;
  readonly tripped: readonly DeviceFact[];
  readonly tree: MainWayTree;
  readonly spill: SpillLevels;
  readonly tripLevel: Float64Array;
  readonly least: LeastAbove;
  /** openings spill together within this much, m */
  readonly near: number;
}

/** What one blockage dams up. */
export interface Pool {
  /** nodes that it holds with all that drains into them */
  readonly feet: readonly number[];
  /** nodes that it holds without what rises from them: a pan, the inlet of a trap */
  readonly bare: readonly number[];
  /** the drain that is blocked, -1 where a node is */
  readonly pipe: number;
  /** the node whose water stands still: what passes it feeds the pool */
  readonly at: number;
  readonly inflow: number;
  /** the rim of a sump or receptor; NaN level: it may spill anywhere above `from` */
  readonly rim: { readonly level: number; readonly from: number; readonly harmless: boolean } | null;
  /** stops every coil, whatever the devices do */
  readonly stops: boolean;
}

/** The sets behind the figures, for one blockage at a time. */
export interface PoolReader {
  readonly ofPipe: (pipe: number) => Backup;
  /** null where nothing feeds it or it lies on a loop */
  readonly ofNode: (node: number) => Backup | null;
  /** what a blocked drain dams up, and a blocked node (null as above) */
  readonly poolOfPipe: (pipe: number) => Pool;
  readonly poolOfNode: (node: number) => Pool | null;
  /** ways out that carry its water off, and pans of whose spill nobody is told since it has reached their auxiliary drain's foot */
  readonly escapesOf: (pool: Pool) => { readonly off: readonly Escape[]; readonly mute: ReadonlySet<number> };
  /** coils (positions, ascending) whose path contains a node */
  readonly feeding: (node: number) => number[];
  /** nodes at which a blocked drain spills first, at most so many */
  readonly openings: (pipe: number, most: number) => readonly number[];
  /** the device that trips first behind a blocked drain, whatever it stops; -1 none */
  readonly firstTrip: (pipe: number) => number;
  /** the first that trips, at or below a level, in a pan whose water then runs out by a vent or cleanout; -1 none */
  readonly firstOverVent: (pipe: number, level: number) => number;
  /** does one device trip before another, as far as levels tell; of equal ones the first id */
  readonly tripsBefore: (device: number, other: number) => boolean;
}

export function poolReader(ground: PoolGround): PoolReader {
  const { net, ways, load, tripped, tree, spill, tripLevel, least, near } = ground;
  const { from, to, kind, role, model } = net;

  // Devices by node, one after the other; coils by their number in the forest of main ways.
  const firstDevice = new Int32Array(net.nodeCount).fill(-1);
  const nextDevice = new Int32Array(model.devices.length).fill(-1);
  const vague: number[] = [];
  for (let d = model.devices.length - 1; d >= 0; d--) {
    if (!tripped[d].works) continue;
    if (Number.isNaN(tripLevel[d])) {
      if (tripped[d].stops.length > 0) vague.push(d);
      continue;
    }
    const node = net.nodeRank[model.devices[d].at];
    nextDevice[d] = firstDevice[node];
    firstDevice[node] = d;
  }
  const coilOfNumber = new Int32Array(net.nodeCount).fill(-1);
  for (let c = 0; c < net.coils.length; c++)
    if (tree.first[net.coils[c]] >= 0) coilOfNumber[tree.first[net.coils[c]]] = c;

  /** Coils whose path contains a node. */
  const feeding = (node: number): number[] => {
    const first = tree.first[node];
    if (first >= 0) return ascending(coilOfNumber.subarray(first, first + tree.size[node]).filter((c) => c >= 0));
    const met = new Set([node]);
    for (const at of met)
      for (let k = net.ends.start[at]; k < net.ends.start[at + 1]; k++) {
        const p = net.ends.list[k] >> 1;
        if (net.ends.list[k] & 1 && tree.next[from[p]] === p) met.add(from[p]);
      }
    return ascending([...met].map((at) => net.coilAt[at]).filter((c) => c >= 0));
  };

  /** Nodes of a pool that may hold something of note: those above which a least is at or below `level`. */
  function* nodesOf(pool: Pool, level: number): Generator<number> {
    const met = new Set<number>(pool.feet);
    const bound = level + EPSILON;
    yield* pool.bare;
    for (const node of met) {
      yield node;
      for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
        const p = net.ends.list[k] >> 1;
        const enters = (net.ends.list[k] & 1) === 1;
        const rises = role[p] === ROLE.vent || role[p] === ROLE.access;
        const other = enters ? from[p] : to[p];
        if (enters ? role[p] !== ROLE.drain || !joinsPool(net, p) : !rises) continue;
        if (least.open[other] <= bound || least.trips[other] <= bound || least.unknown[other] <= bound) met.add(other);
      }
    }
  }

  /** The ways out that carry water off, and pans whose auxiliary drain the pool has reached. */
  const escapesOf = (pool: Pool): { off: readonly Escape[]; mute: ReadonlySet<number> } => {
    if (spill.escapes.length === 0) return NO_ESCAPES;
    const held = new Set(nodesOf(pool, Infinity));
    const off: Escape[] = [];
    const mute = new Set<number>();
    for (const way of spill.escapes) {
      if (!held.has(way.source) || way.pipe === pool.pipe) continue;
      const reached = held.has(way.target);
      if (way.kind === "tells") {
        if (reached) mute.add(way.source);
      } else if (!reached && !(pool.bare.includes(way.source) && role[way.pipe] === ROLE.drain)) off.push(way);
    }
    return { off, mute };
  };

  const byLevel = (a: Backup["trips"][number], b: Backup["trips"][number]): number =>
    grid(a.level) - grid(b.level) || naturalOrder(model.devices[a.device].id, model.devices[b.device].id);

  const backupOf = (pool: Pool): Backup => {
    const { off, mute } = escapesOf(pool);
    let open = pool.rim === null || Number.isNaN(pool.rim.level) ? Infinity : pool.rim.level;
    let unknown = pool.rim !== null && Number.isNaN(pool.rim.level) ? pool.rim.from : Infinity;
    for (const node of pool.feet) {
      open = Math.min(open, least.open[node]);
      unknown = Math.min(unknown, least.unknown[node]);
    }
    for (const node of pool.bare) {
      for (const level of [spill.own[node], spill.second[node]]) if (level < open) open = level;
      if (spill.unknown[node] < unknown) unknown = spill.unknown[node];
    }
    if (off.length > 0) open = Math.min(open, off[0].level);
    const firstSpill = toldLevel(open, unknown);
    const coils = feeding(pool.at);
    const feeds = { inflow: pool.inflow, fanCoilsFeeding: coils.length };
    if (Number.isNaN(firstSpill)) {
      const unknownSpills = new Set<number>();
      for (const node of nodesOf(pool, open)) if (spill.unknown[node] < open - EPSILON) unknownSpills.add(node);
      if (pool.rim !== null && Number.isNaN(pool.rim.level)) unknownSpills.add(pool.at);
      return {
        ...feeds,
        firstSpill,
        openings: [],
        trips: [],
        inflowAfterTrips: NaN,
        unstopped: coils,
        outcome: "undetermined",
        unknownSpills: ascending(unknownSpills),
        unknownTrips: [],
      };
    }

    const openings: SpillOpening[] = [];
    const trips: { device: number; level: number }[] = [];
    const offer = (opening: SpillOpening) => {
      if (opening.level <= firstSpill + near) openings.push(opening);
    };
    for (const node of nodesOf(pool, firstSpill + near)) {
      const harmless = net.nodes[node].spillHarmless;
      const isTold =
        spill.ownTold[node] === TOLD.always || (spill.ownTold[node] === TOLD.unlessReached && !mute.has(node));
      offer({ node, level: spill.own[node], elevation: spill.ownElevation[node], told: isTold, harmless });
      offer({ node, level: spill.second[node], elevation: spill.secondElevation[node], told: true, harmless });
      for (let device = firstDevice[node]; device >= 0; device = nextDevice[device])
        if (tripLevel[device] <= firstSpill + EPSILON) trips.push({ device, level: tripLevel[device] });
    }
    for (const { source, level, elevation } of off)
      offer({ node: source, level, elevation, told: true, harmless: net.nodes[source].spillHarmless });
    if (pool.rim !== null)
      offer({
        node: pool.at,
        level: pool.rim.level,
        elevation: pool.rim.level,
        told: false,
        harmless: pool.rim.harmless,
      });
    openings.sort((a, b) => a.node - b.node || a.level - b.level);
    trips.sort(byLevel);

    const running = new Set(pool.stops ? [] : coils);
    for (const { device } of trips) for (const c of tripped[device].stops) running.delete(c);
    const unstopped = coils.filter((c) => running.has(c));
    const maybe = vague.filter((d) => running.size > 0 && isHeld(pool, net.nodeRank[model.devices[d].at]));
    for (const d of maybe) for (const c of tripped[d].stops) running.delete(c);
    let outcome: BackupOutcome;
    if (unstopped.length === 0 && !spillsOnceStopped(pool, trips, coils)) outcome = "contained";
    else if (openings.every(({ told }) => told)) outcome = "told";
    else if (openings.every(({ told, harmless }) => told || harmless)) outcome = "harmless";
    else outcome = unstopped.length > 0 && running.size === 0 ? "undetermined" : "uncontained";
    return {
      ...feeds,
      firstSpill,
      openings,
      trips,
      inflowAfterTrips:
        unstopped.length === coils.length ? pool.inflow : unstopped.reduce((sum, c) => sum + load.rate[c], 0),
      unstopped,
      outcome,
      unknownSpills: [],
      unknownTrips: outcome === "undetermined" ? ascending(maybe) : [],
    };
  };

  /** Does a pool hold a node? */
  const isHeld = (pool: Pool, node: number): boolean => {
    for (const each of nodesOf(pool, Infinity)) if (each === node) return true;
    return false;
  };

  /**
   * After a trip the fan of that coil may be off: water and vents then stand at one level. A vent or open cleanout below
   * the trip of a pan (of those that trip until all is stopped) spills after all.
   */
  const spillsOnceStopped = (pool: Pool, trips: Backup["trips"], coils: readonly number[]): boolean => {
    let vents = Infinity;
    for (const node of pool.feet) vents = Math.min(vents, least.vents[node]);
    const running = new Set(coils);
    for (const { device } of trips) {
      if (isOverVent(device, vents)) return true;
      for (const c of tripped[device].stops) running.delete(c);
      if (running.size === 0) return false;
    }
    return false;
  };

  const isOverVent = (device: number, vents: number): boolean => {
    const { at, seat, tripLevel: unshifted } = model.devices[device];
    const isInPan = kind[net.nodeRank[at]] === KIND.coil && seat !== "auxiliary-pan";
    return isInPan && unshifted !== null && vents < unshifted - EPSILON;
  };

  /** Of the devices that trip behind a blocked drain at or below a level, the first that `counts`; -1 none. */
  const firstOf = (pipe: number, level: number, counts: (device: number) => boolean): number => {
    let found: Backup["trips"][number] | null = null;
    for (const node of nodesOf(drainPool(pipe), level))
      for (let device = firstDevice[node]; device >= 0; device = nextDevice[device]) {
        const trip = { device, level: tripLevel[device] };
        if (trip.level <= level + EPSILON && counts(device) && (found === null || byLevel(trip, found) < 0))
          found = trip;
      }
    return found?.device ?? -1;
  };

  const drainPool = (pipe: number): Pool => ({
    feet: kind[from[pipe]] === KIND.pump ? [] : [from[pipe]],
    bare: [],
    pipe,
    at: from[pipe],
    inflow: load.designFlow[pipe],
    rim: null,
    stops: false,
  });

  const poolOfNode = (node: number): Pool | null =>
    ways.intoCycle[node] || feeding(node).length === 0 ? null : nodePool(ground, node);

  return {
    poolOfPipe: drainPool,
    poolOfNode,
    escapesOf,
    feeding,
    ofPipe: (pipe) => backupOf(drainPool(pipe)),
    ofNode: (node) => {
      const pool = poolOfNode(node);
      return pool === null ? null : backupOf(pool);
    },
    openings: (pipe, most) => {
      const pool = drainPool(pipe);
      const { off } = escapesOf(pool);
      const first = Math.min(least.open[from[pipe]], off[0]?.level ?? Infinity) + near;
      const found: number[] = [];
      for (const node of nodesOf(pool, first)) {
        if (spill.own[node] <= first || spill.second[node] <= first) found.push(node);
        if (found.length >= most) break;
      }
      for (const { source, level } of off) if (level <= first && !found.includes(source)) found.push(source);
      return found;
    },
    firstTrip: (pipe) => {
      const level = least.trips[from[pipe]];
      return level === Infinity ? -1 : firstOf(pipe, level, () => true);
    },
    firstOverVent: (pipe, level) => {
      const vents = least.vents[from[pipe]];
      return firstOf(pipe, level, (device) => isOverVent(device, vents));
    },
    tripsBefore: (device, other) =>
      byLevel({ device, level: tripLevel[device] }, { device: other, level: tripLevel[other] }) < 0,
  };
}

/** Levels that rounding alone parts are one. */
const grid = (level: number): number => Math.round(level * 1e9);

const NO_ESCAPES = { off: [], mute: new Set<number>() } as const;

/** The least known level, unless something of unknown height may spill below it. */
export const toldLevel = (open: number, unknown: number): number =>
  open === Infinity || unknown < open - EPSILON ? NaN : open;

const ascending = (items: Iterable<number>): number[] => [...items].sort((a, b) => a - b);

/** What a stopped pan outlet, trap, pump or receptor dams up. */
function nodePool({ net, load, tree }: PoolGround, node: number): Pool | null {
  const { coil, trap, pump, outlet, spillHarmless } = net.nodes[node];
  const above: number[] = [];
  let arriving = 0;
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
    const p = net.ends.list[k] >> 1;
    if (!(net.ends.list[k] & 1)) continue;
    if (tree.next[net.from[p]] === p) arriving += load.designFlow[p];
    if (net.role[p] === ROLE.drain && joinsPool(net, p)) above.push(net.from[p]);
  }
  const pool = { feet: [node], bare: [] as number[], pipe: -1, at: node, inflow: arriving, rim: null, stops: false };
  if (coil !== null || trap !== null) {
    const leaves = tree.next[node];
    return leaves < 0 ? null : { ...pool, feet: above, bare: [node], inflow: load.designFlow[leaves] };
  }
  if (pump !== null) {
    const rim = { level: pump.sump?.rim ?? NaN, from: net.z[node], harmless: spillHarmless };
    return { ...pool, rim: pump.sump?.ventedTo === "none" ? null : rim, stops: pump.interlocked === true };
  }
  if (outlet !== null) {
    const { receptor, connection } = outlet;
    const rim = {
      level: receptor?.rim ?? NaN,
      from: net.z[node],
      harmless: receptor?.spillHarmless ?? spillHarmless,
    };
    // Over an air gap nothing rises into the pipe.
    return connection === "air-gap" ? { ...pool, feet: [], bare: [node], rim } : { ...pool, rim };
  }
  return null;
}
