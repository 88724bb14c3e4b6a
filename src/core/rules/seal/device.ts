import type { ReversePush, SealFact } from "../../analysis/facts.js";
import { settleClosures } from "../air-readings.js";
import { evidenceOf, type JudgedFigure, judgeFigure } from "../judge-figure.js";
import { settlePanStatic } from "../pan-pressure.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type RemedyStep, type Settle } from "../rule.js";
import { heldFrom, nodeLevel, reMeasure } from "../settle.js";
import { dropOf, dropPointers, sealAt, settleDrop, subjectOf, traps } from "../trap-figures.js";

interface Data {
  readonly outcome: Outcome;
  readonly trap: number;
  readonly type: string;
  readonly coils: readonly number[];
  readonly opens: Outcome;
  readonly drop: number;
  readonly dropToDrain: number;
  readonly holds: Outcome;
  /** Pa */
  readonly held: number;
  readonly push: number;
  readonly suction: number;
  readonly blower: number;
  readonly standing: number;
  /** what is not known */
  readonly unknown: readonly string[];
}

/**
 * Opens: the drop must give the head of the fan's suction and the seal's own opening head. Holds: what comes against the
 * flow is the air of the main less that of the pan (so the pan's own suction counts in full: before the first water comes
 * nothing else stands against it), the weight of water that stands on the outlet side, and the strongest fan that blows
 * into the air there without a seal of its own between. The three are added. Water that a blockage would send back is
 * not asked to be held: it must show in the pan, where a switch sees it.
 */
export const sealDevice = defineRule<Data>({
  id: "seal.device",
  title: "Waterless trap or check valve that opens and holds",
  question:
    "Does a waterless trap or check valve open under the head that it has, and hold what the main can push against it?",
  why: "A device that needs more head than the trap gives keeps the water in the pan; one that holds less than the fan sucks or the main pushes lets air or water back.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.opensAt", "nodes.holds", "nodes.elevation", "nodes.panStatic"],
  limits: [],
  notApplicable: "No coil drains through a waterless trap or a check valve.",
  remedy: "Lower the device until the drop opens it, or take one that opens sooner or holds more.",
  sources: ["hydrostatics", "manufacturer"],
  anchor: "node",
  *subjects(c) {
    const drains = (coil: number): boolean => c.net.nodes[c.net.coils[coil]].coil!.internalPump === null;
    for (const trap of traps(c, "device")) if (sealAt(c, trap).coils.some(drains)) yield trap;
  },
  judge: (c, trap) => {
    const seal = sealAt(c, trap);
    const push = c.facts.reversePush.get(trap)!;
    const { trap: device, pointer } = c.net.nodes[trap];
    const held = device!.holds ?? Number.NaN;
    const opens = judgeFigure(dropOf(seal), seal.dropToDrain, "at-least");
    const holds = judgeFigure(push.total, held, "at-most");
    const both = [opens.outcome, holds.outcome];
    const outcome: Outcome = both.includes("fail") ? "fail" : both.includes("undetermined") ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const lacking = missing(c, seal, push, opens);
    return {
      outcome,
      ...(outcome === "undetermined" ? settle(c, seal, push, opens, holds, lacking) : {}),
      data: {
        outcome,
        trap,
        type: device!.sealType === "waterless" ? "waterless trap" : "check valve",
        coils: seal.coils.map((coil) => c.net.coils[coil]),
        opens: opens.outcome,
        drop: seal.drop,
        dropToDrain: seal.dropToDrain,
        holds: holds.outcome,
        held,
        push: push.total.best,
        suction: push.suction,
        blower: push.blower < 0 ? -1 : c.net.coils[push.blower],
        standing: push.standing.best,
        unknown: lacking.map(({ what }) => what),
      },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence: [
        ...(opens.family === "missing"
          ? []
          : [
              evidenceOf("drop", "dimension", opens, { name: "dropToDrain", source: "hydrostatics" }, [
                ...dropPointers(c, seal),
                `${pointer}/opensAt`,
              ]),
            ]),
        ...(holds.family === "missing"
          ? []
          : [
              evidenceOf("reversePush", "gauge-pressure", holds, { name: "holds", source: "document" }, [
                `${pointer}/holds`,
              ]),
            ]),
      ],
      remedy: [
        ...(opens.outcome === "fail" ? lower(seal) : []),
        ...(holds.outcome === "fail"
          ? [
              {
                action: "rebuild-trap" as const,
                on: { node: trap },
                amount: push.total.high,
                kind: "gauge-pressure" as const,
                what: "pressure held",
              },
            ]
          : []),
      ],
    };
  },
  say: (data, speak) => {
    const { outcome, trap, type, coils, unknown } = data;
    const name = `${type} ${speak.node(trap)}`;
    const pan = `the pan of ${speak.list(coils.map((coil) => speak.node(coil)))}`;
    if (outcome === "undetermined" && unknown.length > 0)
      return `Whether the ${name} below ${pan} opens and holds cannot be told: ${speak.list(unknown)} is not known.`;
    const opening = speak.against(data.drop, data.dropToDrain, "dimension");
    const holding = speak.against(data.push, data.held, "gauge-pressure");
    const by = [
      ...(data.suction > 0 ? ["the suction of its own fan"] : []),
      ...(data.standing > 0 ? [`${speak.figure(data.standing, "dimension")} of water on its outlet side`] : []),
      ...(data.blower >= 0 ? [`the fan of ${speak.node(data.blower)}`] : []),
    ];
    const pushed = `${holding.figure} come against it${by.length === 0 ? "" : ` (${speak.list(by)})`}`;
    const opens: Readonly<Record<Outcome, string>> = {
      pass: `opens under its drop of ${opening.figure}, where ${opening.limit} are needed`,
      fail: `stays shut: it has a drop of ${opening.figure} below ${pan}, where ${opening.limit} are needed to open it`,
      undetermined: `may or may not open: its drop of ${opening.figure} is too close to the ${opening.limit} that are needed for the tolerance of the levels`,
    };
    const holds: Readonly<Record<Outcome, string>> = {
      pass: `holds ${holding.limit} where ${pushed}`,
      fail: `holds no more than ${holding.limit} where ${pushed}`,
      undetermined: `holds ${holding.limit}, too close for what is known to the ${pushed}`,
    };
    const halves = (["opens", "holds"] as const).filter((half) => data[half] === outcome);
    return `The ${name} ${halves.map((half) => (half === "opens" ? opens : holds)[outcome]).join(", and ")}.`;
  },
});

