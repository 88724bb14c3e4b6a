type Key = string | number | boolean | null;
type Level = Map<Key, Level | number>;

/**
 * What depends on nothing but a few figures, computed once for all that share them: the many pipes of a building are of
 * a handful of sorts.
 */
export class Alike<T> {
  /** one for each combination met, in the order in which they were met */
  readonly all: T[] = [];
  readonly #root: Level = new Map();
  #last: readonly Key[] = [];
  #lastAt = -1;

  /** Index into `all` of the combination, made where it is new. Every call has as many figures as the first. */
  of(key: readonly Key[], make: () => T): number {
    if (this.#lastAt >= 0 && key.every((part, i) => part === this.#last[i])) return this.#lastAt;
    let level = this.#root;
    for (let i = 0; i + 1 < key.length; i++) {
      let next = level.get(key[i]) as Level | undefined;
      if (next === undefined) {
        next = new Map();
        level.set(key[i], next);
      }
      level = next;
    }
    const end = key[key.length - 1];
    let at = level.get(end) as number | undefined;
    if (at === undefined) {
      at = this.all.length;
      this.all.push(make());
      level.set(end, at);
    }
    this.#last = key;
    this.#lastAt = at;
    return at;
  }
}
