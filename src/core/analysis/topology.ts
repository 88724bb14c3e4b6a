import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { StandingWater, Topology } from "./facts.js";
import { mainWay } from "./pools.js";

/** Ways of the water: main ways, outlets, what is common to several coils, and what leads nowhere. */
export function topology(net: Compiled, water: Pick<StandingWater, "level">): Topology {
  const n = net.nodeCount;
  const m = net.pipeCount;
  const { from, to, role, kind } = net;
  const next = new Int32Array(n);
  for (let i = 0; i < n; i++) next[i] = kind[i] === KIND.outlet ? -1 : mainWay(net, water, i);
  const carries = (p: number) => role[p] === ROLE.drain || role[p] === ROLE.pressure;

  const intoCycle = endsInCycle(net);
  const { outlet, boundary } = endings(net, next);

  // Coils per pipe: each coil's water follows the main ways. Counted from the top down along them.
  const coilsAbove = coilsAlong(net, next, carries);
  const common = new Uint8Array(m);
  for (let p = 0; p < m; p++) common[p] = coilsAbove[p] >= 2 ? 1 : 0;

  const path = (coil: number): Int32Array => {
    const pipes: number[] = [];
    const met = new Set<number>();
    let node = net.coils[coil];
    while (!met.has(node)) {
      met.add(node);
      const p = next[node];
      if (p < 0 || !carries(p)) break;
      pipes.push(p);
      node = to[p];
    }
    return Int32Array.from(pipes);
  };

  // What lies ahead of each node on its main way. Paths into a cycle are walked one by one: they are faults, and rare.
  const firstTrapFrom = new Int32Array(n).fill(-1);
  const firstCommonFrom = new Int32Array(n).fill(-1);
  const order = alongMainWays(net, next);
  for (const node of order) {
    const p = next[node];
    if (p < 0 || !carries(p)) continue;
    const below = to[p];
    firstTrapFrom[node] = kind[below] === KIND.trap ? below : firstTrapFrom[below];
    firstCommonFrom[node] = common[p] ? node : firstCommonFrom[below];
  }
  const hopsToBoundary = new Int32Array(n);
  const falling = upToPumps(net, next);
  for (const node of alongMainWays(net, falling)) {
    const p = falling[node];
    if (p >= 0 && carries(p)) hopsToBoundary[node] = 1 + hopsToBoundary[to[p]];
  }
  const count = net.coils.length;
  const joiningPoint = new Int32Array(count).fill(-1);
  const firstTrap = new Int32Array(count).fill(-1);
  const toBoundary = new Int32Array(count);
  for (let c = 0; c < count; c++) {
    const node = net.coils[c];
    if (!intoCycle[node] && (order.length === n || outlet[node] >= 0)) {
      joiningPoint[c] = firstCommonFrom[node];
      firstTrap[c] = firstTrapFrom[node];
      toBoundary[c] = hopsToBoundary[node];
      continue;
    }
    const pipes = path(c);
    toBoundary[c] = pipes.length;
    for (const p of pipes) {
      if (joiningPoint[c] < 0 && common[p]) joiningPoint[c] = from[p];
      if (firstTrap[c] < 0 && kind[to[p]] === KIND.trap) firstTrap[c] = to[p];
    }
    const end = pipes.findIndex((p) => kind[to[p]] === KIND.pump || kind[to[p]] === KIND.outlet);
    if (end >= 0) toBoundary[c] = end + 1;
  }

  const splits: number[] = [];
  const orphans: number[] = [];
  for (let i = 0; i < n; i++) {
    if (rowLength(net.drainsOut, i) > 1) splits.push(i);
    if (rowLength(net.ends, i) === 0) orphans.push(i);
  }
  return {
    next,
    outlet,
    boundary,
    coilsAbove,
    common,
    path,
    toBoundary,
    joiningPoint,
    traps: (coil) => Int32Array.from(Array.from(path(coil), (p) => to[p]).filter((node) => kind[node] === KIND.trap)),
    firstTrap,
    splits,
    orphans,
    deadLegs: deadLegs(net),
    cycles: net.cycles,
    intoCycle,
  };
}

/** The main ways as far as the fall goes: none leads out of a pump. */
export const upToPumps = (net: Compiled, next: Int32Array): Int32Array =>
  net.kind.includes(KIND.pump) ? next.map((p, i) => (net.kind[i] === KIND.pump ? -1 : p)) : next;

/** Nodes with the node that their main way leads to before them; nodes on a cycle of main ways are left out. */
export function alongMainWays(net: Compiled, next: Int32Array): Int32Array {
  const n = net.nodeCount;
  const entering = new Int32Array(n);
  for (let i = 0; i < n; i++) if (next[i] >= 0) entering[net.to[next[i]]]++;
  const order = new Int32Array(n);
  let head = 0;
  let tail = 0;
  for (let i = 0; i < n; i++) if (entering[i] === 0) order[tail++] = i;
  while (head < tail) {
    const p = next[order[head++]];
    if (p >= 0 && --entering[net.to[p]] === 0) order[tail++] = net.to[p];
  }
  return order.subarray(0, tail).reverse();
}

