import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { naturalOrder } from "../../../src/core/quantity/natural-order.js";

/** Ids that come near one another: few letters, digits with leading zeros, signs, characters beyond 16 bits. */
const id = fc.oneof(
  fc
    .array(fc.constantFrom("a", "b", "B", "-", "/", "0", "00", "1", "2", "10", "\uE000", "\uFFFD", "\u{1F4A7}", "é"), {
      maxLength: 6,
    })
    .map((parts) => parts.join("")),
  fc.string({ unit: "binary", maxLength: 12 }),
);

/** The rule written out slowly and otherwise: runs, BigInt, code points. */
const slowly = (a: string, b: string): number => {
  const runs = (text: string): string[] => text.match(/[0-9]+|[^0-9]+/gu) ?? [];
  const left = runs(a);
  const right = runs(b);
  for (let i = 0; i < Math.min(left.length, right.length); i += 1) {
    const x = left[i]!;
    const y = right[i]!;
    const xDigits = /^[0-9]/.test(x);
    const yDigits = /^[0-9]/.test(y);
    if (xDigits !== yDigits) return xDigits ? -1 : 1;
    if (xDigits) {
      if (BigInt(x) !== BigInt(y)) return BigInt(x) < BigInt(y) ? -1 : 1;
      if (x.length !== y.length) return x.length - y.length;
      continue;
    }
    const xs = Array.from(x, (c) => c.codePointAt(0)!);
    const ys = Array.from(y, (c) => c.codePointAt(0)!);
    for (let k = 0; k < Math.min(xs.length, ys.length); k += 1) if (xs[k] !== ys[k]) return xs[k]! - ys[k]!;
    // of two runs one of which begins the other: what follows the shorter decides, a digit or the end
    if (xs.length !== ys.length) return xs.length - ys.length;
  }
  return left.length - right.length;
};

describe("natural order of ids", () => {
  it.each([
    ["M-2", "M-10"],
    ["M-02", "M-10"],
    ["M-2", "M-02"],
    ["M-02", "M-3"],
    ["P1", "PA"],
    ["P", "P1"],
    ["9", "a"],
    ["B", "a"],
    ["a", "é"],
    ["a1b2", "a01b1"],
    ["x9007199254740993", "x9007199254740994"],
    ["x99999999999999999999999", "x100000000000000000000000"],
    ["\uFFFD", "\u{1F4A7}"],
    ["\uE000", "\u{10000}"],
    ["0", "00"],
    ["a/2/x", "a/10/x"],
    ["", "a"],
  ])("%j comes before %j", (first, second) => {
    expect(naturalOrder(first, second)).toBeLessThan(0);
    expect(naturalOrder(second, first)).toBeGreaterThan(0);
  });
  it("is a total order: antisymmetric, transitive, 0 for equal ids alone", () => {
    fc.assert(
      fc.property(id, id, id, (a, b, c) => {
        expect(Math.sign(naturalOrder(a, b))).toBe(-Math.sign(naturalOrder(b, a)) || 0);
        expect(naturalOrder(a, b) === 0).toBe(a === b);
        if (naturalOrder(a, b) <= 0 && naturalOrder(b, c) <= 0) expect(naturalOrder(a, c)).toBeLessThanOrEqual(0);
      }),
      { numRuns: 3000 },
    );
  });
  it("agrees with the rule written out in runs, big integers and code points", () => {
    fc.assert(
      fc.property(id, id, (a, b) => {
        expect(Math.sign(naturalOrder(a, b))).toBe(Math.sign(slowly(a, b)));
      }),
      { numRuns: 3000 },
    );
  });
});
