import type { Audited } from "../../audit/run.js";
import { KIND, ROLE } from "../../graph/compiled.js";

/** A part of a path without a high drop in it: what can be drawn to one scale. */
export interface Reach {
  /** along the flow; none where the path ends at its start */
  readonly pipes: readonly number[];
  readonly start: number;
  /** what it falls down at its end, null where it falls nowhere further */
  readonly drop: Drop | null;
  /** at its end a pump lifts the water */
  readonly pump: boolean;
}

/** Plumb pipes, one on the other. */
export interface Drop {
  readonly pipes: readonly number[];
  /** m */
  readonly fall: number;
  /** coils that join on the way down */
  readonly joining: number;
}

/** m; what falls further is no part of a reach */
const HIGH = 0.6;

/** A path in reaches: between them it falls plumb, or a pump lifts it. */
export function reachesOf({ net, facts }: Audited, start: number, path: ArrayLike<number>): Reach[] {
  const { fall, vertical } = facts.fall;
  const { coilsAbove } = facts.topology;
  const reaches: Reach[] = [];
  let pipes: number[] = [];
  let from = start;
  const plumb = (p: number): boolean => vertical[p] === 1 && fall[p] > 0 && net.role[p] !== ROLE.pressure;
  for (let i = 0; i < path.length; ) {
    const p = path[i]!;
    if (net.role[p] === ROLE.pressure) {
      while (i < path.length && net.role[path[i]!] === ROLE.pressure) i++;
      reaches.push({ pipes, start: from, drop: null, pump: true });
      pipes = [];
      from = net.to[path[i - 1]!];
      continue;
    }
    if (!plumb(p)) {
      pipes.push(p);
      i++;
      continue;
    }
    let last = i;
    let sum = fall[p];
    while (last + 1 < path.length && plumb(path[last + 1]!)) {
      last++;
      sum += fall[path[last]!];
    }
    const standing = Array.from({ length: last - i + 1 }, (_, k) => path[i + k]!);
    i = last + 1;
    if (sum <= HIGH) {
      pipes.push(...standing);
      continue;
    }
    const below = i < path.length ? coilsAbove[path[i]!] : coilsAbove[path[last]!];
    const before = coilsAbove[standing[0]!];
    reaches.push({
      pipes,
      start: from,
      drop: { pipes: standing, fall: sum, joining: Math.max(0, Math.max(below, coilsAbove[path[last]!]) - before) },
      pump: false,
    });
    pipes = [];
    from = net.to[path[last]!];
  }
  const ended = reaches.length > 0 && pipes.length === 0;
  if (!ended || net.kind[from] !== KIND.outlet) reaches.push({ pipes, start: from, drop: null, pump: false });
  return reaches;
}
