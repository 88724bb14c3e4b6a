import { KIND } from "../graph/compiled.js";
import type { Case } from "./rule.js";

const MOVABLE: ReadonlySet<number> = new Set([KIND.junction, KIND.bend, KIND.reducer, KIND.point, KIND.cleanout]);

export const movable = (c: Case, node: number): boolean => MOVABLE.has(c.net.kind[node]) && !c.net.nodes[node].fixed;

/** What a drain may lose of its fall: down to the code's least grade where it holds it now, else nothing. */
const spare = (c: Case, pipe: number): number => {
  const { fall, run, gradeMinimum, vertical } = c.facts.fall;
  const least = vertical[pipe] ? run[pipe] : Math.max(0, gradeMinimum[pipe] || 0) * run[pipe];
  return fall[pipe] - least;
};

/** The node can be re-hung `by` metres higher without spoiling a drain that enters it. */
export const raisable = (c: Case, node: number, by: number): boolean => {
  if (!movable(c, node)) return false;
  const { start, list } = c.net.drainsIn;
  for (let k = start[node]; k < start[node + 1]; k++) {
    const pipe = list[k];
    if (!c.net.toOwn[pipe] && spare(c, pipe) < by - 1e-9) return false;
  }
  return true;
};

/** The node can be re-hung `by` metres lower without spoiling a drain that leaves it. */
export const lowerable = (c: Case, node: number, by: number): boolean => {
  if (!movable(c, node)) return false;
  const { start, list } = c.net.drainsOut;
  for (let k = start[node]; k < start[node + 1]; k++) {
    const pipe = list[k];
    if (!c.net.fromOwn[pipe] && spare(c, pipe) < by - 1e-9) return false;
  }
  return true;
};
