import { type Compiled, ROLE } from "../graph/compiled.js";
import type { Zone } from "../network/model.js";
import type { Topology, ZoneFact, ZoneFacts } from "./facts.js";
import { alongMainWays } from "./topology.js";

const UNKNOWN: ZoneFact = { zone: null, owner: null, stated: false };

/**
 * Who looks after each node and pipe. What is stated governs: the zone, else the owner (a dwelling that a coil serves is
 * private, anybody else common), of a coil also the dwelling that it serves; of a pipe that says neither, its two ends
 * where both say the same. Else a drain is whoever's all the coils are whose water it carries, and common where they are
 * several people's; whatever carries none (a vent, a stub, a dead leg) belongs to what it hangs on. A node goes by the
 * drain that leaves it.
 */
export function zones(net: Compiled, ways: Topology): ZoneFacts {
  const { nodes, pipes, from, to, role } = net;
  const dwellings = dwellingIds(net);
  const stated = (zone: Zone | null, owner: string | null): ZoneFact | null => {
    if (zone !== null) return { zone, owner, stated: true };
    if (owner === null) return null;
    return { zone: dwellings.has(owner) ? "private" : "common", owner, stated: true };
  };
  const own = nodes.map(({ zone, owner, dwelling, coil }): ZoneFact | null => {
    const home = coil?.serves ?? dwelling;
    const said = stated(zone, owner);
    if (said === null) return coil === null || home === null ? null : { zone: "private", owner: home, stated: true };
    return said.owner === null && said.zone === "private" ? { ...said, owner: home } : said;
  });

  const carried = coilsZones(net, ways, own);
  const pipe: (ZoneFact | null)[] = pipes.map((each, p): ZoneFact | null => {
    const [above, below] = [own[from[p]], own[to[p]]];
    const said = stated(each.zone, each.owner);
    if (said !== null) {
      if (said.owner !== null) return said;
      const known = [above, below, carried[p]].find((fact) => fact?.zone === said.zone && fact.owner !== null);
      return { ...said, owner: known?.owner ?? null };
    }
    if (above !== null && below !== null && above.zone === below.zone && above.owner === below.owner) return above;
    return carried[p];
  });
  // What carries no coil's water belongs to what it hangs on: a dead leg to the drain below, a stub to that at its foot.
  const leaving = (node: number): ZoneFact | null => (ways.next[node] < 0 ? null : pipe[ways.next[node]]);
  for (const node of alongMainWays(net, ways.next)) {
    const p = ways.next[node];
    if (p >= 0) pipe[p] ??= own[to[p]] ?? leaving(to[p]);
  }
  for (let p = 0; p < net.pipeCount; p++) {
    const hangsOn = role[p] === ROLE.drain || role[p] === ROLE.pressure ? to[p] : from[p];
    pipe[p] ??= own[hangsOn] ?? leaving(hangsOn);
  }

  const node = nodes.map((_, i): ZoneFact => {
    const known = own[i] ?? leaving(i);
    if (known !== null) return known;
    for (let k = net.ends.start[i]; k < net.ends.start[i + 1]; k++) {
      const met = pipe[net.ends.list[k] >> 1];
      if (met !== null) return met;
    }
    return UNKNOWN;
  });
  const says = (element: { readonly zone: Zone | null; readonly owner: string | null }) =>
    element.zone !== null || element.owner !== null;
  return { node, pipe: pipe.map((fact) => fact ?? UNKNOWN), given: nodes.some(says) || pipes.some(says) };
}

/** Every dwelling that a coil serves or hangs over. */
function dwellingIds(net: Compiled): ReadonlySet<string> {
  const ids = new Set<string>();
  for (const i of net.coils) {
    const { coil, dwelling } = net.nodes[i];
    for (const id of [coil!.serves, dwelling]) if (id !== null) ids.add(id);
  }
  return ids;
}

/** Pipe → whose all the coils are that it carries; common of nobody in particular where they are several people's. */
function coilsZones(net: Compiled, ways: Topology, own: readonly (ZoneFact | null)[]): (ZoneFact | null)[] {
  const several: ZoneFact = { zone: "common", owner: null, stated: false };
  const unnamed: ZoneFact = { zone: "private", owner: null, stated: false };
  const met = (a: ZoneFact | null, b: ZoneFact): ZoneFact =>
    a === null || (a.zone === b.zone && a.owner === b.owner && a.owner !== null) ? b : several;
  const arriving: (ZoneFact | null)[] = new Array(net.nodeCount).fill(null);
  const carried: (ZoneFact | null)[] = new Array(net.pipeCount).fill(null);
  const order = alongMainWays(net, ways.next);
  for (let k = order.length - 1; k >= 0; k--) {
    const i = order[k];
    const p = ways.next[i];
    const here = net.nodes[i].coil === null ? arriving[i] : met(arriving[i], own[i] ?? unnamed);
    if (p < 0 || here === null) continue;
    carried[p] = { ...here, stated: false };
    arriving[net.to[p]] = met(arriving[net.to[p]], here);
  }
  return carried;
}
