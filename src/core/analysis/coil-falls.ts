import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { Profile } from "../profiles/profile.js";
import { EPSILON, type Interval } from "../quantity/interval.js";
import type { CoilFall, Topology } from "./facts.js";
import type { Geometry } from "./geometry.js";
import { alongMainWays, upToPumps } from "./topology.js";
import { dropForBudget } from "./trap-need.js";

/**
 * What lies ahead of each node on its main way, down to the outlet or pump (a boundary). Kept per node and summed from
 * below, so that a coil's budgets are differences and no path is walked twice however deep the main is.
 */
interface Ahead {
  /** to the end of the whole path, through pumps */
  readonly length: Float64Array;
  readonly hops: Int32Array;
  /** pipes down to the boundary */
  readonly steps: Int32Array;
  /** last drain before the boundary, -1: no drain leaves */
  readonly last: Int32Array;
  /** 1 where an outlet or pump stands at that end */
  readonly reached: Uint8Array;
  readonly run: Float64Array;
  readonly slopeFall: Float64Array;
  readonly slopeRun: Float64Array;
  readonly leastGrade: Float64Array;
  /** last pipe of the part without a vertical pipe that begins here, -1 where a vertical pipe leaves */
  readonly pieceLast: Int32Array;
  readonly pieceRun: Float64Array;
  /** where the next such part after this one begins, -1 none */
  readonly nextPiece: Int32Array;
  /** greatest lack of fall among this part and those after it, as far as runs alone ask for fall */
  readonly lack: Float64Array;
  /** where the part that lacks most begins */
  readonly lackAt: Int32Array;
  /** next fixed node on the way, else the end */
  readonly nextFixed: Int32Array;
  /** some main ways run in circles */
  readonly circles: boolean;
}

function lookAhead(net: Compiled, shape: Geometry, ways: Topology, least: number): Ahead {
  const n = net.nodeCount;
  const a = {
    length: new Float64Array(n),
    hops: new Int32Array(n),
    steps: new Int32Array(n),
    last: new Int32Array(n).fill(-1),
    reached: new Uint8Array(n),
    run: new Float64Array(n),
    slopeFall: new Float64Array(n),
    slopeRun: new Float64Array(n),
    leastGrade: new Float64Array(n).fill(Infinity),
    pieceLast: new Int32Array(n).fill(-1),
    pieceRun: new Float64Array(n),
    nextPiece: new Int32Array(n).fill(-1),
    lack: new Float64Array(n),
    lackAt: new Int32Array(n).fill(-1),
    nextFixed: new Int32Array(n).fill(-1),
  };
  const order = alongMainWays(net, ways.next);
  for (const node of order) {
    const p = ways.next[node];
    if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) continue;
    const below = net.to[p];
    a.length[node] = net.length[p] + a.length[below];
    a.hops[node] = 1 + a.hops[below];
  }
  const falling = upToPumps(net, ways.next);
  for (const node of alongMainWays(net, falling)) {
    const p = falling[node];
    if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) continue;
    const below = net.to[p];
    a.steps[node] = 1 + a.steps[below];
    if (net.role[p] !== ROLE.drain) continue;
    const isEnd = net.kind[below] === KIND.outlet || net.kind[below] === KIND.pump;
    const onward = !isEnd && a.last[below] >= 0;
    const steep = shape.vertical[p] === 1;
    a.last[node] = onward ? a.last[below] : p;
    a.reached[node] = onward ? a.reached[below] : isEnd ? 1 : 0;
    a.run[node] = shape.run[p] + (onward ? a.run[below] : 0);
    a.slopeFall[node] = (steep ? 0 : shape.fall[p]) + (onward ? a.slopeFall[below] : 0);
    a.slopeRun[node] = (steep ? 0 : shape.run[p]) + (onward ? a.slopeRun[below] : 0);
    a.leastGrade[node] = Math.min(steep ? Infinity : shape.grade[p], onward ? a.leastGrade[below] : Infinity);
    a.nextFixed[node] = onward && !net.nodes[below].fixed ? a.nextFixed[below] : below;
    const joins = onward && a.pieceLast[below] >= 0;
    if (steep) a.nextPiece[node] = joins ? below : onward ? a.nextPiece[below] : -1;
    else {
      a.pieceLast[node] = joins ? a.pieceLast[below] : p;
      a.pieceRun[node] = shape.run[p] + (joins ? a.pieceRun[below] : 0);
      const next = onward ? a.nextPiece[below] : -1;
      a.nextPiece[node] = next;
      const own = a.pieceRun[node] * least - (net.fromInvert[p] - net.toInvert[a.pieceLast[node]]);
      const after = next < 0 ? 0 : a.lack[next];
      a.lack[node] = Math.max(own, after);
      a.lackAt[node] = own >= after ? node : a.lackAt[next];
    }
  }
  return { ...a, circles: order.length < n };
}

