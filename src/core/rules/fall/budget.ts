import { ROLE } from "../../graph/compiled.js";
import type { Interval } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import { nodeLevel, reMeasure } from "../settle.js";

interface Stretch {
  /** coil position whose part this is, and the part's place on its path */
  readonly coil: number;
  readonly first: number;
  readonly last: number;
  readonly from: number;
  readonly to: number;
  readonly budget: Interval;
  readonly outcome: Outcome;
  readonly missing: boolean;
  /** coil nodes that have the same outcome here */
  readonly fanCoils: number[];
}

interface Data {
  readonly outcome: Outcome;
  readonly missing: boolean;
  readonly from: number;
  readonly to: number;
  readonly fall: number;
  readonly budget: number;
  readonly low: number;
  readonly high: number;
  readonly coils: readonly number[];
}

const RANK: Readonly<Record<Outcome, number>> = { fail: 2, undetermined: 1, pass: 0 };

/**
 * Stretches between fixed points by the node at which they begin. Coils that share a stretch share the finding; where
 * their needs differ (each pan has its own trap to fill), the worst speaks.
 */
const stretches = indexed(({ net, facts }) => {
  const worst = new Map<number, Stretch>();
  facts.fall.coils.forEach((coil, position) => {
    if (facts.topology.boundary[net.coils[position]] < 0) return;
    for (const { from, to, budget, first, last } of coil.stretches) {
      if (last <= first) continue;
      const { outcome, family } = judgeFigure(budget, 0, "at-least");
      const missing = family === "missing";
      const known = worst.get(from);
      const same = known !== undefined && known.outcome === outcome && known.missing === missing;
      const worse =
        known === undefined ||
        RANK[outcome] > RANK[known.outcome] ||
        (outcome === known.outcome && missing && !known.missing) ||
        (same && budget.best < known.budget.best);
      if (worse) {
        const fanCoils = same ? known.fanCoils : [];
        worst.set(from, { coil: position, first, last, from, to, budget, outcome, missing, fanCoils });
      }
      if (worse || same) worst.get(from)?.fanCoils.push(net.coils[position]);
    }
  });
  return worst;
});

/** The figure on which the drop that a coil's seal needs hangs: the pan's static, else the head that opens its seal. */
const whatDecides = ({ net, facts }: Case, coil: number): string => {
  const trap = net.nodes[facts.topology.firstTrap[net.coilAt[coil]]];
  return net.nodes[coil].coil?.panStatic !== null && trap?.trap?.opensAt === null && trap.trap.sealType !== "water"
    ? `${trap.pointer}/opensAt`
    : `${net.nodes[coil].pointer}/panStatic`;
};

export const fallBudget = defineRule<Data>({
  id: "fall.budget",
  title: "Fall enough between fixed points",
  question: "Between two fixed points, is there fall enough for the trap and the runs, however they are hung?",
  why: "Where the fall is short no re-hanging can help: a fixed point has to move, or the way has to change.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["fan-coils.panStatic", "fan-coils.trapRequirement", "nodes.elevation", "nodes.fixed", "pipes.length"],
  limits: ["fall.minimumGrade", "trap.drawThroughMargin", "trap.blowThroughMargin"],
  notApplicable: "No coil's path reaches an outlet or a pump.",
  remedy: "Lower the fixed point below, raise the one above, or shorten the way.",
  sources: ["imc-307.2.1", "upc-814.1", "trap-manuals"],
  // Anchored on the node at which the stretch begins (the pan or a fixed point): what follows it is one way only, so all
  // coils that share the stretch share the finding.
  anchor: "node",
  subjects: (c) => stretches(c).keys(),
  judge: (c, from) => {
    const stretch = stretches(c).get(from);
    if (stretch === undefined || (stretch.outcome === "pass" && !c.wantPasses)) return PASS;
    const { net } = c;
    const { coil, first, last, to, outcome, missing, budget, fanCoils } = stretch;
    // A pump inside the unit lifts before the fall begins; its discharge is no part of it.
    const falling = c.facts.topology.path(coil).filter((pipe) => net.role[pipe] !== ROLE.pressure);
    const pipes = [...falling.subarray(first, last)];
    const fall = net.fromInvert[pipes[0]] - net.toInvert[pipes[pipes.length - 1]];
    const judged = judgeFigure(budget, 0, "at-least");
    const needs = fanCoils.map((node) => whatDecides(c, node));
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : missing
          ? { family: "missing", settledBy: [...new Set(needs)].map((pointer) => ({ pointer })) }
          : {
              family: "tolerance",
              settledBy: reMeasure(net, [nodeLevel(net, from), nodeLevel(net, to)], judged.within),
            }),
      data: {
        outcome,
        missing,
        from,
        to,
        fall,
        budget: budget.best,
        low: budget.low,
        high: budget.high,
        coils: fanCoils,
      },
      anchor: from,
      subject: { fanCoils, nodes: [from, to], pipes },
      evidence: missing
        ? []
        : [
            evidenceOf("fallBudget", "dimension", judged, { name: "none lacking", source: "derived" }, [
              nodeLevel(net, from).pointer,
              nodeLevel(net, to).pointer,
              ...needs,
            ]),
          ],
      remedy:
        outcome === "fail"
          ? [{ action: "lower-node", on: { node: to }, amount: -budget.low, kind: "dimension", what: "shortfall" }]
          : [],
    };
  },
  say: ({ outcome, missing, from, to, fall, budget, low, high, coils }, speak) => {
    const way = `from ${speak.node(from)} to ${speak.node(to)}`;
    const mm = (x: number) => speak.figure(x, "dimension");
    if (missing)
      return `Whether the fall ${way} is enough cannot be told: the drop that the seal of ${speak.list(coils.map((n) => speak.node(n)))} needs is unknown.`;
    if (outcome === "undetermined")
      return `Within the tolerance of the survey the fall ${way} is anything between ${mm(-low)} too little and ${mm(high)} more than trap and runs need: measure both ends again.`;
    const told = `the fall ${way} is ${mm(fall)}, and trap and runs at their least grade need ${mm(fall - budget)}`;
    return outcome === "pass"
      ? `${told.charAt(0).toUpperCase()}${told.slice(1)}.`
      : `${told.charAt(0).toUpperCase()}${told.slice(1)}: ${speak.figure(-budget, "dimension", "up")} is lacking, however they are hung.`;
  },
});
