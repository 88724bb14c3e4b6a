import { indexed } from "./indexed.js";
import type { Case, Family, Settle } from "./rule.js";

/** At most so many coils are named for one pipe; the rest are named by the pipes further up. */
const NAMED = 20;

interface Unknown {
  /** pipe → nodes of coils above whose capacity is not known */
  readonly capacity: ReadonlyMap<number, readonly number[]>;
  /** pipe → nodes of coils above whose condensate is not known */
  readonly rate: ReadonlyMap<number, readonly number[]>;
}

const unknownAbove = indexed<Unknown>((c) => {
  const { net, facts } = c;
  const gather = (values: Float64Array): Map<number, number[]> => {
    const above = new Map<number, number[]>();
    // Each pipe hands its list on until the list is full, so a long main is not walked once per coil.
    const lists: number[][] = Array.from({ length: net.nodeCount }, () => []);
    const add = (node: number, coils: readonly number[]): void => {
      for (const coil of coils) if (lists[node].length < NAMED && !lists[node].includes(coil)) lists[node].push(coil);
    };
    for (let coil = 0; coil < net.coils.length; coil++)
      if (Number.isNaN(values[coil])) add(net.coils[coil], [net.coils[coil]]);
    for (let k = net.downstreamFirst.length - 1; k >= 0; k--) {
      const node = net.downstreamFirst[k];
      const pipe = facts.topology.next[node];
      if (pipe < 0 || lists[node].length === 0) continue;
      above.set(
        pipe,
        [...lists[node]].sort((a, b) => a - b),
      );
      add(net.to[pipe], lists[node]);
    }
    return above;
  };
  return { capacity: gather(facts.loads.capacity), rate: gather(facts.loads.rate) };
});

const settle = (
  c: Case,
  pipe: number,
  above: ReadonlyMap<number, readonly number[]>,
): { family: Family; settledBy: readonly Settle[] } => {
  const coils = above.get(pipe) ?? [];
  if (coils.length > 0)
    return {
      family: "missing",
      settledBy: coils.map((coil) => ({ pointer: `${c.net.nodes[coil].pointer}/coolingCapacity` })),
    };
  const decision = "Take the loop of drains out: round a loop no load can be summed.";
  return { family: "method", settledBy: [{ pointer: c.net.pipes[pipe].pointer, decision }] };
};

/** What would make a drain's connected capacity known. */
export const settleCapacity = (c: Case, pipe: number): { family: Family; settledBy: readonly Settle[] } =>
  settle(c, pipe, unknownAbove(c).capacity);

/** What would make a drain's design flow known. */
export const settleFlow = (c: Case, pipe: number): { family: Family; settledBy: readonly Settle[] } =>
  settle(c, pipe, unknownAbove(c).rate);
