import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { headOf } from "../physics/constants.js";
import { prismBelow } from "../physics/spill-level.js";
import { EPSILON } from "../quantity/interval.js";
import {
  type BackupFacts,
  type CircuitFacts,
  CLOSURE,
  type HeldWater,
  type SpillOpening,
  type StandingWater,
  type Topology,
} from "./facts.js";
import { type Geometry, waterBelow } from "./geometry.js";
import { drainFromTheTop, joinsPool, stubsFromTheTop } from "./least-above.js";
import type { Pool } from "./pool-reader.js";
import { isSealed } from "./seals.js";
import { TOLD } from "./spill-levels.js";

export interface StoryGround {
  readonly net: Compiled;
  readonly shape: Geometry;
  readonly water: StandingWater;
  readonly ways: Topology;
  readonly circuits: CircuitFacts;
  readonly backups: BackupFacts;
}

/** Coils (positions) whose fans have stopped. */
export type Stopped = ReadonlySet<number>;

/** An opening, and the pool level at which it spills while the fan over it runs and once it has stopped. */
export interface PoolOpening extends SpillOpening {
  readonly stoppedLevel: number;
  /** whose fan lifts the water there, -1 none */
  readonly coil: number;
  /** nobody knows its height: from this level on it may spill */
  readonly unknown: boolean;
}

/** A working device of known level, and the pool level at which it trips with the fan running and stopped. */
export interface PoolDevice {
  readonly device: number;
  readonly level: number;
  readonly stoppedLevel: number;
  readonly coil: number;
}

/** What a rising pool meets and fills, above the level at which it starts. */
export interface RisingPool {
  readonly start: number;
  readonly openings: readonly PoolOpening[];
  readonly devices: readonly PoolDevice[];
  /** coils (positions) that it comes to, and of those that it does not hold from the start the level above which it does */
  readonly reached: readonly number[];
  readonly joins: readonly { readonly coil: number; readonly level: number }[];
  /** coils → m by which suction holds the water before the trap over that behind it */
  readonly lift: (coil: number) => number;
  /** m³ above what stood in it at the start. `vented`: only what air can leave as it fills */
  readonly volume: (level: number, stopped: Stopped, vented: boolean) => number;
  /** water stands in something of which nobody gave the size */
  readonly isVague: (level: number, stopped: Stopped) => boolean;
  /** lowest level from which the water of some pan or piece of unknown size would run back when its fan stops */
  readonly vagueSurgeFrom: number;
  readonly held: (level: number, stopped: Stopped) => HeldWater[];
  readonly vessels: number;
}

const NONE: Stopped = new Set();

/** Vessels side by side. */
interface Vessels {
  readonly kind: HeldWater["kind"][];
  readonly pipe: number[];
  readonly node: number[];
  /** pan, sump: m² and m; level from which there is room for water that was not there before */
  readonly area: number[];
  readonly rest: number[];
  /** position of the coil whose fan lifts the water in it, -1 */
  readonly coil: number[];
  readonly airtight: (0 | 1)[];
  /** it holds nothing for certain, at most that much */
  readonly doubtful: (0 | 1)[];
  readonly base: number[];
}

/** The piece of drain between a pan and its trap, and what parts it from the pool. */
interface PanSide {
  readonly lift: number;
  readonly pipes: readonly number[];
  /** level of the weir over which it feeds the pool; −∞: nothing parts them */
  readonly gate: number;
  /** the trap holds water: what stands before it is already lifted over its weir */
  readonly sealed: boolean;
  /** the blockage itself lies before the trap */
  readonly holdsEnd: boolean;
}