/** On a cycle, or with every way out leading only into one. */
function endsInCycle(net: Compiled): Uint8Array {
  const into = Uint8Array.from(net.onCycle);
  if (net.cycles.length === 0) return into;
  // A node waits for its ways out; it is lost when all of them are.
  const waiting = new Int32Array(net.nodeCount);
  for (let i = 0; i < net.nodeCount; i++) waiting[i] = rowLength(net.waysOut, i);
  const above = new Map<number, number[]>();
  for (let i = 0; i < net.nodeCount; i++)
    for (let k = net.waysOut.start[i]; k < net.waysOut.start[i + 1]; k++) {
      const below = net.to[net.waysOut.list[k]];
      const list = above.get(below);
      if (list) list.push(i);
      else above.set(below, [i]);
    }
  const stack = net.cycles.flat();
  while (stack.length > 0) {
    const node = stack.pop()!;
    // What is above a pump does not depend on what is below it.
    if (net.kind[node] === KIND.pump) continue;
    for (const up of above.get(node) ?? []) {
      if (--waiting[up] === 0 && !into[up] && net.kind[up] !== KIND.pump) {
        into[up] = 1;
        stack.push(up);
      }
    }
  }
  return into;
}

/** The outlet that each node's water reaches (through pumps), and the outlet or pump that it reaches first. */
function endings(net: Compiled, next: Int32Array) {
  const outlet = new Int32Array(net.nodeCount).fill(-1);
  const boundary = new Int32Array(net.nodeCount).fill(-1);
  for (const node of alongMainWays(net, next)) {
    // Nothing that leads into a loop is said to reach an outlet, even where the loop has a way out.
    if (net.kind[node] === KIND.outlet) outlet[node] = node;
    else if (next[node] >= 0 && !net.onCycle[node]) outlet[node] = outlet[net.to[next[node]]];
  }
  const falling = upToPumps(net, next);
  for (const node of alongMainWays(net, falling)) {
    if (net.kind[node] === KIND.outlet || net.kind[node] === KIND.pump) boundary[node] = node;
    else if (falling[node] >= 0) boundary[node] = boundary[net.to[falling[node]]];
  }
  return { outlet, boundary };
}

function coilsAlong(net: Compiled, next: Int32Array, carries: (p: number) => boolean): Int32Array {
  const above = new Int32Array(net.pipeCount);
  const arriving = new Int32Array(net.nodeCount);
  const order = alongMainWays(net, next);
  const placed = new Uint8Array(net.nodeCount);
  for (let k = order.length - 1; k >= 0; k--) {
    const node = order[k];
    placed[node] = 1;
    const here = arriving[node] + (net.kind[node] === KIND.coil ? 1 : 0);
    const p = next[node];
    if (p < 0 || !carries(p)) continue;
    above[p] = here;
    arriving[net.to[p]] += here;
  }
  // A loop of main ways: whatever enters it goes all the way round.
  const done = new Uint8Array(net.nodeCount);
  for (let i = 0; i < net.nodeCount; i++) {
    if (placed[i] || done[i]) continue;
    const loop: number[] = [];
    for (let node = i; !done[node]; node = net.to[next[node]]) {
      done[node] = 1;
      loop.push(node);
    }
    const all = loop.reduce((sum, node) => sum + arriving[node] + (net.kind[node] === KIND.coil ? 1 : 0), 0);
    for (const node of loop) above[next[node]] = all;
  }
  return above;
}

/**
 * Drains that nothing feeds: no coil above, and no cleanout, vent, pump or stub for later at the start or above it. A
 * start that carries its own vent or cleanout stub counts as one.
 */
function deadLegs(net: Compiled): number[] {
  const fed = new Uint8Array(net.nodeCount);
  const stack: number[] = [];
  const feed = (node: number) => {
    if (!fed[node]) {
      fed[node] = 1;
      stack.push(node);
    }
  };
  for (let i = 0; i < net.nodeCount; i++) {
    const kind = net.kind[i];
    if (kind === KIND.coil || kind === KIND.cleanout || kind === KIND.vent || kind === KIND.pump || net.nodes[i].future)
      feed(i);
  }
  for (let p = 0; p < net.pipeCount; p++)
    if (net.role[p] === ROLE.vent || net.role[p] === ROLE.access) feed(net.from[p]);
  while (stack.length > 0) {
    const node = stack.pop()!;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      const role = net.role[end >> 1];
      if (!(end & 1) && (role === ROLE.drain || role === ROLE.pressure)) feed(net.to[end >> 1]);
    }
  }
  const dead: number[] = [];
  for (let p = 0; p < net.pipeCount; p++) if (net.role[p] === ROLE.drain && !fed[net.from[p]]) dead.push(p);
  return dead;
}
