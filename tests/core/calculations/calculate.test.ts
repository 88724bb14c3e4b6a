// What the calculations promise: names, what stands for what is not given, units, and an answer to anything at all.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type CalculationAnswer, calculate, type InputValue } from "../../../src/core/calculations/calculate.js";
import {
  type CalculationInfo,
  type CalculationInput,
  type CalculationOutcome,
  calculations,
} from "../../../src/core/calculations/calculations.js";
import { CASES } from "./cases.js";

const answerOf = (name: string, inputs: unknown): CalculationAnswer => {
  const made = calculate(name, inputs);
  if (!made.ok) throw new Error(`${name} ${JSON.stringify(inputs)}: ${JSON.stringify(made.problems)}`);
  return made.calculation;
};
const resultOf = (name: string, inputs: unknown) => answerOf(name, inputs).result;
const problemsOf = (name: string, inputs: unknown) => {
  const made = calculate(name, inputs);
  if (made.ok) throw new Error(`${name} took ${JSON.stringify(inputs)}`);
  return made.problems;
};
const at = (name: string, inputs: unknown) => problemsOf(name, inputs).map(({ pointer, code }) => [pointer, code]);

/** What callers rely on: names in, names out; `?` can be left out. */
const PROMISED: Readonly<Record<string, readonly [inputs: string, results: string]>> = {
  "condensate-load": [
    "coolingCapacity? sensibleHeatRatio? latentHeat? airflow? enteringAir? leavingAir? pressure?",
    "massFlow volumeFlow",
  ],
  trap: [
    "panStatic fanPosition sealDepth? drop? inletArea? outletArea? margin? waterDensity?",
    "head dropNeeded sealNeeded outletLegFall breakingHead panStanding",
  ],
  "pipe-capacity": [
    "insideDiameter grade fillRatio? flow? manningN? roughness? viscosity?",
    "area hydraulicRadius flow velocity depth criticalDepth froude overCapacity",
  ],
  "riser-capacity": ["insideDiameter fraction? flow?", "flow terminalVelocity terminalLength film"],
  "pipe-size": ["connectedCapacity? flow? grade material profile", "codeSize hydraulicSize requiredSize"],
  "support-sag": [
    "outsideDiameter wall density modulus span fill? grade? waterDensity?",
    "deflection endSlope minimumGrade maximumSpan continuous.deflection continuous.minimumGrade continuous.maximumSpan",
  ],
  "surface-condensation": [
    "air pipeTemperature outsideDiameter conductivity? filmCoefficient? thickness? margin?",
    "dewPoint surfaceTemperature thicknessNeeded",
  ],
  "air-lock": [
    "sealDepths panStatic? toOutlet toTrip? toSpill gasLength? insideDiameter? waterDensity?",
    "needed neededCompressible outcome",
  ],
  "moist-air": [
    "dryBulb? relativeHumidity? wetBulb? dewPoint? humidityRatio? air? pressure?",
    "humidityRatio dewPoint wetBulb relativeHumidity enthalpy specificVolume saturationPressure",
  ],
  "pipe-volume": ["insideDiameter length grade? vertical? levelAboveLowInvert", "volume"],
};

const namesOf = (results: readonly CalculationOutcome[]): string[] =>
  results.flatMap(({ name, results: inner }) =>
    inner === null ? [name] : inner.map((each) => `${name}.${each.name}`),
  );

const leaves = (result: object, before = ""): [string, unknown][] =>
  Object.entries(result).flatMap(([name, value]): [string, unknown][] =>
    typeof value === "object" && value !== null ? leaves(value, `${before}${name}.`) : [[before + name, value]],
  );

