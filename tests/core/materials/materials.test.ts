import { describe, expect, it } from "vitest";
import {
  bore,
  cleanManningN,
  isHose,
  isMetricPlastic,
  isPlastic,
  lastingModulus,
  MATERIAL_IDS,
  materialById,
  materials,
  modulusAt,
  pipeSize,
  sizesOf,
} from "../../../src/core/materials/materials.js";
import { source } from "../../../src/core/sources/sources.js";

describe("pipe materials", () => {
  it("are the nineteen of the network document, each once", () => {
    expect([...MATERIAL_IDS].sort()).toEqual(
      [
        "abs-dwv",
        "cast-iron",
        "copper-dwv",
        "copper-k",
        "copper-l",
        "copper-m",
        "cpvc-cts",
        "hose-corrugated",
        "hose-smooth",
        "pe-metric",
        "pe-rt",
        "pex",
        "pp-metric",
        "pvc-dwv",
        "pvc-sch40",
        "pvc-sch80",
        "pvc-u-metric",
        "pvdf",
        "steel-galv",
      ].sort(),
    );
  });
  it.each(materials.map((each) => [each.id, each] as const))(
    "%s: sizes rise, bores fit inside, each table has its source",
    (id, info) => {
      expect(materialById(id)).toBe(info);
      const sizes = sizesOf(id);
      expect(sizes).toEqual([...sizes].sort((a, b) => a - b));
      let last = 0;
      for (const row of info.sizes) {
        expect(bore(id, row.size)).toBe(row.bore);
        expect(row.bore).toBeGreaterThan(last);
        expect(row.bore).toBeLessThan(row.outsideDiameter - 2 * row.wall + 1e-9);
        last = row.bore;
      }
      expect(info.sizes.length > 0).toBe(info.source !== null && info.boreBasis !== null && info.confidence !== null);
      expect(info.boreBasis === null).toBe(info.boreNote === null);
      if (info.source !== null) expect(source(info.source).id).toBe(info.source);
      expect(source(info.manningSource).id).toBe(info.manningSource);
      expect(cleanManningN(id)).toBeGreaterThan(0.008);
      expect(isMetricPlastic(id)).toBe(id.endsWith("-metric"));
    },
  );
  it("knows no bore where no table has one", () => {
    for (const [id, size] of [
      ["cast-iron", 20],
      ["pvdf", 20],
      ["pvc-sch40", 22],
      ["pvc-dwv", 20],
      ["unheard-of", 20],
    ] as const)
      expect(bore(id, size)).toBeNaN();
    expect(sizesOf("pvdf")).toEqual([]);
    expect(cleanManningN("unheard-of")).toBeNaN();
    expect(isMetricPlastic("unheard-of")).toBe(false);
  });
});

