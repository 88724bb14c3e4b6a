import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  formatAgainst,
  formatProbability,
  formatQuantity,
  formatSignificant,
} from "../../../src/core/quantity/format.js";
import { atLeast, atMost } from "../../../src/core/quantity/interval.js";
import type { QuantityKind } from "../../../src/core/quantity/speaker.js";

describe("printing a figure", () => {
  it.each<[number, QuantityKind, string, string]>([
    [12.3451, "length", "12.345 m", "40.5 ft"],
    [-0.00001, "length", "0 m", "0 ft"],
    [0.0254, "dimension", "25.4 mm", "1 in"],
    [0.03175, "dimension", "31.8 mm", "1-1/4 in"],
    [0.0345, "dimension", "34.5 mm", "1.36 in"],
    [-150, "gauge-pressure", "-150 Pa", "-0.602 inH2O"],
    [101_325, "pressure", "101.3 kPa", "29.92 inHg"],
    [8800, "cooling-capacity", "8.8 kW", "2.5 ton"],
    [1e-6, "flow", "3.6 L/h", "0.951 gal/h"],
    [24, "temperature", "24 °C", "75.2 °F"],
    [1 / 96, "grade", "1.04 %", "0.125 in/ft (1.04 %)"],
    [0.75, "ratio", "0.75", "0.75"],
    [4260, "duration", "71 min", "71 min"],
    [20, "size", "DN 20", "3/4 in"],
    [56, "size", "DN 56", "56 mm"],
    [90, "angle", "90°", "90°"],
    [3, "count", "3", "3"],
    [Number.NaN, "length", "unknown", "unknown"],
  ])("%f as %s is %j or %j", (si, kind, metric, customary) => {
    expect(formatQuantity(si, kind, "si")).toBe(metric);
    expect(formatQuantity(si, kind, "us")).toBe(customary);
  });
  it("rounds to the side that is asked", () => {
    expect(formatQuantity(0.00996, "grade", "si", "down")).toBe("0.99 %");
    expect(formatQuantity(0.00996, "grade", "si", "up")).toBe("1.00 %");
    expect(formatQuantity(0.02549, "dimension", "si", "down")).toBe("25.4 mm");
    expect(formatQuantity(0.02541, "dimension", "si", "up")).toBe("25.5 mm");
    expect(formatQuantity(0.29, "grade", "si", "down")).toBe("29.00 %");
  });
});

describe("a figure to so many significant digits", () => {
  it.each<[number, Exclude<QuantityKind, "size" | "duration">, string, string]>([
    [0.0254994, "dimension", "25.5 mm", "1.004 in"],
    [3.5674e-7, "flow", "1.284 L/h", "0.3393 gal/h"],
    [12.946, "temperature", "12.95 °C", "55.3 °F"],
    [0.5, "temperature-difference", "0.5 K", "0.9 °F"],
    [273.15, "absolute-temperature", "273.1 K", "491.7 °R"],
    [2.76e9, "modulus", "2.76 GPa", "400300 psi"],
    [47_814.6, "specific-energy", "47.81 kJ/kg", "20.56 Btu/lb"],
    [3.566e-4, "mass-flow", "1.284 kg/h", "2.83 lb/h"],
    [0, "volume", "0 L", "0 gal"],
  ])("%f as %s is %j or %j", (si, kind, metric, customary) => {
    expect(formatSignificant(si, kind, "si")).toBe(metric);
    expect(formatSignificant(si, kind, "us")).toBe(customary);
  });
});

describe("a figure beside its limit", () => {
  it("0.996 % against 1 % prints 0.99 %", () => {
    expect(formatAgainst(0.00996, 0.01, "grade", "si")).toEqual({ figure: "0.99 %", limit: "1.00 %" });
  });
  it("prints alike what the comparison takes as equal", () => {
    expect(formatAgainst(0.01 - 1e-7, 0.01, "grade", "si")).toEqual({ figure: "1.00 %", limit: "1.00 %" });
    expect(formatAgainst(0.0508 + 5e-7, 0.0508, "dimension", "us")).toEqual({ figure: "2 in", limit: "2 in" });
  });
  const value = fc.double({ min: 1e-4, max: 1, noNaN: true });
  const kind = fc.constantFrom<QuantityKind>("length", "dimension", "grade", "ratio");
  const leading = (text: string): number => {
    const fraction = /^(?:(\d+)-)?(\d+)\/(\d+) in$/.exec(text);
    return fraction === null
      ? Number.parseFloat(text)
      : Number(fraction[1] ?? 0) + Number(fraction[2]) / Number(fraction[3]);
  };
  it("never contradicts the comparison, however close, in either system", () => {
    fc.assert(
      fc.property(
        value,
        fc.double({ min: -3e-3, max: 3e-3, noNaN: true }),
        kind,
        fc.constantFrom("si" as const, "us" as const),
        (limit, off, what, system) => {
          const figure = limit * (1 + off);
          const printed = formatAgainst(figure, limit, what, system);
          const equal = atLeast(figure, limit) && atMost(figure, limit);
          if (equal) expect(printed.figure).toBe(printed.limit);
          else if (figure < limit) expect(leading(printed.figure)).toBeLessThan(leading(printed.limit));
          else expect(leading(printed.figure)).toBeGreaterThan(leading(printed.limit));
        },
      ),
      { numRuns: 2000 },
    );
  });
  it("does the same for tiny flows, where a micrometre would be a river", () => {
    const { figure, limit } = formatAgainst(1e-6, 1.001e-6, "flow", "si");
    expect(leading(figure)).toBeLessThan(leading(limit));
  });
});

it.each([
  [0, "0.0 %"],
  [0.0004, "under 0.1 %"],
  [0.0006, "0.1 %"],
  [0.0698, "7.0 %"],
  [0.0994, "9.9 %"],
  [0.0996, "10 %"],
  [0.634, "63 %"],
  [0.994, "99 %"],
  [0.996, "over 99 %"],
  [1, "100 %"],
])("a probability of %f is printed as %s, never as certain", (p, text) => {
  expect(formatProbability(p)).toBe(text);
});
