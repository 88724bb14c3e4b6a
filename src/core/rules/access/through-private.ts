import type { AccessGap, Reach } from "../../analysis/facts.js";
import { limitOf } from "../../profiles/profile.js";
import { exact } from "../../quantity/interval.js";
import { addCleanouts, longLines, sayWhy, settleReach, unreached } from "../cleaning.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly gap: AccessGap | null;
  readonly bounds: Pick<Reach, "length" | "turn">;
  /** whose leave it takes, as far as known */
  readonly owners: readonly string[];
}

/** A common drain that can be cleaned at all: where nothing reaches it, leave does not help. */
const isCommonAndReached = (c: Case) => (pipe: number) =>
  c.facts.zones.pipe[pipe].zone === "common" && c.facts.access.any.possible.whole[pipe] === 1;

export const accessThroughPrivate = defineRule<Data>({
  id: "access.through-private",
  title: "Common drain cleaned from a private dwelling",
  question: "Must a private dwelling be entered to clear a common drain?",
  why: "When a common drain floods somebody at night, the key to the dwelling from which it is cleared is not at hand.",
  severity: "advice",
  kind: "condition",
  stage: "design",
  needs: ["nodes.zone", "nodes.owner", "pipes.zone", "pipes.owner"],
  limits: ["access.reach", "access.reachTurn"],
  notApplicable: "No zones or owners are given, or no common drain longer than 1.5 m is reached from anywhere.",
  remedy: "Fit a cleanout in a common place.",
  sources: ["common-practice"],
  anchor: "pipe",
  *subjects(c) {
    if (c.facts.access.common === null) return;
    for (const last of longLines(c)) {
      const { pipes } = c.facts.access.lines[c.facts.access.lineOf[last]];
      if (pipes.some(isCommonAndReached(c))) yield last;
    }
  },
  judge(c, last) {
    const { net, facts } = c;
    const { any, common } = facts.access;
    const found = unreached(c, last, common!, isCommonAndReached(c));
    const { line, asked, surely, possibly } = found;
    const outcome: Outcome = surely.length > 0 ? "fail" : possibly.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const reach = surely.length > 0 ? common!.possible : common!.sure;
    const gap = outcome === "pass" ? null : facts.access.gap(line, reach, asked);
    const pipes =
      outcome === "fail"
        ? surely
        : outcome === "undetermined"
          ? possibly
          : facts.access.lines[line].pipes.filter(asked);
    const points = new Set<number>();
    for (const pipe of pipes)
      for (const end of [2 * pipe, 2 * pipe + 1]) {
        const point = any.possible.point[end];
        if (outcome !== "pass" && point >= 0 && facts.zones.node[point].zone === "private") points.add(point);
      }
    const nodes = [...points].sort((a, b) => a - b);
    const limit = limitOf(c.profile, "access.reach");
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: settleReach(c, possibly, common!, true) } : {}),
      data: {
        outcome,
        pipes,
        gap,
        bounds: reach,
        owners: [...new Set(nodes.map((node) => facts.zones.node[node].owner))].filter((owner) => owner !== null),
      },
      anchor: pipes[pipes.length - 1],
      subject: { pipes, nodes },
      evidence:
        gap === null || Number.isNaN(gap.distance)
          ? []
          : [
              evidenceOf(
                "distance",
                "length",
                judgeFigure(exact(gap.distance), limit.value, "at-most"),
                limit,
                pipes.map((p) => `${net.pipes[p].pointer}/length`),
              ),
            ],
      remedy: outcome === "fail" ? addCleanouts(c, found, common!.sure, "in a common place") : [],
    };
  },
  say: ({ outcome, pipes, gap, bounds, owners }, speak) => {
    const where = `The common drain ${speak.list(pipes.map((p) => speak.pipe(p)))}`;
    if (outcome === "pass" || gap === null) return `${where} can be cleared without entering a private dwelling.`;
    const whose = owners.length === 0 ? "a private dwelling" : `the dwelling ${speak.list(owners)}`;
    const why =
      gap.point < 0 ? "no common place leads a tool to it" : `from common places, ${sayWhy(gap, bounds, speak)}`;
    if (outcome === "fail") return `${where} can be cleared only with leave to enter ${whose}: ${why}.`;
    return `Whether ${where.replace("The", "the")} can be cleared without entering ${whose} depends on what is not given: ${why}.`;
  },
});
