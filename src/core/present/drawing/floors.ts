import type { Compiled } from "../../graph/compiled.js";
import { EPSILON } from "../../quantity/interval.js";

/** One level of the picture, from its floor to the next. */
export interface Row {
  /** ids of the floors at this level; none below the lowest floor, and where the document has no floors */
  readonly ids: readonly string[];
  readonly name: string;
  /** m; NaN where there is none */
  readonly elevation: number;
}

export interface Floors {
  /** from the lowest */
  readonly rows: readonly Row[];
  /** node → row */
  readonly row: Int32Array;
}

/** Rows by elevation: a node stands on the highest floor that is not above it. */
export function floorsOf({ model, z }: Compiled): Floors {
  const rising = [...model.floors].sort((a, b) => a.elevation - b.elevation);
  const rows: Row[] = [];
  for (const floor of rising) {
    const last = rows[rows.length - 1];
    const name = floor.name ?? floor.id;
    if (last !== undefined && floor.elevation - last.elevation <= EPSILON)
      rows[rows.length - 1] = {
        ids: [...last.ids, floor.id],
        name: `${last.name}, ${name}`,
        elevation: last.elevation,
      };
    else rows.push({ ids: [floor.id], name, elevation: floor.elevation });
  }
  const lowest = rows[0];
  let least = Number.POSITIVE_INFINITY;
  for (const level of z) least = Math.min(least, level);
  if (lowest === undefined || least < lowest.elevation - EPSILON)
    rows.unshift({ ids: [], name: lowest === undefined ? "" : `Below ${lowest.name}`, elevation: Number.NaN });
  const levels = rows.map(({ elevation }) =>
    Number.isNaN(elevation) ? Number.NEGATIVE_INFINITY : elevation - EPSILON,
  );
  const row = Int32Array.from(z, (level) => {
    let low = 0;
    let high = levels.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (levels[middle] <= level) low = middle;
      else high = middle - 1;
    }
    return low;
  });
  return { rows, row };
}
