import type { Compiled } from "../graph/compiled.js";
import type { Topology } from "./facts.js";
import { isSealed } from "./seals.js";

/** The piece of drain between a pan and its trap, and what parts it from the pool. */
export interface PanSide {
  readonly lift: number;
  readonly pipes: readonly number[];
  /** level of the weir over which it feeds the pool; −∞: nothing parts them */
  readonly gate: number;
  /** the trap holds water: what stands before it is already lifted over its weir */
  readonly sealed: boolean;
  /** the blockage itself lies before the trap */
  readonly holdsEnd: boolean;
}

/** First trap on a coil's (position) way before the next pump or outlet, -1 none. */
const trapOf = (net: Compiled, ways: Topology, c: number): number => {
  const trap = ways.firstTrap[c];
  return trap >= 0 && ways.boundary[trap] === ways.boundary[net.coils[c]] ? trap : -1;
};

/**
 * What lies before a coil's trap, of which several coils share nothing.
 * @param end the node from which the pool rises
 * @param standsAt node → level of its standing water
 */
export function panSide(
  net: Compiled,
  ways: Topology,
  c: number,
  lift: number,
  end: number,
  standsAt: (node: number) => number,
): PanSide {
  const pipes: number[] = [];
  const trap = trapOf(net, ways, c);
  if (trap < 0) return { lift, pipes, gate: -Infinity, sealed: false, holdsEnd: net.coils[c] === end };
  const sealed = isSealed(net, trap);
  let alone = true;
  for (let node = net.coils[c]; node !== trap; node = net.to[ways.next[node]]) {
    if (node === end) return { lift, pipes, gate: -Infinity, sealed, holdsEnd: alone };
    const p = ways.next[node];
    alone &&= ways.common[p] === 0;
    if (alone) pipes.push(p);
  }
  return { lift, pipes, gate: standsAt(trap), sealed, holdsEnd: false };
}

/** Drain → coil (position) alone before whose trap it lies, -1 none. */
export function coilsBefore(net: Compiled, ways: Topology): Int32Array {
  const coilBefore = new Int32Array(net.pipeCount).fill(-1);
  for (let c = 0; c < net.coils.length; c++) {
    const trap = trapOf(net, ways, c);
    if (trap < 0) continue;
    for (let node = net.coils[c]; node !== trap && !ways.common[ways.next[node]]; node = net.to[ways.next[node]])
      coilBefore[ways.next[node]] = c;
  }
  return coilBefore;
}
