import { limitOf } from "../../profiles/profile.js";
import { exact } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import {
  endsInTheOpen,
  factOf,
  joinsSanitary,
  lackingAt,
  openGap,
  outletAt,
  PLACE_WORDS,
  rulingOf,
} from "../outlet-ends.js";
import { type Case, defineRule, type Family, type Finding, type Outcome, PASS, type Settle } from "../rule.js";
import { boresLacking } from "../settle.js";

interface Data {
  readonly outcome: Outcome;
  readonly open: null | "connection" | "gap" | "bore" | "ruling";
  readonly node: number;
  /** what stands where the gap should be */
  readonly instead: "an air break" | "a direct connection" | null;
  readonly place: string | null;
  /** m */
  readonly gap: number;
  readonly needed: number;
}

export const outletAirGap = defineRule<Data>({
  id: "outlet.air-gap",
  title: "Air gap at the outlet",
  question: "Is the air gap at least what the code asks?",
  why: "Where the pipe ends too close to what it drains into, that can stand up into the pipe, or be sucked into it, when its own drain is slow.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.connection", "nodes.airGap", "pipes.size", "pipes.material", "pipes.insideDiameter"],
  limits: ["outlet.airGapFactor", "outlet.airGapMinimum", "outlet.connections"],
  notApplicable:
    "Every outlet ends in the open, at a conspicuous point or by an air break that the profile permits, or is connected directly, which another rule judges.",
  remedy: "Let the pipe end higher above the rim of what it drains into.",
  sources: ["ipc-802", "upc-801", "as-nzs-3500.2"],
  anchor: "node",
  *subjects(c) {
    for (const { node } of c.facts.outlets.list) {
      const outlet = outletAt(c, node);
      if (endsInTheOpen(outlet)) continue;
      if (outlet.connection === "direct" && joinsSanitary(outlet) !== false) continue;
      if (outlet.connection !== "air-gap" && rulingOf(c, outlet)?.ruling === "allowed") continue;
      yield node;
    }
  },
  judge(c, node) {
    const { connection, airGap } = outletAt(c, node);
    if (connection === "air-break" || connection === "direct") return judgeRuling(c, node);
    const { airGapNeeded, airGapAtLeast, unknownBores, pipes } = factOf(c, node);
    const gap = airGap ?? Number.NaN;
    if (connection === null || airGap === null) {
      const open = connection === null ? "connection" : "gap";
      return undetermined(c, node, open, "missing", lackingAt(c, node, "connection", "airGap"));
    }
    const isSurelyShort = judgeFigure(exact(gap), airGapAtLeast, "at-least").outcome === "fail";
    const needed = isSurelyShort ? airGapAtLeast : airGapNeeded;
    if (Number.isNaN(needed)) {
      const { family, settledBy } = boresLacking(c, unknownBores)!;
      return undetermined(c, node, "bore", family, settledBy);
    }
    const judged = judgeFigure(exact(gap), needed, "at-least");
    const outcome = judged.outcome;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const minimum = limitOf(c.profile, "outlet.airGapMinimum");
    const limit = needed > minimum.value ? limitOf(c.profile, "outlet.airGapFactor") : minimum;
    const from = [`${c.net.nodes[node].pointer}/airGap`, ...pipes.map((pipe) => c.net.pipes[pipe].pointer)];
    return {
      outcome,
      data: { outcome, open: null, node, instead: null, place: placeOf(c, node), gap, needed },
      anchor: node,
      subject: { nodes: [node] },
      evidence: [evidenceOf("airGap", "dimension", judged, limit, from)],
      remedy: outcome === "fail" ? openGap(c, node) : [],
    };
  },
  say: ({ outcome, open, node, instead, place, gap, needed }, speak) => {
    const name = speak.node(node);
    const over = place === null ? "" : ` over ${place}`;
    if (instead !== null)
      return open === "ruling"
        ? `At ${name} the drain ends at ${place ?? "its receptor"} by ${instead}, without an air gap: whether that is allowed is for the authority to decide.`
        : `At ${name} the drain ends at ${place ?? "its receptor"} by ${instead}, where an air gap of ${speak.figure(needed, "dimension")} or more is asked for.`;
    if (open === "connection")
      return `Whether the drain ends at ${name}${over} through an air gap, and through how wide a one, is not known.`;
    if (open === "gap") return `How wide the air gap at ${name}${over} is, is not known.`;
    if (open === "bore")
      return `Whether the air gap at ${name}${over} is wide enough cannot be told: the bore of the pipe that ends there is not known.`;
    const said = speak.against(gap, needed, "dimension");
    return outcome === "pass"
      ? `The air gap at ${name}${over} is ${said.figure}; at least ${said.limit} is asked for.`
      : `The air gap at ${name}${over} is ${said.figure}, less than the ${said.limit} that the code asks for the pipe that ends there.`;
  },
});

const placeOf = (c: Case, node: number): string | null => {
  const { discharge } = outletAt(c, node);
  return discharge === null ? null : PLACE_WORDS[discharge];
};

const undetermined = (
  c: Case,
  node: number,
  open: "connection" | "gap" | "bore",
  family: Family,
  settledBy: readonly Settle[],
): Finding<Data> => ({
  outcome: "undetermined",
  family,
  settledBy,
  data: {
    outcome: "undetermined",
    open,
    node,
    instead: null,
    place: placeOf(c, node),
    gap: Number.NaN,
    needed: Number.NaN,
  },
  anchor: node,
  subject: { nodes: [node] },
  evidence: [],
});

/** No gap at all: by the profile's word on what stands in its place. */
function judgeRuling(c: Case, node: number): Finding<Data> {
  const outlet = outletAt(c, node);
  const isBreak = outlet.connection === "air-break";
  const instead = isBreak ? "an air break" : "a direct connection";
  const { ruling, source } = rulingOf(c, outlet)!;
  const { pointer } = c.net.nodes[node];
  const place = placeOf(c, node);
  const needed = factOf(c, node).airGapAtLeast;
  const outcome = ruling === "forbidden" ? "fail" : "undetermined";
  return {
    outcome,
    ...(outcome === "fail"
      ? {}
      : {
          family: "method",
          settledBy: [
            {
              pointer: `${pointer}/connection`,
              decision: `Let the authority decide whether ${instead} will do at ${place ?? "this outlet"}, and state its ruling as outlet.connections.`,
            },
          ],
        }),
    data: { outcome, open: outcome === "fail" ? null : "ruling", node, instead, place, gap: 0, needed },
    anchor: node,
    subject: { nodes: [node] },
    evidence:
      outcome === "fail"
        ? [
            evidenceOf(
              "airGap",
              "dimension",
              judgeFigure(exact(0), needed, "at-least"),
              { name: "outlet.connections", source },
              [`${pointer}/connection`],
            ),
          ]
        : [],
    remedy: outcome === "fail" ? openGap(c, node) : [],
  };
}
