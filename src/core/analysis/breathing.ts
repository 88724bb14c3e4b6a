import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { CLOSURE, type StandingWater, type Topology } from "./facts.js";
import { drainFromTheTop, stubsFromTheTop } from "./least-above.js";
import { isSealed } from "./seals.js";

/**
 * Can the air leave a drain, vent or stub as the pool fills it? It goes up to an opening or a pan, but not through a trap that
 * holds water, nor through a pipe that standing water closes. Of one coil's branch, between its trap and the joining point, a
 * vent anywhere on it serves the whole: what its short pieces beyond the vent keep is left out of account.
 */
export function breathing(net: Compiled, water: StandingWater, ways: Topology): (pipe: number) => boolean {
  const { nodes, kind, role, from, to } = net;
  // node → air goes up from it; of a trap that holds water, from its outlet side
  const open = new Uint8Array(net.nodeCount);
  const isShut = (p: number) => ((water.fromClosure[p] | water.toClosure[p]) & CLOSURE.best) !== 0;
  for (let i = 0; i < net.nodeCount; i++) {
    const { vent, cleanout } = nodes[i];
    if (kind[i] === KIND.coil) open[i] = 1;
    else if (vent !== null) open[i] = !vent.capped && vent.opening !== "admittance-valve" ? 1 : 0;
    else if (cleanout !== null) open[i] = cleanout.capped ? 0 : 1;
  }
  for (const p of stubsFromTheTop(net)) if (!isShut(p) && open[to[p]]) open[from[p]] = 1;
  drainFromTheTop(net, (node, above) => {
    if (open[node] || !open[above] || isSealed(net, node)) return;
    for (let k = net.drainsOut.start[above]; k < net.drainsOut.start[above + 1]; k++)
      if (to[net.drainsOut.list[k]] === node && !isShut(net.drainsOut.list[k])) open[node] = 1;
  });
  const isPrivate = (p: number) => p >= 0 && role[p] === ROLE.drain && ways.coilsAbove[p] <= 1;
  const ventedBelow = new Uint8Array(net.nodeCount);
  for (const node of net.downstreamFirst) {
    const p = ways.next[node];
    if (isPrivate(p) && (open[node] || ventedBelow[to[p]])) ventedBelow[node] = 1;
  }
  return (p) =>
    role[p] === ROLE.drain ? open[from[p]] === 1 || (isPrivate(p) && ventedBelow[to[p]] === 1) : open[to[p]] === 1;
}
