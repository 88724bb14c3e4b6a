import { within } from "../../quantity/interval.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, type Settle, TOLD } from "../rule.js";

/** Coils with a drain whose pan may have a second port: it is not said that it has none, and no pump empties it. */
function* drainedPans(c: Case): Generator<number> {
  for (let coil = 0; coil < c.net.coils.length; coil++) {
    const node = c.net.coils[coil];
    const { internalPump, pan } = c.net.nodes[node].coil!;
    if (internalPump === null && pan.secondary?.is !== "none" && c.facts.topology.next[node] >= 0) yield coil;
  }
}

const portOf = (c: Case, coil: number) => c.net.nodes[c.net.coils[coil]].coil!.connectedPort;
const ask = (c: Case, coil: number): readonly Settle[] => [
  { pointer: `${c.net.nodes[c.net.coils[coil]].pointer}/connectedPort` },
];
const waiting = waitingFor(drainedPans, (c, coil) => (portOf(c, coil) === null ? "missing" : null));

interface Data {
  readonly outcome: Outcome;
  readonly coils: readonly number[];
  /** m above the primary outlet, NaN not given */
  readonly height: number;
}

export const installPort = defineRule<Data>({
  id: "install.port",
  title: "Drain on the overflow port",
  question: "Is the primary port used?",
  why: "The upper port is for overflow: a drain connected there leaves a layer of water in the pan, always, and nothing is left to tell a blockage.",
  severity: "minor",
  kind: "condition",
  stage: "as-built",
  needs: ["nodes.connectedPort", "nodes.pan.secondary"],
  limits: [],
  notApplicable: "Every pan has one port, or pumps its water.",
  remedy: "Connect the drain to the primary, lower port.",
  sources: ["common-practice"],
  anchor: "coil",
  subjects: drainedPans,
  judge: (c, coil) => {
    const group = waiting(c).get(coil);
    if (group !== undefined && group.first !== coil) return TOLD;
    const port = portOf(c, coil);
    if (port === "primary" && !c.wantPasses) return PASS;
    const outcome: Outcome = port === null ? "undetermined" : port === "primary" ? "pass" : "fail";
    const node = c.net.coils[coil];
    const { pointer } = c.net.nodes[node];
    const height = c.net.nodes[node].coil!.pan.secondary?.height ?? Number.NaN;
    const fanCoils = (group?.all ?? [coil]).map((each) => c.net.coils[each]);
    return {
      outcome,
      ...(group === undefined ? {} : { family: "missing", settledBy: settleAll(c, group, ask) }),
      data: { outcome, coils: fanCoils, height },
      anchor: coil,
      subject: { fanCoils },
      evidence:
        outcome === "fail" && !Number.isNaN(height)
          ? [plainEvidence("standingInPan", "dimension", within(height, 0), [`${pointer}/pan/secondary/height`])]
          : [],
      remedy: outcome === "fail" ? [{ action: "move-connection", on: { node }, what: "primary port" }] : [],
    };
  },
  say: ({ outcome, coils, height }, speak) => {
    const name = speak.list(coils.map((coil) => speak.node(coil)));
    if (outcome === "undetermined")
      return `Which port of its pan the drain of ${name} is connected to was not looked at.`;
    if (outcome === "pass") return `The drain of ${name} is connected to the primary port of its pan.`;
    const layer = Number.isNaN(height) ? "A layer of water" : `Water ${speak.figure(height, "dimension")} deep`;
    return `The drain of ${name} is connected to the overflow port of its pan. ${layer} always stands in the pan.`;
  },
});
