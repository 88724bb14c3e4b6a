import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { Profile } from "../profiles/profile.js";
import { EPSILON } from "../quantity/interval.js";
import { CLOSURE, type StandingWater } from "./facts.js";
import type { Geometry } from "./geometry.js";
import { findPools } from "./pools.js";

/**
 * Standing water with the fan off and the air at atmosphere: the level at every node, the depth at every pipe end, which
 * ends it closes, and the pools. Three readings run side by side: best values, and the driest and wettest ends of the
 * tolerance. A level never carries the share of the elevation that it is compared with, since the same error cannot
 * stand on both sides.
 */
export function standingWater(net: Compiled, profile: Profile, shape: Geometry): StandingWater {
  const n = net.nodeCount;
  const m = net.pipeCount;
  const level = new Float64Array(n).fill(NaN);
  const levelLow = new Float64Array(n).fill(NaN);
  const levelHigh = new Float64Array(n).fill(NaN);
  // The level that the ways out alone would hold, without the node's own invert.
  const held = new Float64Array(n).fill(-Infinity);
  const heldLow = new Float64Array(n).fill(-Infinity);
  const heldHigh = new Float64Array(n).fill(-Infinity);
  const weir = new Float64Array(m).fill(NaN);
  const { z, tolerance: tol, to, fromInvert, toInvert, fromOwn, role } = net;

  for (const node of net.downstreamFirst) {
    if (net.onStandingCycle[node]) continue;
    const kind = net.kind[node];
    let h = -Infinity;
    let hLow = -Infinity;
    let hHigh = -Infinity;
    if (kind === KIND.outlet || kind === KIND.pump) {
      const outside =
        kind === KIND.outlet ? net.nodes[node].outlet!.waterLevel : (net.nodes[node].pump!.sump?.startLevel ?? null);
      if (outside !== null) {
        h = outside;
        hLow = outside - tol[node];
        hHigh = outside + tol[node];
      }
    } else {
      let ways = 0;
      let reached = 0;
      for (let k = net.waysOut.start[node]; k < net.waysOut.start[node + 1]; k++) {
        const p = net.waysOut.list[k];
        if (role[p] === ROLE.pressure) continue;
        ways++;
        const below = to[p];
        if (Number.isNaN(level[below])) continue;
        const w = Math.max(toInvert[p], level[below]);
        // A derived point lies between its neighbors: it is never the lip.
        const through = isThrough(net, held, p);
        const wLow = through ? heldLow[below] : Math.max(toInvert[p] - tol[below], levelLow[below]);
        const wHigh = through ? heldHigh[below] : Math.max(toInvert[p] + tol[below], levelHigh[below]);
        const own = fromOwn[p] === 1;
        const lip = own ? Math.max(w, fromInvert[p]) : w;
        const lipLow = own ? Math.max(wLow, fromInvert[p] - tol[node]) : wLow;
        const lipHigh = own ? Math.max(wHigh, fromInvert[p] + tol[node]) : wHigh;
        weir[p] = Math.max(w, fromInvert[p]);
        if (reached++ === 0) {
          h = lip;
          hLow = lipLow;
          hHigh = lipHigh;
        } else {
          h = Math.min(h, lip);
          hLow = Math.min(hLow, lipLow);
          hHigh = Math.min(hHigh, lipHigh);
        }
      }
      // Everything below leads only into a cycle: no level can be told.
      if (ways > 0 && reached === 0) continue;
    }
    // A point called derived may stand off its line after all: no reading is then better than the best values.
    held[node] = h;
    heldLow[node] = Math.min(hLow, h);
    heldHigh[node] = Math.max(hHigh, h);
    level[node] = Math.max(z[node], h);
    levelLow[node] = Math.max(z[node] - tol[node], heldLow[node]);
    levelHigh[node] = Math.max(z[node] + tol[node], heldHigh[node]);
  }
  // A drain that no node was asked for (into a pump's or an outlet's side, or a node of a cycle) still has its weir.
  for (let p = 0; p < m; p++) {
    if (role[p] === ROLE.drain && Number.isNaN(weir[p])) weir[p] = Math.max(fromInvert[p], toInvert[p], level[to[p]]);
  }
  const levels = { level, levelLow, levelHigh, held, heldLow, heldHigh };
  riseIntoVents(net, levels);
  const ends = endDepths(net, levels);
  const crowns = closures(net, shape, levels, ends);
  const pools = findPools(net, profile, shape, levels, ends, crowns);
  return { level, levelLow, levelHigh, weir, ...ends, ...crowns, ...pools };
}

