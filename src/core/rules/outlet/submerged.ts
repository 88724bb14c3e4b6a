import type { Interval } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { factOf } from "../outlet-ends.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { nodeLevel } from "../settle.js";

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  /** m over the invert, negative below it */
  readonly depth: Interval;
  readonly level: number;
}

export const outletSubmerged = defineRule<Data>({
  id: "outlet.submerged",
  title: "Outlet under water",
  question: "Does water stand over the outlet?",
  why: "Water outside stands back into the drain: slime grows in it, and where it fills the bore it locks the air behind it.",
  severity: "major",
  kind: "condition",
  stage: "as-built",
  needs: ["nodes.waterLevel", "nodes.elevation"],
  limits: [],
  notApplicable: "No outlet has a water level given.",
  remedy: "Raise the end of the pipe out of the water, or let the water outside drain away.",
  sources: ["common-practice", "derived"],
  anchor: "node",
  *subjects(c) {
    for (const { node, submergence } of c.facts.outlets.list) if (!Number.isNaN(submergence.best)) yield node;
  },
  judge(c, node) {
    const { submergence } = factOf(c, node);
    const judged = judgeFigure(submergence, 0, "at-most");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const invert = nodeLevel(c.net, node);
    // Half-widths add; a derived invert, which has none, becomes a reading once it is measured.
    const share = judged.within / 2;
    const water = { pointer: `${c.net.nodes[node].pointer}/waterLevel` };
    return {
      outcome,
      ...(outcome === "undetermined"
        ? { family: "tolerance", settledBy: [invert, water].map(({ pointer }) => ({ pointer, within: share })) }
        : {}),
      data: { outcome, node, depth: submergence, level: c.net.nodes[node].outlet!.waterLevel! },
      anchor: node,
      subject: { nodes: [node] },
      evidence: [
        evidenceOf("submergence", "dimension", judged, { name: "invert of the outlet", source: "derived" }, [
          invert.pointer,
          water.pointer,
        ]),
      ],
      // Out of the water whatever the survey hides.
      remedy:
        outcome === "fail" ? [{ action: "raise-node", on: { node }, amount: submergence.high, kind: "dimension" }] : [],
      links: { outlet: [node] },
    };
  },
  say: ({ outcome, node, depth, level }, speak) => {
    const name = speak.node(node);
    const at = speak.elevation(level, node);
    if (outcome === "fail")
      return `Water stands ${speak.figure(depth.best, "dimension")} over the invert of the outlet ${name}, at ${at}: it stands back into the drain.`;
    if (outcome === "pass")
      return `The water outside ${name}, at ${at}, stands no higher than the invert of the outlet.`;
    return `Whether the water outside ${name}, at ${at}, stands over the invert of the outlet is within the tolerance of the survey: measure again.`;
  },
});
