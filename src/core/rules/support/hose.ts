import { HANGS } from "../../analysis/facts.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, type Settle, TOLD } from "../rule.js";

function* hoses(c: Case): Generator<number> {
  const { hangs } = c.facts.supports;
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++) if (hangs[pipe] === HANGS.flexible) yield pipe;
}

const ask = (c: Case, pipe: number): readonly Settle[] => [{ pointer: `${c.net.pipes[pipe].pointer}/supportSpacing` }];
const waiting = waitingFor(hoses, (c, pipe) => (c.net.pipes[pipe].supportSpacing === null ? "missing" : null));

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly spacing: number;
}

export const supportHose = defineRule<Data>({
  id: "support.hose",
  title: "Hose not carried all along",
  question: "Is flexible pipe carried all along?",
  why: "A hose keeps no line of its own: between any two supports it hangs in a bow, and each bow is a trap.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["pipes.flexible", "pipes.material", "pipes.supportSpacing"],
  limits: [],
  notApplicable: "No flexible pipe carries water down a slope.",
  remedy: "Lay the hose on a tray or rail along its whole length, or replace it with pipe.",
  sources: ["common-practice"],
  anchor: "pipe",
  subjects: hoses,
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined && group.first !== pipe) return TOLD;
    const spacing = c.net.pipes[pipe].supportSpacing ?? Number.NaN;
    const judged = judgeFigure({ low: spacing, best: spacing, high: spacing }, 0, "at-most");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const pipes = group?.all ?? [pipe];
    const limit = { name: "carried all along", source: "common-practice" } as const;
    return {
      outcome,
      ...(group === undefined ? {} : { family: "missing", settledBy: settleAll(c, group, ask) }),
      data: { outcome, pipes, spacing },
      anchor: pipe,
      subject: { pipes },
      evidence:
        group === undefined ? [evidenceOf("supportSpacing", "length", judged, limit, [ask(c, pipe)[0].pointer])] : [],
      remedy: outcome === "fail" ? [{ action: "add-supports", on: { pipe }, amount: 0, kind: "length" }] : [],
    };
  },
  say: ({ outcome, pipes, spacing }, speak) => {
    const name = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    const is = pipes.length === 1 ? "is flexible" : "are flexible";
    if (outcome === "undetermined")
      return `${name} ${is}; whether carried all along cannot be told: the spacing of supports is not given (0 where there is a tray).`;
    if (outcome === "pass") return `${name} ${is} and carried all along.`;
    return `${name} ${is} and hangs on supports ${speak.figure(spacing, "length")} apart: water stands in each bow between them.`;
  },
});
