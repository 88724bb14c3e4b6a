import { KIND } from "../../graph/compiled.js";
import { limitOf } from "../../profiles/profile.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import {
  deepestEnd,
  emptyPool,
  type LowPoint,
  lowPointAt,
  lowPointFigures,
  placesForPools,
  settleLowPoint,
} from "../standing-pools.js";

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly weir: number;
  readonly depth: number;
  readonly depthHigh: number;
  readonly unknownBore: boolean;
}

/** Deep at both ends of the tolerance: the other rule's matter. */
const surelyDeep = ({ driest, wettest }: LowPoint): boolean =>
  (driest === "deep" || driest === "sealing") && (wettest === "deep" || wettest === "sealing");

/** Depth from which water counts as a pool at all (capillarity on plastic), m. */
const POOL = 0.003;

export const fallShallowPool = defineRule<Data>({
  id: "fall.shallow-pool",
  title: "No shallow pool",
  question: "Does a low point hold a shallow pool?",
  why: "A shallow pool leaves the air its way, but it grows slime and shows that the pipe has settled.",
  severity: "advice",
  kind: "condition",
  stage: "as-built",
  needs: ["nodes.elevation", "pipes.fromInvert", "pipes.toInvert", "pipes.size", "pipes.material"],
  limits: ["fall.poolShallow", "fall.poolShallowSmallBore"],
  notApplicable: "There is no sloping drain, or all that stands is deep.",
  remedy: "Raise the low point until the water runs out, or lower what holds it.",
  sources: ["common-practice", "derived"],
  anchor: "node",
  *subjects(c) {
    for (const node of placesForPools(c)) {
      const place = lowPointAt(c, node);
      if (place === null || !surelyDeep(place)) yield node;
    }
  },
  judge: (c, node) => {
    const place = lowPointAt(c, node);
    const driest = place === null ? "none" : place.driest;
    const wettest = place === null ? "none" : place.wettest;
    const outcome: Outcome =
      driest === "shallow" && wettest === "shallow"
        ? "fail"
        : driest === "none" && wettest === "none"
          ? "pass"
          : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const depth = place?.depth ?? { low: 0, best: 0, high: 0 };
    const pool = place?.pool ?? null;
    const end = place === null ? null : deepestEnd(c, place);
    const figures = place === null ? [] : lowPointFigures(c, place);
    const toNone = Math.abs(depth.best - POOL);
    const toDeep = end === null ? toNone : Math.abs(end.allowed - end.best);
    const margin = driest === "none" ? (wettest === "shallow" ? toNone : Math.min(toNone, toDeep)) : toDeep;
    return {
      outcome,
      ...(outcome === "undetermined" && place !== null ? settleLowPoint(c, place, margin) : {}),
      data: {
        outcome,
        node,
        weir: pool?.weir ?? -1,
        depth: depth.best,
        depthHigh: depth.high,
        unknownBore: driest === null || wettest === null,
      },
      anchor: node,
      subject: { nodes: place?.nodes ?? [node], pipes: place?.pipes ?? [] },
      evidence: [
        plainEvidence("maxDepth", "dimension", depth, figures),
        ...(end === null
          ? []
          : [
              evidenceOf(
                "depth",
                "dimension",
                judgeFigure(end, end.allowed, "at-most"),
                limitOf(c.profile, "fall.poolShallow"),
                figures,
              ),
            ]),
      ],
      remedy: pool !== null && outcome === "fail" ? emptyPool(c, pool) : [],
      links:
        place === null || pool === null
          ? {}
          : {
              pool: [place.index],
              pipe: pool.risingPipes,
              outlet: pool.weir >= 0 && c.net.kind[pool.weir] === KIND.outlet ? [pool.weir] : [],
            },
    };
  },
  say: ({ outcome, node, weir, depth, depthHigh, unknownBore }, speak) => {
    const at = speak.node(node);
    const held = weir < 0 || weir === node ? "" : `, held by ${speak.node(weir)}`;
    if (outcome === "pass") return `No water stands at ${at} with the fan off.`;
    if (outcome === "fail")
      return `Water stands ${speak.figure(depth, "dimension")} deep at ${at}${held}: a shallow pool, the air still has its way.`;
    return unknownBore
      ? `Water stands up to ${speak.figure(depth, "dimension", "up")} deep at ${at}${held}; how much of the bore that is cannot be told, since a bore is unknown.`
      : `Within the tolerance of the survey water may stand up to ${speak.figure(depthHigh, "dimension", "up")} deep at ${at}${held}: measure again.`;
  },
});
