import { type Compiled, ROLE } from "../graph/compiled.js";
import type { Topology } from "./facts.js";
import { alongMainWays } from "./topology.js";

/** The main ways as a forest: what feeds a node is one interval of numbers. Nodes on a loop of main ways are in none. */
export interface MainWayTree {
  /** node → the pipe that carries its water on (a drain or a pump's discharge), -1 none */
  readonly next: Int32Array;
  /** nodes with the node that their main way leads to before them */
  readonly order: Int32Array;
  /** node → its number; those of all that drains through it follow it */
  readonly first: Int32Array;
  /** node → how many nodes drain through it, itself included; 0 on loops */
  readonly size: Int32Array;
  /** node → pipes to the end of its way */
  readonly hops: Int32Array;
}

export function mainWayTree(net: Compiled, ways: Topology): MainWayTree {
  const next = ways.next.map((p) => (p >= 0 && (net.role[p] === ROLE.drain || net.role[p] === ROLE.pressure) ? p : -1));
  const order = alongMainWays(net, next);
  const size = new Int32Array(net.nodeCount);
  const hops = new Int32Array(net.nodeCount);
  for (let k = order.length - 1; k >= 0; k--) {
    const node = order[k];
    size[node]++;
    if (next[node] >= 0) size[net.to[next[node]]] += size[node];
  }
  const first = new Int32Array(net.nodeCount).fill(-1);
  const free = new Int32Array(net.nodeCount);
  let roots = 0;
  for (const node of order) {
    const below = next[node] < 0 ? -1 : net.to[next[node]];
    // What hangs above a loop starts a tree of its own.
    if (below < 0 || first[below] < 0) {
      first[node] = roots;
      roots += size[node];
    } else {
      first[node] = free[below];
      free[below] += size[node];
      hops[node] = hops[below] + 1;
    }
    free[node] = first[node] + 1;
  }
  return { next, order, first, size, hops };
}

/** Does the water of `node` pass `below`? Of nodes in the forest. */
export const passes = ({ first, size }: MainWayTree, node: number, below: number): boolean =>
  first[below] >= 0 && first[node] >= first[below] && first[node] < first[below] + size[below];