/** Levels at the nodes; `held` is what the ways out alone hold, without the node's own invert. */
export interface Levels {
  readonly level: Float64Array;
  readonly levelLow: Float64Array;
  readonly levelHigh: Float64Array;
  readonly held: Float64Array;
  readonly heldLow: Float64Array;
  readonly heldHigh: Float64Array;
}

/** Its lower end is a derived point on the line between its neighbors: one that stands off it is a lip like any other. */
const isThrough = (net: Compiled, held: Float64Array, p: number): boolean => {
  const below = net.to[p];
  return (
    net.nodes[below].derived &&
    net.toOwn[p] === 0 &&
    held[below] > -Infinity &&
    net.toInvert[p] <= Math.max(net.fromInvert[p], held[below]) + EPSILON
  );
};

const standsUp = (role: number): boolean => role === ROLE.vent || role === ROLE.access;

/** In a vent run or an access stub, water stands up from the drain as far as it exceeds the inverts on the way. */
function riseIntoVents(net: Compiled, levels: Levels): void {
  const { role, from, to, tolerance: tol, fromInvert, toInvert } = net;
  const { level, levelLow, levelHigh, held, heldLow, heldHigh } = levels;
  // Nodes that only such pipes touch, and how many of them still wait for the node below.
  const waiting = new Int32Array(net.nodeCount).fill(-1);
  const ready: number[] = [];
  for (let node = 0; node < net.nodeCount; node++) {
    let only = net.ends.start[node + 1] > net.ends.start[node];
    let entering = 0;
    for (let k = net.ends.start[node]; only && k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      if (!standsUp(role[end >> 1])) only = false;
      else if (end & 1) entering++;
    }
    if (only && entering > 0) waiting[node] = entering;
    else ready.push(node);
  }
  while (ready.length > 0) {
    const node = ready.pop()!;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const end = net.ends.list[k];
      const p = end >> 1;
      if (end & 1 || !standsUp(role[p])) continue;
      const top = to[p];
      if (waiting[top] < 0) continue;
      const way = Math.max(fromInvert[p], toInvert[p]);
      const wayLow = Math.max(fromInvert[p] + tol[from[p]], toInvert[p] + tol[top]);
      const wayHigh = Math.max(fromInvert[p] - tol[from[p]], toInvert[p] - tol[top]);
      // What no level can be told of on a loop cannot be told of in its vents.
      if (Number.isNaN(level[node])) level[top] = levelLow[top] = levelHigh[top] = NaN;
      if (level[node] > way + EPSILON) {
        held[top] = Math.max(held[top], level[node]);
        level[top] = Math.max(level[top], level[node]);
      }
      if (levelLow[node] > wayLow + EPSILON) {
        heldLow[top] = Math.max(heldLow[top], levelLow[node]);
        levelLow[top] = Math.max(levelLow[top], levelLow[node]);
      }
      if (levelHigh[node] > wayHigh + EPSILON) {
        heldHigh[top] = Math.max(heldHigh[top], levelHigh[node]);
        levelHigh[top] = Math.max(levelHigh[top], levelHigh[node]);
      }
      if (--waiting[top] === 0) ready.push(top);
    }
  }
}

/** Levels and depths at the pipe ends. */
export interface Ends {
  readonly fromLevel: Float64Array;
  readonly toLevel: Float64Array;
  readonly fromDepth: Float64Array;
  readonly toDepth: Float64Array;
  readonly fromDepthLow: Float64Array;
  readonly fromDepthHigh: Float64Array;
  readonly toDepthLow: Float64Array;
  readonly toDepthHigh: Float64Array;
}

/** A depth at or below 1 µm is none. NaN stays NaN. */
const depthOf = (value: number): number => (value > EPSILON ? value : value <= EPSILON ? 0 : NaN);

/** How far the level at a node stands above an invert there; the node's own elevation is not counted twice. */
function above(net: Compiled, w: Levels, node: number, invert: number, own: number, reading: -1 | 0 | 1): number {
  const t = (reading < 0 ? net.spread.most : net.spread.least)[node];
  if (reading === 0) return w.level[node] - invert;
  if (own) return reading < 0 ? w.levelLow[node] - invert - t : w.levelHigh[node] - invert + t;
  const over = reading < 0 ? w.heldLow[node] - net.z[node] - t : w.heldHigh[node] - net.z[node] + t;
  return Number.isNaN(w.level[node]) ? NaN : Math.max(0, over) - (invert - net.z[node]);
}

