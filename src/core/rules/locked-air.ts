import { partitionOf, type Reading } from "./air-readings.js";
import type { Case, RemedyStep } from "./rule.js";
import { branchOf, cappedVents, ventPlace } from "./vent-runs.js";

/** Index of a trapped space in a reading's partition, and the coils (by position) whose way out it bars. */
export interface Pocket {
  readonly reading: Reading;
  readonly space: number;
  readonly coils: readonly number[];
}

/** Its capped vents: opening one of them would let the air out. */
export const cappedVentsOf = (c: Case, { reading, space }: Pocket): number[] =>
  cappedVents(c, partitionOf(c, reading).spaces[space].nodes);

/** What lets the air out: opening its capped vent, else a new one, its top above the pans' own level for vents. */
export const openPocket = (c: Case, pocket: Pocket): RemedyStep => {
  const [capped] = cappedVentsOf(c, pocket);
  if (capped !== undefined) return { action: "open-vent", on: { node: capped } };
  const tops = pocket.coils.map((coil) => c.facts.seals.leastVentTop[coil]).filter((top) => !Number.isNaN(top));
  return {
    action: "add-vent",
    on: { node: placeForVent(c, pocket) },
    ...(tops.length > 0 ? { amount: Math.max(...tops), kind: "length" as const, what: "top above" } : {}),
  };
};

/** A node of the space that water passes, best just after the trap of one of its coils. */
const placeForVent = (c: Case, { reading, space, coils }: Pocket): number => {
  const { spaces, ofOutletSide } = partitionOf(c, reading);
  for (const coil of coils) {
    const branch = branchOf(c, coil);
    const place = branch === null ? -1 : ventPlace(c, branch);
    if (place >= 0 && ofOutletSide[place] === space) return place;
  }
  const { nodes, traps } = spaces[space];
  return nodes.find((node) => c.facts.topology.next[node] >= 0) ?? nodes[0] ?? traps[0];
};

/** Every pipe whose closing could make the difference: those of the space, the coils' ways out and the vents on them. */
export function* pipesAround(c: Case, { reading, space, coils }: Pocket): Generator<number> {
  yield* partitionOf(c, reading).spaces[space].pipes;
  for (const coil of coils.slice(0, 8)) {
    yield* c.facts.topology.path(coil);
    for (const tee of branchOf(c, coil)?.tees ?? []) yield tee.pipe;
  }
}