describe("the listing", () => {
  it("has the promised calculations, inputs and results, and no others", () => {
    const listed = calculations().map(({ id, inputs, results }) => [
      id,
      [inputs.map(({ name, required }) => `${name}${required ? "" : "?"}`).join(" "), namesOf(results).join(" ")],
    ]);
    expect(Object.fromEntries(listed)).toEqual(PROMISED);
    expect(listed.map(([id]) => id)).toEqual(Object.keys(PROMISED));
  });

  it.each(calculations().map((info) => [info.id, info] as const))(
    "%s has an example that it answers within its validity, with every field of an answer",
    (id, { example, formula, sources }) => {
      const answer = answerOf(id, example);
      expect(Object.keys(answer)).toEqual([
        "calculation",
        "inputs",
        "assumptions",
        "result",
        "working",
        "formula",
        "source",
        "validity",
      ]);
      expect(leaves(answer.result).map(([name]) => name)).toEqual(PROMISED[id][1].split(" "));
      expect(answer.formula).toBe(formula);
      expect(answer.source).toEqual(sources);
      expect(sources.length).toBeGreaterThan(0);
      expect(JSON.parse(JSON.stringify(answer))).toEqual(answer);
    },
  );

  it("gives each input, line and result a symbol of its own where formulas need one", () => {
    for (const { id, inputs, figures, results } of calculations()) {
      const symbols = [
        ...inputs.flatMap(({ symbol, parts }) => parts?.map((part) => part.symbol) ?? [symbol]),
        ...figures.map(({ symbol }) => symbol),
        ...results.flatMap((each) => (each.results ?? [each]).map(({ symbol }) => symbol)),
      ].filter((symbol) => symbol !== "");
      const twice = symbols.filter((symbol, i) => symbols.indexOf(symbol) !== i);
      expect([id, twice.filter((symbol) => !SHARED.has(`${id} ${symbol}`))]).toEqual([id, []]);
    }
  });
});

/** One quantity that is an input or a line, given or found. */
const SHARED: ReadonlySet<string> = new Set([
  "condensate-load W_1", // a humidity ratio, given or found
  "condensate-load W_2",
  "surface-condensation W_a",
  "pipe-capacity f", // fillRatio, or found from the flow
  "pipe-capacity Q",
  "riser-capacity r",
  "riser-capacity Q",
  "pipe-size Q", // flow, or the rule of thumb's
  "moist-air t",
  "moist-air φ",
  "moist-air tw",
  "moist-air td",
  "moist-air W",
  "pipe-volume y", // depth of a level pipe, height in a riser: never both
]);

describe("what is not given", () => {
  // expected values: 999.702 kg/m³ and 2477.2 kJ/kg are water at 10 °C by IAPWS; 101 325 Pa the standard atmosphere;
  // margins of 1 in and ½ in and 0.036, 9 and 0.5 are common practice
  it.each([
    ["trap", { panStatic: -250, fanPosition: "draw-through" }, { margin: 0.0254, waterDensity: 999.702 }],
    ["trap", { panStatic: 250, fanPosition: "blow-through" }, { margin: 0.0127, waterDensity: 999.702 }],
    ["condensate-load", { coolingCapacity: 7000, sensibleHeatRatio: 0.75 }, { latentHeat: 2_477_200 }],
    ["condensate-load", CASES["condensate-load"][3], { pressure: 101_325 }],
    ["moist-air", { dryBulb: 24, relativeHumidity: 0.5 }, { pressure: 101_325 }],
    [
      "surface-condensation",
      { air: { dryBulb: 24, relativeHumidity: 0.5 }, pipeTemperature: 13, outsideDiameter: 0.0267 },
      { conductivity: 0.036, filmCoefficient: 9, thickness: 0, margin: 0.5 },
    ],
    [
      "support-sag",
      { outsideDiameter: 0.0267, wall: 0.0029, density: 1400, modulus: 2.76e9, span: 1.2 },
      { fill: 1, waterDensity: 999.702 },
    ],
    ["air-lock", { sealDepths: [0.05], toOutlet: 0.06, toSpill: 0.1 }, { panStatic: 0, waterDensity: 999.702 }],
    // 0.375 US gal/h per ton of refrigeration, of 10 tons
    [
      "pipe-size",
      { connectedCapacity: "10 ton", grade: 0.01, material: "pvc-sch40", profile: "imc" },
      { flow: (3.75 * 3.785411784e-3) / 3600 },
    ],
  ])("%s %j stands in the answer as an assumption", (name, inputs, taken: Readonly<Record<string, number>>) => {
    const answer = answerOf(name, inputs);
    for (const [input, value] of Object.entries(taken)) {
      expect(answer.inputs[input], input).toBeCloseTo(value, 12);
      const assumption = answer.assumptions.find((each) => each.name === input);
      expect(assumption?.value, input).toBeCloseTo(value, 12);
      expect(assumption?.source).not.toBe("");
    }
    expect(answer.assumptions.map((each) => each.name).filter((each) => each in answer.inputs)).toEqual(
      expect.arrayContaining(Object.keys(taken)),
    );
  });

  it("and not asked for is no assumption: latent heat where the air states speak", () => {
    const byAir = answerOf("condensate-load", CASES["condensate-load"][3]);
    expect(byAir.inputs).not.toHaveProperty("latentHeat");
    expect(byAir.assumptions.map(({ name }) => name)).toEqual(["pressure"]);
  });

  it("is nothing where it is given as its default", () => {
    const given = answerOf("trap", { panStatic: -250, fanPosition: "draw-through", margin: 0.0254 });
    expect(given.assumptions.map(({ name }) => name)).not.toContain("margin");
    expect(given.result).toEqual(resultOf("trap", { panStatic: -250, fanPosition: "draw-through" }));
  });
});

