import { KIND, ROLE } from "../../graph/compiled.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Family, type Finding, type Outcome, PASS, type Settle, TOLD } from "../rule.js";
import { lowPointAt, lowPointFigures, settleLowPoint } from "../standing-pools.js";

/** Depth from which water counts as a pool (capillarity on plastic), m. */
const POOL = 0.003;

/**
 * Pipes in the cold: outdoors; from a coil in an attic to where its branch joins, and from one on a roof to its first
 * trap, as far as they run above no ceiling of a heated room but say no other space.
 */
const exposed = indexed((c) => {
  const { net, facts } = c;
  const { next, common, intoCycle } = facts.topology;
  const pipes = new Set<number>();
  if (net.model.site.freezes === false) return pipes;
  for (let pipe = 0; pipe < net.pipeCount; pipe++) {
    const role = net.role[pipe];
    if (net.pipes[pipe].space !== "outdoors" || role === ROLE.vent || role === ROLE.access || role === ROLE.pressure)
      continue;
    pipes.add(pipe);
  }
  for (const coil of net.coils) {
    const location = net.nodes[coil].coil!.location;
    if ((location !== "attic" && location !== "rooftop") || intoCycle[coil] === 1) continue;
    for (let node = coil; ; ) {
      const pipe = next[node];
      if (pipe < 0 || net.role[pipe] !== ROLE.drain || common[pipe] === 1) break;
      if (net.pipes[pipe].space === "ceiling") pipes.add(pipe);
      node = net.to[pipe];
      if (net.kind[node] === KIND.pump || (location === "rooftop" && net.kind[node] === KIND.trap)) break;
    }
  }
  return new Set([...pipes].sort((a, b) => a - b));
});

/** What water stands in a pipe when its coil rests. */
interface Standing {
  /** trap node whose seal it leads into or out of, or the lowest node of a pool; -1: nothing */
  readonly node: number;
  readonly in: "trap" | "pool" | "nothing" | "loop";
  /** it does so at both ends of the tolerance */
  readonly surely: boolean;
  readonly depth: { readonly low: number; readonly best: number; readonly high: number };
}

const DRY = { low: 0, best: 0, high: 0 };

const standingIn = (c: Case, pipe: number): Standing => {
  const { net, facts } = c;
  for (const node of [net.to[pipe], net.from[pipe]]) {
    const { trap } = net.nodes[node];
    const seal = facts.seals.ofTrap[node];
    if (trap?.sealType === "water" && seal >= 0 && facts.seals.list[seal].sealed)
      return { node, in: "trap", surely: true, depth: DRY };
  }
  const { water } = facts;
  if (Number.isNaN(water.fromLevel[pipe]) || Number.isNaN(water.toLevel[pipe]))
    return { node: -1, in: "loop", surely: false, depth: DRY };
  for (const end of [2 * pipe, 2 * pipe + 1]) {
    if (water.poolOfEnd[end] < 0) continue;
    const pool = water.pools[water.poolOfEnd[end]];
    const depth = { low: pool.maxDepthLow, best: pool.maxDepth, high: pool.maxDepthHigh };
    return { node: pool.node, in: "pool", surely: pool.classDriest !== "none", depth };
  }
  const possible = possiblePools(c).get(pipe);
  if (possible === undefined) return { node: -1, in: "nothing", surely: true, depth: DRY };
  return { node: possible.node, in: "pool", surely: false, depth: { ...DRY, high: possible.maxDepthHigh } };
};

const possiblePools = indexed((c) => {
  const of = new Map<number, { readonly node: number; readonly maxDepthHigh: number }>();
  for (const place of c.facts.water.possiblePools)
    for (const pipe of place.pipes) if (!of.has(pipe)) of.set(pipe, place);
  return of;
});

const FREEZES: readonly Settle[] = [{ pointer: "/site/freezes" }];
const waiting = waitingFor(
  (c) => exposed(c),
  (c, pipe) =>
    c.net.model.site.freezes === null && !c.net.pipes[pipe].heatTraced && standingIn(c, pipe).in !== "nothing"
      ? "missing"
      : null,
);

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly outdoors: boolean;
  readonly traced: boolean;
  readonly standing: Standing;
  readonly open: null | "frost" | "loop" | "depth";
}

