import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { ownNominal } from "../materials/materials.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { atLeast, atMost, EPSILON } from "../quantity/interval.js";
import type {
  AccessFacts,
  AccessGap,
  AccessPlace,
  AccessPoint,
  DrainLine,
  Reach,
  Readings,
  Topology,
  ZoneFacts,
} from "./facts.js";
import type { Geometry } from "./geometry.js";

/**
 * Where a drain can be worked from, and what a tool fed in there reaches within the profile's length and turns.
 *
 * A tool goes along drains, up or down, out of the point's own vent or stub. Its turns are those of the drains that it
 * passes: a bend's angle; 90° between an upright pipe and a sloping one; at a junction 45° from a wye's branch down its run
 * and 135° up it, 90° at every other fitting, nothing straight through, the run being the drain that leaves and the widest
 * that enters; at a trap what its shape asks, 360° between level pipes, 90° less where one enters from above. The fitting
 * at the point itself is made for the tool and costs no turn. Nothing passes a coil, a pump or a trap that is a valve.
 */
export function access(
  net: Compiled,
  profile: Profile,
  shape: Geometry,
  ways: Topology,
  zones: ZoneFacts,
): AccessFacts {
  const points = pointsOf(net);
  const turns = turnsOf(net, shape, ways);
  const stubs = stubsOf(net, shape, ways);
  const isDoubtful = turns.unknownBends.length > 0 || stubs.anyUnknown;
  const readings = (
    sure: readonly AccessPoint[],
    possible: readonly AccessPoint[],
    limits: Pick<Reach, "length" | "turn">,
    code: boolean,
  ): Readings<Reach> => {
    const read = (from: readonly AccessPoint[], favorably: boolean) =>
      search(net, shape, turns, startsOf(net, stubs, from, !favorably), limits, code, favorably);
    const surely = read(sure, false);
    return { sure: surely, possible: isDoubtful || sure.length < possible.length ? read(possible, true) : surely };
  };
  const tool = { length: limitOf(profile, "access.reach").value, turn: limitOf(profile, "access.reachTurn").value };
  const spacing = {
    length: limitOf(profile, "access.maximumLength").value,
    turn: limitOf(profile, "access.maximumTurn").value,
  };
  const certain = points.filter((point) => point.certain);
  const zoneOf = (point: AccessPoint) => zones.node[point.node];
  const { lines, lineOf } = linesOf(net, ways);
  return {
    points,
    lines,
    lineOf,
    any: readings(certain, points, tool, false),
    common: zones.given
      ? readings(
          certain.filter((point) => zoneOf(point).stated && zoneOf(point).zone === "common"),
          points.filter((point) => !(zoneOf(point).stated && zoneOf(point).zone === "private")),
          tool,
          false,
        )
      : null,
    spaced: profile.cleanoutSpacing ? readings(certain, points, spacing, true) : null,
    isSpaced: onLowestFloor(net, shape),
    gap: (line, reach, asked) => gapOf(net, turns, lines[line], reach, asked),
    places: (line, reach, asked) => (reach.length > 0 ? places(net, shape, turns, lines[line], reach, asked) : []),
    unknownBends: turns.unknownBends,
  };
}

/** Nodes from which somebody can work, one point each: made for it, or open, or comes apart. */
function pointsOf(net: Compiled): AccessPoint[] {
  const points: AccessPoint[] = [];
  net.nodes.forEach((node, i) => {
    if (node.accessible === false) return;
    const add = (kind: AccessPoint["kind"], certain = true) => points.push({ node: i, kind, certain });
    const connection = node.outlet?.connection;
    if (net.kind[i] === KIND.cleanout) add("cleanout");
    else if (node.removable) add("removable");
    else if (net.kind[i] === KIND.coil) add("pan-outlet");
    else if (net.kind[i] === KIND.vent) add("vent");
    else if (net.kind[i] === KIND.outlet && node.outlet!.receptor?.accessible !== false)
      if (connection === "air-gap" || connection === null) add("free-end", connection !== null);
  });
  return points;
}

