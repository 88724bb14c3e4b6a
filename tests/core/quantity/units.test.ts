import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { QuantityKind } from "../../../src/core/quantity/speaker.js";
import { fromSi, MAX_QUANTITY_LENGTH, parseQuantity, toSi } from "../../../src/core/quantity/units.js";

const KINDS: readonly QuantityKind[] = [
  "length",
  "dimension",
  "gauge-pressure",
  "pressure",
  "cooling-capacity",
  "flow",
  "airflow",
  "temperature",
  "area",
  "volume",
  "conductivity",
  "grade",
  "ratio",
  "angle",
  "velocity",
  "flow-per-capacity",
  "duration",
  "count",
  "density",
  "viscosity",
  "film-coefficient",
  "modulus",
  "specific-energy",
  "specific-volume",
  "humidity-ratio",
  "mass-flow",
  "temperature-difference",
  "absolute-temperature",
  "weight-per-length",
  "second-moment",
];

describe("a bare number means the document's own unit (exact constants)", () => {
  it.each<[QuantityKind, number, number]>([
    ["length", 1, 0.3048],
    ["dimension", 0.0254 / 0.0254, 0.0254],
    ["gauge-pressure", 1, 249.08891],
    ["pressure", 1, 3386.388640341],
    ["cooling-capacity", 1, 3516.8528420667],
    ["flow", 1, 1.0515032733e-6],
    ["airflow", 1, 4.719474432e-4],
    ["area", 1, 0.09290304],
    ["volume", 1, 3.785411784e-3],
    ["conductivity", 1, 0.1442278889],
    ["grade", 0.125, 1 / 96],
    ["ratio", 0.5, 0.5],
    ["angle", 45, 45],
    ["density", 1, 16.01846337396014],
    ["viscosity", 1, 0.09290304],
    ["film-coefficient", 1, 5.678263341],
    ["modulus", 1, 6894.757293168],
    ["specific-energy", 1, 2326],
    ["specific-volume", 1, 0.028316846592 / 0.45359237],
    ["humidity-ratio", 7000, 1],
    ["mass-flow", 3600, 0.45359237],
    ["temperature-difference", 1.8, 1],
    ["absolute-temperature", 491.67, 273.15],
    ["weight-per-length", 0.3048, 4.4482216152605],
    ["second-moment", 1, 0.0254 ** 4],
  ])("us %s: %f is %f", (kind, bare, value) => {
    expect(Math.abs(toSi(kind, bare, "us") / value - 1)).toBeLessThan(1e-10);
  });
  it.each<[QuantityKind, number, number]>([
    ["length", 12.3, 12.3],
    ["dimension", 25.4, 0.0254],
    ["gauge-pressure", -150, -150],
    ["pressure", 101_325, 101_325],
    ["cooling-capacity", 8.8, 8800],
    ["flow", 3.6, 1e-6],
    ["airflow", 3600, 1],
    ["area", 2, 2],
    ["volume", 1, 0.001],
    ["conductivity", 0.036, 0.036],
    ["grade", 0.0104, 0.0104],
    ["temperature", 24, 24],
  ])("si %s: %f is %f", (kind, bare, value) => {
    expect(toSi(kind, bare, "si")).toBeCloseTo(value, 15);
  });
  it("converts the fixed points of Fahrenheit exactly", () => {
    expect(toSi("temperature", 32, "us")).toBe(0);
    expect(toSi("temperature", 212, "us")).toBe(100);
    expect(toSi("temperature", -40, "us")).toBe(-40);
  });
  it("goes there and back for every kind and both systems", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...KINDS),
        fc.constantFrom("si" as const, "us" as const),
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        (kind, system, value) => {
          const back = fromSi(kind, toSi(kind, value, system), system);
          expect(Math.abs(back - value)).toBeLessThanOrEqual(1e-12 * Math.max(1000, Math.abs(value)));
        },
      ),
    );
  });
});