/** Exact factors of the international inch and pound, the US gallon and the table Btu; the conventional inch of mercury. */
const INCH = 0.0254;
const POUND = 0.45359237;
const GALLON = 231 * INCH ** 3;
const TON = 3516.8528420667;
const PSI = (POUND * 9.80665) / INCH ** 2;
const BTU = 1055.05585262;
const INCH_OF_MERCURY = 13_595.1 * 9.80665 * INCH;
const celsius = (fahrenheit: number) => (fahrenheit - 32) / 1.8;

describe("units", () => {
  // one case said three ways: US customary, SI with units, bare SI base
  it.each([
    [
      "condensate-load",
      { coolingCapacity: "2.5 ton", sensibleHeatRatio: "75 %", latentHeat: "1065 Btu/lb" },
      { coolingCapacity: `${2.5 * TON * 1e-3} kW`, sensibleHeatRatio: 0.75, latentHeat: `${1065 * 2.326} kJ/kg` },
      { coolingCapacity: 2.5 * TON, sensibleHeatRatio: 0.75, latentHeat: (1065 * BTU) / POUND },
    ],
    [
      "condensate-load",
      {
        airflow: "400 ft3/min",
        enteringAir: { dryBulb: "80 degF", wetBulb: "67 degF" },
        leavingAir: { dryBulb: "56 degF", relativeHumidity: "92 %" },
        pressure: "29.92 inHg",
      },
      {
        airflow: `${400 * (12 * INCH) ** 3 * 60} m3/h`,
        enteringAir: { dryBulb: `${celsius(80)} degC`, wetBulb: `${celsius(67)} degC` },
        leavingAir: { dryBulb: `${celsius(56)} degC`, relativeHumidity: 0.92 },
        pressure: `${29.92e-3 * INCH_OF_MERCURY} kPa`,
      },
      {
        airflow: (400 * (12 * INCH) ** 3) / 60,
        enteringAir: { dryBulb: celsius(80), wetBulb: celsius(67) },
        leavingAir: { dryBulb: celsius(56), relativeHumidity: 0.92 },
        pressure: 29.92 * INCH_OF_MERCURY,
      },
    ],
    [
      "trap",
      {
        panStatic: "-1.2 inH2O",
        fanPosition: "draw-through",
        sealDepth: "2 in",
        drop: "1-1/2 in",
        inletArea: "2 in2",
        outletArea: "1 in2",
        margin: "1/2 in",
        waterDensity: "62.4 lb/ft3",
      },
      {
        panStatic: `${-1.2 * 249.08891} Pa`,
        fanPosition: "draw-through",
        sealDepth: "50.8 mm",
        drop: "38.1 mm",
        inletArea: `${2 * INCH ** 2} m2`,
        outletArea: `${INCH ** 2} m2`,
        margin: "12.7 mm",
        waterDensity: `${(62.4 * POUND) / (12 * INCH) ** 3} kg/m3`,
      },
      {
        panStatic: -1.2 * 249.08891,
        fanPosition: "draw-through",
        sealDepth: 0.0508,
        drop: 0.0381,
        inletArea: 2 * INCH ** 2,
        outletArea: INCH ** 2,
        margin: 0.0127,
        waterDensity: (62.4 * POUND) / (12 * INCH) ** 3,
      },
    ],
    [
      "pipe-capacity",
      { insideDiameter: "1.029 in", grade: "1/8 in/ft", flow: "12 gal/h", manningN: 0.012 },
      { insideDiameter: "26.1366 mm", grade: `${100 / 96} %`, flow: `${12000 * GALLON} L/h`, manningN: "1.2 %" },
      { insideDiameter: 0.0261366, grade: 1 / 96, flow: (12 * GALLON) / 3600, manningN: 0.012 },
    ],
    [
      "pipe-capacity",
      {
        insideDiameter: "1.029 in",
        grade: "1 in 96",
        fillRatio: "50 %",
        roughness: "0.001 in",
        viscosity: "1.4e-5 ft2/s",
      },
      {
        insideDiameter: "2.61366 cm",
        grade: `${1000 / 96} mm/m`,
        fillRatio: 0.5,
        roughness: "0.0254 mm",
        viscosity: `${1.4e-5 * (12 * INCH) ** 2 * 1e6} mm2/s`,
      },
      {
        insideDiameter: 0.0261366,
        grade: 1 / 96,
        fillRatio: 0.5,
        roughness: 0.0254e-3,
        viscosity: 1.4e-5 * (12 * INCH) ** 2,
      },
    ],
    [
      "riser-capacity",
      { insideDiameter: "3 in", flow: "40 gpm" },
      { insideDiameter: "76.2 mm", flow: `${40 * GALLON * 60_000} L/h` },
      { insideDiameter: 0.0762, flow: (40 * GALLON) / 60 },
    ],
    [
      "pipe-size",
      { connectedCapacity: "42 ton", flow: "80 gal/h", grade: "1/4 in/ft", material: "copper-l", profile: "upc" },
      {
        connectedCapacity: `${42 * TON} W`,
        flow: `${80 * GALLON * 1000} L/h`,
        grade: `${100 / 48} %`,
        material: "copper-l",
        profile: "upc",
      },
      { connectedCapacity: 42 * TON, flow: (80 * GALLON) / 3600, grade: 1 / 48, material: "copper-l", profile: "upc" },
    ],
    [
      "support-sag",
      {
        outsideDiameter: "1.315 in",
        wall: "0.133 in",
        density: "87.4 lb/ft3",
        modulus: "400000 psi",
        span: "5 ft",
        fill: "50 %",
        grade: "1/8 in/ft",
      },
      {
        outsideDiameter: "33.401 mm",
        wall: "3.3782 mm",
        density: `${(87.4 * POUND) / (12 * INCH) ** 3} kg/m3`,
        modulus: `${400_000 * PSI * 1e-9} GPa`,
        span: "1524 mm",
        fill: 0.5,
        grade: `${100 / 96} %`,
      },
      {
        outsideDiameter: 0.033401,
        wall: 0.0033782,
        density: (87.4 * POUND) / (12 * INCH) ** 3,
        modulus: 400_000 * PSI,
        span: 1.524,
        fill: 0.5,
        grade: 1 / 96,
      },
    ],
    [
      "surface-condensation",
      {
        air: { dryBulb: "78 degF", dewPoint: "62 degF" },
        pipeTemperature: "45 degF",
        outsideDiameter: "1.05 in",
        conductivity: "0.25 Btu.in/(h.ft2.degF)",
        filmCoefficient: "1.6 Btu/(h.ft2.degF)",
        thickness: "3/8 in",
        margin: "1 degF",
      },
      {
        air: { dryBulb: `${celsius(78)} degC`, dewPoint: `${celsius(62) + 273.15} K` },
        pipeTemperature: `${celsius(45)} degC`,
        outsideDiameter: "26.67 mm",
        conductivity: `${(0.25 * BTU * INCH * 1.8) / (3600 * (12 * INCH) ** 2)} W/(m.K)`,
        filmCoefficient: `${(1.6 * BTU * 1.8) / (3600 * (12 * INCH) ** 2)} W/(m2.K)`,
        thickness: "9.525 mm",
        margin: `${1 / 1.8} K`,
      },
      {
        air: { dryBulb: celsius(78), dewPoint: celsius(62) },
        pipeTemperature: celsius(45),
        outsideDiameter: 0.02667,
        conductivity: (0.25 * BTU * INCH * 1.8) / (3600 * (12 * INCH) ** 2),
        filmCoefficient: (1.6 * BTU * 1.8) / (3600 * (12 * INCH) ** 2),
        thickness: 0.009525,
        margin: 1 / 1.8,
      },
    ],
    [
      "air-lock",
      {
        sealDepths: ["2 in", "1-1/4 in"],
        panStatic: "-1 inH2O",
        toOutlet: "2-1/2 in",
        toTrip: "3 in",
        toSpill: "4 in",
        gasLength: "6 ft",
        insideDiameter: "1 in",
      },
      {
        sealDepths: ["50.8 mm", "31.75 mm"],
        panStatic: "-249.08891 Pa",
        toOutlet: "63.5 mm",
        toTrip: "76.2 mm",
        toSpill: "101.6 mm",
        gasLength: "1828.8 mm",
        insideDiameter: "25.4 mm",
      },
      {
        sealDepths: [0.0508, 0.03175],
        panStatic: -249.08891,
        toOutlet: 0.0635,
        toTrip: 0.0762,
        toSpill: 0.1016,
        gasLength: 1.8288,
        insideDiameter: 0.0254,
      },
    ],
    [
      "moist-air",
      { dryBulb: "75 degF", humidityRatio: "64 gr/lb", pressure: "28 inHg" },
      { dryBulb: `${celsius(75)} °C`, humidityRatio: `${64 / 7} g/kg`, pressure: `${28e-3 * INCH_OF_MERCURY} kPa` },
      { dryBulb: celsius(75), humidityRatio: 64 / 7000, pressure: 28 * INCH_OF_MERCURY },
    ],
    [
      "pipe-volume",
      { insideDiameter: "4 in", length: "10 ft", grade: "1/8 in/ft", levelAboveLowInvert: "2 in" },
      { insideDiameter: "101.6 mm", length: "304.8 cm", grade: "1:96", levelAboveLowInvert: "50.8 mm" },
      { insideDiameter: 0.1016, length: 3.048, grade: 1 / 96, levelAboveLowInvert: 0.0508 },
    ],
  ])("%s answers alike to US units, SI units and bare SI base %#", (name, us, si, base) => {
    const [first, ...others] = [base, si, us].map((inputs) => leaves(resultOf(name, inputs)));
    expect(first.length).toBeGreaterThan(0);
    for (const other of others)
      for (const [i, [result, value]] of other.entries()) {
        const [, expected] = first[i];
        if (typeof expected !== "number") expect([result, value]).toEqual([result, expected]);
        else
          expect(Math.abs((value as number) - expected), `${result}: ${value}, not ${expected}`).toBeLessThanOrEqual(
            1e-8 * Math.abs(expected),
          );
      }
  });

  it("a text without one is refused and told how to be written", () => {
    expect(problemsOf("trap", { panStatic: "-250", fanPosition: "draw-through" })).toEqual([
      {
        pointer: "/panStatic",
        code: "bad-unit",
        detail: '"-250" has no unit',
        hint: "write the number without quotes (Pa), or add a unit",
      },
    ]);
    expect(problemsOf("trap", { panStatic: "-250 mm", fanPosition: "draw-through" })[0]).toMatchObject({
      pointer: "/panStatic",
      code: "bad-unit",
      detail: expect.stringContaining("length"),
    });
  });
});