const UNKNOWN: Interval = { low: NaN, best: NaN, high: NaN };

/** For each coil the fall of its path to the outlet or pump, against what the path needs there. */
export function coilFalls(net: Compiled, profile: Profile, shape: Geometry, ways: Topology, least: number): CoilFall[] {
  const ahead = lookAhead(net, shape, ways, least);
  return Array.from(net.coils, (_, c) =>
    ways.intoCycle[net.coils[c]] ? fallIntoCycle(net, shape, ways, c) : fallOf(net, profile, ways, ahead, least, c),
  );
}

function fallOf(net: Compiled, profile: Profile, ways: Topology, ahead: Ahead, least: number, c: number): CoilFall {
  const { from, to, fromInvert, toInvert, z, tolerance: tol } = net;
  const coil = net.coils[c];
  // A pump inside the coil lifts the water first; what falls by gravity begins where its discharge ends.
  let start = coil;
  while (ways.next[start] >= 0 && net.role[ways.next[start]] === ROLE.pressure && net.kind[start] !== KIND.pump)
    start = to[ways.next[start]];
  const lifted = start !== coil;
  const last = net.kind[start] === KIND.pump ? -1 : ahead.last[start];
  const reached = last >= 0 && ahead.reached[start] === 1;
  const position = (node: number) => ahead.steps[coil] - ahead.steps[node];
  const end = last < 0 ? -1 : to[last];

  const firstTrap = ways.firstTrap[c];
  const sameFall = firstTrap >= 0 && ways.boundary[firstTrap] === ways.boundary[coil];
  const trap = last >= 0 && sameFall && position(firstTrap) <= position(from[last]) ? firstTrap : -1;
  const needed = lifted ? 0 : dropForBudget(net.nodes[coil].coil!, trap < 0 ? null : net.nodes[trap].trap, profile);
  const runFrom = (node: number) => (node === end ? 0 : ahead.run[node]);

  /** budget of the part from node a to the to end of pipe b */
  const budget = (a: number, b: number): Interval => {
    if (!reached) return UNKNOWN;
    const first = ways.next[a];
    const holdsTrap = trap >= 0 && position(a) <= position(trap) && position(trap) <= position(from[b]);
    let drop = 0;
    if (holdsTrap || (trap < 0 && a === start))
      drop = a === start ? needed : Math.max(0, needed - (z[coil] - fromInvert[first]));
    const whole = runFrom(a) - runFrom(to[b]);
    const above = holdsTrap ? (runFrom(a) - runFrom(trap)) * least : 0;
    const best = fromInvert[first] - toInvert[b] - Math.max(drop, above) - (whole * least - above);
    const half = tol[from[first]] + tol[to[b]];
    return { low: best - half, best, high: best + half };
  };
  /** the pipe of the way that ends at a node */
  const entering = (a: number, node: number): number => {
    if (node === end) return last;
    let at = a;
    while (to[ways.next[at]] !== node) at = to[ways.next[at]];
    return ways.next[at];
  };

  const stretches: CoilFall["stretches"][number][] = [];
  for (let a = start; last >= 0; ) {
    const b = ahead.nextFixed[a];
    const lastPipe = entering(a, b);
    stretches.push({
      from: a,
      to: b,
      budget: budget(a, lastPipe),
      first: position(a),
      last: position(from[lastPipe]) + 1,
    });
    if (b === end) break;
    a = b;
  }

  const joint = ways.joiningPoint[c];
  const joins =
    joint >= 0 &&
    last >= 0 &&
    ways.boundary[joint] === ways.boundary[coil] &&
    position(joint) > position(start) &&
    position(joint) <= position(from[last]);

  let shortfall = reached ? 0 : NaN;
  let at = -1;
  let piece = last < 0 ? -1 : ahead.pieceLast[start] >= 0 ? start : ahead.nextPiece[start];
  for (; reached && piece >= 0; piece = ahead.nextPiece[piece]) {
    // Beyond the trap only runs ask for fall, and that has been looked up from below.
    const plain = trap >= 0 ? position(piece) > position(trap) : piece !== start;
    const lack = plain ? ahead.lack[piece] : -budget(piece, ahead.pieceLast[piece]).best;
    if (Number.isNaN(lack)) shortfall = NaN;
    else if (lack > Math.max(EPSILON, shortfall)) {
      shortfall = lack;
      at = plain ? ahead.lackAt[piece] : piece;
    }
    if (plain) break;
  }
  // Behind a pump a path may still run in circles: then it is walked, up to the first node met twice.
  const circles = ahead.circles && ways.outlet[coil] < 0 ? ways.path(c) : null;
  return {
    pathLength: circles === null ? ahead.length[coil] : circles.reduce((sum, p) => sum + net.length[p], 0),
    hops: circles === null ? ahead.hops[coil] : circles.length,
    fall: last < 0 ? NaN : fromInvert[ways.next[start]] - toInvert[last],
    meanGrade: last >= 0 && ahead.slopeRun[start] > 0 ? ahead.slopeFall[start] / ahead.slopeRun[start] : NaN,
    leastGrade: last >= 0 && ahead.leastGrade[start] < Infinity ? ahead.leastGrade[start] : NaN,
    reached,
    fallBudget: last < 0 ? NaN : budget(start, last).best,
    fallBudgetToJoiningPoint: joins ? budget(start, entering(start, joint)).best : NaN,
    stretches,
    shortfall,
    shortfallFrom: at,
    shortfallTo: at < 0 ? -1 : to[ahead.pieceLast[at]],
  };
}

/** A path that runs in circles has a length and grades, but no budget. */
function fallIntoCycle(net: Compiled, shape: Geometry, ways: Topology, c: number): CoilFall {
  const pipes = ways.path(c);
  const drains = pipes.subarray(0, ways.toBoundary[c]).filter((p) => net.role[p] === ROLE.drain);
  const sloping = drains.filter((p) => !shape.vertical[p]);
  const run = sloping.reduce((sum, p) => sum + shape.run[p], 0);
  return {
    pathLength: pipes.reduce((sum, p) => sum + net.length[p], 0),
    hops: pipes.length,
    fall: drains.length === 0 ? NaN : net.fromInvert[drains[0]] - net.toInvert[drains[drains.length - 1]],
    meanGrade: run > 0 ? sloping.reduce((sum, p) => sum + shape.fall[p], 0) / run : NaN,
    leastGrade: sloping.length === 0 ? NaN : sloping.reduce((least, p) => Math.min(least, shape.grade[p]), Infinity),
    reached: false,
    fallBudget: NaN,
    fallBudgetToJoiningPoint: NaN,
    stretches: [],
    shortfall: NaN,
    shortfallFrom: -1,
    shortfallTo: -1,
  };
}
