import type { Forest } from "./forest.js";

/** px that a node's own symbols and labels take around the point where its pipes meet, in a line that flows to the right. */
export interface Room {
  readonly left: number;
  readonly right: number;
  readonly up: number;
  readonly down: number;
  /** what stands beside and below a node of a riser, to the right */
  readonly beside: number;
}

/** What is to be laid out, and how much room each part of it takes. */
export interface Plan {
  readonly trees: Forest;
  /** node → row, counted from the lowest */
  readonly row: Int32Array;
  /** pipe → drawn plumb */
  readonly plumb: (pipe: number) => boolean;
  readonly room: (node: number) => Room;
  /** free length that a pipe of a line needs between its nodes, and height over it */
  readonly span: (pipe: number) => { readonly length: number; readonly up: number };
  readonly gap: number;
  /** least height between two joints of a riser on one floor */
  readonly step: number;
}

/** Where things stand: x to the right; y up from the bottom of the node's row. */
export interface Places {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** node → 1 where its line flows to the right, -1 to the left */
  readonly flow: Int8Array;
  /** by tree, in the order of the forest's roots */
  readonly trees: readonly PlacedTree[];
}

export interface PlacedTree {
  readonly root: number;
  /** row → what the tree takes of it: from and to (x), height */
  readonly rows: ReadonlyMap<number, Extent>;
}

export interface Extent {
  readonly left: number;
  readonly right: number;
  readonly height: number;
}

/**
 * Lays trees out: floors one over the other, plumb pipes plumb, branches to both sides of the risers that they enter,
 * lines along a floor level, and nothing over anything else. Work grows with the number of nodes and of the floors that
 * risers pass.
 */
