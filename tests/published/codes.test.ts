import { describe, expect, it } from "vitest";
import { condensateOfCapacity, greatestCondensate } from "../../src/core/physics/condensate.js";
import { headOf } from "../../src/core/physics/constants.js";
import { moistAir, specificVolume, standardPressureAt } from "../../src/core/physics/moist-air.js";
import { fullFlow, manningFlow, manningVelocity } from "../../src/core/physics/part-full-flow.js";
import { riserFlow } from "../../src/core/physics/riser-flow.js";
import {
  dropForSuction,
  outletLegFall,
  panStanding,
  sealByHalfDrop,
  sealForPressure,
} from "../../src/core/physics/trap-statics.js";
import { imc } from "../../src/core/profiles/imc.js";
import { metric } from "../../src/core/profiles/metric.js";
import { limitOf, type Profile, type SizeTable } from "../../src/core/profiles/profile.js";
import { profileById } from "../../src/core/profiles/profiles.js";
import { resolveProfile } from "../../src/core/profiles/resolve-profile.js";
import { sizeByTable } from "../../src/core/profiles/size-by-table.js";
import { spacingRow } from "../../src/core/profiles/support-spacing.js";
import { upc } from "../../src/core/profiles/upc.js";
import type { QuantityKind } from "../../src/core/quantity/speaker.js";
import { fromSi, parseQuantity } from "../../src/core/quantity/units.js";

const si = (kind: QuantityKind, text: string): number => {
  const read = parseQuantity(kind, text, "si");
  if (!read.ok) throw new Error(`${text}: ${read.detail}`);
  return read.value;
};
const inches = (metres: number): number => metres / 0.0254;
const GPM = si("flow", "1 gpm");
const GPH = si("flow", "1 gal/h");

describe("slopes (arithmetic; IMC/IPC 307.2.1, UPC 814.1)", () => {
  it.each([
    ["1", "1/8 in/ft", 1.0417, 0.0005, "high"],
    ["2", "1/4 in/ft", 2.0833, 0.0005, "high"],
    ["3", "1 in per 10 ft", 0.8333, 0.0005, "high"],
    ["4", "1:100", 1, 0, "high"],
    ["7", "2.5 deg", 4.366, 0.005, "high"],
    ["-", "10.4 mm/m", 1.04, 1e-9, "high"],
  ])("row %s: %s is %f %% ± %f (%s)", (_row, text, percent, tolerance) => {
    expect(Math.abs(si("grade", text) * 100 - percent)).toBeLessThanOrEqual(tolerance);
  });
  it("row 3: 1 in per 10 ft falls short of the least grade of both code profiles; row 4: 1:100 meets it exactly", () => {
    for (const profile of [imc, upc]) {
      expect(si("grade", "1 in per 10 ft")).toBeLessThan(limitOf(profile, "fall.minimumGrade").value);
      expect(si("grade", "1:100")).toBe(limitOf(profile, "fall.minimumGrade").value);
    }
  });
  it("rows 5 and 6: 30 ft at 1/8 in per ft fall 3.75 in; 12 m at 10.4 mm/m fall 124.8 mm", () => {
    expect(inches(si("length", "30 ft") * si("grade", "1/8 in/ft"))).toBeCloseTo(3.75, 9);
    expect(12 * si("grade", "10.4 mm/m") * 1000).toBeCloseTo(124.8, 9);
  });
});

