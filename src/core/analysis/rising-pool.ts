import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { headOf } from "../physics/constants.js";
import { prismBelow } from "../physics/spill-level.js";
import { EPSILON } from "../quantity/interval.js";
import { breathing } from "./breathing.js";
import type { BackupFacts, CircuitFacts, HeldWater, SpillOpening, StandingWater, Topology } from "./facts.js";
import { type Geometry, waterBelow } from "./geometry.js";
import { joinsPool } from "./least-above.js";
import { coilsBefore, type PanSide, panSide } from "./pan-sides.js";
import type { Pool } from "./pool-reader.js";
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
  /** index in model.devices; -1 one that is only thought of */
  readonly device: number;
  readonly level: number;
  readonly stoppedLevel: number;
  readonly coil: number;
  /** as circuits have it */
  readonly stops: ArrayLike<number>;
  readonly stopsFan: boolean | null;
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
  /**
   * Most that the level can rise by when these fans stop over pans or pieces of unknown size: 0 where there are none, without
   * limit where the pool has not reached them.
   */
  readonly vagueSurge: (level: number, coils: readonly number[]) => number;
  readonly held: (level: number, stopped: Stopped) => HeldWater[];
  /** air can leave all of it, and all of it holds water for certain: both ways of counting are one */
  readonly isCertain: boolean;
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
  readonly lift: number[];
  /** level behind its trap from which on it is part of the pool, and at which the water there stands until then; −∞ */
  readonly gate: number[];
  readonly belowGate: number[];
  readonly airtight: (0 | 1)[];
  /** it holds nothing for certain, at most that much */
  readonly doubtful: (0 | 1)[];
  /** m³ that stood in it at the start */
  readonly base: number[];
}

const noVessels = (): Vessels => ({
  ...{ kind: [], pipe: [], node: [], area: [], rest: [], coil: [] },
  ...{ lift: [], gate: [], belowGate: [], airtight: [], doubtful: [], base: [] },
});

/**
 * Makes rising pools: what holds for every one of them is found once. `everyFan`: any fan above may stop, not only those that
 * the devices in the pool stop.
 */