describe("what is wrong", () => {
  it("is told all at once, each with its place and a hint", () => {
    const problems = problemsOf("trap", {
      panStatc: "-250 Pa",
      panStatic: "-250 furlong",
      fanPosition: "draw-thru",
      sealDepth: null,
      drop: [1],
      margin: "9 m",
      inletArea: "1 in2",
    });
    expect(problems.map(({ pointer, code }) => [pointer, code])).toEqual([
      ["/panStatc", "unknown-field"],
      ["/panStatic", "bad-unit"],
      ["/fanPosition", "bad-word"],
      ["/sealDepth", "wrong-type"],
      ["/drop", "wrong-type"],
      ["/margin", "out-of-range"],
      ["/outletArea", "missing-field"],
    ]);
    expect(problems[0].hint).toBe("did you mean panStatic?");
    expect(problems[2].hint).toBe("did you mean draw-through?");
    for (const { detail, hint } of problems) {
      expect(detail).not.toBe("");
      expect(hint ?? "").not.toBe("");
    }
  });

  it.each([
    [
      "trap",
      {},
      [
        ["/panStatic", "missing-field"],
        ["/fanPosition", "missing-field"],
      ],
    ],
    ["trap", { panStatic: 250, fanPosition: "draw-through" }, [["/panStatic", "static-contradicts-fan"]]],
    ["trap", { panStatic: -250, fanPosition: "blow-through" }, [["/panStatic", "static-contradicts-fan"]]],
    ["condensate-load", {}, [["", "missing-field"]]],
    ["condensate-load", { coolingCapacity: 7000 }, [["/sensibleHeatRatio", "missing-field"]]],
    ["condensate-load", { coolingCapacity: 7000, sensibleHeatRatio: 0.7, airflow: 0.2 }, [["/airflow", "two-forms"]]],
    [
      "pipe-capacity",
      { insideDiameter: 0.02, grade: 0.01, fillRatio: 0.5, flow: 1e-5, manningN: 0.01, viscosity: 1e-6 },
      [
        ["/flow", "two-forms"],
        ["/viscosity", "two-forms"],
      ],
    ],
    [
      "pipe-capacity",
      { insideDiameter: 0.02, grade: 0.01 },
      [
        ["", "missing-field"],
        ["", "missing-field"],
      ],
    ],
    [
      "pipe-capacity",
      { insideDiameter: 0.02, grade: 0.01, fillRatio: 0.5, roughness: 0 },
      [["/viscosity", "missing-field"]],
    ],
    ["riser-capacity", { insideDiameter: 0.05, fraction: 0.25, flow: 1e-4 }, [["/flow", "two-forms"]]],
    ["pipe-size", { grade: 0.01, material: "pvc-sch40", profile: "imc" }, [["", "missing-field"]]],
    [
      "pipe-size",
      { flow: 1e-5, grade: 0.01, material: "pvc-40", profile: "imk" },
      [
        ["/material", "bad-word"],
        ["/profile", "bad-word"],
      ],
    ],
    [
      "support-sag",
      { outsideDiameter: 0.02, wall: 0.02, density: 1400, modulus: 1e9, span: 1 },
      [["/wall", "wall-too-thick"]],
    ],
    ["air-lock", { sealDepths: 0.05, toOutlet: 0.1, toSpill: 0.2 }, [["/sealDepths", "wrong-type"]]],
    [
      "air-lock",
      { sealDepths: [0.05, "2 kg", null], toOutlet: 0.1, toSpill: 0.2 },
      [
        ["/sealDepths/1", "bad-unit"],
        ["/sealDepths/2", "wrong-type"],
      ],
    ],
    ["moist-air", { dryBulb: 24 }, [["", "missing-field"]]],
    ["moist-air", { relativeHumidity: 0.5 }, [["/dryBulb", "missing-field"]]],
    ["moist-air", { dryBulb: 24, wetBulb: 25 }, [["/wetBulb", "impossible-air"]]],
    ["moist-air", { dryBulb: 24, dewPoint: 24.5 }, [["/dewPoint", "impossible-air"]]],
    ["moist-air", { dryBulb: 24, humidityRatio: 0.05 }, [["/humidityRatio", "impossible-air"]]],
    ["moist-air", { dryBulb: 60, wetBulb: 5 }, [["/wetBulb", "impossible-air"]]],
    ["moist-air", { dryBulb: 150, relativeHumidity: 0.9 }, [["/relativeHumidity", "impossible-air"]]],
    ["moist-air", { air: { dryBulb: 24, relativeHumidity: 0.5, wetBulb: 17 } }, [["/air", "two-forms"]]],
    [
      "moist-air",
      { air: { dryBulb: 24, relHumidity: 0.5 } },
      [
        ["/air/relHumidity", "unknown-field"],
        ["/air", "missing-field"],
      ],
    ],
    ["surface-condensation", { air: 24, pipeTemperature: 7, outsideDiameter: 0.02 }, [["/air", "wrong-type"]]],
    [
      "surface-condensation",
      { air: { dryBulb: 24, dewPoint: 25 }, pipeTemperature: 7, outsideDiameter: 0.02 },
      [["/air/dewPoint", "impossible-air"]],
    ],
    ["pipe-volume", { insideDiameter: 0.1, length: 3, levelAboveLowInvert: 0.1 }, [["", "missing-field"]]],
    [
      "pipe-volume",
      { insideDiameter: 0.1, length: 3, vertical: true, grade: 0.1, levelAboveLowInvert: 0.1 },
      [["/vertical", "two-forms"]],
    ],
    [
      "pipe-volume",
      { insideDiameter: 0.1, length: 3, vertical: "yes", levelAboveLowInvert: 0.1 },
      [["/vertical", "wrong-type"]],
    ],
  ])("%s %j", (name, inputs, places) => {
    expect(at(name, inputs)).toEqual(places);
  });

  it("a suction written with the wrong sign is shown with the right one", () => {
    const hintFor = (panStatic: unknown) => problemsOf("trap", { panStatic, fanPosition: "draw-through" })[0].hint;
    expect(hintFor(250)).toContain("write -250 ");
    expect(hintFor("1 inH2O")).toContain('write "-1 inH2O" ');
    expect(hintFor("+1 inH2O")).toContain('write "-1 inH2O" ');
  });

  it("of names: the nearest calculation, and none that JavaScript lends", () => {
    const problemOf = (name: string) => problemsOf(name, {})[0];
    expect(problemOf("traps")).toMatchObject({ code: "unknown-calculation", hint: "did you mean trap?" });
    expect(problemOf("pipe-capacty").hint).toBe("did you mean pipe-capacity?");
    for (const name of ["constructor", "__proto__", "toString", "", "x".repeat(100_000)])
      expect(problemOf(name)).toMatchObject({
        code: "unknown-calculation",
        hint: expect.stringContaining("known are"),
      });
    const borrowed = JSON.parse('{"panStatic":-250,"fanPosition":"draw-through","__proto__":1,"constructor":2}');
    expect(at("trap", borrowed)).toEqual([
      ["/__proto__", "unknown-field"],
      ["/constructor", "unknown-field"],
    ]);
    // fields that are not its own are not there
    expect(at("trap", Object.create({ panStatic: -250, fanPosition: "draw-through" }))).toHaveLength(2);
  });

  it("is counted to the end and listed up to a hundred", () => {
    const many = Object.fromEntries(Array.from({ length: 5000 }, (_, i) => [`x${i}`, i]));
    const made = calculate("trap", many);
    expect(made).toMatchObject({ ok: false, total: 5002 });
    expect(made.ok ? [] : made.problems).toHaveLength(100);
  });

  it("points with an escaped pointer (RFC 6901)", () => {
    expect(at("trap", { "a/b~c": 1, panStatic: -1, fanPosition: "draw-through" })[0][0]).toBe("/a~1b~0c");
  });
});

