import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { isMetricPlastic } from "../materials/materials.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { atMost, EPSILON, type Interval } from "../quantity/interval.js";
import type { BackFall, CoilFall, FallFacts, Run, Topology } from "./facts.js";
import type { Geometry } from "./geometry.js";
import { alongMainWays } from "./topology.js";
import { dropForBudget } from "./trap-need.js";

/** Grades by runs, back-falls, and for each coil the fall of its path against what the path needs. */
export function fallFacts(net: Compiled, profile: Profile, shape: Geometry, ways: Topology): FallFacts {
  const least = limitOf(profile, "fall.minimumGrade").value;
  const gradeMinimum = new Float64Array(net.pipeCount).fill(NaN);
  for (let p = 0; p < net.pipeCount; p++) if (net.role[p] === ROLE.drain && !shape.vertical[p]) gradeMinimum[p] = least;
  const { runs, runOf } = gradeRuns(net, shape);
  return {
    fall: shape.fall,
    run: shape.run,
    grade: shape.grade,
    vertical: shape.vertical,
    gradeMinimum,
    runs,
    runOf,
    backFalls: backFalls(net, shape, ways),
    coils: coilFalls(net, profile, shape, ways, least),
  };
}

/** The longest chains of sloping drains of one size without a branch, bend, step, or change. */
function gradeRuns(net: Compiled, shape: Geometry): { runs: Run[]; runOf: Int32Array } {
  const { from, to, kind, role, pipes } = net;
  const slopes = (p: number) => role[p] === ROLE.drain && shape.vertical[p] === 0;
  const breaksAt = (node: number) => {
    const k = kind[node];
    if (
      k === KIND.coil ||
      k === KIND.trap ||
      k === KIND.bend ||
      k === KIND.reducer ||
      k === KIND.outlet ||
      k === KIND.pump
    )
      return true;
    return rowLength(net.drainsIn, node) !== 1 || rowLength(net.drainsOut, node) !== 1;
  };
  const oneSize = (p: number, q: number) => isOneSize(net, shape, p, q);
  /** the next pipe of the same run, -1 */
  const follower = (p: number): number => {
    if (breaksAt(to[p])) return -1;
    const q = net.drainsOut.list[net.drainsOut.start[to[p]]];
    const level = Math.abs(net.toInvert[p] - net.fromInvert[q]) <= EPSILON;
    return slopes(q) && level && oneSize(p, q) ? q : -1;
  };
  const followed = new Uint8Array(net.pipeCount);
  for (let p = 0; p < net.pipeCount; p++) {
    const q = slopes(p) ? follower(p) : -1;
    if (q >= 0) followed[q] = 1;
  }
  const runOf = new Int32Array(net.pipeCount).fill(-1);
  const runs: Run[] = [];
  const collect = (start: number) => {
    const chain: number[] = [];
    for (let p = start; p >= 0 && runOf[p] < 0; p = follower(p)) {
      chain.push(p);
      runOf[p] = -2;
    }
    const last = chain[chain.length - 1];
    let fall = 0;
    let length = 0;
    let stated = true;
    for (const p of chain) {
      fall += shape.fall[p];
      length += shape.run[p];
      if (pipes[p].grade === null) stated = false;
    }
    const half = net.tolerance[from[start]] + net.tolerance[to[last]];
    runs.push({
      pipes: chain,
      length,
      fall,
      grade: fall / length,
      gradeLow: (fall - half) / length,
      gradeHigh: (fall + half) / length,
      stated,
    });
  };
  for (let p = 0; p < net.pipeCount; p++) if (slopes(p) && !followed[p]) collect(p);
  // A ring without a branch or bend has no start.
  for (let p = 0; p < net.pipeCount; p++) if (slopes(p) && runOf[p] === -1) collect(p);
  const lastOf = (run: Run) => run.pipes[run.pipes.length - 1];
  runs.sort((a, b) => lastOf(a) - lastOf(b));
  runs.forEach((run, i) => {
    for (const p of run.pipes) runOf[p] = i;
  });
  return { runs, runOf };
}

/** Nominal sizes of one system are compared as such; across systems only bores tell, beyond 10 %. */
function isOneSize(net: Compiled, shape: Geometry, p: number, q: number): boolean {
  const a = net.pipes[p];
  const b = net.pipes[q];
  const byDiameter = (pipe: typeof a) => pipe.material !== null && isMetricPlastic(pipe.material);
  if (a.size !== null && b.size !== null && byDiameter(a) === byDiameter(b)) return a.size === b.size;
  const x = shape.bore[p];
  const y = shape.bore[q];
  if (Number.isNaN(x) || Number.isNaN(y)) return a.size === b.size && Number.isNaN(x) && Number.isNaN(y);
  return atMost(Math.max(x, y), 1.1 * Math.min(x, y));
}

