import type { SizeTable } from "./profile.js";

/**
 * Nominal size that a table asks for: rows are (lower, upper], equality within 1e-9 counting as met.
 * @param capacity connected cooling capacity, W
 * @returns DN number; 0 for no capacity at all; NaN above the last row, or where the capacity is NaN
 */
export const sizeByTable = (table: SizeTable, capacity: number): number => {
  if (capacity === 0) return 0;
  for (const row of table.rows) if (capacity <= row.upTo * (1 + 1e-9)) return row.size;
  return Number.NaN;
};
