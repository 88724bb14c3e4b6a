import { coilDevices, effectOn, familyOf, settleOnce, wireToStop } from "../overflow-devices.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

/** A device whose circuit rings or reports, and leaves the coil as it is. */
const tells = ({ net, facts }: Case, device: number): boolean => {
  const { circuit } = net.model.devices[device];
  if (circuit === null || facts.circuits.circuits[circuit].stopsWater !== false) return false;
  const { breaks } = net.model.circuits[circuit];
  return breaks === "alarm-only" || breaks === "building-system";
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly telling: readonly number[];
  /** the device that stops the coil, or may */
  readonly other: number;
}

export const overflowAlarmOnly = defineRule<Data>({
  id: "overflow.alarm-only",
  title: "Device that tells and does not stop",
  question: "Is the coil's only device one that tells and does not stop?",
  why: "An alarm in an empty dwelling, or on a screen that nobody watches at night, does not end the water.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["circuits.breaks", "circuits.onTrip", "overflowDevices.circuit", "overflowDevices.at"],
  limits: [],
  notApplicable: "No coil has a device that only tells.",
  remedy: "Let the device stop the coil's water as well as tell.",
  sources: ["imc-307.2.3", "upc-814.2"],
  anchor: "coil",
  *subjects(c) {
    for (const [coil, devices] of coilDevices(c).entries()) if (devices.some((d) => tells(c, d))) yield coil;
  },
  judge(c, coil) {
    const { net } = c;
    const devices = coilDevices(c)[coil];
    const effects = devices.map((device) => ({ device, ...effectOn(c, device, coil) }));
    const stopping = effects.find(({ stops }) => stops === true);
    const doubtful = effects.filter(({ stops }) => stops === null);
    const outcome: Outcome = stopping ? "pass" : doubtful.length > 0 ? "undetermined" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const settledBy = settleOnce(doubtful.flatMap((effect) => effect.settledBy));
    const telling = devices.filter((d) => tells(c, d));
    const node = net.coils[coil];
    const count = outcome === "pass" ? 1 : 0;
    const circuits = [...new Set(telling.map((d) => net.model.devices[d].circuit!))];
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: familyOf(settledBy), settledBy } : {}),
      data: { outcome, coil: node, telling, other: (stopping ?? doubtful[0])?.device ?? -1 },
      anchor: coil,
      subject: { fanCoils: [node] },
      evidence:
        outcome === "undetermined"
          ? []
          : [
              {
                name: "devicesThatStop",
                low: count,
                best: count,
                high: count,
                kind: "count",
                limit: { name: "a device that stops the coil", value: 1, source: "imc-307.2.3" },
                margin: count - 1,
                from: devices.map((d) => net.model.devices[d].pointer),
              },
            ],
      remedy: outcome === "fail" ? circuits.map((circuit) => wireToStop(c, circuit, [coil])) : [],
    };
  },
  say: ({ outcome, coil, telling, other }, speak) => {
    const names = speak.list(telling.map((d) => speak.device(d)));
    const [tell, stop] = telling.length === 1 ? ["tells", "does not stop"] : ["tell", "do not stop"];
    if (outcome === "fail")
      return `${names} at ${speak.node(coil)} ${tell} of water and ${stop} it, and no other device there does.`;
    return outcome === "pass"
      ? `${names} at ${speak.node(coil)} ${tell} of water, and ${speak.device(other)} stops it.`
      : `${names} at ${speak.node(coil)} ${tell} of water and ${stop} it; whether ${speak.device(other)} does cannot be told.`;
  },
});
