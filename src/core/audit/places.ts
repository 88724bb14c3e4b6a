import type { Facts } from "../analysis/facts.js";
import { hostOf } from "../analysis/trip-cover.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { Problem } from "../network/model.js";
import { readCase } from "./read-case.js";

/** Why a pipe closes sooner than others. */
export type CleaningReason = "flat" | "small" | "pool" | "trickle" | "many-coils";

/** A network as a place where things happen: which way each thing's water goes, and whose it is. Plain data, to be kept. */
export interface Places {
  readonly fanCoils: readonly {
    readonly id: string;
    readonly dwelling: string | null;
    readonly floor: string | null;
    /** the first riser on its way */
    readonly riser: string | null;
  }[];
  readonly risers: readonly { readonly id: string; readonly pipes: readonly string[] }[];
  readonly dwellings: readonly string[];
  readonly nodes: readonly {
    readonly id: string;
    /** the pipe that carries its water on; of an open end the one that it rises from */
    readonly next: string | null;
    /** the fan coil whose alone it is */
    readonly fanCoil: string | null;
    readonly riser: string | null;
    readonly dwelling: string | null;
    readonly floor: string | null;
    readonly zone: "private" | "common" | null;
    readonly owner: string | null;
  }[];
  readonly pipes: readonly {
    readonly id: string;
    readonly from: string;
    readonly to: string;
    readonly fanCoil: string | null;
    readonly riser: string | null;
    readonly zone: "private" | "common" | null;
    readonly owner: string | null;
    readonly lastCleaned: string | null;
    /** two or more coils drain through it */
    readonly common: boolean;
    readonly cleaning: readonly CleaningReason[];
  }[];
}

export type PlacesResult =
  | { readonly ok: true; readonly places: Places }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

const FLAT = 0.02;
const SMALL = 0.021;
const TRICKLE = 0.1;
const MANY = 10;

/** The places of a network document (parsed JSON). */
export function placesOf(document: unknown): PlacesResult {
  const read = readCase(document);
  return read.ok ? { ok: true, places: places(read.net, read.facts) } : read;
}

function places(net: Compiled, facts: Facts): Places {
  const { topology, zones } = facts;
  const riserOfPipe = risers(net, facts);
  const coilOfPipe = soleCoils(net, facts);
  const riserFrom = new Map<number, number>();
  /** the first riser on the way of a node */
  const riserOn = (node: number): number => {
    const way: number[] = [];
    let found = -1;
    for (let n = node; ; ) {
      const known = riserFrom.get(n);
      if (known !== undefined) {
        found = known;
        break;
      }
      way.push(n);
      riserFrom.set(n, -1);
      const p = topology.next[n];
      if (p < 0) break;
      if (riserOfPipe[p] >= 0) {
        found = riserOfPipe[p];
        break;
      }
      n = net.to[p];
    }
    for (const n of way) riserFrom.set(n, found);
    return found;
  };
  const idOf = (node: number): string | null => (node < 0 ? null : net.nodes[node].id);
  const dwellingAt = (node: number): string | null => net.nodes[node].dwelling ?? net.nodes[node].coil?.serves ?? null;
  const pipesOfRiser = new Map<number, string[]>();
  for (let p = 0; p < net.pipeCount; p++) {
    if (riserOfPipe[p] < 0) continue;
    const known = pipesOfRiser.get(riserOfPipe[p]);
    if (known) known.push(net.pipes[p].id);
    else pipesOfRiser.set(riserOfPipe[p], [net.pipes[p].id]);
  }
  const dwellings = new Set<string>();
  for (let n = 0; n < net.nodeCount; n++) {
    const home = dwellingAt(n);
    if (home !== null) dwellings.add(home);
  }
  return {
    fanCoils: Array.from(net.coils, (node) => ({
      id: net.nodes[node].id,
      dwelling: dwellingAt(node),
      floor: net.nodes[node].floor,
      riser: idOf(riserOn(node)),
    })),
    risers: [...pipesOfRiser].sort(([a], [b]) => a - b).map(([foot, pipes]) => ({ id: net.nodes[foot].id, pipes })),
    dwellings: [...dwellings].sort(),
    nodes: net.nodes.map((node, n) => {
      const host = hostOf(net, n);
      const p = topology.next[host];
      const coil = net.coilAt[n] >= 0 ? n : p >= 0 ? coilOfPipe[p] : -1;
      return {
        id: node.id,
        next: p < 0 ? null : net.pipes[p].id,
        fanCoil: idOf(coil),
        riser: idOf(riserOn(host)),
        dwelling: dwellingAt(n) ?? (coil < 0 ? null : dwellingAt(coil)),
        floor: node.floor,
        zone: zones.node[n].zone,
        owner: zones.node[n].owner,
      };
    }),
    pipes: net.pipes.map((pipe, p) => ({
      id: pipe.id,
      from: net.nodes[net.from[p]].id,
      to: net.nodes[net.to[p]].id,
      fanCoil: idOf(coilOfPipe[p]),
      riser: idOf(riserOfPipe[p]),
      zone: zones.pipe[p].zone,
      owner: zones.pipe[p].owner,
      lastCleaned: pipe.lastCleaned,
      common: topology.common[p] === 1,
      cleaning: cleaningReasons(net, facts, p),
    })),
  };
}

