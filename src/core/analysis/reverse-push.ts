import { type Compiled, KIND } from "../graph/compiled.js";
import { pressureOf } from "../physics/constants.js";
import type { AirFacts, AirPartition, ReversePush, SealFacts, StandingWater, Topology } from "./facts.js";
import { pressureAt } from "./trap-need.js";

/**
 * What pushes each waterless trap and check valve against the flow, Pa: the suction of its own coil's fan, the water that
 * stands on its outlet side, and the strongest fan that blows into the air there. The three are added, as if they came
 * at once and nothing of the blast were lost on the way or through a vent: an upper bound. Water that a blockage may one
 * day send back is left out: it is meant to show in the pan.
 */
export function reversePush(
  net: Compiled,
  water: StandingWater,
  ways: Topology,
  seals: SealFacts,
  air: AirFacts,
): ReadonlyMap<number, ReversePush> {
  const pushes = new Map<number, ReversePush>();
  const coilOf = (c: number) => net.nodes[net.coils[c]].coil!;
  const readings = air.closed === air.best && air.open === air.best ? [air.best] : [air.best, air.closed, air.open];
  const blasts = new Map<AirPartition, Map<number, Blast>>(readings.map((reading) => [reading, new Map()]));
  for (let node = 0; node < net.nodeCount; node++) {
    if (net.kind[node] !== KIND.trap || net.nodes[node].trap!.sealType === "water") continue;
    const { coils } = seals.list[seals.ofTrap[node]];
    const unknown = new Set(
      coils.filter((c) => pressureAt(coilOf(c)) === "unknown" && coilOf(c).fanPosition !== "blow-through"),
    );
    const suctionOf = (c: number) => (pressureAt(coilOf(c)) === "suction" ? -coilOf(c).panStatic! : 0);
    const suction = unknown.size > 0 ? NaN : Math.max(0, ...coils.map(suctionOf));

    const found = readings.map((reading) => {
      const space = reading.ofOutletSide[node];
      if (space < 0) return NOTHING;
      const known = blasts.get(reading)!;
      const blast = known.get(space) ?? strongest(net, reading.spaces[space].pans);
      known.set(space, blast);
      return blast;
    });
    for (const blast of found) for (const c of blast.unknown) unknown.add(c);
    const fans = found.map((blast) => (blast.unknown.length > 0 ? NaN : blast.pressure));
    const fan = { low: Math.min(...fans), best: fans[0], high: Math.max(...fans) };
    const strongestOf = found.reduce((a, b) => (b.pressure > a.pressure ? b : a));

    const leaves = ways.next[node];
    const depth = (of: Float64Array) => (leaves < 0 ? NaN : of[leaves]);
    const standing = {
      low: depth(water.fromDepthLow),
      best: depth(water.fromDepth),
      high: depth(water.fromDepthHigh),
    };
    const weighs = {
      low: pressureOf(standing.low),
      best: pressureOf(standing.best),
      high: pressureOf(standing.high),
    };
    pushes.set(node, {
      suction,
      standing,
      water: weighs,
      fan,
      blower: strongestOf.coil,
      unknown: [...unknown].sort((a, b) => a - b),
      total: {
        low: suction + weighs.low + fan.low,
        best: suction + weighs.best + fan.best,
        high: suction + weighs.high + fan.high,
      },
    });
  }
  return pushes;
}

interface Blast {
  readonly pressure: number;
  /** position, -1 none */
  readonly coil: number;
  /** coils (positions) that may blow, for all that is known of them */
  readonly unknown: readonly number[];
}
const NOTHING: Blast = { pressure: 0, coil: -1, unknown: [] };

function strongest(net: Compiled, pans: readonly number[]): Blast {
  let pressure = 0;
  let coil = -1;
  const unknown: number[] = [];
  for (const pan of pans) {
    const { panStatic, fanPosition } = net.nodes[pan].coil!;
    if (panStatic === null) {
      if (fanPosition !== "draw-through") unknown.push(net.coilAt[pan]);
    } else if (panStatic > pressure) {
      pressure = panStatic;
      coil = net.coilAt[pan];
    }
  }
  return { pressure, coil, unknown };
}
