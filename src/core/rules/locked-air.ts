import type { AirPartition } from "../analysis/facts.js";
import { KIND } from "../graph/compiled.js";
import { partitionOf, type Reading } from "./air-readings.js";
import type { Case } from "./rule.js";

/** A trapped air space on the way out of some coils, between two seals. */
export interface LockedSpace {
  readonly space: number;
  /** its first node; without one, its first trap */
  readonly anchor: number;
  /** positions of the coils whose path leaves it through a seal */
  readonly coils: readonly number[];
  /** what closes it on the downstream side: indices into facts.seals.list */
  readonly seals: readonly number[];
}

const anchorOf = (partition: AirPartition, space: number): number =>
  partition.spaces[space].nodes[0] ?? partition.spaces[space].traps[0];

const known = new WeakMap<AirPartition, readonly LockedSpace[]>();

/**
 * Trapped spaces that a coil's path enters and leaves through a seal. A dead end is none: there the air is not between
 * the water and its outlet, the outlet is missing. Linear in the network, plus each coil's changes of space.
 */
export const lockedSpaces = (c: Case, reading: Reading): readonly LockedSpace[] => {
  const partition = partitionOf(c, reading);
  const found = known.get(partition);
  if (found !== undefined) return found;
  const made = partition.spaces.some((space) => space.kind === "trapped" && space.onPath) ? find(c, partition) : [];
  known.set(partition, made);
  return made;
};

function find(c: Case, partition: AirPartition): readonly LockedSpace[] {
  const { net, facts } = c;
  const { next } = facts.topology;
  const { ofNode, ofOutletSide, ofPipe } = partition;
  // From each node, the last node on the way down before the air space changes: long mains are crossed in one step.
  const jump = Int32Array.from({ length: net.nodeCount }, (_, node) => node);
  for (const node of net.downstreamFirst) {
    const pipe = next[node];
    if (pipe < 0 || net.onCycle[node] === 1 || facts.topology.intoCycle[node] === 1) continue;
    const below = net.to[pipe];
    const space = ofOutletSide[node];
    const isOneSpace = ofNode[node] === space && ofPipe[pipe] === space;
    if (isOneSpace && ofNode[below] === space && ofOutletSide[below] === space) jump[node] = jump[below];
  }
  const spaces = new Map<number, { coils: number[]; seals: Set<number> }>();
  for (let coil = 0; coil < net.coils.length; coil++) {
    let current = ofNode[net.coils[coil]];
    const entered = new Set<number>();
    const leave = (to: number, seal: () => number): void => {
      if (to === current) return;
      const kind = current < 0 ? null : partition.spaces[current].kind;
      if (kind === "trapped" && partition.spaces[current].onPath && entered.has(current)) {
        const entry = spaces.get(current) ?? { coils: [], seals: new Set<number>() };
        spaces.set(current, entry);
        if (entry.coils.at(-1) !== coil) entry.coils.push(coil);
        const index = seal();
        if (index >= 0) entry.seals.add(index);
      }
      current = to;
      if (to >= 0) entered.add(to);
    };
    const poolSeal = (pipe: number): number => {
      const { poolOfEnd, fromClosure } = facts.water;
      const pool = fromClosure[pipe] !== 0 ? poolOfEnd[pipe * 2] : poolOfEnd[pipe * 2 + 1];
      return pool < 0 ? -1 : facts.seals.ofPool[pool];
    };
    let pipeAbove = -1;
    let node = net.coils[coil];
    for (let steps = 0; steps <= net.nodeCount; steps++) {
      node = jump[node];
      const isTrap = net.kind[node] === KIND.trap;
      // Water in the way closes a node too; which pool it is, the pipes that meet there know.
      leave(ofNode[node], () => (pipeAbove < 0 ? -1 : poolSeal(pipeAbove)));
      if (isTrap) leave(ofOutletSide[node], () => facts.seals.ofTrap[node]);
      const pipe = next[node];
      if (pipe < 0) break;
      leave(ofPipe[pipe], () => poolSeal(pipe));
      pipeAbove = pipe;
      node = net.to[pipe];
    }
  }
  return [...spaces]
    .map(([space, { coils, seals }]) => ({ space, anchor: anchorOf(partition, space), coils, seals: [...seals] }))
    .sort((a, b) => a.anchor - b.anchor);
}