/**
 * Chains of drains: where several enter a node, the one with the most coils above goes on (then first in order) and the
 * others end there; a second drain that leaves begins one. A loop is one, from its first pipe on.
 */
function linesOf(net: Compiled, ways: Topology): Pick<AccessFacts, "lines" | "lineOf"> {
  const { to, role, kind, drainsOut } = net;
  const parts = (i: number) =>
    kind[i] === KIND.coil || kind[i] === KIND.trap || kind[i] === KIND.pump || kind[i] === KIND.outlet;
  const largest = new Int32Array(net.nodeCount).fill(-1);
  for (let p = 0; p < net.pipeCount; p++) {
    if (role[p] !== ROLE.drain || parts(to[p])) continue;
    const known = largest[to[p]];
    if (known < 0 || ways.coilsAbove[p] > ways.coilsAbove[known]) largest[to[p]] = p;
  }
  const follower = new Int32Array(net.pipeCount).fill(-1);
  const follows = new Uint8Array(net.pipeCount);
  for (let node = 0; node < net.nodeCount; node++) {
    if (largest[node] < 0 || drainsOut.start[node] === drainsOut.start[node + 1]) continue;
    const way = ways.next[node];
    const next = way >= 0 && role[way] === ROLE.drain ? way : drainsOut.list[drainsOut.start[node]];
    follower[largest[node]] = next;
    follows[next] = 1;
  }
  const lines: DrainLine[] = [];
  const lineOf = new Int32Array(net.pipeCount).fill(-1);
  const begin = (first: number) => {
    const pipes: number[] = [];
    let length = 0;
    for (let p = first; p >= 0 && lineOf[p] < 0; p = follower[p]) {
      lineOf[p] = lines.length;
      pipes.push(p);
      length += net.length[p];
    }
    lines.push({ pipes, length });
  };
  for (let p = 0; p < net.pipeCount; p++) if (role[p] === ROLE.drain && !follows[p]) begin(p);
  for (let p = 0; p < net.pipeCount; p++) if (role[p] === ROLE.drain && lineOf[p] < 0) begin(p);
  return { lines, lineOf };
}

/** How a drain leaves a node: upright, or sloping as the run below, the run above or a branch. */
const WAY = { up: 0, down: 1, out: 2, straight: 3, branch: 4 } as const;

interface Turns {
  /** end → WAY */
  readonly way: Uint8Array;
  /** degrees between two ways at a node; `possible`: with an unknown bend as none */
  readonly between: (node: number, a: number, b: number, possible: boolean) => number;
  readonly unknownBends: readonly number[];
}

