import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { isMetricPlastic } from "../materials/materials.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { atMost, EPSILON } from "../quantity/interval.js";
import { coilFalls } from "./coil-falls.js";
import type { BackFall, FallFacts, Run, Topology } from "./facts.js";
import type { Geometry } from "./geometry.js";

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
  if (a.size !== null && b.size !== null && isMetricPlastic(a.material) === isMetricPlastic(b.material))
    return a.size === b.size;
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
