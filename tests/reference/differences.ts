/** One value that differs between two answers. */
export interface Difference {
  /** keys and, in lists of things with an id, their ids: `pools[N3].level` */
  readonly path: string;
  readonly reference: unknown;
  readonly product: unknown;
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** equal within 1e-9 relative or 1e-9 absolute (metres, where it is a level) */
const sameNumber = (a: number, b: number): boolean =>
  a === b || Math.abs(a - b) <= 1e-9 || Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b));

/** figures of flow and volume are far below a metre: an absolute allowance would hide them */
const SMALL = new Set(["designFlow", "condensateRate", "capacity", "volume", "primingVolume"]);
const sameSmall = (a: number, b: number): boolean =>
  Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b)) || Math.abs(a - b) < 1e-14;

/** Every value of `reference` that `product` gives otherwise, in reading order. */
export const differences = (reference: unknown, product: unknown, path = ""): Difference[] => {
  if (typeof reference === "number" && typeof product === "number") {
    const key = path.slice(path.lastIndexOf(".") + 1);
    const same = SMALL.has(key) ? sameSmall(reference, product) : sameNumber(reference, product);
    return same ? [] : [{ path, reference, product }];
  }
  if (Array.isArray(reference) && Array.isArray(product)) {
    const nameOf = (item: unknown): unknown => (isRecord(item) ? (item.id ?? item.fanCoil) : undefined);
    const ids = (list: unknown[]): string => JSON.stringify(list.map(nameOf));
    if (reference.length !== product.length || ids(reference) !== ids(product)) {
      const short = (list: unknown[]): unknown => list.map((item) => nameOf(item) ?? item);
      return [{ path: `${path}[]`, reference: short(reference), product: short(product) }];
    }
    return reference.flatMap((item, i) => differences(item, product[i], `${path}[${nameOf(item) ?? i}]`));
  }
  if (isRecord(reference) && isRecord(product)) {
    const keys = new Set([...Object.keys(reference), ...Object.keys(product)]);
    return [...keys].flatMap((key) => differences(reference[key], product[key], path === "" ? key : `${path}.${key}`));
  }
  return Object.is(reference, product) ? [] : [{ path, reference, product }];
};
