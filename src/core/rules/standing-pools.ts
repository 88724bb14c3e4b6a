import type { Pool } from "../analysis/facts.js";
import { KIND, ROLE } from "../graph/compiled.js";
import { limitOf } from "../profiles/profile.js";
import { EPSILON } from "../quantity/interval.js";
import { indexed } from "./indexed.js";
import { movable } from "./re-level.js";
import type { Case, Family, RemedyStep, Settle } from "./rule.js";
import { boresLacking, fromLevel, heldFrom, nodeLevel, reMeasure, toLevel } from "./settle.js";

export type PoolClass = "none" | "shallow" | "deep" | "sealing";

/** What stands at a low point, at either end of the tolerance; null where an unknown bore decides. */
export interface LowPoint {
  readonly node: number;
  /** index into facts.water.pools, -1 where it is dry at best values */
  readonly index: number;
  readonly pool: Pool | null;
  readonly driest: PoolClass | null;
  readonly wettest: PoolClass | null;
  /** m */
  readonly depth: { readonly low: number; readonly best: number; readonly high: number };
  readonly nodes: readonly number[];
  readonly pipes: readonly number[];
}

const RANK: Readonly<Record<PoolClass, number>> = { none: 0, shallow: 1, deep: 2, sealing: 3 };
const rank = (pool: Pool): number => RANK[pool.class ?? "deep"];

const isSlopingDrain = (c: Case, pipe: number): boolean =>
  c.net.role[pipe] === ROLE.drain && c.facts.geometry.vertical[pipe] === 0;

/** Low points by node, pools by their lowest wet node: those that hold water and those that may within the tolerance. */
const lowPoints = indexed((c) => {
  const at = new Map<number, LowPoint>();
  c.facts.water.pools.forEach((pool, index) => {
    const known = at.get(pool.node)?.pool;
    if (known && rank(known) >= rank(pool)) return;
    at.set(pool.node, {
      node: pool.node,
      index,
      pool,
      driest: pool.classDriest,
      wettest: pool.classWettest,
      depth: { low: pool.maxDepthLow, best: pool.maxDepth, high: pool.maxDepthHigh },
      nodes: pool.nodes,
      pipes: pool.pipes,
    });
  });
  for (const { node, pipes, maxDepthHigh, classWettest } of c.facts.water.possiblePools) {
    if (at.has(node)) continue;
    const depth = { low: 0, best: 0, high: maxDepthHigh };
    at.set(node, { node, index: -1, pool: null, driest: "none", wettest: classWettest, depth, nodes: [node], pipes });
  }
  return at;
});

/** The low point whose lowest node this is, null where it is dry. */
export const lowPointAt = (c: Case, node: number): LowPoint | null => lowPoints(c).get(node) ?? null;

export const lowPointNodes = (c: Case): Iterable<number> => lowPoints(c).keys();

/**
 * Where water could stand: nodes that a sloping drain leaves. A pool is one subject, by its lowest node. Empty where no
 * drain slopes.
 */
export const placesForPools = (c: Case): Set<number> => {
  const places = new Set<number>();
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++) {
    const node = c.net.from[pipe];
    if (!isSlopingDrain(c, pipe)) continue;
    if (c.facts.water.poolOfNode[node] < 0) places.add(node);
  }
  let sloping = places.size > 0;
  for (let pipe = 0; !sloping && pipe < c.net.pipeCount; pipe++) sloping = isSlopingDrain(c, pipe);
  if (sloping) for (const node of lowPointNodes(c)) places.add(node);
  return places;
};

/** In bores up to this one a shallow pool is bounded in millimetres too. */
const SMALL_BORE = 0.025;

