import { defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";

type Fault = "jumpered" | "failed" | "untested" | "unwired";

interface Data {
  readonly outcome: Outcome;
  readonly device: number;
  readonly at: number;
  readonly faults: readonly Fault[];
}

const WORDS: Readonly<Record<Fault, string>> = {
  jumpered: "is jumpered",
  failed: "has failed",
  untested: "has never been tested",
  unwired: "is wired to nothing",
};

const REMEDIES: Readonly<Record<Fault, RemedyStep["action"]>> = {
  jumpered: "repair-device",
  failed: "repair-device",
  untested: "test-device",
  unwired: "wire-device",
};

export const overflowNotWorking = defineRule<Data>({
  id: "overflow.not-working",
  title: "Device out of action",
  question: "Is a device jumpered, failed, unwired or never tested?",
  why: "A switch that nobody has tripped with water since it was fitted is a hope. One that somebody bridged to get the cooling back is worse than none: everybody relies on it.",
  severity: "critical",
  kind: "record",
  stage: "in-service",
  needs: ["overflowDevices.state", "overflowDevices.circuit"],
  limits: [],
  notApplicable: "There are no devices.",
  remedy: "Put the device back to work, wire it, and trip it with water to see its coil stop.",
  sources: ["switch-instructions", "common-practice"],
  anchor: "device",
  subjects: (c) => c.net.model.devices.keys(),
  judge(c, device) {
    const { net } = c;
    const { state, circuit, at, pointer } = net.model.devices[device];
    const faults: Fault[] = [];
    if (state !== null && state !== "working") faults.push(state);
    if (circuit === null) faults.push("unwired");
    const outcome: Outcome = faults.length > 0 ? "fail" : state === null ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.nodeRank[at];
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: "missing", settledBy: [{ pointer: `${pointer}/state` }] } : {}),
      data: { outcome, device, at: node, faults },
      anchor: device,
      subject: net.coilAt[node] >= 0 ? { fanCoils: [node] } : { nodes: [node] },
      evidence: [],
      remedy: faults.map((fault) => ({ action: REMEDIES[fault], on: { device } })),
      ...(outcome === "undetermined" ? { alike: "state" } : {}),
    };
  },
  say: ({ outcome, device, at, faults }, speak) => {
    const name = `${speak.device(device)} at ${speak.node(at)}`;
    if (outcome === "pass") return `${name} has been tested and works.`;
    return outcome === "fail"
      ? `${name} ${speak.list(faults.map((fault) => WORDS[fault]))}: it stops nothing, or nobody knows that it does.`
      : `Whether ${name} works is not known.`;
  },
});