function turnsOf(net: Compiled, shape: Geometry, ways: Topology): Turns {
  const { from, to, role, kind, nodes } = net;
  const way = new Uint8Array(2 * net.pipeCount);
  const straight = straightIn(net, shape, ways);
  for (let end = 0; end < way.length; end++) {
    const p = end >> 1;
    const node = end & 1 ? to[p] : from[p];
    const leaves = (end & 1) === 0;
    if (role[p] !== ROLE.drain) continue;
    if (shape.vertical[p]) {
      // Of a trap the side counts, whichever way the pipe leads.
      const goesDown = kind[node] === KIND.trap ? leaves : shape.fall[p] > 0 === leaves;
      way[end] = goesDown ? WAY.down : WAY.up;
    } else if (leaves) way[end] = ways.next[node] === p ? WAY.out : WAY.branch;
    else way[end] = kind[node] === KIND.trap || straight[node] === p ? WAY.straight : WAY.branch;
  }
  const alongRun = new Float64Array(net.nodeCount);
  const unknownBends: number[] = [];
  for (let i = 0; i < net.nodeCount; i++) {
    const plan = planTurn(net, i, straight[i], ways.next[i]);
    const stated = nodes[i].angle;
    if (kind[i] === KIND.bend && stated === null && Number.isNaN(plan)) unknownBends.push(i);
    alongRun[i] = stated ?? (Number.isNaN(plan) ? (kind[i] === KIND.bend ? Number.NaN : 0) : plan);
  }
  const between = (node: number, a: number, b: number, possible: boolean): number => {
    switch (kind[node]) {
      case KIND.coil:
      case KIND.pump:
      case KIND.outlet:
        return Number.POSITIVE_INFINITY;
      case KIND.trap:
        return throughTrap(nodes[node].trap!.sealType, a, b);
      default:
    }
    const bend = Number.isNaN(alongRun[node]) ? (possible ? 0 : 90) : alongRun[node];
    const upright = (w: number) => w === WAY.up || w === WAY.down;
    if (upright(a) && upright(b)) return a === b ? 180 : kind[node] === KIND.bend ? bend : 0;
    if (upright(a) || upright(b)) return kind[node] === KIND.bend ? bend : 90;
    const run = (w: number) => w === WAY.out || w === WAY.straight;
    if (run(a) && run(b)) return bend;
    if (nodes[node].fitting !== "wye") return 90;
    return a === WAY.out || b === WAY.out ? 45 : a === WAY.straight || b === WAY.straight ? 135 : 90;
  };
  return { way, between, unknownBends };
}

/** Down the inlet leg, round the dip, up the outlet leg and out: 90° at either level end, 180° where the way out drops. */
function throughTrap(sealType: string, a: number, b: number): number {
  const isInlet = (w: number) => w === WAY.up || w === WAY.straight;
  if (isInlet(a) === isInlet(b)) return 90;
  if (sealType !== "water") return Number.POSITIVE_INFINITY;
  const [inlet, outlet] = isInlet(a) ? [a, b] : [b, a];
  return (inlet === WAY.up ? 0 : 90) + 180 + (outlet === WAY.down ? 180 : 90);
}

/** Node → the sloping drain that enters it in line with its run: the widest, then the one with the most coils above, -1. */
function straightIn(net: Compiled, shape: Geometry, ways: Topology): Int32Array {
  const straight = new Int32Array(net.nodeCount).fill(-1);
  const size = (p: number) => net.pipes[p].size ?? (Number.isNaN(shape.bore[p]) ? 0 : shape.bore[p] * 1000);
  for (let p = 0; p < net.pipeCount; p++) {
    if (net.role[p] !== ROLE.drain || shape.vertical[p]) continue;
    const node = net.to[p];
    const known = straight[node];
    const isWider =
      known < 0 || size(p) > size(known) || (size(p) === size(known) && ways.coilsAbove[p] > ways.coilsAbove[known]);
    if (isWider) straight[node] = p;
  }
  return straight;
}

/** Change of direction in plan between the drain that enters in line and the one that leaves, degrees; NaN not known. */
function planTurn(net: Compiled, node: number, enters: number, leaves: number): number {
  if (enters < 0 || leaves < 0) return Number.NaN;
  const [a, b, c] = [net.nodes[net.from[enters]], net.nodes[node], net.nodes[net.to[leaves]]];
  const [inX, inY] = [(b.x ?? NaN) - (a.x ?? NaN), (b.y ?? NaN) - (a.y ?? NaN)];
  const [outX, outY] = [(c.x ?? NaN) - (b.x ?? NaN), (c.y ?? NaN) - (b.y ?? NaN)];
  if (!(Math.hypot(inX, inY) > EPSILON && Math.hypot(outX, outY) > EPSILON)) return Number.NaN;
  return (Math.abs(Math.atan2(inX * outY - inY * outX, inX * outX + inY * outY)) * 180) / Math.PI;
}

/** Where tools are fed into the drains: for each node and side of it, the nearest point and its distance through its stub. */
interface Starts {
  /** node·2 for the drains that leave it, node·2 + 1 for those that enter it → the point, -1 none */
  readonly point: Int32Array;
  readonly length: Float64Array;
}

