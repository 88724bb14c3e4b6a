import { closest, distance } from "fastest-levenshtein";

/** The known word that was most likely meant, or null when none is near. */
export const nearest = (word: string, known: readonly string[]): string | null => {
  if (known.length === 0 || word.length > 64) return null;
  const candidate = closest(word.toLowerCase(), [...known]);
  return distance(word.toLowerCase(), candidate.toLowerCase()) <= Math.max(2, candidate.length / 3) ? candidate : null;
};
