import { KIND } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { isPipeClosed, partitionOf, type Reading, readings, settleClosures } from "../air-readings.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
import { type Case, defineRule, type Outcome, PASS } from "../rule.js";

/** The next seal that water meets, seen from a place on its way. */
interface Ahead {
  /** the seal's node: the trap, or the lowest node of the water */
  readonly node: number;
  /** which body of water: the trap's node, or -2 - pool; -1: a pool only within the tolerance */
  readonly body: number;
  /** open air lies between the place and it */
  readonly open: boolean;
  /** the first seal from here on that meets another before it without open air between, -1 */
  readonly doubled: number;
  /** seals from here on, this one included */
  readonly count: number;
}

const doubledAfterSeal = (ahead: Ahead | null): number =>
  ahead === null ? -1 : ahead.open ? ahead.doubled : ahead.node;

/** For each coil (position): where a second seal stands without open air before it, -1 none; and how many seals. */
const walk = (c: Case, reading: Reading): { doubled: Int32Array; count: Int32Array } => {
  const { net, facts } = c;
  const partition = partitionOf(c, reading);
  const isOpen = (space: number): boolean => space >= 0 && partition.spaces[space].openings.length > 0;
  const isSealedTrap = (node: number): boolean =>
    net.kind[node] === KIND.trap && facts.seals.list[facts.seals.ofTrap[node]].sealed;
  // Seen by water that leaves a node, and by water that comes to it.
  const leaving: (Ahead | null)[] = new Array(net.nodeCount).fill(null);
  const arriving = (node: number): Ahead | null =>
    isSealedTrap(node)
      ? {
          node,
          body: node,
          open: isOpen(partition.ofNode[node]),
          doubled: doubledAfterSeal(leaving[node]),
          count: 1 + (leaving[node]?.count ?? 0),
        }
      : leaving[node];
  for (const node of net.downstreamFirst) {
    const pipe = facts.topology.next[node];
    const isEnd = net.kind[node] === KIND.outlet || net.kind[node] === KIND.pump;
    if (isEnd || pipe < 0 || net.onCycle[node] || facts.topology.intoCycle[node]) continue;
    const next = arriving(net.to[pipe]);
    const open = isOpen(partition.ofOutletSide[node]);
    if (isPipeClosed(c, pipe, reading)) {
      const { poolOfEnd, pools } = facts.water;
      const pool = Math.max(poolOfEnd[2 * pipe], poolOfEnd[2 * pipe + 1]);
      const body = pool < 0 ? -1 : -2 - pool;
      leaving[node] =
        next !== null && next.body === body
          ? { ...next, open }
          : {
              node: pool < 0 ? net.to[pipe] : pools[pool].node,
              body,
              open,
              doubled: doubledAfterSeal(next),
              count: 1 + (next?.count ?? 0),
            };
    } else if (next !== null) {
      const between = open || isOpen(partition.ofPipe[pipe]);
      leaving[node] = between && !next.open ? { ...next, open: true } : next;
    }
  }
  const doubled = new Int32Array(net.coils.length).fill(-1);
  const count = new Int32Array(net.coils.length);
  net.coils.forEach((coil, position) => {
    const first = leaving[coil];
    if (first === null) return;
    doubled[position] = first.doubled;
    count[position] = first.count;
  });
  return { doubled, count };
};

interface Group {
  readonly outcome: Outcome;
  readonly coils: number[];
}

/** Coils with two seals or more on their way: those that are right one by one, the others by the seal that is too much. */
const plan = indexed((c) => {
  const all = readings(c).map((reading) => walk(c, reading));
  const free: number[] = [];
  const groups = new Map<number, Group>();
  c.net.coils.forEach((_, position) => {
    if (!all.some(({ count }) => count[position] > 1)) return;
    const found = all.map(({ doubled }) => doubled[position]);
    if (found.every((node) => node < 0)) {
      free.push(position);
      return;
    }
    const outcome: Outcome = found.every((node) => node >= 0) ? "fail" : "undetermined";
    const node = found.find((candidate) => candidate >= 0) ?? -1;
    const group = groups.get(node);
    // One seal, one finding: where it is too much for one coil beyond doubt, it is too much.
    if (group === undefined || (group.outcome !== "fail" && outcome === "fail"))
      groups.set(node, { outcome, coils: [position] });
    else if (group.outcome === outcome) group.coils.push(position);
  });
  return { free, groups };
});

