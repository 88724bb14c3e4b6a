import { evidenceOf } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import {
  dropPointers,
  judgeDrop,
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
  /** the drop at which the water begins to leave: below 0 under a fan that blows */
  readonly least: number;
}

/**
 * Suction: while the fan runs, water stands h above the weir on the pan's side, and the drop must be as much. Fan
 * pressure helps the water out: the weir may stand h above the pan outlet before water stays.
 */
export const sealDrop = defineRule<Data>({
  id: "seal.drop",
  title: "Water leaves while the fan runs",
  question: "By statics alone, does the water leave the pan while the fan runs?",
  why: "Where the weir lies too close below the pan outlet, the suction holds the water in the pan for as long as the fan runs, and it spills there or in one rush when the fan stops.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "nodes.panStatic"],
  limits: [],
  notApplicable: "No water trap stands below a pan under suction or fan pressure beyond 5 Pa.",
  remedy: "Lower the trap until its weir lies below the pan outlet by the drop that the suction asks for.",
  sources: ["hydrostatics", "trap-article", "trap-manuals"],
  anchor: "node",
  subjects: trapsUnderFans,
  judge: (c, trap) => {
    const seal = sealAt(c, trap);
    const judged = judgeDrop(seal);
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(outcome === "undetermined" ? settleDrop(c, seal, judged) : {}),
      data: { outcome, ...wordsOf(c, seal, "drop"), drop: seal.drop, least: seal.dropToDrain },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence:
        judged.family === "missing"
          ? []
          : [
              evidenceOf(
                "drop",
                "dimension",
                judged,
                { name: "dropToDrain", source: "hydrostatics" },
                dropPointers(c, seal),
              ),
              staticEvidence(c, seal),
            ],
      remedy: outcome === "fail" ? rebuildTrap(seal) : [],
    };
  },
  say: (data, speak) => {
    const { outcome, trap, panStatic, drop, least, unknown } = data;
    if (outcome === "undetermined" && unknown.length > 0)
      return `Whether the water leaves through the trap ${speak.node(trap)} while the fan runs cannot be told: ${speak.list(unknown)} is not known.`;
    const fan = `the fan (${speak.figure(panStatic, "gauge-pressure")})`;
    const sucks = panStatic < 0;
    const above = drop < 0;
    const { figure, limit } =
      sucks || !above ? speak.against(drop, least, "dimension") : speak.against(-drop, -least, "dimension");
    const lies = above ? `lies ${sucks ? speak.figure(-drop, "dimension") : figure} above` : `lies ${figure} below`;
    const does = sucks
      ? `${fan} holds ${limit} of water up`
      : `${fan} pushes the water ${above ? limit : speak.figure(-least, "dimension")} up`;
    const where = `The weir of the trap ${speak.node(trap)} ${lies} the outlet of ${panOf(data, speak)}, and ${does}`;
    if (outcome === "pass") return `${where}: the water leaves.`;
    if (outcome === "undetermined") return `${where}: too close for the tolerance of the levels.`;
    return `${where}: ${speak.figure(least - drop, "dimension", "up")} of water ${sucks ? "stands in the pan while it runs" : "stays in the pan"}.`;
  },
});