export function layOut(plan: Plan): Places {
  const { trees, row } = plan;
  const n = trees.parent.length;
  const { parent, via, order } = trees;
  const first = new Int32Array(n).fill(-1);
  const sibling = new Int32Array(n).fill(-1);
  const size = new Int32Array(n).fill(1);
  for (let k = order.length - 1; k >= 0; k--) {
    const v = order[k];
    if (parent[v] < 0) continue;
    sibling[v] = first[parent[v]];
    first[parent[v]] = v;
    size[parent[v]] += size[v];
  }
  /** relative to the parent, in the parent's own direction */
  const dx = new Float64Array(n);
  const dy = new Float64Array(n);
  const turned = new Uint8Array(n);
  /** height over the bottom of its row of what stands lowest in it; NaN: it stands where its parent does */
  const anchored = new Float64Array(n).fill(Number.NaN);
  const pieces: (Piece | null)[] = new Array(n).fill(null);

  for (let k = order.length - 1; k >= 0; k--) {
    const v = order[k];
    const kids: number[] = [];
    for (let c = first[v]; c >= 0; c = sibling[c]) kids.push(c);
    kids.sort((a, b) => size[b] - size[a] || a - b);
    pieces[v] = combine(v, kids);
    for (const c of kids) pieces[c] = null;
  }

  const x = new Float64Array(n);
  const y = new Float64Array(n);
  const flow = new Int8Array(n);
  const placed: PlacedTree[] = [];
  for (const v of order) {
    const up = parent[v];
    if (up < 0) {
      const piece = pieces[v]!;
      y[v] = deepest(piece);
      flow[v] = 1;
      piece.sky.enter(row[v], -piece.left, piece.right, highest(piece) + deepest(piece));
      placed.push({ root: v, rows: piece.sky.rows() });
    } else {
      x[v] = x[up] + flow[up] * dx[v];
      flow[v] = turned[v] ? (-flow[up] as 1 | -1) : flow[up];
      y[v] = Number.isNaN(anchored[v]) ? y[up] + dy[v] : anchored[v];
    }
  }
  return { x, y, flow, trees: placed };

  function combine(v: number, kids: readonly number[]): Piece {
    const room = plan.room(v);
    const riser = kids.findIndex((c) => plan.plumb(via[c]) && row[c] >= row[v]);
    const isRiser = riser >= 0 || (via[v] >= 0 && plan.plumb(via[v]));
    const lines = kids.filter((_, i) => i !== riser);
    return isRiser ? onRiser(v, room, riser < 0 ? -1 : kids[riser], lines) : onLine(v, room, lines);
  }

  /** The water of a line comes in from the left: the main line straight, others from above it, nearer to the node. */
  function onLine(v: number, room: Room, lines: readonly number[]): Piece {
    const piece = standing(room);
    const [main, ...sides] = lines;
    let clear = main === undefined ? room.up : plan.span(via[main]).up;
    let sideLeft = 0;
    for (const c of sides) {
      const own = pieces[c]!;
      const away = distance(c, room.left);
      if (row[c] === row[v]) {
        clear += deepest(own) + plan.gap;
        dx[c] = -away;
        dy[c] = clear;
        clear += highest(own);
        sideLeft = Math.max(sideLeft, away + own.left);
        piece.up[LEFT] = Math.max(piece.up[LEFT], clear);
      } else {
        anchor(c, own);
        dx[c] = -Math.max(away, piece.sky.clearance(own.sky, -1, plan.gap));
      }
      piece.sky.take(own.sky, dx[c], false);
    }
    if (main !== undefined) {
      const own = pieces[main]!;
      let away = distance(main, room.left);
      if (row[main] === row[v]) {
        if (sides.length > 0) away = Math.max(away, sideLeft + plan.gap + own.right);
        piece.up[LEFT] = Math.max(piece.up[LEFT], highest(own), plan.span(via[main]).up);
        piece.down[LEFT] = Math.max(piece.down[LEFT], deepest(own));
      } else anchor(main, own);
      dx[main] = -Math.max(away, piece.sky.clearance(own.sky, -1, plan.gap));
      if (row[main] === row[v]) piece.left = Math.max(piece.left, -dx[main] + own.left);
      piece.sky.take(own.sky, dx[main], false);
    }
    piece.left = Math.max(piece.left, sideLeft);
    return piece;
  }

  /** Branches enter a riser from both sides in turn; two from one side at one joint one over the other. */
  function onRiser(v: number, room: Room, riser: number, lines: readonly number[]): Piece {
    const piece = standing({ ...room, right: Math.max(room.right, room.beside) });
    for (const [side, reach] of [room.left, room.right].entries())
      if (reach > NARROW) {
        piece.up[side] = room.up;
        piece.down[side] = room.down;
      }
    if (room.beside > 0) piece.down[RIGHT] = Math.max(piece.down[RIGHT], BESIDE);
    const upper = riser < 0 ? null : pieces[riser]!;
    const together = riser >= 0 && row[riser] === row[v];
    if (upper !== null) {
      if (!together) {
        anchor(riser, upper);
        for (let r = row[v] + 1; r < row[riser]; r++) upper.sky.enter(r, -RISER_ROOM, RISER_ROOM, 0);
      }
      piece.sky.take(upper.sky, 0, false);
    }
    /** height over the joint up to which each side is taken by its own branches */
    const over = [0, 0];
    /** how far down branches that enter above hang on each side */
    const hanging = together ? upper!.hanging : [EMPTY, EMPTY];
    const taken = (side: 0 | 1): number => over[side] + Math.max(hanging[side], -FAR);
    for (const c of lines) {
      const own = pieces[c]!;
      const same = row[c] === row[v];
      const side = taken(LEFT) <= taken(RIGHT) ? LEFT : RIGHT;
      turned[c] = side;
      const away = distance(c, side === LEFT ? room.left : Math.max(room.right, room.beside));
      if (same) {
        dy[c] = over[side] > 0 ? over[side] + deepest(own) + plan.gap : 0;
        over[side] = dy[c] + Math.max(highest(own), plan.span(via[c]).up);
        piece.up[side] = Math.max(piece.up[side], over[side]);
        if (dy[c] === 0) {
          piece.down[side] = Math.max(piece.down[side], deepest(own));
          piece.hanging[side] = deepest(own);
        }
      } else {
        anchor(c, own);
        over[side] += 1;
      }
      const sign = side === LEFT ? -1 : 1;
      dx[c] = sign * Math.max(away, piece.sky.clearance(own.sky, sign, plan.gap));
      if (same) {
        if (side === LEFT) piece.left = Math.max(piece.left, -dx[c] + own.left);
        else piece.right = Math.max(piece.right, dx[c] + own.left);
      }
      piece.sky.take(own.sky, dx[c], side === RIGHT);
    }
    if (together) {
      const rise = Math.max(
        plan.step,
        room.up + upper!.nearDown,
        piece.up[LEFT] + upper!.down[LEFT],
        piece.up[RIGHT] + upper!.down[RIGHT],
      );
      dy[riser] = rise;
      for (const side of [LEFT, RIGHT] as const) {
        piece.up[side] = Math.max(piece.up[side], rise + upper!.up[side]);
        piece.down[side] = Math.max(piece.down[side], upper!.down[side] - rise);
        piece.hanging[side] = Math.max(piece.hanging[side], upper!.hanging[side] - rise);
      }
      piece.nearUp = Math.max(piece.nearUp, rise + upper!.nearUp);
      piece.left = Math.max(piece.left, upper!.left);
      piece.right = Math.max(piece.right, upper!.right);
    }
    return piece;
  }

  /** from a node to the one that its water goes on to, which itself takes `room` on that side */
  function distance(c: number, room: number): number {
    return plan.room(c).right + plan.span(via[c]).length + room;
  }

  /** What stands in a row of its own stands on that row's bottom. */
  function anchor(c: number, own: Piece): void {
    anchored[c] = deepest(own);
    own.sky.enter(row[c], -own.left, own.right, deepest(own) + highest(own));
  }
}