/** Makes rising pools: what holds for every one of them is found once. */
export function risingPools(ground: StoryGround): (pool: Pool, firstSpill: number) => RisingPool {
  const { net, shape, water, ways, circuits, backups } = ground;
  const { from, to, role, kind, model } = net;
  const { spill, tripLevel, pools } = backups;
  const breathes = breathing(net, water, ways);
  const lifts = Float64Array.from(net.coils, (node) => Math.max(0, -headOf(spill.suction[node])));
  const greatestLift = lifts.reduce((most, lift) => Math.max(most, lift), 0);
  const devicesAt = new Map<number, number[]>();
  for (const [d, { at }] of model.devices.entries()) {
    if (!circuits.devices[d].works || Number.isNaN(tripLevel[d])) continue;
    const node = net.nodeRank[at];
    const known = devicesAt.get(node);
    if (known === undefined) devicesAt.set(node, [d]);
    else known.push(d);
  }
  const standsAt = (node: number): number => (Number.isNaN(water.level[node]) ? net.z[node] : water.level[node]);
  /** level up to which water stood in a pipe before */
  const standsIn = (p: number): number => {
    const levels = [Math.min(net.fromInvert[p], net.toInvert[p])];
    // an end that takes no part has no level
    for (const level of [water.fromLevel[p], water.toLevel[p]]) if (!Number.isNaN(level)) levels.push(level);
    return Math.max(...levels);
  };

  const panSideOf = (c: number, pool: Pool): PanSide => {
    const end = pool.pipe >= 0 ? from[pool.pipe] : pool.at;
    const lift = lifts[c];
    const pipes: number[] = [];
    const trap = ways.firstTrap[c];
    if (trap < 0 || ways.boundary[trap] !== ways.boundary[net.coils[c]])
      return { lift, pipes, gate: -Infinity, sealed: false, holdsEnd: net.coils[c] === end };
    const sealed = isSealed(net, trap);
    let alone = true;
    for (let node = net.coils[c]; node !== trap; node = to[ways.next[node]]) {
      if (node === end) return { lift, pipes, gate: -Infinity, sealed, holdsEnd: alone };
      const p = ways.next[node];
      alone &&= ways.common[p] === 0;
      if (alone) pipes.push(p);
    }
    return { lift, pipes, gate: standsAt(trap), sealed, holdsEnd: false };
  };

  return (pool, firstSpill) => {
    const bound = (Number.isNaN(firstSpill) ? Infinity : firstSpill) + greatestLift + EPSILON;
    const pipesHeld = new Set<number>();
    const nodes = new Set<number>(pool.bare);
    const isDrainable = (node: number) => kind[node] === KIND.coil || kind[node] === KIND.trap;
    const enter = (node: number) => {
      for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
        const p = net.ends.list[k] >> 1;
        const enters = (net.ends.list[k] & 1) === 1;
        const rises = role[p] === ROLE.vent || role[p] === ROLE.access;
        if (enters ? role[p] !== ROLE.drain || !joinsPool(net, p) : !rises || pool.bare.includes(node)) continue;
        if (pool.feet.length === 0) continue;
        pipesHeld.add(p);
        const other = enters ? from[p] : to[p];
        if (standsAt(other) <= bound) nodes.add(other);
      }
    };
    for (const node of pool.bare) if (isDrainable(node)) enter(node);
    for (const node of pool.feet) nodes.add(node);
    for (const node of nodes) if (!pool.bare.includes(node)) enter(node);

    const feeding = new Set(pools.feeding(pool.at));
    const sides = new Map<number, PanSide>();
    const reached: number[] = [];
    for (const node of nodes) {
      const c = net.coilAt[node];
      if (c < 0) continue;
      reached.push(c);
      sides.set(c, panSideOf(c, pool));
    }
    const devices: PoolDevice[] = [];
    for (const node of nodes)
      for (const device of devicesAt.get(node) ?? []) {
        const level = tripLevel[device];
        const c = net.coilAt[node];
        const lift = c < 0 ? 0 : lifts[c];
        devices.push({ device, level, stoppedLevel: level + lift, coil: c });
        // Pans that the pool never reaches let go what their fans held up.
        if (circuits.devices[device].stopsFan === true)
          for (const other of circuits.devices[device].stops)
            if (feeding.has(other) && !sides.has(other)) {
              const side = panSideOf(other, pool);
              if (side.sealed && side.gate > -Infinity) sides.set(other, side);
            }
      }

    const vessels: Vessels = {
      kind: [],
      pipe: [],
      node: [],
      area: [],
      rest: [],
      coil: [],
      airtight: [],
      doubtful: [],
      base: [],
    };
    const add = (each: { [K in keyof Omit<Vessels, "base">]: Vessels[K][number] }) => {
      for (const key of Object.keys(each) as (keyof typeof each)[]) (vessels[key] as unknown[]).push(each[key]);
    };
    const sideOf = new Map<number, number>();
    for (const [c, { pipes }] of sides) for (const p of pipes) sideOf.set(p, c);
    for (const p of new Set([...pipesHeld, ...sideOf.keys()])) {
      const rises = role[p] === ROLE.vent || role[p] === ROLE.access;
      const coil = sideOf.get(p) ?? -1;
      add({
        kind: rises ? "vent" : shape.vertical[p] ? "riser" : "pipe",
        pipe: p,
        node: -1,
        area: NaN,
        rest: standsIn(p),
        coil,
        airtight: coil >= 0 || breathes(p) ? 0 : 1,
        doubtful: 0,
      });
    }
    for (const c of sides.keys()) {
      const node = net.coils[c];
      const area = net.nodes[node].coil!.pan.area ?? NaN;
      add({ kind: "pan", pipe: -1, node, area, rest: net.z[node], coil: c, airtight: 0, doubtful: 0 });
    }
    const { pump, outlet } = net.nodes[pool.at];
    if (pool.pipe < 0 && pump !== null) {
      const floor = Math.max(net.z[pool.at], pump.sump?.startLevel ?? -Infinity);
      const area = (pump.sump?.volume ?? NaN) / ((pump.sump?.rim ?? NaN) - floor);
      add({ kind: "sump", pipe: -1, node: pool.at, area, rest: floor, coil: -1, airtight: 0, doubtful: 1 });
    } else if (pool.pipe < 0 && outlet !== null && pool.rim !== null)
      add({
        kind: "receptor",
        pipe: -1,
        node: pool.at,
        area: NaN,
        rest: standsAt(pool.at),
        coil: -1,
        airtight: 0,
        doubtful: 1,
      });
    const count = vessels.kind.length;

    /** level of the water in a vessel when the pool stands at `level` */
    const levelIn = (v: number, level: number, stopped: Stopped): number => {
      const c = vessels.coil[v];
      if (c < 0) return Math.max(level, vessels.rest[v]);
      const { lift, gate, sealed } = sides.get(c)!;
      const lifted = stopped.has(c) ? 0 : lift;
      const own = level >= gate ? level + lifted : sealed ? gate + lifted : -Infinity;
      return Math.max(own, vessels.rest[v]);
    };
    const holdsAt = (v: number, level: number): number =>
      vessels.pipe[v] >= 0
        ? waterBelow(net, shape, vessels.pipe[v], level)
        : prismBelow(vessels.area[v], vessels.rest[v], level);
    const isKnown = (v: number) => !Number.isNaN(vessels.pipe[v] >= 0 ? shape.bore[vessels.pipe[v]] : vessels.area[v]);
    const known: number[] = [];
    const vague: number[] = [];
    for (let v = 0; v < count; v++) (isKnown(v) ? known : vague).push(v);

    const start = startLevel();
    const restsAt = Float64Array.from({ length: count }, (_, v) => levelIn(v, start, NONE));
    for (let v = 0; v < count; v++) vessels.base.push(holdsAt(v, restsAt[v]));
    const isVagueIn = (v: number, level: number, stopped: Stopped) =>
      vessels.kind[v] === "receptor" || levelIn(v, level, stopped) > restsAt[v] + EPSILON;

    function startLevel(): number {
      const at = standsAt(pool.at);
      // Before the trap the fan holds the water up: the pool stands lower than that water.
      for (const [c, { lift, sealed, holdsEnd }] of sides)
        if (holdsEnd) return Math.max(at, sealed ? standsAt(ways.firstTrap[c]) + lift : at) - lift;
      return pool.pipe < 0 && outlet !== null && pool.rim !== null && pool.rim.level < at ? pool.rim.level : at;
    }

    return {
      start,
      openings: openingsOf(ground, pool, nodes),
      devices,
      joins: reached
        .map((coil) => {
          const { gate, lift } = sides.get(coil)!;
          return { coil, level: gate > -Infinity ? gate : standsAt(net.coils[coil]) - lift };
        })
        .filter(({ level }) => level > start + EPSILON)
        .sort((a, b) => a.level - b.level || a.coil - b.coil),
      reached,
      lift: (coil) => sides.get(coil)?.lift ?? 0,
      volume: (level, stopped, vented) => {
        let sum = 0;
        for (const v of known) {
          if (vented && (vessels.airtight[v] || vessels.doubtful[v])) continue;
          sum += holdsAt(v, levelIn(v, level, stopped)) - vessels.base[v];
        }
        return sum;
      },
      isVague: (level, stopped) => vague.some((v) => isVagueIn(v, level, stopped)),
      vagueSurgeFrom: vague.reduce((lowest, v) => {
        const side = sides.get(vessels.coil[v]);
        if (side === undefined || side.lift <= EPSILON) return lowest;
        return Math.min(lowest, Math.max(side.gate, vessels.rest[v] - side.lift));
      }, Infinity),
      held: (level, stopped) => {
        const list: HeldWater[] = [];
        for (let v = 0; v < count; v++) {
          const volume = isKnown(v) ? holdsAt(v, levelIn(v, level, stopped)) - vessels.base[v] : NaN;
          if (Number.isNaN(volume) ? !isVagueIn(v, level, stopped) : Math.abs(volume) < 1e-9) continue;
          list.push({
            kind: vessels.kind[v],
            pipe: vessels.pipe[v],
            node: vessels.node[v],
            volume,
            airtight: vessels.airtight[v] === 1,
          });
        }
        return list.sort((a, b) => a.pipe - b.pipe || a.node - b.node);
      },
      vessels: count,
    };
  };
}