export const freezeExposed = defineRule<Data>({
  id: "freeze.exposed",
  title: "Standing water where it freezes",
  question: "Can water stand in a pipe that freezes?",
  why: "Water that stands in the cold freezes in the first night without cooling, splits the trap or the pipe, and nobody knows before the next season.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["site.freezes", "pipes.space", "pipes.heatTraced", "nodes.location", "nodes.elevation"],
  limits: [],
  notApplicable: "Nothing freezes here, or no drain runs outdoors or from a unit in an attic or on a roof.",
  remedy:
    "Fit heat tracing, or let nothing stand there: a waterless seal in place of the trap, a fall in place of the low point.",
  sources: ["common-practice"],
  anchor: "pipe",
  subjects: (c) => exposed(c),
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined && group.first !== pipe) return TOLD;
    const { net } = c;
    const standing = standingIn(c, pipe);
    const traced = net.pipes[pipe].heatTraced;
    const isSafe = traced || standing.in === "nothing";
    if (isSafe && !c.wantPasses) return PASS;
    const open = isSafe
      ? null
      : group !== undefined
        ? "frost"
        : standing.in === "loop"
          ? "loop"
          : standing.surely
            ? null
            : "depth";
    const outcome: Outcome = open !== null ? "undetermined" : isSafe ? "pass" : "fail";
    const place = standing.in === "pool" ? lowPointAt(c, standing.node) : null;
    const finding: Finding<Data> = {
      outcome,
      data: {
        outcome,
        pipes: group?.all ?? [pipe],
        outdoors: net.pipes[pipe].space === "outdoors",
        traced,
        standing,
        open,
      },
      anchor: pipe,
      subject: { pipes: group?.all ?? [pipe], nodes: standing.node >= 0 ? [standing.node] : [] },
      evidence:
        place !== null && group === undefined
          ? [plainEvidence("maxDepth", "dimension", standing.depth, lowPointFigures(c, place))]
          : [],
      remedy: outcome === "fail" ? [{ action: "heat-trace", on: { pipe } }] : [],
    };
    if (open === null) return finding;
    const settled: { readonly family: Family; readonly settledBy: readonly Settle[] } =
      open === "frost"
        ? { family: "missing", settledBy: settleAll(c, group!, () => FREEZES) }
        : open === "loop"
          ? { family: "method", settledBy: [{ pointer: net.pipes[pipe].pointer, decision: LOOP }] }
          : settleLowPoint(c, place!, Math.abs(standing.depth.best - POOL));
    return { ...finding, ...settled };
  },
  say: ({ outcome, pipes, outdoors, traced, standing, open }, speak) => {
    const name = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    const where = outdoors ? "outdoors" : "in an attic or on a roof";
    if (open === "frost")
      return `Water stands in ${name}, outdoors or in an attic; whether it can freeze there cannot be told: the document does not say whether the site freezes.`;
    if (open === "loop")
      return `Whether water stands in ${name}, ${where}, cannot be told: it drains into a loop, where no level can be computed.`;
    if (outcome === "pass")
      return traced
        ? `${name} runs ${where} and is kept from freezing by heat tracing.`
        : `${name} runs ${where}, and no water stands in it with the coil at rest.`;
    const what =
      standing.in === "trap"
        ? `the seal of the trap ${speak.node(standing.node)}`
        : `water up to ${speak.figure(standing.depth.high, "dimension", "up")} deep at ${speak.node(standing.node)}`;
    if (open === "depth")
      return `Within the tolerance of the survey ${what} may stand in ${name}, ${where}, and freeze.`;
    return `${name} runs ${where}, where it freezes, and ${standing.in === "trap" ? `holds ${what}` : `${what} stands in it`}.`;
  },
});

const LOOP = "Take the loop of drains out: round a loop no level of water can be computed.";