/**
 * Brings the points to the drains. A cleanout or a vent at the end of a stub feeds into the drain at its foot; a vent only
 * where no part of it is narrower than that. On a trap a stub that leaves it feeds its outlet side, one that enters it the
 * other. `sure`: a size that nobody gave is too narrow.
 */
function startsOf(net: Compiled, stubs: Stubs, points: readonly AccessPoint[], sure: boolean): Starts {
  const { role, kind, from } = net;
  const point = new Int32Array(2 * net.nodeCount).fill(-1);
  const length = new Float64Array(2 * net.nodeCount);
  const set = (slot: number, by: number, long: number) => {
    if (point[slot] >= 0 && length[slot] <= long) return;
    point[slot] = by;
    length[slot] = long;
  };
  for (const { node, kind: by } of points) {
    if (by !== "free-end") set(2 * node, node, 0);
    if (by !== "pan-outlet") set(2 * node + 1, node, 0);
    if (by !== "vent" && by !== "cleanout") continue;
    // Up the stubs to the drains on which they stand; where several ways lead there, each pipe once.
    const waiting: { at: number; long: number; narrowest: number }[] = [{ at: node, long: 0, narrowest: -1 }];
    const met = new Set<number>();
    for (let each = waiting.pop(); each !== undefined; each = waiting.pop())
      for (let k = net.ends.start[each.at]; k < net.ends.start[each.at + 1]; k++) {
        const end = net.ends.list[k];
        const p = end >> 1;
        if ((end & 1) === 0 || met.has(p) || (role[p] !== ROLE.vent && role[p] !== ROLE.access)) continue;
        met.add(p);
        const foot = from[p];
        const long = each.long + net.length[p];
        const narrowest =
          role[p] === ROLE.access || (each.narrowest >= 0 && stubs.fits(p, each.narrowest, true)) ? each.narrowest : p;
        const run = stubs.run(foot);
        if (run < 0) waiting.push({ at: foot, long, narrowest });
        else if (narrowest < 0 || stubs.fits(narrowest, run, !sure)) {
          set(2 * foot, node, long);
          if (kind[foot] !== KIND.trap) set(2 * foot + 1, node, long);
        }
      }
  }
  return { point, length };
}

interface Stubs {
  /** the drain whose size a stub at a node must have: the one that leaves, else the widest that enters; -1: no drain there */
  readonly run: (node: number) => number;
  /** whether what fits `b` goes through `a`; `unknown` where a size is not known */
  readonly fits: (a: number, b: number, unknown: boolean) => boolean;
  /** some vent or its drain has no known size */
  readonly anyUnknown: boolean;
}

function stubsOf(net: Compiled, shape: Geometry, ways: Topology): Stubs {
  const { role, drainsOut, drainsIn } = net;
  const nominal = (p: number) => ownNominal(net.pipes[p]);
  const fits = (a: number, b: number, unknown: boolean): boolean => {
    const [own, other] = [nominal(a), nominal(b)];
    if (own >= other || own < other) return own >= other;
    // Bores of unlike systems are taken as equal within a tenth.
    const [here, there] = [shape.bore[a], shape.bore[b]];
    return Number.isNaN(here) || Number.isNaN(there) ? unknown : atLeast(here, 0.9 * there);
  };
  const run = (node: number): number => {
    const next = ways.next[node];
    if (next >= 0 && role[next] === ROLE.drain) return next;
    if (drainsOut.start[node] < drainsOut.start[node + 1]) return drainsOut.list[drainsOut.start[node]];
    let widest = -1;
    for (let k = drainsIn.start[node]; k < drainsIn.start[node + 1]; k++)
      if (widest < 0 || !fits(widest, drainsIn.list[k], true)) widest = drainsIn.list[k];
    return widest;
  };
  let anyUnknown = false;
  for (let p = 0; p < net.pipeCount && !anyUnknown; p++) {
    if (role[p] !== ROLE.vent) continue;
    const foot = run(net.from[p]);
    anyUnknown = fits(p, foot < 0 ? p : foot, true) !== fits(p, foot < 0 ? p : foot, false);
  }
  return { run, fits, anyUnknown };
}

