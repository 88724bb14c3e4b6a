/** Levels at least so far apart, each as near to its own as the others let it. */
export function spread(levels: readonly number[], apart: number): number[] {
  return spreadBoxes(
    levels,
    levels.map(() => apart),
    0,
    Number.NEGATIVE_INFINITY,
    Number.POSITIVE_INFINITY,
  );
}

/** Boxes in a row that do not overlap, each as near to where it wants to be as its neighbors let it; the order stays. */
export function spreadBoxes(
  wanted: readonly number[],
  widths: readonly number[],
  gap: number,
  from: number,
  to: number,
): number[] {
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a]! - wanted[b]! || a - b);
  const places = new Array<number>(wanted.length);
  let edge = from;
  for (const i of order) {
    places[i] = Math.max(wanted[i]!, edge);
    edge = places[i]! + widths[i]! + gap;
  }
  edge = to + gap;
  for (const i of [...order].reverse()) {
    places[i] = Math.min(places[i]!, edge - gap - widths[i]!);
    edge = places[i]!;
  }
  return places;
}
