import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { spillLevel } from "../physics/spill-level.js";
import { EPSILON } from "../quantity/interval.js";
import { backupLines, containing } from "./backup-lines.js";
import {
  BACKUP_OUTCOME,
  type BackupFacts,
  type BackupLine,
  type BackupOutcome,
  type CircuitFacts,
  type LoadFacts,
  type StandingWater,
  type Topology,
  type WatchFact,
} from "./facts.js";
import type { Geometry } from "./geometry.js";
import { escapeLevels, joinsPool, leastAbove } from "./least-above.js";
import { mainWatches } from "./main-watch.js";
import { mainWayTree } from "./main-way-tree.js";
import { poolReader, toldLevel } from "./pool-reader.js";
import { type SpillLevels, spillLevels } from "./spill-levels.js";
import { hostOf, tripCover } from "./trip-cover.js";

const NONE = 255;
const CODE = Object.fromEntries(BACKUP_OUTCOME.map((name, i) => [name, i])) as Record<BackupOutcome, number>;

/**
 * What follows if one thing blocks. The first spill of every pipe is a running least over what drains into it, made in
 * one pass from the top down; which openings and devices are meant is looked up for one blockage at a time.
 */
export function backups(
  net: Compiled,
  { bore }: Pick<Geometry, "bore">,
  water: StandingWater,
  ways: Topology,
  load: LoadFacts,
  { devices: tripped }: CircuitFacts,
): BackupFacts {
  const { model, from, to, role, kind } = net;
  const m = net.pipeCount;
  const tree = mainWayTree(net, ways);
  const spill = spillLevels(net, water);
  const tripLevel = tripLevels(net, spill);
  const least = leastAbove(net, spill, tripLevel, tripped);
  const escapes = escapeLevels(net, spill);
  const near = Math.max(model.site.surveyTolerance, EPSILON);
  const pools = poolReader({ net, ways, load, tripped, tree, spill, tripLevel, least, near });

  const isJudged = (p: number) => role[p] === ROLE.drain && ways.coilsAbove[p] > 0 && !ways.intoCycle[from[p]];
  const firstSpill = new Float64Array(m).fill(NaN);
  for (let p = 0; p < m; p++) {
    // What stands above a pump is no part of a pool below it.
    if (!isJudged(p) || kind[from[p]] === KIND.pump) continue;
    const open = Math.min(least.open[from[p]], escapes?.carriesOff[p] ?? Infinity);
    firstSpill[p] = toldLevel(open, least.unknown[from[p]]);
  }
  const coverWith = (levels: Float64Array) =>
    tripCover({ net, tree, ways, load, tripped, tripLevel: levels, firstSpill, canRise: escapes !== null });
  const cover = coverWith(tripLevel);
  // What the devices of unknown level would stop at best; asked only where there are such devices.
  const isVague = tripped.some(({ works, stops }, d) => works && stops.length > 0 && Number.isNaN(tripLevel[d]));
  const coverAtBest = isVague ? coverWith(tripLevel.map((level) => (Number.isNaN(level) ? -Infinity : level))) : cover;

  const highestLift = model.devices.reduce((most, { tripLevel: own }, d) => {
    const lift = (own ?? NaN) - tripLevel[d];
    return Number.isNaN(lift) ? most : Math.max(most, lift);
  }, 0);
  const inflow = new Float64Array(m).fill(NaN);
  const inflowAfterTrips = new Float64Array(m).fill(NaN);
  const outcome = new Uint8Array(m).fill(NONE);
  for (let p = 0; p < m; p++) {
    if (!isJudged(p)) continue;
    const at = from[p];
    const level = firstSpill[p];
    inflow[p] = load.designFlow[p];
    if (tree.first[at] < 0) {
      // Round a pump's loop everything that enters feeds everything.
      const found = pools.ofPipe(p);
      inflowAfterTrips[p] = found.inflowAfterTrips;
      outcome[p] = CODE[found.outcome];
      continue;
    }
    outcome[p] = CODE.undetermined;
    if (Number.isNaN(level)) continue;
    inflowAfterTrips[p] = cover.inflow[p];
    const isStopped = cover.unstopped[p] === 0;
    const vents = least.vents[at];
    if (isStopped && (vents >= level + highestLift || pools.ofPipe(p).outcome === "contained"))
      outcome[p] = CODE.contained;
    else if (Math.min(least.spills[at], escapes?.untold[p] ?? Infinity) > level + near) outcome[p] = CODE.told;
    else if (Math.min(least.harms[at], escapes?.harms[p] ?? Infinity) > level + near) outcome[p] = CODE.harmless;
    else if (isStopped || coverAtBest.unstopped[p] > 0) outcome[p] = CODE.uncontained;
  }

  /** Does a blockage of `p` spill where one of `below`, the next drain down, does? */
  const spillsAlike = (p: number, below: number): boolean => {
    if (firstSpill[p] !== firstSpill[below]) return false;
    if (escapes !== null) {
      const sets = [p, below].map((each) =>
        pools
          .ofPipe(each)
          .openings.map(({ node }) => node)
          .join(),
      );
      return sets[0] === sets[1];
    }
    // Both hold what drains into the upper one; the lower must add nothing at the level of the spill.
    const bound = firstSpill[p] + near;
    const node = to[p];
    if (spill.own[node] <= bound || spill.second[node] <= bound) return false;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const other = net.ends.list[k] >> 1;
      if (other === p) continue;
      const enters = (net.ends.list[k] & 1) === 1;
      const joins = enters
        ? role[other] === ROLE.drain && joinsPool(net, other)
        : role[other] === ROLE.vent || role[other] === ROLE.access;
      if (joins && least.open[enters ? from[other] : to[other]] <= bound) return false;
    }
    return true;
  };
  const sameSpill = new Int32Array(m).fill(-1);
  for (const node of tree.order) {
    const p = tree.next[node];
    if (p < 0 || outcome[p] !== CODE.uncontained) continue;
    sameSpill[p] = p;
    const below = tree.next[to[p]];
    if (below < 0 || outcome[below] !== CODE.uncontained || cover.mark[below] !== cover.mark[p]) continue;
    if (kind[to[p]] !== KIND.pump && spillsAlike(p, below)) sameSpill[p] = sameSpill[below];
  }

  let commonPipes = 0;
  for (let p = 0; p < m; p++) if (outcome[p] !== NONE && ways.common[p]) commonPipes++;
  const watch = (device: number): WatchFact => {
    const { at, seat } = model.devices[device];
    const node = net.nodeRank[at];
    const host = hostOf(net, node);
    const level = tripLevel[device];
    const seen = { pipes: 0, common: 0 };
    const met = new Set(kind[host] === KIND.pump || !tripped[device].works ? [] : [host]);
    for (const each of met)
      for (let k = net.drainsOut.start[each]; k < net.drainsOut.start[each + 1]; k++) {
        const p = net.drainsOut.list[k];
        if (level <= firstSpill[p] + EPSILON) {
          seen.pipes++;
          seen.common += ways.common[p];
          // Further down the first spill is never higher, unless the pool has swallowed a way out.
        } else if (escapes === null && level > firstSpill[p]) continue;
        if (kind[to[p]] !== KIND.pump) met.add(to[p]);
      }
    const isUnknown = tripped[device].works && Number.isNaN(level);
    return {
      isMain: seat === "main" || (kind[node] !== KIND.coil && isOnCommon(net, ways, host)),
      sees: isUnknown ? NaN : seen.pipes,
      unseenCommonPipes: isUnknown ? NaN : commonPipes - seen.common,
    };
  };

  const isOutcome = (name: BackupOutcome) => (p: number) => outcome[p] === CODE[name];
  const ground = {
    ...{ net, ways, tree, tripLevel, least, pools, firstSpill, inflowAfterTrips, sameSpill, bore, highestLift },
    isJudged: (p: number) => outcome[p] !== NONE,
    isUncontained: isOutcome("uncontained"),
    isUndetermined: isOutcome("undetermined"),
  };
  let lines: readonly BackupLine[] | null = null;
  return {
    spillLevel: spill.own,
    tripLevel,
    firstSpill,
    outcome,
    inflow,
    inflowAfterTrips,
    fanCoilsFeeding: ways.coilsAbove,
    sameSpill,
    lines: () => {
      lines ??= backupLines(ground);
      return lines;
    },
    containing: (drains, isNew = false) => containing(ground, drains, isNew),
    mainWatches: () =>
      mainWatches({
        ...{ net, ways, tripped, tripLevel, firstSpill, watch },
        isHarmful: (p) => outcome[p] !== NONE && outcome[p] !== CODE.told && outcome[p] !== CODE.harmless,
        hidesSpill: (p) => pools.ofPipe(p).unknownSpills.length > 0,
      }),
    ofPipe: (p) => (outcome[p] === NONE ? null : { ...pools.ofPipe(p), inflowAfterTrips: inflowAfterTrips[p] }),
    ofNode: pools.ofNode,
    pools,
    spill,
    watch,
  };
}

/** Pool level at which each device trips: at a running pan the suction lifts its water; in an auxiliary pan once the rim spills. */
function tripLevels(net: Compiled, spill: SpillLevels): Float64Array {
  return Float64Array.from(net.model.devices, ({ at, seat, tripLevel }) => {
    const node = net.nodeRank[at];
    if (net.kind[node] === KIND.coil && seat === "auxiliary-pan") return spill.own[node];
    return spillLevel(tripLevel ?? NaN, spill.suction[node]);
  });
}

/** Does a drain that is common to several coils enter or leave a node? */
function isOnCommon(net: Compiled, ways: Topology, node: number): boolean {
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++)
    if (ways.common[net.ends.list[k] >> 1]) return true;
  return false;
}
