import type { Facts } from "../analysis/facts.js";
import { hostOf } from "../analysis/trip-cover.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";

/** Where to work from on something that is blocked, and whom to stop meanwhile. */
export interface WorkPoints {
  /** points to work from, nearest first in each direction, null where there is none */
  readonly upstream: string | null;
  readonly downstream: string | null;
  /** fan coils to stop so that no water comes while the pipe is open */
  readonly isolate: readonly string[];
}

/** Finds the work points of a place by the node above it and the node below it; of a node that is one and the same. */
export function workPoints(net: Compiled, facts: Facts): (top: number, foot: number) => WorkPoints {
  const pointAt = new Map<number, number>();
  for (const { node } of facts.access.points) {
    const host = hostOf(net, node);
    if (!pointAt.has(host)) pointAt.set(host, node);
  }
  const idAt = (host: number): string | null => {
    const point = pointAt.get(host);
    return point === undefined ? null : net.nodes[point].id;
  };
  return (top, foot) => ({
    upstream: upstreamPoint(net, facts, top, idAt),
    downstream: downstreamPoint(net, facts, foot, idAt),
    isolate: coilsFeeding(net, facts, top).map((node) => net.nodes[node].id),
  });
}

type PointAt = (host: number) => string | null;

function downstreamPoint(net: Compiled, { topology }: Facts, foot: number, idAt: PointAt): string | null {
  const met = new Set<number>();
  for (let n = foot; !met.has(n); ) {
    const id = idAt(n);
    if (id !== null) return id;
    met.add(n);
    const p = topology.next[n];
    if (p < 0 || net.kind[n] === KIND.pump) return null;
    n = net.to[p];
  }
  return null;
}

/** Against the flow, the nearest along the pipes; branches meet, so all of them are looked into. */
function upstreamPoint(net: Compiled, { topology }: Facts, top: number, idAt: PointAt): string | null {
  const reached = new Map([[top, 0]]);
  let nearest: { readonly id: string; readonly far: number } | null = null;
  for (const [n, far] of reached) {
    if (nearest !== null && far >= nearest.far) continue;
    const id = idAt(n);
    if (id !== null) {
      nearest = { id, far };
      continue;
    }
    for (let k = net.drainsIn.start[n]; k < net.drainsIn.start[n + 1]; k++) {
      const p = net.drainsIn.list[k];
      if (topology.next[net.from[p]] === p && !reached.has(net.from[p])) reached.set(net.from[p], far + net.length[p]);
    }
  }
  return nearest?.id ?? null;
}

/** Nodes whose water comes to a node, itself included; what is pumped up comes too. */
export function nodesAbove(net: Compiled, { topology }: Facts, node: number): ReadonlySet<number> {
  const above = new Set([node]);
  for (const n of above)
    for (let k = net.ends.start[n]; k < net.ends.start[n + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const carries = net.role[p] === ROLE.drain || net.role[p] === ROLE.pressure;
      if (net.ends.list[k] & 1 && carries && topology.next[net.from[p]] === p) above.add(net.from[p]);
    }
  return above;
}

/** Fan coils in service whose water comes to a node, ascending. */
export const coilsFeeding = (net: Compiled, facts: Facts, node: number): number[] =>
  [...nodesAbove(net, facts, node)]
    .filter((n) => net.coilAt[n] >= 0 && net.nodes[n].coil!.inService)
    .sort((a, b) => a - b);
