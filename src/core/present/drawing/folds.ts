import { some } from "../layout.js";
import { plain } from "../plain.js";
import type { Band } from "./bands.js";
import type { Pen } from "./draw-elements.js";
import type { Floors } from "./floors.js";
import type { Places } from "./layout.js";
import { isPlumb, type Scene } from "./scene.js";

/** fewer floors are not worth a fold */
const LEAST_FOLD = 2;
const LEAST_ROW = 26;

export interface Shown {
  readonly row: number;
  readonly height: number;
}

/** Floors of which each is like one that is drawn. */
export interface Fold {
  /** from the top */
  readonly like: readonly { readonly row: number; readonly as: number }[];
}

/** Rows of a band from the top; a run of rows that each look like one drawn above it is left out. */
export function rowsOf({ rows }: Band, look: ((row: number) => string) | null): (Shown | Fold)[] {
  const used = [...rows.keys()];
  const highest = used.reduce((a, b) => Math.max(a, b));
  const lowest = used.reduce((a, b) => Math.min(a, b));
  const shown = (row: number): Shown => ({ row, height: Math.max(LEAST_ROW, (rows.get(row)?.height ?? 0) + 7) });
  const list: (Shown | Fold)[] = [];
  if (look === null) {
    for (let row = highest; row >= lowest; row--) list.push(shown(row));
    return list;
  }
  const drawnAs = new Map<string, number>();
  for (let row = highest; row >= lowest; ) {
    const like: { row: number; as: number }[] = [];
    for (let next = row; next > lowest; next--) {
      const as = drawnAs.get(look(next));
      if (as === undefined) break;
      like.push({ row: next, as });
    }
    if (like.length >= LEAST_FOLD) {
      list.push({ like });
      row -= like.length;
      continue;
    }
    list.push(shown(row));
    if (!drawnAs.has(look(row))) drawnAs.set(look(row), row);
    row--;
  }
  return list;
}

/** `7 floors as drawn above: Level 35 to Level 33 and Level 31 as Level 38; Level 32 as Level 36` */
export function foldWords({ like }: Fold, { rows }: Floors): string {
  const name = (row: number) => plain(rows[row].name);
  const groups = new Map<number, number[]>();
  for (const { row, as } of like) {
    const known = groups.get(as);
    if (known === undefined) groups.set(as, [row]);
    else known.push(row);
  }
  const said = [...groups].map(([as, group]) => {
    const runs: [number, number][] = [];
    for (const row of group) {
      const last = runs[runs.length - 1];
      if (last !== undefined && last[1] === row + 1) last[1] = row;
      else runs.push([row, row]);
    }
    const parts = runs.map(([high, low]) => (high === low ? name(high) : `${name(high)} to ${name(low)}`));
    return `${some(parts, parts.length)} as ${name(as)}`;
  });
  return `${like.length} floors as drawn above: ${said.join("; ")}`;
}

/** What each row looks like, names apart. */
export function looksOf(
  {
    places,
    scene,
    pen,
    shift,
  }: { readonly places: Places; readonly scene: Scene; readonly pen: Pen; readonly shift: Float64Array },
  floors: Floors,
  own: readonly number[],
): (row: number) => string {
  const { trees, marks, emphasis, labels, audited } = scene;
  const { net, facts } = audited;
  const looks = new Map<number, string[]>();
  for (const v of own) {
    const p = trees.via[v];
    const stubs = (trees.stubs.get(v) ?? []).map(({ end, device, pipes }) => [
      end < 0
        ? `d${facts.circuits.devices[device].works}`
        : JSON.stringify([net.nodes[end].vent, net.nodes[end].cleanout?.capped]),
      end < 0 ? "" : marks.ofNode(end).map(({ number }) => number),
      pipes.map((each) => [
        [...marks.ofPipe(each), ...marks.ofNode(net.to[each])].map(({ number }) => number),
        emphasis?.pipes.has(each),
      ]),
      emphasis?.flood?.spills.has(end),
    ]);
    const tail = trees.tails.get(v);
    const trap = net.nodes[v].trap;
    const look = JSON.stringify([
      Math.round(shift[v] + places.x[v]),
      Math.round(places.y[v]),
      net.kind[v],
      marks.ofNode(v).map(({ number }) => number),
      emphasis?.nodes.has(v),
      facts.water.poolOfNode[v] >= 0,
      trap === null ? "" : [trap.sealType, trap.primed !== false && trap.sealDepth !== 0],
      stubs,
      tail === undefined
        ? ""
        : [tail.nodes.map((node) => net.kind[node]), tail.pipes.map((each) => marks.ofPipe(each).length)],
      (pen.devices.get(v) ?? []).map((device) => facts.circuits.devices[device].works),
      labels.riser(v),
      scene.riserHead.get(v),
      scene.linksOf(v).map(({ number }) => number),
      p < 0
        ? ""
        : [
            net.role[p],
            isPlumb(audited, p),
            facts.topology.common[p],
            labels.pipe(p),
            marks.ofPipe(p).map(({ number }) => number),
            emphasis?.pipes.has(p),
            facts.water.poolOfEnd[2 * p] >= 0,
            facts.water.poolOfEnd[2 * p + 1] >= 0,
            pen.locked(p),
            floors.row[v] - floors.row[trees.parent[v]],
            Math.round(places.x[trees.parent[v]] - places.x[v]),
          ],
    ]);
    const known = looks.get(floors.row[v]);
    if (known === undefined) looks.set(floors.row[v], [look]);
    else known.push(look);
  }
  const whole = new Map([...looks].map(([row, each]) => [row, each.sort().join("\n")]));
  return (row) => whole.get(row) ?? "";
}