/** The wet pipe end that stands deepest above what counts as shallow in its bore; null where no bore is known. */
export const deepestEnd = (
  c: Case,
  { index, pipes }: LowPoint,
): { low: number; best: number; high: number; allowed: number } | null => {
  const { water, geometry } = c.facts;
  const share = limitOf(c.profile, "fall.poolShallow").value;
  const small = limitOf(c.profile, "fall.poolShallowSmallBore").value;
  let worst: { low: number; best: number; high: number; allowed: number } | null = null;
  for (const pipe of pipes) {
    const bore = geometry.bore[pipe];
    if (Number.isNaN(bore)) continue;
    const allowed = bore <= SMALL_BORE + EPSILON ? Math.min(share * bore, small) : share * bore;
    for (const end of [
      { at: 2 * pipe, low: water.fromDepthLow[pipe], best: water.fromDepth[pipe], high: water.fromDepthHigh[pipe] },
      { at: 2 * pipe + 1, low: water.toDepthLow[pipe], best: water.toDepth[pipe], high: water.toDepthHigh[pipe] },
    ]) {
      if (water.poolOfEnd[end.at] !== index || Number.isNaN(end.best)) continue;
      if (worst === null || end.best - allowed > worst.best - worst.allowed)
        worst = { low: end.low, best: end.best, high: end.high, allowed };
    }
  }
  return worst;
};

/** Why a low point cannot be classed: bores that are lacking first, else levels to measure again, to `margin` together. */
export const settleLowPoint = (
  c: Case,
  place: LowPoint,
  margin: number,
): { readonly family: Family; readonly settledBy: readonly Settle[] } => {
  const lacking =
    place.driest === null || place.wettest === null
      ? boresLacking(
          c,
          place.pipes.filter((pipe) => c.facts.water.fromDepthHigh[pipe] > 0 || c.facts.water.toDepthHigh[pipe] > 0),
        )
      : null;
  if (lacking !== null) return lacking;
  const way = c.facts.topology.next[place.node];
  const holder = place.pool?.weir ?? (way < 0 ? -1 : c.net.to[way]);
  const levels = [nodeLevel(c.net, place.node)];
  if (holder >= 0 && holder !== place.node) levels.push(nodeLevel(c.net, holder));
  const unsure = () => levels.some((level) => c.net.tolerance[level.node] > 0);
  if (!unsure()) levels.push(...heldFrom(c, place.node));
  if (!unsure()) for (const pipe of place.pipes) levels.push(fromLevel(c.net, pipe), toLevel(c.net, pipe));
  return { family: "tolerance", settledBy: reMeasure(c.net, levels, margin) };
};

/** Levels that a low point's finding rests on. */
export const lowPointFigures = (c: Case, place: LowPoint): string[] =>
  [place.node, place.pool?.weir ?? -1]
    .filter((node, i, all) => node >= 0 && all.indexOf(node) === i)
    .map((node) => nodeLevel(c.net, node).pointer);

/**
 * What lets a pool drain: every wet node up to its level, where all of them can be moved; else what holds the water down
 * to the lowest of them; an outlet under water up out of it.
 */
export const emptyPool = (c: Case, pool: Pool): RemedyStep[] => {
  const { net } = c;
  const wet = pool.nodes.filter((node) => pool.level - net.z[node] > EPSILON);
  if (!Number.isNaN(pool.raiseBy) && wet.length > 0 && wet.every((node) => movable(c, node)))
    return wet.map((node) => ({
      action: "raise-node",
      on: { node },
      amount: node === pool.node ? pool.raiseBy : pool.level - net.z[node],
      kind: "dimension",
    }));
  const { weir } = pool;
  if (weir < 0) return [];
  // The deepest end may have an invert of its own below its node's.
  const depth = Math.max(pool.level - net.z[pool.node], pool.maxDepth);
  if (net.kind[weir] === KIND.outlet) {
    const under = pool.level - net.z[weir];
    return under > EPSILON ? [{ action: "raise-node", on: { node: weir }, amount: under, kind: "dimension" }] : [];
  }
  return depth > EPSILON && !net.nodes[weir].fixed
    ? [{ action: "lower-node", on: { node: weir }, amount: depth, kind: "dimension" }]
    : [];
};
