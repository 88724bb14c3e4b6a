import { DirectedGraph } from "graphology";
import components from "graphology-components";
import type { Rows } from "./compiled.js";

/**
 * The strongly connected groups of two or more nodes, each ascending, groups by their first node.
 * A sound network has none, and peeling off starts and ends on flat arrays shows it in linear time; only what cannot be
 * peeled is given to the graph library.
 *
 * @param n node count
 * @param out pipes leaving each node
 * @param into pipes entering each node
 * @param to pipe → node, @param from pipe → node
 */
export function findCycles(n: number, out: Rows, into: Rows, to: Int32Array, from: Int32Array): number[][] {
  const gone = new Uint8Array(n);
  const left = n - peel(n, into, out, to, gone) - peel(n, out, into, from, gone);
  if (left === 0) return [];
  const graph = new DirectedGraph<object, object>();
  for (let i = 0; i < n; i++) if (!gone[i]) graph.addNode(i);
  for (let i = 0; i < n; i++) {
    if (gone[i]) continue;
    for (let k = out.start[i]; k < out.start[i + 1]; k++) {
      const below = to[out.list[k]];
      if (!gone[below]) graph.mergeDirectedEdge(i, below);
    }
  }
  return components
    .stronglyConnectedComponents(graph)
    .filter((group) => group.length > 1)
    .map((group) => group.map(Number).sort((a, b) => a - b))
    .sort((a, b) => a[0] - b[0]);
}

/**
 * Removes, over and over, nodes that have nothing left on the near side, and counts them.
 * `far` leads from a node to the neighbors for which it stands on the near side; `neighbor` is pipe → that node.
 */
function peel(n: number, near: Rows, far: Rows, neighbor: Int32Array, gone: Uint8Array): number {
  const open = new Int32Array(n);
  const stack: number[] = [];
  for (let i = 0; i < n; i++) open[i] += near.start[i + 1] - near.start[i];
  for (let i = 0; i < n; i++) {
    if (!gone[i]) continue;
    for (let k = far.start[i]; k < far.start[i + 1]; k++) open[neighbor[far.list[k]]]--;
  }
  for (let i = 0; i < n; i++) if (!gone[i] && open[i] === 0) stack.push(i);
  let count = 0;
  while (stack.length > 0) {
    const node = stack.pop()!;
    gone[node] = 1;
    count++;
    for (let k = far.start[node]; k < far.start[node + 1]; k++) {
      const next = neighbor[far.list[k]];
      if (--open[next] === 0 && !gone[next]) stack.push(next);
    }
  }
  return count;
}
