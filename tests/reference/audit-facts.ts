/**
 * A slow, plain reference of the analyses: from a network document with bare SI figures to the `facts` of an answer.
 * Maps, sets and repeated passes; nothing is shared with the product but the meaning of the words. Quadratic and worse.
 */
import * as plain from "./arithmetic.js";
import { backupsOf } from "./backups.js";
import { readCircuits } from "./circuits.js";
import { naturalOrder } from "./natural-order.js";
import { METRIC_PLASTICS, type PlainDocument, type ReadNode, type ReadPipe, readPlain } from "./plain-network.js";
import { boreOf, boresOf, cleanManning, profileOf } from "./tables.js";

const EPSILON = 1e-6;
type Maybe = number | null;
export type ReferenceFacts = Record<string, unknown>;

const byId = (a: { id: string }, b: { id: string }): number => naturalOrder(a.id, b.id);
const sorted = (ids: Iterable<string>): string[] => [...ids].sort(naturalOrder);
const above = (a: number, b: number): boolean => a > b + EPSILON;
/** a > b beyond 1e-9 relative: for figures that are no levels */
const exceeds = (a: number, b: number): boolean => a > b && a > b + Math.abs(b) * 1e-9;
const head = (pascal: number): number => pascal / (plain.DENSITY * plain.GRAVITY);
const sum = (values: Iterable<number>): number => {
  let total = 0;
  for (const value of values) total += value;
  return total;
};
const sumOrNull = (values: Maybe[]): Maybe => (values.some((v) => v === null) ? null : sum(values as number[]));
const get = <K, V>(map: ReadonlyMap<K, V>, key: K): V => {
  if (!map.has(key)) throw new Error(`reference: nothing under ${String(key)}`);
  return map.get(key) as V;
};

type End = "from" | "to";
const ENDS: readonly End[] = ["from", "to"];

