import { distance } from "fastest-levenshtein";

/** ` (did you mean x?)` where one of the known words is close enough to have been meant; else nothing. */
export const nearest = (word: string, known: readonly string[]): string => {
  const short = word.slice(0, 80);
  const best = known
    .map((candidate) => ({ candidate, far: distance(short, candidate) }))
    .sort((a, b) => a.far - b.far)
    .at(0);
  return best !== undefined && best.far <= Math.max(2, short.length / 3) ? ` (did you mean ${best.candidate}?)` : "";
};
