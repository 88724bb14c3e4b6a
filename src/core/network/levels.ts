import { naturalOrder } from "../quantity/natural-order.js";
import { type Draft, LEVEL } from "./draft.js";
import { FIGURES } from "./figures.js";
import { quoted } from "./problems.js";

/**
 * Finds the levels that are stated relative to other nodes, or by the measured grade of one pipe, round by round from
 * the known ones outward: every node of a round depends on earlier rounds only. Where two grades lead to one node in the
 * same round, the pipe that comes first in natural order gives the level (the other is checked against it later), so
 * that the order of the document does not matter. What stays open is a loop, or fixed by nothing.
 */
export const resolveLevels = (draft: Draft): void => {
  const { nodeCount, z, state } = draft;
  let open = 0;
  for (let node = 0; node < nodeCount; node += 1) if (state[node] !== LEVEL.known) open += 1;
  if (open > 0) new Resolver(draft).run();
  for (let node = 0; node < nodeCount; node += 1) {
    const level = z[node];
    if ((level >= FIGURES.elevation.min && level <= FIGURES.elevation.max) || Number.isNaN(level)) continue;
    draft.atNode(node);
    draft.fail(draft.levelField(node), "absurd-number", `comes to ${level} m`, FIGURES.elevation.bounds);
    z[node] = Number.NaN;
  }
};

class Resolver {
  readonly #draft: Draft;
  /** node → first item that waits for its level; item → next one. Item n < nodeCount is a node relative to another; others are pipes: nodeCount + 2·pipe + (0 to its `to` end, 1 to its `from` end) */
  readonly #first: Int32Array;
  readonly #next: Int32Array;
  readonly #claim: Int32Array;

  constructor(draft: Draft) {
    this.#draft = draft;
    this.#first = new Int32Array(draft.nodeCount).fill(-1);
    this.#next = new Int32Array(draft.nodeCount + 2 * draft.pipeCount).fill(-1);
    this.#claim = new Int32Array(draft.nodeCount).fill(-1);
  }

  run(): void {
    const { nodeCount, pipeCount, state, relativeTo, endNode, from, to } = this.#draft;
    const ready: number[] = [];
    for (let node = 0; node < nodeCount; node += 1)
      if (state[node] === LEVEL.waiting) this.#enlist(node, relativeTo[node], ready);
    for (let pipe = 0; pipe < pipeCount; pipe += 1) {
      if (Number.isNaN(this.#draft.grade[pipe]) || from[pipe] < 0 || to[pipe] < 0) continue;
      const item = nodeCount + 2 * pipe;
      // an end whose level hangs on its own node can give that node its level
      if (state[to[pipe]] === LEVEL.open && endNode[2 * pipe + 1] === to[pipe])
        this.#enlist(item, endNode[2 * pipe], ready);
      if (state[from[pipe]] === LEVEL.open && endNode[2 * pipe] === from[pipe])
        this.#enlist(item + 1, endNode[2 * pipe + 1], ready);
    }
    this.#settle(ready);
    this.#settle(this.#loops());
    this.#unfixed();
  }

  #enlist(item: number, on: number, ready: number[]): void {
    if (on < 0 || this.#draft.state[on] === LEVEL.known) ready.push(item);
    else {
      this.#next[item] = this.#first[on];
      this.#first[on] = item;
    }
  }

  #target(item: number): number {
    const { nodeCount, from, to } = this.#draft;
    if (item < nodeCount) return item;
    const pipe = (item - nodeCount) >> 1;
    return (item - nodeCount) % 2 === 0 ? to[pipe] : from[pipe];
  }

  #value(item: number): number {
    const draft = this.#draft;
    if (item < draft.nodeCount) return draft.z[draft.relativeTo[item]] + draft.z[item];
    const pipe = (item - draft.nodeCount) >> 1;
    const upward = (item - draft.nodeCount) % 2;
    const fall = gradeFall(draft, pipe);
    return upward === 0
      ? draft.endLevel(2 * pipe) - fall - draft.endHeight[2 * pipe + 1]
      : draft.endLevel(2 * pipe + 1) + fall - draft.endHeight[2 * pipe];
  }