describe("what walls are made of", () => {
  it.each(materials.map((each) => [each.id, each] as const))(
    "%s: a figure has a source, or is not known",
    (_, info) => {
      const { stiffness, density, conductivity } = info;
      for (const figure of [stiffness.modulus, density, conductivity, ...stiffness.creep]) {
        expect(Number.isNaN(figure.value)).toBe(figure.source === null);
        expect(figure.source === null).toBe(figure.confidence === null);
        if (figure.source !== null) {
          expect(figure.value).toBeGreaterThan(0);
          // what only memory tells is never marked otherwise
          expect(figure.confidence === "memory").toBe(source(figure.source).seen === "memory");
        }
      }
      let last = 1;
      for (const [celsius, share] of stiffness.warmer.shares) {
        expect(celsius).toBeGreaterThan(stiffness.temperature);
        expect(share).toBeLessThanOrEqual(last);
        last = share;
      }
      for (const { value } of stiffness.creep) expect(value).toBeLessThan(stiffness.modulus.value);
    },
  );
  // PVC pipe handbook [from memory]: share of 2.76 GPa by temperature; between its figures a straight line
  it.each([
    [10, 1],
    [23, 1],
    [27.5, 0.965],
    [32, 0.93],
    [38, 0.88],
    [43, 0.84],
    [49, 0.79],
    [54, 0.75],
    [60, 0.7],
    [60.1, Number.NaN],
  ])("PVC at %f °C keeps %f of its stiffness", (celsius, share) => {
    for (const id of ["pvc-sch40", "pvc-sch80", "pvc-dwv", "pvc-u-metric"])
      if (Number.isNaN(share)) expect(modulusAt(id, celsius)).toBeNaN();
      else expect(modulusAt(id, celsius) / 2.76e9).toBeCloseTo(share, 12);
  });
  it("PVC keeps 0.97 GPa and polyethylene 0.2 GPa after fifty years (bridge code [from memory]; PE handbook table B.1.1)", () => {
    expect(lastingModulus("pvc-sch40")).toBe(0.97e9);
    expect(lastingModulus("pe-metric")).toBe(200e6);
    expect(lastingModulus("copper-l")).toBeNaN();
    expect(lastingModulus("unheard-of")).toBeNaN();
  });
  it("polyethylene has 565 MPa at room temperature, in warmer rooms nobody knows", () => {
    expect(modulusAt("pe-metric", 23)).toBe(565e6);
    expect(modulusAt("pe-metric", 24)).toBeNaN();
    expect(modulusAt("abs-dwv", 23)).toBeNaN();
    expect(modulusAt("unheard-of", 23)).toBeNaN();
    expect(modulusAt("pvc-sch40", Number.NaN)).toBeNaN();
  });
  it("copper is as stiff at 60 °C as in a room, 117 GPa (tables of metals [from memory])", () => {
    for (const celsius of [0, 23, 38, 60]) expect(modulusAt("copper-m", celsius)).toBe(117e9);
  });
  it("tells hoses and metals from the rest", () => {
    expect(MATERIAL_IDS.filter(isHose)).toEqual(["hose-smooth", "hose-corrugated"]);
    expect(MATERIAL_IDS.filter((id) => !isPlastic(id))).toEqual([
      "copper-k",
      "copper-l",
      "copper-m",
      "copper-dwv",
      "cast-iron",
      "steel-galv",
    ]);
  });
});

describe("bores from memory of their standards", () => {
  // ASTM B88: outside diameter less twice the wall of type K; the second row also in a listing of 3/4 in products
  it.each([
    [15, 0.625, 0.049],
    [20, 0.875, 0.065],
    [25, 1.125, 0.065],
    [32, 1.375, 0.065],
    [40, 1.625, 0.072],
    [50, 2.125, 0.083],
    [65, 2.625, 0.095],
    [80, 3.125, 0.109],
    [100, 4.125, 0.134],
    [125, 5.125, 0.16],
    [150, 6.125, 0.192],
  ])("copper K, DN %i: %f in less two walls of %f in", (size, outside, wall) => {
    expect(bore("copper-k", size) / 0.0254).toBeCloseTo(outside - 2 * wall, 9);
    expect(pipeSize("copper-k", size)!.wall / 0.0254).toBeCloseTo(wall, 9);
  });
  // A listing of the average bores of 3/4 in products: K 0.745, steel 0.824, PEX SDR 9 0.681 by the least wall
  it("3/4 in: K 0.745 in, Schedule 40 steel 0.824 in, PEX at most 0.681 in", () => {
    expect(bore("copper-k", 20) / 0.0254).toBeCloseTo(0.745, 9);
    expect(bore("steel-galv", 20) / 0.0254).toBeCloseTo(0.824, 9);
    for (const id of ["pex", "pe-rt"]) {
      const { outsideDiameter, wall, bore: inside } = pipeSize(id, 20)!;
      expect((outsideDiameter - 2 * wall) / 0.0254).toBeCloseTo(0.681, 9);
      expect(inside / 0.0254).toBeCloseTo(0.671, 9);
    }
  });
  it("SDR 9: every least wall is a ninth of the outside diameter, to a thousandth of an inch", () => {
    // 1/2 in has the least wall that the standard knows
    for (const { outsideDiameter, wall, size } of materialById("pex")!.sizes)
      expect(Math.abs(wall - Math.max(outsideDiameter / 9, 0.07 * 0.0254)), String(size)).toBeLessThan(0.0011 * 0.0254);
  });
  it("Schedule 40 steel has the outside diameters of Schedule 40 plastic, and its least wall as nominal wall", () => {
    for (const row of materialById("steel-galv")!.sizes) {
      const plastic = pipeSize("pvc-sch40", row.size)!;
      expect(row.outsideDiameter).toBe(plastic.outsideDiameter);
      expect(row.wall).toBeCloseTo(plastic.wall, 12);
    }
  });
});
