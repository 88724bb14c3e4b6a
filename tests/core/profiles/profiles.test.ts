import { describe, expect, it } from "vitest";
import { materials } from "../../../src/core/materials/materials.js";
import { connectionRuling, DISCHARGES } from "../../../src/core/profiles/outlets.js";
import { type LimitName, limitOf, type Profile } from "../../../src/core/profiles/profile.js";
import { profileById, profiles } from "../../../src/core/profiles/profiles.js";
import { OVERRIDE_NAMES, resolveProfile } from "../../../src/core/profiles/resolve-profile.js";
import { sizeByTable } from "../../../src/core/profiles/size-by-table.js";
import { spacingRow } from "../../../src/core/profiles/support-spacing.js";

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
    ["overflow.auxiliaryPanDepth", 0.038, 0.038],
    ["overflow.auxiliaryPanOverhang", 0.076, 0.076],
    ["overflow.secondarySize", 20, 20],
    ["overflow.afterRun", 0.0005, 0.0005],
    ["access.reach", 15, 15],
    ["access.reachTurn", 270, 270],
    ["access.maximumLength", 30.48, 30.48],
    ["access.maximumTurn", 135, 135],
    ["support.ceilingTemperature", 38, 38],
    ["sweat.waterTemperature", 13, 13],
    ["sweat.filmCoefficient", 9, 9],
    ["sweat.filmCoefficientFoil", 5, 5],
    ["sweat.conductivity", 0.036, 0.036],
    ["sweat.margin", 0.5, 0.5],
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

describe("protection against overflow", () => {
  const methodsOf = (profile: Profile): string[] => profile.overflowMethods.map(({ method }) => method);

  // IMC 307.2.3 and UPC 814.2 list the same four: a level device that shuts the unit off, a drain of its own from the
  // pan above the primary, a pan below with a drain, a pan below with a device
  it("is one of four methods under both codes, and in practice any of them", () => {
    for (const profile of profiles)
      expect(methodsOf(profile).sort()).toEqual([
        "auxiliary-pan-device",
        "auxiliary-pan-drained",
        "level-device",
        "secondary-drain",
      ]);
    expect(profiles.map(({ inLineDevice }) => inLineDevice)).toEqual(["beside-second-line", "accepted", "accepted"]);
  });
  it("is named with the editions that list it", () => {
    const device = profileById("imc")!.overflowMethods.find(({ method }) => method === "level-device")!;
    expect(device).toMatchObject({ source: "imc-307.2.3", confidence: "high" });
    expect(device.edition).toContain("later editions");
    expect(profileById("metric")!.overflowMethods.map(({ source }) => source)).toEqual(
      Array(4).fill("common-practice"),
    );
  });
  it("can be that of another edition", () => {
    // early editions of the IMC: three methods; the earlier UPC wording: lay-in tiles may get wet
    const early = resolved({
      "overflow.methods": ["auxiliary-pan-drained", "secondary-drain", "auxiliary-pan-device"],
      "overflow.inLineDevice": "accepted",
      "overflow.exemption": "lay-in-tiles",
    });
    expect(methodsOf(early)).toEqual(["auxiliary-pan-drained", "secondary-drain", "auxiliary-pan-device"]);
    expect(early.overflowMethods.every(({ source }) => source === "firm")).toBe(true);
    expect([early.inLineDevice, early.overflowExemption]).toEqual(["accepted", "lay-in-tiles"]);
  });
  it.each([
    ["level-device", ""],
    [[], ""],
    [["level-device", "luck"], "/1"],
    [["level-device", "level-device"], "/1"],
    [[1], "/0"],
  ])("%j are no methods", (given, at) => {
    expect(problemsOf({ "overflow.methods": given }).map(({ pointer }) => pointer)).toEqual([`/overflow.methods${at}`]);
  });
});

