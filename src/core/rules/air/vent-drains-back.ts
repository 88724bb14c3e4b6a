import { ROLE } from "../../graph/compiled.js";
import { atMost, EPSILON, type Interval } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import { fromLevel, reMeasure, toLevel } from "../settle.js";

/** Vent pipes up to this long are fittings, m. */
const SHORT = 0.3;

/** How far a vent pipe falls from the drain towards its open end, with the tolerance of its two ends. */
const fallAway = (c: Case, pipe: number): Interval => {
  const { net } = c;
  const best = c.facts.fall.fall[pipe];
  const half = net.tolerance[net.from[pipe]] + net.tolerance[net.to[pipe]];
  return { low: best - half, best, high: best + half };
};

/** The worst of a vent pipe and the short pieces just before it, which are no subjects of their own. */
const worstOf = (c: Case, pipe: number): number => {
  const { net } = c;
  let worst = pipe;
  let at = net.from[pipe];
  for (let steps = 0; steps < 16; steps++) {
    let before = -1;
    for (let k = net.ends.start[at]; k < net.ends.start[at + 1]; k++) {
      const end = net.ends.list[k];
      if (net.role[end >> 1] !== ROLE.vent) return worst;
      if (end & 1 && atMost(net.length[end >> 1], SHORT)) before = end >> 1;
    }
    if (before < 0) return worst;
    if (fallAway(c, before).low > fallAway(c, worst).low) worst = before;
    at = net.from[before];
  }
  return worst;
};

interface Data {
  readonly outcome: Outcome;
  readonly pipe: number;
  readonly piece: number;
  readonly fall: number;
  readonly end: number;
}

export const airVentDrainsBack = defineRule<Data>({
  id: "air.vent-drains-back",
  title: "Vent pipe that does not drain back",
  question: "Does each vent pipe drain back, without a low point of its own?",
  why: "Moist air condenses in a vent, and a backup runs into it. In a vent that falls away from its drain that water stays and closes it.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "pipes.fromInvert", "pipes.toInvert"],
  limits: [],
  notApplicable: "There is no vent pipe longer than 0.3 m.",
  remedy: "Hang the vent so that it rises all the way from the drain to its open end.",
  sources: ["common-practice"],
  anchor: "pipe",
  *subjects(c) {
    for (let pipe = 0; pipe < c.net.pipeCount; pipe++)
      if (c.net.role[pipe] === ROLE.vent && !atMost(c.net.length[pipe], SHORT)) yield pipe;
  },
  judge(c, pipe) {
    const piece = worstOf(c, pipe);
    const judged = judgeFigure(fallAway(c, piece), 0, "at-most");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { net } = c;
    const end = net.to[piece];
    return {
      outcome,
      ...(outcome === "undetermined"
        ? {
            family: "tolerance" as const,
            settledBy: reMeasure(net, [fromLevel(net, piece), toLevel(net, piece)], judged.within),
          }
        : {}),
      data: { outcome, pipe, piece, fall: judged.best, end },
      anchor: pipe,
      subject: { nodes: [end], pipes: piece === pipe ? [pipe] : [piece, pipe] },
      evidence: [
        evidenceOf("fall", "dimension", judged, { name: "vent pipe rises", source: "common-practice" }, [
          net.pipes[piece].pointer,
        ]),
      ],
      remedy:
        outcome === "fail" && judged.best > EPSILON
          ? [{ action: "raise-node", on: { node: end }, amount: judged.high, kind: "dimension" }]
          : undefined,
    };
  },
  say: ({ outcome, piece, fall, end }, speak) => {
    const pipe = `The vent pipe ${speak.pipe(piece)}`;
    if (outcome === "pass") return `${pipe} drains back to its drain.`;
    if (outcome === "fail")
      return `${pipe} falls by ${speak.figure(fall, "dimension", "up")} on the way to ${speak.node(end)}: water stays in it instead of draining back.`;
    return `Whether ${speak.pipe(piece)} drains back or falls away towards ${speak.node(end)} is hidden in the tolerance of the levels.`;
  },
});
