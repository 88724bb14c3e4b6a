import { KIND, ROLE } from "../graph/compiled.js";
import { isPipeClosed, openingsOf, partitionOf, type Reading } from "./air-readings.js";
import { indexed } from "./indexed.js";
import type { Case } from "./rule.js";

/** Vent pipes that hang together without touching any other pipe between, and the vents at their ends. */
export interface VentRun {
  readonly vents: readonly number[];
  /** those that are not capped and let air out */
  readonly open: readonly number[];
}

export const isOpenVent = (c: Case, node: number): boolean => {
  const vent = c.net.nodes[node].vent;
  return vent !== null && !vent.capped && vent.opening !== "admittance-valve";
};

const ventRuns = indexed((c) => {
  const { net } = c;
  const ofPipe = new Map<number, VentRun>();
  const isVentOnly = (node: number): boolean => {
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++)
      if (net.role[net.ends.list[k] >> 1] !== ROLE.vent) return false;
    return true;
  };
  for (let first = 0; first < net.pipeCount; first++) {
    if (net.role[first] !== ROLE.vent || ofPipe.has(first)) continue;
    const vents = new Set<number>();
    const run: { vents: number[]; open: number[] } = { vents: [], open: [] };
    const waiting = [first];
    ofPipe.set(first, run);
    for (let pipe = waiting.pop(); pipe !== undefined; pipe = waiting.pop()) {
      for (const node of [net.from[pipe], net.to[pipe]]) {
        if (net.kind[node] === KIND.vent) vents.add(node);
        if (!isVentOnly(node)) continue;
        for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
          const next = net.ends.list[k] >> 1;
          if (ofPipe.has(next)) continue;
          ofPipe.set(next, run);
          waiting.push(next);
        }
      }
    }
    run.vents = [...vents].sort((a, b) => a - b);
    run.open = run.vents.filter((node) => isOpenVent(c, node));
  }
  return ofPipe;
});

/** A vent run where it leaves the drain. */
export interface VentTee {
  readonly node: number;
  /** the vent pipe at the tee */
  readonly pipe: number;
  readonly run: VentRun;
}

/** Vent runs that leave a node; of a trap, those on its outlet side (`after`) or on its inlet side. */
export function* ventTees(c: Case, node: number, side: "after" | "before" = "after"): Generator<VentTee> {
  const { net } = c;
  const ofPipe = ventRuns(c);
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
    const end = net.ends.list[k];
    const pipe = end >> 1;
    if (net.role[pipe] !== ROLE.vent) continue;
    if (net.kind[node] === KIND.trap && (end & 1) !== (side === "after" ? 0 : 1)) continue;
    yield { node, pipe, run: ofPipe.get(pipe)! };
  }
}

/** The stretch of a coil's own drain between its first trap and the main. */
export interface Branch {
  /** along the flow: the trap, then the nodes up to the joining point (without one, the boundary), which is left out */
  readonly nodes: readonly number[];
  readonly tees: readonly VentTee[];
  /** vents on its vent runs, ascending */
  readonly vents: readonly number[];
}

/** Null where the coil has no trap before it joins. */
export const branchOf = (c: Case, coil: number): Branch | null => {
  const { net, facts } = c;
  const trap = facts.topology.firstTrap[coil];
  const joins = facts.topology.joiningPoint[coil];
  if (trap < 0 || trap === joins || !isTrapAboveJoint(c, coil, trap, joins)) return null;
  const nodes: number[] = [];
  const tees: VentTee[] = [];
  const vents = new Set<number>();
  for (let node = trap, steps = 0; node !== joins && steps <= net.nodeCount; steps++) {
    const kind = net.kind[node];
    if (kind === KIND.outlet || kind === KIND.pump) break;
    nodes.push(node);
    for (const tee of ventTees(c, node)) {
      tees.push(tee);
      for (const vent of tee.run.vents) vents.add(vent);
    }
    const next = facts.topology.next[node];
    if (next < 0 || net.to[next] === trap) break;
    node = net.to[next];
  }
  return { nodes, tees, vents: [...vents].sort((a, b) => a - b) };
};

const isTrapAboveJoint = (c: Case, coil: number, trap: number, joins: number): boolean => {
  if (joins < 0) return true;
  const { net, facts } = c;
  for (let node = net.coils[coil], steps = 0; steps <= net.nodeCount; steps++) {
    if (node === trap) return true;
    if (node === joins) return false;
    const next = facts.topology.next[node];
    if (next < 0) return false;
    node = net.to[next];
  }
  return false;
};

/** Does the branch breathe through an open vent of its own, in a reading of the doubtful closures? */
export const hasOwnVent = (c: Case, branch: Branch, reading: Reading): boolean => {
  const partition = partitionOf(c, reading);
  const openings = openingsOf(partition);
  return branch.tees.some(
    ({ pipe, run }) =>
      !isPipeClosed(c, pipe, reading) &&
      run.open.some((vent) => openings.has(vent) && partition.ofNode[vent] === partition.ofPipe[pipe]),
  );
};

/** Capped vents of a branch: opening one of them would serve. */
export const cappedVents = (c: Case, vents: readonly number[]): number[] =>
  vents.filter((vent) => c.net.nodes[vent].vent?.capped === true);

/**
 * Where a branch's vent is best made: the first node after the trap that has air, else the trap's own outlet side; -1
 * where water fills them all.
 */
export const ventPlace = (c: Case, branch: Branch): number => {
  const { ofOutletSide } = partitionOf(c, "best");
  const [trap, ...nodes] = branch.nodes;
  return [...nodes, trap].find((node) => ofOutletSide[node] >= 0) ?? -1;
};
