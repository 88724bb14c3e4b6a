import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { LATENT_HEAT, STANDARD_PRESSURE, WATER_DENSITY } from "../physics/constants.js";
import { humidityRatioOf, specificVolume } from "../physics/moist-air.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import type { LoadFacts, Topology } from "./facts.js";
import { alongMainWays } from "./topology.js";

export const NO_BASIS = 255;

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

  const designFlow = new Float64Array(net.pipeCount);
  const connected = new Float64Array(net.pipeCount);
  for (let p = 0; p < net.pipeCount; p++) {
    const carries = net.role[p] === ROLE.drain || net.role[p] === ROLE.pressure;
    if (!carries) designFlow[p] = connected[p] = NaN;
  }
  const order = alongMainWays(net, ways.next);
  // Downstream-first order read backwards: every node has all that arrives before it hands it on.
  for (let k = order.length - 1; k >= 0; k--) {
    const node = order[k];
    const c = net.kind[node] === KIND.coil ? net.coilAt[node] : -1;
    let flow = c < 0 ? 0 : rate[c];
    let watts = c < 0 ? 0 : capacity[c];
    for (let j = net.ends.start[node]; j < net.ends.start[node + 1]; j++) {
      const end = net.ends.list[j];
      const p = end >> 1;
      if (!(end & 1) || ways.next[net.from[p]] !== p) continue;
      if (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure) continue;
      flow += designFlow[p];
      watts += connected[p];
    }
    const p = ways.next[node];
    if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) continue;
    designFlow[p] = flow;
    connected[p] = watts;
  }
  circulate(net, ways, order, rate, capacity, designFlow, connected);
  // What goes round in a cycle has no figure there; what leaves it by a main way goes on below.
  for (let p = 0; p < net.pipeCount; p++) if (ways.intoCycle[net.from[p]]) designFlow[p] = connected[p] = NaN;
  return { rate, capacity, basis, designFlow, connected };
}

/** Main ways that run in circles through a pump carry all the way round whatever enters them. */
function circulate(
  net: Compiled,
  ways: Topology,
  order: Int32Array,
  rate: Float64Array,
  capacity: Float64Array,
  designFlow: Float64Array,
  connected: Float64Array,
): void {
  if (order.length === net.nodeCount) return;
  const placed = new Uint8Array(net.nodeCount);
  for (const node of order) placed[node] = 1;
  for (let start = 0; start < net.nodeCount; start++) {
    if (placed[start]) continue;
    const round: number[] = [];
    let flow = 0;
    let watts = 0;
    for (let node = start; !placed[node]; node = net.to[ways.next[node]]) {
      placed[node] = 1;
      round.push(ways.next[node]);
      if (net.kind[node] === KIND.coil) {
        flow += rate[net.coilAt[node]];
        watts += capacity[net.coilAt[node]];
      }
      for (let j = net.ends.start[node]; j < net.ends.start[node + 1]; j++) {
        const p = net.ends.list[j] >> 1;
        const enters = (net.ends.list[j] & 1) === 1 && ways.next[net.from[p]] === p;
        if (!enters || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) continue;
        flow += designFlow[p];
        watts += connected[p];
      }
    }
    for (const p of round) {
      designFlow[p] = flow;
      connected[p] = watts;
    }
  }
}
