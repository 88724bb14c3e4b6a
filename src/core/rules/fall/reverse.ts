import type { BackFall } from "../../analysis/facts.js";
import { ROLE } from "../../graph/compiled.js";
import { limitOf } from "../../profiles/profile.js";
import { atMost } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { lowerable, raisable } from "../re-level.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";
import { fromLevel, reMeasure, toLevel } from "../settle.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly from: number;
  readonly to: number;
  readonly height: number;
  readonly halfWidth: number;
  readonly limit: number;
}

const backFallOf = indexed((c) => {
  const of = new Map<number, BackFall>();
  for (const chain of c.facts.fall.backFalls) for (const pipe of chain.pipes) of.set(pipe, chain);
  return of;
});

/** Every low end of the chain up to its highest, or its high end down to its lowest, whichever the neighbors allow. */
const reLevel = (c: Case, chain: BackFall): RemedyStep[] => {
  const { net } = c;
  const first = chain.pipes[0];
  const last = chain.pipes[chain.pipes.length - 1];
  const top = net.toInvert[last];
  const low = chain.pipes.map((pipe) => ({ node: net.from[pipe], by: top - net.fromInvert[pipe] }));
  if (chain.pipes.every((pipe) => !net.fromOwn[pipe]) && raisable(c, low[0].node, low[0].by))
    return low.map(({ node, by }) => ({ action: "raise-node", on: { node }, amount: by, kind: "dimension" }));
  if (!net.toOwn[last] && chain.pipes.length === 1 && lowerable(c, net.to[last], chain.height))
    return [{ action: "lower-node", on: { node: net.to[last] }, amount: chain.height, kind: "dimension" }];
  const grade = limitOf(c.profile, "fall.minimumGrade").value;
  return c.facts.fall.vertical[first]
    ? [{ action: "reverse-pipe", on: { pipe: first } }]
    : chain.pipes.map((pipe) => ({ action: "re-hang", on: { pipe }, amount: grade, kind: "grade", what: "a grade" }));
};

export const fallReverse = defineRule<Data>({
  id: "fall.reverse",
  title: "No drain rises",
  question: "Does any drain rise in the direction of flow by more than 3 mm and more than the survey can hide?",
  why: "Water stands before a rise: slime grows in it, and where it fills the bore it locks the air.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "pipes.fromInvert", "pipes.toInvert", "pipes.length", "site.surveyTolerance"],
  limits: ["fall.backFallIgnored"],
  notApplicable: "There is no sloping drain.",
  remedy: "Raise the low end or lower the high end until the water runs out.",
  sources: ["imc-307.2.1", "upc-814.1", "derived"],
  anchor: "pipe",
  *subjects(c) {
    const rising = backFallOf(c);
    for (let pipe = 0; pipe < c.net.pipeCount; pipe++)
      if (c.net.role[pipe] === ROLE.drain && (c.facts.geometry.vertical[pipe] === 0 || rising.has(pipe))) yield pipe;
  },
  judge: (c, pipe) => {
    const chain = backFallOf(c).get(pipe);
    if (chain === undefined && !c.wantPasses) return PASS;
    const { net } = c;
    const limit = limitOf(c.profile, "fall.backFallIgnored");
    const pipes = chain?.pipes ?? [pipe];
    const last = pipes[pipes.length - 1];
    const levels = [fromLevel(net, pipes[0]), toLevel(net, last)];
    const height = chain?.height ?? -c.facts.geometry.fall[pipe];
    const halfWidth = chain?.halfWidth ?? net.tolerance[levels[0].node] + net.tolerance[levels[1].node];
    const rises = chain !== undefined && !atMost(height, limit.value);
    // Not both ends of the tolerance: a rise counts once it is more than the survey can hide.
    const outcome: Outcome = !rises ? "pass" : atMost(height, halfWidth) ? "undetermined" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const figure = { low: height - halfWidth, best: height, high: height + halfWidth };
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "tolerance", settledBy: reMeasure(net, levels, height) } : {}),
      data: { outcome, pipes, from: net.from[pipes[0]], to: net.to[last], height, halfWidth, limit: limit.value },
      anchor: outcome === "pass" ? pipe : last,
      subject: { pipes, nodes: [net.from[pipes[0]], net.to[last]] },
      evidence: [
        evidenceOf(
          "rise",
          "dimension",
          judgeFigure(figure, limit.value, "at-most"),
          limit,
          levels.map((level) => level.pointer),
        ),
      ],
      remedy: chain !== undefined && outcome === "fail" ? reLevel(c, chain) : [],
      links: { pipe: pipes },
    };
  },
  say: ({ outcome, pipes, from, to, height, halfWidth, limit }, speak) => {
    const chain = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    const ends = `between ${speak.node(from)} and ${speak.node(to)}`;
    if (outcome === "pass")
      return height > 0
        ? `${chain} rises by ${speak.figure(height, "dimension")} ${ends}, which water on plastic does not notice (up to ${speak.figure(limit, "dimension")}).`
        : height < 0
          ? `${chain} falls by ${speak.figure(-height, "dimension")} ${ends}.`
          : `${chain} is level ${ends}.`;
    const { figure } = speak.against(height, limit, "dimension");
    return outcome === "fail"
      ? `${chain} ${pipes.length > 1 ? "rise" : "rises"} by ${figure} in the direction of flow ${ends}; water stands before it (up to ${speak.figure(limit, "dimension")} is ignored).`
      : `${chain} ${pipes.length > 1 ? "rise" : "rises"} by ${figure} in the direction of flow ${ends}, and the survey is good for no more than ${speak.figure(halfWidth, "dimension")}: measure both ends again.`;
  },
});
