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

export const sealMissingPressure = defineRule<Data>({
  id: "seal.missing-pressure",
  title: "A trap under fan pressure",
  question: "Has each coil under fan pressure a trap or an accepted device in its place?",
  why: "Without a seal the fan blows conditioned air down the drain, into the rooms of others where the main is shared.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["fan-coils.panStatic", "fan-coils.fanPosition", "nodes.kind"],
  limits: [],
  notApplicable: "No pan is under fan pressure beyond 5 Pa, or its unit pumps its own water.",
  remedy: "Fit a trap below the pan with the seal that its pressure asks for.",
  sources: ["imc-307.2.4", "upc-814.5", "trap-manuals"],
  anchor: "coil",
  *subjects(c) {
    for (let position = 0; position < c.net.coils.length; position++) {
      const coil = c.net.nodes[c.net.coils[position]].coil;
      const pressure = panPressure(c, position);
      if (coil?.internalPump) continue;
      if (pressure === "pressure" || (pressure === "unknown" && coil?.fanPosition !== "draw-through")) yield position;
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
              limit: { name: "at atmosphere", value: AT_ATMOSPHERE, source: "assumption" },
              margin: AT_ATMOSPHERE - panStatic,
              from: [settlePanStatic(c, position).pointer],
            },
          ],
      remedy: outcome === "fail" ? trapNeeded(c, position) : [],
    };
  },
  say: ({ outcome, coil, trap, panStatic }, speak) => {
    if (outcome === "pass") return `${speak.node(coil)} drains through the trap ${speak.node(trap)}.`;
    return outcome === "undetermined"
      ? `${speak.node(coil)} has no trap, and the static pressure at its pan is unknown: whether its fan blows down the drain cannot be told.`
      : `The pan of ${speak.node(coil)} is at ${speak.figure(panStatic, "gauge-pressure")} and no trap stands between it and open air: the fan blows down the drain.`;
  },
});
