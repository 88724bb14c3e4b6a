import { ROLE } from "../../graph/compiled.js";
import { limitOf } from "../../profiles/profile.js";
import { EPSILON, exact } from "../../quantity/interval.js";
import { inchesOfDn } from "../../quantity/sizes.js";
import type { Speaker } from "../../quantity/speaker.js";
import { drawnSize, isNominal, settleSize, sizeEvidence } from "../drawn-size.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { settleCapacity } from "../unknown-loads.js";

/** Drains that carry the water of coils. */
export function* loadedDrains(c: Case): Generator<number> {
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++)
    if (c.net.role[pipe] === ROLE.drain && c.facts.topology.coilsAbove[pipe] > 0) yield pipe;
}

/** Round a loop of drains, and on the way into one, no load can be summed. */
export const isInLoop = (c: Case, pipe: number): boolean => c.facts.topology.intoCycle[c.net.from[pipe]] === 1;

/** What is said of such a drain. */
export const inLoop = (pipe: number, speak: Speaker): string =>
  `${speak.pipe(pipe)} leads into a loop of drains: what it must carry cannot be summed.`;

interface Verdict {
  readonly outcome: Outcome;
  /** DN number asked for, NaN unknown */
  readonly least: number;
  readonly by: "table" | "minimum" | "hydraulics";
  readonly open: null | "loop" | "capacity" | "above-table" | "size";
}

/** What the code's table says of one drain. */
export const judgeCodeSize = (c: Case, pipe: number): Verdict => {
  const { capacity, loads } = c.facts;
  const undetermined = (open: Verdict["open"]): Verdict => ({
    outcome: "undetermined",
    least: Number.NaN,
    by: "table",
    open,
  });
  if (Number.isNaN(loads.connected[pipe])) return undetermined(isInLoop(c, pipe) ? "loop" : "capacity");
  const isAbove = capacity.aboveTable[pipe] === 1;
  const byHydraulics = isAbove && c.profile.aboveTable === "hydraulic" ? capacity.hydraulicSize[pipe] : 0;
  if (isAbove && byHydraulics === 0) return undetermined("above-table");
  const minimum = limitOf(c.profile, "size.minimum").value;
  const asked = isAbove ? byHydraulics : capacity.codeSize[pipe];
  const least = Math.max(asked, minimum);
  const by = least > asked ? "minimum" : isAbove ? "hydraulics" : "table";
  const drawn = drawnSize(c, pipe);
  if (Number.isNaN(drawn)) return { outcome: "undetermined", least, by, open: "size" };
  let meets = drawn >= least;
  if (meets && c.profile.sizeBasis === "inside-diameter" && least === minimum) {
    // Older texts ask for the inside diameter of the least size.
    const bore = capacity.bore[pipe];
    if (Number.isNaN(bore)) return { outcome: "undetermined", least, by, open: "size" };
    meets = bore >= inchesOfDn(minimum) * 0.0254 - EPSILON;
  }
  return { outcome: meets ? "pass" : "fail", least, by, open: null };
};

interface Data extends Verdict {
  readonly pipe: number;
  readonly drawn: number;
  /** m, where the pipe has no nominal size of its own */
  readonly bore: number;
  readonly connected: number;
}

export const sizeCodeTable = defineRule<Data>({
  id: "size.code-table",
  title: "Pipe smaller than the code's table asks",
  question: "Is each pipe as large as the code asks for its connected tonnage?",
  why: "The codes size shared condensate drains by the cooling capacity that is connected to them. A smaller pipe clogs sooner and breaks the code.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.coolingCapacity", "pipes.size", "pipes.material", "pipes.insideDiameter"],
  limits: ["size.table", "size.minimum", "size.aboveTable"],
  notApplicable: "The profile has no size table, or no drain carries the water of a coil.",
  remedy: "Enlarge the pipe to the size that the table gives for its connected capacity.",
  sources: ["imc-table-307.2.2", "upc-814.3"],
  anchor: "pipe",
  *subjects(c) {
    if (c.profile.codeTable !== null) yield* loadedDrains(c);
  },
  judge(c, pipe) {
    const verdict = judgeCodeSize(c, pipe);
    const { outcome, least, by, open } = verdict;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { net, facts, profile } = c;
    const minimum = limitOf(profile, "size.minimum");
    const limit =
      by === "minimum"
        ? minimum
        : by === "table"
          ? { name: "size.table", source: profile.codeTable!.source }
          : { name: "hydraulicSize", source: limitOf(profile, "capacity.maximumFill").source };
    const connected = facts.loads.connected[pipe];
    const size = facts.capacity.requiredSize[pipe];
    return {
      outcome,
      ...(outcome === "undetermined" ? settle(c, pipe, open) : {}),
      data: {
        ...verdict,
        pipe,
        drawn: drawnSize(c, pipe),
        bore: isNominal(c, pipe) ? Number.NaN : facts.capacity.bore[pipe],
        connected,
      },
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence: [
        ...(open === null ? [sizeEvidence(c, pipe, least, limit)] : []),
        ...(Number.isNaN(connected)
          ? []
          : [plainEvidence("connectedCapacity", "cooling-capacity", exact(connected), [net.pipes[pipe].pointer])]),
      ],
      remedy:
        outcome === "fail"
          ? [{ action: "enlarge-pipe", on: { pipe }, amount: Math.max(size, least), kind: "size" }]
          : undefined,
    };
  },
  say: ({ outcome, pipe, drawn, bore, least, by, open, connected }, speak) => {
    const load = Number.isNaN(connected) ? "" : speak.figure(connected, "cooling-capacity");
    if (open === "loop") return inLoop(pipe, speak);
    if (open === "capacity")
      return `Whether ${speak.pipe(pipe)} is large enough for the code cannot be told: the cooling capacity of a coil above it is not given.`;
    if (open === "above-table")
      return `${speak.pipe(pipe)} serves ${load} of cooling, more than the code's table goes to: its size is for an engineer and the authority to decide.`;
    if (open === "size") return `${speak.pipe(pipe)} serves ${load} of cooling; its own size is not known.`;
    const is = Number.isNaN(bore)
      ? `is ${speak.size(drawn)}`
      : `has a bore of ${speak.figure(bore, "dimension", "down")}`;
    const asks =
      by === "minimum"
        ? "the code's least size is"
        : by === "table"
          ? `for the ${load} of cooling connected to it the code's table asks for`
          : `for the ${load} of cooling connected to it, above the code's table, hydraulics ask for`;
    return outcome === "fail"
      ? `${speak.pipe(pipe)} ${is}; ${asks} ${speak.size(least)}.`
      : `${speak.pipe(pipe)} ${is}, enough: ${asks} ${speak.size(least)}.`;
  },
});

function settle(
  c: Case,
  pipe: number,
  open: Verdict["open"],
): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  if (open === "capacity" || open === "loop") return settleCapacity(c, pipe);
  if (open === "size") return settleSize(c, pipe);
  const decision =
    "Let the engineer size the drain, and the authority agree: its connected capacity is above the table's last row.";
  return { family: "method", settledBy: [{ pointer: `${c.net.pipes[pipe].pointer}/size`, decision }] };
}
