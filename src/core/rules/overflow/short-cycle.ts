import { holds } from "../../analysis/ascending.js";
import { exact } from "../../quantity/interval.js";
import { coilOfDevice, familyOf, settleArrangement } from "../overflow-devices.js";
import { AT_ATMOSPHERE, panPressure, settlePanStatic } from "../pan-pressure.js";
import { panSideNodes } from "../pan-side.js";
import { type Case, defineRule, type Outcome, PASS, type Settle } from "../rule.js";

/** The coil (position) whose fan lifts the water at a device: one in its own pan, or in the piece before its trap; -1 none. */
const panOf = (c: Case, device: number): number => {
  const { net, facts } = c;
  const { at, seat } = net.model.devices[device];
  const coil = coilOfDevice(c)[device];
  if (coil < 0 || seat === "auxiliary-pan") return -1;
  const node = net.nodeRank[at];
  if (net.coilAt[node] === coil) return coil;
  const trap = facts.topology.firstTrap[coil];
  if (trap >= 0) for (const before of panSideNodes(c, coil)) if (before === node && node !== trap) return coil;
  return -1;
};

interface Data {
  readonly outcome: Outcome;
  readonly device: number;
  readonly at: number;
  readonly why: "fan-runs" | "no-suction" | null;
}

export const overflowShortCycle = defineRule<Data>({
  id: "overflow.short-cycle",
  title: "Switch that resets itself",
  question: "Would the switch reset by itself when the fan stops, and start the coil again?",
  why: "While the fan sucks, water stands higher in the pan than behind it. The switch trips, the fan stops, the water falls by that much, the switch resets and the fan starts: again and again, until something else gives way.",
  severity: "minor",
  kind: "contingency",
  stage: "design",
  needs: ["overflowDevices.latches", "overflowDevices.seat", "circuits.breaks", "circuits.onTrip", "nodes.panStatic"],
  limits: [],
  notApplicable: "Every device that works stays tripped until somebody resets it, or there is none.",
  remedy: "Use a device that stays tripped until somebody resets it, or a restart delay that does.",
  sources: ["switch-instructions", "derived"],
  anchor: "device",
  *subjects(c) {
    for (const [d, { latches, circuit }] of c.net.model.devices.entries())
      if (latches !== true && circuit !== null && c.facts.circuits.devices[d].works) yield d;
  },
  judge(c, device) {
    const { net, facts } = c;
    const { latches, circuit, at, pointer } = net.model.devices[device];
    const coil = panOf(c, device);
    const { coils, anyDeviceStops } = facts.circuits.circuits[circuit!];
    const { stopsFan } = facts.circuits.devices[device];
    const { stops, pointer: wiring } = net.model.circuits[circuit!];
    const isOurs = stops === null ? null : coil >= 0 && holds(coils, coil);
    const pressure = coil < 0 ? "atmosphere" : panPressure(c, coil);
    const blows = coil >= 0 && net.nodes[net.coils[coil]].coil!.fanPosition === "blow-through";
    const why: Data["why"] =
      pressure === "atmosphere" || pressure === "pressure" || (pressure === "unknown" && blows)
        ? "no-suction"
        : stopsFan === false || isOurs === false
          ? "fan-runs"
          : null;
    const open: Settle[] = [];
    if (latches === null) open.push({ pointer: `${pointer}/latches` });
    if (pressure === "unknown") open.push(settlePanStatic(c, coil));
    if (isOurs === null) open.push({ pointer: `${wiring}/stops` });
    if (stopsFan === null)
      open.push(anyDeviceStops === null ? settleArrangement(c, circuit!) : { pointer: `${wiring}/onTrip/fan` });
    const outcome: Outcome = why !== null ? "pass" : open.length > 0 ? "undetermined" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.nodeRank[at];
    const panStatic = coil < 0 ? null : net.nodes[net.coils[coil]].coil!.panStatic;
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: familyOf(open), settledBy: open } : {}),
      data: { outcome, device, at: node, why },
      anchor: device,
      subject: net.coilAt[node] >= 0 ? { fanCoils: [node] } : { nodes: [node] },
      evidence:
        panStatic === null
          ? []
          : [
              {
                name: "panStatic",
                ...exact(panStatic),
                kind: "gauge-pressure",
                limit: { name: "at atmosphere", value: -AT_ATMOSPHERE, source: "assumption" },
                margin: panStatic + AT_ATMOSPHERE,
                from: [settlePanStatic(c, coil).pointer],
              },
            ],
      remedy: outcome === "fail" ? [{ action: "replace-device", on: { device }, what: "latching" }] : [],
      ...(outcome === "undetermined" && latches === null && open.length === 1 ? { alike: "latches" } : {}),
    };
  },
  say: ({ outcome, device, at, why }, speak) => {
    const name = `${speak.device(device)} at ${speak.node(at)}`;
    if (why === "no-suction")
      return `No suction holds water up where ${name} sits: it does not fall when the fan stops.`;
    if (why === "fan-runs") return `When ${name} trips, the fan there runs on: the water does not fall back.`;
    return outcome === "fail"
      ? `If ${name} trips, the fan stops, the water that its suction held up falls back, and the switch resets and starts the coil again.`
      : `Whether ${name} would reset by itself once the fan has stopped cannot be told.`;
  },
});