describe("where and how a drain may end", () => {
  const [imc, upc, metric] = profiles as [Profile, Profile, Profile];
  const among = (profile: Profile, ruling: string): string[] =>
    DISCHARGES.filter((discharge) => profile.outletPlaces[discharge].ruling === ruling);

  // IMC 307.2.1.1 (2021 cycle): floor sink, floor drain, trench drain, mop sink, hub drain, standpipe, utility sink;
  // 307.2.3: second lines to a conspicuous point; 307.2.1: no nuisance on public ground. What no text names is asked.
  it("imc: the listed receptors, and never a public way", () => {
    expect(among(imc, "allowed")).toEqual([
      "floor-sink",
      "floor-drain",
      "standpipe",
      "hub-drain",
      "trench-drain",
      "mop-sink",
      "laundry-tray",
      "conspicuous-point",
    ]);
    expect(among(imc, "forbidden")).toEqual(["public-way"]);
    expect(imc.outletPlaces["floor-sink"]).toMatchObject({
      edition: "2021",
      source: "imc-307.2.1.1",
      confidence: "medium",
    });
  });
  // UPC 814.5: trapped and vented receptors, dry wells, fixture tailpieces, since 2024 mop sinks; 814.1: no public way
  it("upc: receptors, dry wells and tailpieces, mop sinks by its edition of 2024", () => {
    expect(among(upc, "allowed")).toEqual([
      "floor-sink",
      "floor-drain",
      "standpipe",
      "hub-drain",
      "trench-drain",
      "mop-sink",
      "drywell",
      "fixture-tailpiece",
      "conspicuous-point",
    ]);
    expect(upc.outletPlaces["mop-sink"].edition).toBe("2024");
    expect(upc.outletPlaces["public-way"]).toMatchObject({ ruling: "forbidden", source: "upc-814.1" });
  });
  it("metric: a tundish by the Australian standard, the rest by practice or not decided", () => {
    expect(metric.outletPlaces.tundish).toMatchObject({ ruling: "allowed", source: "as-nzs-3500.2" });
    expect(among(metric, "forbidden")).toEqual(["public-way"]);
    expect(among(metric, "ask")).toContain("storm-drain");
  });
  it("each ruling has an edition, a source and a confidence", () => {
    for (const { outletPlaces, outletConnections } of profiles)
      for (const ruling of [...Object.values(outletPlaces), ...Object.values(outletConnections)])
        expect([ruling.edition, ruling.source, ruling.confidence].every((word) => word.length > 0)).toBe(true);
  });
  it("direct connection: barred in the 2021 cycle and by the UPC, with the tailpiece as what must be asked", () => {
    for (const profile of [imc, upc]) {
      expect(connectionRuling(profile.outletConnections, "direct", "sanitary-drain").ruling).toBe("forbidden");
      expect(connectionRuling(profile.outletConnections, "direct", null).ruling).toBe("forbidden");
      expect(connectionRuling(profile.outletConnections, "direct", "fixture-tailpiece").ruling).toBe("ask");
    }
    // a well or a tank is no plumbing drain, waste or vent, of which the mechanical code speaks
    for (const [profile, ruling] of [
      [imc, "ask"],
      [upc, "forbidden"],
    ] as const)
      for (const place of ["drywell", "recovery-tank"] as const)
        expect(connectionRuling(profile.outletConnections, "direct", place).ruling).toBe(ruling);
    expect(connectionRuling(metric.outletConnections, "direct", "sanitary-drain").ruling).toBe("ask");
    for (const profile of profiles)
      expect(connectionRuling(profile.outletConnections, "air-gap", "floor-sink").ruling).toBe("allowed");
  });
  it("can be the firm's own: by place, by connection, by both", () => {
    const own = resolved({
      "outlet.places": { "storm-drain": "allowed", "floor-drain": "forbidden" },
      "outlet.connections": { direct: { "fixture-tailpiece": "allowed" }, "air-break": "ask" },
    });
    expect(own.outletPlaces["storm-drain"]).toMatchObject({ ruling: "allowed", source: "firm", confidence: "firm" });
    expect(own.outletPlaces["floor-drain"].ruling).toBe("forbidden");
    expect(own.outletPlaces["floor-sink"]).toBe(imc.outletPlaces["floor-sink"]);
    expect(connectionRuling(own.outletConnections, "direct", "fixture-tailpiece").ruling).toBe("allowed");
    expect(connectionRuling(own.outletConnections, "direct", "floor-sink").source).toBe("imc-307.2.1.1");
    expect(connectionRuling(own.outletConnections, "air-break", "floor-sink")).toMatchObject({ source: "firm" });
    expect(own.overridden).toEqual(["outlet.connections", "outlet.places"]);
    // a word for a connection holds at every place
    const none = resolved({ "outlet.connections": { direct: "forbidden" } });
    expect(connectionRuling(none.outletConnections, "direct", "fixture-tailpiece").ruling).toBe("forbidden");
    // 2012 texts say nothing of it
    const silent = resolved({ "outlet.connections": { direct: "ask" } });
    expect(connectionRuling(silent.outletConnections, "direct", "sanitary-drain").ruling).toBe("ask");
    expect(connectionRuling(imc.outletConnections, "direct", "sanitary-drain").ruling).toBe("forbidden");
  });
  it.each([
    ["outlet.places", "allowed", ""],
    ["outlet.places", { "the river": "allowed" }, "/the river"],
    ["outlet.places", { "floor-sink": "sometimes" }, "/floor-sink"],
    ["outlet.places", { "floor-sink": { ruling: "ask" } }, "/floor-sink"],
    ["outlet.connections", ["direct"], ""],
    ["outlet.connections", { glued: "ask" }, "/glued"],
    ["outlet.connections", { direct: "sometimes" }, "/direct"],
    ["outlet.connections", { direct: { "a/b": "ask" } }, "/direct/a~1b"],
  ])("%s: %j is none", (name, given, at) => {
    expect(problemsOf({ [name]: given }).map(({ pointer, code }) => [pointer, code])).toEqual([
      [`/${name}${at}`, "bad-value"],
    ]);
  });
});

