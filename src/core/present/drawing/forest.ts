import type { Facts } from "../../analysis/facts.js";
import { hostOf } from "../../analysis/trip-cover.js";
import { type Compiled, KIND, ROLE } from "../../graph/compiled.js";

/** A pipe that is no branch of the picture's trees: a second way out, a ring, a pump's discharge, a shared second line. */
export interface Link {
  readonly pipe: number;
  /** 1, 2, 3 …: what both its ends are marked with */
  readonly number: number;
}

/** What rises from a node and leads no further: a vent or cleanout with the pipes to it, nearest first; or a device. */
export interface Stub {
  readonly pipes: readonly number[];
  /** open end; -1 for a device */
  readonly end: number;
  /** index in model.devices; -1 for a vent or cleanout */
  readonly device: number;
}

/** A coil's own second line, on its way out: nodes and the pipes that lead to each. */
export interface Tail {
  readonly nodes: readonly number[];
  readonly pipes: readonly number[];
}

/**
 * The network as trees whose roots are the ends of the water's ways: what stands in the picture as lines. Everything else
 * hangs on their nodes as stubs, tails and links.
 */
export interface Forest {
  /** node → the node that its water goes on to, -1 at a root */
  readonly parent: Int32Array;
  /** node → the pipe to that node, -1 */
  readonly via: Int32Array;
  /** nodes of the trees, each after the one that its water goes on to */
  readonly order: readonly number[];
  readonly stubs: ReadonlyMap<number, readonly Stub[]>;
  readonly tails: ReadonlyMap<number, Tail>;
  readonly links: readonly Link[];
}

/** What of a network is drawn; the rest is left out and said to be. */
export interface Part {
  readonly hasNode: (node: number) => boolean;
}

export const WHOLE: Part = { hasNode: () => true };

const upright = (role: number): boolean => role === ROLE.vent || role === ROLE.access;

export function forest(
  net: Compiled,
  { topology }: Facts,
  part: Part = WHOLE,
  cuts: ReadonlySet<number> = NONE,
): Forest {
  const n = net.nodeCount;
  const parent = new Int32Array(n).fill(-1);
  const via = new Int32Array(n).fill(-1);
  const inPart = (p: number): boolean => part.hasNode(net.from[p]) && part.hasNode(net.to[p]);
  for (let v = 0; v < n; v++) {
    const p = topology.next[v];
    if (p < 0 || net.role[p] === ROLE.pressure || cuts.has(p) || !inPart(p)) continue;
    parent[v] = net.to[p];
    via[v] = p;
  }
  openRings(parent, via);
  const standing = stubsOf(net, part);
  const kids = new Int32Array(n);
  for (let v = 0; v < n; v++) if (parent[v] >= 0) kids[parent[v]]++;
  const tails = tailsOf(net, parent, via, kids, part);
  const taken = new Set<number>();
  for (const { nodes, pipes } of tails.values()) {
    for (const node of nodes) taken.add(node);
    for (const pipe of pipes) standing.drawn.add(pipe);
  }
  const order = rootsFirst(net, parent, (v) => part.hasNode(v) && !standing.nodes.has(v) && !taken.has(v));
  const links: Link[] = [];
  for (let p = 0; p < net.pipeCount; p++)
    if (inPart(p) && via[net.from[p]] !== p && !standing.drawn.has(p))
      links.push({ pipe: p, number: links.length + 1 });
  return { parent, via, order, stubs: standing.stubs, tails, links };
}

const NONE: ReadonlySet<number> = new Set();

/** A ring is opened where its pipe enters the node of it that comes first. */
function openRings(parent: Int32Array, via: Int32Array): void {
  const seen = new Int32Array(parent.length);
  for (let start = 0, walk = 1; start < parent.length; start++, walk++) {
    let v = start;
    while (v >= 0 && seen[v] === 0) {
      seen[v] = walk;
      v = parent[v];
    }
    if (v < 0 || seen[v] !== walk) continue;
    let last = v;
    while (parent[last] !== v) last = parent[last];
    parent[last] = -1;
    via[last] = -1;
  }
}

