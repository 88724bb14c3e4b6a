import { EPSILON } from "../../quantity/interval.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { hasSecondLine, linesOf, pipesOf, settleUndrawn } from "../second-line-end.js";

type Fault = "meets" | "no-outlet" | "not-above";

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly faults: readonly { readonly pipe: number; readonly fault: Fault; readonly at: number }[];
}

export const overflowSecondaryIndependent = defineRule<Data>({
  id: "overflow.secondary-independent",
  title: "Second line that shares the first one's fate",
  question: "Does the second line leave the pan above the first, and end apart from it?",
  why: "A second drain that joins the first blocks with it, and one that leaves the pan as low as the first fills and slimes with it.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["pipes.role", "nodes.pan.secondary", "nodes.auxiliaryPan.drain"],
  limits: [],
  notApplicable: "No coil has a piped second port or a drained auxiliary pan.",
  remedy: "Lead the second line to an outlet of its own.",
  sources: ["imc-307.2.3", "irc-m1411.3", "upc-814.2", "unit-manuals"],
  anchor: "coil",
  *subjects(c) {
    for (let coil = 0; coil < c.net.coils.length; coil++) if (hasSecondLine(c, coil)) yield coil;
  },
  judge(c, coil) {
    const { net } = c;
    const node = net.coils[coil];
    const height = net.nodes[node].coil!.pan.secondary?.height ?? null;
    const lines = linesOf(c)[coil];
    const faults = lines.flatMap((line): Data["faults"] => {
      const { pipe, role, meets, outlet, end } = line;
      if (meets >= 0) return [{ pipe, fault: "meets", at: meets }];
      if (outlet < 0) return [{ pipe, fault: "no-outlet", at: end }];
      const isLow = role === "secondary" && height !== null && height <= EPSILON;
      return isLow ? [{ pipe, fault: "not-above", at: node }] : [];
    });
    const settledBy = settleUndrawn(c, coil);
    const outcome: Outcome = faults.length > 0 ? "fail" : settledBy.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const shared = new Set(faults.map(({ pipe }) => pipe));
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy } : {}),
      data: { outcome, coil: node, faults },
      anchor: coil,
      subject: {
        fanCoils: [node],
        nodes: faults.map(({ at }) => at).filter((at) => at >= 0 && at !== node),
        pipes: lines.filter(({ pipe }) => outcome !== "fail" || shared.has(pipe)).flatMap((line) => pipesOf(c, line)),
      },
      evidence: [],
      remedy: faults.map(({ pipe, fault }) => ({
        action: "lead-apart",
        on: { pipe },
        what: fault === "not-above" ? "from a port above the primary one" : "to an outlet of its own",
      })),
    };
  },
  say: ({ outcome, coil, faults }, speak) => {
    const name = `the second line of ${speak.node(coil)}`;
    if (outcome === "pass") return `${name.replace("the", "The")} ends apart from the first.`;
    if (outcome === "undetermined") return `Where ${name} ends is not in the document.`;
    return faults
      .map(({ pipe, fault, at }) =>
        fault === "meets"
          ? `The second line ${speak.pipe(pipe)} of ${speak.node(coil)} joins a primary drain at ${speak.node(at)}: what blocks the one blocks the other.`
          : fault === "no-outlet"
            ? `The second line ${speak.pipe(pipe)} of ${speak.node(coil)} reaches no outlet${at < 0 ? "" : `: it ends at ${speak.node(at)}`}.`
            : `The second line ${speak.pipe(pipe)} leaves the pan of ${speak.node(coil)} no higher than the primary drain: it is no second line.`,
      )
      .join(" ");
  },
});