describe("a string carries its unit, whatever the system", () => {
  it.each<[QuantityKind, string, number]>([
    ["dimension", "3/4 in", 0.01905],
    ["dimension", "1-1/4 in", 0.03175],
    ["dimension", "1 1/4 in", 0.03175],
    ["dimension", "1¼ in", 0.03175],
    ["dimension", "1 ¼″", 0.03175],
    ["dimension", "½″", 0.0127],
    ["dimension", "1⁄2 in", 0.0127],
    ["dimension", "12\u00a0mm", 0.012],
    ["dimension", "12\u202fmm", 0.012],
    ["dimension", "−12 mm", -0.012],
    ["dimension", "1.5 in.", 0.0381],
    ["dimension", ".5 in", 0.0127],
    ["dimension", "1e1 mm", 0.01],
    ["length", "9 ft 6 in", 2.8956],
    ["length", "9'-6 1/2\"", 2.9083],
    ["length", "9′ 6″", 2.8956],
    ["length", "-2 ft 3 in", -0.6858],
    ["length", "+3 m", 3],
    ["gauge-pressure", "-0.6 inH2O", -149.453346],
    ["gauge-pressure", "-0.6 in. w.c.", -149.453346],
    ["gauge-pressure", "-0.6 in H2O", -149.453346],
    ["gauge-pressure", "-150 Pa", -150],
    ["gauge-pressure", "10 mmH2O", 98.0665],
    ["gauge-pressure", "0.15 kPa", 150],
    ["gauge-pressure", "1 psi", 6894.757293168],
    ["pressure", "29.92 inHg", 101_320.748],
    ["pressure", "1 atm", 101_325],
    ["pressure", "1013.25 hPa", 101_325],
    ["cooling-capacity", "2.5 ton", 8792.1321],
    ["cooling-capacity", "30000 Btu/h", 8792.1321],
    ["cooling-capacity", "8.8 kW", 8800],
    ["flow", "0.9 gal/h", 9.4635295e-7],
    ["flow", "0.9 gph", 9.4635295e-7],
    ["flow", "1 gpm", 6.30901964e-5],
    ["flow", "3.6 L/h", 1e-6],
    ["flow", "60 L/min", 1e-3],
    ["airflow", "400 cfm", 0.18877897728],
    ["airflow", "720 m³/h", 0.2],
    ["temperature", "75 degF", 23.8888889],
    ["temperature", "75 °F", 23.8888889],
    ["temperature", "24 °C", 24],
    ["temperature", "24℃", 24],
    ["temperature", "297.15 K", 24],
    ["area", "2 ft²", 0.18580608],
    ["area", "600 sq in", 0.387096],
    ["volume", "1 pint", 4.73176473e-4],
    ["volume", "2 L", 0.002],
    ["conductivity", "0.25 Btu·in/(h·ft²·°F)", 0.0360569722],
    ["conductivity", "0.036 W/(m·K)", 0.036],
    ["grade", "1/8 in/ft", 1 / 96],
    ["grade", "1/8 in per ft", 1 / 96],
    ["grade", "1/8″ per foot", 1 / 96],
    ["grade", "2 %", 0.02],
    ["grade", "1:100", 0.01],
    ["grade", "1 in 100", 0.01],
    ["grade", "10.4 mm/m", 0.0104],
    ["grade", "1 in per 10 ft", 1 / 120],
    ["grade", "-1/4 in/ft", -1 / 48],
    ["grade", "45 deg", 1],
    ["ratio", "55 %", 0.55],
    ["ratio", "0.55", 0.55],
    ["angle", "90°", 90],
    ["density", "62.42796 lb/ft³", 1000],
    ["viscosity", "1.1386 cSt", 1.1386e-6],
    ["viscosity", "1.3 mm²/s", 1.3e-6],
    ["film-coefficient", "9 W/m²K", 9],
    ["film-coefficient", "1.6 Btu/(h·ft²·°F)", 9.085221346],
    ["modulus", "2.76 GPa", 2.76e9],
    ["modulus", "400000 psi", 2_757_902_917.2672],
    ["specific-energy", "2465.4 kJ/kg", 2_465_400],
    ["specific-energy", "1060 Btu/lb", 2_465_560],
    ["humidity-ratio", "9.3 g/kg", 0.0093],
    ["humidity-ratio", "70 gr/lb", 0.01],
    ["mass-flow", "3.6 kg/h", 0.001],
    ["temperature-difference", "0.9 °F", 0.5],
    ["temperature-difference", "0.5 K", 0.5],
    ["weight-per-length", "1 lbf/ft", 14.593902937],
    ["second-moment", "15416 mm4", 1.5416e-8],
  ])("%s %j is %f", (kind, text, value) => {
    for (const system of ["si", "us"] as const) {
      const read = parseQuantity(kind, text, system);
      expect(read.ok && Math.abs(read.value - value) <= 1e-8 * Math.max(1, Math.abs(value)), JSON.stringify(read)).toBe(
        true,
      );
    }
  });
  it("the same length in inches and millimeters is the same number, to the bit", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 4000 }), (eighths) => {
        const inch = parseQuantity("dimension", `${eighths}/8 in`, "si");
        const mm = parseQuantity("dimension", (eighths * 3.175).toFixed(3).concat(" mm"), "us");
        expect(inch.ok && mm.ok && Math.abs(inch.value - mm.value) <= 2 ** -53 * Math.abs(inch.value) * 2).toBe(true);
      }),
    );
  });
});

