import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { within } from "../quantity/interval.js";
import type { OutletFact, OutletFacts, Topology } from "./facts.js";
import type { Geometry } from "./geometry.js";

/** How each outlet ends: what air gap its pipe asks for, how it lies to the water outside, and whose water it takes. */
export function outlets(net: Compiled, profile: Profile, shape: Geometry, ways: Topology): OutletFacts {
  const fed = new Uint8Array(net.nodeCount);
  for (const coil of net.coils) if (ways.boundary[coil] >= 0) fed[ways.boundary[coil]] = 1;
  const factor = limitOf(profile, "outlet.airGapFactor").value;
  const minimum = limitOf(profile, "outlet.airGapMinimum").value;
  const at = new Int32Array(net.nodeCount).fill(-1);
  const list: OutletFact[] = [];
  for (let node = 0; node < net.nodeCount; node++) {
    if (net.kind[node] !== KIND.outlet) continue;
    const pipes = pipesInto(net, node);
    const bores = pipes.map((p) => shape.bore[p]);
    const unknownBores = pipes.filter((p) => Number.isNaN(shape.bore[p]));
    const opening = Math.max(0, ...bores.filter((bore) => !Number.isNaN(bore)));
    const airGapAtLeast = Math.max(factor * opening, minimum);
    const level = net.nodes[node].outlet!.waterLevel ?? Number.NaN;
    at[node] = list.length;
    list.push({
      node,
      pipes,
      airGapAtLeast,
      // Without a factor no bore decides.
      airGapNeeded: unknownBores.length > 0 && factor > 0 ? Number.NaN : airGapAtLeast,
      unknownBores,
      // Both levels were measured, or neither.
      submergence: within(level - net.z[node], net.tolerance[node] + net.spread.most[node]),
      fed: fed[node] === 1,
    });
  }
  return { list, at };
}

/** What lets water out there. */
function pipesInto(net: Compiled, node: number): number[] {
  const pipes: number[] = [];
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
    const p = net.ends.list[k] >> 1;
    if (net.ends.list[k] & 1 && net.role[p] !== ROLE.vent && net.role[p] !== ROLE.access) pipes.push(p);
  }
  return pipes;
}
