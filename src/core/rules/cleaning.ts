import type { AccessGap, Reach, Readings } from "../analysis/facts.js";
import { KIND, ROLE } from "../graph/compiled.js";
import { EPSILON } from "../quantity/interval.js";
import type { Speaker } from "../quantity/speaker.js";
import type { Case, RemedyStep, Settle } from "./rule.js";

/** Drains up to here are cleaned from either end by hand, m. */
const SHORT = 1.5;

/** The lines of drains longer than that, each by its last pipe. */
export function* longLines({ facts }: Case): Generator<number> {
  for (const { pipes, length } of facts.access.lines) if (length > SHORT + EPSILON) yield pipes[pipes.length - 1];
}

/** A line's drains that nothing reaches for certain, and those that nothing reaches even in the most favorable reading. */
export interface Unreached {
  readonly line: number;
  readonly asked: (pipe: number) => boolean;
  readonly surely: readonly number[];
  readonly possibly: readonly number[];
}

export const unreached = (
  { facts: { access } }: Case,
  last: number,
  { sure, possible }: Readings<Reach>,
  asked: (pipe: number) => boolean,
): Unreached => {
  const line = access.lineOf[last];
  const pipes = access.lines[line].pipes.filter(asked);
  return {
    line,
    asked,
    possibly: pipes.filter((p) => !sure.whole[p]),
    surely: pipes.filter((p) => !possible.whole[p]),
  };
};

/** What would tell whether the drains are reached: bends without an angle on the way, and what is unknown of the point. */
export const settleReach = (
  { net, facts }: Case,
  pipes: readonly number[],
  { possible }: Readings<Reach>,
  zonesMatter: boolean,
): Settle[] => {
  const { access, zones } = facts;
  const bends = new Set(access.unknownBends);
  const pointers = new Set<string>();
  for (const pipe of pipes)
    for (const end of [2 * pipe, 2 * pipe + 1]) {
      const route = possible.route(end);
      if (route.length === 0) continue;
      for (const node of route) if (bends.has(node)) pointers.add(`${net.nodes[node].pointer}/angle`);
      const [point] = route;
      const { pointer, outlet } = net.nodes[point];
      if (outlet?.connection === null) pointers.add(`${pointer}/connection`);
      if (zonesMatter && !zones.node[point].stated) pointers.add(`${pointer}/zone`);
      if (net.kind[point] !== KIND.vent) continue;
      const [, foot = point] = route;
      for (const node of [point, foot])
        for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
          const beside = net.pipes[net.ends.list[k] >> 1];
          const isUnsized = beside.size === null || Number.isNaN(facts.geometry.bore[net.ends.list[k] >> 1]);
          const isRun = net.role[net.ends.list[k] >> 1] === ROLE.vent || node === foot;
          if (isUnsized && isRun) pointers.add(`${beside.pointer}/size`);
        }
    }
  return [...pointers].map((pointer) => ({ pointer }));
};

/** Kinds of node at which a fitting can be set in place of the one that is there. */
const FITTINGS: ReadonlySet<number> = new Set([KIND.junction, KIND.bend, KIND.point, KIND.reducer]);

/** Cleanouts that would let the line's drains be reached whole. */
export const addCleanouts = (
  { net, facts }: Case,
  { line, asked }: Unreached,
  reach: Reach,
  what?: string,
): RemedyStep[] =>
  facts.access.places(line, reach, asked).map(({ pipe, at }): RemedyStep => {
    const node = at <= EPSILON ? net.from[pipe] : at >= net.length[pipe] - EPSILON ? net.to[pipe] : -1;
    return node >= 0 && FITTINGS.has(net.kind[node])
      ? { action: "add-cleanout", on: { node }, what }
      : { action: "add-cleanout", on: { pipe }, amount: at, kind: "length", what };
  });

/** Why no tool comes there, from the point nearest to it. */
export const sayWhy = (
  { point, distance, turn }: AccessGap,
  { length, turn: most }: Pick<Reach, "length" | "turn">,
  speak: Speaker,
): string => {
  if (point < 0) return "no tool comes near it";
  if (turn > most) {
    const { figure, limit } = speak.against(turn, most, "angle");
    return `a tool from ${speak.node(point)}, the nearest, would have turned by ${figure} there, and reaches round ${limit}`;
  }
  const { figure, limit } = speak.against(distance, length, "length");
  return `a tool from ${speak.node(point)}, the nearest, would have to go ${figure}, and reaches ${limit}`;
};