function endDepths(net: Compiled, w: Levels): Ends {
  const m = net.pipeCount;
  const nan = () => new Float64Array(m).fill(NaN);
  const e = {
    fromLevel: nan(),
    toLevel: nan(),
    fromDepth: nan(),
    toDepth: nan(),
    fromDepthLow: nan(),
    fromDepthHigh: nan(),
    toDepthLow: nan(),
    toDepthHigh: nan(),
  };
  const { role, from, to, fromInvert: a, toInvert: b, fromOwn, toOwn, tolerance: tol } = net;
  for (let p = 0; p < m; p++) {
    if (role[p] === ROLE.pressure) continue;
    const up = from[p];
    const down = to[p];
    if (standsUp(role[p])) {
      e.fromLevel[p] = e.toLevel[p] = w.level[up];
      e.fromDepth[p] = depthOf(above(net, w, up, a[p], fromOwn[p], 0));
      e.fromDepthLow[p] = depthOf(above(net, w, up, a[p], fromOwn[p], -1));
      e.fromDepthHigh[p] = depthOf(above(net, w, up, a[p], fromOwn[p], 1));
      e.toDepth[p] = depthOf(w.level[up] - b[p]);
      e.toDepthLow[p] = depthOf(w.levelLow[up] - b[p] - tol[down]);
      e.toDepthHigh[p] = depthOf(w.levelHigh[up] - b[p] + tol[down]);
      continue;
    }
    e.toLevel[p] = w.level[down];
    e.toDepth[p] = depthOf(above(net, w, down, b[p], toOwn[p], 0));
    e.toDepthLow[p] = depthOf(above(net, w, down, b[p], toOwn[p], -1));
    e.toDepthHigh[p] = depthOf(above(net, w, down, b[p], toOwn[p], 1));
    // Where the pipe falls, its lower invert is no lip; for the depth it makes no difference to ask all the same.
    const rises = b[p] > a[p] + EPSILON;
    e.fromLevel[p] = Math.min(w.level[up], rises ? Math.max(w.level[down], b[p]) : w.level[down]);
    e.fromDepth[p] = depthOf(e.fromLevel[p] - a[p]);
    const through = isThrough(net, w.held, p);
    const most = fromOwn[p] ? tol[up] : net.spread.most[up];
    const least = fromOwn[p] ? tol[up] : net.spread.least[up];
    const lipLow = (through ? w.heldLow[down] : Math.max(w.levelLow[down], b[p] - tol[down])) - a[p] - most;
    const lipHigh = (through ? w.heldHigh[down] : Math.max(w.levelHigh[down], b[p] + tol[down])) - a[p] + least;
    e.fromDepthLow[p] = Math.min(e.fromDepth[p], depthOf(Math.min(above(net, w, up, a[p], fromOwn[p], -1), lipLow)));
    e.fromDepthHigh[p] = Math.max(e.fromDepth[p], depthOf(Math.min(above(net, w, up, a[p], fromOwn[p], 1), lipHigh)));
  }
  return e;
}

/** Crowns at the pipe ends, and which ends are closed (CLOSURE bits). */
export interface Crowns {
  readonly fromCrown: Float64Array;
  readonly toCrown: Float64Array;
  readonly fromClosure: Uint8Array;
  readonly toClosure: Uint8Array;
}

/**
 * Crowns and what closes. A vertical pipe takes the highest crown of the sloping drain ends at its node (else of other
 * sloping ends, else its own invert): a riser on a sloping main is closed only when the main is.
 */
