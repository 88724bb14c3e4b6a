import { limitOf } from "../../profiles/profile.js";
import { atLeast } from "../../quantity/interval.js";
import { evidenceOf } from "../judge-figure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { judgedRuns, judgeRunGrade, reGrade, runFigures, runOf, settleRun } from "../run-grade.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly from: number;
  readonly to: number;
  readonly grade: number;
  readonly low: number;
  readonly high: number;
  readonly limit: number;
  readonly length: number;
  readonly lacking: number;
  readonly atLimit: boolean;
}

/** The codes write one eighth in 12 and call it 1 percent. */
const EIGHTH_PER_FOOT = 1 / 96;
const ONE_PERCENT = 0.01;

export const fallBelowMinimum = defineRule<Data>({
  id: "fall.below-minimum",
  title: "Least grade of the code",
  question: "Does each run of 0.5 m or more hold the code's least grade?",
  why: "A run flatter than the code's least drains slowly, holds slime and is refused at inspection.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "pipes.fromInvert", "pipes.toInvert", "pipes.length", "pipes.grade"],
  limits: ["fall.minimumGrade", "fall.minimumRunJudged"],
  notApplicable: "No run of sloping drain is long enough to be judged.",
  remedy: "Re-hang the run at the least grade or more.",
  sources: ["imc-307.2.1", "upc-814.1", "metric-practice"],
  anchor: "pipe",
  subjects: judgedRuns,
  judge: (c, pipe) => {
    const run = runOf(c, pipe);
    const judged = judgeRunGrade(c, run, "fall.minimumGrade");
    if (judged.outcome === "pass" && !c.wantPasses) return PASS;
    const { net } = c;
    const limit = limitOf(c.profile, "fall.minimumGrade");
    const first = run.pipes[0];
    const last = run.pipes[run.pipes.length - 1];
    return {
      outcome: judged.outcome,
      ...(judged.outcome === "undetermined" ? { family: "tolerance", settledBy: settleRun(c, run, judged) } : {}),
      data: {
        outcome: judged.outcome,
        pipes: run.pipes,
        from: net.from[first],
        to: net.to[last],
        grade: run.grade,
        low: run.gradeLow,
        high: run.gradeHigh,
        limit: limit.value,
        length: run.length,
        lacking: limit.value * run.length - run.fall,
        atLimit: Math.abs(limit.value - ONE_PERCENT) < 1e-12 && !atLeast(run.grade, EIGHTH_PER_FOOT),
      },
      anchor: last,
      subject: { pipes: run.pipes, nodes: [net.from[first], net.to[last]] },
      evidence: [evidenceOf("grade", "grade", judged, limit, runFigures(c, run))],
      remedy: judged.outcome === "fail" ? reGrade(c, run, limit.value) : [],
      links: { pipe: run.pipes },
    };
  },
  say: ({ outcome, pipes, from, to, grade, low, high, limit, length, lacking, atLimit }, speak) => {
    const falls = pipes.length > 1 ? "fall" : "falls";
    const said = speak.against(grade, limit, "grade");
    const where = `${speak.list(pipes.map((p) => speak.pipe(p)))}, between ${speak.node(from)} and ${speak.node(to)}`;
    if (outcome === "pass")
      return atLimit
        ? `${where}, ${falls} at ${said.figure}, at the limit: confirm. The least grade of ${said.limit} is also written as 1/8 in per ft, which is a little more.`
        : `${where}, ${falls} at ${said.figure}; the least is ${said.limit}.`;
    if (outcome === "undetermined")
      return `${where}, ${falls} at something between ${speak.figure(low, "grade")} and ${speak.figure(high, "grade")} within the tolerance of the survey; the least is ${said.limit}: measure both ends again.`;
    const how =
      grade > 0
        ? `${falls} at only ${said.figure}`
        : grade < 0
          ? pipes.length > 1
            ? "rise"
            : "rises"
          : pipes.length > 1
            ? "are level"
            : "is level";
    return `${where}, ${how} over ${speak.figure(length, "length")}; the least is ${said.limit}, so ${speak.figure(lacking, "dimension", "up")} of fall is lacking.`;
  },
});
