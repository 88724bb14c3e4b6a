/**
 * A figure with its tolerance: the true value lies somewhere in [low, high]; `best` is the value as if the
 * tolerance were zero. No statistics: half-widths add.
 */
export interface Interval {
  readonly low: number;
  readonly best: number;
  readonly high: number;
}

/** One micrometre. Differences of level and depths at or below it are zero (metres). */
export const EPSILON = 1e-6;

/** A figure without tolerance. */
export const exact = (value: number): Interval => ({ low: value, best: value, high: value });

/** A figure known to ± half-width. */
export const within = (best: number, halfWidth: number): Interval => ({
  low: best - halfWidth,
  best,
  high: best + halfWidth,
});

/** `value` is at most `limit`, equality within 1 µm or 1e-9 relative counting as met. */
export const atMost = (value: number, limit: number): boolean =>
  value <= limit + EPSILON || value <= limit + Math.abs(limit) * 1e-9;

/** `value` is at least `limit`, equality within 1 µm or 1e-9 relative counting as met. */
export const atLeast = (value: number, limit: number): boolean =>
  value >= limit - EPSILON || value >= limit - Math.abs(limit) * 1e-9;