/** Of the ways of trading length for turns that lead into a pipe, so many are followed, the nearest. */
const MOST_LABELS = 16;

/**
 * Follows tools from every start down the drains, then up them. Into the pipes that leave (or enter) a node by one way the
 * same tools come, so they are kept once: a list of labels from the nearest on, each with fewer turns than the one before.
 * Down, a tool comes from the pipes that enter; up, from those that leave and from the others that enter. (Nothing turns
 * from one drain that leaves a node into another, nor goes round a loop.) `code`: only down, and only turns between
 * sloping drains count.
 */
function search(
  net: Compiled,
  shape: Geometry,
  turns: Turns,
  starts: Starts,
  limits: Pick<Reach, "length" | "turn">,
  code: boolean,
  possible: boolean,
): Reach {
  const reach = follow(net, shape, turns, starts, limits, code, possible, null);
  let traced: ((end: number) => number[]) | null = null;
  return {
    ...reach,
    route: (end) => {
      if (traced === null) {
        const nodes: number[] = [];
        traced = follow(net, shape, turns, starts, limits, code, possible, nodes).route;
      }
      return traced(end);
    },
  };
}

/** The work of `search`; with `trace`, a list to fill with the node of each label, routes can be told. */
function follow(
  net: Compiled,
  shape: Geometry,
  turns: Turns,
  starts: Starts,
  limits: Pick<Reach, "length" | "turn">,
  code: boolean,
  possible: boolean,
  trace: number[] | null,
): Reach {
  const { role, kind, drainsIn, drainsOut } = net;
  const { vertical } = shape;
  const { way } = turns;
  const farthest = Math.max(limits.length + EPSILON, limits.length * (1 + 1e-9));
  const most = Math.max(limits.turn + EPSILON, limits.turn * (1 + 1e-9));

  // Lists of labels, one after the other; `lists` says where that of an end begins, `counts` how long it is.
  let room = 2 * net.nodeCount + 64;
  let used = 0;
  let long = new Float64Array(room);
  let turned = new Float64Array(room);
  let source = new Int32Array(room);
  let previous = new Int32Array(room);
  const lists = new Int32Array(2 * net.pipeCount);
  const counts = new Uint8Array(2 * net.pipeCount);

  // The list in the making: least length first, turns falling. `draftVia` is the pipe end by which the tool came, -1 none.
  const draftLong = new Float64Array(MOST_LABELS + 1);
  const draftTurned = new Float64Array(MOST_LABELS + 1);
  const draftSource = new Int32Array(MOST_LABELS + 1);
  const draftPrevious = new Int32Array(MOST_LABELS + 1);
  const draftVia = new Int32Array(MOST_LABELS + 1);
  let drafted = 0;
  const offer = (l: number, t: number, by: number, before: number, via: number): void => {
    if (!(l <= farthest && t <= most)) return;
    let i = drafted;
    while (i > 0 && (draftLong[i - 1] > l || (draftLong[i - 1] === l && draftTurned[i - 1] > t))) i--;
    if (i > 0 && draftTurned[i - 1] <= t) return;
    let j = i;
    while (j < drafted && draftTurned[j] >= t) j++;
    if (j !== i + 1) {
      draftLong.copyWithin(i + 1, j, drafted);
      draftTurned.copyWithin(i + 1, j, drafted);
      draftSource.copyWithin(i + 1, j, drafted);
      draftPrevious.copyWithin(i + 1, j, drafted);
      draftVia.copyWithin(i + 1, j, drafted);
    }
    drafted = Math.min(MOST_LABELS, drafted + i + 1 - j);
    draftLong[i] = l;
    draftTurned[i] = t;
    draftSource[i] = by;
    draftPrevious[i] = before;
    draftVia[i] = via;
  };
  /** tools that come to a node out of a pipe's end, on into pipes of another way */
  const arrive = (node: number, out: number, into: number): void => {
    const count = counts[out ^ 1];
    if (count === 0) return;
    const turn = turns.between(node, way[out], into, possible);
    const isUpright = vertical[out >> 1] === 1 || into === WAY.up || into === WAY.down;
    const isFree = code && isUpright && kind[node] !== KIND.trap && turn !== Number.POSITIVE_INFINITY;
    const first = lists[out ^ 1];
    const length = net.length[out >> 1];
    for (let l = first; l < first + count; l++)
      offer(long[l] + length, turned[l] + (isFree ? 0 : turn), source[l], l, out);
  };
  /** drafts what comes into the drains of one way at a node, but for what came by the end `skip` */
  const draft = (node: number, side: 0 | 1, into: number, skip: number): void => {
    drafted = 0;
    const slot = 2 * node + side;
    if (starts.point[slot] >= 0) {
      offer(starts.length[slot], 0, starts.point[slot], -1, -1);
      if (starts.length[slot] === 0) return;
    }
    if (kind[node] === KIND.coil || kind[node] === KIND.pump || kind[node] === KIND.outlet) return;
    for (let k = drainsIn.start[node]; k < drainsIn.start[node + 1]; k++) {
      const out = 2 * drainsIn.list[k] + 1;
      if (out !== skip) arrive(node, out, into);
    }
    if (side === 1)
      for (let k = drainsOut.start[node]; k < drainsOut.start[node + 1]; k++) arrive(node, 2 * drainsOut.list[k], into);
  };
  const close = (node: number): number => {
    if (used + drafted > room) {
      room *= 2;
      [long, turned] = [grown(long, room), grown(turned, room)];
      [source, previous] = [grown(source, room), grown(previous, room)];
    }
    const first = used;
    for (let i = 0; i < drafted; i++, used++) {
      long[used] = draftLong[i];
      turned[used] = draftTurned[i];
      source[used] = draftSource[i];
      previous[used] = draftPrevious[i];
      trace?.push(node);
    }
    return first;
  };
  /** makes the lists of the drains that leave a node (side 0), or of those that enter it (side 1) */
  const feed = (node: number, side: 0 | 1): void => {
    const rows = side === 0 ? drainsOut : drainsIn;
    const [begin, end] = [rows.start[node], rows.start[node + 1]];
    let done = 0;
    for (let k = begin; k < end; k++) {
      const here = 2 * rows.list[k] + side;
      const into = way[here];
      if (done & (1 << into)) continue;
      done |= 1 << into;
      let members = 0;
      for (let j = k; j < end; j++) if (way[2 * rows.list[j] + side] === into) members++;
      draft(node, side, into, side === 1 && members === 1 ? here : -1);
      const own: number[] = [];
      for (let i = 0; i < drafted; i++) {
        const via = draftVia[i];
        if (via >= 0 && (via & 1) === 1 && side === 1 && way[via] === into && !own.includes(via)) own.push(via);
      }
      const first = close(node);
      for (let j = k; j < end; j++) {
        const other = 2 * rows.list[j] + side;
        if (way[other] !== into) continue;
        lists[other] = first;
        counts[other] = drafted;
      }
      // No tool turns back into the pipe out of which it came.
      for (const via of own) {
        draft(node, side, into, via);
        lists[via] = close(node);
        counts[via] = drafted;
      }
    }
  };
  const order = net.downstreamFirst;
  for (let i = order.length - 1; i >= 0; i--) feed(order[i], 0);
  if (!code) for (let i = 0; i < order.length; i++) feed(order[i], 1);

  const point = new Int32Array(2 * net.pipeCount).fill(-1);
  const lengthTo = new Float64Array(2 * net.pipeCount).fill(NaN);
  const turnTo = new Float64Array(2 * net.pipeCount).fill(NaN);
  const whole = new Uint8Array(net.pipeCount);
  for (let p = 0; p < net.pipeCount; p++) {
    if (role[p] !== ROLE.drain) continue;
    let reached = -1;
    for (const end of [2 * p, 2 * p + 1]) {
      if (counts[end] === 0) continue;
      const first = lists[end];
      point[end] = source[first];
      lengthTo[end] = long[first];
      turnTo[end] = turned[first];
      reached = Math.max(0, reached) + Math.max(0, limits.length - long[first]);
    }
    whole[p] = reached >= 0 && atLeast(reached, net.length[p]) ? 1 : 0;
  }
  const route = (end: number): number[] => {
    if (point[end] < 0 || trace === null) return [];
    const nodes: number[] = [];
    for (let l = lists[end]; l >= 0; l = previous[l]) nodes.push(trace[l]);
    if (nodes[nodes.length - 1] !== point[end]) nodes.push(point[end]);
    return nodes.reverse();
  };
  return { ...limits, onlyDownstream: code, point, lengthTo, turnTo, whole, route };
}

