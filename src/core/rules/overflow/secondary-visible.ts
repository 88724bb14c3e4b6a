import { defineRule, type Outcome, PASS } from "../rule.js";
import { hasSecondLine, isSeen, linesOf, settleUndrawn } from "../second-line-end.js";

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly ends: readonly { readonly pipe: number; readonly outlet: number; readonly discharge: string | null }[];
}

export const overflowSecondaryVisible = defineRule<Data>({
  id: "overflow.secondary-visible",
  title: "Second line that ends out of sight",
  question: "Does the second line end where somebody sees it?",
  why: "Water from the second line says that the first is blocked. Where nobody sees it, the blockage stays until the second line blocks too.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["pipes.role", "nodes.discharge", "nodes.pan.secondary", "nodes.auxiliaryPan.drain"],
  limits: [],
  notApplicable: "No coil has a second line with an outlet of its own.",
  remedy: "Lead the second line to a conspicuous point, such as over a door or a window.",
  sources: ["imc-307.2.3", "irc-m1411.3", "upc-814.2"],
  anchor: "coil",
  *subjects(c) {
    for (let coil = 0; coil < c.net.coils.length; coil++)
      if (
        hasSecondLine(c, coil) &&
        (settleUndrawn(c, coil).length > 0 || linesOf(c)[coil].some(({ meets, outlet }) => meets < 0 && outlet >= 0))
      )
        yield coil;
  },
  judge(c, coil) {
    const { net } = c;
    const node = net.coils[coil];
    // One that joins a primary drain has no end of its own to see.
    const ends = linesOf(c)
      [coil].filter(({ meets, outlet }) => meets < 0 && outlet >= 0)
      .map(({ pipe, outlet }) => ({ pipe, outlet, seen: isSeen(c, outlet) }));
    const unknown = ends.filter(({ seen }) => seen === null);
    const hidden = ends.filter(({ seen }) => seen === false);
    const settledBy = [
      ...unknown.map(({ outlet }) => ({ pointer: `${net.nodes[outlet].pointer}/discharge` })),
      ...settleUndrawn(c, coil),
    ];
    const outcome: Outcome = hidden.length > 0 ? "fail" : settledBy.length > 0 ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const told = outcome === "fail" ? hidden : outcome === "pass" ? ends : unknown;
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy } : {}),
      data: {
        outcome,
        coil: node,
        ends: told.map(({ pipe, outlet }) => ({ pipe, outlet, discharge: net.nodes[outlet].outlet!.discharge })),
      },
      anchor: coil,
      subject: { fanCoils: [node], nodes: told.map(({ outlet }) => outlet), pipes: told.map(({ pipe }) => pipe) },
      evidence: [],
      remedy:
        outcome === "fail"
          ? hidden.map(({ pipe }) => ({ action: "lead-apart", on: { pipe }, what: "to a conspicuous point" }))
          : [],
    };
  },
  say: ({ outcome, coil, ends }, speak) => {
    const name = speak.node(coil);
    const list = speak.list(
      ends.map(({ pipe, outlet, discharge }) =>
        discharge === null
          ? `${speak.pipe(pipe)} at ${speak.node(outlet)}`
          : `${speak.pipe(pipe)} at ${speak.node(outlet)} (${discharge.replaceAll("-", " ")})`,
      ),
    );
    if (outcome === "fail")
      return `The second line of ${name} ends where nobody is sure to see it: ${list}. When the first one blocks, nobody learns of it.`;
    if (outcome === "pass") return `The second line of ${name} ends where somebody sees it: ${list}.`;
    return ends.length === 0
      ? `Where the second line of ${name} ends is not in the document.`
      : `Whether somebody sees where the second line of ${name} ends is not known: ${list}.`;
  },
});
