import { AT_ATMOSPHERE, panPressure, settlePanStatic } from "../pan-pressure.js";
import { defineRule, type Outcome, PASS } from "../rule.js";
import { trapNeeded, trapOnTheWay } from "../trap-needed.js";

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly trap: number;
  /** Pa, NaN unknown */
  readonly panStatic: number;
}

export const sealMissing = defineRule<Data>({
  id: "seal.missing",
  title: "A trap under suction",
  question: "Has each coil under suction a trap or an accepted device in its place?",
  why: "Without a seal the fan draws air up the drain: the water cannot leave the pan, and is blown about in the unit.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: ["fan-coils.panStatic", "fan-coils.fanPosition", "nodes.kind"],
  limits: [],
  notApplicable: "No pan is under suction beyond 5 Pa, or its unit pumps its own water.",
  remedy: "Fit a trap below the pan with the drop and seal that its suction asks for.",
  sources: ["imc-307.2.4", "upc-814.5", "trap-manuals", "trap-article"],
  anchor: "coil",
  *subjects(c) {
    for (let position = 0; position < c.net.coils.length; position++) {
      const coil = c.net.nodes[c.net.coils[position]].coil;
      const pressure = panPressure(c, position);
      if (coil?.internalPump) continue;
      if (pressure === "suction" || (pressure === "unknown" && coil?.fanPosition !== "blow-through")) yield position;
    }
  },
  judge: (c, position) => {
    const trap = trapOnTheWay(c, position);
    if (trap >= 0 && !c.wantPasses) return PASS;
    const coil = c.net.coils[position];
    const panStatic = c.net.nodes[coil].coil?.panStatic ?? Number.NaN;
    const unknown = Number.isNaN(panStatic);
    const outcome: Outcome = trap >= 0 ? "pass" : unknown ? "undetermined" : "fail";
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: [settlePanStatic(c, position)] } : {}),
      data: { outcome, coil, trap, panStatic },
      anchor: position,
      subject: { fanCoils: [coil], nodes: trap >= 0 ? [trap] : [] },
      evidence: unknown
        ? []
        : [
            {
              name: "panStatic",
              low: panStatic,
              best: panStatic,
              high: panStatic,
              kind: "gauge-pressure",
              limit: { name: "at atmosphere", value: -AT_ATMOSPHERE, source: "assumption" },
              margin: panStatic + AT_ATMOSPHERE,
              from: [settlePanStatic(c, position).pointer],
            },
          ],
      remedy: outcome === "fail" ? trapNeeded(c, position) : [],
    };
  },
  say: ({ outcome, coil, trap, panStatic }, speak) => {
    if (outcome === "pass") return `${speak.node(coil)} drains through the trap ${speak.node(trap)}.`;
    return outcome === "undetermined"
      ? `${speak.node(coil)} has no trap, and the static pressure at its pan is unknown: whether its fan draws air up the drain cannot be told.`
      : `The pan of ${speak.node(coil)} is at ${speak.figure(panStatic, "gauge-pressure")} and no trap stands between it and open air: the fan draws air up the drain and holds the water back.`;
  },
});
