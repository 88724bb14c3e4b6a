import type { Audited } from "../../audit/run.js";
import { KIND } from "../../graph/compiled.js";
import type { Forest } from "./forest.js";
import type { Extent, PlacedTree, Places } from "./layout.js";
import { isPlumb, type Scene } from "./scene.js";

export interface Band {
  /** roots of its trees with the x of each */
  readonly trees: { readonly root: number; readonly x: number }[];
  /** row → height of what stands in it, and how far to the right it is taken */
  readonly rows: Map<number, { height: number; right: number }>;
  width: number;
}

const BETWEEN_TREES = 22;

/**
 * Trees side by side as close as they come. Those that end as they should stand in their order, in as many bands below each
 * other as it takes, none much fuller than the others; the rest where there is room.
 */
export function bandsOf({ trees }: Places, room: number, roots: readonly number[]): Band[] {
  const byRoot = new Map(trees.map((tree) => [tree.root, tree]));
  const sound = roots.map((root) => byRoot.get(root)!);
  const isSound = new Set(roots);
  const inOrder = (limit: number): Band[] => {
    const bands: Band[] = [];
    for (const tree of sound) {
      const last = bands[bands.length - 1];
      if (last === undefined || reach(tree, last) > limit) bands.push(emptyBand());
      place(tree, bands[bands.length - 1]!);
    }
    return bands;
  };
  let bands = inOrder(room);
  if (bands.length > 1) {
    const widest = bands.reduce((most, { width }) => Math.max(most, width), 0);
    for (
      let limit = bands.reduce((sum, { width }) => sum + width, 0) / bands.length;
      limit < widest;
      limit += room / 20
    ) {
      const even = inOrder(limit);
      if (even.length > bands.length) continue;
      bands = even;
      break;
    }
  }
  for (const tree of trees) {
    if (isSound.has(tree.root)) continue;
    let band = bands.slice(-MOST_OPEN).find((each) => reach(tree, each) <= room);
    if (band === undefined) {
      band = emptyBand();
      bands.push(band);
    }
    place(tree, band);
  }
  return bands;
}

/** Trees that end at an outlet or pump, each after the pieces of it that were cut off, in the order of the flow. */
export function soundRoots(net: Audited["net"], { parent, order }: Forest, cuts: ReadonlySet<number>): number[] {
  const rootOf = new Int32Array(parent.length);
  for (const v of order) rootOf[v] = parent[v] < 0 ? v : rootOf[parent[v]];
  const pieces = new Map<number, number[]>();
  for (const p of cuts) {
    const root = rootOf[net.to[p]];
    pieces.set(root, [...(pieces.get(root) ?? []), net.from[p]]);
  }
  const roots: number[] = [];
  const add = (root: number): void => {
    for (const piece of pieces.get(root) ?? []) add(piece);
    roots.push(root);
  };
  for (const v of order) if (parent[v] < 0 && (net.kind[v] === KIND.outlet || net.kind[v] === KIND.pump)) add(v);
  return roots;
}

const emptyBand = (): Band => ({ trees: [], rows: new Map(), width: 0 });

/** How far to the right a tree would reach in a band. */
const reach = ({ rows }: PlacedTree, band: Band): number =>
  clear(rows, band) + [...rows.values()].reduce((most, { right }) => Math.max(most, right), 0);

function place(tree: PlacedTree, band: Band): void {
  band.width = Math.max(band.width, reach(tree, band));
  const x = clear(tree.rows, band);
  band.trees.push({ root: tree.root, x });
  for (const [row, extent] of tree.rows) {
    const known = band.rows.get(row);
    if (known === undefined) band.rows.set(row, { height: extent.height, right: x + extent.right });
    else {
      known.height = Math.max(known.height, extent.height);
      known.right = Math.max(known.right, x + extent.right);
    }
  }
}

/** bands that later trees may still fill up */
const MOST_OPEN = 8;

function clear(rows: ReadonlyMap<number, Extent>, band: Band): number {
  let x = Number.NEGATIVE_INFINITY;
  for (const [row, extent] of rows) {
    const taken = band.rows.get(row);
    x = Math.max(x, (taken === undefined ? 0 : taken.right + BETWEEN_TREES) - extent.left);
  }
  return x;
}

/** Pipes at which a line that is too long for the room is broken: it goes on in the next band. */
export function cutsOf(
  { places, scene }: { readonly places: Places; readonly scene: Scene },
  { parent, via, order }: Forest,
  room: number,
): Set<number> {
  const cuts = new Set<number>();
  const size = new Int32Array(parent.length).fill(1);
  for (let k = order.length - 1; k >= 0; k--) if (parent[order[k]] >= 0) size[parent[order[k]]] += size[order[k]];
  const main = new Int32Array(parent.length).fill(-1);
  for (const v of order) {
    const up = parent[v];
    if (up >= 0 && (main[up] < 0 || size[v] > size[main[up]])) main[up] = v;
  }
  for (const { root, rows } of places.trees) {
    const left = Math.min(...[...rows.values()].map((extent) => extent.left));
    if (places.x[root] - left <= room) continue;
    let start = places.x[root];
    for (let v = main[root]; v >= 0; v = main[v]) {
      if (start - places.x[v] <= room * FULL || isPlumb(scene.audited, via[v])) continue;
      cuts.add(via[v]);
      start = places.x[v];
    }
  }
  return cuts;
}

/** share of the room that a line fills before it is broken: what hangs on its last node needs some too */
const FULL = 0.86;