const grown = <A extends Float64Array | Int32Array>(array: A, room: number): A => {
  const larger = new (array.constructor as new (length: number) => A)(room);
  larger.set(array);
  return larger;
};

/** Drains that the codes' spacing of cleanouts concerns: sloping, and not above the lowest floor. */
function onLowestFloor(net: Compiled, shape: Geometry): Uint8Array {
  const [, second] = [...new Set(net.model.floors.map((floor) => floor.elevation))].sort((a, b) => a - b);
  const ceiling = second ?? Number.POSITIVE_INFINITY;
  return Uint8Array.from({ length: net.pipeCount }, (_, p) =>
    net.role[p] === ROLE.drain && !shape.vertical[p] && Math.max(net.fromInvert[p], net.toInvert[p]) < ceiling ? 1 : 0,
  );
}

/** A line's positions: pipe k lies between begins[k] and begins[k + 1]. */
interface Measured {
  readonly pipes: readonly number[];
  readonly begins: readonly number[];
  /** stretches of what is asked for that nothing reaches, along the flow */
  readonly gaps: readonly { readonly from: number; readonly to: number }[];
}

function measured(net: Compiled, { pipes }: DrainLine, reach: Reach, asked: (pipe: number) => boolean): Measured {
  const begins = [0];
  for (const p of pipes) begins.push(begins[begins.length - 1] + net.length[p]);
  const gaps: { from: number; to: number }[] = [];
  pipes.forEach((p, k) => {
    if (reach.whole[p] || !asked(p)) return;
    const reached = (end: number) => (reach.point[end] < 0 ? 0 : Math.max(0, reach.length - reach.lengthTo[end]));
    const gap = { from: begins[k] + reached(2 * p), to: begins[k + 1] - reached(2 * p + 1) };
    const last = gaps[gaps.length - 1];
    if (last !== undefined && gap.from - last.to <= EPSILON) last.to = gap.to;
    else gaps.push(gap);
  });
  return { pipes, begins, gaps };
}

