import { exact } from "../../quantity/interval.js";
import { judgeFigure, plainEvidence } from "../judge-figure.js";
import { arrivingAt, NO_PUMP, pumpFigures, pumpPointer, pumps } from "../pumps.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { settleFlow } from "../unknown-loads.js";

/** What is not known of the peak or of the pump: what nobody gave first. */
const settle = (c: Case, node: number, isFlowKnown: boolean): { family: Family; settledBy: readonly Settle[] } => {
  const { net, facts } = c;
  const capacity = `${pumpPointer(c, node)}/capacity`;
  const settledBy: Settle[] = pumpFigures(c, node).capacity === null ? [{ pointer: capacity }] : [];
  if (isFlowKnown) return { family: "missing", settledBy };
  if (net.coilAt[node] >= 0)
    return { family: "missing", settledBy: [...settledBy, { pointer: `${net.nodes[node].pointer}/coolingCapacity` }] };
  const flow = settleFlow(c, facts.topology.next[node]);
  if (flow.family === "missing") return { family: "missing", settledBy: [...settledBy, ...flow.settledBy] };
  return settledBy.length > 0 ? { family: "missing", settledBy } : flow;
};

const shareOf = (flow: number, capacity: number): number =>
  Number.isNaN(capacity) || flow > 0 ? flow / capacity : flow;

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly flow: number;
  readonly capacity: number;
}

export const pumpCapacity = defineRule<Data>({
  id: "pump.capacity",
  title: "Pump too small for its peak flow",
  question: "Does the pump lift as much as arrives at peak?",
  why: "What arrives faster than the pump lifts it fills the sump on the most humid day, when nobody expects the pump to have failed.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.capacity", "nodes.internalPump.capacity", "nodes.condensateRate", "nodes.coolingCapacity"],
  limits: [],
  notApplicable: NO_PUMP,
  remedy: "Fit a pump that lifts the peak flow.",
  sources: ["irc-m1411.3", "derived"],
  anchor: "node",
  subjects: pumps,
  judge(c, node) {
    const { net } = c;
    const flow = arrivingAt(c, node);
    const capacity = pumpFigures(c, node).capacity ?? Number.NaN;
    // As a share: flows are far smaller than the least length that comparisons tell apart.
    const { outcome } = judgeFigure(exact(shareOf(flow, capacity)), 1, "at-most");
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(outcome === "undetermined" ? settle(c, node, !Number.isNaN(flow)) : {}),
      data: { outcome, node, flow, capacity },
      anchor: node,
      subject: net.coilAt[node] >= 0 ? { fanCoils: [node] } : { nodes: [node] },
      evidence:
        outcome === "undetermined"
          ? []
          : [
              {
                ...plainEvidence("designFlow", "flow", exact(flow), [`${pumpPointer(c, node)}/capacity`]),
                limit: { name: "capacity", value: capacity, source: "document" },
                margin: capacity - flow,
              },
            ],
      remedy: outcome === "fail" ? [{ action: "replace-pump", on: { node }, amount: flow, kind: "flow" }] : undefined,
    };
  },
  say: ({ outcome, node, flow, capacity }, speak) => {
    const pump = `the pump at ${speak.node(node)}`;
    if (Number.isNaN(flow))
      return `Whether ${pump} lifts what arrives at peak cannot be told: the condensate of a coil is not known.`;
    if (Number.isNaN(capacity))
      return `Whether ${pump} lifts the ${speak.figure(flow, "flow")} that arrive at peak cannot be told: what it lifts is not known.`;
    const { figure, limit } = speak.against(flow, capacity, "flow");
    return outcome === "pass"
      ? `At peak ${figure} arrive at the pump at ${speak.node(node)}, which lifts ${limit}.`
      : `At peak ${figure} arrive at the pump at ${speak.node(node)}, which lifts only ${limit}: its sump fills.`;
  },
});
