import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

function* foreign(c: Case): Generator<number> {
  for (let node = 0; node < c.net.nodeCount; node++) if (c.net.nodes[node].foreignDischarge !== null) yield node;
}

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly what: string;
}

export const installForeign = defineRule<Data>({
  id: "install.foreign",
  title: "Something else drains here",
  question: "Does anything but coil condensate discharge here?",
  why: "A condensate main is sized for a trickle of clean water. What else is let into it overloads it, clogs it, eats it or brings sewer air.",
  severity: "major",
  kind: "record",
  stage: "in-service",
  needs: ["nodes.foreignDischarge"],
  limits: [],
  notApplicable: "No other discharge is recorded.",
  remedy: "Give it a drain of its own, or obtain the authority's approval.",
  sources: ["common-practice"],
  anchor: "node",
  subjects: foreign,
  judge: (c, node) => {
    const { foreignDischarge, pointer } = c.net.nodes[node];
    const { what, approved } = foreignDischarge!;
    if (approved === true && !c.wantPasses) return PASS;
    const outcome: Outcome = approved === null ? "undetermined" : approved ? "pass" : "fail";
    return {
      outcome,
      ...(approved === null
        ? { family: "missing", settledBy: [{ pointer: `${pointer}/foreignDischarge/approved` }] }
        : {}),
      data: { outcome, node, what },
      anchor: node,
      subject: { nodes: [node] },
      evidence: [],
      remedy: outcome === "fail" ? [{ action: "disconnect", on: { node } }] : [],
    };
  },
  say: ({ outcome, node, what }, speak) => {
    const found = `Something else than condensate discharges at ${speak.node(node)} (${what})`;
    if (outcome === "undetermined") return `${found}; whether the authority has approved it is not recorded.`;
    return outcome === "pass"
      ? `${found}, with the authority's approval.`
      : `${found}, without the authority's approval.`;
  },
});