interface Lacking extends Settle {
  readonly what: string;
}

/** Figures that nobody gave. */
function missing(c: Case, seal: SealFact, push: ReversePush, opens: JudgedFigure): Lacking[] {
  const { pointer, trap } = c.net.nodes[seal.trap];
  const isUnknown = (coil: number): boolean => c.net.nodes[c.net.coils[coil]].coil!.panStatic === null;
  const coils = new Set([...(opens.family === "missing" ? seal.coils.filter(isUnknown) : []), ...push.unknown]);
  return [
    ...(trap!.opensAt === null ? [{ pointer: `${pointer}/opensAt`, what: "the pressure that opens it" }] : []),
    ...(trap!.holds === null ? [{ pointer: `${pointer}/holds`, what: "the pressure that it holds" }] : []),
    ...[...coils].map((coil) => ({
      ...settlePanStatic(c, coil),
      what: `the static pressure at the pan of ${c.net.nodes[c.net.coils[coil]].id}`,
    })),
  ];
}

function settle(
  c: Case,
  seal: SealFact,
  push: ReversePush,
  opens: JudgedFigure,
  holds: JudgedFigure,
  lacking: readonly Lacking[],
): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  if (lacking.length > 0) return { family: "missing", settledBy: lacking.map(({ pointer }) => ({ pointer })) };
  const { pointer } = c.net.nodes[seal.trap];
  if (holds.family === "missing") {
    const decision = "Take the loop of drains out: round a loop nobody can tell where water stands.";
    return { family: "method", settledBy: [{ pointer, decision }] };
  }
  if (opens.outcome === "undetermined") return settleDrop(c, seal, opens);
  if (push.fan.low < push.fan.high)
    return settleClosures(
      c,
      seal.coils.flatMap((coil) => [...c.facts.topology.path(coil)]),
    );
  // Pascals of water back into the metres that a level is measured in.
  const meters = (push.standing.high - push.standing.low) / (push.water.high - push.water.low);
  const levels = [nodeLevel(c.net, seal.trap), ...heldFrom(c, seal.trap)];
  return { family: "tolerance", settledBy: reMeasure(c.net, levels, holds.within * meters) };
}

/** A drop that opens it: with the maker's own figure where that asks for more. */
const lower = (seal: SealFact): RemedyStep[] => [
  {
    action: "rebuild-trap",
    on: { node: seal.trap },
    amount: (Number.isNaN(seal.dropNeeded) ? seal.dropToDrain : seal.dropNeeded) + seal.dropTolerance,
    kind: "dimension",
    what: "drop",
  },
];
