import { evidenceOf } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import {
  judgeSeal,
  panOf,
  rebuildTrap,
  sealAt,
  sealPointers,
  settleSeal,
  staticEvidence,
  subjectOf,
  type TrapWords,
  trapsUnderFans,
  wordsOf,
} from "../trap-figures.js";

interface Data extends TrapWords {
  readonly outcome: Outcome;
  readonly sealDepth: number;
  /** what the fan takes of the seal */
  readonly taken: number;
}

/**
 * Suction: from rest the outlet leg falls by h·A_in/(A_in + A_out), and the seal must be deeper. Fan pressure: the inlet
 * side is pressed down by h. Equality passes, as everywhere. A trap of several coils is judged by its hardest-worked one.
 */
export const sealDepth = defineRule<Data>({
  id: "seal.depth",
  title: "Seal deep enough to hold",
  question: "By statics alone, does the trap's seal hold against the fan?",
  why: "A seal that the fan breaks is none: air rushes through the trap, keeps the water in the pan and blows it about, or the unit's own air escapes down the drain.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: [
    "nodes.sealDepth",
    "nodes.panStatic",
    "nodes.inletLegSize",
    "nodes.outletLegSize",
    "pipes.size",
    "pipes.material",
  ],
  limits: [],
  notApplicable: "No water trap stands below a pan under suction or fan pressure beyond 5 Pa.",
  remedy: "Build the trap with the seal that the static pressure at the pan asks for.",
  sources: ["hydrostatics", "trap-manuals", "nih-traps"],
  anchor: "node",
  subjects: trapsUnderFans,
  judge: (c, trap) => {
    const seal = sealAt(c, trap);
    const judged = judgeSeal(seal);
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(outcome === "undetermined" ? settleSeal(c, seal, !(seal.staticPressure > 0)) : {}),
      data: { outcome, ...wordsOf(c, seal, "seal"), sealDepth: seal.sealDepth, taken: seal.sealToHold },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence:
        outcome === "undetermined"
          ? []
          : [
              evidenceOf(
                "sealDepth",
                "dimension",
                judged,
                { name: "sealToHold", source: "hydrostatics" },
                sealPointers(c, seal),
              ),
              staticEvidence(c, seal),
            ],
      remedy: outcome === "fail" ? rebuildTrap(seal) : [],
    };
  },
  say: (data, speak) => {
    const { outcome, trap, panStatic, sealDepth, taken, unknown } = data;
    const name = `The trap ${speak.node(trap)}`;
    if (outcome === "undetermined")
      return `Whether the seal of the trap ${speak.node(trap)} holds against the fan cannot be told: ${speak.list(unknown)} is not known.`;
    const { figure, limit } = speak.against(sealDepth, taken, "dimension");
    const fan = `the fan, with ${speak.figure(panStatic, "gauge-pressure")} at ${panOf(data, speak)},`;
    const takes = panStatic < 0 ? `draws ${limit} of it up when it starts` : `presses it down by ${limit}`;
    if (outcome === "pass") return `${name} has a seal of ${figure}, and ${fan} ${takes}: the seal holds.`;
    return `${name} has a seal of ${figure}, and ${fan} ${takes}: ${panStatic < 0 ? "air breaks through, and the water stays in the pan" : "the fan blows the seal out"}.`;
  },
});