interface Data {
  readonly outcome: Outcome;
  readonly node: number;
  readonly isTrap: boolean;
  readonly coils: readonly number[];
  readonly seals: number;
}

export const sealDouble = defineRule<Data>({
  id: "seal.double",
  title: "One seal between pan and open air",
  question: "Is there more than one seal between a pan and open air?",
  why: "Air shut in between two seals has to be pushed through the second before water can leave, and the water stands in the pan instead.",
  severity: "major",
  kind: "condition",
  stage: "design",
  needs: ["nodes.kind", "traps.sealDepth", "traps.primed", "nodes.elevation", "pipes.size", "pipes.material"],
  limits: [],
  notApplicable: "No coil's path has two seals.",
  remedy: "Take the second seal out, or open the air between the two.",
  sources: ["ipc-1002", "common-practice"],
  anchor: "node",
  // Coils that are right by position; a seal that is too much by its node, after them: it speaks for all coils above it.
  *subjects(c) {
    const { free, groups } = plan(c);
    yield* free;
    for (const node of groups.keys()) yield c.net.coils.length + node;
  },
  judge: (c, subject) => {
    const { net, facts } = c;
    if (subject < net.coils.length) {
      if (!c.wantPasses) return PASS;
      const node = net.coils[subject];
      const seals = facts.seals.countOnPath[subject];
      return {
        outcome: "pass",
        data: { outcome: "pass", node, isTrap: false, coils: [node], seals },
        anchor: node,
        subject: { fanCoils: [node] },
        evidence: [plainEvidence("sealsOnPath", "count", exact(seals), [net.nodes[node].pointer])],
      };
    }
    const node = subject - net.coils.length;
    const group = plan(c).groups.get(node);
    if (group === undefined) return PASS;
    const { outcome } = group;
    const coils = group.coils.map((position) => net.coils[position]);
    const isTrap = net.kind[node] === KIND.trap;
    const pool = isTrap ? -1 : facts.water.poolOfNode[node];
    const seal = isTrap ? facts.seals.ofTrap[node] : pool >= 0 ? facts.seals.ofPool[pool] : -1;
    const seals = Math.max(...group.coils.map((position) => facts.seals.countOnPath[position]));
    return {
      outcome,
      ...(outcome === "undetermined"
        ? settleClosures(
            c,
            group.coils.slice(0, 8).flatMap((position) => [...facts.topology.path(position)]),
          )
        : {}),
      data: { outcome, node, isTrap, coils, seals },
      anchor: node,
      subject: { fanCoils: coils, nodes: [node] },
      evidence: [plainEvidence("sealsOnPath", "count", exact(seals), [net.nodes[node].pointer])],
      remedy: outcome === "fail" && isTrap ? [{ action: "remove-trap", on: { node } }] : [],
      links: { pool: pool >= 0 ? [pool] : [], seal: seal >= 0 ? [seal] : [], coil: coils },
    };
  },
  say: ({ outcome, node, isTrap, coils, seals }, speak) => {
    const whose = speak.list(coils.map((coil) => speak.node(coil)));
    const what = isTrap ? `the trap ${speak.node(node)}` : `the standing water at ${speak.node(node)}`;
    if (outcome === "pass") return `Open air lies between the ${seals} seals on the way out of ${whose}.`;
    return outcome === "fail"
      ? `On the way out of ${whose} ${what} is a further seal, with no open air between it and the seal before it.`
      : `On the way out of ${whose} ${what} may be a further seal, with no open air between it and the seal before it: whether the water closes the bore cannot be told from what is known.`;
  },
});
