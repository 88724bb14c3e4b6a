import type { Compiled } from "../graph/compiled.js";
import { boreFamily, boreSettle } from "./air-readings.js";
import type { Case, Family, Settle } from "./rule.js";

/** A level that was measured: whose tolerance it carries, and where the document states it. */
export interface MeasuredLevel {
  readonly node: number;
  readonly pointer: string;
}

export const nodeLevel = (net: Compiled, node: number): MeasuredLevel => ({
  node,
  pointer: `${net.nodes[node].pointer}/elevation`,
});

/** The level of a pipe's upstream end: its own invert where it has one, else the node's. */
export const fromLevel = (net: Compiled, pipe: number): MeasuredLevel =>
  net.fromOwn[pipe]
    ? { node: net.from[pipe], pointer: `${net.pipes[pipe].pointer}/fromInvert` }
    : nodeLevel(net, net.from[pipe]);

export const toLevel = (net: Compiled, pipe: number): MeasuredLevel =>
  net.toOwn[pipe]
    ? { node: net.to[pipe], pointer: `${net.pipes[pipe].pointer}/toInvert` }
    : nodeLevel(net, net.to[pipe]);

/**
 * What to measure again, and how closely (m): half-widths add, so each level gets an equal share of the distance to the
 * limit. Levels without a tolerance are not asked for.
 */
export const reMeasure = (net: Compiled, levels: readonly MeasuredLevel[], margin: number): Settle[] => {
  const uncertain = new Map(
    levels.filter((level) => net.tolerance[level.node] > 0).map((level) => [level.pointer, level]),
  );
  const share = margin / Math.max(1, uncertain.size);
  return [...uncertain.keys()].map((pointer) => ({ pointer, within: share }));
};

/**
 * The level that holds the water back at a node without a tolerance of its own: further down the main way, the first one
 * that was measured. Empty where none was.
 */
export const heldFrom = (c: Case, node: number): MeasuredLevel[] => {
  const { net, facts } = c;
  const met = new Set<number>();
  for (let at = node; !met.has(at); ) {
    met.add(at);
    const pipe = facts.topology.next[at];
    if (pipe < 0) return [];
    at = net.to[pipe];
    if (net.tolerance[at] > 0) return [toLevel(net, pipe), nodeLevel(net, at)];
  }
  return [];
};

/** What is lacking where bores are unknown: those that nobody gave first, else those that no table has; null: none. */
export const boresLacking = (
  c: Case,
  pipes: readonly number[],
): { readonly family: Family; readonly settledBy: Settle[] } | null => {
  const lacking = pipes.filter((pipe) => Number.isNaN(c.facts.geometry.bore[pipe]));
  if (lacking.length === 0) return null;
  const family: Family = lacking.some((pipe) => boreFamily(c, pipe) === "missing") ? "missing" : "method";
  return {
    family,
    settledBy: lacking.filter((pipe) => boreFamily(c, pipe) === family).map((pipe) => boreSettle(c, pipe)),
  };
};
