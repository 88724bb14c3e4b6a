import type { Compiled } from "../graph/compiled.js";
import type { ModelFloor } from "../network/model.js";
import { EPSILON } from "../quantity/interval.js";
import { naturalOrder } from "../quantity/natural-order.js";

/** The floor on which somebody stands who works at a node: the stated one, else the highest that is not above it. */
export function floorFinder({ model, nodes, z }: Compiled): (node: number) => ModelFloor | null {
  const byId = new Map(model.floors.map((floor) => [floor.id, floor]));
  // of floors of one height the first in natural order
  const rising = [...model.floors].sort((a, b) => a.elevation - b.elevation || naturalOrder(b.id, a.id));
  return (node) =>
    byId.get(nodes[node].floor ?? "") ?? rising.findLast(({ elevation }) => elevation <= z[node] + EPSILON) ?? null;
}
