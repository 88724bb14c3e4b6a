/** Watts of a ton of refrigeration. */
export const TON = 3516.8528420667;

/**
 * Nominal sizes for connected tons, the larger of two tables: the code's (20, 40, 90, 125, 250 t) and the far more cautious
 * good-practice one of a published design guide (2, 5, 30, 50, 160, 300, 430 t). The second governs throughout.
 */
const SIZES: readonly (readonly [tons: number, size: number])[] = [
  [2, 20],
  [5, 25],
  [30, 32],
  [50, 40],
  [160, 50],
  [300, 80],
  [430, 100],
];
export const sizeFor = (watts: number): number => (SIZES.find(([tons]) => watts <= tons * TON) ?? [0, 150])[1];
