import { describe, expect, it } from "vitest";
import {
  bore,
  cleanManningN,
  isMetricPlastic,
  MATERIAL_IDS,
  materialById,
  materials,
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
      if (info.source !== null) expect(source(info.source).id).toBe(info.source);
      expect(source(info.manningSource).id).toBe(info.manningSource);
      expect(cleanManningN(id)).toBeGreaterThan(0.008);
      expect(isMetricPlastic(id)).toBe(id.endsWith("-metric"));
    },
  );
  it("knows no bore where no table has one", () => {
    for (const [id, size] of [
      ["cast-iron", 50],
      ["copper-k", 20],
      ["pvc-sch40", 22],
      ["pvc-dwv", 20],
      ["unheard-of", 20],
    ] as const)
      expect(bore(id, size)).toBeNaN();
    expect(sizesOf("pex")).toEqual([]);
    expect(cleanManningN("unheard-of")).toBeNaN();
    expect(isMetricPlastic("unheard-of")).toBe(false);
  });
});