/** Height below a riser's node of what stands beside it. */
const BESIDE = 18;
const RISER_ROOM = 4;
/** What reaches further out from a riser is in the way of its branches. */
const NARROW = 5;

const LEFT = 0;
const RIGHT = 1;
/** px; more than any part of a floor takes */
const FAR = 1e6;
/** nothing stands there */
const EMPTY = Number.NEGATIVE_INFINITY;

/** What drains through a node, as laid out around it: in the node's own row and, `sky`, in all others. */
interface Piece {
  left: number;
  right: number;
  /** over and below the node's own level, of what stands close to it */
  nearUp: number;
  readonly nearDown: number;
  /** the same of what stands further out, on the left and on the right */
  readonly up: [number, number];
  readonly down: [number, number];
  /** the part of `down` that branches take */
  readonly hanging: [number, number];
  readonly sky: Sky;
}

const standing = (room: Room): Piece => ({
  left: room.left,
  right: room.right,
  nearUp: room.up,
  nearDown: room.down,
  up: [EMPTY, EMPTY],
  down: [EMPTY, EMPTY],
  hanging: [EMPTY, EMPTY],
  sky: new Sky(),
});

const highest = ({ nearUp, up }: Piece): number => Math.max(nearUp, up[LEFT], up[RIGHT]);
const deepest = ({ nearDown, down }: Piece): number => Math.max(nearDown, down[LEFT], down[RIGHT]);

/** Extents by row, moved and mirrored as a whole without touching each. */
class Sky {
  #rows = new Map<number, { left: number; right: number; height: number }>();
  #move = 0;
  #mirrored = false;

  enter(row: number, left: number, right: number, height: number): void {
    const [from, to] = this.#mirrored
      ? [this.#move - right, this.#move - left]
      : [left - this.#move, right - this.#move];
    const known = this.#rows.get(row);
    if (known === undefined) this.#rows.set(row, { left: from, right: to, height });
    else {
      known.left = Math.min(known.left, from);
      known.right = Math.max(known.right, to);
      known.height = Math.max(known.height, height);
    }
  }

  #at(row: number): Extent | null {
    const own = this.#rows.get(row);
    if (own === undefined) return null;
    const { left, right, height } = own;
    return this.#mirrored
      ? { left: this.#move - right, right: this.#move - left, height }
      : { left: left + this.#move, right: right + this.#move, height };
  }

  rows(): Map<number, Extent> {
    return new Map([...this.#rows.keys()].map((row) => [row, this.#at(row)!]));
  }

  /** How far to the left (-1) or right (1) another must stand so that it clears this one in every row. */
  clearance(other: Sky, side: -1 | 1, gap: number): number {
    const [few, many] = this.#rows.size <= other.#rows.size ? [this, other] : [other, this];
    let away = 0;
    for (const row of few.#rows.keys()) {
      if (!many.#rows.has(row)) continue;
      const own = this.#at(row)!;
      const theirs = other.#at(row)!;
      // on the right the other is mirrored
      away = Math.max(away, side < 0 ? gap + theirs.right - own.left : gap + own.right + theirs.right);
    }
    return away;
  }

  /** Takes over what another holds, moved to where it stands now. The larger keeps its own. */
  take(other: Sky, move: number, mirrored: boolean): void {
    other.#moveBy(move, mirrored);
    if (other.#rows.size > this.#rows.size) {
      [this.#rows, other.#rows] = [other.#rows, this.#rows];
      [this.#move, other.#move] = [other.#move, this.#move];
      [this.#mirrored, other.#mirrored] = [other.#mirrored, this.#mirrored];
    }
    for (const row of other.#rows.keys()) {
      const { left, right, height } = other.#at(row)!;
      this.enter(row, left, right, height);
    }
  }

  #moveBy(move: number, mirrored: boolean): void {
    if (mirrored) {
      this.#mirrored = !this.#mirrored;
      this.#move = -this.#move;
    }
    this.#move += move;
  }
}