describe("combined drains (IMC Table 307.2.2: Rapid City 2019, Chicago 2021; UMC 2003; high)", () => {
  const rows = [
    ["9", "5 ton", 20],
    ["10", "20 ton", 20],
    ["11", "20.01 ton", 25],
    ["12", "40 ton", 25],
    ["13", "40.1 ton", 32],
    ["14", "90 ton", 32],
    ["15", "90.1 ton", 40],
    ["16", "125 ton", 40],
    ["17", "125.1 ton", 50],
    ["18", "250 ton", 50],
    ["19", "250.1 ton", Number.NaN],
    ["20a", "70 kW", 20],
    ["20b", "141 kW", 32],
    ["20c", "879 kW", 50],
    ["21", "20.5 ton", 25],
  ] as const;
  it.each(rows)("row %s: %s asks for DN %i", (_row, capacity, dn) => {
    for (const { codeTable } of [imc, upc])
      expect(sizeByTable(codeTable as SizeTable, si("cooling-capacity", capacity))).toBe(dn);
  });
  it.each([
    ["22", 12, 20],
    ["23", 120, 50],
  ])("row %s: %i units of 1.5 ton, added one by one, ask for DN %i", (_row, count, dn) => {
    let sum = 0;
    for (let i = 0; i < count; i += 1) sum += si("cooling-capacity", "1.5 ton");
    expect(sizeByTable(imc.codeTable as SizeTable, sum)).toBe(dn);
  });
  it("20 tons in sixty parts, added one by one, still meet the 20 ton row", () => {
    let sum = 0;
    for (let i = 0; i < 60; i += 1) sum += si("cooling-capacity", "20 ton") / 60;
    expect(sizeByTable(imc.codeTable as SizeTable, sum)).toBe(20);
  });
  it("row 26: 1 ton is 3.517 kW ± 0.001", () => {
    expect(Math.abs(si("cooling-capacity", "1 ton") / 1000 - 3.517)).toBeLessThan(0.001);
  });
  it("rows 175 and 176: a design guide asks for 1-1/4 in at 10 t and 1-1/2 in at 40 t (medium)", () => {
    expect(sizeByTable(imc.practiceTable as SizeTable, si("cooling-capacity", "10 ton"))).toBe(32);
    expect(sizeByTable(imc.practiceTable as SizeTable, si("cooling-capacity", "40 ton"))).toBe(40);
  });
});

describe("supports of pipes (IMC 305.4 in a trade article, IRC 2018 Table P2605.1, Minnesota Rules 4714.0313)", () => {
  const feetOf = (profile: Profile, material: string, size: number) => {
    const row = spacingRow(profile.supportSpacing.get(material) ?? [], size);
    return [row?.spacing, row?.upright].map((metres) => (metres === undefined ? undefined : metres / 0.3048));
  };
  it.each([
    ["151", "imc", "pvc-sch40", 20, 4, 10, "high"],
    ["151", "imc", "pvc-dwv", 100, 4, 10, "high"],
    ["152", "imc", "copper-m", 32, 6, 10, "high"],
    ["153", "imc", "copper-m", 40, 10, 10, "high"],
    ["153", "upc", "copper-m", 40, 6, 10, "high"],
    ["-", "upc", "copper-m", 50, 10, 10, "high"],
    ["154", "imc", "cpvc-cts", 25, 3, 10, "high"],
    ["155", "imc", "cpvc-cts", 32, 4, 10, "high"],
    ["156", "imc", "pex", 25, 32 / 12, 10, "high"],
    ["157", "imc", "abs-dwv", 50, 4, 10, "high"],
    ["158", "upc", "steel-galv", 25, 12, 25, "high"],
    ["159", "upc", "steel-galv", 20, 10, 25, "high"],
    ["160", "imc", "cast-iron", 80, 5, 15, "high"],
    ["-", "upc", "pex", 25, 32 / 12, Number.NaN, "high"],
    ["-", "upc", "cpvc-cts", 25, 3, Number.NaN, "high"],
    ["-", "imc", "steel-galv", 50, 12, 15, "memory"],
  ] as const)("row $0, $1: $2 of DN $3: $4 ft, upright $5 ft ($6)", (_row, id, material, size, along, up, sure) => {
    const profile = profileById(id)!;
    const [spacing, upright] = feetOf(profile, material, size);
    expect(spacing).toBeCloseTo(along, 9);
    if (Number.isNaN(up)) expect(upright).toBeNaN();
    else expect(upright).toBeCloseTo(up, 9);
    expect(spacingRow(profile.supportSpacing.get(material)!, size)!.confidence).toBe(sure);
  });
  it("row 161: 25 ft of PVC hung at 4 ft with supports at both ends take 8 (derived; medium)", () => {
    const [spacing] = feetOf(imc, "pvc-sch40", 20);
    expect(Math.ceil(25 / spacing!) + 1).toBe(8);
  });
  it("no table names high-density polyethylene (none was found)", () => {
    for (const profile of [imc, upc, metric]) expect(profile.supportSpacing.get("pe-metric")).toBeUndefined();
  });
  it("metric practice: plastic at most 1 m (an installation manual: 0.8 to 1.0 m), metal 1.5 m (usual brackets)", () => {
    const spacing = (material: string) => metric.supportSpacing.get(material)?.[0];
    expect(spacing("pvc-u-metric")).toMatchObject({ spacing: 1, source: "vrf-manual", confidence: "common-practice" });
    expect(spacing("copper-l")).toMatchObject({ spacing: 1.5, confidence: "common-practice" });
  });
});

