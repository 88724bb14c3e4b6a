import { KIND } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { plainEvidence } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { trapNeeded } from "../trap-needed.js";

interface Data {
  readonly outcome: Outcome;
  readonly trap: number;
  readonly coils: readonly number[];
  readonly above: number;
}

export const sealShared = defineRule<Data>({
  id: "seal.shared",
  title: "A trap for each coil",
  question: "Has each coil a trap of its own?",
  why: "Coils before one trap breathe through each other: a unit that rests lets the air of its neighbor in, and the trap stops sealing.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "pipes.from", "pipes.to"],
  limits: [],
  notApplicable: "Each trap has one coil above it.",
  remedy: "Give each coil a trap of its own before its drain joins another, and take the shared one out.",
  sources: ["unit-manuals"],
  anchor: "node",
  *subjects({ net, facts }) {
    for (let node = 0; node < net.nodeCount; node++) {
      if (net.kind[node] !== KIND.trap) continue;
      const pipe = facts.topology.next[node];
      if (pipe >= 0 && facts.topology.coilsAbove[pipe] > 1) yield node;
    }
  },
  judge: (c, trap) => {
    const { net, facts } = c;
    const positions = facts.seals.list[facts.seals.ofTrap[trap]].coils;
    // A trap further down, behind traps of their own, is nobody's: whether it may stand there is another question.
    const outcome: Outcome = positions.length > 0 ? "fail" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const coils = positions.map((position) => net.coils[position]);
    const above = facts.topology.coilsAbove[facts.topology.next[trap]];
    return {
      outcome,
      data: { outcome, trap, coils, above },
      anchor: trap,
      subject: { fanCoils: coils, nodes: [trap] },
      evidence: [plainEvidence("fanCoilsAbove", "count", exact(above), [net.nodes[trap].pointer])],
      remedy:
        outcome === "fail"
          ? [...positions.flatMap((position) => trapNeeded(c, position)), { action: "remove-trap", on: { node: trap } }]
          : [],
    };
  },
  say: ({ outcome, trap, coils, above }, speak) =>
    outcome === "pass"
      ? `Each of the ${above} coils above the trap ${speak.node(trap)} has one of its own before it.`
      : `The trap ${speak.node(trap)} is the only one of ${speak.list(coils.map((n) => speak.node(n)))}, and the water of ${above} coils passes it: each coil needs a trap of its own.`,
});
