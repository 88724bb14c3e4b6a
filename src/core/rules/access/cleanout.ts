import type { AccessGap, Reach } from "../../analysis/facts.js";
import { limitOf } from "../../profiles/profile.js";
import { exact } from "../../quantity/interval.js";
import { addCleanouts, longLines, sayWhy, settleReach, unreached } from "../cleaning.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Evidence, type Outcome, PASS } from "../rule.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly length: number;
  readonly gap: AccessGap | null;
  readonly bounds: Pick<Reach, "length" | "turn">;
  /** the code's spacing decides, not the tool's reach */
  readonly spacing: boolean;
}

/** Distance and turns from the nearest point, against the tool's reach or the code's spacing. */
const figures = (c: Case, gap: AccessGap, spacing: boolean): Evidence[] => {
  const [long, turning] = spacing
    ? ([limitOf(c.profile, "access.maximumLength"), limitOf(c.profile, "access.maximumTurn")] as const)
    : ([limitOf(c.profile, "access.reach"), limitOf(c.profile, "access.reachTurn")] as const);
  const from = gap.pipes.map((p) => `${c.net.pipes[p].pointer}/length`);
  const evidence = [plainEvidence("unreached", "length", exact(gap.length), from)];
  if (Number.isNaN(gap.distance)) return evidence;
  return [
    ...evidence,
    evidenceOf("distance", "length", judgeFigure(exact(gap.distance), long.value, "at-most"), long, from),
    evidenceOf("turn", "angle", judgeFigure(exact(gap.turn), turning.value, "at-most"), turning, from),
  ];
};

export const accessCleanout = defineRule<Data>({
  id: "access.cleanout",
  title: "Drain that cannot be cleaned without cutting",
  question: "Can every length be cleaned without cutting?",
  why: "Condensate grows slime, and slime closes small pipes: what no cleanout, union or open end reaches is sawn open in the end, above somebody's ceiling.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "nodes.accessible", "nodes.removable", "nodes.angle", "nodes.connection", "pipes.length"],
  limits: ["access.reach", "access.reachTurn", "access.maximumLength", "access.maximumTurn"],
  notApplicable: "No drain is longer than 1.5 m.",
  remedy: "Fit a cleanout where somebody gets at it, within reach of what is to be cleaned.",
  sources: ["imc-307.2.5", "upc-707.4", "upc-814.3", "common-practice"],
  anchor: "pipe",
  subjects: longLines,
  judge(c, last) {
    const { facts } = c;
    const { any, spaced, isSpaced } = facts.access;
    const byTool = unreached(c, last, any, () => true);
    const byCode = spaced === null ? null : unreached(c, last, spaced, (p) => isSpaced[p] === 1);
    const lacks = (spacing: boolean) => ({ spacing, ...(spacing ? byCode! : byTool) });
    // What no tool reaches is said first; the code's spacing matters where tools reach.
    const failing = byTool.surely.length > 0 ? lacks(false) : byCode?.surely.length ? lacks(true) : null;
    const open = byTool.possibly.length > 0 ? lacks(false) : byCode?.possibly.length ? lacks(true) : null;
    const shown = failing ?? open;
    const outcome: Outcome = failing !== null ? "fail" : open !== null ? "undetermined" : "pass";
    if (shown === null && !c.wantPasses) return PASS;
    const line = facts.access.lines[byTool.line];
    const readings = shown?.spacing ? spaced! : any;
    const reach = failing === null ? readings.sure : readings.possible;
    const gap = shown === null ? null : facts.access.gap(shown.line, reach, shown.asked);
    const pipes = failing?.surely ?? open?.possibly ?? line.pipes;
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: settleReach(c, pipes, readings, false) } : {}),
      data: { outcome, pipes, length: line.length, gap, bounds: reach, spacing: shown?.spacing ?? false },
      anchor: pipes[pipes.length - 1],
      subject: { pipes, nodes: gap === null || gap.point < 0 ? [] : [gap.point] },
      evidence: gap === null ? [] : figures(c, gap, shown!.spacing),
      remedy:
        failing === null
          ? []
          : [
              ...(byTool.possibly.length > 0 ? addCleanouts(c, byTool, any.sure) : []),
              ...(byCode?.possibly.length ? addCleanouts(c, byCode, spaced!.sure) : []),
            ],
    };
  },
  say: ({ outcome, pipes, length, gap, bounds, spacing }, speak) => {
    const where = speak.list(pipes.map((p) => speak.pipe(p)));
    if (outcome === "pass" || gap === null)
      return `${where}, ${speak.figure(length, "length")} in line, can be cleaned without cutting.`;
    const long = speak.figure(gap.length, "length", "up");
    if (outcome === "undetermined")
      return `Whether ${long} in ${where} can be cleaned without cutting depends on what is not given: as far as known, ${sayWhy(gap, bounds, speak)}.`;
    if (spacing)
      return `${long} in ${where} lies beyond the spacing of cleanouts that is asked of level drains: ${sayWhy(gap, bounds, speak)}.`;
    return `${long} in ${where} cannot be cleaned without cutting: ${sayWhy(gap, bounds, speak)}.`;
  },
});