describe("second lines of defense (IRC 2018 M1411.3.1; IMC 307.2.3 as quoted; UPC 814.2)", () => {
  it("row 31: an auxiliary pan of 1.49 in is too shallow, one of 1-1/2 in is not (high)", () => {
    for (const profile of [imc, upc]) {
      const { value } = limitOf(profile, "overflow.auxiliaryPanDepth");
      expect(si("dimension", "1.49 in")).toBeLessThan(value);
      expect(si("dimension", "1-1/2 in")).toBeGreaterThanOrEqual(value);
    }
  });
  it("row 32: a unit of 24 by 36 in asks for a pan of 27 by 39, read over the whole (medium)", () => {
    const { value } = limitOf(imc, "overflow.auxiliaryPanOverhang");
    for (const [unit, pan] of [
      [24, 27],
      [36, 39],
    ] as const) {
      expect((pan - unit) * 0.0254).toBeGreaterThanOrEqual(value);
      expect((pan - unit - 0.01) * 0.0254).toBeLessThan(value);
    }
  });
  it("row 35: a second drain of 1/2 in is too small, one of 3/4 in is not (high)", () => {
    for (const profile of [imc, upc]) {
      const { value } = limitOf(profile, "overflow.secondarySize");
      expect(si("size", "1/2 in")).toBeLessThan(value);
      expect(si("size", "3/4 in")).toBe(value);
    }
  });
  it("rows 37 and 38: a device in the drain line is one of the methods, beside a second port or pan (high)", () => {
    expect(imc.overflowMethods.map(({ method }) => method)).toContain("level-device");
    expect(imc.inLineDevice).toBe("beside-second-line");
  });
  it("row 39: lay-in tiles are exempt by the earlier wording, and no longer by that of 2024 (medium)", () => {
    expect([upc.edition, upc.overflowExemption]).toEqual(["2024", "none"]);
    const earlier = resolveProfile("upc", { "overflow.exemption": "lay-in-tiles" }, "us");
    expect(earlier.ok && earlier.profile.overflowExemption).toBe("lay-in-tiles");
  });
});

