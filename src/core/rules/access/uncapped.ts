import { KIND } from "../../graph/compiled.js";
import { indexed } from "../indexed.js";
import { panSideOpenings } from "../pan-side.js";
import { defineRule, type Outcome, PASS } from "../rule.js";

/** Cleanouts on the pan's side of a trap, with the coils (nodes) whose pan shares air with them. */
const panSideCleanouts = indexed((c) => {
  const coilsOf = new Map<number, number[]>();
  for (let coil = 0; coil < c.net.coils.length; coil++) {
    if (c.facts.topology.firstTrap[coil] < 0) continue;
    for (const node of panSideOpenings(c, coil)) {
      if (c.net.kind[node] !== KIND.cleanout) continue;
      const known = coilsOf.get(node);
      if (known === undefined) coilsOf.set(node, [c.net.coils[coil]]);
      else known.push(c.net.coils[coil]);
    }
  }
  return coilsOf;
});

interface Data {
  readonly outcome: Outcome;
  readonly cleanout: number;
  readonly coils: readonly number[];
}

export const accessUncapped = defineRule<Data>({
  id: "access.uncapped",
  title: "Cleanout left open before the trap",
  question: "Is a cleanout on the pan's side capped?",
  why: "Its cap comes off for cleaning and stays off: then the fan draws air in past the seal, or blows it out, and a backed-up pan spills there.",
  severity: "major",
  kind: "record",
  stage: "as-built",
  needs: ["nodes.capped"],
  limits: [],
  notApplicable: "No cleanout stands between a pan and its trap.",
  remedy: "Put the cap back on.",
  sources: ["common-practice"],
  anchor: "node",
  subjects: (c) => panSideCleanouts(c).keys(),
  judge(c, node) {
    const isOpen = !c.net.nodes[node].cleanout!.capped;
    if (!isOpen && !c.wantPasses) return PASS;
    const outcome: Outcome = isOpen ? "fail" : "pass";
    const coils = panSideCleanouts(c).get(node)!;
    return {
      outcome,
      data: { outcome, cleanout: node, coils },
      anchor: node,
      subject: { fanCoils: coils, nodes: [node] },
      evidence: [],
      remedy: isOpen ? [{ action: "cap", on: { node } }] : undefined,
      links: { cleanout: [node] },
    };
  },
  say: ({ outcome, cleanout, coils }, speak) => {
    const where = `The cleanout ${speak.node(cleanout)}, between the pan of ${speak.list(coils.map((coil) => speak.node(coil)))} and its trap,`;
    return outcome === "fail" ? `${where} stands open.` : `${where} is capped.`;
  },
});
