import { limitOf } from "../../profiles/profile.js";
import { type Interval, within } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Evidence, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { boresLacking, fromLevel, reMeasure, toLevel } from "../settle.js";
import { settleFlow } from "../unknown-loads.js";
import { inLoop, isInLoop, loadedDrains } from "./code-table.js";

/**
 * Share of the capacity that the design flow takes, with the tolerance of the grade. What a sloping pipe carries goes
 * with the root of its grade; where the tolerance lets the run lie level, `fall.*` judges it and the best value stands.
 */
const utilisationOf = (c: Case, pipe: number): Interval => {
  const { fall, capacity } = c.facts;
  const best = capacity.utilisation[pipe];
  const run = fall.runOf[pipe] < 0 ? null : fall.runs[fall.runOf[pipe]];
  if (run === null || fall.vertical[pipe] === 1 || !(run.gradeLow > 0)) return within(best, 0);
  return {
    low: best * Math.sqrt(run.grade / run.gradeHigh),
    best,
    high: best * Math.sqrt(run.grade / run.gradeLow),
  };
};

interface Data {
  readonly outcome: Outcome;
  readonly pipe: number;
  readonly isRiser: boolean;
  readonly flow: number;
  readonly capacity: number;
  readonly fill: number;
  readonly limit: number;
  readonly open: null | "loop" | "flow" | "bore" | "grade";
}

export const sizeHydraulic = defineRule<Data>({
  id: "size.hydraulic",
  title: "Pipe too small for its peak flow",
  question: "Does the peak flow stay within the allowed fill or riser fraction?",
  why: "A drain needs room for air above its water. Beyond the allowed fill it runs full in slugs, closes the air path and empties traps.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.condensateRate", "nodes.coolingCapacity", "nodes.elevation", "pipes.size", "pipes.material"],
  limits: ["capacity.maximumFill", "capacity.riserFraction", "capacity.manningN"],
  notApplicable: "No falling drain carries the water of a coil.",
  remedy: "Enlarge the pipe, or give it more grade.",
  sources: ["manning", "nbs-monograph-31"],
  anchor: "pipe",
  *subjects(c) {
    for (const pipe of loadedDrains(c)) if (c.facts.fall.fall[pipe] > 0) yield pipe;
  },
  judge(c, pipe) {
    const used = utilisationOf(c, pipe);
    if (used.high <= 1 && !c.wantPasses) return PASS;
    const { net, facts, profile } = c;
    const { capacity, loads } = facts;
    const isFlowKnown = !Number.isNaN(loads.designFlow[pipe]);
    const isBoreKnown = !Number.isNaN(capacity.bore[pipe]);
    const judged = judgeFigure(used, 1, "at-most");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const isRiser = facts.fall.vertical[pipe] === 1;
    const limit = limitOf(profile, isRiser ? "capacity.riserFraction" : "capacity.maximumFill");
    const open =
      outcome !== "undetermined"
        ? null
        : !isFlowKnown
          ? isInLoop(c, pipe)
            ? "loop"
            : "flow"
          : !isBoreKnown
            ? "bore"
            : "grade";
    const { pointer } = net.pipes[pipe];
    const fill = capacity.fillRatio[pipe];
    const evidence: Evidence[] = [];
    if (!Number.isNaN(judged.best))
      evidence.push(evidenceOf("utilisation", "ratio", judged, { name: "capacity", source: limit.source }, [pointer]));
    if (!Number.isNaN(fill))
      evidence.push({
        ...plainEvidence("fillRatio", "ratio", within(fill, 0), [pointer]),
        limit: { name: limit.name, value: limit.value, source: limit.source },
        margin: limit.value - fill,
      });
    if (isFlowKnown) evidence.push(plainEvidence("designFlow", "flow", within(loads.designFlow[pipe], 0), [pointer]));
    const size = Math.max(capacity.requiredSize[pipe], capacity.hydraulicSize[pipe]);
    return {
      outcome,
      ...(open === null ? {} : settle(c, pipe, open)),
      data: {
        outcome,
        pipe,
        isRiser,
        flow: loads.designFlow[pipe],
        capacity: capacity.capacity[pipe],
        fill,
        limit: limit.value,
        open,
      },
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence,
      remedy:
        outcome === "fail"
          ? [{ action: "enlarge-pipe", on: { pipe }, ...(size > 0 ? { amount: size, kind: "size" as const } : {}) }]
          : undefined,
    };
  },
  say: ({ outcome, pipe, isRiser, flow, capacity, fill, limit, open }, speak) => {
    const name = speak.pipe(pipe);
    if (open === "loop") return inLoop(pipe, speak);
    if (open === "flow")
      return `Whether ${name} carries its peak flow cannot be told: the condensate of a coil above it is not known.`;
    if (open === "bore") return `Whether ${name} carries its peak flow cannot be told: its bore is not known.`;
    const { figure, limit: most } = speak.against(flow, capacity, "flow");
    const kind = isRiser
      ? `${speak.figure(limit, "ratio")} of a riser's bore`
      : `a fill of ${speak.figure(limit, "ratio")}`;
    if (open === "grade")
      return `${name} takes ${figure} at peak against ${most} that it carries at ${kind}: too close for the tolerance of its grade.`;
    if (outcome === "pass") return `${name} takes ${figure} at peak and carries ${most} at ${kind}.`;
    const full = fill >= 1 ? "it runs full" : `it runs ${speak.against(fill, limit, "ratio").figure} full`;
    return `${name} takes ${figure} at peak, more than the ${most} that it carries at ${kind}: ${full}.`;
  },
});

function settle(
  c: Case,
  pipe: number,
  open: "loop" | "flow" | "bore" | "grade",
): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  if (open === "loop") return settleFlow(c, pipe);
  if (open === "flow") {
    const flow = settleFlow(c, pipe);
    const bores = flow.family === "method" ? boresLacking(c, [pipe]) : null;
    return bores !== null && bores.family === "missing" ? bores : flow;
  }
  if (open === "bore") return boresLacking(c, [pipe])!;
  const { fall } = c.facts;
  const { pipes, grade, length } = fall.runs[fall.runOf[pipe]];
  // The grade at which the pipe just carries its flow; capacity goes with its root.
  const least = grade * c.facts.capacity.utilisation[pipe] ** 2;
  const levels = [fromLevel(c.net, pipes[0]), toLevel(c.net, pipes[pipes.length - 1])];
  const margin = Math.abs(grade - least) * length;
  return { family: "tolerance", settledBy: reMeasure(c.net, levels, margin) };
}