describe("trap dimensions (installation manuals; HVAC engineering magazine)", () => {
  const margin = limitOf(imc, "trap.drawThroughMargin").value;
  it.each([
    ["54", 0.25, 1.25, 0.625, "medium"],
    ["55", 0.5, 1.5, 0.75, "high"],
    ["56", 1, 2, 1, "high"],
    ["57", 1.5, 2.5, 1.25, "high"],
    ["58", 2, 3, 1.5, "high"],
    ["59", 2.5, 3.5, 1.75, "high"],
    ["60", 3, 4, 2, "high"],
    ["-", 3.5, 4.5, 2.25, "high"],
    ["61", 4, 5, 2.5, "high"],
  ])("row %s: draw-through at -%f inH2O: drop %f in, seal %f in ± 0.01 (%s)", (_row, pressure, drop, seal) => {
    // the manuals count an inch of water as an inch of head: water at 4 °C
    const head = headOf(si("gauge-pressure", `${pressure} inH2O`), 1000);
    expect(Math.abs(inches(dropForSuction(head, margin)) - drop)).toBeLessThan(0.01);
    expect(Math.abs(inches(sealByHalfDrop(dropForSuction(head, margin))) - seal)).toBeLessThan(0.01);
  });
  it.each([
    ["64", 1.5, 2],
    ["65", 0.5, 1],
  ])("row %s: blow-through at %f inH2O: seal %f in, drop at least 1/2 in (high)", (_row, pressure, seal) => {
    const blow = limitOf(imc, "trap.blowThroughMargin").value;
    expect(
      Math.abs(inches(sealForPressure(headOf(si("gauge-pressure", `${pressure} inH2O`), 1000), blow)) - seal),
    ).toBeLessThan(0.01);
    expect(inches(blow)).toBeCloseTo(0.5, 12);
  });
  it.each([
    ["62", 1, 1.25, 4.25],
    ["63", 2.5, 1, 6.25],
  ])("row %s: whole depth at -%f inH2O in pipe of %f in: %f in (high)", (_row, pressure, bore, depth) => {
    const drop = dropForSuction(headOf(si("gauge-pressure", `${pressure} inH2O`), 1000), margin);
    expect(Math.abs(inches(drop + sealByHalfDrop(drop)) + bore - depth)).toBeLessThan(0.01);
  });
  it.each([
    ["71", 100, 35.6, 17.8],
    ["72", 250, 50.9, 25.4],
    ["73", 500, 76.4, 38.2],
  ])("row %s: draw-through at -%i Pa: drop %f mm, seal %f mm ± 0.3 (high; derived)", (_row, pascal, drop, seal) => {
    const needed = dropForSuction(headOf(pascal), margin) * 1000;
    expect(Math.abs(needed - drop)).toBeLessThan(0.3);
    expect(Math.abs(sealByHalfDrop(needed) - seal)).toBeLessThan(0.3);
  });
  it("row 68: 1.5 in of suction over a drop of 0.5 in leaves 1.0 in in the pan (medium; derived)", () => {
    expect(panStanding(1.5, 0.5)).toBe(1);
  });
  it("row 67: trap depth = static + one pipe diameter: 1.0 in and a 1 in pipe ask for 2.0 in, the drop that ours asks for (low)", () => {
    const head = headOf(si("gauge-pressure", "1 inH2O"), 1000);
    expect(Math.abs(inches(dropForSuction(head, si("dimension", "1 in"))) - 2)).toBeLessThan(0.01);
    expect(Math.abs(inches(dropForSuction(head, margin)) - 2)).toBeLessThan(0.01);
  });
  it("rows 181 to 184: what is left over statics: 1.0 in running, 0.5 in at start, -0.5 in, 0.5 in blown (high; hydrostatics)", () => {
    const head = (inH2O: number): number => inches(headOf(si("gauge-pressure", `${inH2O} inH2O`), 1000));
    expect(Math.abs(3 - head(2) - 1)).toBeLessThan(0.01);
    expect(Math.abs(1.5 - outletLegFall(head(2), 1, 1) - 0.5)).toBeLessThan(0.01);
    expect(Math.abs(1 - head(1.5) + 0.5)).toBeLessThan(0.01);
    expect(panStanding(head(1.5), 1)).toBeGreaterThan(0);
    expect(Math.abs(2 - head(1.5) - 0.5)).toBeLessThan(0.01);
    expect(si("gauge-pressure", "1 inH2O")).toBeCloseTo(249, 0);
    expect(si("gauge-pressure", "0.5 inH2O")).toBeCloseTo(125, 0);
  });
  it("rows 69 and 70: 1 in w.c. is 249.1 Pa ± 0.5; 10 mm w.c. are 98.07 Pa ± 0.1 (high)", () => {
    expect(Math.abs(si("gauge-pressure", "1 in w.c.") - 249.1)).toBeLessThan(0.5);
    expect(Math.abs(si("gauge-pressure", "10 mm w.c.") - 98.07)).toBeLessThan(0.1);
  });
});

