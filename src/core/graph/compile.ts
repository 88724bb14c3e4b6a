import type { Model, ModelNode, NodeKind, PipeRole } from "../network/model.js";
import { naturalOrder } from "../quantity/natural-order.js";
import { type Compiled, KIND, ROLE, type Rows } from "./compiled.js";
import { findCycles } from "./cycles.js";

const KIND_OF: Record<NodeKind, number> = {
  "fan-coil": KIND.coil,
  trap: KIND.trap,
  junction: KIND.junction,
  bend: KIND.bend,
  reducer: KIND.reducer,
  point: KIND.point,
  vent: KIND.vent,
  cleanout: KIND.cleanout,
  pump: KIND.pump,
  outlet: KIND.outlet,
};
const ROLE_OF: Record<PipeRole, number> = {
  drain: ROLE.drain,
  vent: ROLE.vent,
  secondary: ROLE.secondary,
  auxiliary: ROLE.auxiliary,
  pressure: ROLE.pressure,
  access: ROLE.access,
};

/** Orders a model by id and lays it on flat arrays. O(n log n) in the ids, linear otherwise. */
export function compile(model: Model): Compiled {
  const nodes = [...model.nodes].sort((a, b) => naturalOrder(a.id, b.id));
  const pipes = [...model.pipes].sort((a, b) => naturalOrder(a.id, b.id));
  const n = nodes.length;
  const m = pipes.length;

  const rankOf = new Map(nodes.map((node, i) => [node, i]));
  const nodeRank = Int32Array.from(model.nodes, (node) => rankOf.get(node)!);

  const kind = new Uint8Array(n);
  const z = new Float64Array(n);
  const tolerance = new Float64Array(n);
  const coilAt = new Int32Array(n).fill(-1);
  const coilList: number[] = [];
  for (let i = 0; i < n; i++) {
    const node = nodes[i];
    kind[i] = KIND_OF[node.kind];
    z[i] = node.elevation;
    tolerance[i] = node.tolerance;
    if (kind[i] === KIND.coil) {
      coilAt[i] = coilList.length;
      coilList.push(i);
    }
  }

  const role = new Uint8Array(m);
  const from = new Int32Array(m);
  const to = new Int32Array(m);
  const fromInvert = new Float64Array(m);
  const toInvert = new Float64Array(m);
  const fromOwn = new Uint8Array(m);
  const toOwn = new Uint8Array(m);
  const length = new Float64Array(m);
  for (let i = 0; i < m; i++) {
    const pipe = pipes[i];
    role[i] = ROLE_OF[pipe.role];
    from[i] = nodeRank[pipe.from];
    to[i] = nodeRank[pipe.to];
    fromInvert[i] = pipe.fromInvert;
    toInvert[i] = pipe.toInvert;
    fromOwn[i] = pipe.fromInvertOwn ? 1 : 0;
    toOwn[i] = pipe.toInvertOwn ? 1 : 0;
    length[i] = pipe.length;
  }

  const isDrain = (p: number) => role[p] === ROLE.drain;
  const drainsOut = rows(n, m, from, isDrain);
  const drainsIn = rows(n, m, to, isDrain);
  const pressureOut = rows(n, m, from, (p) => role[p] === ROLE.pressure);
  const isSecondLine = (p: number) => role[p] === ROLE.secondary || role[p] === ROLE.auxiliary;
  const ways = (p: number): boolean => {
    const at = from[p];
    if (isDrain(p)) return true;
    if (rowLength(drainsOut, at) > 0) return false;
    if (role[p] === ROLE.pressure) return true;
    return isSecondLine(p) && kind[at] !== KIND.coil && rowLength(pressureOut, at) === 0;
  };
  const waysOut = rows(n, m, from, ways);

  // An outlet ends every path; a pump ends standing water but not a path.
  const standing = (p: number) => ways(p) && role[p] !== ROLE.pressure && kind[from[p]] !== KIND.pump;
  const standingOut = rows(n, m, from, standing);
  const standingIn = rows(n, m, to, standing);

  const standingCycles = findCycles(n, standingOut, standingIn, to, from);
  const onStandingCycle = marked(n, standingCycles);
  const hasSecondLine = role.includes(ROLE.secondary) || role.includes(ROLE.auxiliary);
  const cycles =
    kind.includes(KIND.pump) || hasSecondLine ? findCycles(n, drainsOut, drainsIn, to, from) : standingCycles;

  const order = downstreamFirst(n, standingOut, standingIn, from, onStandingCycle);
  return {
    model,
    nodeCount: n,
    pipeCount: m,
    nodes,
    pipes,
    nodeRank,
    kind,
    z,
    tolerance,
    spread: spreadOf(nodes, tolerance, order, drainsOut, drainsIn, from, to),
    role,
    from,
    to,
    fromInvert,
    toInvert,
    fromOwn,
    toOwn,
    length,
    drainsOut,
    drainsIn,
    ends: endsOf(n, m, from, to),
    waysOut,
    coils: Int32Array.from(coilList),
    coilAt,
    downstreamFirst: order,
    onStandingCycle,
    cycles,
    onCycle: cycles === standingCycles ? onStandingCycle : marked(n, cycles),
  };
}

