import { ROLE } from "../graph/compiled.js";
import { indexed } from "./indexed.js";

/** Where the water of coils goes that reach no outlet. */
interface DeadEnds {
  /** coil → the last node of its path, or the node at which it meets a loop; -1 where it reaches an outlet */
  readonly end: Int32Array;
  /** group of a loop (index into net.cycles) → coil nodes whose path runs into it */
  readonly coilsInto: readonly (readonly number[])[];
}

export const deadEnds = indexed<DeadEnds>(({ net, facts }) => {
  const group = new Int32Array(net.nodeCount).fill(-1);
  net.cycles.forEach((nodes, index) => {
    for (const node of nodes) group[node] = index;
  });
  const endOf = new Int32Array(net.nodeCount).fill(-1);
  const find = (start: number): number => {
    const walked: number[] = [];
    let node = start;
    // Main ways may also run in circles through a pump, which is no loop of drains: the walk ends where it began to repeat.
    const met = new Set<number>();
    while (endOf[node] < 0 && group[node] < 0 && facts.topology.next[node] >= 0 && !met.has(node)) {
      met.add(node);
      walked.push(node);
      node = net.to[facts.topology.next[node]];
    }
    const end = endOf[node] >= 0 ? endOf[node] : node;
    for (const passed of walked) endOf[passed] = end;
    return end;
  };
  const coilsInto: number[][] = net.cycles.map(() => []);
  const end = new Int32Array(net.coils.length).fill(-1);
  net.coils.forEach((coil, position) => {
    if (facts.topology.outlet[coil] >= 0) return;
    end[position] = find(coil);
    const loop = group[end[position]];
    if (loop >= 0) coilsInto[loop].push(coil);
  });
  return { end, coilsInto };
});

/** Drains and discharges that run from one node of the group to another. */
export const pipesWithin = (
  net: {
    readonly waysOut: { start: Int32Array; list: Int32Array };
    readonly to: Int32Array;
    readonly role: Uint8Array;
  },
  group: readonly number[],
): number[] => {
  const members = new Set(group);
  const pipes: number[] = [];
  for (const node of group)
    for (let k = net.waysOut.start[node]; k < net.waysOut.start[node + 1]; k++) {
      const pipe = net.waysOut.list[k];
      if (members.has(net.to[pipe]) && (net.role[pipe] === ROLE.drain || net.role[pipe] === ROLE.pressure))
        pipes.push(pipe);
    }
  return pipes.sort((a, b) => a - b);
};
