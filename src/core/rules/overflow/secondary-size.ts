import { ROLE } from "../../graph/compiled.js";
import { limitOf } from "../../profiles/profile.js";
import { drawnSize, isNominal, settleSize, sizeEvidence } from "../drawn-size.js";
import { defineRule, type Outcome, PASS } from "../rule.js";

interface Data {
  readonly outcome: Outcome;
  readonly pipe: number;
  readonly drawn: number;
  /** m, where the pipe has no nominal size of its own */
  readonly bore: number;
  readonly least: number;
}

export const overflowSecondarySize = defineRule<Data>({
  id: "overflow.secondary-size",
  title: "Second line smaller than the code asks",
  question: "Is each second line as large as the code asks?",
  why: "A second line stands dry for years and must carry everything on the day when the first one blocks. In a small pipe dust and a spider are enough.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["pipes.role", "pipes.size", "pipes.material", "pipes.insideDiameter"],
  limits: ["overflow.secondarySize"],
  notApplicable: "No coil has a piped second port or a drained auxiliary pan.",
  remedy: "Enlarge the second line.",
  sources: ["irc-m1411.3", "upc-814.2"],
  anchor: "pipe",
  *subjects({ net }) {
    for (let pipe = 0; pipe < net.pipeCount; pipe++)
      if (net.role[pipe] === ROLE.secondary || net.role[pipe] === ROLE.auxiliary) yield pipe;
  },
  judge(c, pipe) {
    const limit = limitOf(c.profile, "overflow.secondarySize");
    const least = limit.value;
    const drawn = drawnSize(c, pipe);
    const outcome: Outcome = Number.isNaN(drawn) ? "undetermined" : drawn >= least ? "pass" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(outcome === "undetermined" ? settleSize(c, pipe) : {}),
      data: { outcome, pipe, drawn, bore: isNominal(c, pipe) ? Number.NaN : c.facts.capacity.bore[pipe], least },
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence: outcome === "undetermined" ? [] : [sizeEvidence(c, pipe, least, limit)],
      remedy: outcome === "fail" ? [{ action: "enlarge-pipe", on: { pipe }, amount: least, kind: "size" }] : [],
    };
  },
  say: ({ outcome, pipe, drawn, bore, least }, speak) => {
    const name = `The second line ${speak.pipe(pipe)}`;
    if (outcome === "undetermined") return `The size of the second line ${speak.pipe(pipe)} is not known.`;
    const is = Number.isNaN(bore) ? speak.size(drawn) : `${speak.figure(bore, "dimension")} inside`;
    return outcome === "fail"
      ? `${name} is ${is}, smaller than ${speak.size(least)}.`
      : `${name} is ${is}, not smaller than ${speak.size(least)}.`;
  },
});