  #before(item: number, other: number): boolean {
    const { nodeCount } = this.#draft;
    if (item < nodeCount || other < nodeCount) return item < nodeCount;
    const a = (item - nodeCount) >> 1;
    const b = (other - nodeCount) >> 1;
    return naturalOrder(this.#draft.pipeId(a), this.#draft.pipeId(b)) < 0;
  }

  #settle(start: number[]): void {
    const { z, state } = this.#draft;
    let ready = start;
    while (ready.length > 0) {
      const targets: number[] = [];
      for (const item of ready) {
        const target = this.#target(item);
        if (state[target] === LEVEL.known) continue;
        const claimed = this.#claim[target];
        if (claimed < 0) targets.push(target);
        if (claimed < 0 || this.#before(item, claimed)) this.#claim[target] = item;
      }
      const levels = targets.map((target) => this.#value(this.#claim[target]));
      const following: number[] = [];
      for (let i = 0; i < targets.length; i += 1) {
        const target = targets[i];
        z[target] = levels[i];
        state[target] = LEVEL.known;
        this.#wake(target, following);
      }
      ready = following;
    }
  }

  #wake(node: number, into: number[]): void {
    for (let item = this.#first[node]; item >= 0; item = this.#next[item]) into.push(item);
    this.#first[node] = -1;
  }

  /** Tells each loop of references once, at its first node, and lets what hangs on it go on as unknown. */
  #loops(): number[] {
    const draft = this.#draft;
    const { nodeCount, state, relativeTo, z } = draft;
    const seen = new Int32Array(nodeCount);
    const freed: number[] = [];
    for (let start = 0; start < nodeCount; start += 1) {
      if (state[start] !== LEVEL.waiting || seen[start] !== 0) continue;
      let node = start;
      while (node >= 0 && state[node] === LEVEL.waiting && seen[node] === 0) {
        seen[node] = start + 1;
        node = relativeTo[node];
      }
      if (node < 0 || state[node] !== LEVEL.waiting || seen[node] !== start + 1) continue;
      const members: number[] = [];
      let at = node;
      do {
        members.push(at);
        at = relativeTo[at];
      } while (at !== node);
      let first = 0;
      for (let i = 1; i < members.length; i += 1) if (members[i] < members[first]) first = i;
      const names: string[] = [];
      for (let i = 0; i <= Math.min(members.length, 5); i += 1)
        names.push(quoted(draft.nodeId(members[(first + i) % members.length])));
      draft.atNode(members[first]);
      draft.fail(
        draft.levelField(members[first]),
        "level-loop",
        `a loop of levels: ${names.join(" → ")}${members.length > 5 ? " → …" : ""}`,
        "give one of them a level of the datum or of a floor",
      );
      for (const member of members) {
        z[member] = Number.NaN;
        state[member] = LEVEL.known;
      }
      for (const member of members) this.#wake(member, freed);
    }
    return freed;
  }

  #unfixed(): void {
    const draft = this.#draft;
    const { nodeCount, state, z } = draft;
    for (let node = 0; node < nodeCount; node += 1) {
      if (state[node] === LEVEL.known) continue;
      if (state[node] === LEVEL.open) {
        draft.atNode(node);
        draft.fail(
          "/elevation",
          "level-unknown",
          "nothing fixes this node's elevation",
          "give its elevation, or a measured grade on a pipe from here to a node whose level is known",
        );
      }
      z[node] = Number.NaN;
    }
    for (let node = 0; node < nodeCount; node += 1) state[node] = LEVEL.known;
  }
}

/**
 * How far a pipe of a stated grade falls, m: grade × run, run = length ÷ √(1 + grade²); where no length is given but
 * both ends have plan coordinates, the run is their distance. NaN where unknown.
 */
export const gradeFall = (draft: Draft, pipe: number): number => {
  const grade = draft.grade[pipe];
  const length = draft.length[pipe];
  const run = Number.isNaN(length) ? draft.planDistance(pipe) : length / Math.sqrt(1 + grade * grade);
  return grade * run;
};
