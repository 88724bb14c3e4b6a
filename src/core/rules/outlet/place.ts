import type { Discharge } from "../../profiles/outlets.js";
import { DISCHARGES } from "../../profiles/outlets.js";
import { lackingAt, outletAt, PLACE_WORDS } from "../outlet-ends.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";
import { ruledOut } from "../ruled-out.js";

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly place: string | null;
}

/** The first place that the profile allows, null where it allows none. */
const allowedPlace = ({ profile }: Case): Discharge | null =>
  DISCHARGES.find((discharge) => profile.outletPlaces[discharge].ruling === "allowed") ?? null;

export const outletPlace = defineRule<Data>({
  id: "outlet.place",
  title: "Place of discharge",
  question: "Is it an approved place?",
  why: "Codes name where condensate may go: where its water does no harm, does not freeze on a walk, and cannot be met by sewage on its way back.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.discharge"],
  limits: ["outlet.places"],
  notApplicable: "There is no outlet.",
  remedy: "Lead the drain to a place that the profile allows, or obtain the authority's approval.",
  sources: [
    "imc-307.2.1",
    "imc-307.2.1.1",
    "imc-307.2.3",
    "upc-814.1",
    "upc-814.2",
    "upc-814.5",
    "as-nzs-3500.2",
    "common-practice",
  ],
  anchor: "node",
  *subjects(c) {
    for (const { node } of c.facts.outlets.list) yield node;
  },
  judge(c, node) {
    const { discharge } = outletAt(c, node);
    const pointer = `${c.net.nodes[node].pointer}/discharge`;
    const common = { anchor: node, subject: { nodes: [node] } };
    if (discharge === null)
      return {
        outcome: "undetermined",
        family: "missing",
        settledBy: lackingAt(c, node, "discharge"),
        data: { outcome: "undetermined", node, place: null },
        evidence: [],
        ...common,
      };
    const { ruling, source } = c.profile.outletPlaces[discharge];
    const place = PLACE_WORDS[discharge];
    if (ruling === "allowed")
      return c.wantPasses ? { outcome: "pass", data: { outcome: "pass", node, place }, evidence: [], ...common } : PASS;
    if (ruling === "ask")
      return {
        outcome: "undetermined",
        family: "method",
        settledBy: [
          {
            pointer,
            decision: `Let the authority decide whether condensate may go to ${place} here, and state its ruling as outlet.places.`,
          },
        ],
        data: { outcome: "undetermined", node, place },
        evidence: [],
        ...common,
      };
    const better = allowedPlace(c);
    return {
      outcome: "fail",
      data: { outcome: "fail", node, place },
      evidence: ruledOut("forbiddenPlaces", "outlet.places", source, [pointer]),
      remedy: better === null ? [] : [{ action: "move-outlet", on: { node }, what: better }],
      ...common,
    };
  },
  say: ({ outcome, node, place }, speak) => {
    const name = speak.node(node);
    if (place === null) return `What the drain ends at at ${name} is not known.`;
    if (outcome === "pass") return `The drain ends at ${name} at ${place}, a place that the profile allows.`;
    return outcome === "fail"
      ? `The drain ends at ${name} at ${place}: condensate must not go there.`
      : `The drain ends at ${name} at ${place}: whether that is an approved place is for the authority to decide.`;
  },
});