/** The pipe of a line that holds a position; at a joint the one that begins there. */
const pipeAt = ({ pipes, begins }: Measured, s: number): number => {
  let k = 0;
  while (k + 1 < pipes.length && s >= begins[k + 1] - EPSILON) k++;
  return k;
};

function gapOf(
  net: Compiled,
  turns: Turns,
  line: DrainLine,
  reach: Reach,
  asked: (pipe: number) => boolean,
): AccessGap | null {
  const all = measured(net, line, reach, asked);
  const [gap] = all.gaps;
  if (gap === undefined) return null;
  interface Edge {
    readonly point: number;
    readonly distance: number;
    readonly turn: number;
  }
  /** a tool at an end that it enters, or that it would enter if it could go on, from the nearest of the pipes beside it */
  const at = (end: number): Edge | null => {
    if (reach.point[end] >= 0)
      return { point: reach.point[end], distance: reach.lengthTo[end], turn: reach.turnTo[end] };
    const node = end & 1 ? net.to[end >> 1] : net.from[end >> 1];
    let nearest: Edge | null = null;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const beside = net.ends.list[k];
      const entered = beside ^ 1;
      if (beside === end || net.role[beside >> 1] !== ROLE.drain || reach.point[entered] < 0) continue;
      const distance = reach.lengthTo[entered] + net.length[beside >> 1];
      const turn = reach.turnTo[entered] + turns.between(node, turns.way[beside], turns.way[end], false);
      if (nearest === null || distance < nearest.distance) nearest = { point: reach.point[entered], distance, turn };
    }
    return nearest;
  };
  const [first, last] = [pipeAt(all, gap.from), pipeAt(all, gap.to - 2 * EPSILON)];
  const over = (edge: Edge | null, inside: number) => edge && { ...edge, distance: edge.distance + inside };
  const above = over(at(2 * all.pipes[first]), gap.from - all.begins[first]);
  const below = reach.onlyDownstream ? null : over(at(2 * all.pipes[last] + 1), all.begins[last + 1] - gap.to);
  const long = gap.to - gap.from;
  const turnable = [above, below].filter((edge) => edge !== null && atMost(edge.turn, reach.turn));
  const edges = turnable.length > 0 ? turnable : [above, below].filter((edge) => edge !== null);
  const [near, other] = edges.sort((a, b) => a!.distance - b!.distance);
  return {
    pipes: line.pipes.filter((p) => !reach.whole[p] && asked(p)),
    length: all.gaps.reduce((sum, { from, to }) => sum + (to - from), 0),
    point: near?.point ?? -1,
    distance:
      near == null
        ? NaN
        : other == null || turnable.length < 2
          ? near.distance + long
          : (near.distance + long + other.distance) / 2,
    turn: near?.turn ?? NaN,
  };
}

