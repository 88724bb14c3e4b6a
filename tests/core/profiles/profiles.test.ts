import { describe, expect, it } from "vitest";
import { type LimitName, limitOf, type Profile } from "../../../src/core/profiles/profile.js";
import { profileById, profiles } from "../../../src/core/profiles/profiles.js";
import { OVERRIDE_NAMES, resolveProfile } from "../../../src/core/profiles/resolve-profile.js";
import { sizeByTable } from "../../../src/core/profiles/size-by-table.js";

const resolved = (overrides: Record<string, unknown>, system: "si" | "us" = "si", base = "imc"): Profile => {
  const result = resolveProfile(base, overrides, system);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.profile;
};
const problemsOf = (overrides: Record<string, unknown>, system: "si" | "us" = "si", base = "imc") => {
  const result = resolveProfile(base, overrides, system);
  return result.ok ? [] : result.problems;
};

describe("code profiles", () => {
  it("are imc, upc and metric", () => {
    expect(profiles.map(({ id }) => id)).toEqual(["imc", "upc", "metric"]);
    expect(profileById("imc")?.title).toBe("International Mechanical Code");
    expect(profileById("toString")).toBeUndefined();
  });
  it.each<[LimitName, number, number]>([
    ["fall.minimumGrade", 0.01, 0.01],
    ["fall.recommendedGrade", 1 / 48, 0.02],
    ["fall.minimumRunJudged", 0.5, 0.5],
    ["fall.backFallIgnored", 0.003, 0.003],
    ["fall.poolShallow", 0.25, 0.25],
    ["fall.poolShallowSmallBore", 0.006, 0.006],
    ["capacity.maximumFill", 0.75, 0.5],
    ["capacity.riserFraction", 7 / 24, 7 / 24],
    ["capacity.manningN", 0.012, 0.012],
    ["load.ratePerCapacity", (0.375 * 1.0515032733e-6) / 3516.8528420667, (0.375 * 1.0515032733e-6) / 3516.8528420667],
    ["trap.drawThroughMargin", 0.0254, 0.0254],
    ["trap.blowThroughMargin", 0.0127, 0.0127],
    ["trap.evaporation", 0.001 / 86_400, 0.001 / 86_400],
    ["size.minimum", 20, 20],
    ["outlet.airGapFactor", 2, 2],
    ["outlet.airGapMinimum", 0.0254, 0.0254],
    ["overflow.afterRun", 0.0005, 0.0005],
    ["access.reach", 15, 15],
    ["access.reachTurn", 270, 270],
    ["access.maximumLength", 30.48, 30.48],
    ["access.maximumTurn", 135, 135],
  ])("%s is %f, in metric practice %f", (name, american, metric) => {
    for (const profile of profiles) {
      const wanted = profile.id === "metric" ? metric : american;
      expect(Math.abs(limitOf(profile, name).value / wanted - 1)).toBeLessThan(1e-9);
      expect(limitOf(profile, name).name).toBe(name);
    }
  });
  it("leave nothing without source or confidence, and throw for a limit that is none", () => {
    for (const profile of profiles)
      for (const limit of profile.limits.values())
        expect([limit.source, limit.confidence].every((word) => word.length > 0)).toBe(true);
    expect(() => limitOf(profiles[0]!, "no.such" as LimitName)).toThrow(/no limit/);
  });
});