export function risingPools(ground: StoryGround): (pool: Pool, firstSpill: number, everyFan: boolean) => RisingPool {
  const { net, shape, water, ways, circuits, backups } = ground;
  const { from, to, role, kind, model } = net;
  const { spill, tripLevel, pools } = backups;
  const breathes = breathing(net, water, ways);
  const lifts = Float64Array.from(net.coils, (node) => Math.max(0, -headOf(spill.suction[node])));
  const coilBefore = coilsBefore(net, ways);
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

  return (pool, firstSpill, everyFan) => {
    const end = pool.pipe >= 0 ? from[pool.pipe] : pool.at;
    const sideOfCoil = (c: number) => panSide(net, ways, c, lifts[c], end, standsAt);
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
        // A pan above the pool's highest level still floods where its fan lifts the water.
        const c = net.coilAt[other] >= 0 || !enters ? net.coilAt[other] : coilBefore[p];
        if (standsAt(other) - (c < 0 ? 0 : lifts[c]) <= bound) nodes.add(other);
      }
    };
    for (const node of pool.bare) if (isDrainable(node)) enter(node);
    for (const node of pool.feet) nodes.add(node);
    for (const node of nodes) if (!pool.bare.includes(node)) enter(node);

    const sides = new Map<number, PanSide>();
    for (const node of nodes) if (net.coilAt[node] >= 0) sides.set(net.coilAt[node], sideOfCoil(net.coilAt[node]));
    // Before its trap a fan lifts the water, be its pan ever so high.
    for (const p of pipesHeld)
      if (coilBefore[p] >= 0 && !sides.has(coilBefore[p])) sides.set(coilBefore[p], sideOfCoil(coilBefore[p]));
    const reached = [...sides.keys()];
    const devices: PoolDevice[] = [];
    const mayStop = new Set<number>();
    for (const node of nodes)
      for (const device of devicesAt.get(node) ?? []) {
        const level = tripLevel[device];
        const c = net.coilAt[node];
        const lift = c < 0 ? 0 : lifts[c];
        const { stops, stopsFan } = circuits.devices[device];
        devices.push({ device, level, stoppedLevel: level + lift, coil: c, stops, stopsFan });
        if (stopsFan === true) for (const other of stops) mayStop.add(other);
      }
    // Pans that the pool never reaches let go what their fans held up.
    for (const c of pools.feeding(pool.at)) {
      if (sides.has(c) || lifts[c] === 0 || !(everyFan || mayStop.has(c))) continue;
      const side = sideOfCoil(c);
      if (side.sealed && side.gate > -Infinity) sides.set(c, side);
    }

    const sideOf = new Map<number, number>();
    for (const [c, { pipes }] of sides) for (const p of pipes) sideOf.set(p, c);
    const vessels = noVessels();
    const add = (
      kind: HeldWater["kind"],
      on: { pipe: number; node: number },
      area: number,
      rest: number,
      coil = -1,
    ) => {
      const side = coil < 0 ? null : sides.get(coil)!;
      vessels.kind.push(kind);
      vessels.pipe.push(on.pipe);
      vessels.node.push(on.node);
      vessels.area.push(area);
      vessels.rest.push(rest);
      vessels.coil.push(coil);
      vessels.lift.push(side?.lift ?? 0);
      vessels.gate.push(side?.gate ?? -Infinity);
      vessels.belowGate.push(side?.sealed ? side.gate : -Infinity);
      vessels.airtight.push(kind === "pan" || coil >= 0 || on.pipe < 0 || breathes(on.pipe) ? 0 : 1);
      vessels.doubtful.push(kind === "sump" || kind === "receptor" ? 1 : 0);
    };
    const addPipe = (p: number) => {
      const rises = role[p] === ROLE.vent || role[p] === ROLE.access;
      const kindOf = rises ? "vent" : shape.vertical[p] ? "riser" : "pipe";
      add(kindOf, { pipe: p, node: -1 }, NaN, standsIn(p), sideOf.get(p));
    };
    for (const p of pipesHeld) addPipe(p);
    for (const p of sideOf.keys()) if (!pipesHeld.has(p)) addPipe(p);
    for (const c of sides.keys()) {
      const node = net.coils[c];
      add("pan", { pipe: -1, node }, net.nodes[node].coil!.pan.area ?? NaN, net.z[node], c);
    }
    const { pump, outlet } = net.nodes[pool.at];
    const isReceptor = pool.pipe < 0 && outlet !== null && pool.rim !== null;
    if (pool.pipe < 0 && pump !== null) {
      const floor = Math.max(net.z[pool.at], pump.sump?.startLevel ?? -Infinity);
      const area = (pump.sump?.volume ?? NaN) / ((pump.sump?.rim ?? NaN) - floor);
      add("sump", { pipe: -1, node: pool.at }, area, floor);
    } else if (isReceptor) add("receptor", { pipe: -1, node: pool.at }, NaN, standsAt(pool.at));
    const count = vessels.kind.length;

    /** level of the water in a vessel when the pool stands at `level` */
    const levelIn = (v: number, level: number, stopped: Stopped): number => {
      const lifted = vessels.lift[v] > 0 && !stopped.has(vessels.coil[v]) ? vessels.lift[v] : 0;
      const behind = level >= vessels.gate[v] ? level : vessels.belowGate[v];
      return Math.max(behind + lifted, vessels.rest[v]);
    };
    /** level from which a pipe is full, and what it then holds: most of a pool is, most of the time */
    const fullFrom = Float64Array.from(vessels.pipe, (p) =>
      p < 0 ? Infinity : Math.max(net.fromInvert[p], net.toInvert[p]) + shape.bore[p],
    );
    const fullOf = Float64Array.from(vessels.pipe, (p) => (p < 0 ? NaN : waterBelow(net, shape, p, Infinity)));
    const holdsAt = (v: number, level: number): number => {
      if (level >= fullFrom[v]) return fullOf[v];
      if (vessels.pipe[v] < 0) return prismBelow(vessels.area[v], vessels.rest[v], level);
      return waterBelow(net, shape, vessels.pipe[v], level);
    };
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
      return isReceptor && pool.rim!.level < at ? pool.rim!.level : at;
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
      vagueSurge: (level, coils) =>
        vague.reduce((most, v) => {
          if (!coils.includes(vessels.coil[v]) || levelIn(v, level, NONE) <= vessels.rest[v] + EPSILON) return most;
          return Math.max(most, level >= vessels.gate[v] ? vessels.lift[v] : Infinity);
        }, 0),
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
      isCertain: !vessels.airtight.includes(1) && !vessels.doubtful.includes(1),
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
