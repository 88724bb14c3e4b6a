import { exact } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import {
  judgeSeal,
  needSource,
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
  readonly needed: number;
  readonly byMaker: boolean;
}

export const sealDepthMargin = defineRule<Data>({
  id: "seal.depth-margin",
  title: "Seal with its margin",
  question: "Does the trap's seal hold with the margin of practice, or the manufacturer's stated figure?",
  why: "Filters clog, fans are set faster and water evaporates: a seal that only just holds on paper breaks in use.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.sealDepth", "nodes.panStatic", "nodes.trapRequirement"],
  limits: ["trap.drawThroughMargin", "trap.blowThroughMargin"],
  notApplicable:
    "No water trap stands below a pan under suction or fan pressure beyond 5 Pa, or its seal does not even hold by statics.",
  remedy:
    "Build the trap with a seal of half the needed drop under suction, of the static and its margin under pressure.",
  sources: ["trap-manuals", "trap-article"],
  anchor: "node",
  *subjects(c: Case) {
    for (const trap of trapsUnderFans(c)) if (judgeSeal(sealAt(c, trap)).outcome !== "fail") yield trap;
  },
  judge: (c, trap) => {
    const seal = sealAt(c, trap);
    const judged = judgeFigure(exact(seal.sealDepth), seal.sealNeeded, "at-least");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const source = needSource(c, seal, "seal");
    return {
      outcome,
      ...(outcome === "undetermined" ? settleSeal(c, seal, false) : {}),
      data: {
        outcome,
        ...wordsOf(c, seal, "seal"),
        sealDepth: seal.sealDepth,
        needed: seal.sealNeeded,
        byMaker: source === "manufacturer",
      },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence:
        outcome === "undetermined"
          ? []
          : [
              evidenceOf("sealDepth", "dimension", judged, { name: "sealNeeded", source }, sealPointers(c, seal)),
              staticEvidence(c, seal),
            ],
      remedy: outcome === "fail" ? rebuildTrap(seal) : [],
    };
  },
  say: (data, speak) => {
    const { outcome, trap, panStatic, sealDepth, needed, byMaker, unknown } = data;
    if (outcome === "undetermined")
      return `Whether the seal of the trap ${speak.node(trap)} has its margin cannot be told: ${speak.list(unknown)} is not known.`;
    const { figure, limit } = speak.against(sealDepth, needed, "dimension");
    const who = byMaker ? "the unit's manufacturer asks" : "practice asks";
    return `The trap ${speak.node(trap)} has a seal of ${figure}, where ${who} for ${outcome === "pass" ? "" : "at least "}${limit} with ${speak.figure(panStatic, "gauge-pressure")} at ${panOf(data, speak)}.`;
  },
});
