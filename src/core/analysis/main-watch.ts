import type { Compiled } from "../graph/compiled.js";
import { EPSILON } from "../quantity/interval.js";
import type { DeviceFact, MainWatch, Topology, WatchFact } from "./facts.js";
import { drainFromTheTop } from "./least-above.js";
import { hostOf } from "./trip-cover.js";

export interface WatchGround {
  readonly net: Compiled;
  readonly ways: Topology;
  readonly tripped: readonly DeviceFact[];
  readonly tripLevel: Float64Array;
  readonly firstSpill: Float64Array;
  /** its backup is judged, and what comes out first would do harm without being told of */
  readonly isHarmful: (pipe: number) => boolean;
  /** something of unknown height may spill first behind a blocked drain */
  readonly hidesSpill: (pipe: number) => boolean;
  readonly watch: (device: number) => WatchFact;
}

/**
 * For each outlet or pump to which a main with level switches of its own leads: behind which of its common drains one of them
 * trips no later than something spills. One pass from the top down.
 */
export function mainWatches({
  net,
  ways,
  tripped,
  tripLevel,
  firstSpill,
  isHarmful,
  hidesSpill,
  watch,
}: WatchGround): MainWatch[] {
  const systems = new Map<number, { devices: number[]; common: number; unseen: number[]; open: number[] }>();
  const least = new Float64Array(net.nodeCount).fill(Infinity);
  const mayTrip = new Uint8Array(net.nodeCount);
  for (const [d, { at }] of net.model.devices.entries()) {
    if (!watch(d).isMain) continue;
    const host = hostOf(net, net.nodeRank[at]);
    const end = ways.boundary[host];
    if (end < 0) continue;
    const system = systems.get(end) ?? { devices: [], common: 0, unseen: [], open: [] };
    systems.set(end, system);
    system.devices.push(d);
    if (!tripped[d].works) continue;
    if (Number.isNaN(tripLevel[d])) mayTrip[host] = 1;
    else least[host] = Math.min(least[host], tripLevel[d]);
  }
  if (systems.size === 0) return [];
  drainFromTheTop(net, (node, above) => {
    if (least[above] < least[node]) least[node] = least[above];
    mayTrip[node] |= mayTrip[above];
  });
  for (let p = 0; p < net.pipeCount; p++) {
    const system = ways.common[p] && isHarmful(p) ? systems.get(ways.boundary[net.from[p]]) : undefined;
    if (system === undefined) continue;
    system.common++;
    const level = least[net.from[p]];
    if (Number.isNaN(firstSpill[p])) {
      // Where nothing is open the pool rises until the switch trips; where something of unknown height is, nobody knows.
      if (level === Infinity && mayTrip[net.from[p]] === 0) system.unseen.push(p);
      else if (level === Infinity || hidesSpill(p)) system.open.push(p);
    } else if (!(level <= firstSpill[p] + EPSILON)) (mayTrip[net.from[p]] ? system.open : system.unseen).push(p);
  }
  return [...systems]
    .sort(([a], [b]) => a - b)
    .filter(([, { common }]) => common > 0)
    .map(([end, system]) => ({ end, ...system }));
}
