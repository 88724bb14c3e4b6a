import type { AirPartition } from "../../analysis/facts.js";
import { limitOf } from "../../profiles/profile.js";
import { exact } from "../../quantity/interval.js";
import { boreFamily, borePointer, boreSettle, settleClosures } from "../air-readings.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
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
import { settleFlow } from "../unknown-loads.js";
import { type Branch, hasOwnVent, ventPlace } from "../vent-runs.js";
import { breathes, trappedBranches } from "./branch-vent.js";

/** Branches that have no open vent of their own and breathe through the common drain, by position of the coil. */
const breathing = indexed((c) => {
  const branches = new Map<number, Branch>();
  for (const [coil, branch] of trappedBranches(c))
    if (!hasOwnVent(c, branch, "best") && breathes(c, branch, "best")) branches.set(coil, branch);
  return branches;
});

const isOpen = (partition: AirPartition, branch: Branch): boolean => {
  const space = partition.ofOutletSide[branch.nodes[0]];
  return space >= 0 && partition.spaces[space].openings.length > 0;
};

/** Drains on the way down from the trap that hold air while dry and none at design flow, in a partition. */
const closedPipes = (c: Case, branch: Branch, partition: AirPartition): number[] => {
  const { net, facts } = c;
  const pipes: number[] = [];
  let node = branch.nodes[0];
  for (let steps = 0; steps <= net.nodeCount && pipes.length < 20; steps++) {
    const pipe = facts.topology.next[node];
    if (pipe < 0) break;
    if (partition.ofPipe[pipe] < 0 && facts.air.best.ofPipe[pipe] >= 0) pipes.push(pipe);
    node = net.to[pipe];
  }
  return pipes;
};

interface Data {
  readonly outcome: Outcome;
  readonly coil: number;
  /** the first drain on the way that closes, -1 */
  readonly pipe: number;
  readonly fill: number;
  readonly utilisation: number;
}

export const airClosedByFlow = defineRule<Data>({
  id: "air.closed-by-flow",
  title: "Air path closed at design flow",
  question: "Does an air path close at design flow?",
  why: "A branch without a vent breathes through the air above the water in the main. A main that runs fuller than its limit, or level, closes that way just when the most water comes.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.coolingCapacity", "nodes.condensateRate", "pipes.size", "pipes.material", "nodes.elevation"],
  limits: ["capacity.maximumFill", "capacity.riserFraction"],
  notApplicable: "No branch breathes through a common drain.",
  remedy: "Enlarge the drain that fills, or give the branch a vent of its own.",
  sources: ["common-practice", "unit-manuals"],
  anchor: "coil",
  subjects: (c) => breathing(c).keys(),
  judge(c, coil) {
    const { net, facts } = c;
    const { atFlow, atFlowClosed, atFlowOpen } = facts.air;
    const branch = breathing(c).get(coil)!;
    const partitions = atFlow === atFlowClosed && atFlow === atFlowOpen ? [atFlow] : [atFlow, atFlowClosed, atFlowOpen];
    const open = partitions.map((partition) => isOpen(partition, branch));
    const outcome: Outcome = open.every((yes) => yes) ? "pass" : open.every((yes) => !yes) ? "fail" : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const closed = outcome === "pass" ? [] : closedPipes(c, branch, outcome === "fail" ? atFlow : atFlowClosed);
    const pipe = closed[0] ?? -1;
    const { fillRatio, utilisation, requiredSize } = facts.capacity;
    const fill = pipe < 0 ? Number.NaN : fillRatio[pipe];
    const used = pipe < 0 ? Number.NaN : utilisation[pipe];
    const top = facts.seals.leastVentTop[coil];
    const drawn = pipe < 0 ? null : net.pipes[pipe].size;
    const remedy: RemedyStep =
      pipe >= 0 && requiredSize[pipe] > 0 && drawn !== null && requiredSize[pipe] > drawn
        ? { action: "enlarge-pipe", on: { pipe }, amount: requiredSize[pipe], kind: "size" }
        : {
            action: "add-vent",
            on: { node: ventPlace(c, branch) },
            ...(Number.isNaN(top) ? {} : { amount: top, kind: "length", what: "top above" }),
          };
    return {
      outcome,
      ...(outcome === "undetermined" ? settle(c, coil, branch, closed) : {}),
      data: { outcome, coil: node, pipe, fill, utilisation: used },
      anchor: coil,
      subject: { fanCoils: [node], pipes: closed },
      evidence: outcome === "fail" && pipe >= 0 ? evidence(c, pipe, fill, used) : [],
      remedy: outcome === "fail" ? [remedy] : undefined,
    };
  },
  say: ({ outcome, coil, pipe, fill, utilisation }, speak) => {
    const name = `The branch of ${speak.node(coil)}`;
    if (outcome === "pass")
      return `${name} has no vent of its own, and its air path through the main stays open at design flow.`;
    const where = pipe < 0 ? "the main" : speak.pipe(pipe);
    if (outcome === "undetermined")
      return `${name} has no vent of its own; whether its air path through ${where} stays open at design flow cannot be told from what is known.`;
    const how = Number.isNaN(utilisation)
      ? "carries flow without a fall"
      : Number.isNaN(fill)
        ? `carries ${speak.figure(utilisation, "ratio", "up")} of what it can`
        : `runs ${speak.figure(fill, "ratio", "up")} full`;
    return `${name} has no vent of its own, and its air path through the main closes at design flow: ${where} ${how}.`;
  },
});

