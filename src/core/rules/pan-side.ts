import { KIND, ROLE } from "../graph/compiled.js";
import type { Case } from "./rule.js";
import { ventTees } from "./vent-runs.js";

/** Nodes on the pan's side of a coil's first trap: the coil, the nodes of the connecting piece, the trap's inlet side. */
export function* panSideNodes(c: Case, coil: number): Generator<number> {
  const { net, facts } = c;
  const trap = facts.topology.firstTrap[coil];
  for (let node = net.coils[coil], steps = 0; steps <= net.nodeCount; steps++) {
    yield node;
    if (node === trap) return;
    const next = facts.topology.next[node];
    if (next < 0) return;
    node = net.to[next];
  }
}

/**
 * Vents and cleanouts that hang on the pan's side of a coil's first trap: on the piece itself, on stubs, on dead ends that
 * enter it. Ascending.
 */
export const panSideOpenings = (c: Case, coil: number): number[] => {
  const { net, facts } = c;
  const trap = facts.topology.firstTrap[coil];
  const found = new Set<number>();
  const seen = new Set<number>();
  const look = (node: number): void => {
    if (seen.has(node)) return;
    seen.add(node);
    if (net.kind[node] === KIND.cleanout) found.add(node);
    for (const tee of ventTees(c, node, "before")) for (const vent of tee.run.vents) found.add(vent);
    if (node !== trap) for (const tee of ventTees(c, node)) for (const vent of tee.run.vents) found.add(vent);
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      const pipe = end >> 1;
      // A stub on a trap stands on its outlet side where it leaves the trap.
      if (net.role[pipe] === ROLE.access && (node !== trap || (end & 1) === 1))
        look(end & 1 ? net.from[pipe] : net.to[pipe]);
      const entersDead = net.role[pipe] === ROLE.drain && (end & 1) === 1 && facts.topology.coilsAbove[pipe] === 0;
      if (entersDead && net.kind[net.from[pipe]] !== KIND.trap) look(net.from[pipe]);
    }
  };
  for (const node of panSideNodes(c, coil)) look(node);
  return [...found].sort((a, b) => a - b);
};
