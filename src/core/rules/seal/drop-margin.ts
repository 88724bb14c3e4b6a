import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import {
  dropOf,
  dropPointers,
  judgeDrop,
  needSource,
  panOf,
  rebuildTrap,
  sealAt,
  settleDrop,
  staticEvidence,
  subjectOf,
  type TrapWords,
  trapsUnderFans,
  wordsOf,
} from "../trap-figures.js";

interface Data extends TrapWords {
  readonly outcome: Outcome;
  readonly drop: number;
  readonly needed: number;
  readonly byMaker: boolean;
}

export const sealDropMargin = defineRule<Data>({
  id: "seal.drop-margin",
  title: "Drop with its margin",
  question: "Does the trap drop with the margin of practice, or by the manufacturer's stated figure?",
  why: "A clogged filter raises the suction and slime the level: without a margin the water soon stands in the pan. Under fan pressure the margin empties the pan once the fan has stopped.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "nodes.panStatic", "nodes.trapRequirement"],
  limits: ["trap.drawThroughMargin", "trap.blowThroughMargin"],
  notApplicable:
    "No water trap stands below a pan under suction or fan pressure beyond 5 Pa, or the water does not even leave by statics.",
  remedy: "Lower the trap until its weir lies below the pan outlet by the static and its margin.",
  sources: ["trap-manuals", "trap-article"],
  anchor: "node",
  *subjects(c: Case) {
    for (const trap of trapsUnderFans(c)) if (judgeDrop(sealAt(c, trap)).outcome !== "fail") yield trap;
  },
  judge: (c, trap) => {
    const seal = sealAt(c, trap);
    const judged = judgeFigure(dropOf(seal), seal.dropNeeded, "at-least");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const source = needSource(c, seal, "drop");
    return {
      outcome,
      ...(outcome === "undetermined" ? settleDrop(c, seal, judged) : {}),
      data: {
        outcome,
        ...wordsOf(c, seal, "drop"),
        drop: seal.drop,
        needed: seal.dropNeeded,
        byMaker: source === "manufacturer",
      },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence:
        judged.family === "missing"
          ? []
          : [
              evidenceOf("drop", "dimension", judged, { name: "dropNeeded", source }, dropPointers(c, seal)),
              staticEvidence(c, seal),
            ],
      remedy: outcome === "fail" ? rebuildTrap(seal) : [],
    };
  },
  say: (data, speak) => {
    const { outcome, trap, panStatic, drop, needed, byMaker, unknown } = data;
    if (outcome === "undetermined" && unknown.length > 0)
      return `Whether the trap ${speak.node(trap)} drops with its margin cannot be told: ${speak.list(unknown)} is not known.`;
    const { figure, limit } = speak.against(drop, needed, "dimension");
    const who = byMaker ? "the unit's manufacturer asks" : "practice asks";
    const close = outcome === "undetermined" ? ": too close for the tolerance of the levels" : "";
    return `The trap ${speak.node(trap)} drops ${figure} from ${panOf(data, speak)} to its weir, where ${who} for ${outcome === "fail" ? "at least " : ""}${limit} with ${speak.figure(panStatic, "gauge-pressure")} there${close}.`;
  },
});
