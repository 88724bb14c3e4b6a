import { KIND, ROLE } from "../../graph/compiled.js";
import { limitOf } from "../../profiles/profile.js";
import { indexed } from "../indexed.js";
import { evidenceOf } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
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
  readonly lacking: number;
  /** whether the fall budgets of the coils above have room for it; null: cannot be told */
  readonly room: boolean | null;
}

/** pipe → least fall budget of the coils whose path it is on, and whether one of them is unknown. */
const leastBudget = indexed(({ net, facts }) => {
  const known = new Float64Array(net.pipeCount).fill(Infinity);
  const unknown = new Uint8Array(net.pipeCount);
  const atNode = new Float64Array(net.nodeCount).fill(Infinity);
  const unknownAt = new Uint8Array(net.nodeCount);
  net.coils.forEach((coil, position) => {
    const budget = facts.fall.coils[position].fallBudget;
    if (Number.isNaN(budget)) unknownAt[coil] = 1;
    else atNode[coil] = budget;
  });
  for (let i = net.downstreamFirst.length - 1; i >= 0; i--) {
    const node = net.downstreamFirst[i];
    const pipe = facts.topology.next[node];
    if (pipe < 0 || net.role[pipe] !== ROLE.drain || net.kind[node] === KIND.pump) continue;
    known[pipe] = atNode[node];
    unknown[pipe] = unknownAt[node];
    const below = net.to[pipe];
    atNode[below] = Math.min(atNode[below], atNode[node]);
    if (unknownAt[node]) unknownAt[below] = 1;
  }
  return { known, unknown };
});

const roomFor = (c: Case, pipe: number, more: number): boolean | null => {
  const { known, unknown } = leastBudget(c);
  if (known[pipe] < more) return false;
  return unknown[pipe] || known[pipe] === Infinity ? null : true;
};

export const fallBelowRecommended = defineRule<Data>({
  id: "fall.below-recommended",
  title: "The trade's usual grade",
  question: "And the trade's usual 1/4 in per ft?",
  why: "The usual grade leaves something for sagging hangers and settling, and keeps the pipe cleaner.",
  severity: "advice",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "pipes.fromInvert", "pipes.toInvert", "pipes.length", "pipes.grade"],
  limits: ["fall.recommendedGrade", "fall.minimumRunJudged"],
  notApplicable: "No run of sloping drain is long enough to be judged, or all of them fail the least grade.",
  remedy: "Re-hang the run at the usual grade where the fall to the outlet has room for it.",
  sources: ["common-practice"],
  anchor: "pipe",
  *subjects(c) {
    for (const pipe of judgedRuns(c))
      if (judgeRunGrade(c, runOf(c, pipe), "fall.minimumGrade").outcome !== "fail") yield pipe;
  },
  judge: (c, pipe) => {
    const run = runOf(c, pipe);
    const judged = judgeRunGrade(c, run, "fall.recommendedGrade");
    if (judged.outcome === "pass" && !c.wantPasses) return PASS;
    const { net } = c;
    const limit = limitOf(c.profile, "fall.recommendedGrade");
    const first = run.pipes[0];
    const last = run.pipes[run.pipes.length - 1];
    // Above the least grade, which the budget has taken off already.
    const least = limitOf(c.profile, "fall.minimumGrade").value;
    const room = judged.outcome === "fail" ? roomFor(c, last, (limit.value - least) * run.length) : null;
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
        lacking: limit.value * run.length - run.fall,
        room,
      },
      anchor: last,
      subject: { pipes: run.pipes, nodes: [net.from[first], net.to[last]] },
      evidence: [evidenceOf("grade", "grade", judged, limit, runFigures(c, run))],
      remedy: judged.outcome === "fail" && room !== false ? reGrade(c, run, limit.value) : [],
      links: { pipe: run.pipes },
    };
  },
  say: ({ outcome, pipes, from, to, grade, low, high, limit, lacking, room }, speak) => {
    const falls = pipes.length > 1 ? "fall" : "falls";
    const said = speak.against(grade, limit, "grade");
    const where = `${speak.list(pipes.map((p) => speak.pipe(p)))}, between ${speak.node(from)} and ${speak.node(to)}`;
    if (outcome === "pass") return `${where}, ${falls} at ${said.figure}; ${said.limit} is usual.`;
    if (outcome === "undetermined")
      return `${where}, ${falls} at something between ${speak.figure(low, "grade")} and ${speak.figure(high, "grade")} within the tolerance of the survey; ${said.limit} is usual: measure both ends again.`;
    const more = speak.figure(lacking, "dimension", "up");
    const budget =
      room === null
        ? ""
        : room
          ? `; the fall to the outlet has room for the ${more} more that it needs`
          : `; the fall to the outlet has no room for the ${more} more that it needs`;
    return `${where}, ${falls} at ${said.figure}; ${said.limit} is usual${budget}.`;
  },
});