const HOSTILE: readonly unknown[] = [
  undefined,
  null,
  true,
  false,
  0,
  -0,
  1,
  -1,
  Number.NaN,
  Number.POSITIVE_INFINITY,
  Number.NEGATIVE_INFINITY,
  Number.MAX_VALUE,
  Number.MIN_VALUE,
  1e-300,
  2 ** 53,
  "",
  " ",
  "-",
  "1e999 m",
  "0/0 in",
  "NaN Pa",
  "−1 Pa",
  "DN 20",
  "💧",
  "\u0000",
  "9".repeat(100_000),
  [],
  [[]],
  [Number.NaN],
  {},
  { dryBulb: {} },
  { dryBulb: 20, relativeHumidity: Number.NaN },
  { dryBulb: -273.15, dewPoint: -300 },
  Symbol.iterator,
  10n,
  () => 1,
  new Date(0),
];

/** Nothing that is not finite, and null only where the listing says so. */
const expectSound = (info: CalculationInfo, { result, working, validity, inputs, assumptions }: CalculationAnswer) => {
  const orNull = new Map(
    info.results.flatMap((each) =>
      (each.results ?? [each]).map((inner): [string, string | null] => [
        each.results === null ? inner.name : `${each.name}.${inner.name}`,
        inner.orNull,
      ]),
    ),
  );
  for (const [name, value] of leaves(result)) {
    if (value === null) expect([name, orNull.get(name)]).not.toEqual([name, null]);
    if (typeof value === "number") expect([name, Number.isFinite(value)]).toEqual([name, true]);
  }
  expect(leaves(result)).toHaveLength(orNull.size);
  for (const { name, value } of working) expect([name, Number.isFinite(value)]).toEqual([name, true]);
  for (const { figure, value } of validity.conditions) expect([figure, Number.isFinite(value)]).toEqual([figure, true]);
  expect(JSON.stringify([inputs, assumptions])).not.toMatch(/NaN|Infinity/);
};