/** Where a pool can leave, by level, then node. */
function openingsOf({ net, backups }: StoryGround, pool: Pool, nodes: ReadonlySet<number>): PoolOpening[] {
  const { spill, pools } = backups;
  const { off, mute } = pools.escapesOf(pool);
  const list: PoolOpening[] = [];
  for (const node of nodes) {
    const coil = net.coilAt[node];
    const harmless = net.nodes[node].spillHarmless;
    const offer = (level: number, elevation: number, told: boolean, unknown = false) => {
      const stoppedLevel = coil < 0 || unknown ? level : elevation;
      if (!Number.isNaN(level)) list.push({ node, level, stoppedLevel, elevation, told, harmless, coil, unknown });
    };
    const isTold =
      spill.ownTold[node] === TOLD.always || (spill.ownTold[node] === TOLD.unlessReached && !mute.has(node));
    offer(spill.own[node], spill.ownElevation[node], isTold);
    offer(spill.second[node], spill.secondElevation[node], true);
    offer(spill.unknown[node], spill.unknown[node], false, true);
  }
  for (const { source, level, elevation } of off)
    list.push({
      node: source,
      level,
      stoppedLevel: net.coilAt[source] < 0 ? level : elevation,
      elevation,
      told: true,
      harmless: net.nodes[source].spillHarmless,
      coil: net.coilAt[source],
      unknown: false,
    });
  if (pool.rim !== null) {
    const unknown = Number.isNaN(pool.rim.level);
    const level = unknown ? pool.rim.from : pool.rim.level;
    list.push({
      node: pool.at,
      level,
      stoppedLevel: level,
      elevation: level,
      told: false,
      harmless: pool.rim.harmless,
      coil: -1,
      unknown,
    });
  }
  return list.sort((a, b) => a.level - b.level || a.node - b.node);
}

