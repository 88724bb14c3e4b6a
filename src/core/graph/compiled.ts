import type { Model, ModelNode, ModelPipe } from "../network/model.js";

/** Node kinds as small integers. */
export const KIND = {
  coil: 0,
  trap: 1,
  junction: 2,
  bend: 3,
  reducer: 4,
  point: 5,
  vent: 6,
  cleanout: 7,
  pump: 8,
  outlet: 9,
} as const;

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
  /** index into model.nodes → node index */
  readonly nodeRank: Int32Array;
  /** node: KIND */
  readonly kind: Uint8Array;
  /** node: invert */
  readonly z: Float64Array;
  /** node: half-width of z and of the pipe ends at the node */
  readonly tolerance: Float64Array;
  /**
   * node: how far its own level may be off. A derived node adds nothing to a sum, but what stands at it is as uncertain as
   * at the stated nodes on either side: `spread.most` is the larger of theirs, `spread.least` the smaller.
   */
  readonly spread: { readonly most: Float64Array; readonly least: Float64Array };
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
  /** pipes of role drain leaving / entering a node, ascending */
  readonly drainsOut: Rows;
  readonly drainsIn: Rows;
  /** every pipe end at a node: pipe*2 for its from end, pipe*2+1 for its to end, ascending */
  readonly ends: Rows;
  /**
   * What carries water away from a node: its drains; where there are none, a pump's discharge; where there is neither
   * and the node is no coil, its secondary and auxiliary pipes (a second line's own path).
   */
  readonly waysOut: Rows;
  /** fan coils, ascending node indices */
  readonly coils: Int32Array;
  /** node → position in coils, -1 */
  readonly coilAt: Int32Array;
  /**
   * Nodes with every way out before the nodes that it leaves (downstream first), pumps and outlets being ends, nodes on
   * a cycle placed as if they were ends.
   */
  readonly downstreamFirst: Int32Array;
  /** node → 1 where it lies on a cycle of drains that no pump interrupts */
  readonly onStandingCycle: Uint8Array;
  /** strongly connected groups of drains, each ascending, by first node */
  readonly cycles: readonly (readonly number[])[];
  /** node → 1 where it is in one of them */
  readonly onCycle: Uint8Array;
}

/** Compressed rows: the items of n are list[start[n]] … list[start[n + 1] - 1]. */
export interface Rows {
  readonly start: Int32Array;
  readonly list: Int32Array;
}
