// Stretches of time, each from an instant (ms) up to another that is no longer in it.

export type Span = readonly [from: number, until: number];

/** Later than any Date; unlike Infinity it survives JSON. */
export const FOR_EVER = Number.MAX_SAFE_INTEGER;

/** The same instants in as few spans as possible, ascending. */
export const united = (spans: Iterable<Span>): Span[] => {
  const all = [...spans].filter(([from, until]) => from < until).sort(([a], [b]) => a - b);
  const merged: [number, number][] = [];
  for (const [from, until] of all) {
    const last = merged[merged.length - 1];
    if (last !== undefined && from <= last[1]) last[1] = Math.max(last[1], until);
    else merged.push([from, until]);
  }
  return merged;
};

/** What is left of `whole` outside of `gaps`. */
export const without = ([from, until]: Span, gaps: Iterable<Span>): Span[] => {
  const left: Span[] = [];
  let at = from;
  for (const [start, end] of united(gaps)) {
    if (start >= until) break;
    if (start > at) left.push([at, start]);
    at = Math.max(at, end);
  }
  if (at < until) left.push([at, until]);
  return left;
};

export const holds = ([from, until]: Span, at: number): boolean => from <= at && at < until;
