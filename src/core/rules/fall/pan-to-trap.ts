import { limitOf } from "../../profiles/profile.js";
import { EPSILON } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { reGrade, runFigures, runOf } from "../run-grade.js";
import { fromLevel, reMeasure, toLevel } from "../settle.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly from: number;
  readonly trap: number;
  readonly grade: number;
  readonly fall: number;
  readonly high: number;
  readonly low: number;
}

/** Run (index) between a pan and its first trap → that trap. */
const runsBeforeTraps = indexed(({ net, facts }) => {
  const trapOf = new Map<number, number>();
  const passed = new Uint8Array(net.nodeCount);
  net.coils.forEach((coil, position) => {
    const trap = facts.topology.firstTrap[position];
    if (trap < 0) return;
    // Below a node that an earlier walk passed the way, and the trap at its end, are the same.
    for (let node = coil; node !== trap && !passed[node]; ) {
      passed[node] = 1;
      const pipe = facts.topology.next[node];
      const run = facts.fall.runOf[pipe];
      if (run >= 0 && !Number.isNaN(facts.fall.runs[run].grade)) trapOf.set(run, trap);
      node = net.to[pipe];
    }
  });
  return trapOf;
});

export const fallPanToTrap = defineRule<Data>({
  id: "fall.pan-to-trap",
  title: "The piece between pan and trap falls",
  question: "Does the connecting piece upstream of the trap hold a grade?",
  why: "A level or rising piece before the trap keeps water at the pan, where slime starts.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.elevation", "traps.inletDrop", "pipes.fromInvert", "pipes.toInvert", "pipes.length"],
  limits: [],
  notApplicable: "No coil has a trap that a sloping pipe joins to the pan.",
  remedy: "Set the trap lower, or re-hang the piece so that it falls.",
  sources: ["common-practice"],
  anchor: "pipe",
  *subjects(c) {
    for (const run of runsBeforeTraps(c).keys()) {
      const { pipes } = c.facts.fall.runs[run];
      yield pipes[pipes.length - 1];
    }
  },
  judge: (c, pipe) => {
    const run = runOf(c, pipe);
    // Any fall will do, so a level piece, whose fall is 0 within a micrometre, does not pass.
    const fallLow = run.gradeLow * run.length;
    const fallHigh = run.gradeHigh * run.length;
    const outcome: Outcome = fallLow > EPSILON ? "pass" : fallHigh > EPSILON ? "undetermined" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { net } = c;
    const first = run.pipes[0];
    const last = run.pipes[run.pipes.length - 1];
    const trap = runsBeforeTraps(c).get(c.facts.fall.runOf[pipe]) ?? net.to[last];
    const least = limitOf(c.profile, "fall.minimumGrade").value;
    return {
      outcome,
      ...(outcome === "undetermined"
        ? {
            family: "tolerance",
            settledBy: reMeasure(net, [fromLevel(net, first), toLevel(net, last)], Math.abs(run.fall)),
          }
        : {}),
      data: {
        outcome,
        pipes: run.pipes,
        from: net.from[first],
        trap,
        grade: run.grade,
        fall: run.fall,
        low: run.gradeLow,
        high: run.gradeHigh,
      },
      anchor: last,
      subject: { pipes: run.pipes, nodes: [net.from[first], trap] },
      evidence: [
        {
          name: "grade",
          low: run.gradeLow,
          best: run.grade,
          high: run.gradeHigh,
          kind: "grade",
          limit: { name: "more than level", value: 0, source: "common-practice" },
          margin: run.grade,
          from: runFigures(c, run),
        },
      ],
      remedy: outcome === "fail" ? reGrade(c, run, least) : [],
      links: { pipe: run.pipes },
    };
  },
  say: ({ outcome, pipes, from, trap, grade, fall, low, high }, speak) => {
    const many = pipes.length > 1;
    const falls = many ? "fall" : "falls";
    const where = `${speak.list(pipes.map((p) => speak.pipe(p)))}, between ${speak.node(from)} and the trap ${speak.node(trap)}`;
    if (outcome === "pass") return `${where}, ${falls} at ${speak.figure(grade, "grade")}.`;
    if (outcome === "undetermined")
      return `${where}, ${falls} at something between ${speak.figure(low, "grade")} and ${speak.figure(high, "grade")} within the tolerance of the survey; it must fall: measure both ends again.`;
    return Math.abs(fall) <= EPSILON
      ? `${where}, ${many ? "are" : "is"} level; the piece between pan and trap must fall.`
      : `${where}, ${many ? "rise" : "rises"} by ${speak.figure(-fall, "dimension")}; the piece between pan and trap must fall.`;
  },
});
