import { KIND } from "../../graph/compiled.js";
import { plainEvidence } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { emptyPool, lowPointAt, lowPointFigures, lowPointNodes, settleLowPoint } from "../standing-pools.js";

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly weir: number;
  /** m, NaN where it seals nothing at best values */
  readonly sealDepth: number;
  readonly airGap: number;
  readonly unknownBore: boolean;
}

export const sealUnintended = defineRule<Data>({
  id: "seal.unintended",
  title: "No sag seals the bore",
  question: "Does a sag seal the bore?",
  why: "A low point full to the crown is a trap that nobody wanted: it locks the air behind it and holds slime.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "pipes.fromInvert", "pipes.toInvert", "pipes.size", "pipes.material"],
  limits: [],
  notApplicable: "No water stands anywhere with the fan off.",
  remedy: "Raise the low point until the water runs out, or at least until the air has its way again.",
  sources: ["common-practice", "derived"],
  anchor: "node",
  subjects: lowPointNodes,
  judge: (c, node) => {
    const place = lowPointAt(c, node);
    if (place === null) return PASS;
    const { pool, driest, wettest } = place;
    const outcome: Outcome =
      driest === "sealing" && wettest === "sealing"
        ? "fail"
        : driest === null || wettest === null || driest === "sealing" || wettest === "sealing"
          ? "undetermined"
          : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const sealDepth = pool?.sealDepth ?? Number.NaN;
    // A node may be wet where no pipe end is: no air gap to speak of.
    const airGap = pool !== null && Number.isFinite(pool.airGap) ? pool.airGap : Number.NaN;
    const figures = lowPointFigures(c, place);
    const down = place.depth.best - place.depth.low;
    const up = place.depth.high - place.depth.best;
    const apart = Number.isNaN(sealDepth) ? (Number.isNaN(airGap) ? up : airGap) : sealDepth;
    return {
      outcome,
      ...(outcome === "undetermined" ? settleLowPoint(c, place, apart) : {}),
      data: {
        outcome,
        node,
        weir: pool?.weir ?? -1,
        sealDepth,
        airGap,
        unknownBore: driest === null || wettest === null,
      },
      anchor: node,
      subject: { nodes: place.nodes, pipes: place.pipes },
      evidence: [
        ...(Number.isNaN(sealDepth)
          ? []
          : [
              plainEvidence(
                "sealDepth",
                "dimension",
                { low: Math.max(0, sealDepth - down), best: sealDepth, high: sealDepth + up },
                figures,
              ),
            ]),
        ...(Number.isNaN(airGap)
          ? []
          : [
              plainEvidence(
                "airGap",
                "dimension",
                { low: Math.max(0, airGap - up), best: airGap, high: airGap + down },
                figures,
              ),
            ]),
      ],
      remedy: pool !== null && outcome === "fail" ? emptyPool(c, pool) : [],
      links:
        pool === null
          ? {}
          : {
              pool: [place.index],
              pipe: pool.risingPipes,
              seal: c.facts.seals.ofPool[place.index] >= 0 ? [c.facts.seals.ofPool[place.index]] : [],
              outlet: pool.weir >= 0 && c.net.kind[pool.weir] === KIND.outlet ? [pool.weir] : [],
            },
    };
  },
  say: ({ outcome, node, weir, sealDepth, airGap, unknownBore }, speak) => {
    const at = speak.node(node);
    const held = weir < 0 || weir === node ? "" : `, held by ${speak.node(weir)}`;
    if (outcome === "fail")
      return `The water that stands at ${at}${held} fills the bore and seals it ${speak.figure(sealDepth, "dimension")} deep.`;
    if (outcome === "undetermined")
      return unknownBore
        ? `Whether the water that stands at ${at}${held} fills the bore cannot be told: a bore is unknown.`
        : `Within the tolerance of the survey the water at ${at}${held} may or may not fill the bore: measure again.`;
    return Number.isNaN(airGap)
      ? `The water at ${at}${held} leaves the air its way.`
      : `Above the water at ${at}${held} ${speak.figure(airGap, "dimension")} of air is left.`;
  },
});
