import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { isMetricPlastic } from "../materials/materials.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { atLeast, atMost, EPSILON } from "../quantity/interval.js";
import type {
  AccessFacts,
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
  const passage = ventPassage(net, shape);
  const isDoubtful = turns.unknownBends.length > 0 || passage.anyUnknown;
  const limits = { length: limitOf(profile, "access.reach").value, turn: limitOf(profile, "access.reachTurn").value };
  const readings = (
    sure: readonly AccessPoint[],
    possible: readonly AccessPoint[],
    bounds: Pick<Reach, "length" | "turn">,
    code: boolean,
  ): Readings<Reach> => {
    const surely = search(net, shape, turns, passage, sure, bounds, code, false);
    const same = !isDoubtful && sure.length === possible.length;
    return { sure: surely, possible: same ? surely : search(net, shape, turns, passage, possible, bounds, code, true) };
  };
  const certain = points.filter((point) => point.certain);
  const zoneOf = (point: AccessPoint) => zones.node[point.node];
  const { lines, lineOf } = linesOf(net);
  return {
    points,
    lines,
    lineOf,
    any: readings(certain, points, limits, false),
    common: zones.given
      ? readings(
          certain.filter((point) => zoneOf(point).stated && zoneOf(point).zone === "common"),
          points.filter((point) => !(zoneOf(point).stated && zoneOf(point).zone === "private")),
          limits,
          false,
        )
      : null,
    spaced: profile.cleanoutSpacing
      ? readings(
          certain,
          points,
          {
            length: limitOf(profile, "access.maximumLength").value,
            turn: limitOf(profile, "access.maximumTurn").value,
          },
          true,
        )
      : null,
    isSpaced: onLowestFloor(net, shape),
    places: (line, reach) => (reach.length > 0 ? places(net, shape, turns, lines[line], reach) : []),
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

/** Chains of drains; a loop without a break is one, from its first pipe on. */
function linesOf(net: Compiled): Pick<AccessFacts, "lines" | "lineOf"> {
  const { from, to, role, kind } = net;
  const breaks = (i: number) =>
    kind[i] === KIND.coil ||
    kind[i] === KIND.trap ||
    kind[i] === KIND.pump ||
    kind[i] === KIND.outlet ||
    rowLength(net.drainsIn, i) !== 1 ||
    rowLength(net.drainsOut, i) !== 1;
  const lines: DrainLine[] = [];
  const lineOf = new Int32Array(net.pipeCount).fill(-1);
  const begin = (first: number) => {
    const pipes: number[] = [];
    let length = 0;
    for (let p = first; lineOf[p] < 0; ) {
      lineOf[p] = lines.length;
      pipes.push(p);
      length += net.length[p];
      if (breaks(to[p])) break;
      p = net.drainsOut.list[net.drainsOut.start[to[p]]];
    }
    lines.push({ pipes, length });
  };
  for (let p = 0; p < net.pipeCount; p++) if (role[p] === ROLE.drain && breaks(from[p])) begin(p);
  for (let p = 0; p < net.pipeCount; p++) if (role[p] === ROLE.drain && lineOf[p] < 0) begin(p);
  return { lines, lineOf };
}

/** How a drain leaves a node: upright, or sloping as the run below, the run above or a branch. */
const WAY = { up: 0, down: 1, out: 2, straight: 3, branch: 4, stub: 5 } as const;
const WAYS = 6;

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
    if (role[p] !== ROLE.drain) way[end] = WAY.stub;
    else if (shape.vertical[p]) {
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

/** Whether a tool that fits a drain comes through a vent pipe into it. */
interface Passage {
  readonly from: (vent: number, into: number, possible: boolean) => boolean;
  /** a vent or a drain that it stands on has no known size */
  readonly anyUnknown: boolean;
}

function ventPassage(net: Compiled, shape: Geometry): Passage {
  const nominal = (p: number) => {
    const { size, material } = net.pipes[p];
    return size !== null && !(material !== null && isMetricPlastic(material)) ? size : Number.NaN;
  };
  /** NaN: unknown. Bores of unlike systems are taken as equal within a tenth. */
  const wide = (a: number, b: number): number => {
    if (!Number.isNaN(nominal(a)) && !Number.isNaN(nominal(b))) return nominal(a) >= nominal(b) ? 1 : 0;
    const [here, there] = [shape.bore[a], shape.bore[b]];
    return Number.isNaN(here) || Number.isNaN(there) ? Number.NaN : atLeast(here, 0.9 * there) ? 1 : 0;
  };
  const isUnsized = (p: number) => Number.isNaN(nominal(p)) && Number.isNaN(shape.bore[p]);
  let anyUnknown = false;
  for (let p = 0; p < net.pipeCount && !anyUnknown; p++) {
    if (net.role[p] !== ROLE.vent) continue;
    const foot = net.from[p];
    anyUnknown = isUnsized(p);
    for (let k = net.ends.start[foot]; k < net.ends.start[foot + 1]; k++)
      if (Number.isNaN(wide(p, net.ends.list[k] >> 1))) anyUnknown = true;
  }
  return {
    from: (vent, into, possible) => {
      if (net.role[vent] === ROLE.access) return true;
      const answer = wide(vent, into);
      return Number.isNaN(answer) ? possible : answer === 1;
    },
    anyUnknown,
  };
}

/** Of the ways of trading length for turns that come to a node by one way, so many are followed. */
const MOST_LABELS = 16;

/**
 * Feeds a tool in at every point at once, nearest first. A later arrival at a node goes on only where it has turned less
 * than every earlier one by the same way, or into the pipe by which the earlier one came. `code`: only downstream, and
 * only turns between sloping drains count.
 */
function search(
  net: Compiled,
  shape: Geometry,
  turns: Turns,
  passage: Passage,
  points: readonly AccessPoint[],
  limits: Pick<Reach, "length" | "turn">,
  code: boolean,
  possible: boolean,
): Reach {
  const { from, to, role, kind } = net;
  const ends = 2 * net.pipeCount;
  const point = new Int32Array(ends).fill(-1);
  const lengthTo = new Float64Array(ends).fill(NaN);
  const turnTo = new Float64Array(ends).fill(NaN);
  const before = new Int32Array(ends).fill(-1);

  // A label is a tool at a node: how it came there, and the label that it came from.
  const at: number[] = [];
  const length: number[] = [];
  const turn: number[] = [];
  /** the end by which it came */
  const via: number[] = [];
  const start: number[] = [];
  const previous: number[] = [];
  /** the label that was followed from the same node and way before it, -1 */
  const earlier: number[] = [];
  const followed = new Int32Array(net.nodeCount * WAYS).fill(-1);
  const heap = new Heap((a, b) => length[a] - length[b] || turn[a] - turn[b] || a - b);

  const enter = (end: number, source: number, long: number, turned: number, label: number) => {
    if (!atMost(turned, limits.turn)) return;
    if (point[end] < 0) {
      point[end] = source;
      lengthTo[end] = long;
      turnTo[end] = turned;
      before[end] = label;
    }
    const far = long + net.length[end >> 1];
    if (!atMost(far, limits.length)) return;
    at.push(end & 1 ? from[end >> 1] : to[end >> 1]);
    length.push(far);
    turn.push(turned);
    via.push(end ^ 1);
    start.push(source);
    previous.push(label);
    earlier.push(-1);
    heap.push(at.length - 1);
  };
  const isStub = (end: number) => role[end >> 1] === ROLE.vent || role[end >> 1] === ROLE.access;
  const isPassable = (end: number) => role[end >> 1] === ROLE.drain && (!code || (end & 1) === 0);

  for (const { node, kind: by } of points)
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      if (isPassable(end) || (by !== "pan-outlet" && isStub(end))) enter(end, node, 0, 0, -1);
    }

  /**
   * Whether a label is worth following: -1 into every pipe, an end into that one only (an earlier label, nearer and with
   * no more turns, came by it and did the rest), null not at all.
   */
  const following = (label: number, slot: number): number | null => {
    let only = -1;
    let count = 0;
    for (let l = followed[slot]; l >= 0; l = earlier[l]) {
      if (++count === MOST_LABELS) return null;
      if (isStub(via[label])) {
        const isWider = role[via[l] >> 1] === ROLE.access || role[via[label] >> 1] === ROLE.vent;
        if (isWider && passage.from(via[l] >> 1, via[label] >> 1, possible)) return null;
      } else if (turn[l] <= turn[label] + 1e-9) {
        if (via[l] === via[label] || (only >= 0 && only !== via[l])) return null;
        only = via[l];
      }
    }
    return only;
  };

  for (let label = heap.pop(); label >= 0; label = heap.pop()) {
    const node = at[label];
    const came = via[label];
    const slot = node * WAYS + turns.way[came];
    const only = following(label, slot);
    if (only === null) continue;
    earlier[label] = followed[slot];
    followed[slot] = label;
    const first = only < 0 ? net.ends.start[node] : -1;
    const go = (end: number) => {
      if (end === came) return;
      if (isStub(came)) {
        const isOtherSide = kind[node] === KIND.trap && (end & 1) !== (came & 1);
        if (!isOtherSide && (isPassable(end) || isStub(end)) && passage.from(came >> 1, end >> 1, possible))
          enter(end, start[label], length[label], turn[label], label);
      } else if (isPassable(end)) {
        const free = code && kind[node] !== KIND.trap && (shape.vertical[end >> 1] || shape.vertical[came >> 1]);
        const more = turns.between(node, turns.way[came], turns.way[end], possible);
        enter(end, start[label], length[label], turn[label] + (free && Number.isFinite(more) ? 0 : more), label);
      }
    };
    if (first < 0) go(only);
    else for (let k = first; k < net.ends.start[node + 1]; k++) go(net.ends.list[k]);
  }

  const whole = new Uint8Array(net.pipeCount);
  const reached = (end: number) => (point[end] < 0 ? 0 : Math.max(0, limits.length - lengthTo[end]));
  for (let p = 0; p < net.pipeCount; p++)
    whole[p] =
      (point[2 * p] >= 0 || point[2 * p + 1] >= 0) && atLeast(reached(2 * p) + reached(2 * p + 1), net.length[p])
        ? 1
        : 0;
  return {
    ...limits,
    onlyDownstream: code,
    point,
    lengthTo,
    turnTo,
    whole,
    route: (end) => {
      if (point[end] < 0) return [];
      const nodes: number[] = [];
      for (let label = before[end]; label >= 0; label = previous[label]) nodes.push(at[label]);
      nodes.push(point[end]);
      return nodes.reverse();
    },
  };
}

/** A binary heap of whole numbers, least first. */
class Heap {
  readonly #items: number[] = [];
  readonly #order: (a: number, b: number) => number;

  constructor(order: (a: number, b: number) => number) {
    this.#order = order;
  }

  push(item: number): void {
    const items = this.#items;
    let i = items.length;
    items.push(item);
    while (i > 0) {
      const above = (i - 1) >> 1;
      if (this.#order(items[above], item) <= 0) break;
      items[i] = items[above];
      i = above;
    }
    items[i] = item;
  }

  /** -1: empty */
  pop(): number {
    const items = this.#items;
    const last = items.pop();
    if (last === undefined) return -1;
    if (items.length === 0) return last;
    const least = items[0];
    let i = 0;
    for (;;) {
      let below = 2 * i + 1;
      if (below >= items.length) break;
      if (below + 1 < items.length && this.#order(items[below + 1], items[below]) < 0) below++;
      if (this.#order(last, items[below]) <= 0) break;
      items[i] = items[below];
      i = below;
    }
    items[i] = last;
    return least;
  }
}

/** Drains that the codes' spacing of cleanouts concerns: sloping, and not above the lowest floor. */
function onLowestFloor(net: Compiled, shape: Geometry): Uint8Array {
  const [, second] = [...new Set(net.model.floors.map((floor) => floor.elevation))].sort((a, b) => a - b);
  const ceiling = second ?? Number.POSITIVE_INFINITY;
  return Uint8Array.from({ length: net.pipeCount }, (_, p) =>
    net.role[p] === ROLE.drain && !shape.vertical[p] && Math.max(net.fromInvert[p], net.toInvert[p]) < ceiling ? 1 : 0,
  );
}

/** More further points than this on one line are no proposal. */
const MOST_PLACES = 50;

function places(net: Compiled, shape: Geometry, turns: Turns, line: DrainLine, reach: Reach): AccessPlace[] {
  const { pipes } = line;
  // Positions run along the line; pipe k lies between begins[k] and begins[k + 1].
  const begins = [0];
  for (const p of pipes) begins.push(begins[begins.length - 1] + net.length[p]);
  const end = begins[pipes.length];
  const gaps: { from: number; to: number }[] = [];
  pipes.forEach((p, k) => {
    const reached = (e: number) => (reach.point[e] < 0 ? 0 : Math.max(0, reach.length - reach.lengthTo[e]));
    const gap = { from: begins[k] + reached(2 * p), to: begins[k + 1] - reached(2 * p + 1) };
    if (reach.whole[p] || gap.to - gap.from <= EPSILON) return;
    const last = gaps[gaps.length - 1];
    if (last !== undefined && gap.from - last.to <= EPSILON) last.to = gap.to;
    else gaps.push(gap);
  });
  const pipeAt = (s: number) => {
    let k = 0;
    while (k + 1 < pipes.length && s >= begins[k + 1] - EPSILON) k++;
    return k;
  };
  /** how far down a tool goes that is fed in at s; and from how far down one comes back up to s */
  const advance = (s: number): number => {
    let turned = 0;
    for (let k = pipeAt(s); ; k++) {
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
  for (const gap of gaps)
    for (let s = Math.max(done, gap.from); gap.to - s > EPSILON; s = done) {
      let spot = reach.onlyDownstream ? s : advance(s);
      // A point is fitted in the line; where that ends at no fitting of its own, before the end.
      if (end - spot <= EPSILON && !isJoint) spot = (s + end) / 2;
      done = advance(spot);
      const k = pipeAt(spot);
      found.push({ pipe: pipes[k], at: spot - begins[k] });
      if (found.length > MOST_PLACES) return [];
    }
  return found;
}