describe("what it refuses, it explains", () => {
  it.each<[QuantityKind, string, RegExp, RegExp]>([
    ["gauge-pressure", "2 kW", /unit of cooling capacity; a pressure is wanted/, /Pa or inH2O/],
    ["length", "2 furlong", /no unit known here/, /m, mm, ft or in/],
    ["length", "5", /has no unit/, /without quotes/],
    ["grade", "0.0104", /has no unit/, /in\/ft/],
    ["length", "1,5 m", /separator/, /decimal point/],
    ["cooling-capacity", "30 000 Btu/h", /separator/, /decimal point/],
    ["length", "1/0 in", /not a finite/, /finite/],
    ["length", "1e999 m", /not a finite/, /finite/],
    ["length", "Infinity", /does not start with a number/, /write a number/],
    ["length", "  ", /empty/, /write a number/],
    ["length", "one meter", /does not start with a number/, /write a number/],
    ["gauge-pressure", "1 mPa", /no unit known/, /Pa/],
    ["temperature", "-300 degC", /below absolute zero/, /sign/],
    ["flow", "5 kg/h", /unit of mass flow; a flow is wanted/, /L\/h/],
    ["modulus", "2.76 gpm", /unit of flow/, /GPa/],
    ["temperature-difference", "2 in", /unit of length/, /K or degF/],
    ["size", "26.7 mm", /no nominal pipe size/, /DN 25 \(1 in\) or DN 32/],
    ["size", "0.8 in", /no nominal pipe size/, /insideDiameter/],
    ["size", "20", /has no unit/, /DN 20/],
    ["size", "2 kW", /unit of cooling capacity/, /DN 20/],
  ])("%s %j", (kind, text, detail, hint) => {
    const read = parseQuantity(kind, text, "si");
    expect(read.ok).toBe(false);
    if (read.ok) return;
    expect(read.detail).toMatch(detail);
    expect(read.hint).toMatch(hint);
  });
  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])("the number %f of every kind", (value) => {
    for (const kind of [...KINDS, "size" as const]) expect(parseQuantity(kind, value, "us").ok).toBe(false);
  });
  it("strings longer than a quantity can be", () => {
    expect(parseQuantity("length", `${"1".repeat(MAX_QUANTITY_LENGTH)} m`, "si").ok).toBe(false);
  });
  it("never throws, and answers with a finite number or with words", () => {
    const piece = fc.constantFrom(
      "1",
      "3/4",
      "-",
      " ",
      "in",
      "ft",
      "mm",
      "'",
      '"',
      "%",
      ":",
      "1e9",
      ".",
      "DN",
      "¼",
      "°",
      "deg",
      "F",
      "/",
      "per",
      "H2O",
      "(",
      "·",
      "²",
      "\u00a0",
    );
    const text = fc.oneof(
      fc.string({ unit: "binary", maxLength: 30 }),
      fc.array(piece, { maxLength: 10 }).map((parts) => parts.join("")),
    );
    fc.assert(
      fc.property(
        fc.constantFrom<QuantityKind>(...KINDS, "size"),
        text,
        fc.constantFrom("si" as const, "us" as const),
        (kind, written, system) => {
          const read = parseQuantity(kind, written, system);
          if (read.ok) expect(Number.isFinite(read.value)).toBe(true);
          else expect(read.detail.length * read.hint.length).toBeGreaterThan(0);
        },
      ),
      { numRuns: 3000 },
    );
  });
});

describe("nominal sizes (DN and NPS are one size)", () => {
  it.each([
    ["1/2", 15],
    ["3/4", 20],
    ["1", 25],
    ["1-1/4", 32],
    ["1-1/2", 40],
    ["2", 50],
    ["2-1/2", 65],
    ["3", 80],
    ["4", 100],
    ["5", 125],
    ["6", 150],
  ])("%s in is DN %i", (nps, dn) => {
    const inches = nps
      .split("-")
      .reduce((sum, part) => sum + (part.includes("/") ? Number(part[0]) / Number(part[2]) : Number(part)), 0);
    const ways: [number | string, "si" | "us"][] = [
      [`${nps} in`, "si"],
      [`${nps}"`, "us"],
      [`NPS ${nps}`, "si"],
      [`DN ${dn}`, "us"],
      [`DN${dn}`, "si"],
      [`${dn} mm`, "us"],
      [dn, "si"],
      [inches, "us"],
    ];
    for (const [written, system] of ways)
      expect(parseQuantity("size", written, system), String(written)).toEqual({ ok: true, value: dn });
  });
});
