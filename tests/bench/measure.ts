/** Processor times of repeated runs: the median, and the spread between the quickest and the slowest, in milliseconds. */
export interface Timing {
  readonly median: number;
  readonly least: number;
  readonly most: number;
}

export const timingOf = (milliseconds: readonly number[]): Timing => {
  const sorted = [...milliseconds].sort((a, b) => a - b);
  return { median: sorted[sorted.length >> 1]!, least: sorted[0]!, most: sorted[sorted.length - 1]! };
};

const collect = (globalThis as { gc?: () => void }).gc;

/** Small work runs at least this long (ms) before it is timed, so that it is compiled by then. */
const WARM_UP = 3000;

/**
 * Processor time of this process since a call (ms), garbage collection included: what else the machine does meanwhile does
 * not count.
 */
export const stopwatch = (): (() => number) => {
  const start = process.cpuUsage();
  return () => {
    const { user, system } = process.cpuUsage(start);
    return (user + system) / 1000;
  };
};

/** Least of a few runs: what the work costs when nothing else runs. Absolute figures are never asserted. */
export const leastOf = async (runs: number, work: () => unknown): Promise<number> => {
  await work();
  const times: number[] = [];
  for (let run = 0; run < runs; run++) {
    const taken = stopwatch();
    await work();
    times.push(taken());
  }
  return timingOf(times).least;
};

/** Warms `work` up (twice at least), then times it `runs` times; garbage of the run before is collected outside the clock. */
export const measure = (work: () => unknown, runs: number): Timing => {
  const started = performance.now();
  work();
  do work();
  while (performance.now() - started < WARM_UP);
  const times: number[] = [];
  for (let run = 0; run < runs; run++) {
    collect?.();
    const taken = stopwatch();
    work();
    times.push(taken());
  }
  return timingOf(times);
};