function closures(net: Compiled, shape: Geometry, w: Levels, e: Ends): Crowns {
  const n = net.nodeCount;
  const m = net.pipeCount;
  const { role, from, to, fromInvert: a, toInvert: b, fromOwn, toOwn, tolerance: tol } = net;
  const crowns = {
    fromCrown: new Float64Array(m).fill(NaN),
    toCrown: new Float64Array(m).fill(NaN),
    fromClosure: new Uint8Array(m),
    toClosure: new Uint8Array(m),
  };

  // Per node: the highest sloping crown, and how far the level stands over it at each reading. 0 none, 1 other, 2 drain.
  const rank = new Uint8Array(n);
  const unknown = new Uint8Array(n);
  const top = new Float64Array(n).fill(-Infinity);
  const over = new Float64Array(n).fill(Infinity);
  const overLow = new Float64Array(n).fill(Infinity);
  const overHigh = new Float64Array(n).fill(Infinity);
  const offer = (node: number, p: number, invert: number, own: number) => {
    const order = role[p] === ROLE.drain ? 2 : 1;
    if (order < rank[node]) return;
    if (order > rank[node]) {
      rank[node] = order;
      unknown[node] = 0;
      top[node] = -Infinity;
      over[node] = overLow[node] = overHigh[node] = Infinity;
    }
    const c = shape.crownHeight[p];
    if (Number.isNaN(c)) {
      unknown[node] = 1;
      return;
    }
    top[node] = Math.max(top[node], invert + c);
    over[node] = Math.min(over[node], above(net, w, node, invert, own, 0) - c);
    overLow[node] = Math.min(overLow[node], above(net, w, node, invert, own, -1) - c);
    overHigh[node] = Math.min(overHigh[node], above(net, w, node, invert, own, 1) - c);
  };
  for (let p = 0; p < m; p++) {
    if (role[p] === ROLE.pressure || shape.vertical[p]) continue;
    offer(from[p], p, a[p], fromOwn[p]);
    offer(to[p], p, b[p], toOwn[p]);
  }

  const bits = (
    best: number,
    low: number,
    high: number,
    depth: number,
    depthLow: number,
    depthHigh: number,
    boreUnknown: boolean,
  ): number => {
    if (boreUnknown) return depthHigh > EPSILON ? CLOSURE.unknownBore | CLOSURE.wettest : 0;
    return (
      (depth > EPSILON && best >= -EPSILON ? CLOSURE.best : 0) |
      (depthHigh > EPSILON && high >= -EPSILON ? CLOSURE.wettest : 0) |
      (depthLow > EPSILON && low >= -EPSILON ? CLOSURE.driest : 0)
    );
  };
  for (let p = 0; p < m; p++) {
    if (role[p] === ROLE.pressure) continue;
    const up = from[p];
    const down = to[p];
    const d = e.fromDepth[p];
    const dl = e.fromDepthLow[p];
    const dh = e.fromDepthHigh[p];
    const D = e.toDepth[p];
    const Dl = e.toDepthLow[p];
    const Dh = e.toDepthHigh[p];
    if (!shape.vertical[p]) {
      const c = shape.crownHeight[p];
      crowns.fromCrown[p] = a[p] + c;
      crowns.toCrown[p] = b[p] + c;
      const none = Number.isNaN(c);
      crowns.fromClosure[p] = bits(d - c, dl - c, dh - c, d, dl, dh, none);
      crowns.toClosure[p] = bits(D - c, Dl - c, Dh - c, D, Dl, Dh, none);
      continue;
    }
    // from end
    if (rank[up] === 0) {
      crowns.fromCrown[p] = a[p];
      crowns.fromClosure[p] = bits(d, dl, dh, d, dl, dh, false);
    } else {
      const none = unknown[up] === 1;
      crowns.fromCrown[p] = none ? NaN : top[up];
      // The level at this end may be held by what is below rather than by the node.
      const lipBest = e.fromLevel[p] - top[up];
      const t = tol[up] + tol[down];
      const below = Math.max(w.level[down], b[p]) - top[up];
      const rising = standsUp(role[p]);
      const best = Math.min(over[up], lipBest);
      const low = rising ? overLow[up] : Math.min(overLow[up], below - t);
      const high = rising ? overHigh[up] : Math.min(overHigh[up], below + t);
      crowns.fromClosure[p] = bits(best, low, high, d, dl, dh, none);
    }
    // to end
    if (rank[down] === 0) {
      crowns.toCrown[p] = b[p];
      crowns.toClosure[p] = bits(D, Dl, Dh, D, Dl, Dh, false);
    } else {
      const none = unknown[down] === 1;
      crowns.toCrown[p] = none ? NaN : top[down];
      if (standsUp(role[p])) {
        const t = tol[up] + tol[down];
        const best = e.toLevel[p] - top[down];
        crowns.toClosure[p] = bits(best, best - t, best + t, D, Dl, Dh, none);
      } else crowns.toClosure[p] = bits(over[down], overLow[down], overHigh[down], D, Dl, Dh, none);
    }
  }
  return crowns;
}
