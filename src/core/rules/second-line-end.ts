import type { SecondLine } from "../analysis/facts.js";
import { indexed } from "./indexed.js";
import type { Case, Settle } from "./rule.js";

/** Coil (position) → its second lines, by pipe. */
export const linesOf = indexed(({ net, facts }): readonly (readonly SecondLine[])[] => {
  const of: SecondLine[][] = Array.from(net.coils, () => []);
  for (const line of facts.secondLines) of[line.coil].push(line);
  return of;
});

/** Pipes of a line along the flow, as far as it is its own. */
export const pipesOf = ({ net, facts }: Case, { pipe, meets }: SecondLine): number[] => {
  const pipes = [pipe];
  const met = new Set(pipes);
  for (let node = net.to[pipe]; node !== meets; ) {
    const next = facts.topology.next[node];
    if (next < 0 || met.has(next)) break;
    met.add(next);
    pipes.push(next);
    node = net.to[next];
  }
  return pipes;
};

/** Places whose whole purpose is to be seen running. */
const SEEN: ReadonlySet<string> = new Set(["conspicuous-point", "tundish"]);

/** Whether water that runs out there is seen; null where the document does not say what it is. */
export const isSeen = ({ net }: Case, outlet: number): boolean | null => {
  const { discharge } = net.nodes[outlet].outlet!;
  return discharge === null ? null : SEEN.has(discharge);
};

/** A pan's second port is piped, or an auxiliary pan drained, whether the line is drawn or not. Coil by position. */
export const hasSecondLine = (c: Case, coil: number): boolean =>
  linesOf(c)[coil].length > 0 || settleUndrawn(c, coil).length > 0;

/** Lines that the document speaks of and does not draw. */
export const settleUndrawn = (c: Case, coil: number): Settle[] => {
  const { pointer, coil: fanCoil } = c.net.nodes[c.net.coils[coil]];
  const drawn = new Set(linesOf(c)[coil].map(({ role }) => role));
  const settles: Settle[] = [];
  if (fanCoil!.pan.secondary?.is === "piped" && !drawn.has("secondary"))
    settles.push({ pointer: `${pointer}/pan/secondary` });
  if (fanCoil!.auxiliaryPan?.drain === "piped" && !drawn.has("auxiliary"))
    settles.push({ pointer: `${pointer}/auxiliaryPan/drain` });
  return settles;
};