describe("hostile inputs", () => {
  it.each(calculations().map((info) => [info.id, info] as const))(
    "%s answers or refuses whatever stands in any of its inputs",
    (id, info) => {
      let refused = 0;
      for (const base of [info.example, CASES[id][1], {}])
        for (const name of info.inputs.map((input) => input.name))
          for (const value of HOSTILE) {
            const made = calculate(id, { ...base, [name]: value });
            if (made.ok) expectSound(info, made.calculation);
            else {
              refused += 1;
              expect(made.total).toBeGreaterThan(0);
              for (const { detail, pointer } of made.problems) {
                expect(detail.length).toBeLessThan(300);
                expect(pointer).toMatch(/^(\/.*)?$/);
              }
            }
          }
      expect(refused).toBeGreaterThan(100);
    },
  );

  it.each(HOSTILE.map((value) => [typeof value === "string" ? value.slice(0, 9) : String(value?.toString()), value]))(
    "%s in place of all inputs is refused",
    (_said, value) => {
      for (const { id } of calculations()) expect(calculate(id, value).ok).toBe(false);
    },
  );

  it("whatever JSON is sent is answered soundly", () => {
    const infos = calculations();
    fc.assert(
      fc.property(fc.integer({ min: 0, max: infos.length - 1 }), fc.jsonValue({ maxDepth: 4 }), (which, json) => {
        const made = calculate(infos[which].id, json);
        if (made.ok) expectSound(infos[which], made.calculation);
      }),
      { numRuns: 500 },
    );
  });

  // figures anywhere in their ranges, ends included, in any combination that the choices allow
  it.each(calculations().map((info) => [info.id, info] as const))(
    "%s gives only finite figures over the whole of its ranges",
    (id, info) => {
      let answered = 0;
      fc.assert(
        fc.property(inputsWithin(info), (inputs) => {
          const made = calculate(id, inputs);
          if (!made.ok) return;
          answered += 1;
          expectSound(info, made.calculation);
        }),
        { numRuns: 800 },
      );
      expect(answered).toBeGreaterThan(100);
    },
  );
});