describe("drain materials", () => {
  const listed = (profile: Profile): readonly string[] => profile.materialLists[0]?.materials ?? [];

  it("are listed by the imc, by edition; the others list none", () => {
    expect(profiles.map(({ materialLists }) => materialLists.map(({ edition }) => edition))).toEqual([
      ["2021", "2018", "2003"],
      [],
      [],
    ]);
    for (const { materials: list } of profileById("imc")!.materialLists)
      for (const id of list) expect(materials.map((material) => material.id)).toContain(id);
  });
  it("can be those of another edition, or the firm's own", () => {
    expect(listed(resolved({ "install.materials": "2018" }))).not.toContain("pvdf");
    expect(resolved({ "install.materials": ["copper-l"] }, "si", "upc").materialLists).toEqual([
      { edition: "as the firm says", materials: ["copper-l"], source: "firm", confidence: "firm" },
    ]);
    for (const [given, at] of [
      ["1999", ""],
      [[], ""],
      [7, ""],
      [["copper-l", "lead"], "/1"],
    ] as const)
      expect(problemsOf({ "install.materials": given }).map(({ pointer }) => pointer)).toEqual([
        `/install.materials${at}`,
      ]);
    expect(problemsOf({ "install.materials": "2021" }, "si", "metric")).toHaveLength(1);
  });
});

