import { describe, expect, it } from "vitest";
import { atLeast, atMost, EPSILON, exact, within } from "../../../src/core/quantity/interval.js";

describe("figures with a tolerance, against a limit", () => {
  it("meet their limit at equality, within a micrometre or 1e-9 of it, and not beyond", () => {
    for (const limit of [0.01, 1, 1000]) {
      const slack = Math.max(EPSILON, limit * 1e-9);
      expect([atLeast(limit, limit), atMost(limit, limit)]).toEqual([true, true]);
      expect([atLeast(limit - 0.9 * slack, limit), atMost(limit + 0.9 * slack, limit)]).toEqual([true, true]);
      expect([atLeast(limit - 1.1 * slack, limit), atMost(limit + 1.1 * slack, limit)]).toEqual([false, false]);
    }
  });
  it("never meet a limit that is unknown, nor unknown a limit", () => {
    expect([atLeast(Number.NaN, 1), atMost(Number.NaN, 1), atLeast(1, Number.NaN), atMost(1, Number.NaN)]).toEqual([
      false,
      false,
      false,
      false,
    ]);
  });
  it("spread by their half-width to either side", () => {
    expect(within(2, 0.5)).toEqual({ low: 1.5, best: 2, high: 2.5 });
    expect(exact(2)).toEqual({ low: 2, best: 2, high: 2 });
  });
});