/** Chains of consecutive rising drains, each told once, from its most upstream start to its last pipe. */
function backFalls(net: Compiled, shape: Geometry, ways: Topology): BackFall[] {
  const rises = (p: number) => net.role[p] === ROLE.drain && shape.fall[p] < 0;
  const list: BackFall[] = [];
  const joins = (p: number, q: number) => Math.abs(net.toInvert[p] - net.fromInvert[q]) <= EPSILON;
  const onward = (p: number): number => {
    const q = ways.next[net.to[p]];
    return q >= 0 && rises(q) && joins(p, q) ? q : -1;
  };
  const continued = new Uint8Array(net.pipeCount);
  for (let p = 0; p < net.pipeCount; p++) {
    const q = rises(p) ? onward(p) : -1;
    if (q >= 0) continued[q] = 1;
  }
  const met = new Uint8Array(net.pipeCount);
  // Where chains meet, the highest speaks for the pipes that they share.
  const chains = new Map<number, BackFall[]>();
  const walk = (start: number) => {
    const pipes: number[] = [];
    const inChain = new Set<number>();
    for (let p = start; p >= 0 && !inChain.has(p); p = onward(p)) {
      inChain.add(p);
      pipes.push(p);
      met[p] = 1;
    }
    const last = pipes[pipes.length - 1];
    const height = net.toInvert[last] - net.fromInvert[start];
    const halfWidth = net.tolerance[net.from[start]] + net.tolerance[net.to[last]];
    const chain = { pipes, height, halfWidth };
    const others = chains.get(last);
    if (others) others.push(chain);
    else chains.set(last, [chain]);
  };
  for (let p = 0; p < net.pipeCount; p++) if (rises(p) && !continued[p]) walk(p);
  for (let p = 0; p < net.pipeCount; p++) if (rises(p) && !met[p]) walk(p);
  for (const group of chains.values()) {
    group.sort((a, b) => b.height - a.height || a.pipes[0] - b.pipes[0]);
    const taken = new Set<number>();
    const pipes: number[] = [];
    for (const chain of [...group].reverse())
      for (const p of chain.pipes)
        if (!taken.has(p)) {
          taken.add(p);
          pipes.push(p);
        }
    const highest = group[0];
    const own = new Set(highest.pipes);
    list.push({ ...highest, pipes: [...pipes.filter((p) => !own.has(p)), ...highest.pipes] });
  }
  return list.sort((a, b) => a.pipes[a.pipes.length - 1] - b.pipes[b.pipes.length - 1]);
}

const UNKNOWN: Interval = { low: NaN, best: NaN, high: NaN };

