import type { Model, ModelNode, ModelPipe } from "../network/model.js";

/** Node kinds as small integers, in the order of NODE_KINDS. */
export const KIND = { coil: 0, trap: 1, junction: 2, bend: 3, reducer: 4, point: 5, vent: 6, cleanout: 7, pump: 8, outlet: 9 } as const;
/** Pipe roles as small integers. */
export const ROLE = { drain: 0, vent: 1, secondary: 2, auxiliary: 3, pressure: 4, access: 5 } as const;

/**
 * The network on flat arrays. Node and pipe indices ARE ranks in the natural order of ids: "first in natural order" is
 * "lowest index", and lists made in index order are in natural order. Lengths and levels in metres, NaN = unknown.
 */
export interface Compiled {
  readonly model: Model;
  readonly nodeCount: number;
  readonly pipeCount: number;
  readonly nodes: readonly ModelNode[];
  readonly pipes: readonly ModelPipe[];
  /** node: KIND */
  readonly kind: Uint8Array;
  /** node: invert */
  readonly z: Float64Array;
  /** node: half-width of z and of the pipe ends at the node */
  readonly tolerance: Float64Array;
  /** pipe: ROLE */
  readonly role: Uint8Array;
  readonly from: Int32Array;
  readonly to: Int32Array;
  readonly fromInvert: Float64Array;
  readonly toInvert: Float64Array;
  /** pipe: 1 where the end has an elevation of its own (not the node's) */
  readonly fromOwn: Uint8Array;
  readonly toOwn: Uint8Array;
  readonly length: Float64Array;
  /** drains leaving / entering a node, compressed rows: pipes of node n are list[start[n]] … list[start[n+1]-1], ascending */
  readonly drainsOut: Rows;
  readonly drainsIn: Rows;
  /** every pipe of any role touching a node (at its from end: pipe*2, at its to end: pipe*2+1) */
  readonly ends: Rows;
  /** fan coils, ascending node indices */
  readonly coils: Int32Array;
  /** nodes in drain order (upstream before downstream) over all drains; nodes on a cycle are left out */
  readonly order: Int32Array;
  /** strongly connected groups of drains, each a list of nodes ascending, groups by first node */
  readonly cycles: readonly (readonly number[])[];
  readonly onCycle: Uint8Array;
}

export interface Rows {
  readonly start: Int32Array;
  readonly list: Int32Array;
}
