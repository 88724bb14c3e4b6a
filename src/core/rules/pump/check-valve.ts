import { KIND, ROLE } from "../../graph/compiled.js";
import { type Interval, within } from "../../quantity/interval.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import { pumpFigures, pumpPointer, pumps } from "../pumps.js";
import { type Case, defineRule, type Evidence, type Outcome, PASS, type Settle } from "../rule.js";
import { type MeasuredLevel, nodeLevel, reMeasure, toLevel } from "../settle.js";

/** m: what runs back from a lower lift is little. */
const FREE_LIFT = 1;

interface Lift {
  /** m, NaN unknown */
  readonly height: Interval;
  readonly levels: readonly MeasuredLevel[];
  readonly from: string;
  /** another pump pushes into its discharge, or into the drain that takes it */
  readonly shared: boolean;
}

/** Pipes that carry the water of two pumps or more, up to the next pump or the outlet. */
const sharedPipes = indexed((c): ReadonlySet<number> => {
  const met = new Set<number>();
  const shared = new Set<number>();
  for (const pump of pumps(c))
    for (const pipe of discharge(c, pump, () => true)) {
      if (met.has(pipe)) {
        // from here on the way of the other pump is the same
        if (shared.has(pipe)) break;
        shared.add(pipe);
      }
      met.add(pipe);
    }
  return shared;
});

/** The pipes that a pump's water passes to the next pump or the outlet, while they are of one sort. */
function* discharge({ net, facts }: Case, node: number, isMeant: (pipe: number) => boolean): Generator<number> {
  const met = new Set<number>();
  for (let pipe = facts.topology.next[node]; pipe >= 0 && isMeant(pipe) && !met.has(pipe); ) {
    met.add(pipe);
    yield pipe;
    const below = net.to[pipe];
    if (net.kind[below] === KIND.pump) return;
    pipe = facts.topology.next[below];
  }
}

const isShared = (c: Case, pipes: Iterable<number>): boolean => {
  for (const pipe of pipes) if (sharedPipes(c).has(pipe)) return true;
  return false;
};

const liftOf = (c: Case, node: number): Lift => {
  const { net } = c;
  const { pump, coil, pointer } = net.nodes[node];
  const rising = [...discharge(c, node, (pipe) => net.role[pipe] === ROLE.pressure)];
  // A pump in a unit feeds a gravity drain that others share; only a common rising line runs back into it.
  const shared = isShared(c, pump === null ? rising : discharge(c, node, () => true));
  const stated = pump === null ? coil!.internalPump!.lift : pump.liftTo;
  const below = nodeLevel(net, node);
  if (stated !== null && pump === null)
    return { height: within(stated, 0), levels: [], from: `${pointer}/internalPump/lift`, shared };
  if (stated !== null) {
    const height = within(stated - net.z[node], 2 * net.tolerance[node]);
    return { height, levels: [below, { node, pointer: `${pointer}/liftTo` }], from: `${pointer}/liftTo`, shared };
  }
  const top = rising.reduce((a, b) => (net.toInvert[b] > net.toInvert[a] ? b : a), rising[0] ?? -1);
  if (top < 0) return { height: within(Number.NaN, 0), levels: [], from: pointer, shared };
  const above = toLevel(net, top);
  const half = net.tolerance[node] + net.tolerance[above.node];
  return { height: within(net.toInvert[top] - net.z[node], half), levels: [below, above], from: above.pointer, shared };
};

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly lift: number;
  readonly shared: boolean;
  readonly valve: boolean | null;
}

export const pumpCheckValve = defineRule<Data>({
  id: "pump.check-valve",
  title: "Lift that can run back",
  question: "Can what a pump has lifted run back into its sump, or another pump's water with it?",
  why: "What stands in a rising line runs back when the pump stops and starts it again. Where several pumps share the line, one fills the sump of the other.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.checkValve", "nodes.liftTo", "nodes.internalPump"],
  limits: [],
  notApplicable: "No pump lifts condensate by 1 m or more, and none shares its discharge with another.",
  remedy: "Fit a check valve in the pump's discharge.",
  sources: ["upc-814.1.1", "common-practice"],
  anchor: "node",
  *subjects(c) {
    for (const node of pumps(c)) {
      const { height, shared } = liftOf(c, node);
      if (shared || !(height.high < FREE_LIFT)) yield node;
    }
  },
  judge(c, node) {
    const { net } = c;
    const { height, levels, from, shared } = liftOf(c, node);
    const { checkValve } = pumpFigures(c, node);
    const valve = `${pumpPointer(c, node)}/checkValve`;
    const judged = judgeFigure(height, FREE_LIFT, "at-least");
    const concerns = shared ? "pass" : judged.outcome;
    const outcome: Outcome =
      checkValve === true ? "pass" : concerns === "pass" && checkValve === false ? "fail" : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const isMissing = checkValve === null || judged.family === "missing";
    const settledBy: Settle[] = [];
    if (checkValve === null) settledBy.push({ pointer: valve });
    if (concerns !== "pass" && judged.family === "missing")
      settledBy.push({ pointer: `${pumpPointer(c, node)}/${net.coilAt[node] < 0 ? "liftTo" : "lift"}` });
    const evidence: Evidence[] = [];
    if (!Number.isNaN(height.best))
      evidence.push(
        shared
          ? plainEvidence("lift", "length", height, [from])
          : evidenceOf("lift", "length", judged, { name: "lift that may run back", source: "common-practice" }, [from]),
      );
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : isMissing
          ? { family: "missing" as const, settledBy }
          : { family: "tolerance" as const, settledBy: reMeasure(net, levels, judged.within) }),
      data: { outcome, node, lift: height.best, shared, valve: checkValve },
      anchor: node,
      subject: net.coilAt[node] >= 0 ? { fanCoils: [node] } : { nodes: [node] },
      evidence: outcome === "pass" ? evidence.map(withoutLimit) : evidence,
      remedy: outcome === "fail" ? [{ action: "add-check-valve", on: { node } }] : undefined,
    };
  },
  say: ({ outcome, node, lift, shared, valve }, speak) => {
    const pump = `The pump at ${speak.node(node)}`;
    const lifts = Number.isNaN(lift) ? "lifts by nobody knows how much" : `lifts by ${speak.figure(lift, "length")}`;
    const into = shared ? `${lifts} into a line that another pump shares` : lifts;
    if (outcome === "pass") return `${pump} ${into}, behind a check valve.`;
    if (outcome === "fail")
      return shared
        ? `${pump} ${into}, without a check valve: what the other pump lifts can run into its sump.`
        : `${pump} ${into} without a check valve: from ${speak.figure(FREE_LIFT, "length")} on, much runs back each time it stops.`;
    if (valve === null) return `${pump} ${into}. Whether a check valve stands in its discharge is not known.`;
    return Number.isNaN(lift)
      ? `${pump} has no check valve. Whether it lifts so high that it needs one is not known.`
      : `${pump} ${into}, against ${speak.figure(FREE_LIFT, "length")} from which it needs a check valve: too close for the tolerance of the levels.`;
  },
});

/** The height of a lift that cannot run back has no limit to keep. */
const withoutLimit = ({ limit: _, margin: __, ...figure }: Evidence): Evidence => figure;
