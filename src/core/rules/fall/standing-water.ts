import type { Pool } from "../../analysis/facts.js";
import { KIND } from "../../graph/compiled.js";
import { limitOf } from "../../profiles/profile.js";
import { exact } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { nodeLevel } from "../settle.js";
import {
  deepestEnd,
  emptyPool,
  lowPointAt,
  lowPointFigures,
  type PoolClass,
  placesForPools,
  settleLowPoint,
} from "../standing-pools.js";

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly weir: number;
  readonly cause: Pool["cause"] | null;
  readonly depth: number;
  readonly depthHigh: number;
  readonly volume: number;
  readonly allowed: number;
  readonly sealing: boolean;
  readonly unknownBore: boolean;
}

const bad = (found: PoolClass | null): boolean => found === "deep" || found === "sealing";

export const fallStandingWater = defineRule<Data>({
  id: "fall.standing-water",
  title: "No deep standing water",
  question: "Does a low point hold a deep or sealing pool?",
  why: "Water that stands grows slime, which closes the pipe; where it fills the bore it locks the air behind it.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: [
    "nodes.elevation",
    "pipes.fromInvert",
    "pipes.toInvert",
    "pipes.size",
    "pipes.material",
    "outlets.waterLevel",
  ],
  limits: ["fall.poolShallow", "fall.poolShallowSmallBore"],
  notApplicable: "There is no sloping drain.",
  remedy: "Raise the low point until the water runs out, or lower what holds it.",
  sources: ["common-practice", "derived"],
  anchor: "node",
  subjects: placesForPools,
  judge: (c, node) => {
    const place = lowPointAt(c, node);
    if (place === null) {
      if (!c.wantPasses) return PASS;
      return {
        outcome: "pass",
        data: {
          outcome: "pass",
          node,
          weir: -1,
          cause: null,
          depth: 0,
          depthHigh: 0,
          volume: 0,
          allowed: Number.NaN,
          sealing: false,
          unknownBore: false,
        },
        anchor: node,
        subject: { nodes: [node] },
        evidence: [plainEvidence("maxDepth", "dimension", exact(0), [nodeLevel(c.net, node).pointer])],
      };
    }
    const { pool, driest, wettest, depth } = place;
    const end = deepestEnd(c, place);
    // Where one bore is unknown, another end of the same pool may be deep beyond doubt.
    const surelyDeep = bad(driest) || (driest === null && end !== null && end.low > end.allowed + 1e-6);
    const outcome: Outcome =
      surelyDeep && (bad(wettest) || wettest === null)
        ? "fail"
        : driest === null || wettest === null || bad(driest) || bad(wettest)
          ? "undetermined"
          : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const unknownBore = driest === null || wettest === null;
    const limit = limitOf(c.profile, "fall.poolShallow");
    const figures = lowPointFigures(c, place);
    const margin = end === null ? Math.max(0, 0.003 - depth.best) : Math.abs(end.best - end.allowed);
    return {
      outcome,
      ...(outcome === "undetermined" ? settleLowPoint(c, place, margin) : {}),
      data: {
        outcome,
        node,
        weir: pool?.weir ?? -1,
        cause: pool?.cause ?? null,
        depth: depth.best,
        depthHigh: depth.high,
        volume: pool?.volume ?? 0,
        allowed: end?.allowed ?? Number.NaN,
        sealing: pool?.class === "sealing",
        unknownBore,
      },
      anchor: node,
      subject: {
        nodes: place.nodes,
        pipes: place.pipes,
        fanCoils: place.nodes.filter((n) => c.net.kind[n] === KIND.coil),
      },
      evidence: [
        plainEvidence("maxDepth", "dimension", depth, figures),
        ...(end === null
          ? []
          : [evidenceOf("depth", "dimension", judgeFigure(end, end.allowed, "at-most"), limit, figures)]),
        ...(pool === null || Number.isNaN(pool.volume)
          ? []
          : [plainEvidence("volume", "volume", exact(pool.volume), figures)]),
      ],
      remedy: pool !== null && outcome === "fail" ? emptyPool(c, pool) : [],
      links:
        pool === null
          ? {}
          : {
              pool: [place.index],
              pipe: pool.risingPipes,
              outlet: pool.weir >= 0 && c.net.kind[pool.weir] === KIND.outlet ? [pool.weir] : [],
            },
    };
  },
  say: (e, speak) => {
    const at = speak.node(e.node);
    const held = e.weir < 0 || e.weir === e.node ? "" : `, held by ${speak.node(e.weir)}`;
    const from =
      e.cause === "submerged-outlet"
        ? " The outlet lies under water."
        : e.cause === "high-weir"
          ? " The trap's weir lies above the pan outlet."
          : "";
    if (e.outcome === "pass")
      return e.depth > 0
        ? `Water stands ${speak.figure(e.depth, "dimension")} deep at ${at}${held}: too shallow to matter here.`
        : `No water stands at ${at} with the fan off.`;
    if (e.outcome === "undetermined")
      return e.unknownBore
        ? `Water stands up to ${speak.figure(e.depth, "dimension", "up")} deep at ${at}${held}; whether it closes the pipe cannot be told, since a bore is unknown.${from}`
        : `Within the tolerance of the survey ${e.depth > 0 ? `the ${speak.figure(e.depth, "dimension")} of water` : "the water"} at ${at}${held} may stand up to ${speak.figure(e.depthHigh, "dimension", "up")} deep: measure again.${from}`;
    const volume = Number.isNaN(e.volume) ? "" : ` (${speak.figure(e.volume, "volume")})`;
    const limit = Number.isNaN(e.allowed) ? "" : `; up to ${speak.figure(e.allowed, "dimension")} would be shallow`;
    return `Water stands ${speak.figure(e.depth, "dimension")} deep${volume} at ${at}${held}${
      e.sealing ? ", and closes the bore" : ""
    }${limit}.${from}`;
  },
});