describe("condensate", () => {
  // 4.5 = 60 min/h of 0.075 lb/ft³; an engineering reference on condensate
  const pounds = (cfm: number, difference: number): number => 60 * 0.075 * cfm * difference;
  it.each([
    ["78", 1000, 0.003, 13.5, 1.62],
    ["79", 1000, 20 / 7000, 12.86, 1.543],
    ["80", 2000, 0.0057, 51.3, 6.16],
  ])("row %s: %i cfm losing %f lb/lb make %f lb/h = %f gal/h ± 1 %% (high)", (_row, cfm, difference, lbh, gph) => {
    expect(Math.abs(pounds(cfm, difference) / lbh - 1)).toBeLessThan(0.01);
    const kgs = (pounds(cfm, difference) * 0.45359237) / 3600;
    expect(Math.abs(kgs / 999.1 / GPH / gph - 1)).toBeLessThan(0.01);
    // the same through the air's own volume: 13.33 ft³/lb
    const volume = si("airflow", `${cfm} cfm`);
    expect(Math.abs(((volume / (13.33 * 0.3048 ** 3)) * 0.45359237 * difference) / kgs - 1)).toBeLessThan(0.01);
  });
  it("row 82: 0.4719 m³/s losing 3.0 g/kg make 6.12 L/h ± 1 % (high)", () => {
    expect(Math.abs((3600 * 1.2 * 0.4719 * 0.003) / 6.12 - 1)).toBeLessThan(0.01);
  });
  it("row 83: three pints an hour per ton: 10 t make 3.75 gal/h = 0.0625 gpm (high)", () => {
    const flow = limitOf(imc, "load.ratePerCapacity").value * si("cooling-capacity", "10 ton");
    expect(flow / GPH).toBeCloseTo(3.75, 9);
    expect(flow / GPM).toBeCloseTo(0.0625, 9);
    expect(si("flow", "3 pints/h") * 10).toBeCloseTo(flow, 15);
  });
  it("row 85: 1 ton of latent heat alone, 1061 Btu/lb, makes 1.358 gal/h ± 2 % (high)", () => {
    const latent = (1061 * 1055.05585262) / 0.45359237;
    const rate = greatestCondensate(si("cooling-capacity", "1 ton"), latent);
    expect(rate).toBe(condensateOfCapacity(si("cooling-capacity", "1 ton"), 0, latent));
    expect(Math.abs(rate / 999.1 / GPH / 1.358 - 1)).toBeLessThan(0.02);
  });
  it("row 86: 0.04 gpm per ton is above what any coil can make (high)", () => {
    expect(0.04 * GPM * 999.1).toBeGreaterThan(greatestCondensate(si("cooling-capacity", "1 ton"), 2_465_400));
  });
});

describe("psychrometrics in customary units (derived; 14.696 psia)", () => {
  const grains = 7000;
  const air = (dry: number, wet: number) =>
    moistAir({ dryBulb: si("temperature", `${dry} degF`), wetBulb: si("temperature", `${wet} degF`) }, 101_325);
  it.each([
    ["90", 90, 73, 94.7],
    ["91", 75, 62.5, 64.4],
  ])("row %s: %f/%f °F hold %f gr/lb ± 0.5 (high)", (_row, dry, wet, gr) => {
    expect(Math.abs(air(dry, wet).humidityRatio * grains - gr)).toBeLessThan(0.5);
  });
  it("row 92: 20 % of the one and 80 % of the other, by mass, hold 70.5 gr/lb ± 0.5 (medium)", () => {
    expect(
      Math.abs((0.2 * air(90, 73).humidityRatio + 0.8 * air(75, 62.5).humidityRatio) * grains - 70.5),
    ).toBeLessThan(0.5);
  });
  it.each([
    ["93", 75, 0.5, 55.1],
    ["94", 80, 0.6, 64.9],
    ["95", 75, 0.6, 60.2],
  ])("row %s: dew point of %f °F at %f is %f °F ± 0.3 (high)", (_row, dry, rh, dew) => {
    const state = moistAir({ dryBulb: si("temperature", `${dry} degF`), relativeHumidity: rh }, standardPressureAt(0));
    expect(Math.abs(fromSi("temperature", state.dewPoint, "us") - dew)).toBeLessThan(0.3);
    expect(state.specificVolume).toBe(specificVolume(si("temperature", `${dry} degF`), state.humidityRatio, 101_325));
  });
});

