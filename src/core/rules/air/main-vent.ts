import type { AirPartition } from "../../analysis/facts.js";
import { KIND, ROLE } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS, type RemedyStep } from "../rule.js";
import { cappedVents, ventTees } from "../vent-runs.js";

/** Common drains that no common drain enters, and the coils (by position) that join there. */
const topmost = indexed((c) => {
  const { net, facts } = c;
  const joining = new Map<number, number[]>();
  for (let coil = 0; coil < net.coils.length; coil++) {
    const node = facts.topology.joiningPoint[coil];
    if (node < 0) continue;
    const known = joining.get(node);
    if (known === undefined) joining.set(node, [coil]);
    else known.push(coil);
  }
  const drains = new Map<number, readonly number[]>();
  for (let pipe = 0; pipe < net.pipeCount; pipe++) {
    if (facts.topology.common[pipe] !== 1 || net.role[pipe] !== ROLE.drain) continue;
    const node = net.from[pipe];
    let fed = false;
    for (let k = net.drainsIn.start[node]; k < net.drainsIn.start[node + 1]; k++)
      if (facts.topology.common[net.drainsIn.list[k]] === 1) fed = true;
    if (!fed) drains.set(pipe, joining.get(node) ?? []);
  }
  return drains;
});

const ventedSpaces = new WeakMap<AirPartition, Uint8Array>();

const hasOpenVent = (c: Case, node: number, reading: Reading): boolean => {
  const partition = partitionOf(c, reading);
  let vented = ventedSpaces.get(partition);
  if (vented === undefined) {
    vented = Uint8Array.from(partition.spaces, ({ openings }) =>
      openings.some((opening) => c.net.kind[opening] === KIND.vent) ? 1 : 0,
    );
    ventedSpaces.set(partition, vented);
  }
  const space = partition.ofOutletSide[node];
  return space >= 0 && vented[space] === 1;
};

interface Data {
  readonly outcome: Outcome;
  readonly pipe: number;
  readonly node: number;
  readonly underWater: boolean;
  readonly capped: readonly number[];
}

export const airMainVent = defineRule<Data>({
  id: "air.main-vent",
  title: "Main without a vent at its upper end",
  question:
    "Is there an open vent, besides the outlet, in the air space at the upper end of each topmost common drain?",
  why: "Water that runs down a shared drain pushes air before it and draws air after it. Without a vent at the upper end that air passes through the traps of the coils.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "nodes.capped", "nodes.opening", "nodes.elevation", "pipes.insideDiameter"],
  limits: [],
  notApplicable: "There is no common drain.",
  remedy: "Put an open vent at the upper end of the main, its top above the pans that it serves.",
  sources: ["common-practice", "vrf-manual"],
  anchor: "pipe",
  subjects: (c) => topmost(c).keys(),
  judge(c, pipe) {
    const { net, facts } = c;
    const node = net.from[pipe];
    const answers = readings(c).map((reading) => hasOpenVent(c, node, reading));
    const outcome: Outcome = answers.every((yes) => yes)
      ? "pass"
      : answers.some((yes) => yes)
        ? "undetermined"
        : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const positions = topmost(c).get(pipe) ?? [];
    const partition = partitionOf(c, "best");
    const space = partition.ofOutletSide[node];
    const capped =
      outcome !== "fail" || space < 0
        ? []
        : cappedVents(
            c,
            partition.spaces[space].nodes.filter((other) => net.kind[other] === KIND.vent),
          );
    const tops = positions.map((coil) => facts.seals.leastVentTop[coil]).filter((top) => !Number.isNaN(top));
    // Under water a vent at the upper end would be none.
    const remedy: RemedyStep[] =
      capped.length > 0
        ? [{ action: "open-vent", on: { node: capped[0] } }]
        : space < 0
          ? []
          : [
              {
                action: "add-vent",
                on: { node },
                ...(tops.length > 0 ? { amount: Math.max(...tops), kind: "length", what: "top above" } : {}),
              },
            ];
    return {
      outcome,
      ...(outcome === "undetermined" ? settleClosures(c, pipesAt(c, node)) : {}),
      data: { outcome, pipe, node, underWater: space < 0, capped },
      anchor: pipe,
      subject: { fanCoils: positions.map((coil) => net.coils[coil]), nodes: [node], pipes: [pipe] },
      evidence: [
        plainEvidence(
          "openVents",
          "count",
          exact(
            space < 0
              ? 0
              : partition.spaces[space].openings.filter((opening) => net.kind[opening] === KIND.vent).length,
          ),
          [net.nodes[node].pointer],
        ),
      ],
      remedy: outcome === "fail" ? remedy : undefined,
    };
  },
  say: ({ outcome, pipe, node, underWater, capped }, speak) => {
    const end = `the upper end of the common drain ${speak.pipe(pipe)} at ${speak.node(node)}`;
    if (outcome === "pass") return `The air at ${end} has an open vent besides the outlet.`;
    if (outcome === "undetermined")
      return `Whether standing water parts ${end} from its vent cannot be told from what is known.`;
    if (underWater) return `There is no vent in the air at ${end}: standing water fills the bore there.`;
    const caps =
      capped.length > 0
        ? `; ${speak.list(
            capped.map((vent) => speak.node(vent)),
            3,
          )} is capped`
        : "";
    return `There is no open vent, besides the outlet, in the air at ${end}${caps}.`;
  },
});

/** The pipes that meet at the node and the vents on it: closing one of them could part it from its vent. */
function* pipesAt(c: Case, node: number): Generator<number> {
  const { net } = c;
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) yield net.ends.list[k] >> 1;
  for (const tee of ventTees(c, node)) yield tee.pipe;
  const space = partitionOf(c, "open").ofOutletSide[node];
  if (space >= 0) yield* partitionOf(c, "open").spaces[space].pipes;
}
