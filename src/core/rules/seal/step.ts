import type { SealFact } from "../../analysis/facts.js";
import { limitOf } from "../../profiles/profile.js";
import { within } from "../../quantity/interval.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";
import { boresLacking, nodeLevel, reMeasure, toLevel } from "../settle.js";
import { sealAt, subjectOf, traps } from "../trap-figures.js";

interface Data {
  readonly outcome: Outcome;
  readonly trap: number;
  readonly step: number;
  readonly bore: number;
}

export const sealStep = defineRule<Data>({
  id: "seal.step",
  title: "Trap that steps down",
  question: "Does the trap step down by one bore between its ends?",
  why: "Where the outlet's crown stands higher than the inlet's invert, water stands back into the piece from the pan and slime grows there.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.inletDrop", "pipes.toInvert", "nodes.outletLegSize", "pipes.size", "pipes.material"],
  limits: [],
  notApplicable: "There is no water trap.",
  remedy: "Build the trap with its inlet one bore or more above its weir.",
  sources: ["common-practice"],
  anchor: "node",
  subjects: (c) => traps(c, "water"),
  judge: (c, trap) => {
    const { net } = c;
    const seal = sealAt(c, trap);
    const { step, stepTolerance, outletBore, outletPipe } = seal;
    const judged = judgeFigure(within(step, stepTolerance), outletBore, "at-least");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { pointer, trap: own } = net.nodes[trap];
    const entering = net.drainsIn.list.subarray(net.drainsIn.start[trap], net.drainsIn.start[trap + 1]);
    const inlets = own!.inletDrop === null ? [...entering].map((pipe) => toLevel(net, pipe)) : [];
    const settle = () => {
      if (judged.family === "tolerance")
        return {
          family: "tolerance" as const,
          settledBy: reMeasure(net, [nodeLevel(net, trap), ...inlets], judged.within),
        };
      const bores = outletPipe < 0 ? null : boresLacking(c, [outletPipe]);
      if (!Number.isNaN(step)) return bores!;
      const inlet = { pointer: `${pointer}/inletDrop` };
      return {
        family: "missing" as const,
        settledBy: [inlet, ...(bores?.family === "missing" ? bores.settledBy : [])],
      };
    };
    const remedy = (): RemedyStep[] => {
      const on = { node: trap };
      const needed = outletBore + stepTolerance;
      const steps: RemedyStep[] = [
        { action: "rebuild-trap", on, amount: needed, kind: "dimension", what: "step from inlet to weir" },
      ];
      // The piece before the trap must still fall to its inlet.
      const fall = needed + fallOfPiece(c, seal);
      if (seal.drop < fall)
        steps.push({ action: "lower-node", on, amount: fall + seal.dropTolerance - seal.drop, kind: "dimension" });
      return steps;
    };
    return {
      outcome,
      ...(outcome === "undetermined" ? settle() : {}),
      data: { outcome, trap, step, bore: outletBore },
      anchor: trap,
      subject: subjectOf(c, seal),
      evidence:
        judged.family === "missing"
          ? []
          : [
              evidenceOf("step", "dimension", judged, { name: "outletBore", source: "common-practice" }, [
                ...(inlets.length === 0
                  ? [`${pointer}/inletDrop`]
                  : [nodeLevel(net, trap).pointer, ...inlets.map((level) => level.pointer)]),
              ]),
            ],
      remedy: outcome === "fail" ? remedy() : [],
    };
  },
  say: ({ outcome, trap, step, bore }, speak) => {
    const name = `The trap ${speak.node(trap)}`;
    if (Number.isNaN(step))
      return `Whether the trap ${speak.node(trap)} steps down by its bore cannot be told: nobody says how far its inlet stands above its weir.`;
    if (Number.isNaN(bore))
      return `Whether the trap ${speak.node(trap)} steps down by its bore cannot be told: the bore of its outlet is not known.`;
    if (step < 0)
      return `The inlet of the trap ${speak.node(trap)} lies ${speak.figure(-step, "dimension")} below its weir, where it should lie a bore of ${speak.figure(bore, "dimension")} above: water stands back into its inlet.`;
    const { figure, limit } = speak.against(step, bore, "dimension");
    const steps = `${name} steps down by ${figure} from its inlet to its weir, against a bore of ${limit}`;
    if (outcome === "pass") return `${steps}.`;
    return outcome === "fail"
      ? `${steps}: water stands back into its inlet.`
      : `${steps}: too close for the tolerance of the levels.`;
  },
});

/** What the piece between the farthest pan and the trap must fall, m. */
function fallOfPiece(c: Case, seal: SealFact): number {
  const { topology, geometry } = c.facts;
  const runs = seal.coils.map((coil) => {
    let run = 0;
    for (const pipe of topology.path(coil)) {
      run += geometry.run[pipe];
      if (c.net.to[pipe] === seal.trap) break;
    }
    return run;
  });
  return Math.max(0, ...runs) * limitOf(c.profile, "fall.minimumGrade").value;
}
