import { isPlastic } from "../../materials/materials.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { type Case, defineRule, type Outcome, PASS, type Settle, TOLD } from "../rule.js";

/** Coils whose pan's outlet is of plastic, or of nobody knows what. */
function* plasticPans(c: Case): Generator<number> {
  for (let coil = 0; coil < c.net.coils.length; coil++) {
    const node = c.net.coils[coil];
    const { outletMaterial } = c.net.nodes[node].coil!.pan;
    if (c.facts.topology.next[node] >= 0 && (outletMaterial === null || isPlastic(outletMaterial))) yield coil;
  }
}

type Fault = "sealant" | "no-sealant" | "cemented" | "tight";

/** What is wrong with a joint, and what of it was not looked at. */
const jointOf = (c: Case, coil: number): { readonly faults: readonly Fault[]; readonly unseen: readonly string[] } => {
  const { connection } = c.net.nodes[c.net.coils[coil]].coil!;
  const faults: Fault[] = [];
  if (connection?.threadSealant === "hardening") faults.push("sealant");
  if (connection?.threadSealant === "none") faults.push("no-sealant");
  if (connection?.cemented === true) faults.push("cemented");
  if (connection?.handTight === false) faults.push("tight");
  const unseen = (["threadSealant", "cemented", "handTight"] as const).filter(
    (field) => (connection?.[field] ?? null) === null,
  );
  return { faults, unseen };
};

const isPlasticForSure = (c: Case, coil: number): boolean =>
  c.net.nodes[c.net.coils[coil]].coil!.pan.outletMaterial !== null;

const ask = (c: Case, coil: number): readonly Settle[] => {
  const { pointer } = c.net.nodes[c.net.coils[coil]];
  const { faults, unseen } = jointOf(c, coil);
  const fields = faults.length > 0 ? [] : unseen.map((field) => `connection/${field}`);
  if (!isPlasticForSure(c, coil)) fields.push("pan/outletMaterial");
  return fields.map((field) => ({ pointer: `${pointer}/${field}` }));
};

const isOpen = (c: Case, coil: number): boolean => {
  const { faults, unseen } = jointOf(c, coil);
  return faults.length > 0 ? !isPlasticForSure(c, coil) : unseen.length > 0;
};
const waiting = waitingFor(plasticPans, (c, coil) => (isOpen(c, coil) ? "missing" : null));

interface Data {
  readonly outcome: Outcome;
  readonly coils: readonly number[];
  readonly faults: readonly Fault[];
}

const WORDS: Readonly<Record<Fault, string>> = {
  sealant: "sealed with a sealant that hardens",
  "no-sealant": "without sealant",
  cemented: "cemented",
  tight: "tightened more than by hand",
};

export const installJoint = defineRule<Data>({
  id: "install.joint",
  title: "Joint at the pan wrongly made",
  question: "Is the joint at a plastic pan made with a non-hardening sealant, not cemented and not over-tightened?",
  why: "A threaded plastic port cracks under force, sometimes months later, and cannot be undone once it is cemented or its sealant has set.",
  severity: "minor",
  kind: "record",
  stage: "as-built",
  needs: ["nodes.connection", "nodes.pan.outletMaterial"],
  limits: [],
  notApplicable: "No pan with a drain has an outlet of plastic.",
  remedy: "Remake the joint: hand-tight, with a sealant that stays soft, and not cemented.",
  sources: ["common-practice"],
  anchor: "coil",
  subjects: plasticPans,
  judge: (c, coil) => {
    const group = waiting(c).get(coil);
    if (group !== undefined && group.first !== coil) return TOLD;
    const { faults } = jointOf(c, coil);
    const outcome: Outcome = group !== undefined ? "undetermined" : faults.length > 0 ? "fail" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const fanCoils = (group?.all ?? [coil]).map((each) => c.net.coils[each]);
    return {
      outcome,
      ...(group === undefined ? {} : { family: "missing", settledBy: settleAll(c, group, ask) }),
      data: { outcome, coils: fanCoils, faults },
      anchor: coil,
      subject: { fanCoils },
      evidence: [],
      remedy: outcome === "fail" ? [{ action: "remake-joint", on: { node: c.net.coils[coil] } }] : [],
    };
  },
  say: ({ outcome, coils, faults }, speak) => {
    const name = speak.list(coils.map((coil) => speak.node(coil)));
    if (outcome === "undetermined")
      return `How the drain of ${name} is joined to a pan of plastic was not looked at: sealant, cement, force, or whether the pan's outlet is of plastic.`;
    if (outcome === "pass")
      return `The drain of ${name} is joined to its pan hand-tight, with a sealant that stays soft, and not cemented.`;
    return `The drain of ${name} is joined to the plastic outlet of its pan ${speak.list(faults.map((fault) => WORDS[fault]))}.`;
  },
});
