import { type AirPartition, CLOSURE } from "../analysis/facts.js";
import { ROLE } from "../graph/compiled.js";
import { materialById } from "../materials/materials.js";
import { outsideDiameterName, sizeName } from "../quantity/sizes.js";
import type { Case, Family, Settle } from "./rule.js";

/** Which ends count as closed: at best values, with every doubtful closure closed, or with every one open. */
export type Reading = "best" | "closed" | "open";

/** The readings that an outcome must agree on: one where nothing is doubtful. */
export const readings = (c: Case): readonly Reading[] => {
  const { best, closed, open } = c.facts.air;
  return best === closed && best === open ? ["best"] : ["best", "closed", "open"];
};

export const partitionOf = (c: Case, reading: Reading): AirPartition => c.facts.air[reading];

const openingsKnown = new WeakMap<AirPartition, Set<number>>();

/** Nodes that are openings to the atmosphere in a partition. */
export const openingsOf = (partition: AirPartition): ReadonlySet<number> => {
  let known = openingsKnown.get(partition);
  if (known === undefined) {
    known = new Set<number>();
    for (const space of partition.spaces) for (const node of space.openings) known.add(node);
    openingsKnown.set(partition, known);
  }
  return known;
};

/** Is a pipe closed by standing water at either end, in a reading? */
export const isPipeClosed = (c: Case, pipe: number, reading: Reading): boolean => {
  const bit = reading === "best" ? CLOSURE.best : reading === "closed" ? CLOSURE.wettest : CLOSURE.driest;
  return ((c.facts.water.fromClosure[pipe] | c.facts.water.toClosure[pipe]) & bit) !== 0;
};

const isDoubtful = (bits: number): boolean =>
  (bits & CLOSURE.unknownBore) !== 0 || ((bits & CLOSURE.wettest) !== 0 && (bits & CLOSURE.driest) === 0);

/** Where the bore of a pipe is to be given: a stub in one line takes its size only. */
export const borePointer = (c: Case, pipe: number): string => {
  const { id, pointer } = c.net.pipes[pipe];
  const isStub = /\/(vent|cleanout)$/.test(id) && pointer.endsWith(id.slice(id.lastIndexOf("/")));
  return `${pointer}${isStub ? "/size" : "/insideDiameter"}`;
};

/** A bore that nobody gave is missing; a size and material that no table holds is a matter of method. */
export const boreFamily = (c: Case, pipe: number): "missing" | "method" =>
  c.net.pipes[pipe].size === null || c.net.pipes[pipe].material === null ? "missing" : "method";

export const boreSettle = (c: Case, pipe: number): Settle => {
  const pointer = borePointer(c, pipe);
  if (boreFamily(c, pipe) === "missing") return { pointer };
  const known = sizesKnown(c, pipe);
  return {
    pointer,
    decision:
      known === null
        ? "State the inside diameter: no table gives a bore for this material and size."
        : `State the inside diameter: ${known}`,
  };
};

/** The sizes that the table of a pipe's material has, in a sentence; null where the material has no table. */
export const sizesKnown = (c: Case, pipe: number): string | null => {
  const { material, size } = c.net.pipes[pipe];
  const info = material === null ? undefined : materialById(material);
  if (info === undefined || size === null || info.sizes.length === 0) return null;
  const named = (dn: number) =>
    info.sizedBy === "nominal" ? sizeName(dn, c.profile.sizeSystem) : outsideDiameterName(dn);
  return `the table of ${info.id} has no ${named(size)}, only ${info.sizes.map((row) => named(row.size)).join(", ")}.`;
};

/** Unknown bores that decide whether a pipe's end is closed: its own, or of a plumb pipe those of the runs at its node. */
const boresThatClose = (c: Case, pipe: number, node: number): readonly number[] => {
  const { bore, vertical } = c.facts.geometry;
  if (vertical[pipe] !== 1) return [pipe];
  const sloping: number[] = [];
  for (let k = c.net.ends.start[node]; k < c.net.ends.start[node + 1]; k++) {
    const other = c.net.ends.list[k] >> 1;
    if (vertical[other] !== 1 && Number.isNaN(bore[other])) sloping.push(other);
  }
  const drains = sloping.filter((other) => c.net.role[other] === ROLE.drain);
  return drains.length > 0 ? drains : sloping.length > 0 ? sloping : [pipe];
};

/**
 * What would settle an outcome that hangs on doubtful closures among these pipes (or, where none of them is doubtful,
 * anywhere): the bores that are missing first, else the levels to measure more closely, else the bores that no table has.
 */
export const settleClosures = (
  c: Case,
  pipes: Iterable<number>,
): { readonly family: Family; readonly settledBy: readonly Settle[] } => {
  const { water } = c.facts;
  const missing = new Map<string, Settle>();
  const method = new Map<string, Settle>();
  const tolerance = new Map<string, Settle>();
  const ask = (pipe: number): void => {
    for (const [bits, node, level, crown] of [
      [water.fromClosure[pipe], c.net.from[pipe], water.fromLevel[pipe], water.fromCrown[pipe]],
      [water.toClosure[pipe], c.net.to[pipe], water.toLevel[pipe], water.toCrown[pipe]],
    ] as const) {
      if (!isDoubtful(bits)) continue;
      if ((bits & CLOSURE.unknownBore) !== 0) {
        for (const unknown of boresThatClose(c, pipe, node)) {
          const settle = boreSettle(c, unknown);
          (boreFamily(c, unknown) === "missing" ? missing : method).set(settle.pointer, settle);
        }
      } else {
        const pointer = `${c.net.nodes[node].pointer}/elevation`;
        const within = Math.abs(crown - level);
        const known = tolerance.get(pointer)?.within ?? Number.POSITIVE_INFINITY;
        tolerance.set(pointer, Number.isNaN(within) ? { pointer } : { pointer, within: Math.min(within, known) });
      }
    }
  };
  for (const pipe of pipes) ask(pipe);
  if (missing.size + method.size + tolerance.size === 0) for (let p = 0; p < c.net.pipeCount; p++) ask(p);
  if (missing.size > 0) return { family: "missing", settledBy: [...missing.values()] };
  if (tolerance.size > 0) return { family: "tolerance", settledBy: [...tolerance.values()] };
  return { family: "method", settledBy: [...method.values()] };
};
