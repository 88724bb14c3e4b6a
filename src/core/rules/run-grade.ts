import type { Run } from "../analysis/facts.js";
import { type LimitName, limitOf } from "../profiles/profile.js";
import { atLeast } from "../quantity/interval.js";
import { type JudgedFigure, judgeFigure } from "./judge-figure.js";
import { lowerable, raisable } from "./re-level.js";
import type { Case, RemedyStep, Settle } from "./rule.js";
import { fromLevel, reMeasure, toLevel } from "./settle.js";

/** Most downstream pipes of the runs whose grade is judged: long enough, or with a grade of its own on every pipe. */
export function* judgedRuns(c: Case): Generator<number> {
  const least = limitOf(c.profile, "fall.minimumRunJudged").value;
  for (const run of c.facts.fall.runs)
    if (!Number.isNaN(run.grade) && (run.stated || atLeast(run.length, least))) yield run.pipes[run.pipes.length - 1];
}

export const runOf = (c: Case, pipe: number): Run => c.facts.fall.runs[c.facts.fall.runOf[pipe]];

export const judgeRunGrade = (c: Case, run: Run, limit: LimitName): JudgedFigure =>
  judgeFigure({ low: run.gradeLow, best: run.grade, high: run.gradeHigh }, limitOf(c.profile, limit).value, "at-least");

/** Pointers of the figures that a run's grade is made of. */
export const runFigures = (c: Case, run: Run): string[] => {
  const first = run.pipes[0];
  const last = run.pipes[run.pipes.length - 1];
  return [
    fromLevel(c.net, first).pointer,
    toLevel(c.net, last).pointer,
    ...run.pipes.map((pipe) => `${c.net.pipes[pipe].pointer}/length`),
  ];
};

/** The two inverts that a run's grade hangs on, each to its share of the height that lies between grade and limit. */
export const settleRun = (c: Case, run: Run, judged: JudgedFigure): Settle[] =>
  reMeasure(
    c.net,
    [fromLevel(c.net, run.pipes[0]), toLevel(c.net, run.pipes[run.pipes.length - 1])],
    judged.within * run.length,
  );

/**
 * What brings a run to a grade: one end of a single pipe moved by the height that lacks (at the unfavorable end of the
 * tolerance), where its neighbors have it to spare; else the run re-hung at the grade.
 */
export const reGrade = (c: Case, run: Run, grade: number): RemedyStep[] => {
  const { net } = c;
  const lacking = (grade - run.gradeLow) * run.length;
  // Where the grade was measured, no level is stated that could be moved.
  if (run.pipes.length === 1 && net.pipes[run.pipes[0]].grade === null) {
    const [pipe] = run.pipes;
    const upper = net.from[pipe];
    const lower = net.to[pipe];
    if (!net.fromOwn[pipe] && raisable(c, upper, lacking))
      return [{ action: "raise-node", on: { node: upper }, amount: lacking, kind: "dimension" }];
    if (!net.toOwn[pipe] && lowerable(c, lower, lacking))
      return [{ action: "lower-node", on: { node: lower }, amount: lacking, kind: "dimension" }];
  }
  return run.pipes.map((pipe) => ({ action: "re-hang", on: { pipe }, amount: grade, kind: "grade", what: "a grade" }));
};