describe("the firm's own figures", () => {
  it("replace the profile's, in any unit, and say whose they are", () => {
    const profile = resolved({
      "fall.minimumGrade": "1/4 in/ft",
      "size.minimum": "1 in",
      "load.ratePerCapacity": "0.5 gal/h per ton",
      "trap.evaporation": "2 mm/day",
    });
    expect(limitOf(profile, "fall.minimumGrade")).toMatchObject({
      value: 1 / 48,
      source: "firm",
      confidence: "firm",
      overridden: true,
    });
    expect(limitOf(profile, "size.minimum").value).toBe(25);
    expect(
      limitOf(profile, "load.ratePerCapacity").value / limitOf(profiles[0]!, "load.ratePerCapacity").value,
    ).toBeCloseTo(0.5 / 0.375, 12);
    expect(limitOf(profile, "trap.evaporation").value).toBeCloseTo(0.002 / 86_400, 20);
    expect(profile.overridden).toEqual([
      "fall.minimumGrade",
      "load.ratePerCapacity",
      "size.minimum",
      "trap.evaporation",
    ]);
    expect(limitOf(profile, "fall.recommendedGrade").overridden).toBeUndefined();
    expect(limitOf(profiles[0]!, "fall.minimumGrade").value).toBe(0.01);
  });
  it("a bare number is in the document's units", () => {
    expect(limitOf(resolved({ "fall.minimumGrade": 0.02 }), "fall.minimumGrade").value).toBe(0.02);
    expect(limitOf(resolved({ "fall.minimumGrade": 0.25 }, "us"), "fall.minimumGrade").value).toBe(1 / 48);
    expect(limitOf(resolved({ "trap.drawThroughMargin": 2 }, "us"), "trap.drawThroughMargin").value).toBe(0.0508);
  });
  it("tables, words and bases", () => {
    const profile = resolved({
      "size.table": [
        { upTo: "10 ton", size: "3/4 in" },
        { upTo: "20 ton", size: "1 in" },
      ],
      "size.practice": [{ upTo: 35, size: 25 }],
      "size.aboveTable": "hydraulic",
      "size.minimumBasis": "inside-diameter",
      "vent.rule": "rim",
    });
    expect(sizeByTable(profile.codeTable!, 40_000)).toBe(25);
    expect(sizeByTable(profile.codeTable!, 80_000)).toBeNaN();
    expect(profile.practiceTable).toEqual({ rows: [{ upTo: 35_000, size: 25 }], source: "firm", confidence: "firm" });
    expect([profile.aboveTable, profile.sizeBasis, profile.ventRule]).toEqual(["hydraulic", "inside-diameter", "rim"]);
  });
  it("none leaves the profile itself", () => {
    expect(resolved({})).toBe(profileById("imc"));
  });
  it("reports every mistake at its place", () => {
    expect(
      problemsOf({
        "fall.minimumgrade": 1,
        "fall.minimumGrade": "2 kW",
        "fall.recommendedGrade": true,
        "capacity.maximumFill": 1.5,
        "vent.rule": "sometimes",
        "size.table": [
          { upTo: "20 ton", size: "3/4 in" },
          { upTo: "10 ton", size: "1 in" },
        ],
        "size.practice": [{ upTo: "20 ton", size: "0.8 in" }],
        "a/b~c": 1,
      }).map(({ pointer, code }) => [pointer, code]),
    ).toEqual([
      ["/fall.minimumgrade", "unknown-field"],
      ["/fall.minimumGrade", "bad-unit"],
      ["/fall.recommendedGrade", "bad-value"],
      ["/capacity.maximumFill", "bad-value"],
      ["/vent.rule", "bad-value"],
      ["/size.table/1", "bad-value"],
      ["/size.practice/0/size", "bad-unit"],
      ["/a~1b~0c", "unknown-field"],
    ]);
    expect(problemsOf({ "fall.minimumgrade": 1 })[0]?.hint).toBe('did you mean "fall.minimumGrade"?');
    expect(problemsOf({}, "si", "ipc")[0]).toMatchObject({ pointer: "", code: "unknown-profile" });
    for (const table of [
      null,
      {},
      [],
      [7],
      [{ upTo: 1 }],
      [{ upTo: 1, size: 20, more: 1 }],
      [{ upTo: "1 m", size: 20 }],
    ])
      expect(problemsOf({ "size.table": table }), JSON.stringify(table)).toHaveLength(1);
    expect(problemsOf(JSON.parse('{"__proto__": 1, "constructor": 2}'))).toHaveLength(2);
  });
  it("accepts every name that it lists", () => {
    for (const name of OVERRIDE_NAMES) expect(problemsOf({ [name]: { odd: true } })[0]?.code, name).toBe("bad-value");
  });
});