export const referenceFacts = (document: PlainDocument): ReferenceFacts => {
  const network = readPlain(document);
  const { nodes, pipes } = network;
  const profile = profileOf(network.profileBase, network.overrides);
  const node = network.node;
  const pipe = new Map(pipes.map((p) => [p.id, p]));
  const coils = nodes.filter((n) => n.kind === "fan-coil");
  const isBoundary = (id: string): boolean => ["outlet", "pump"].includes(get(node, id).kind);
  const grouped = (end: "from" | "to"): Map<string, ReadPipe[]> => {
    const groups = new Map<string, ReadPipe[]>(nodes.map((n) => [n.id, []]));
    for (const p of pipes) get(groups, p[end]).push(p);
    return groups;
  };
  const byFrom = grouped("from");
  const byTo = grouped("to");
  const leaving = (id: string, ...roles: string[]): ReadPipe[] => get(byFrom, id).filter((p) => roles.includes(p.role));
  const entering = (id: string, ...roles: string[]): ReadPipe[] => get(byTo, id).filter((p) => roles.includes(p.role));

  // ---------------------------------------------------------------------------------------------- geometry (A2)
  const hydraulic = (p: ReadPipe): boolean => p.role !== "pressure";
  const fallOf = (p: ReadPipe): number => p.fromInvert - p.toInvert;
  // a length that rounding alone parts from the fall is plumb
  const runOf = (p: ReadPipe): number =>
    p.length - Math.abs(fallOf(p)) <= 1e-12 ? 0 : Math.sqrt(p.length ** 2 - fallOf(p) ** 2);
  const isVertical = (p: ReadPipe): boolean => Math.abs(fallOf(p)) >= runOf(p) - EPSILON;
  const gradeOf = (p: ReadPipe): Maybe => (runOf(p) < EPSILON ? null : fallOf(p) / runOf(p));
  const rises = (p: ReadPipe): boolean => fallOf(p) < -EPSILON;
  const bore = (p: ReadPipe): Maybe => boreOf(p.material, p.size, p.insideDiameter);

  // ------------------------------------------------------------------------------------- standing water (A3)
  /** the pipes that drain a node where standing water is concerned */
  const waterWays = (id: string): ReadPipe[] => {
    if (isBoundary(id)) return [];
    const drains = leaving(id, "drain");
    if (drains.length > 0 || get(node, id).kind === "fan-coil") return drains;
    return leaving(id, "pressure").length > 0 ? [] : leaving(id, "secondary", "auxiliary");
  };
  const reach = (start: string, step: (id: string) => string[]): Set<string> => {
    const seen = new Set<string>();
    const todo = step(start);
    while (todo.length > 0) {
      const id = todo.pop()!;
      if (seen.has(id)) continue;
      seen.add(id);
      todo.push(...step(id));
    }
    return seen;
  };
  const drainReach = new Map(
    nodes.map((n) => [n.id, reach(n.id, (id) => leaving(id, "drain").map((p) => p.to))] as const),
  );
  const onCycle = (id: string): boolean => get(drainReach, id).has(id);
  const cycles: string[][] = [];
  for (const n of nodes) {
    if (!onCycle(n.id) || cycles.some((group) => group.includes(n.id))) continue;
    cycles.push(
      sorted(
        nodes
          .map((m) => m.id)
          .filter((m) => m === n.id || (get(drainReach, n.id).has(m) && get(drainReach, m).has(n.id))),
      ),
    );
  }
  // W by repeated passes; undefined = not settled yet
  const level = new Map<string, Maybe>();
  for (const n of nodes) if (onCycle(n.id)) level.set(n.id, null);
  for (const n of nodes) {
    if (n.kind === "outlet") level.set(n.id, Math.max(n.z, n.source.waterLevel ?? n.z));
    if (n.kind === "pump") level.set(n.id, Math.max(n.z, n.source.sump?.startLevel ?? n.z));
  }
  const weirOf = (p: ReadPipe): Maybe => {
    const below = level.get(p.to);
    return below === undefined || below === null ? null : Math.max(p.fromInvert, p.toInvert, below);
  };
  const isVentRun = (id: string): boolean =>
    waterWays(id).length === 0 &&
    entering(id, "vent", "access").length > 0 &&
    [...get(byFrom, id), ...get(byTo, id)].every((p) => p.role === "vent" || p.role === "access");
  for (let settled = true; settled; ) {
    settled = false;
    for (const n of nodes) {
      if (level.has(n.id) || isVentRun(n.id)) continue;
      const ways = waterWays(n.id);
      if (ways.some((p) => !level.has(p.to))) continue;
      const weirs = ways.map(weirOf).filter((w) => w !== null);
      if (ways.length === 0) level.set(n.id, n.z);
      else level.set(n.id, weirs.length === 0 ? null : Math.max(n.z, Math.min(...weirs)));
      settled = true;
    }
  }
  // a node fed only by secondary loops and the like never settles: nothing is known there
  for (const n of nodes) if (!level.has(n.id) && !isVentRun(n.id)) level.set(n.id, null);
  const fillVentRun = (): void => {
    const best = new Map<string, number>();
    const climb = (id: string, water: number, seen: ReadonlySet<string>): void => {
      for (const p of leaving(id, "vent", "access")) {
        if (seen.has(p.to) || !isVentRun(p.to)) continue;
        if (!above(water, Math.max(p.fromInvert, p.toInvert, get(node, p.to).z))) continue;
        best.set(p.to, Math.max(best.get(p.to) ?? Number.NEGATIVE_INFINITY, water));
        climb(p.to, water, new Set([...seen, p.to]));
      }
    };
    for (const n of nodes) {
      const water = level.get(n.id);
      if (water !== undefined && water !== null) climb(n.id, water, new Set([n.id]));
    }
    const dark = new Set<string>();
    for (const n of nodes) {
      if (level.get(n.id) !== null) continue;
      // a vent that joins a drain again takes its level from that drain
      const upward = (at: string): string[] => leaving(at, "vent", "access").map((p) => p.to);
      for (const id of reach(n.id, (at) => upward(at).filter(isVentRun))) if (isVentRun(id)) dark.add(id);
    }
    for (const n of nodes) {
      if (level.has(n.id)) continue;
      level.set(n.id, best.get(n.id) ?? (dark.has(n.id) ? null : n.z));
    }
  };
  fillVentRun();
  const W = (id: string): Maybe => get(level, id);
  const depthAtNode = (n: ReadNode): Maybe => {
    const w = W(n.id);
    return w === null ? null : above(w, n.z) ? w - n.z : 0;
  };

  const endLevel = (p: ReadPipe, end: End): Maybe => {
    if (!hydraulic(p)) return null;
    const from = W(p.from);
    const to = W(p.to);
    if (p.role === "vent" || p.role === "access") return from;
    if (end === "to") return to;
    if (from === null || to === null) return null;
    return Math.min(from, rises(p) ? Math.max(to, p.toInvert) : to);
  };
  const invertAt = (p: ReadPipe, end: End): number => (end === "from" ? p.fromInvert : p.toInvert);
  const depthAt = (p: ReadPipe, end: End): Maybe => {
    const water = endLevel(p, end);
    if (water === null) return null;
    return above(water, invertAt(p, end)) ? water - invertAt(p, end) : 0;
  };
  const isWet = (p: ReadPipe, end: End): boolean => (depthAt(p, end) ?? 0) > 0;

  // --------------------------------------------------------------------------------------------- crowns (A4)
  const slopingCrown = (p: ReadPipe, end: End): Maybe => {
    const d = bore(p);
    return d === null ? null : invertAt(p, end) + (d * runOf(p)) / p.length;
  };
  const crownAt = (p: ReadPipe, end: End): Maybe => {
    if (!hydraulic(p)) return null;
    if (!isVertical(p)) return slopingCrown(p, end);
    const at = end === "from" ? p.from : p.to;
    const slopingEnds = (wanted: (q: ReadPipe) => boolean): Maybe[] =>
      [...new Set([...get(byFrom, at), ...get(byTo, at)])]
        .filter((q) => hydraulic(q) && !isVertical(q) && wanted(q))
        .flatMap((q) => ENDS.filter((e) => q[e] === at).map((e) => slopingCrown(q, e)));
    for (const crowns of [slopingEnds((q) => q.role === "drain"), slopingEnds((q) => q.role !== "drain")]) {
      if (crowns.length === 0) continue;
      return crowns.some((c) => c === null) ? null : Math.max(...(crowns as number[]));
    }
    return invertAt(p, end);
  };
  /** null: wet, and nobody knows its crown */
  const isClosed = (p: ReadPipe, end: End): boolean | null => {
    if (!isWet(p, end)) return false;
    const crown = crownAt(p, end);
    return crown === null ? null : endLevel(p, end)! >= crown - EPSILON;
  };
  const isSealed = (p: ReadPipe): boolean | null => {
    if (!hydraulic(p)) return null;
    const ends = ENDS.map((e) => (endLevel(p, e) === null ? null : isClosed(p, e)));
    if (ends.includes(true)) return true;
    return ends.includes(null) ? null : false;
  };

  // -------------------------------------------------------------------------------------------- the main way (A1)
  const mainWay = (id: string): ReadPipe | null => {
    if (get(node, id).kind === "outlet") return null;
    const drains = leaving(id, "drain");
    if (drains.length === 0) return leaving(id, "pressure")[0] ?? null;
    const weirs = drains.map(weirOf).filter((w) => w !== null);
    if (weirs.length === 0) return drains[0];
    const least = Math.min(...weirs);
    return drains.find((p) => weirOf(p) !== null && !above(weirOf(p)!, least))!;
  };
  const waterWay = (id: string): ReadPipe | null => {
    if (leaving(id, "drain").length > 0 || isBoundary(id)) return mainWay(id);
    const ways = waterWays(id).filter((p) => weirOf(p) !== null);
    const least = Math.min(...ways.map((p) => weirOf(p)!));
    return ways.find((p) => !above(weirOf(p)!, least)) ?? null;
  };
  /** pipes along the main way to the end, or to the first node met twice */
  const walk = (start: string): ReadPipe[] => {
    const path: ReadPipe[] = [];
    const met = new Set([start]);
    for (let way = mainWay(start); way !== null; way = mainWay(path[path.length - 1].to)) {
      path.push(way);
      if (met.has(way.to)) break;
      met.add(way.to);
    }
    return path;
  };
  /** on a cycle of drains, or draining only into one */
  const intoCycle = (id: string): boolean => {
    if (onCycle(id)) return true;
    if (isBoundary(id)) return false;
    const ways = leaving(id, "drain");
    return ways.length > 0 && ways.every((p) => intoCycle(p.to));
  };
  const outletOf = (id: string): string | null => {
    if (get(node, id).kind === "outlet") return id;
    const path = walk(id);
    if (intoCycle(id) || path.some((p) => intoCycle(p.to))) return null;
    const end = path.at(-1)?.to;
    return end !== undefined && get(node, end).kind === "outlet" ? end : null;
  };
  const paths = new Map(coils.map((c) => [c.id, walk(c.id)] as const));
  const pathOf = (c: ReadNode): ReadPipe[] => get(paths, c.id);
  const coilsThrough = new Map(pipes.map((p) => [p.id, coils.filter((c) => pathOf(c).includes(p))] as const));
  const isCommon = (p: ReadPipe): boolean => get(coilsThrough, p.id).length >= 2;
  /** pipes of the path before the boundary, and whether one is reached */
  const toBoundary = (c: ReadNode): { part: ReadPipe[]; reached: boolean } => {
    const path = pathOf(c);
    const last = path.findIndex((p) => isBoundary(p.to));
    return last < 0 ? { part: path, reached: false } : { part: path.slice(0, last + 1), reached: !intoCycle(c.id) };
  };
  const pathNodes = (path: ReadPipe[]): string[] => (path.length === 0 ? [] : [path[0].from, ...path.map((p) => p.to)]);
  const isTrap = (id: string): boolean => get(node, id).kind === "trap";
  const trapsOn = (path: ReadPipe[]): string[] =>
    pathNodes(path).filter((id, i, all) => isTrap(id) && all.indexOf(id) === i);

  const touched = new Set(pipes.flatMap((p) => [p.from, p.to]));
  const upstream = new Map(
    nodes.map((n) => [
      n.id,
      new Set([n.id, ...reach(n.id, (id) => entering(id, "drain", "pressure").map((p) => p.from))]),
    ]),
  );
  const feeds = (id: string): boolean => {
    const n = get(node, id);
    return (
      ["fan-coil", "cleanout", "vent", "pump"].includes(n.kind) ||
      n.source.future === true ||
      leaving(id, "vent", "access").length > 0
    );
  };
  const deadLegs = pipes.filter((p) => p.role === "drain" && ![...get(upstream, p.from)].some(feeds));
  const topology = {
    cycles,
    splits: nodes.filter((n) => leaving(n.id, "drain").length > 1).map((n) => n.id),
    deadLegs: deadLegs.map((p) => p.id),
    orphans: nodes.filter((n) => !touched.has(n.id)).map((n) => n.id),
  };

  // -------------------------------------------------------------------------------------------------- runs (A2)
  const byDiameter = (p: ReadPipe): boolean => METRIC_PLASTICS.has(p.material ?? "");
  /** nominal sizes as such; across systems the bores, within a tenth */
  const ofOneSize = (a: ReadPipe, b: ReadPipe): boolean => {
    if (a.size !== null && b.size !== null && byDiameter(a) === byDiameter(b)) return a.size === b.size;
    const bores = [bore(a), bore(b)];
    if (bores[0] === null || bores[1] === null) return bores[0] === bores[1];
    return !exceeds(Math.max(bores[0], bores[1]), 1.1 * Math.min(bores[0], bores[1]));
  };
  const tolerance = (id: string): number => get(node, id).tolerance;
  const slopingDrains = pipes.filter((p) => p.role === "drain" && !isVertical(p));
  const joins = (a: ReadPipe, b: ReadPipe): boolean => {
    if (a.to !== b.from || a === b) return false;
    if (["fan-coil", "trap", "bend", "reducer", "outlet", "pump"].includes(get(node, a.to).kind)) return false;
    if (entering(a.to, "drain").length !== 1 || leaving(a.to, "drain").length !== 1) return false;
    return ofOneSize(a, b) && Math.abs(a.toInvert - b.fromInvert) <= EPSILON;
  };
  const runs: Record<string, unknown>[] = [];
  for (const last of slopingDrains) {
    if (slopingDrains.some((q) => joins(last, q))) continue;
    const chain = [last];
    for (let before = slopingDrains.find((q) => joins(q, last)); before !== undefined && !chain.includes(before); ) {
      chain.unshift(before);
      const first = before;
      before = slopingDrains.find((q) => joins(q, first));
    }
    const fall = sum(chain.map(fallOf));
    const length = sum(chain.map(runOf));
    const half = tolerance(chain[0].from) + tolerance(last.to);
    runs.push({
      id: last.id,
      pipes: sorted(chain.map((p) => p.id)),
      length,
      fall,
      grade: fall / length,
      gradeLow: (fall - half) / length,
      gradeHigh: (fall + half) / length,
    });
  }

  // -------------------------------------------------------------------------------------------------- pools (A3)
  interface Wet {
    kind: "node" | "end";
    id: string;
    end: End;
    level: number;
    depth: number;
  }
  const wet: Wet[] = [];
  for (const n of nodes)
    if ((depthAtNode(n) ?? 0) > 0)
      wet.push({ kind: "node", id: n.id, end: "from", level: W(n.id)!, depth: depthAtNode(n)! });
  for (const p of pipes)
    for (const end of ENDS)
      if (isWet(p, end)) wet.push({ kind: "end", id: p.id, end, level: endLevel(p, end)!, depth: depthAt(p, end)! });
  const touches = (a: Wet, b: Wet): boolean => {
    if (Math.abs(a.level - b.level) > EPSILON) return false;
    if (a.kind === "end" && b.kind === "end") return a.id === b.id;
    if (a.kind === "node" && b.kind === "node") return false;
    const [n, e] = a.kind === "node" ? [a, b] : [b, a];
    return get(pipe, e.id)[e.end] === n.id;
  };
  interface Pool {
    id: string;
    wet: Wet[];
    level: number;
    nodes: string[];
    pipes: ReadPipe[];
    closed: Wet[];
    sealDepth: Maybe;
    facts: Record<string, unknown>;
  }
  const pools: Pool[] = [];
  const left = new Set(wet);
  while (left.size > 0) {
    const group: Wet[] = [];
    const todo = [left.values().next().value as Wet];
    left.delete(todo[0]);
    while (todo.length > 0) {
      const item = todo.pop()!;
      group.push(item);
      for (const other of [...left])
        if (touches(item, other)) {
          left.delete(other);
          todo.push(other);
        }
    }
    const ends = group.filter((w) => w.kind === "end");
    const closed = ends.filter((w) => isClosed(get(pipe, w.id), w.end) === true);
    const maxDepth = Math.max(...group.map((w) => w.depth));
    if (!above(maxDepth, 0.003) && closed.length === 0) continue;
    const wetNodes = group.filter((w) => w.kind === "node").map((w) => w.id);
    const poolNodes = sorted(new Set(wetNodes.length > 0 ? wetNodes : ends.map((w) => get(pipe, w.id)[w.end])));
    const bottom = Math.min(...poolNodes.map((id) => get(node, id).z));
    const lowest = poolNodes.find((id) => !above(get(node, id).z, bottom))!;
    const water = wetNodes.length > 0 ? W(lowest)! : Math.max(...ends.map((w) => w.level));
    const poolPipes = pipes.filter((p) => ends.some((w) => w.id === p.id));

    // the holding node
    let weir: string | null = lowest;
    for (const met = new Set<string>(); weir !== null; ) {
      const n: ReadNode = get(node, weir);
      if ((depthAtNode(n) ?? 0) === 0 || isBoundary(weir)) break;
      const way: ReadPipe | null = waterWay(weir);
      if (way === null || met.has(way.to)) {
        weir = null;
        break;
      }
      const beyond = W(way.to);
      if (beyond === null || above(water, beyond)) break;
      met.add(weir);
      weir = way.to;
    }
    const holding = weir === null ? null : get(node, weir);
    let cause = "reverse-grade";
    if (holding !== null && isBoundary(holding.id) && (depthAtNode(holding) ?? 0) > 0) cause = "submerged-outlet";
    else if (holding?.kind === "trap" && poolNodes.some((id) => get(node, id).kind === "fan-coil")) cause = "high-weir";
    else if (entering(lowest, "drain").some((p) => above(fallOf(p), 0))) cause = "low-point";

    const bores = poolPipes.map(bore);
    const unknownWetEnd = ends.some((w) => bore(get(pipe, w.id)) === null);
    const shallow = ends.every((w) => {
      const d = bore(get(pipe, w.id));
      return d !== null && !above(w.depth, d / 4) && (d > 0.025 + EPSILON || !above(w.depth, 0.006));
    });
    const unknownCrown = ends.some((w) => crownAt(get(pipe, w.id), w.end) === null);
    const crownOf = (w: Wet): number => crownAt(get(pipe, w.id), w.end)!;
    let grade: string | null = shallow ? "shallow" : "deep";
    if (closed.length > 0) grade = "sealing";
    else if (unknownWetEnd || unknownCrown) grade = null;
    const sealDepth = closed.length > 0 ? water - Math.min(...closed.map(crownOf)) : null;
    pools.push({
      id: lowest,
      wet: group,
      level: water,
      nodes: poolNodes,
      pipes: poolPipes,
      closed,
      sealDepth,
      facts: {
        id: lowest,
        cause,
        level: water,
        maxDepth,
        volume: bores.includes(null) ? null : sum(poolPipes.map((p) => waterIn(p, water))),
        weir,
        nodes: poolNodes,
        pipes: poolPipes.map((p) => p.id),
        class: grade,
        sealDepth,
        airGap:
          closed.length > 0 || unknownCrown || ends.length === 0
            ? null
            : Math.min(...ends.map((w) => crownOf(w) - w.level)),
        raiseBy: cause === "low-point" || cause === "reverse-grade" ? Math.max(0, water - get(node, lowest).z) : null,
      },
    });
  }
  pools.sort((a, b) => byId(a, b) || a.level - b.level);
  function waterIn(p: ReadPipe, water: number): number {
    return plain.waterInPipe(bore(p)!, p.length, Math.abs(fallOf(p)), Math.min(p.fromInvert, p.toInvert), water);
  }

  // ---------------------------------------------------------------------------------- loads and capacity (A7, A8)
  const pressureOfSite = document.site?.pressure ?? 101325;
  const rateOf = (c: ReadNode): { rate: Maybe; basis: string | null } => {
    const s = c.source;
    if (s.condensateRate !== undefined) return { rate: s.condensateRate / 1000 / 3600, basis: "stated" };
    if (s.airflow !== undefined && s.enteringAir !== undefined && s.leavingAir !== undefined) {
      const dry = s.airflow / 3600 / plain.specificVolume(s.enteringAir, pressureOfSite);
      const removed =
        plain.humidityRatio(s.enteringAir, pressureOfSite) - plain.humidityRatio(s.leavingAir, pressureOfSite);
      return { rate: (dry * Math.max(0, removed)) / plain.DENSITY, basis: "air-states" };
    }
    if (s.coolingCapacity === undefined) return { rate: null, basis: null };
    const watts = s.coolingCapacity * 1000;
    if (s.sensibleHeatRatio !== undefined)
      return { rate: (watts * (1 - s.sensibleHeatRatio)) / plain.LATENT_HEAT / plain.DENSITY, basis: "capacity" };
    return { rate: watts * profile.ratePerCapacity, basis: "rule-of-thumb" };
  };
  const wattsOf = (c: ReadNode): Maybe =>
    c.source.coolingCapacity === undefined ? null : c.source.coolingCapacity * 1000;
  const carries = (p: ReadPipe): boolean => p.role === "drain" || p.role === "pressure";
  const flowOf = (p: ReadPipe): Maybe =>
    !carries(p) || intoCycle(p.from) ? null : sumOrNull(get(coilsThrough, p.id).map((c) => rateOf(c).rate));
  const tonsOf = (p: ReadPipe): Maybe =>
    !carries(p) || intoCycle(p.from) ? null : sumOrNull(get(coilsThrough, p.id).map(wattsOf));
  const manningOf = (material: string | null): number => Math.max(profile.manning, cleanManning(material));
  const capacityWith = (p: ReadPipe, d: number): number => {
    if (isVertical(p)) return plain.annularCapacity(profile.riserFraction, d);
    return plain.manningFlow(profile.maximumFill * d, d, fallOf(p) / runOf(p), manningOf(p.material));
  };
  const falling = (p: ReadPipe): boolean => above(fallOf(p), 0);
  const capacityOf = (p: ReadPipe): Maybe => {
    if (p.role !== "drain") return null;
    if (!falling(p)) return 0;
    const d = bore(p);
    return d === null ? null : capacityWith(p, d);
  };
  const flowing = (p: ReadPipe): plain.Flowing | null => {
    const d = bore(p);
    const flow = flowOf(p);
    if (p.role !== "drain" || !falling(p) || d === null || flow === null) return null;
    return isVertical(p)
      ? plain.annularFlow(flow, d)
      : plain.slopingFlow(flow, d, fallOf(p) / runOf(p), manningOf(p.material));
  };
  const printSize = (size: Maybe): string | null => {
    if (size === null) return null;
    return profile.sizeSystem === "dn" ? `DN ${size}` : `${NPS.get(size)} in`;
  };
  /** sizes of metric plastics are outside diameters, no nominal sizes */
  const printOwnSize = (p: ReadPipe, size: Maybe): string | null =>
    size !== null && METRIC_PLASTICS.has(p.material ?? "") ? `${size} mm` : printSize(size);
  const codeSizeOf = (p: ReadPipe): Maybe => {
    const watts = tonsOf(p);
    if (p.role !== "drain" || profile.codeRows === null || watts === null || get(coilsThrough, p.id).length === 0)
      return null;
    return profile.codeRows.find((row) => !exceeds(watts, row.upTo))?.size ?? null;
  };
  const hydraulicSizeOf = (p: ReadPipe): Maybe => {
    const flow = flowOf(p);
    if (p.role !== "drain" || flow === null || !falling(p)) return null;
    return boresOf(p.material).find(([, d]) => !exceeds(flow, capacityWith(p, d)))?.[0] ?? null;
  };

  // ------------------------------------------------------------------------------------------------- trap statics (A6)
  const staticOf = (c: ReadNode): Maybe => c.source.panStatic ?? null;
  const isUnderSuction = (p: number): boolean => exceeds(-p, 5);
  const isUnderFanPressure = (p: number): boolean => exceeds(p, 5);
  const trapIsSealed = (n: ReadNode): boolean => {
    const s = n.source;
    if ((s.sealType ?? "water") !== "water") return true;
    return s.primed !== false && s.sealDepth !== 0;
  };
  const millimetres = (value: number | undefined): Maybe => (value === undefined ? null : value / 1000);
  const opensAtHead = (n: ReadNode): Maybe => (n.source.opensAt === undefined ? null : head(n.source.opensAt));
  const firstTrap = (c: ReadNode): ReadNode | null => {
    const id = trapsOn(toBoundary(c).part)[0];
    return id === undefined ? null : get(node, id);
  };
  /** stated, else the bore of the pipe that leads the governing coil in, else of the first that enters */
  const legBore = (n: ReadNode, leg: "inlet" | "outlet", governing: ReadNode | null): Maybe => {
    const stated = leg === "inlet" ? n.source.inletLegSize : n.source.outletLegSize;
    if (stated !== undefined) return stated / 1000;
    const p =
      leg === "inlet"
        ? ((governing && pathOf(governing).find((q) => q.to === n.id)) ?? entering(n.id, "drain")[0])
        : (mainWay(n.id) ?? undefined);
    return p === undefined ? null : bore(p);
  };
  const neededDrop = (c: ReadNode): Maybe => {
    const p = staticOf(c);
    if (p === null) return null;
    const trap = firstTrap(c);
    const floor = millimetres(c.source.trapRequirement?.drop) ?? 0;
    if (!isUnderSuction(p) && !isUnderFanPressure(p)) return Math.max(0, floor);
    const suction = isUnderSuction(p) ? head(-p) : 0;
    if (trap !== null && (trap.source.sealType ?? "water") !== "water") {
      const opens = opensAtHead(trap);
      return opens === null ? null : Math.max(suction + opens, floor);
    }
    return Math.max(suction > 0 ? suction + profile.drawThroughMargin : profile.blowThroughMargin, floor);
  };

  const sealOfTrap = (n: ReadNode): { id: string } & Record<string, unknown> => {
    const s = n.source;
    const isWater = (s.sealType ?? "water") === "water";
    const own = coils.filter((c) => firstTrap(c) === n);
    const statics = own.map(staticOf);
    const known = own.length > 0 && !statics.includes(null);
    const governing = known
      ? own.reduce((best, c) => (exceeds(Math.abs(staticOf(c)!), Math.abs(staticOf(best)!)) ? c : best))
      : null;
    const p = governing === null ? null : staticOf(governing)!;
    // a single coil's height is known whatever its static
    const measured = governing ?? (own.length === 1 ? own[0] : null);
    const drop = measured === null ? null : measured.z - n.z;
    const h = p === null ? null : head(Math.abs(p));
    const suction = p !== null && isUnderSuction(p);
    const fan = p !== null && isUnderFanPressure(p);
    const seal = isWater ? millimetres(s.sealDepth) : null;
    const inlet = legBore(n, "inlet", governing);
    const outlet = legBore(n, "outlet", governing);
    const area = (d: number): number => (Math.PI * d * d) / 4;
    const share = inlet === null || outlet === null ? null : area(inlet) / (area(inlet) + area(outlet));
    const opens = opensAtHead(n);
    const requirement = governing?.source.trapRequirement;
    let dropNeeded: Maybe = null;
    let sealNeeded: Maybe = null;
    let startMargin: Maybe = null;
    if (isWater && suction) {
      dropNeeded = Math.max(h! + profile.drawThroughMargin, millimetres(requirement?.drop) ?? 0);
      sealNeeded = Math.max((h! + profile.drawThroughMargin) / 2, millimetres(requirement?.sealDepth) ?? 0);
      startMargin = seal === null || share === null ? null : seal - h! * share;
    } else if (isWater && fan) {
      dropNeeded = Math.max(profile.blowThroughMargin, millimetres(requirement?.drop) ?? 0);
      sealNeeded = Math.max(h! + profile.blowThroughMargin, millimetres(requirement?.sealDepth) ?? 0);
      startMargin = seal === null ? null : seal - h!;
    } else if (!isWater && (suction || fan)) {
      dropNeeded = opens === null ? null : Math.max((suction ? h! : 0) + opens, millimetres(requirement?.drop) ?? 0);
    }
    // a device needs its opening head besides
    const opening = isWater ? 0 : opens;
    const standing = opening === null || drop === null || h === null ? null : Math.max(0, h + opening - drop);
    return {
      id: n.id,
      kind: "trap",
      fanCoils: own.map((c) => c.id),
      sealDepth: seal,
      weirElevation: n.z,
      drop,
      staticPressure: p,
      head: h,
      panStanding: p === null ? null : suction ? standing : 0,
      dropMargin: suction ? drop! - h! : null,
      sealMarginStart: startMargin,
      dropNeeded,
      sealNeeded,
      drainsUpTo: suction ? plain.DENSITY * plain.GRAVITY * drop! : null,
      holdsAtStart:
        suction && seal !== null && inlet !== null && outlet !== null
          ? plain.DENSITY * plain.GRAVITY * seal * (1 + area(outlet) / area(inlet))
          : null,
      blowsOutAt: fan && seal !== null ? plain.DENSITY * plain.GRAVITY * seal : null,
      primingVolume:
        seal === null || inlet === null || outlet === null
          ? null
          : area(inlet) * (seal + inlet) + area(outlet) * (seal + outlet),
      daysToOpen: seal === null ? null : { low: seal / 0.004, best: seal / 0.001, high: seal / 0.0003 },
    };
  };
  const crosses = (path: ReadPipe[], pool: Pool): boolean => pool.closed.some((w) => path.some((p) => p.id === w.id));
  const sealingPools = pools.filter((pool) => pool.closed.length > 0);
  const seals: ({ id: string } & Record<string, unknown>)[] = [
    ...nodes.filter((n) => n.kind === "trap").map(sealOfTrap),
    ...sealingPools.map((pool) => ({
      id: `pool:${pool.id}`,
      kind: "unintended",
      fanCoils: coils.filter((c) => crosses(toBoundary(c).part, pool)).map((c) => c.id),
      sealDepth: pool.sealDepth,
      weirElevation: pool.level,
      drop: null,
      staticPressure: null,
      head: null,
      panStanding: null,
      dropMargin: null,
      sealMarginStart: null,
      dropNeeded: null,
      sealNeeded: null,
      drainsUpTo: null,
      holdsAtStart: null,
      blowsOutAt: null,
      primingVolume: null,
      daysToOpen: null,
    })),
  ].sort(byId);

  // ------------------------------------------------------------------------------------------------- coils (A2)
  const coilFacts = coils.map((c) => {
    const path = pathOf(c);
    const { part: whole, reached } = toBoundary(c);
    const gravity = whole.filter(hydraulic);
    const sloping = gravity.filter((p) => !isVertical(p));
    const needed = neededDrop(c);
    const trap = firstTrap(c);
    const trapLeft = trap === null ? -1 : whole.findIndex((p) => p.from === trap.id);
    /** budget of pipes [first, last) of the path before the boundary */
    const budget = (first: number, last: number): Maybe => {
      const part = whole.slice(first, last).filter(hydraulic);
      if (!reached || part.length === 0) return null;
      const fall = part[0].fromInvert - part[part.length - 1].toInvert;
      const hasTrap = trapLeft >= 0 && first <= trapLeft && trapLeft < last;
      const counts = hasTrap || (trap === null && first === 0);
      if (counts && needed === null) return null;
      let drop = counts ? needed! : 0;
      if (counts && first > 0) drop -= c.z - part[0].fromInvert;
      const runUnder = (test: (i: number) => boolean): number =>
        sum(whole.map((p, i) => (i >= first && i < last && hydraulic(p) && test(i) ? runOf(p) : 0)));
      const aboveTrap = runUnder((i) => trap !== null && i < trapLeft);
      const belowTrap = runUnder((i) => trap === null || i >= trapLeft);
      return fall - (Math.max(drop, aboveTrap * profile.minimumGrade, 0) + belowTrap * profile.minimumGrade);
    };
    const wholeBudget = needed === null ? null : budget(0, whole.length);
    const firstCommon = path.findIndex(isCommon);
    const joining = firstCommon < 0 ? null : path[firstCommon].from;
    const cuts = [0];
    whole.forEach((p, i) => {
      if (i + 1 < whole.length && get(node, p.to).source.fixed === true) cuts.push(i + 1);
    });
    cuts.push(whole.length);
    const stretches = cuts.slice(1).map((last, k) => ({
      from: whole[cuts[k]]?.from ?? c.id,
      to: whole[last - 1]?.to ?? c.id,
      budget: budget(cuts[k], last),
    }));
    let lacking: Maybe = reached ? 0 : null;
    for (let i = 0; i < whole.length && lacking !== null; ) {
      if (isVertical(whole[i]) || !hydraulic(whole[i])) {
        i++;
        continue;
      }
      let last = i;
      while (last < whole.length && hydraulic(whole[last]) && !isVertical(whole[last])) last++;
      const piece = budget(i, last);
      lacking = piece === null ? null : Math.max(lacking, -piece);
      i = last;
    }
    const devices = network.devices.filter(
      (d) => d.at === c.id && d.seat !== "auxiliary-pan" && d.state !== "jumpered" && d.state !== "failed",
    );
    const trips = devices.map(
      (d) => d.tripElevation ?? (d.tripHeight === undefined ? null : c.z + d.tripHeight / 1000),
    );
    const p = staticOf(c);
    const rim = millimetres(c.source.pan?.rimHeight);
    let ventTop: Maybe = null;
    const knownTrips = trips.filter((t) => t !== null);
    if (profile.ventRule !== "spill-at-vent" && p !== null) {
      const lift = Math.max(0, head(p));
      if (profile.ventRule === "trip" && devices.length > 0)
        ventTop = knownTrips.length < trips.length ? null : Math.min(...knownTrips) + lift;
      else ventTop = rim === null ? null : c.z + rim + lift;
    }
    const { rate, basis } = rateOf(c);
    const grades = sloping.map((q) => gradeOf(q)!);
    return {
      id: c.id,
      outlet: outletOf(c.id),
      pathPipes: path.map((q) => q.id),
      pathLength: sum(path.map((q) => q.length)),
      hops: path.length,
      fall: gravity.length === 0 ? null : gravity[0].fromInvert - gravity[gravity.length - 1].toInvert,
      meanGrade: sloping.length === 0 ? null : sum(sloping.map(fallOf)) / sum(sloping.map(runOf)),
      leastGrade: grades.length === 0 ? null : Math.min(...grades),
      fallBudget: wholeBudget,
      fallBudgetToJoiningPoint: joining === null || firstCommon > whole.length ? null : budget(0, firstCommon),
      stretches: reached ? stretches : null,
      shortfall: lacking,
      joiningPoint: joining,
      leastVentTop: ventTop,
      condensateRate: rate,
      coolingCapacity: wattsOf(c),
      rateBasis: basis,
      traps: trapsOn(path),
      sealsOnPath:
        trapsOn(whole).filter((id) => trapIsSealed(get(node, id))).length +
        sealingPools.filter((pool) => crosses(whole, pool)).length,
    };
  });

  // --------------------------------------------------------------------------------------------- sizes (A8)
  const pipeFacts = pipes.map((p) => {
    const grade = hydraulic(p) ? gradeOf(p) : null;
    const judged = p.role === "drain" && !isVertical(p);
    const capacity = capacityOf(p);
    const flow = flowOf(p);
    const state = flowing(p);
    return {
      id: p.id,
      fall: hydraulic(p) ? fallOf(p) : null,
      run: hydraulic(p) ? runOf(p) : null,
      grade,
      isVertical: hydraulic(p) ? isVertical(p) : null,
      isCommon: isCommon(p),
      fanCoilsAbove: get(coilsThrough, p.id).length,
      connectedCapacity: tonsOf(p),
      designFlow: flow,
      insideDiameter: bore(p),
      gradeMinimum: judged ? profile.minimumGrade : null,
      gradeMargin: judged && grade !== null ? grade - profile.minimumGrade : null,
      capacity,
      utilisation: capacity === null || capacity === 0 || flow === null ? null : flow / capacity,
      flowDepth: state?.depth ?? null,
      fillRatio: state?.fill ?? null,
      velocity: state?.velocity ?? null,
      froude: state?.froude ?? null,
      codeSize: printSize(codeSizeOf(p)),
      hydraulicSize: printOwnSize(p, hydraulicSizeOf(p)),
      requiredSize: printSize(requiredSizeOf(p)),
      upstreamStandingDepth: depthAt(p, "from"),
      downstreamStandingDepth: depthAt(p, "to"),
      sealedByStandingWater: isSealed(p),
      outlet: p.role === "vent" || p.role === "access" ? null : outletFrom(p),
    };
  });
  /** secondary and auxiliary pipes run on along their like */
  function outletFrom(p: ReadPipe): string | null {
    let at = p.to;
    for (const met = new Set<string>(); !met.has(at) && mainWay(at) === null; ) {
      met.add(at);
      const way = waterWay(at);
      if (way === null) break;
      at = way.to;
    }
    return intoCycle(p.from) ? null : outletOf(at);
  }
  function requiredSizeOf(p: ReadPipe): Maybe {
    if (p.role !== "drain") return null;
    const needs: Maybe[] = [];
    const watts = tonsOf(p);
    const coilsAbove = get(coilsThrough, p.id);
    if (profile.codeRows !== null && coilsAbove.length > 0) {
      const last = profile.codeRows[profile.codeRows.length - 1].upTo;
      const answeredByHydraulics = watts !== null && exceeds(watts, last) && profile.aboveTable === "hydraulic";
      if (!answeredByHydraulics) needs.push(codeSizeOf(p));
    }
    needs.push(nominal(p, hydraulicSizeOf(p)));
    for (const c of coilsAbove) if (toBoundary(c).part.includes(p)) needs.push(c.source.pan?.outletSize ?? 0);
    for (const q of pipes) {
      if (q === p || q.role !== "drain") continue;
      const below = walk(q.to);
      const stop = isBoundary(q.to) ? -1 : below.indexOf(p);
      if (stop < 0 || below.slice(0, stop).some((r) => isBoundary(r.to))) continue;
      needs.push(drawnSize(q));
    }
    return needs.includes(null) ? null : Math.max(0, ...(needs as number[])) || null;
  }
  /** a metric-OD or size-less pipe counts for the nominal size that its bore meets */
  function drawnSize(q: ReadPipe): Maybe {
    if (q.size !== null && !byDiameter(q)) return q.size;
    const d = bore(q);
    return d === null ? null : ([50, 40, 32, 25, 20].find((mm) => d >= mm / 1000 - EPSILON) ?? null);
  }
  function nominal(p: ReadPipe, size: Maybe): Maybe {
    if (size === null || !byDiameter(p)) return size;
    const d = boreOf(p.material, size, null);
    if (d === null) return null;
    return [50, 40, 32, 25, 20].find((mm) => d >= mm / 1000 - EPSILON) ?? null;
  }

  // ------------------------------------------------------------------------------------------- air spaces (A4)
  const levelOfPan = (c: ReadNode): "atmosphere" | "pressure" => {
    if (c.source.inService === false) return "atmosphere";
    const p = staticOf(c);
    return p !== null && !exceeds(Math.abs(p), 5) ? "atmosphere" : "pressure";
  };
  const openingHeight = (n: ReadNode): Maybe => {
    if (typeof n.source.opening === "number") return n.source.opening / 1000;
    const p = leaving(n.id, "drain")[0] ?? entering(n.id, "drain")[0];
    return p === undefined ? null : bore(p);
  };
  /** the level of a vent's or cleanout's opening stands above its water */
  const standsClear = (n: ReadNode): boolean => {
    const water = W(n.id);
    if (water === null) return true;
    if (n.kind === "vent") return !above(water, n.z);
    const opening = openingHeight(n);
    return !above(water, n.z) || (opening !== null && !above(water, n.z + opening));
  };
  const isOpening = (n: ReadNode): boolean => {
    const s = n.source;
    if (n.kind === "outlet" || n.kind === "pump") return true;
    if (n.kind === "vent") return s.opening !== "admittance-valve" && s.capped !== true && standsClear(n);
    if (n.kind === "cleanout") return s.capped === false && standsClear(n);
    return n.kind === "fan-coil" && (s.pan?.secondary?.is === "open" || levelOfPan(n) === "atmosphere");
  };
  const onPathPipes = new Set(coils.flatMap((c) => pathOf(c).map((p) => p.id)));
  const onPathNodes = new Set(coils.flatMap((c) => pathNodes(pathOf(c))));
  const closedByFlow = (p: ReadPipe): boolean => {
    const flow = flowOf(p);
    if (p.role !== "drain" || flow === null || flow === 0) return false;
    if (!falling(p)) return true;
    const state = flowing(p);
    const capacity = capacityOf(p);
    if (state === null || capacity === null) return false;
    return exceeds(state.fill, isVertical(p) ? profile.riserFraction : profile.maximumFill) || exceeds(flow, capacity);
  };
  interface AirSpace {
    /** `node N`, `in T` and `out T` (sides of a sealed trap), `pipe P` */
    members: Set<string>;
    facts: { id: string; kind: string; volume: Maybe } & Record<string, unknown>;
  }
  const sealedTrap = (id: string): boolean => isTrap(id) && trapIsSealed(get(node, id));
  const airSpacesOf = (alsoClosed: (p: ReadPipe) => boolean): AirSpace[] => {
    const airPipes = pipes.filter(hydraulic);
    const closedEnd = (p: ReadPipe, end: End): boolean => alsoClosed(p) || isClosed(p, end) === true;
    /** the place at which a pipe's end breathes: a node, or one side of a sealed trap */
    const placeOf = (p: ReadPipe, end: End): string =>
      sealedTrap(p[end]) ? `${end === "to" ? "in" : "out"} ${p[end]}` : `node ${p[end]}`;
    const places = nodes.flatMap((n) => (sealedTrap(n.id) ? [`in ${n.id}`, `out ${n.id}`] : [`node ${n.id}`]));
    const groups: Set<string>[] = [];
    const groupOf = (item: string): Set<string> => {
      const found = groups.find((g) => g.has(item));
      if (found !== undefined) return found;
      const made = new Set([item]);
      groups.push(made);
      return made;
    };
    const unite = (a: string, b: string): void => {
      const x = groupOf(a);
      const y = groupOf(b);
      if (x === y) return;
      for (const item of y) x.add(item);
      groups.splice(groups.indexOf(y), 1);
    };
    for (const place of places) {
      const ends = airPipes.flatMap((p) => ENDS.filter((e) => placeOf(p, e) === place).map((e) => closedEnd(p, e)));
      const n = get(node, place.slice(place.indexOf(" ") + 1));
      const always =
        ["fan-coil", "outlet", "pump"].includes(n.kind) || (["vent", "cleanout"].includes(n.kind) && standsClear(n));
      if (ends.length === 0 || ends.includes(false) || always) groupOf(place);
    }
    for (const p of airPipes) for (const end of ENDS) if (!closedEnd(p, end)) unite(placeOf(p, end), `pipe ${p.id}`);
    const named = (group: Set<string>, prefix: string): string[] =>
      sorted(new Set([...group].filter((i) => i.startsWith(`${prefix} `)).map((i) => i.slice(prefix.length + 1))));
    return groups
      .map((group) => {
        const inside = named(group, "node");
        const insidePipes = named(group, "pipe");
        const traps = sorted(new Set([...named(group, "in"), ...named(group, "out")]));
        const openings = inside.filter((id) => isOpening(get(node, id)));
        const pans = inside.filter(
          (id) => get(node, id).kind === "fan-coil" && levelOfPan(get(node, id)) === "pressure",
        );
        let kind = "trapped";
        if (pans.length > 0 && openings.length > 0) kind = "bypass";
        else if (pans.length > 1) kind = "shared-pans";
        else if (pans.length === 1) kind = "pan-side";
        else if (openings.length > 0) kind = "open";
        const airIn = (id: string): Maybe => {
          const p = get(pipe, id);
          const d = bore(p);
          const levels = ENDS.map((end) => endLevel(p, end));
          if (d === null || levels.includes(null)) return null;
          const wetLevels = ENDS.filter((end) => isWet(p, end)).map((end) => endLevel(p, end)!);
          const full = (Math.PI * d * d * p.length) / 4;
          return wetLevels.length === 0 ? full : full - waterIn(p, Math.max(...wetLevels));
        };
        const facts = {
          id: inside[0] ?? traps[0],
          kind,
          onPath:
            insidePipes.some((id) => onPathPipes.has(id)) ||
            inside.some((id) => onPathNodes.has(id)) ||
            traps.some((id) => onPathNodes.has(id)),
          openings,
          pans,
          nodes: inside,
          pipes: insidePipes,
          traps,
          volume: sumOrNull(insidePipes.map(airIn)),
        };
        return { members: group, facts };
      })
      .sort((a, b) => byId(a.facts, b.facts) || (a.facts.nodes.length > 0 ? -1 : 1));
  };
  const airAtRest = airSpacesOf(() => false);

  // -------------------------------------------------------------------------------------------- locked air (A5)
  const circuits = readCircuits(
    network,
    new Map(coils.map((c) => [c.id, new Set([c.id, ...pathNodes(pathOf(c))])] as const)),
  );
  const lowestTrip = (c: ReadNode): Maybe => {
    const levels = network.devices
      .filter((d) => d.at === c.id && !["auxiliary-pan", "main"].includes(d.seat ?? ""))
      .filter((d) => circuits.stops(d).includes(c.id))
      .flatMap((d) => d.tripElevation ?? (d.tripHeight === undefined ? [] : c.z + d.tripHeight / 1000));
    return levels.length === 0 ? null : Math.min(...levels);
  };
  const lockedAirOf = (c: ReadNode): Record<string, unknown> | null => {
    const { part } = toBoundary(c);
    const places = [
      `node ${c.id}`,
      ...part.flatMap((p) => [
        `pipe ${p.id}`,
        ...(sealedTrap(p.to) ? [`in ${p.to}`, `out ${p.to}`] : [`node ${p.to}`]),
      ]),
    ];
    const name = (place: string): string => place.slice(place.indexOf(" ") + 1);
    const closing = (place: string, beyond: string): Pool => {
      const [p, end]: [string, End] = place.startsWith("pipe ") ? [name(place), "to"] : [name(beyond), "from"];
      return pools.find((pool) => pool.closed.some((w) => w.id === p && w.end === end))!;
    };
    const pushed: { depth: Maybe; volume: Maybe; bore: Maybe }[] = [];
    for (const { members, facts } of airAtRest) {
      if (facts.kind !== "trapped") continue;
      const at = places.findLastIndex((place) => members.has(place));
      if (at < 0 || at === places.length - 1) continue;
      const [place, beyond] = [places[at], places[at + 1]];
      if (place.startsWith("in ")) {
        const trap = get(node, name(place));
        const isWater = (trap.source.sealType ?? "water") === "water";
        pushed.push({
          depth: isWater ? millimetres(trap.source.sealDepth) : opensAtHead(trap),
          volume: facts.volume,
          bore: millimetres(trap.source.inletLegSize) ?? bore(get(pipe, name(places[at - 1]))),
        });
      } else {
        const surface = place.startsWith("pipe ") ? place : beyond;
        pushed.push({
          depth: closing(place, beyond).sealDepth,
          volume: facts.volume,
          bore: bore(get(pipe, name(surface))),
        });
      }
    }
    if (pushed.length === 0) return null;
    const p = staticOf(c);
    const suction = p === null ? null : Math.max(0, -head(p));
    const needed = sumOrNull([suction, ...pushed.map(({ depth }) => depth)]);
    const squeezed = ({ depth, volume, bore: d }: (typeof pushed)[number]): Maybe => {
      if (depth === null || volume === null || d === null) return null;
      const area = (Math.PI * d * d) / 4;
      // the surface rises until the squeezed air balances what is left of the seal
      let [low, high] = [0, Math.min(depth, volume / area)];
      for (let i = 0; i < 200; i++) {
        const y = (low + high) / 2;
        const gas = (pressureOfSite * volume) / (volume - area * y) - pressureOfSite;
        if (gas < plain.DENSITY * plain.GRAVITY * (depth - y)) low = y;
        else high = y;
      }
      return depth - (low + high) / 2;
    };
    let weir: Maybe = null;
    for (const q of part) {
      for (const end of ENDS)
        weir ??= pools.find((pool) => pool.closed.some((w) => w.id === q.id && w.end === end))?.level ?? null;
      weir ??= sealedTrap(q.to) ? get(node, q.to).z : null;
    }
    const trip = lowestTrip(c);
    const rim = millimetres(c.source.pan?.rimHeight);
    const port = c.source.pan?.secondary;
    const portHeight = port?.is === "open" ? millimetres(port.height) : Number.POSITIVE_INFINITY;
    const spill =
      portHeight === null || (rim === null && port?.is !== "open") ? null : Math.min(rim ?? portHeight, portHeight);
    const [toOutlet, toTrip, toSpill] = [0, trip === null ? null : trip - c.z, spill].map((height) =>
      height === null ? null : c.z - weir! + height,
    );
    let outcome: string | null = null;
    if (needed !== null) {
      if (!above(needed, toOutlet!)) outcome = "drains-dry";
      else if (toTrip !== null && above(needed, toTrip) && (toSpill === null || !above(toTrip, toSpill)))
        outcome = "trips";
      else if (toSpill !== null) outcome = above(needed, toSpill) ? "overflows" : "drains-standing";
    }
    return {
      needed,
      neededCompressible: sumOrNull([suction, ...pushed.map(squeezed)]),
      toOutlet,
      toTrip,
      toSpill,
      outcome,
      standing: outcome === "drains-dry" ? 0 : outcome === "drains-standing" ? needed! - toOutlet! : null,
    };
  };

  return {
    topology,
    fanCoils: coilFacts.map((facts, i) => ({ ...facts, lockedAir: lockedAirOf(coils[i]) })),
    pipes: pipeFacts,
    nodes: nodes.map((n) => ({
      id: n.id,
      elevation: n.z,
      standingWaterLevel: W(n.id),
      standingDepth: depthAtNode(n),
    })),
    runs,
    pools: pools.map((pool) => pool.facts),
    seals,
    airSpaces: airAtRest.map(({ facts }) => facts),
    airSpacesAtFlow: airSpacesOf(closedByFlow).map(({ facts }) => facts),
    circuits: circuits.facts,
    ...backupsOf({
      network,
      circuits,
      coilsThrough: (p) => get(coilsThrough, p.id),
      intoCycle,
      weirOf,
      waterWay,
      flowOf,
      rateOf: (c) => rateOf(c).rate,
      openingHeight,
      head,
    }),
    paths: coils.map((c) => {
      let distance = 0;
      const points = pathOf(c).flatMap((p) =>
        ENDS.map((end) => {
          if (end === "to") distance += p.length;
          return {
            node: p[end],
            pipe: p.id,
            distance,
            invert: invertAt(p, end),
            crown: crownAt(p, end),
            standingLevel: endLevel(p, end),
          };
        }),
      );
      return { fanCoil: c.id, points };
    }),
  };
};

const NPS = new Map<number, string>([
  [15, "1/2"],
  [20, "3/4"],
  [25, "1"],
  [32, "1-1/4"],
  [40, "1-1/2"],
  [50, "2"],
  [65, "2-1/2"],
  [80, "3"],
  [100, "4"],
  [125, "5"],
  [150, "6"],
]);
