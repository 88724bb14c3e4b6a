import { type Compiled, ROLE } from "../graph/compiled.js";
import { bore } from "../materials/materials.js";
import { volumeBelowLevel } from "../physics/tilted-volume.js";
import { atLeast, EPSILON } from "../quantity/interval.js";

/**
 * What every analysis asks of a pipe's shape. `pressure` pipes are full by intention: their fall, run and grade are NaN.
 */
export interface Geometry {
  /** fromInvert − toInvert, m; differences at or below 1 µm are 0 */
  readonly fall: Float64Array;
  /** horizontal length, m */
  readonly run: Float64Array;
  /** fall ÷ run, NaN where run < 1 µm */
  readonly grade: Float64Array;
  /** 1 at 45° and steeper */
  readonly vertical: Uint8Array;
  /** inside diameter, m, NaN unknown */
  readonly bore: Float64Array;
  /** vertical height of the bore's section on a sloping pipe, D·cosθ, m */
  readonly crownHeight: Float64Array;
}

export function geometry(net: Compiled): Geometry {
  const m = net.pipeCount;
  const fall = new Float64Array(m);
  const run = new Float64Array(m);
  const grade = new Float64Array(m);
  const vertical = new Uint8Array(m);
  const inside = new Float64Array(m);
  const crownHeight = new Float64Array(m);
  for (let p = 0; p < m; p++) {
    const pipe = net.pipes[p];
    inside[p] =
      pipe.insideDiameter ?? (pipe.material !== null && pipe.size !== null ? bore(pipe.material, pipe.size) : NaN);
    if (net.role[p] === ROLE.pressure) {
      fall[p] = run[p] = grade[p] = crownHeight[p] = NaN;
      continue;
    }
    const drop = net.fromInvert[p] - net.toInvert[p];
    const f = Math.abs(drop) <= EPSILON ? 0 : drop;
    const r = runOf(net.length[p], f);
    fall[p] = f;
    run[p] = r;
    grade[p] = r < EPSILON ? NaN : f / r;
    vertical[p] = f !== 0 && atLeast(Math.abs(f), r) ? 1 : 0;
    crownHeight[p] = (inside[p] * r) / Math.hypot(r, f);
  }
  return { fall, run, grade, vertical, bore: inside, crownHeight };
}

/** A pipe is plumb when rounding alone parts its length from its fall: the root would make 1e-8 m of that. */
const runOf = (length: number, fall: number): number => {
  const beyond = length - Math.abs(fall);
  return beyond <= 1e-12 ? 0 : Math.sqrt(beyond * (length + Math.abs(fall)));
};

/** Water in a pipe below a level plane, m³; a run of less than 1 µm is rounding, and the pipe plumb. NaN: bore unknown. */
export const waterBelow = (net: Compiled, shape: Geometry, p: number, level: number): number =>
  volumeBelowLevel({
    insideDiameter: shape.bore[p],
    length: net.length[p],
    rise: shape.run[p] < EPSILON ? net.length[p] : Math.abs(shape.fall[p]),
    levelAboveLowInvert: level - Math.min(net.fromInvert[p], net.toInvert[p]),
  });
