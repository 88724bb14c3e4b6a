import { exact } from "../../quantity/interval.js";
import { familyOf, settleArrangement, wireForOne } from "../overflow-devices.js";
import { defineRule, type Outcome, PASS } from "../rule.js";

interface Data {
  readonly outcome: Outcome;
  readonly circuit: number;
  readonly devices: readonly number[];
  readonly contact: "nc" | "no" | "mixed";
  readonly arrangement: "series" | "parallel" | null;
}

export const overflowParallel = defineRule<Data>({
  id: "overflow.parallel",
  title: "One device alone cannot stop the coil",
  question: "Is there a circuit in which one device alone cannot stop the coil?",
  why: "Normally closed contacts side by side keep the unit running until every one has opened, and normally open ones in a row stop it only when every one has closed. One full pan is then not enough.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: ["circuits.arrangement", "overflowDevices.contact", "overflowDevices.circuit"],
  limits: [],
  notApplicable: "No circuit has two devices.",
  remedy: "Wire normally closed contacts in series, or normally open ones in parallel to an input that stops the unit.",
  sources: ["switch-instructions", "common-practice"],
  anchor: "circuit",
  *subjects(c) {
    for (const [i, { devices }] of c.net.model.circuits.entries()) if (devices.length > 1) yield i;
  },
  judge(c, circuit) {
    const { net, facts } = c;
    const { anyDeviceStops, coils } = facts.circuits.circuits[circuit];
    const outcome: Outcome = anyDeviceStops === null ? "undetermined" : anyDeviceStops ? "pass" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { devices, arrangement, pointer } = net.model.circuits[circuit];
    const contacts = new Set(devices.map((d) => net.model.devices[d].contact));
    const settledBy = outcome === "undetermined" ? [settleArrangement(c, circuit)] : [];
    // devices that must trip together before anything stops
    const needed = outcome === "pass" ? 1 : devices.length;
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: familyOf(settledBy), settledBy } : {}),
      data: {
        outcome,
        circuit,
        devices,
        contact: contacts.size > 1 ? "mixed" : net.model.devices[devices[0]].contact,
        arrangement,
      },
      anchor: circuit,
      subject: {
        fanCoils: Array.from(coils, (coil) => net.coils[coil]),
        nodes: [...new Set(devices.map((d) => net.nodeRank[net.model.devices[d].at]))].filter(
          (node) => net.coilAt[node] < 0,
        ),
      },
      evidence:
        outcome === "undetermined"
          ? []
          : [
              {
                name: "devicesNeeded",
                ...exact(needed),
                kind: "count",
                limit: { name: "one device alone", value: 1, source: "switch-instructions" },
                margin: 1 - needed,
                from: [pointer, ...devices.map((d) => net.model.devices[d].pointer)],
              },
            ],
      remedy: outcome === "fail" ? [wireForOne(c, circuit)] : [],
    };
  },
  say: ({ outcome, circuit, devices, contact, arrangement }, speak) => {
    const name = speak.circuit(circuit);
    const members = speak.list(devices.map((d) => speak.device(d)));
    if (contact === "mixed")
      return `The circuit ${name} mixes normally closed and normally open contacts (${members}): what one device alone does cannot be told.`;
    const kind = contact === "nc" ? "normally closed" : "normally open";
    if (arrangement === null)
      return `How the ${kind} contacts of ${members} are arranged in the circuit ${name} is not known: whether one alone stops the coil cannot be told.`;
    return outcome === "pass"
      ? `The ${kind} contacts of ${members} are in ${arrangement}: any one of them opens the circuit ${name}.`
      : `The ${kind} contacts of ${members} are in ${arrangement}: the circuit ${name} stops nothing until ${devices.length === 2 ? "both" : `all ${devices.length}`} have tripped.`;
  },
});