describe("Manning capacities of Schedule 40, bores from the least wall, n 0.010, gpm (derived)", () => {
  // bore in, full at 1/8, ft/s, 3/4 full, half, full at 1/4, ft/s, 3/4 full
  const rows = [
    ["96", 0.824, 1.68, 1.01, 1.53, 0.84, 2.37, 1.43, 2.16],
    ["97", 1.049, 3.19, 1.19, 2.91, 1.6, 4.52, 1.68, 4.12],
    ["98", 1.38, 6.64, 1.42, 6.05, 3.32, 9.38, 2.01, 8.56],
    ["99", 1.61, 10.01, 1.58, 9.13, 5, 14.16, 2.23, 12.91],
    ["100", 2.067, 19.49, 1.86, 17.77, 9.74, 27.56, 2.64, 25.13],
    ["101", 3.068, 55.87, 2.42, 50.94, 27.93, 79.01, 3.43, 72.04],
  ] as const;
  it.each(rows)("rows %s and 103 to 106, 110: bore %f in within 0.5 %% (high)", (_row, bore, ...figures) => {
    const d = bore * 0.0254;
    const ours = [
      fullFlow(d, 1 / 96, 0.01) / GPM,
      manningVelocity(d, d, 1 / 96, 0.01) / 0.3048,
      manningFlow(d, 0.75 * d, 1 / 96, 0.01) / GPM,
      manningFlow(d, 0.5 * d, 1 / 96, 0.01) / GPM,
      fullFlow(d, 1 / 48, 0.01) / GPM,
      manningVelocity(d, d, 1 / 48, 0.01) / 0.3048,
      manningFlow(d, 0.75 * d, 1 / 48, 0.01) / GPM,
    ];
    for (const [index, figure] of figures.entries()) expect(Math.abs(ours[index]! / figure - 1)).toBeLessThan(0.005);
  });
  it("rows 102 and 104: 4 in, bore 4.026 in: 115.31 and 163.07 gpm full, 105.15 and 148.70 three-quarters full (high)", () => {
    const d = 4.026 * 0.0254;
    for (const [grade, full, three] of [
      [1 / 96, 115.31, 105.15],
      [1 / 48, 163.07, 148.7],
    ] as const) {
      expect(Math.abs(fullFlow(d, grade, 0.01) / GPM / full - 1)).toBeLessThan(0.005);
      expect(Math.abs(manningFlow(d, 0.75 * d, grade, 0.01) / GPM / three - 1)).toBeLessThan(0.005);
    }
  });
  it("row 107: n from 0.010 to 0.013 takes 2 in from 19.49 to 14.99 gpm within 0.5 % (high)", () => {
    expect(Math.abs(fullFlow(2.067 * 0.0254, 1 / 96, 0.013) / GPM / 14.99 - 1)).toBeLessThan(0.005);
  });
  it.each([
    [0.5, 0.5, 1],
    [0.75, 0.912, 1.133],
    [0.938, 1.076, null],
    [0.813, null, 1.14],
  ])("rows 108 and 109: at y/D %f Q/Qfull %f ± 0.003, V/Vfull %f ± 0.004 (high)", (fill, flow, velocity) => {
    if (flow !== null)
      expect(Math.abs(manningFlow(1, fill, 0.01, 0.01) / fullFlow(1, 0.01, 0.01) - flow)).toBeLessThan(0.003);
    if (velocity !== null)
      expect(
        Math.abs(manningVelocity(1, fill, 0.01, 0.01) / manningVelocity(1, 1, 0.01, 0.01) - velocity),
      ).toBeLessThan(0.004);
  });
  it.each([
    ["166", 0.824, 96],
    ["167", 1.049, 204],
    ["168", 1.38, 360],
    ["169", 1.61, 582],
    ["170", 2.067, 1242],
    ["171", 3.068, 3618],
    ["172", 4.026, 7680],
  ])("row %s: a design guide's full flow at 1 %%, bore %f in, %i gal/h within 14 %% (medium)", (_row, bore, gph) => {
    expect(Math.abs(fullFlow(bore * 0.0254, 0.01, 0.01) / GPH / gph - 1)).toBeLessThan(0.14);
  });
});

