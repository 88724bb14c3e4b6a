import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { LATENT_HEAT, STANDARD_PRESSURE, WATER_DENSITY } from "../physics/constants.js";
import { humidityRatioOf, specificVolume } from "../physics/moist-air.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import type { LoadFacts, Topology } from "./facts.js";
import { alongMainWays } from "./topology.js";

const NO_BASIS = 255;

/** Peak condensate of each coil by the best information given, summed along the main ways together with the capacities. */
export function loads(net: Compiled, profile: Profile, ways: Topology): LoadFacts {
  const count = net.coils.length;
  const rate = new Float64Array(count).fill(NaN);
  const capacity = new Float64Array(count).fill(NaN);
  const basis = new Uint8Array(count).fill(NO_BASIS);
  const perCapacity = limitOf(profile, "load.ratePerCapacity").value;
  const pressure = net.model.site.pressure ?? STANDARD_PRESSURE;
  for (let c = 0; c < count; c++) {
    const coil = net.nodes[net.coils[c]].coil!;
    const total = coil.coolingCapacity;
    if (total !== null) capacity[c] = total;
    if (coil.condensateRate !== null) {
      rate[c] = coil.condensateRate;
      basis[c] = 0;
    } else if (coil.airflow !== null && coil.enteringAir !== null && coil.leavingAir !== null) {
      const entering = humidityRatioOf(coil.enteringAir, pressure);
      const leaving = humidityRatioOf(coil.leavingAir, pressure);
      const dryAir = coil.airflow / specificVolume(coil.enteringAir.dryBulb, entering, pressure);
      rate[c] = Math.max(0, (dryAir * (entering - leaving)) / WATER_DENSITY);
      basis[c] = 1;
    } else if (total !== null && coil.sensibleHeatRatio !== null) {
      rate[c] = (total * (1 - coil.sensibleHeatRatio)) / LATENT_HEAT / WATER_DENSITY;
      basis[c] = 2;
    } else if (total !== null) {
      rate[c] = total * perCapacity;
      basis[c] = 3;
    }
  }

  const order = alongMainWays(net, ways.next);
  const designFlow = accumulated(net, ways, order, rate);
  const connected = accumulated(net, ways, order, capacity);
  return { rate, capacity, basis, designFlow, connected };
}

/** What the coils make (one figure each), summed down the main ways: a figure for each drain and discharge, NaN elsewhere. */
function accumulated(net: Compiled, ways: Topology, order: Int32Array, made: Float64Array): Float64Array {
  const sum = new Float64Array(net.pipeCount);
  const carries = (p: number) => net.role[p] === ROLE.drain || net.role[p] === ROLE.pressure;
  for (let p = 0; p < net.pipeCount; p++) if (!carries(p)) sum[p] = NaN;
  const at = (node: number): number => {
    let here = net.kind[node] === KIND.coil ? made[net.coilAt[node]] : 0;
    for (let j = net.ends.start[node]; j < net.ends.start[node + 1]; j++) {
      const p = net.ends.list[j] >> 1;
      const enters = (net.ends.list[j] & 1) === 1 && ways.next[net.from[p]] === p;
      if (enters && carries(p)) here += sum[p];
    }
    return here;
  };
  // Downstream-first order read backwards: every node has all that arrives before it hands it on.
  for (let k = order.length - 1; k >= 0; k--) {
    const p = ways.next[order[k]];
    if (p >= 0 && carries(p)) sum[p] = at(order[k]);
  }
  // Main ways that run in circles through a pump carry all the way round whatever enters them.
  if (order.length < net.nodeCount) {
    const placed = new Uint8Array(net.nodeCount);
    for (const node of order) placed[node] = 1;
    for (let start = 0; start < net.nodeCount; start++) {
      if (placed[start]) continue;
      const round: number[] = [];
      let all = 0;
      for (let node = start; !placed[node]; node = net.to[ways.next[node]]) {
        placed[node] = 1;
        round.push(ways.next[node]);
        all += at(node);
      }
      for (const p of round) sum[p] = all;
    }
  }
  // What goes round in a loop of drains has no figure there; what leaves it by a main way goes on below.
  for (let p = 0; p < net.pipeCount; p++) if (ways.intoCycle[net.from[p]]) sum[p] = NaN;
  return sum;
}