const figureWithin = (least: number, greatest: number): fc.Arbitrary<number> => {
  const spread = fc.double({ min: least, max: greatest, noNaN: true });
  const small = Math.max(Math.abs(least), 1e-9);
  return fc.oneof(
    spread,
    fc.constantFrom(least, greatest, Math.max(least, Math.min(greatest, 0))),
    // by decades, where most of the range is not
    fc
      .double({ min: Math.log10(small), max: Math.log10(Math.max(greatest, small)), noNaN: true })
      .map((decade) => Math.max(least, Math.min(greatest, 10 ** decade))),
  );
};

const inputWithin = ({ type, least, greatest, words, parts }: CalculationInput): fc.Arbitrary<unknown> => {
  switch (type) {
    case "figure":
      return figureWithin(least!, greatest!);
    case "figures":
      return fc.array(figureWithin(least!, greatest!), { maxLength: 4 });
    case "word":
      return fc.constantFrom(...words!);
    case "flag":
      return fc.boolean();
    case "air-state": {
      const [dry, ...humidities] = parts!;
      return fc.tuple(inputWithin(dry), fc.constantFrom(...humidities)).chain(([dryBulb, humidity]) =>
        inputWithin({
          ...humidity,
          greatest: Math.min(humidity.greatest!, humidity.unit === "°C" ? (dryBulb as number) : 10),
        }).map((value) => ({ dryBulb, [humidity.name]: value })),
      );
    }
  }
};

