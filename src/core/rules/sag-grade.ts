import { HANGS } from "../analysis/facts.js";
import { ROLE } from "../graph/compiled.js";
import { limitOf } from "../profiles/profile.js";
import { atLeast, type Interval } from "../quantity/interval.js";
import type { Case, Settle } from "./rule.js";
import { runFigures } from "./run-grade.js";
import { fromLevel, type MeasuredLevel, reMeasure, toLevel } from "./settle.js";

/** The grade with which a pipe was hung: that of its run, of pipes of a second line their own. NaN where it has none. */
export const gradeBetweenSupports = (c: Case, pipe: number): Interval => {
  const run = runOf(c, pipe);
  if (run !== null) return { low: run.gradeLow, best: run.grade, high: run.gradeHigh };
  const { fall, run: length } = c.facts.geometry;
  const best = fall[pipe] / length[pipe];
  const half = (c.net.tolerance[c.net.from[pipe]] + c.net.tolerance[c.net.to[pipe]]) / length[pipe];
  return { low: best - half, best, high: best + half };
};

const runOf = (c: Case, pipe: number) => {
  const { runs, runOf } = c.facts.fall;
  return runOf[pipe] < 0 ? null : runs[runOf[pipe]];
};

/** Pipes with a fall that can sag away: hung with a stated spacing, falling, on a run long enough to have a grade. */
export function* fallingSpans(c: Case): Generator<number> {
  const { supports, geometry } = c.facts;
  const least = limitOf(c.profile, "fall.minimumRunJudged").value;
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++) {
    if (supports.hangs[pipe] !== HANGS.itself || supports.ofPipe[pipe] < 0) continue;
    const run = runOf(c, pipe);
    if (run === null) {
      // An upright end of a level run or a pipe of a second line.
      if (c.net.role[pipe] === ROLE.drain || !(geometry.fall[pipe] > 0) || !atLeast(geometry.run[pipe], least))
        continue;
    } else if (!(run.grade > 0) || !(run.stated || atLeast(run.length, least))) continue;
    yield pipe;
  }
}

/** Pointers of what the grade is made of. */
export const gradeFigures = (c: Case, pipe: number): readonly string[] => {
  const run = runOf(c, pipe);
  return run === null
    ? [fromLevel(c.net, pipe).pointer, toLevel(c.net, pipe).pointer, `${c.net.pipes[pipe].pointer}/length`]
    : runFigures(c, run);
};

/** What to measure again so that a grade that is `margin` off its limit is decided. */
export const settleGrade = (c: Case, pipe: number, margin: number): Settle[] => {
  const run = runOf(c, pipe);
  const first = run === null ? pipe : run.pipes[0];
  const last = run === null ? pipe : run.pipes[run.pipes.length - 1];
  const levels: MeasuredLevel[] = [fromLevel(c.net, first), toLevel(c.net, last)];
  return reMeasure(c.net, levels, margin * (run === null ? c.facts.geometry.run[pipe] : run.length));
};