/** How many items node n has. */
export const rowLength = (rows: Rows, n: number): number => rows.start[n + 1] - rows.start[n];

function rows(n: number, m: number, key: Int32Array, wanted: (pipe: number) => boolean): Rows {
  const start = new Int32Array(n + 1);
  for (let p = 0; p < m; p++) if (wanted(p)) start[key[p] + 1]++;
  for (let i = 0; i < n; i++) start[i + 1] += start[i];
  const list = new Int32Array(start[n]);
  const fill = start.slice(0, n);
  for (let p = 0; p < m; p++) if (wanted(p)) list[fill[key[p]]++] = p;
  return { start, list };
}

function endsOf(n: number, m: number, from: Int32Array, to: Int32Array): Rows {
  const start = new Int32Array(n + 1);
  for (let p = 0; p < m; p++) {
    start[from[p] + 1]++;
    start[to[p] + 1]++;
  }
  for (let i = 0; i < n; i++) start[i + 1] += start[i];
  const list = new Int32Array(2 * m);
  const fill = start.slice(0, n);
  for (let p = 0; p < m; p++) {
    list[fill[from[p]]++] = 2 * p;
    list[fill[to[p]]++] = 2 * p + 1;
  }
  return { start, list };
}

function marked(n: number, groups: readonly (readonly number[])[]): Uint8Array {
  const mark = new Uint8Array(n);
  for (const group of groups) for (const node of group) mark[node] = 1;
  return mark;
}

/** Kahn's algorithm from the ends upward; cycle nodes start as ends, so that what is above them still has its turn. */
function downstreamFirst(n: number, out: Rows, into: Rows, from: Int32Array, onCycle: Uint8Array): Int32Array {
  const order = new Int32Array(n);
  const open = new Int32Array(n);
  let head = 0;
  let tail = 0;
  for (let i = 0; i < n; i++) {
    open[i] = onCycle[i] ? 0 : rowLength(out, i);
    if (open[i] === 0) order[tail++] = i;
  }
  while (head < tail) {
    const node = order[head++];
    for (let k = into.start[node]; k < into.start[node + 1]; k++) {
      const above = from[into.list[k]];
      if (!onCycle[above] && --open[above] === 0) order[tail++] = above;
    }
  }
  return order;
}

/** Half-widths with those of derived nodes taken from the stated nodes on either side, along the drains. */
function spreadOf(
  nodes: readonly ModelNode[],
  tolerance: Float64Array,
  order: Int32Array,
  out: Rows,
  into: Rows,
  from: Int32Array,
  to: Int32Array,
): Compiled["spread"] {
  if (!nodes.some((node) => node.derived)) return { most: tolerance, least: tolerance };
  const below = tolerance.slice();
  const above = tolerance.slice();
  for (const node of order)
    if (nodes[node].derived && rowLength(out, node) > 0) below[node] = below[to[out.list[out.start[node]]]];
  for (let k = order.length - 1; k >= 0; k--) {
    const node = order[k];
    if (nodes[node].derived && rowLength(into, node) > 0) above[node] = above[from[into.list[into.start[node]]]];
  }
  return {
    most: below.map((half, i) => Math.max(half, above[i])),
    least: below.map((half, i) => Math.min(half, above[i])),
  };
}