const inputsWithin = (info: CalculationInfo): fc.Arbitrary<Record<string, unknown>> => {
  const chosen = fc.tuple(
    ...info.choices.map((choice) => fc.constantFrom(...choice).map(({ needs, may }) => [needs, may] as const)),
  );
  return chosen.chain((picked) => {
    const inChoice = new Set(info.choices.flat().flatMap(({ needs, may }) => [...needs, ...may]));
    const must = picked.flatMap(([needs]) => needs);
    const may = picked.flatMap(([, others]) => others);
    const fields: Record<string, fc.Arbitrary<unknown>> = {};
    for (const input of info.inputs) {
      const isChosen = must.includes(input.name);
      if (inChoice.has(input.name) && !isChosen && !may.includes(input.name)) continue;
      fields[input.name] = inputWithin(input);
    }
    const requiredKeys = info.inputs
      .filter(({ name, required }) => required || must.includes(name))
      .map(({ name }) => name);
    return fc.record(fields, { requiredKeys });
  });
};

describe("an answer", () => {
  it("is the same for the same inputs, whatever their order", () => {
    const inputs = CASES.trap[1];
    const turned = Object.fromEntries(Object.entries(inputs).reverse());
    expect(answerOf("trap", turned)).toEqual(answerOf("trap", inputs));
  });

  it("shows the inputs as they were taken: SI base, with what was assumed", () => {
    const { inputs } = answerOf("air-lock", { sealDepths: ["2 in", 0.03], toOutlet: "10 mm", toSpill: 0.2 });
    expect(inputs).toEqual({
      sealDepths: [0.0508, 0.03],
      panStatic: 0,
      toOutlet: 0.01,
      toSpill: 0.2,
      waterDensity: 999.702,
    } satisfies Record<string, InputValue>);
    expect(answerOf("moist-air", { air: { dryBulb: "77 degF", relativeHumidity: "50 %" } }).inputs.air).toEqual({
      dryBulb: 25,
      relativeHumidity: 0.5,
    });
  });
});