function evidence(c: Case, pipe: number, fill: number, used: number): readonly Evidence[] {
  const from = [c.net.pipes[pipe].pointer];
  const isRiser = c.facts.fall.vertical[pipe] === 1;
  const limit = limitOf(c.profile, isRiser ? "capacity.riserFraction" : "capacity.maximumFill");
  const list: Evidence[] = [];
  if (!Number.isNaN(fill))
    list.push({
      name: "fillRatio",
      low: fill,
      best: fill,
      high: fill,
      kind: "ratio",
      limit: { name: limit.name, value: limit.value, source: limit.source },
      margin: limit.value - fill,
      from,
    });
  if (!Number.isNaN(used)) list.push(plainEvidence("utilisation", "ratio", exact(used), from));
  return list;
}

/** Pipes anywhere in the branch's air that may close at design flow, where its own way down does not tell. */
const closedElsewhere = (c: Case, branch: Branch): number[] => {
  const { best, atFlowClosed } = c.facts.air;
  const space = best.ofOutletSide[branch.nodes[0]];
  return space < 0 ? [] : best.spaces[space].pipes.filter((pipe) => atFlowClosed.ofPipe[pipe] < 0).slice(0, 20);
};

function settle(
  c: Case,
  coil: number,
  branch: Branch,
  closed: readonly number[],
): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  const { facts } = c;
  const missing = new Map<string, Settle>();
  const method = new Map<string, Settle>();
  const ask = (pipe: number): void => {
    if (Number.isNaN(facts.capacity.bore[pipe])) {
      const family = boreFamily(c, pipe);
      (family === "missing" ? missing : method).set(borePointer(c, pipe), boreSettle(c, pipe));
    }
    if (Number.isNaN(facts.loads.designFlow[pipe])) {
      const { family, settledBy } = settleFlow(c, pipe);
      for (const one of settledBy) (family === "missing" ? missing : method).set(one.pointer, one);
    }
  };
  for (const pipe of closed) ask(pipe);
  if (missing.size + method.size === 0) for (const pipe of closedElsewhere(c, branch)) ask(pipe);
  if (missing.size > 0) return { family: "missing", settledBy: [...missing.values()] };
  if (method.size > 0) return { family: "method", settledBy: [...method.values()] };
  return settleClosures(c, [...facts.topology.path(coil), ...branch.tees.map(({ pipe }) => pipe)]);
}