describe("edition notes", () => {
  // what the published extracts say of other editions and adoptions, and how sure that is
  it.each([
    ["imc", "least slope", "1.0417 %", "imc-307.2.1", "high"],
    ["imc", "least slope", "no sentence on slope", "irc-m1411.3", "medium"],
    ["imc", "least size", "internal diameter", "imc-307.2.2", "high"],
    ["imc", "size table", "In 2003", "imc-2003", "medium"],
    ["imc", "direct connection", "2012", "imc-307.2.1.1", "medium"],
    ["imc", "fixture tailpiece", "exception", "imc-307.2.1.1", "memory"],
    ["imc", "materials", "PE-RT and PVDF", "imc-307.2.2-2021", "high"],
    ["imc", "overflow protection", "three methods", "imc-307.2.3", "high"],
    ["imc", "maintenance", "2015", "imc-307.2.5", "high"],
    ["imc", "mini-split traps", "2015", "imc-307.2.4.1", "memory"],
    ["imc", "condensate pumps", "2018", "imc-307.3", "medium"],
    ["imc", "place of discharge", "storm drain", "imc-307.2.1", "high"],
    ["imc", "edition 2024", "as that of 2021", "assumption", "assumption"],
    ["upc", "least slope", "10.4 mm/m", "upc-814.1", "high"],
    ["upc", "air gap", "outlet.airGapFactor", "upc-801", "high"],
    ["upc", "size table", "21 to 40", "upc-814.3", "medium"],
    ["upc", "size table", "three-quarters full", "upc-814.3", "memory"],
    ["upc", "overflow protection", "lay-in tiles", "upc-814.2-earlier", "medium"],
    ["upc", "point of discharge", "mop sinks", "upc-814.5", "high"],
    ["upc", "fixture tailpiece", "807.2", "upc-814.6", "high"],
    ["upc", "materials", "without a list", "upc-814.1", "high"],
    ["metric", "least slope", "no code was read", "metric-practice", "common-practice"],
    ["metric", "tundish", "twice", "as-nzs-3500.2", "medium"],
    ["metric", "least size", "20 mm", "nt-specification", "high"],
    ["metric", "direct connection", "Guidance differs", "metric-practice", "common-practice"],
  ] as const)("%s: %s (%s)", (id, topic, words, source, confidence) => {
    const notes = profileById(id)!.editionNotes.filter((note) => note.topic === topic && note.source === source);
    expect(notes.map((note) => [note.text.includes(words), note.confidence])).toContainEqual([true, confidence]);
  });
  it("name overrides that there are", () => {
    for (const { editionNotes } of profiles)
      for (const { text } of editionNotes)
        for (const [name] of text.matchAll(/\b(?:size|outlet|overflow|install|vent|fall)\.\w+/g))
          expect(OVERRIDE_NAMES, name).toContain(name);
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
  it("spacings of supports: one for every size, or by size; other materials keep the code's", () => {
    const profile = resolved({
      "support.spacing.pvc-sch40": "3 ft",
      "support.spacing.pe-metric": 0.5,
      "support.spacing.copper-l": [{ upTo: "1 in", spacing: "5 ft" }, { upTo: 50, spacing: 2 }, { spacing: "9 ft" }],
    });
    const spacing = (material: string, size: number) =>
      spacingRow(profile.supportSpacing.get(material) ?? [], size)?.spacing;
    expect(spacing("pvc-sch40", 20)).toBeCloseTo(0.9144, 12);
    expect(spacing("pvc-dwv", 40)).toBeCloseTo(1.2192, 12);
    expect(spacing("pe-metric", 110)).toBe(0.5);
    expect([25, 32, 50, 65].map((size) => spacing("copper-l", size))).toEqual([1.524, 2, 2, 2.7432]);
    expect(profile.supportSpacing.get("pvc-sch40")).toMatchObject([{ source: "firm", confidence: "firm" }]);
    expect(profile.overridden).toEqual([
      "support.spacing.copper-l",
      "support.spacing.pe-metric",
      "support.spacing.pvc-sch40",
    ]);
    expect(profileById("imc")?.supportSpacing.get("pvc-sch40")).toMatchObject([{ source: "imc-305.4" }]);
    const us = resolved({ "support.spacing.pvc-sch40": 4 }, "us");
    expect(us.supportSpacing.get("pvc-sch40")).toMatchObject([{ spacing: 1.2192 }]);
    for (const [table, at] of [
      [true, ""],
      [0, ""],
      ["4 kg", ""],
      [[], ""],
      [[4], "/0"],
      [[{ spacing: 1, more: 2 }], "/0"],
      [[{ upTo: 20, spacing: 1 }], "/0"],
      [[{ spacing: 1 }, { spacing: 2 }], "/0"],
      [[{ upTo: {}, spacing: 1 }, { spacing: 2 }], "/0/upTo"],
      [[{ upTo: "0.8 in", spacing: 1 }, { spacing: 2 }], "/0/upTo"],
      [[{ upTo: 25, spacing: 1 }, { upTo: 20, spacing: 1 }, { spacing: 2 }], "/1"],
      [[{ upTo: 25 }, { spacing: 2 }], "/0/spacing"],
      [[{ upTo: 25, spacing: "1 kW" }, { spacing: 2 }], "/0/spacing"],
    ] as const)
      expect(
        problemsOf({ "support.spacing.pvc-sch40": table }).map(({ pointer }) => pointer),
        JSON.stringify(table),
      ).toEqual([`/support.spacing.pvc-sch40${at}`]);
    expect(problemsOf({ "support.spacing.hose-smooth": 1 })[0]?.code).toBe("unknown-field");
  });
  it("a difference of temperature is no temperature: 1 °F of margin is 5/9 K", () => {
    expect(limitOf(resolved({ "sweat.margin": 1 }, "us"), "sweat.margin").value).toBeCloseTo(5 / 9, 12);
    expect(limitOf(resolved({ "sweat.margin": "1 K" }, "us"), "sweat.margin").value).toBe(1);
    expect(limitOf(resolved({ "sweat.waterTemperature": 50 }, "us"), "sweat.waterTemperature").value).toBe(10);
  });
  it("bores that stand for nominal sizes: as many millimetres as the DN number, or the firm's own", () => {
    expect(profileById("metric")?.nominalEquivalents.rows).toEqual([
      { size: 50, bore: 0.05 },
      { size: 40, bore: 0.04 },
      { size: 32, bore: 0.032 },
      { size: 25, bore: 0.025 },
      { size: 20, bore: 0.02 },
    ]);
    const own = resolved({
      nominalEquivalents: [
        { size: "3/4 in", insideDiameter: 19 },
        { size: 25, insideDiameter: "1 in" },
      ],
    });
    expect(own.nominalEquivalents).toEqual({
      rows: [
        { size: 25, bore: 0.0254 },
        { size: 20, bore: 0.019 },
      ],
      source: "firm",
      confidence: "firm",
    });
    for (const table of [
      7,
      [],
      [7],
      [{ size: 20 }],
      [{ size: 20, insideDiameter: 19, more: 1 }],
      [{ size: "0.8 in", insideDiameter: 19 }],
      [{ size: 20, insideDiameter: "19 kg" }],
      [
        { size: 20, insideDiameter: 19 },
        { size: 25, insideDiameter: 19 },
      ],
    ])
      expect(problemsOf({ nominalEquivalents: table }), JSON.stringify(table)).toHaveLength(1);
  });
  it("an idle season of its own, in days; no profile has one", () => {
    expect(profiles.map(({ idleDays }) => idleDays)).toEqual([null, null, null]);
    expect(resolved({ idleDays: 150 }).idleDays).toBe(150);
    expect(resolved({ idleDays: 0 }).idleDays).toBe(0);
    expect(resolved({ idleDays: 90 }).overridden).toEqual(["idleDays"]);
    for (const days of [-1, 3661, "150 days", true, null])
      expect(problemsOf({ idleDays: days }), String(days)).toMatchObject([{ pointer: "/idleDays", code: "bad-value" }]);
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
