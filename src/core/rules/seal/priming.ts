import { atMost, exact } from "../../quantity/interval.js";
import { plainEvidence } from "../judge-figure.js";
import { AT_ATMOSPHERE } from "../pan-pressure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import { primeTrap, sealAt, subjectOf, traps } from "../trap-figures.js";

/** A fan that blows drives out what was poured, and its trap finds a level of its own. */
const isBlown = (c: Case, trap: number): boolean => {
  const { coils } = sealAt(c, trap);
  return (
    coils.length > 0 &&
    coils.every((position) => {
      const { panStatic, fanPosition } = c.net.nodes[c.net.coils[position]].coil!;
      return fanPosition === "blow-through" || (panStatic !== null && !atMost(panStatic, AT_ATMOSPHERE));
    })
  );
};

interface Data {
  readonly outcome: Outcome;
  readonly trap: number;
  /** m³ to fill it, NaN unknown */
  readonly volume: number;
}

export const sealPriming = defineRule<Data>({
  id: "seal.priming",
  title: "Trap filled",
  question: "Is the trap primed?",
  why: "A trap that was never filled, or has dried out, is an open pipe: the fan draws air through it and the first condensate cannot fill it.",
  severity: "minor",
  kind: "record",
  stage: "as-built",
  needs: ["nodes.primed"],
  limits: [],
  notApplicable: "There is no water trap, or a fan blows on each of them.",
  remedy: "Pour water into the access before the trap until it runs over the weir.",
  sources: ["epa-moisture", "common-practice"],
  anchor: "node",
  *subjects(c) {
    for (const trap of traps(c, "water")) if (!isBlown(c, trap)) yield trap;
  },
  judge: (c, trap) => {
    const { primed } = c.net.nodes[trap].trap!;
    if (primed === true && !c.wantPasses) return PASS;
    const seal = sealAt(c, trap);
    const volume = seal.primingVolume;
    const outcome: Outcome = primed === null ? "undetermined" : primed ? "pass" : "fail";
    const { pointer } = c.net.nodes[trap];
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: [{ pointer: `${pointer}/primed` }] } : {}),
      data: { outcome, trap, volume },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence: Number.isNaN(volume)
        ? []
        : [plainEvidence("primingVolume", "volume", exact(volume), [`${pointer}/sealDepth`])],
      remedy: outcome === "fail" ? [primeTrap(seal)] : [],
    };
  },
  say: ({ outcome, trap, volume }, speak) => {
    const takes = Number.isNaN(volume) ? "" : `; it takes at least ${speak.figure(volume, "volume", "up")}`;
    if (outcome === "pass") return `The trap ${speak.node(trap)} is filled.`;
    return outcome === "fail"
      ? `The trap ${speak.node(trap)} is not filled, and seals nothing${takes}.`
      : `Nobody says whether the trap ${speak.node(trap)} is filled${takes}.`;
  },
});
