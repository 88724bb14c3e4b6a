import type { RiserBase } from "../../analysis/facts.js";
import { exact } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import {
  type Case,
  defineRule,
  type Evidence,
  type Family,
  type Outcome,
  PASS,
  type RemedyStep,
  type Settle,
} from "../rule.js";
import { boresLacking } from "../settle.js";
import { settleFlow } from "../unknown-loads.js";

const bases = indexed((c) => new Map(c.facts.capacity.riserBases.map((base) => [base.riser, base])));

interface Data {
  readonly outcome: Outcome;
  readonly riser: number;
  readonly foot: number;
  readonly entry: number;
  readonly firstEntry: number;
  readonly needed: number;
  readonly poor: number;
  readonly poorIsLevel: boolean;
}

export const sizeRiserBase = defineRule<Data>({
  id: "size.riser-base",
  title: "Foot of a riser without room to turn",
  question: "Can the foot of a riser turn without filling?",
  why: "At the foot of a riser fast water jumps up as it turns into the sloping drain. Ten bores of free, falling pipe let it settle; a branch, a level piece or a full bore there lets it back up.",
  severity: "advice",
  kind: "condition",
  stage: "design",
  needs: ["pipes.length", "nodes.elevation", "pipes.size", "pipes.material", "nodes.coolingCapacity"],
  limits: [],
  notApplicable: "No riser ends in a sloping drain.",
  remedy: "Move the branch at least ten bores away from the foot, or give the drain there grade and size.",
  sources: ["ipc-704"],
  anchor: "pipe",
  subjects: (c) => bases(c).keys(),
  judge(c, riser) {
    const { net, facts } = c;
    const base = bases(c).get(riser)!;
    const isBad = base.entries.length > 0 || base.poor.length > 0;
    const outcome: Outcome = isBad ? "fail" : base.unknown ? "undetermined" : "pass";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const entry = base.entries[0] ?? -1;
    const poor = base.poor[0] ?? -1;
    const poorIsLevel = poor >= 0 && !(facts.fall.fall[poor] > 0);
    const first = base.pipes[0];
    const evidence: Evidence[] = [];
    if (entry >= 0 && !Number.isNaN(base.needed))
      evidence.push(
        evidenceOf(
          "firstEntry",
          "length",
          judgeFigure(exact(base.firstEntry), base.needed, "at-least"),
          { name: "ten bores", source: "ipc-704" },
          base.pipes.map((pipe) => `${net.pipes[pipe].pointer}/length`),
        ),
      );
    if (poor >= 0 && !poorIsLevel)
      evidence.push(
        evidenceOf(
          "utilisation",
          "ratio",
          judgeFigure(exact(facts.capacity.utilisation[poor]), 1, "at-most"),
          { name: "capacity", source: "manning" },
          [net.pipes[poor].pointer],
        ),
      );
    if (evidence.length === 0 && !Number.isNaN(base.needed))
      evidence.push(plainEvidence("tenBores", "length", exact(base.needed), [net.pipes[first].pointer]));
    return {
      outcome,
      ...(outcome === "undetermined" ? settle(c, base) : {}),
      data: {
        outcome,
        riser,
        foot: base.node,
        entry,
        firstEntry: base.firstEntry,
        needed: base.needed,
        poor,
        poorIsLevel,
      },
      anchor: riser,
      subject: { nodes: [base.node, ...base.entries.filter((node) => node !== base.node)], pipes: [riser] },
      evidence,
      remedy: outcome === "fail" ? remedies(c, base) : undefined,
      links: { pipe: [riser, ...base.poor] },
    };
  },
  say: ({ outcome, riser, foot, entry, firstEntry, needed, poor, poorIsLevel }, speak) => {
    const where = `the foot of the riser ${speak.pipe(riser)} at ${speak.node(foot)}`;
    const room = Number.isNaN(needed) ? "" : ` (${speak.figure(needed, "length", "up")})`;
    if (outcome === "pass") return `At ${where} the water has ten bores${room} of free, falling pipe to turn in.`;
    if (outcome === "undetermined")
      return `Whether the water can turn at ${where} without filling the pipe cannot be told: a bore or a flow there is not known.`;
    const faults: string[] = [];
    if (entry >= 0)
      faults.push(
        entry === foot
          ? "another drain enters at the foot itself"
          : `another drain enters at ${speak.node(entry)}, ${speak.figure(firstEntry, "length", "down")} on, within ten bores${room}`,
      );
    if (poor >= 0)
      faults.push(poorIsLevel ? `${speak.pipe(poor)} does not fall` : `${speak.pipe(poor)} is over its capacity`);
    return `At ${where} the water has no room to turn: ${faults.join(", and ")}.`;
  },
});

function remedies(c: Case, base: RiserBase): RemedyStep[] {
  const { net } = c;
  const steps: RemedyStep[] = [];
  const main = new Set([base.riser, ...base.pipes]);
  for (const node of base.entries)
    for (let k = net.drainsIn.start[node]; k < net.drainsIn.start[node + 1]; k++) {
      const pipe = net.drainsIn.list[k];
      if (main.has(pipe)) continue;
      const far = Number.isNaN(base.needed) ? {} : { amount: base.needed, kind: "length" as const };
      steps.push({ action: "move-connection", on: { pipe }, ...far, what: "distance from the foot of the riser" });
    }
  for (const pipe of base.poor) {
    const size = c.facts.capacity.requiredSize[pipe];
    steps.push(
      !(c.facts.fall.fall[pipe] > 0)
        ? { action: "re-hang", on: { pipe } }
        : { action: "enlarge-pipe", on: { pipe }, ...(size > 0 ? { amount: size, kind: "size" as const } : {}) },
    );
  }
  return steps;
}

function settle(c: Case, base: RiserBase): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  const bores = boresLacking(c, base.pipes);
  if (bores !== null && bores.family === "missing") return bores;
  const pipe = base.pipes.find((each) => Number.isNaN(c.facts.loads.designFlow[each]));
  if (pipe === undefined) return bores ?? { family: "missing", settledBy: [] };
  const flow = settleFlow(c, pipe);
  return flow.family === "missing" || bores === null ? flow : bores;
}