/**
 * Can the air leave a drain, vent or stub as the pool fills it? It goes up to an opening or a pan, but not through a trap that
 * holds water, nor through a pipe that standing water closes. Of one coil's branch, between its trap and the joining point, a
 * vent anywhere on it serves the whole: what its short pieces beyond the vent keep is left out of account.
 */
function breathing(net: Compiled, water: StandingWater, ways: Topology): (pipe: number) => boolean {
  const { nodes, kind, role, from, to } = net;
  // node → air goes up from it; of a trap that holds water, from its outlet side
  const open = new Uint8Array(net.nodeCount);
  const isShut = (p: number) => ((water.fromClosure[p] | water.toClosure[p]) & CLOSURE.best) !== 0;
  for (let i = 0; i < net.nodeCount; i++) {
    const { vent, cleanout } = nodes[i];
    if (kind[i] === KIND.coil) open[i] = 1;
    else if (vent !== null) open[i] = !vent.capped && vent.opening !== "admittance-valve" ? 1 : 0;
    else if (cleanout !== null) open[i] = cleanout.capped ? 0 : 1;
  }
  for (const p of stubsFromTheTop(net)) if (!isShut(p) && open[to[p]]) open[from[p]] = 1;
  drainFromTheTop(net, (node, above) => {
    if (open[node] || !open[above] || isSealed(net, node)) return;
    for (let k = net.drainsOut.start[above]; k < net.drainsOut.start[above + 1]; k++)
      if (to[net.drainsOut.list[k]] === node && !isShut(net.drainsOut.list[k])) open[node] = 1;
  });
  const isPrivate = (p: number) => p >= 0 && role[p] === ROLE.drain && ways.coilsAbove[p] <= 1;
  const ventedBelow = new Uint8Array(net.nodeCount);
  for (const node of net.downstreamFirst) {
    const p = ways.next[node];
    if (isPrivate(p) && (open[node] || ventedBelow[to[p]])) ventedBelow[node] = 1;
  }
  return (p) =>
    role[p] === ROLE.drain ? open[from[p]] === 1 || (isPrivate(p) && ventedBelow[to[p]] === 1) : open[to[p]] === 1;
}
