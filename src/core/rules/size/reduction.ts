import { KIND, ROLE } from "../../graph/compiled.js";
import { atLeast } from "../../quantity/interval.js";
import { boreFamily, boreSettle } from "../air-readings.js";
import { drawnSize, isNominal, settleSize } from "../drawn-size.js";
import {
  type Case,
  defineRule,
  type Evidence,
  type Family,
  type Outcome,
  PASS,
  type RemedyStep,
  type Settle,
} from "../rule.js";

/** Bores of different systems count as one size within this share. */
const SAME_SIZE = 0.1;

interface Step {
  readonly outcome: Outcome;
  readonly above: number;
  /** nominal sizes (or outside diameters of one system), or bores in m */
  readonly by: "size" | "bore";
  readonly drawn: number;
  readonly least: number;
}

/** One drain and the next on the way. */
const stepOf = (c: Case, above: number, pipe: number): Step => {
  const { bore } = c.facts.capacity;
  const sizes = [above, pipe].map((each) => c.net.pipes[each].size);
  const hasOneSystem = sizes.every((size) => size !== null) && isNominal(c, above) === isNominal(c, pipe);
  if (hasOneSystem) {
    const [least, drawn] = sizes as [number, number];
    return { outcome: drawn >= least ? "pass" : "fail", above, by: "size", drawn, least };
  }
  const least = bore[above] * (1 - SAME_SIZE);
  const drawn = bore[pipe];
  const isKnown = !Number.isNaN(least) && !Number.isNaN(drawn);
  const outcome: Outcome = !isKnown
    ? isOnePipe(c, above, pipe)
      ? "pass"
      : "undetermined"
    : atLeast(drawn, least)
      ? "pass"
      : "fail";
  return { outcome, above, by: "bore", drawn, least };
};

/**
 * Two pieces of one pipe: nothing but a point on the run stands between them, and both say the same of their make. What
 * neither says of its size is then asked of the pipe, not of a step that nobody drew.
 */
const isOnePipe = (c: Case, above: number, pipe: number): boolean => {
  const [a, b] = [c.net.pipes[above], c.net.pipes[pipe]];
  return (
    c.net.kind[c.net.from[pipe]] === KIND.point &&
    a.size === b.size &&
    a.material === b.material &&
    a.insideDiameter === b.insideDiameter
  );
};

function* drainsInto(c: Case, pipe: number): Generator<number> {
  const { start, list } = c.net.drainsIn;
  const node = c.net.from[pipe];
  for (let k = start[node]; k < start[node + 1]; k++) yield list[k];
}

interface Data extends Step {
  readonly pipe: number;
}

export const sizeReduction = defineRule<Data>({
  id: "size.reduction",
  title: "Pipe that shrinks downstream",
  question: "Does any pipe shrink downstream?",
  why: "Whatever passes the larger pipe lodges where it narrows. The codes allow no reduction in the direction of flow.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["pipes.size", "pipes.material", "pipes.insideDiameter"],
  limits: [],
  notApplicable: "No two drains follow each other.",
  remedy: "Keep the larger size down to the outlet.",
  sources: ["imc-307.2.2", "ipc-704"],
  anchor: "pipe",
  *subjects(c) {
    const { net, facts } = c;
    for (let pipe = 0; pipe < net.pipeCount; pipe++) {
      const node = net.from[pipe];
      if (net.role[pipe] !== ROLE.drain || facts.topology.next[node] !== pipe || net.kind[node] === KIND.pump) continue;
      if (net.drainsIn.start[node + 1] > net.drainsIn.start[node]) yield pipe;
    }
  },
  judge(c, pipe) {
    const { net, facts } = c;
    const rank: Record<Outcome, number> = { fail: 2, undetermined: 1, pass: 0 };
    let worst: Step | null = null;
    for (const above of drainsInto(c, pipe)) {
      const step = stepOf(c, above, pipe);
      const isWorse =
        worst === null ||
        rank[step.outcome] > rank[worst.outcome] ||
        (step.outcome === worst.outcome && step.by === worst.by && step.least > worst.least);
      if (isWorse) worst = step;
    }
    const step = worst!;
    if (step.outcome === "pass" && !c.wantPasses) return PASS;
    const kind = step.by === "size" ? "size" : "dimension";
    const evidence: Evidence = {
      name: step.by === "size" ? "size" : "insideDiameter",
      low: step.drawn,
      best: step.drawn,
      high: step.drawn,
      kind,
      limit: { name: "no reduction", value: step.least, source: "imc-307.2.2" },
      margin: step.drawn - step.least,
      from: [step.above, pipe].map((each) => net.pipes[each].pointer),
    };
    return {
      outcome: step.outcome,
      ...(step.outcome === "undetermined" ? settle(c, [step.above, pipe]) : {}),
      data: { ...step, pipe },
      anchor: pipe,
      subject: { nodes: [net.from[pipe]], pipes: [pipe] },
      evidence: step.outcome === "undetermined" ? [] : [evidence],
      remedy: step.outcome === "fail" ? enlarge(c, pipe, drawnSize(c, step.above), facts.topology.next) : undefined,
    };
  },
  say: ({ outcome, above, pipe, by, drawn, least }, speak) => {
    const names = `${speak.pipe(above)} into ${speak.pipe(pipe)}`;
    if (outcome === "undetermined")
      return `Whether the drain shrinks from ${names} cannot be told: a bore is not known.`;
    const upper = by === "size" ? speak.size(least) : speak.figure(least / (1 - SAME_SIZE), "dimension");
    const lower = by === "size" ? speak.size(drawn) : speak.figure(drawn, "dimension");
    return outcome === "fail"
      ? `The drain shrinks in the direction of flow, from ${names}: ${upper} to ${lower}.`
      : `The drain does not shrink from ${names}: ${upper} to ${lower}.`;
  },
});

/** The pipe and those below it that are smaller than the drain above: enlarging one alone would move the step down. */
function enlarge(c: Case, pipe: number, size: number, next: Int32Array): RemedyStep[] {
  const steps: RemedyStep[] = [];
  const amount = Math.max(size, c.facts.capacity.requiredSize[pipe]);
  for (let at = pipe; at >= 0 && steps.length < 50; at = next[c.net.to[at]]) {
    if (c.net.role[at] !== ROLE.drain || drawnSize(c, at) >= amount) break;
    steps.push({ action: "enlarge-pipe", on: { pipe: at }, amount, kind: "size" });
  }
  return steps.length > 0 ? steps : [{ action: "enlarge-pipe", on: { pipe } }];
}

function settle(c: Case, pipes: readonly number[]): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  const lacking = pipes
    .filter((pipe) => Number.isNaN(c.facts.capacity.bore[pipe]))
    .map((pipe) =>
      c.net.pipes[pipe].size === null
        ? settleSize(c, pipe)
        : { family: boreFamily(c, pipe), settledBy: [boreSettle(c, pipe)] },
    );
  const missing = lacking.filter(({ family }) => family === "missing");
  const family: Family = missing.length > 0 ? "missing" : "method";
  return { family, settledBy: (missing.length > 0 ? missing : lacking).flatMap(({ settledBy }) => settledBy) };
}