/** More further points than this on one line are no proposal. */
const MOST_PLACES = 50;

function places(
  net: Compiled,
  shape: Geometry,
  turns: Turns,
  line: DrainLine,
  reach: Reach,
  asked: (pipe: number) => boolean,
): AccessPlace[] {
  const all = measured(net, line, reach, asked);
  const { pipes, begins } = all;
  const end = begins[pipes.length];
  /** how far down a tool goes that is fed in at s; and from how far down one comes back up to s */
  const advance = (s: number): number => {
    let turned = 0;
    for (let k = pipeAt(all, s); ; k++) {
      if (begins[k + 1] - s > reach.length) return s + reach.length;
      if (k + 1 === pipes.length) return end;
      const [a, b] = [2 * pipes[k] + 1, 2 * pipes[k + 1]];
      if (!reach.onlyDownstream || (!shape.vertical[pipes[k]] && !shape.vertical[pipes[k + 1]]))
        turned += turns.between(net.to[pipes[k]], turns.way[a], turns.way[b], false);
      if (!atMost(turned, reach.turn)) return begins[k + 1];
    }
  };
  const isJoint = net.kind[net.to[pipes[pipes.length - 1]]] === KIND.junction;
  const found: AccessPlace[] = [];
  let done = 0;
  for (const gap of all.gaps)
    for (let s = Math.max(done, gap.from); gap.to - s > EPSILON; s = done) {
      let spot = reach.onlyDownstream ? s : advance(s);
      let k = pipeAt(all, spot);
      for (; !asked(pipes[k]) && begins[k] - s > EPSILON; k--) spot = begins[k];
      // A point is fitted in the line; where that ends at no fitting of its own, before the end.
      if (end - spot <= EPSILON && !isJoint) [spot, k] = [(s + end) / 2, pipeAt(all, (s + end) / 2)];
      done = advance(spot);
      found.push({ pipe: pipes[k], at: Math.min(spot, begins[k + 1]) - begins[k] });
      if (found.length > MOST_PLACES) return [];
    }
  return found;
}