/** Pipe → the foot of the riser that it is part of, -1 none: common drains that stand, one on the other. */
export function risers(net: Compiled, { topology, fall }: Facts): Int32Array {
  const stands = (p: number) =>
    p >= 0 && fall.vertical[p] === 1 && topology.common[p] === 1 && net.role[p] === ROLE.drain;
  const foot = new Int32Array(net.pipeCount).fill(-1);
  for (let p = 0; p < net.pipeCount; p++) {
    if (!stands(p) || foot[p] >= 0) continue;
    const chain = new Set([p]);
    let end = -1;
    for (let q = p; end < 0; ) {
      const next = topology.next[net.to[q]];
      if (!stands(next) || chain.has(next)) end = net.to[q];
      else if (foot[next] >= 0) end = foot[next];
      else {
        chain.add(next);
        q = next;
      }
    }
    for (const q of chain) foot[q] = end;
  }
  return foot;
}

/** Pipe → the one coil whose water alone it carries, or that it hangs on; -1 none or several. */
export function soleCoils(net: Compiled, { topology }: Facts): Int32Array {
  const sole = new Int32Array(net.pipeCount).fill(-1);
  for (const coil of net.coils) {
    for (let n = coil, steps = 0; steps <= net.nodeCount; steps++) {
      const p = topology.next[n];
      if (p < 0 || topology.coilsAbove[p] !== 1) break;
      sole[p] = coil;
      n = net.to[p];
    }
  }
  for (let p = 0; p < net.pipeCount; p++) {
    if (sole[p] >= 0 || net.role[p] === ROLE.drain) continue;
    const host = hostOf(net, net.from[p]);
    const next = topology.next[host];
    sole[p] = net.kind[host] === KIND.coil ? host : next >= 0 && topology.coilsAbove[next] === 1 ? sole[next] : -1;
  }
  return sole;
}

function cleaningReasons(net: Compiled, facts: Facts, p: number): CleaningReason[] {
  if (net.role[p] !== ROLE.drain) return [];
  const { fall, capacity, water, topology } = facts;
  const reasons: CleaningReason[] = [];
  if (fall.vertical[p] === 0 && fall.grade[p] < FLAT) reasons.push("flat");
  if (capacity.bore[p] <= SMALL) reasons.push("small");
  if (water.poolOfEnd[2 * p] >= 0 || water.poolOfEnd[2 * p + 1] >= 0) reasons.push("pool");
  if (fall.vertical[p] === 0 && capacity.fillRatio[p] < TRICKLE) reasons.push("trickle");
  if (topology.coilsAbove[p] >= MANY) reasons.push("many-coils");
  return reasons;
}
