import { KIND } from "../../graph/compiled.js";
import { defineRule, type Outcome, PASS } from "../rule.js";

interface Data {
  readonly outcome: Outcome;
  readonly vent: number;
}

export const airVentCapped = defineRule<Data>({
  id: "air.vent-capped",
  title: "Capped vent",
  question: "Is a vent capped?",
  why: "A vent is often plugged for the pressure test, or to stop a smell, and never opened again. Capped, it is no vent.",
  severity: "minor",
  kind: "condition",
  stage: "as-built",
  needs: ["nodes.capped"],
  limits: [],
  notApplicable: "There are no vents.",
  remedy: "Take the cap off.",
  sources: ["common-practice"],
  anchor: "node",
  *subjects(c) {
    // A vent for later is a stub that is meant to be shut.
    for (let node = 0; node < c.net.nodeCount; node++)
      if (c.net.kind[node] === KIND.vent && !c.net.nodes[node].future) yield node;
  },
  judge(c, node) {
    const isCapped = c.net.nodes[node].vent!.capped;
    if (!isCapped && !c.wantPasses) return PASS;
    const outcome: Outcome = isCapped ? "fail" : "pass";
    return {
      outcome,
      data: { outcome, vent: node },
      anchor: node,
      subject: { nodes: [node] },
      evidence: [],
      remedy: isCapped ? [{ action: "open-vent", on: { node } }] : undefined,
      links: { vent: [node] },
    };
  },
  say: ({ outcome, vent }, speak) =>
    outcome === "fail"
      ? `The vent ${speak.node(vent)} is capped: no air passes through it.`
      : `The vent ${speak.node(vent)} is not capped.`,
});
