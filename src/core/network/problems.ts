import { distance } from "fastest-levenshtein";
import type { Problem } from "./model.js";

/** How many problems are listed; all are counted. */
export const MAX_LISTED = 100;

/** How many names are compared for hints over a whole reading, so that hints stay cheap in a document of any size. */
const MAX_COMPARISONS = 400_000;

/** One step of a JSON pointer (RFC 6901). */
export const step = (key: string | number): string =>
  typeof key === "number" ? `/${key}` : `/${key.replace(/~/g, "~0").replace(/\//g, "~1")}`;

/** A document's own word inside a sentence: short, quoted, without what could break a line or reorder it. */
export const quoted = (text: string): string => {
  const printable = text.replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/gu, "�");
  return printable.length > 64 ? `"${printable.slice(0, 60)}…"` : `"${printable}"`;
};

/** Collects what is wrong: lists the first hundred, counts every one. */
export class ProblemList {
  readonly listed: Problem[] = [];
  total = 0;
  #comparisons = 0;

  /** Whether another problem would still be listed: where not, its words need not be made. */
  get listing(): boolean {
    return this.listed.length < MAX_LISTED;
  }

  add(pointer: string, code: string, detail: string, hint?: string): void {
    this.total += 1;
    if (this.listing)
      this.listed.push(hint === undefined ? { pointer, code, detail } : { pointer, code, detail, hint });
  }

  /** Counts problems without words. */
  count(more: number): void {
    this.total += more;
  }

  /**
   * The known name nearest to a given one, if it is near enough to be a slip of the pen; undefined where none is, or
   * where hints have cost enough already.
   */
  nearest(name: string, known: Iterable<string>): string | undefined {
    if (name.length > 128) return undefined;
    const folded = name.toLowerCase();
    let best: string | undefined;
    let least = Math.max(2, Math.floor(name.length / 3)) + 1;
    for (const candidate of known) {
      if (this.#comparisons >= MAX_COMPARISONS) break;
      this.#comparisons += 1;
      if (Math.abs(candidate.length - name.length) >= least) continue;
      const apart = distance(folded, candidate.toLowerCase());
      if (apart < least || (apart === least && best !== undefined && candidate < best)) {
        least = apart;
        best = candidate;
        if (apart === 0) break;
      }
    }
    return best;
  }
}
