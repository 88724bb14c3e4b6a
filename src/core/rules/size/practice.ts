import { sizeByTable } from "../../profiles/size-by-table.js";
import { exact } from "../../quantity/interval.js";
import { drawnSize, isNominal, settleSize, sizeEvidence } from "../drawn-size.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { settleCapacity } from "../unknown-loads.js";
import { inLoop, isInLoop, judgeCodeSize, loadedDrains } from "./code-table.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipe: number;
  readonly drawn: number;
  readonly bore: number;
  readonly least: number;
  readonly connected: number;
  readonly loop: boolean;
}

export const sizePractice = defineRule<Data>({
  id: "size.practice",
  title: "Pipe smaller than good practice",
  question: "Is each pipe, beyond the code's table, within the profile's good-practice size?",
  why: "The code's sizes carry the water of a clean pipe many times over; small drains fail by slime and air, not by flow. Design guides go a size or two larger.",
  severity: "advice",
  kind: "condition",
  stage: "design",
  needs: ["nodes.coolingCapacity", "pipes.size", "pipes.material", "pipes.insideDiameter"],
  limits: ["size.practice"],
  notApplicable: "The profile names no good-practice sizes.",
  remedy: "Take the larger size where the pipe is not yet laid.",
  sources: ["design-guide-condensate"],
  anchor: "pipe",
  *subjects(c) {
    if (c.profile.practiceTable === null) return;
    // A pipe that the code already wants larger needs no advice beside it.
    for (const pipe of loadedDrains(c))
      if (c.profile.codeTable === null || judgeCodeSize(c, pipe).outcome !== "fail") yield pipe;
  },
  judge(c, pipe) {
    const table = c.profile.practiceTable!;
    const connected = c.facts.loads.connected[pipe];
    const least = sizeByTable(table, connected);
    const drawn = drawnSize(c, pipe);
    const outcome: Outcome =
      Number.isNaN(least) || Number.isNaN(drawn) ? "undetermined" : drawn >= least ? "pass" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(outcome === "undetermined" ? settle(c, pipe, connected, least) : {}),
      data: {
        outcome,
        pipe,
        drawn,
        bore: isNominal(c, pipe) ? Number.NaN : c.facts.capacity.bore[pipe],
        least,
        connected,
        loop: isInLoop(c, pipe),
      },
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence: [
        ...(outcome === "undetermined"
          ? []
          : [sizeEvidence(c, pipe, least, { name: "size.practice", source: table.source })]),
        ...(Number.isNaN(connected)
          ? []
          : [plainEvidence("connectedCapacity", "cooling-capacity", exact(connected), [c.net.pipes[pipe].pointer])]),
      ],
      remedy: outcome === "fail" ? [{ action: "enlarge-pipe", on: { pipe }, amount: least, kind: "size" }] : undefined,
    };
  },
  say: ({ outcome, pipe, drawn, bore, least, connected, loop }, speak) => {
    if (loop) return inLoop(pipe, speak);
    if (Number.isNaN(connected))
      return `Whether ${speak.pipe(pipe)} has its good-practice size cannot be told: the cooling capacity of a coil above it is not given.`;
    const load = speak.figure(connected, "cooling-capacity");
    if (Number.isNaN(least))
      return `${speak.pipe(pipe)} serves ${load} of cooling, more than the good-practice table goes to.`;
    if (Number.isNaN(drawn)) return `${speak.pipe(pipe)} serves ${load} of cooling; its own size is not known.`;
    const is = Number.isNaN(bore)
      ? `is ${speak.size(drawn)}`
      : `has a bore of ${speak.figure(bore, "dimension", "down")}`;
    return outcome === "fail"
      ? `${speak.pipe(pipe)} ${is}; for the ${load} of cooling connected to it good practice takes ${speak.size(least)}.`
      : `${speak.pipe(pipe)} ${is}; for the ${load} of cooling connected to it good practice takes ${speak.size(least)} or more.`;
  },
});

function settle(
  c: Case,
  pipe: number,
  connected: number,
  least: number,
): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  if (Number.isNaN(connected)) return settleCapacity(c, pipe);
  if (!Number.isNaN(least)) return settleSize(c, pipe);
  const decision = "Let the engineer size the drain: its connected capacity is above the table's last row.";
  return { family: "method", settledBy: [{ pointer: `${c.net.pipes[pipe].pointer}/size`, decision }] };
}
