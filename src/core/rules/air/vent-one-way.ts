import { KIND } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

/** Air must leave through the valve where it ends in a space that water enters and that has no opening at all. */
const mustLetOut = (c: Case, node: number, reading: Reading): boolean => {
  const partition = partitionOf(c, reading);
  const space = partition.ofNode[node];
  return space >= 0 && partition.spaces[space].kind === "trapped" && partition.spaces[space].onPath;
};

interface Data {
  readonly outcome: Outcome;
  readonly vent: number;
}

export const airVentOneWay = defineRule<Data>({
  id: "air.vent-one-way",
  title: "Air must leave through a vent that only lets air in",
  question: "Must air leave through a vent that only lets air in?",
  why: "An air admittance valve opens inward only. Air that water pushes before it cannot leave through it and stays locked between the seals.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.opening", "nodes.elevation", "pipes.insideDiameter"],
  limits: [],
  notApplicable: "There is no air admittance valve.",
  remedy: "Put an open vent in the valve's place.",
  sources: ["common-practice"],
  anchor: "node",
  *subjects(c) {
    for (let node = 0; node < c.net.nodeCount; node++)
      if (c.net.kind[node] === KIND.vent && c.net.nodes[node].vent!.opening === "admittance-valve") yield node;
  },
  judge(c, node) {
    const answers = readings(c).map((reading) => mustLetOut(c, node, reading));
    const outcome: Outcome = answers.every((yes) => !yes)
      ? "pass"
      : answers.every((yes) => yes)
        ? "fail"
        : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { net, facts } = c;
    const partition = partitionOf(c, "best");
    const space = partition.ofNode[node];
    const locked = facts.lockedAir.best.spaces.find((entry) => entry.space === space);
    const coils = locked?.coils ?? [];
    const tops = coils.map((coil) => facts.seals.leastVentTop[coil]).filter((top) => !Number.isNaN(top));
    return {
      outcome,
      ...(outcome === "undetermined" ? settleClosures(c, pipesAbout(c, node)) : {}),
      data: { outcome, vent: node },
      anchor: node,
      subject: { fanCoils: coils.map((coil) => net.coils[coil]), nodes: [node] },
      evidence: [
        plainEvidence("openings", "count", exact(space < 0 ? 0 : partition.spaces[space].openings.length), [
          `${net.nodes[node].pointer}/opening`,
        ]),
      ],
      remedy:
        outcome === "fail"
          ? [
              {
                action: "replace-vent",
                on: { node },
                ...(tops.length > 0 ? { amount: Math.max(...tops), kind: "length", what: "top above" } : {}),
              },
            ]
          : undefined,
    };
  },
  say: ({ outcome, vent }, speak) => {
    if (outcome === "pass") return `The air at the admittance valve ${speak.node(vent)} can leave elsewhere.`;
    if (outcome === "fail")
      return `The admittance valve ${speak.node(vent)} lets air in only, and the air that water locks there has no other way out.`;
    return `Whether the air at the admittance valve ${speak.node(vent)} has another way out cannot be told from what is known.`;
  },
});

function* pipesAbout(c: Case, node: number): Generator<number> {
  for (const reading of ["closed", "open"] as const) {
    const partition = partitionOf(c, reading);
    const space = partition.ofNode[node];
    if (space >= 0) yield* partition.spaces[space].pipes;
  }
}
