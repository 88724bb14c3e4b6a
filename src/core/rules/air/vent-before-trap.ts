import { KIND } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { openingsOf, partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { plainEvidence } from "../judge-figure.js";
import { type PanPressure, panPressure, settlePanStatic } from "../pan-pressure.js";
import { panSideNodes, panSideOpenings } from "../pan-side.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";

/** Those that let air to the pan or to the trap's inlet side, in a reading. */
const letIn = (c: Case, coil: number, candidates: readonly number[], reading: Reading): number[] => {
  if (candidates.length === 0) return [];
  const partition = partitionOf(c, reading);
  const openings = openingsOf(partition);
  const pan = partition.ofNode[c.net.coils[coil]];
  const inlet = partition.ofNode[c.facts.topology.firstTrap[coil]];
  return candidates.filter((node) => {
    const space = partition.ofNode[node];
    return openings.has(node) && space >= 0 && (space === pan || space === inlet);
  });
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  readonly openings: readonly number[];
  readonly pressure: PanPressure;
}

export const airVentBeforeTrap = defineRule<Data>({
  id: "air.vent-before-trap",
  title: "Opening on the pan's side of the trap",
  question: "Is there an open vent or cleanout on the pan's side of the trap?",
  why: "An opening between the pan and its trap makes the seal useless: a fan that sucks draws air in through it and holds the water back, a fan that blows pushes air and spray out of it.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.panStatic", "nodes.capped", "nodes.opening"],
  limits: [],
  notApplicable: "No coil with a trap has its pan under suction or fan pressure.",
  remedy: "Cap the cleanout, or move the vent to the other side of the trap.",
  sources: ["common-practice", "unit-manuals"],
  anchor: "coil",
  *subjects(c) {
    for (let coil = 0; coil < c.net.coils.length; coil++)
      if (c.facts.topology.firstTrap[coil] >= 0 && panPressure(c, coil) !== "atmosphere") yield coil;
  },
  judge(c, coil) {
    const { net } = c;
    const candidates = panSideOpenings(c, coil);
    const answers = readings(c).map((reading) => letIn(c, coil, candidates, reading));
    const pressure = panPressure(c, coil);
    const isOpen = answers.every((open) => open.length > 0);
    const isShut = answers.every((open) => open.length === 0);
    const outcome: Outcome = isShut ? "pass" : isOpen && pressure !== "unknown" ? "fail" : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const openings = answers.reduce((most, open) => (open.length > most.length ? open : most), []);
    const { panStatic } = net.nodes[node].coil!;
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : pressure === "unknown"
          ? { family: "missing" as const, settledBy: [settlePanStatic(c, coil)] }
          : settleClosures(c, pipesOnPanSide(c, coil))),
      data: { outcome, coil: node, openings, pressure },
      anchor: coil,
      subject: { fanCoils: [node], nodes: openings },
      evidence:
        panStatic === null
          ? []
          : [plainEvidence("panStatic", "gauge-pressure", exact(panStatic), [`${net.nodes[node].pointer}/panStatic`])],
      remedy:
        outcome === "fail"
          ? openings.map(
              (opening): RemedyStep => ({
                action: net.kind[opening] === KIND.cleanout ? "cap" : "remove-vent",
                on: { node: opening },
              }),
            )
          : undefined,
      links: { cleanout: openings.filter((opening) => net.kind[opening] === KIND.cleanout) },
    };
  },
  say: ({ outcome, coil, openings, pressure }, speak) => {
    if (outcome === "pass") return `Nothing is open between the pan of ${speak.node(coil)} and its trap.`;
    const where = speak.list(
      openings.map((node) => speak.node(node)),
      3,
    );
    const does =
      pressure === "suction"
        ? "the fan draws air in there past the seal and holds the water in the pan"
        : pressure === "pressure"
          ? "the fan blows air out there past the seal"
          : "whether that matters depends on the static pressure at the pan, which is not given";
    if (outcome === "fail" || pressure === "unknown")
      return `On the pan's side of the trap of ${speak.node(coil)}, ${where} stands open: ${does}.`;
    return `On the pan's side of the trap of ${speak.node(coil)}, ${where} stands open; whether standing water parts it from the pan cannot be told from what is known.`;
  },
});

function* pipesOnPanSide(c: Case, coil: number): Generator<number> {
  for (const node of panSideNodes(c, coil))
    for (let k = c.net.ends.start[node]; k < c.net.ends.start[node + 1]; k++) yield c.net.ends.list[k] >> 1;
}
