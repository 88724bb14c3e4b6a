import { deadEnds } from "../dead-end.js";
import { defineRule, PASS } from "../rule.js";

interface Data {
  readonly coil: number;
  /** the outlet reached, -1 */
  readonly outlet: number;
  /** where the path ends without one, -1 */
  readonly end: number;
  readonly loop: boolean;
}

export const pathNoOutlet = defineRule<Data>({
  id: "path.no-outlet",
  title: "Every coil reaches an outlet",
  question: "Does each coil reach an outlet?",
  why: "Water whose path ends nowhere comes out where the path ends.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "pipes.from", "pipes.to", "pipes.role"],
  limits: [],
  notApplicable: "The network has no coil.",
  remedy: "Join the end of the path to a drain that reaches an outlet, or end it at one.",
  sources: ["imc-307.2.1", "upc-814.1"],
  anchor: "coil",
  subjects: ({ net }) => net.coils.keys(),
  judge: (c, position) => {
    const coil = c.net.coils[position];
    const outlet = c.facts.topology.outlet[coil];
    if (outlet >= 0) {
      if (!c.wantPasses) return PASS;
      return {
        outcome: "pass",
        data: { coil, outlet, end: -1, loop: false },
        anchor: position,
        subject: { fanCoils: [coil], nodes: [outlet] },
        evidence: [],
      };
    }
    const end = deadEnds(c).end[position];
    const loop = c.net.onCycle[end] === 1;
    return {
      outcome: "fail",
      data: { coil, outlet, end, loop },
      anchor: position,
      subject: { fanCoils: [coil], nodes: end === coil ? [] : [end] },
      evidence: [],
      remedy: loop ? [] : [{ action: "connect", on: { node: end } }],
    };
  },
  say: ({ coil, outlet, end, loop }, speak) => {
    if (outlet >= 0) return `The drain of ${speak.node(coil)} reaches the outlet ${speak.node(outlet)}.`;
    if (end === coil) return `No drain leaves ${speak.node(coil)}: its water reaches no outlet.`;
    return loop
      ? `The drain of ${speak.node(coil)} runs into a loop of drains at ${speak.node(end)} and reaches no outlet.`
      : `The drain of ${speak.node(coil)} ends at ${speak.node(end)} and reaches no outlet.`;
  },
});