describe("storm drains, gpm", () => {
  // nominal bore, n 0.015, full; older UPC/IPC tables, from memory but for two cells seen in public
  const older = [
    [3, 34, 48, 68],
    [4, 78, 110, 156],
    [5, 139, 196, 278],
    [6, 222, 314, 445],
    [8, 478, 677, 956],
    [10, 860, 1214, 1721],
    [12, 1384, 1953, 2768],
  ] as const;
  it.each(older)("rows 111 to 115, older basis [from memory], %i in within 5 %%", (size, ...figures) => {
    for (const [index, grade] of [1 / 96, 1 / 48, 1 / 24].entries())
      expect(Math.abs(fullFlow(size * 0.0254, grade, 0.015) / GPM / figures[index]! - 1)).toBeLessThan(0.05);
  });
  it.each([
    [4, 78.2, 0.05],
    [6, 222.6, 0.01],
  ])("%i in at 1/8 in per ft: %f gpm as seen in public quotations, within %f (high)", (size, gpm, tolerance) => {
    expect(Math.abs(fullFlow(size * 0.0254, 1 / 96, 0.015) / GPM / gpm - 1)).toBeLessThan(tolerance);
  });
  // bore of Schedule 40, n 0.010, full; IPC 2015-2021 Table 1106.2, from memory but for one cell
  const newer = [
    [3, 3.068, 39, 55, 79, 111],
    [4, 4.026, 81, 115, 163, 231],
    [6, 6.065, 243, 344, 487, 689],
    [8, 7.981, 505, 714, 1010, 1429],
    [10, 10.02, 927, 1311, 1855, 2623],
    [12, 11.938, 1480, 2093, 2960, 4187],
  ] as const;
  it.each(newer)(
    "rows 116 to 120, IPC 2015-2021 [from memory], %i in within 2 %% (the 2 and 5 in rows of that table are outliers)",
    (_size, bore, ...figures) => {
      for (const [index, grade] of [1 / 192, 1 / 96, 1 / 48, 1 / 24].entries())
        expect(Math.abs(fullFlow(bore * 0.0254, grade, 0.01) / GPM / figures[index]! - 1)).toBeLessThan(0.02);
    },
  );
});

describe("vertical leaders flowing 7/24 full (NSPC 2006 Table 13.6.1; high)", () => {
  it.each([
    ["124", 2, 23],
    ["125", 3, 67],
    ["126", 4, 144],
    ["127", 5, 261],
    ["128", 6, 424],
    ["129", 8, 913],
    ["130", 10, 1655],
    ["131", 12, 2692],
    ["132", 15, 4880],
  ])("row %s: %i in carry %i gpm within half a gpm", (_row, size, gpm) => {
    expect(Math.abs(riserFlow(size * 0.0254, 7 / 24) / GPM - gpm)).toBeLessThanOrEqual(0.5);
  });
  it.each([
    ["133", 1.5, 10.5, 7 / 24],
    ["-", 1, 3.6, 7 / 24],
    ["-", 1.25, 6.5, 7 / 24],
    ["-", 1.25, 5, 1 / 4],
    ["-", 4, 111.2, 1 / 4],
  ])("row %s: %f in carry %f gpm at r %f within 2 %% (medium; derived)", (_row, size, gpm, r) => {
    expect(Math.abs(riserFlow(size * 0.0254, r) / GPM / gpm - 1)).toBeLessThan(0.02);
  });
});

describe("units", () => {
  it("row 164: 1 gpm is 0.06309 L/s ± 0.0001; row 165: 1 US gal of water weighs 8.33 to 8.345 lb (high)", () => {
    expect(Math.abs(GPM * 1000 - 0.06309)).toBeLessThan(1e-4);
    const pounds = (si("volume", "1 gal") * 999.102) / 0.45359237;
    expect(pounds).toBeGreaterThan(8.33);
    expect(pounds).toBeLessThan(8.345);
  });
});