function rootsFirst(net: Compiled, parent: Int32Array, drawn: (node: number) => boolean): number[] {
  const first = new Int32Array(net.nodeCount).fill(-1);
  const sibling = new Int32Array(net.nodeCount).fill(-1);
  const order: number[] = [];
  for (let v = net.nodeCount - 1; v >= 0; v--) {
    if (!drawn(v) || parent[v] < 0) continue;
    sibling[v] = first[parent[v]];
    first[parent[v]] = v;
  }
  for (let v = 0; v < net.nodeCount; v++) if (drawn(v) && parent[v] < 0) order.push(v);
  for (let k = 0; k < order.length; k++) for (let c = first[order[k]]; c >= 0; c = sibling[c]) order.push(c);
  return order;
}

/** Vents, cleanouts and the pipes to them, by the node of the drains that they rise from; devices that sit in no pan. */
function stubsOf(net: Compiled, part: Part) {
  const only = new Uint8Array(net.nodeCount);
  for (let v = 0; v < net.nodeCount; v++) {
    const [start, end] = [net.ends.start[v], net.ends.start[v + 1]];
    only[v] = end > start && net.kind[v] !== KIND.coil ? 1 : 0;
    for (let k = start; k < end; k++) if (!upright(net.role[net.ends.list[k] >> 1])) only[v] = 0;
  }
  // a vent run is drawn from the drain to its open end; the first pipe to reach a node is its own
  const into = new Int32Array(net.nodeCount).fill(-1);
  for (let p = 0; p < net.pipeCount; p++)
    if (upright(net.role[p]) && only[net.to[p]] && into[net.to[p]] < 0) into[net.to[p]] = p;
  const stubs = new Map<number, Stub[]>();
  const nodes = new Set<number>();
  const drawn = new Set<number>();
  const add = (host: number, stub: Stub) => {
    const known = stubs.get(host);
    if (known === undefined) stubs.set(host, [stub]);
    else known.push(stub);
  };
  const leads = new Uint8Array(net.nodeCount);
  for (let v = 0; v < net.nodeCount; v++) if (into[v] >= 0) leads[net.from[into[v]]] = 1;
  for (let v = 0; v < net.nodeCount; v++) {
    if (!only[v] || into[v] < 0 || leads[v] || !part.hasNode(v)) continue;
    const pipes: number[] = [];
    const met = new Set<number>();
    let host = v;
    while (only[host] && into[host] >= 0 && !met.has(host)) {
      met.add(host);
      pipes.unshift(into[host]);
      host = net.from[into[host]];
    }
    if (met.has(host) || !part.hasNode(host)) continue;
    for (const node of met) nodes.add(node);
    for (const pipe of pipes) drawn.add(pipe);
    add(host, { pipes, end: v, device: -1 });
  }
  for (const [device, { at }] of net.model.devices.entries()) {
    const node = net.nodeRank[at];
    const host = nodes.has(node) ? hostOf(net, node) : node;
    if (net.kind[host] !== KIND.coil && part.hasNode(host)) add(host, { pipes: [], end: -1, device });
  }
  return { stubs, nodes, drawn };
}

const MOST_OF_A_TAIL = 6;

/** Second lines that serve one coil and end by themselves. */
function tailsOf(net: Compiled, parent: Int32Array, via: Int32Array, kids: Int32Array, part: Part): Map<number, Tail> {
  const tails = new Map<number, Tail>();
  for (let p = 0; p < net.pipeCount; p++) {
    const coil = net.from[p];
    if (net.role[p] !== ROLE.secondary && net.role[p] !== ROLE.auxiliary) continue;
    if (net.kind[coil] !== KIND.coil || via[coil] === p || tails.has(coil) || !part.hasNode(coil)) continue;
    const nodes: number[] = [];
    const pipes = [p];
    let v = net.to[p];
    while (part.hasNode(v) && net.kind[v] !== KIND.coil && kids[v] === (nodes.length === 0 ? 0 : 1)) {
      nodes.push(v);
      if (via[v] < 0 || nodes.length > MOST_OF_A_TAIL) break;
      pipes.push(via[v]);
      v = parent[v];
    }
    if (nodes.length > 0 && nodes.length <= MOST_OF_A_TAIL && pipes.length === nodes.length)
      tails.set(coil, { nodes, pipes });
  }
  return tails;
}
