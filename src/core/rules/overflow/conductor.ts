import { defineRule, type Outcome, PASS } from "../rule.js";

interface Data {
  readonly outcome: Outcome;
  readonly circuit: number;
  readonly breaks: "R" | "Y";
  readonly humid: boolean | null;
  readonly fanStops: boolean;
}

export const overflowConductor = defineRule<Data>({
  id: "overflow.conductor",
  title: "Conductor that does not suit the climate",
  question: "Does the circuit break the conductor suited to the climate?",
  why: "Breaking Y ends the cooling alone. In dry air the fan then dries what stands in the pan; in moist air it does not, and both should stop, as they do when R is broken.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["circuits.breaks", "circuits.onTrip", "site.humid"],
  limits: [],
  notApplicable: "No circuit breaks R or Y.",
  remedy: "Let the circuit break R.",
  sources: ["switch-instructions", "common-practice"],
  anchor: "circuit",
  *subjects(c) {
    for (const [i, { breaks }] of c.net.model.circuits.entries()) if (breaks === "R" || breaks === "Y") yield i;
  },
  judge(c, circuit) {
    const { net, facts } = c;
    const { coils, stopsFan } = facts.circuits.circuits[circuit];
    const { humid } = net.model.site;
    const breaks = net.model.circuits[circuit].breaks as "R" | "Y";
    // Whatever the wire, what counts is that the fan stops with the compressor.
    const fanStops = breaks === "R" || stopsFan === true;
    const outcome: Outcome = fanStops || humid === false ? "pass" : humid === null ? "undetermined" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: [{ pointer: "/site/humid" }] } : {}),
      data: { outcome, circuit, breaks, humid, fanStops },
      anchor: circuit,
      subject: { fanCoils: Array.from(coils, (coil) => net.coils[coil]) },
      evidence: [],
      remedy: outcome === "fail" ? [{ action: "rewire", on: { circuit }, what: "R" }] : [],
      ...(outcome === "pass" ? {} : { alike: breaks }),
    };
  },
  say: ({ outcome, circuit, breaks, humid, fanStops }, speak) => {
    const name = `The circuit ${speak.circuit(circuit)} breaks ${breaks}`;
    if (outcome === "fail") return `${name} and leaves the fan running, where the air is moist: R would stop it too.`;
    if (outcome === "undetermined")
      return `${name} and leaves the fan running: whether the air is dry enough for that is not known.`;
    return fanStops
      ? `${name}, and the fan stops with the cooling.`
      : `${name} and leaves the fan running${humid === false ? ", which dries the pan where the air is dry" : ""}.`;
  },
});
