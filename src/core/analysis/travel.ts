import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { flowArea } from "../physics/circle.js";
import { laminarFilmVelocity } from "../physics/laminar-film.js";
import { frictionNormalDepth } from "../physics/part-full-flow.js";
import { terminalVelocity } from "../physics/riser-flow.js";
import { Alike } from "./alike.js";
import type { Facts } from "./facts.js";

/** Water that is poured in at a steady rate, on its way to the next outlet or pump. */
export interface Travel {
  /** node → s until the first of it arrives there; NaN where that cannot be told */
  readonly time: Float64Array;
  /** node → first pipe on the way whose bore or fall, or whose standing water, does not tell the time; -1 none */
  readonly stuck: Int32Array;
}

/**
 * How long water takes from each node to the next outlet or pump. Its front goes at the mean velocity of steady flow: in
 * sloping pipes that of friction in a smooth bore (a laminar trickle below Re 2300), in upright ones that of a laminar
 * film, or where that is less the terminal velocity of annular flow. Traps are full; low points that hold water (pools)
 * are filled on the way. The front keeps that velocity as long as pouring goes on.
 * @param flowTo m³/s, by the outlet or pump that it leads to
 * @param viscosity kinematic, m²/s
 * @param isFull whether the pool that the way leaves by a pipe holds its water already
 */
export function travel(
  net: Compiled,
  facts: Facts,
  flowTo: (boundary: number) => number,
  viscosity: number,
  isFull: (pipe: number) => boolean,
): Travel {
  const { topology, fall, geometry, water } = facts;
  const time = new Float64Array(net.nodeCount).fill(Number.NaN);
  const stuck = new Int32Array(net.nodeCount).fill(-1);
  const velocities = new Alike<number>();
  const velocity = (bore: number, grade: number, flow: number): number =>
    velocities.all[
      velocities.of([bore, grade, flow], () => {
        if (Number.isNaN(bore)) return Number.NaN;
        if (grade === Number.POSITIVE_INFINITY)
          return Math.min(laminarFilmVelocity(bore, flow, viscosity), terminalVelocity(bore, flow));
        return flow / flowArea(bore, frictionNormalDepth(bore, grade, 0, viscosity, flow));
      })
    ];
  /** s through a pipe and whatever must fill up in it first */
  const through = (p: number, next: number, flow: number): number => {
    let filling = 0;
    const pools = [water.poolOfEnd[2 * p], water.poolOfEnd[2 * p + 1]];
    const onward = next < 0 ? -1 : water.poolOfEnd[2 * next];
    // A pool counts once, where the way leaves it.
    const volume = (pool: number) => (isFull(p) ? 0 : water.pools[pool].volume);
    if (pools[0] >= 0 && pools[0] !== pools[1]) filling += volume(pools[0]);
    if (pools[1] >= 0 && pools[1] !== onward) filling += volume(pools[1]);
    const isUpright = fall.vertical[p] === 1;
    const falls = isUpright ? fall.fall[p] > 0 : fall.grade[p] > 0;
    if (falls) {
      const grade = isUpright ? Number.POSITIVE_INFINITY : fall.grade[p];
      return filling / flow + net.length[p] / velocity(geometry.bore[p], grade, flow);
    }
    // What rises out of standing water is full when the water goes on.
    return pools[0] >= 0 ? filling / flow : Number.NaN;
  };
  for (let i = 0; i < net.nodeCount; i++) {
    const node = net.downstreamFirst[i];
    if (net.kind[node] === KIND.outlet || net.kind[node] === KIND.pump) {
      time[node] = 0;
      continue;
    }
    const p = topology.next[node];
    if (p < 0 || net.role[p] !== ROLE.drain || topology.intoCycle[node] === 1) continue;
    const end = net.to[p];
    const isEnd = net.kind[end] === KIND.outlet || net.kind[end] === KIND.pump;
    const own = through(p, isEnd ? -1 : topology.next[end], flowTo(topology.boundary[node]));
    stuck[node] = Number.isNaN(own) ? p : stuck[end];
    time[node] = own + time[end];
  }
  return { time, stuck };
}
