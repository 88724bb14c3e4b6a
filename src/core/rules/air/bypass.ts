import { exact } from "../../quantity/interval.js";
import { partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { plainEvidence } from "../judge-figure.js";
import { type PanPressure, panPressure, settlePanStatic } from "../pan-pressure.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";
import { primeTrap, sealAt } from "../trap-figures.js";
import { trapNeeded } from "../trap-needed.js";

type Way = "none" | "atmosphere" | "neighbor";

/** What a coil's pan shares its air with, in a reading. */
const wayOf = (c: Case, coil: number, reading: Reading): Way => {
  const partition = partitionOf(c, reading);
  const space = partition.ofNode[c.net.coils[coil]];
  if (space < 0) return "none";
  const { kind } = partition.spaces[space];
  return kind === "bypass" ? "atmosphere" : kind === "shared-pans" ? "neighbor" : "none";
};

/** An opening or another pan in the same air; of many the first few in natural order. */
const shares = (c: Case, coil: number, way: Way): number[] => {
  const node = c.net.coils[coil];
  for (const reading of readings(c)) {
    if (wayOf(c, coil, reading) !== way || way === "none") continue;
    const partition = partitionOf(c, reading);
    const space = partition.spaces[partition.ofNode[node]];
    return (way === "atmosphere" ? space.openings : space.pans.filter((pan) => pan !== node)).slice(0, 3);
  }
  return [];
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly pressure: PanPressure;
  readonly way: Way;
  readonly others: readonly number[];
}

export const airBypass = defineRule<Data>({
  id: "air.bypass",
  title: "Fan draws air through the drain",
  question: "Can a fan draw air through the drain, from the main or from a neighbor?",
  why: "Air that rushes up the drain holds the water back in the pan and brings along what the main holds: moisture, smells, a neighbor's air. Under fan pressure the conditioned air blows away down the drain.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.panStatic", "nodes.primed", "nodes.sealDepth", "nodes.pan.secondary", "nodes.capped"],
  limits: [],
  notApplicable: "No pan is under suction or fan pressure.",
  remedy: "Give the coil a trap that holds water, and shut whatever else opens its pan to the air.",
  sources: ["common-practice", "trap-article"],
  anchor: "coil",
  *subjects(c) {
    // A pump inside the unit lifts its water through a closed line.
    for (let coil = 0; coil < c.net.coils.length; coil++)
      if (panPressure(c, coil) !== "atmosphere" && c.net.nodes[c.net.coils[coil]].coil!.internalPump === null)
        yield coil;
  },
  judge(c, coil) {
    const { net, facts } = c;
    const ways = readings(c).map((reading) => wayOf(c, coil, reading));
    const pressure = panPressure(c, coil);
    const isOpen = ways.every((way) => way !== "none");
    const outcome: Outcome = ways.every((way) => way === "none")
      ? "pass"
      : isOpen && pressure !== "unknown"
        ? "fail"
        : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const way = ways.find((one) => one !== "none") ?? "none";
    const { panStatic } = net.nodes[node].coil!;
    const remedy = outcome === "fail" ? remedies(c, coil, way) : undefined;
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : pressure === "unknown"
          ? { family: "missing" as const, settledBy: [settlePanStatic(c, coil)] }
          : settleClosures(c, facts.topology.path(coil))),
      data: { outcome, coil: node, pressure, way, others: shares(c, coil, way) },
      anchor: coil,
      subject: { fanCoils: [node] },
      evidence:
        panStatic === null
          ? []
          : [plainEvidence("panStatic", "gauge-pressure", exact(panStatic), [`${net.nodes[node].pointer}/panStatic`])],
      remedy,
    };
  },
  say: ({ outcome, coil, pressure, way, others }, speak) => {
    if (outcome === "pass") return `The pan of ${speak.node(coil)} is sealed off from the main and from other pans.`;
    const named = speak.list(
      others.map((node) => speak.node(node)),
      3,
    );
    const what =
      way === "atmosphere" ? `stands open to the air at ${named}` : `shares its air with the pan of ${named}`;
    const does =
      pressure === "suction"
        ? "the fan draws air up the drain and holds the water back"
        : "the fan blows air away down the drain";
    if (outcome === "fail") return `The drain of ${speak.node(coil)} ${what} with no seal between: ${does}.`;
    return pressure === "unknown"
      ? `The drain of ${speak.node(coil)} ${what} with no seal between; whether its fan draws air there depends on the static pressure at the pan, which is not given.`
      : `Whether water seals the drain of ${speak.node(coil)} from the air beyond cannot be told from what is known.`;
  },
});

function remedies(c: Case, coil: number, way: Way): RemedyStep[] {
  const node = c.net.coils[coil];
  const trap = c.facts.topology.firstTrap[coil];
  if (trap < 0) return trapNeeded(c, coil);
  // Pans that share one trap: what to do about it stands with the trap.
  if (way === "neighbor") return [];
  const { primed, sealDepth } = c.net.nodes[trap].trap!;
  if (sealDepth === 0)
    return [
      {
        action: "rebuild-trap",
        on: { node: trap },
        amount: c.facts.seals.sealNeededAt[coil],
        kind: "dimension",
        what: "seal depth",
      },
    ];
  if (primed === false) return [primeTrap(sealAt(c, trap))];
  return c.net.nodes[node].coil!.pan.secondary?.is === "open"
    ? [{ action: "cap", on: { node }, what: "secondary port" }]
    : [];
}
