import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { SecondLine, Topology } from "./facts.js";
import { alongMainWays } from "./topology.js";

/** Lines from the second ports and auxiliary pans of coils: where each ends, and whether it meets a primary path before. */
export function secondLines(net: Compiled, ways: Topology): SecondLine[] {
  const lines: SecondLine[] = [];
  let ahead: Ahead | null = null;
  for (let coil = 0; coil < net.coils.length; coil++) {
    const node = net.coils[coil];
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const pipe = net.ends.list[k] >> 1;
      const role = net.role[pipe];
      if (net.ends.list[k] & 1 || (role !== ROLE.secondary && role !== ROLE.auxiliary)) continue;
      ahead ??= lookAhead(net, ways);
      const to = net.to[pipe];
      lines.push({
        coil,
        role: role === ROLE.secondary ? "secondary" : "auxiliary",
        pipe,
        meets: ahead.meets[to],
        outlet: ways.outlet[to],
        end: ahead.end[to],
      });
    }
  }
  return lines;
}

interface Ahead {
  readonly meets: Int32Array;
  readonly end: Int32Array;
}

/** For each node the first one on its way, itself included, that a primary path passes before an outlet, and the last one. */
function lookAhead(net: Compiled, ways: Topology): Ahead {
  const isPrimary = new Uint8Array(net.nodeCount);
  for (let p = 0; p < net.pipeCount; p++) if (ways.coilsAbove[p] > 0) isPrimary[net.from[p]] = isPrimary[net.to[p]] = 1;
  const meets = new Int32Array(net.nodeCount).fill(-1);
  const end = new Int32Array(net.nodeCount).fill(-1);
  for (const node of alongMainWays(net, ways.next)) {
    const pipe = ways.next[node];
    const below = pipe < 0 ? -1 : net.to[pipe];
    end[node] = below < 0 ? node : end[below];
    if (isPrimary[node] && net.kind[node] !== KIND.outlet) meets[node] = node;
    else if (below >= 0) meets[node] = meets[below];
  }
  return { meets, end };
}