function coilFalls(net: Compiled, profile: Profile, shape: Geometry, ways: Topology, least: number): CoilFall[] {
  const { from, to, fromInvert, toInvert, z, tolerance: tol } = net;
  const ahead = sums(net, ways);
  return Array.from(net.coils, (node, c) => {
    const cyclic = ways.intoCycle[node] === 1;
    let pathLength = ahead.length[node];
    let hops = ahead.hops[node];
    if (cyclic) {
      const pipes = ways.path(c);
      hops = pipes.length;
      pathLength = pipes.reduce((sum, p) => sum + net.length[p], 0);
    }
    // The part that falls by gravity: after a pump inside the coil has lifted, up to the outlet or the next pump.
    const walked = gravityPart(net, shape, ways, c);
    const first = walked.pipes[0] ?? -1;
    const last = walked.pipes[walked.pipes.length - 1] ?? -1;
    let fall = NaN;
    let sumFall = 0;
    let sumRun = 0;
    let leastGrade = Infinity;
    if (first >= 0) {
      fall = fromInvert[first] - toInvert[last];
      for (const p of walked.pipes) {
        if (shape.vertical[p]) continue;
        sumFall += shape.fall[p];
        sumRun += shape.run[p];
        leastGrade = Math.min(leastGrade, shape.grade[p]);
      }
    }
    const reached = walked.reached && !cyclic && first >= 0;
    const coil = net.nodes[node].coil!;
    const trap = walked.trap;
    const needed = walked.lifted
      ? 0
      : dropForBudget(coil, trap < 0 ? null : net.nodes[from[walked.pipes[trap]]].trap, profile);

    /** budget of the part [i, j) of the gravity part */
    const budget = (i: number, j: number): Interval => {
      if (!reached || i >= j) return UNKNOWN;
      const a = walked.pipes[i];
      const b = walked.pipes[j - 1];
      const holdsTrap = trap >= 0 ? i <= trap && trap < j : i === 0;
      let drop = 0;
      if (holdsTrap) {
        drop = needed;
        if (i > 0) drop = Math.max(0, needed - (z[node] - fromInvert[a]));
      }
      const runTo = (k: number) => walked.runs[k];
      const above = trap >= 0 && i <= trap && trap < j ? (runTo(trap) - runTo(i)) * least : 0;
      const below = (runTo(j) - runTo(i)) * least - above;
      const best = fromInvert[a] - toInvert[b] - Math.max(drop, above) - below;
      const half = tol[from[a]] + tol[to[b]];
      return { low: best - half, best, high: best + half };
    };
    const all = walked.pipes.length;

    const stretches: CoilFall["stretches"][number][] = [];
    if (first >= 0) {
      let start = 0;
      for (let k = 1; k <= all; k++) {
        const at = to[walked.pipes[k - 1]];
        if (k < all && !net.nodes[at].fixed) continue;
        stretches.push({ from: from[walked.pipes[start]], to: at, budget: budget(start, k), first: start, last: k });
        start = k;
      }
    }
    const joint = ways.joiningPoint[c];
    const jointAt = joint < 0 ? -1 : walked.pipes.findIndex((p) => from[p] === joint);

    let shortfall = reached ? 0 : NaN;
    let shortfallFrom = -1;
    let shortfallTo = -1;
    for (let i = 0; i < all && reached; ) {
      if (shape.vertical[walked.pipes[i]]) {
        i++;
        continue;
      }
      let j = i;
      while (j < all && !shape.vertical[walked.pipes[j]]) j++;
      const lack = -budget(i, j).best;
      if (Number.isNaN(lack)) shortfall = NaN;
      else if (lack > Math.max(EPSILON, shortfall)) {
        shortfall = lack;
        shortfallFrom = from[walked.pipes[i]];
        shortfallTo = to[walked.pipes[j - 1]];
      }
      i = j;
    }
    return {
      pathLength,
      hops,
      fall,
      meanGrade: sumRun > 0 ? sumFall / sumRun : NaN,
      leastGrade: Number.isFinite(leastGrade) ? leastGrade : NaN,
      fallBudget: budget(0, all).best,
      reached,
      fallBudgetToJoiningPoint: jointAt > 0 ? budget(0, jointAt).best : NaN,
      stretches,
      shortfall,
      shortfallFrom,
      shortfallTo,
    };
  });
}

/** Length and number of pipes from each node to the end of its main way. */
function sums(net: Compiled, ways: Topology) {
  const length = new Float64Array(net.nodeCount);
  const hops = new Int32Array(net.nodeCount);
  for (const node of alongMainWays(net, ways.next)) {
    const p = ways.next[node];
    if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) continue;
    length[node] = net.length[p] + length[net.to[p]];
    hops[node] = 1 + hops[net.to[p]];
  }
  return { length, hops };
}

interface GravityPart {
  readonly pipes: readonly number[];
  /** position of the pipe that leaves the path's first trap, -1 */
  readonly trap: number;
  /** runs summed: runs[k] = Σ run of the first k pipes */
  readonly runs: readonly number[];
  /** an outlet or a pump stands at its end */
  readonly reached: boolean;
  /** a pump in the coil lifts the water first */
  readonly lifted: boolean;
}

function gravityPart(net: Compiled, shape: Geometry, ways: Topology, c: number): GravityPart {
  const path = ways.path(c);
  const end = ways.toBoundary[c];
  const pipes: number[] = [];
  const runs = [0];
  let trap = -1;
  let lifted = false;
  let stopped = false;
  for (let k = 0; k < end; k++) {
    const p = path[k];
    if (net.role[p] === ROLE.pressure) {
      if (pipes.length === 0) {
        lifted = true;
        continue;
      }
      stopped = true;
      break;
    }
    if (trap < 0 && pipes.length > 0 && net.kind[net.from[p]] === KIND.trap) trap = pipes.length;
    pipes.push(p);
    runs.push(runs[runs.length - 1] + shape.run[p]);
  }
  const last = pipes[pipes.length - 1];
  const kind = last === undefined ? -1 : net.kind[net.to[last]];
  return { pipes, trap, runs, reached: !stopped && (kind === KIND.outlet || kind === KIND.pump), lifted };
}
