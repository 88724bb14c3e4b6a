import { ROLE } from "../../graph/compiled.js";
import { EPSILON } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { boresLacking, fromLevel, heldFrom, reMeasure, toLevel } from "../settle.js";
import { settleFlow } from "../unknown-loads.js";

interface Entry {
  readonly node: number;
  readonly branch: number;
  readonly main: number;
  readonly leaving: number;
}

interface Data {
  readonly outcome: Outcome;
  readonly entry: Entry;
  readonly cross: boolean;
  /** entry above the water, m; NaN unknown */
  readonly above: number;
  readonly low: number;
  readonly high: number;
  readonly standing: boolean;
  readonly missing: boolean;
}

/**
 * Which drain carries the main into a junction: the lowest, then most coils above, the largest, the first in order. A riser
 * whose lateral enters from above may serve more coils than the main that passes under it.
 */
const mainInto = (c: Case, sloping: readonly number[]): number => {
  const { coilsAbove } = c.facts.topology;
  const { pipes, toInvert } = c.net;
  return [...sloping].sort(
    (a, b) =>
      (Math.abs(toInvert[a] - toInvert[b]) > EPSILON ? toInvert[a] - toInvert[b] : 0) ||
      coilsAbove[b] - coilsAbove[a] ||
      (pipes[b].size ?? 0) - (pipes[a].size ?? 0) ||
      a - b,
  )[0];
};

/** Branches onto horizontal mains: a sloping drain comes in, a sloping drain goes out, and another drain enters. */
const entries = indexed((c) => {
  const { net, facts } = c;
  const found = new Map<number, Entry>();
  const { start, list } = net.drainsIn;
  for (let node = 0; node < net.nodeCount; node++) {
    const leaving = facts.topology.next[node];
    if (start[node + 1] - start[node] < 2 || leaving < 0 || net.role[leaving] !== ROLE.drain) continue;
    if (facts.geometry.vertical[leaving] || facts.topology.intoCycle[node]) continue;
    const into = [...list.subarray(start[node], start[node + 1])];
    const sloping = into.filter((pipe) => facts.geometry.vertical[pipe] === 0);
    if (sloping.length === 0) continue;
    const main = mainInto(c, sloping);
    for (const branch of into) if (branch !== main) found.set(branch, { node, branch, main, leaving });
  }
  return found;
});

/** Level at which a branch enters: its invert; falling plumb from above, the crown of the main. */
const entryLevel = (c: Case, branch: number): number => {
  const { toInvert } = c.net;
  const crown = c.facts.water.toCrown[branch];
  const plumb = c.facts.geometry.vertical[branch] === 1 && c.facts.geometry.fall[branch] > 0;
  return plumb && crown > toInvert[branch] ? crown : toInvert[branch];
};

