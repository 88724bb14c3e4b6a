import { joinsSanitary, lackingAt, openGap, outletAt, PLACE_WORDS, rulingOf } from "../outlet-ends.js";
import { defineRule, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { ruledOut } from "../ruled-out.js";

interface Data {
  readonly outcome: Outcome;
  readonly family: Family | null;
  readonly node: number;
  readonly place: string | null;
  readonly isDirect: boolean;
}

export const outletDirect = defineRule<Data>({
  id: "outlet.direct",
  title: "Direct connection to a sanitary drain",
  question: "Is a direct connection to a sanitary drain made?",
  why: "Through a direct connection sewer air reaches the drains and, once a trap has dried out, the air stream of the coils; and when the sewer stops, what it holds comes up into the pans.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: ["nodes.discharge", "nodes.connection"],
  limits: ["outlet.connections"],
  notApplicable: "No outlet ends at a sanitary drain, or all of them end over a receptor or in one.",
  remedy: "Part the connection: let the pipe end over a trapped receptor, through an air gap.",
  sources: ["imc-307.2.1.1", "upc-814.1", "upc-814.6", "metric-practice"],
  anchor: "node",
  *subjects(c) {
    for (const { node } of c.facts.outlets.list) if (joinsSanitary(outletAt(c, node)) !== false) yield node;
  },
  judge(c, node) {
    const outlet = outletAt(c, node);
    const { pointer } = c.net.nodes[node];
    const isDirect = outlet.connection === "direct";
    const settledBy: Settle[] = lackingAt(c, node, "discharge", "connection");
    let outcome: Outcome = settledBy.length > 0 ? "undetermined" : "pass";
    let family: Family | null = settledBy.length > 0 ? "missing" : null;
    const ruling = rulingOf(c, outlet);
    if (isDirect && outlet.discharge !== null && ruling !== null && ruling.ruling !== "allowed") {
      outcome = ruling.ruling === "ask" ? "undetermined" : "fail";
      if (outcome === "undetermined") {
        family = "method";
        settledBy.push({
          pointer: `${pointer}/connection`,
          decision: `Let the authority decide whether a condensate drain may be connected directly to ${PLACE_WORDS[outlet.discharge]} here, and state its ruling as outlet.connections.`,
        });
      }
    }
    if (outcome === "pass" && !c.wantPasses) return PASS;
    return {
      outcome,
      ...(family === null ? {} : { family, settledBy }),
      data: {
        outcome,
        family,
        node,
        place: outlet.discharge === null ? null : PLACE_WORDS[outlet.discharge],
        isDirect,
      },
      anchor: node,
      subject: { nodes: [node] },
      evidence:
        outcome === "fail"
          ? ruledOut("directConnections", "outlet.connections", ruling!.source, [
              `${pointer}/discharge`,
              `${pointer}/connection`,
            ])
          : [],
      remedy: outcome === "fail" ? openGap(c, node) : [],
    };
  },
  say: ({ outcome, family, node, place, isDirect }, speak) => {
    const name = speak.node(node);
    if (outcome === "fail")
      return `At ${name} the drain is connected directly to ${place}: sewer air can enter it, and what the sewer holds back comes up in it.`;
    if (outcome === "pass")
      return isDirect
        ? `At ${name} the drain is connected directly to ${place}, which the profile allows.`
        : `At ${name} the drain is not connected directly to ${place}.`;
    if (family === "method")
      return `At ${name} the drain is connected directly to ${place}: whether that is allowed is for the authority to decide.`;
    if (place === null)
      return isDirect
        ? `At ${name} the drain is connected directly to something; whether that is a sanitary drain is not known.`
        : `Whether the drain is connected directly to a sanitary drain at ${name} is not known.`;
    return `Whether the drain is connected directly to ${place} at ${name} is not known.`;
  },
});