export const fallEntry = defineRule<Data>({
  id: "fall.entry",
  title: "Branches enter above the water",
  question: "Does each branch enter its horizontal main at or above the water there, and not through a cross?",
  why: "A branch that enters below the water of its main is backed up by it; through a cross two branches run into each other.",
  severity: "advice",
  kind: "condition",
  stage: "design",
  needs: ["pipes.toInvert", "nodes.elevation", "nodes.fitting", "fan-coils.coolingCapacity", "pipes.size"],
  limits: ["capacity.manningN"],
  notApplicable: "No branch enters a horizontal main.",
  remedy: "Let the branch enter from above, through a wye laid over.",
  sources: ["vrf-manual", "common-practice"],
  anchor: "pipe",
  subjects: (c) => entries(c).keys(),
  judge: (c, branch) => {
    const entry = entries(c).get(branch);
    if (entry === undefined) return PASS;
    const { net, facts } = c;
    const { node, leaving } = entry;
    const tolerance = net.tolerance[node];
    const level = entryLevel(c, branch);
    const invert = net.fromInvert[leaving];
    const bore = facts.geometry.bore[leaving];
    // Level or rising drains have no flow depth of their own: only what stands in them counts.
    const flows = facts.geometry.fall[leaving] > 0;
    const flowDepth = flows ? facts.capacity.flowDepth[leaving] : 0;
    // One elevation stands on both sides where neither end has an invert of its own.
    const shared = !net.toOwn[branch] && !net.fromOwn[leaving];
    const doubt = shared ? 0 : 2 * tolerance;
    const overFlow = (depth: number) => ({
      low: level - invert - depth - doubt,
      best: level - invert - depth,
      high: level - invert - depth + doubt,
    });
    const stands = facts.water.levelHigh[node] > net.z[node] + tolerance + EPSILON;
    const overStanding = stands
      ? {
          low: level - tolerance - facts.water.levelHigh[node],
          best: level - facts.water.level[node],
          high: level + tolerance - Math.max(facts.water.levelLow[node], net.z[node] - tolerance),
        }
      : null;
    const lower = (a: { low: number; best: number; high: number }, b: typeof a) => ({
      low: Math.min(a.low, b.low),
      best: Math.min(a.best, b.best),
      high: Math.min(a.high, b.high),
    });
    const over = (depth: number) => (overStanding === null ? overFlow(depth) : lower(overFlow(depth), overStanding));
    // With the flow unknown, the empty pipe and the full one bound it.
    const unknown = Number.isNaN(flowDepth);
    const judged = judgeFigure(over(unknown ? 0 : flowDepth), 0, "at-least");
    const full = unknown ? judgeFigure(over(bore), 0, "at-least") : judged;
    const cross = net.nodes[node].fitting === "cross";
    const missing = unknown && !(judged.outcome === "fail" || full.outcome === "pass");
    const outcome: Outcome = cross
      ? "fail"
      : missing
        ? "undetermined"
        : unknown && full.outcome === "pass"
          ? "pass"
          : judged.outcome;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const settle = (): { family: Family; settledBy: readonly Settle[] } => {
      if (!missing) {
        const own = [toLevel(net, branch), fromLevel(net, leaving)];
        const measured = tolerance > 0 ? own : heldFrom(c, node);
        return { family: "tolerance", settledBy: reMeasure(net, measured, judged.within) };
      }
      return boresLacking(c, [leaving]) ?? settleFlow(c, leaving);
    };
    return {
      outcome,
      ...(outcome === "undetermined" ? settle() : {}),
      data: {
        outcome,
        entry,
        cross,
        // Under standing water the empty pipe tells enough; over the crown only that it is.
        above: unknown && outcome !== "fail" ? Number.NaN : judged.best,
        low: judged.low,
        high: judged.high,
        standing: overStanding !== null && overStanding.best <= judged.best,
        missing,
      },
      anchor: branch,
      subject: { nodes: [node], pipes: [branch] },
      evidence: unknown
        ? []
        : [
            evidenceOf("entryAboveWater", "dimension", judged, { name: "at the water", source: "vrf-manual" }, [
              toLevel(net, branch).pointer,
              fromLevel(net, leaving).pointer,
            ]),
          ],
      remedy:
        outcome !== "fail"
          ? []
          : judged.low < 0
            ? [
                {
                  action: "move-connection",
                  on: { pipe: branch },
                  amount: -judged.low,
                  kind: "dimension",
                  what: "entry higher by",
                },
              ]
            : [{ action: "move-connection", on: { pipe: branch } }],
    };
  },
  say: ({ outcome, entry, cross, above, low, high, standing, missing }, speak) => {
    const where = `${speak.pipe(entry.branch)} enters the main at ${speak.node(entry.node)}`;
    const water = standing ? "the water that stands there" : "the water of the design flow there";
    if (outcome === "fail" && cross) return `${where} through a cross, where two branches run into each other.`;
    if (missing)
      return `Whether ${where} above the water there cannot be told: the flow in ${speak.pipe(entry.leaving)} is unknown.`;
    if (outcome === "undetermined")
      return `Within the tolerance of the survey ${where} anything between ${speak.figure(-low, "dimension")} below and ${speak.figure(high, "dimension")} above ${water}: measure again.`;
    if (outcome === "fail") return `${where} ${speak.figure(-above, "dimension", "up")} below ${water}.`;
    return Number.isNaN(above)
      ? `${where} above its crown.`
      : `${where} ${speak.figure(above, "dimension")} above ${water}.`;
  },
});
