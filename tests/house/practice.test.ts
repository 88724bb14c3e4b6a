// Nothing that the trade knows of condensate drains is left without a rule that judges it, a fact that tells it, or a line
// on the commissioning sheet. Common practice, no source; what a profile makes of it stands in the profile.
import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { CHECK_KINDS, type CheckKind } from "../../src/core/audit/commissioning-sheet.js";
import { placesOf } from "../../src/core/audit/places.js";
import { auditSchema, blockageSchema, commissioning } from "../../src/core/index.js";
import { catalogue } from "../../src/core/rules/catalogue.js";
import { cleaningsAt } from "../../src/service/health.js";

interface Practice {
  readonly trade: string;
  /** each fails some document of its truth table */
  readonly rules?: readonly string[];
  /** fields of the document that these rules look at, one of them each */
  readonly looksAt?: readonly string[];
  /** limits of the profile that these rules judge by */
  readonly limits?: readonly string[];
  /** under `facts` of the answer */
  readonly facts?: readonly string[];
  /** of the answer to where a blockage is */
  readonly blockage?: readonly string[];
  readonly sheet?: readonly CheckKind[];
  /** in the health of a stored building */
  readonly health?: "cleaning";
}

const PRACTICES: readonly Practice[] = [
  {
    trade: "behind a fan that sucks, air is drawn up the drain unless a water seal stops it",
    rules: ["seal.missing", "seal.missing-pressure"],
    looksAt: ["panStatic", "fanPosition"],
    facts: ["seals.head", "seals.staticPressure"],
  },
  {
    trade: "seal and step grow with the pressure at the pan, and the manufacturer's own figure goes before",
    rules: ["seal.depth", "seal.drop", "seal.depth-margin", "seal.drop-margin"],
    looksAt: ["panStatic", "sealDepth", "trapRequirement"],
    limits: ["trap.drawThroughMargin", "trap.blowThroughMargin"],
    facts: ["seals.sealNeeded", "seals.dropNeeded", "seals.sealMarginStart", "seals.dropMargin"],
  },
  {
    trade: "a trap steps down across its two ends by one bore or more",
    rules: ["seal.step"],
    looksAt: ["inletDrop"],
  },
  {
    trade: "what opens before the seal for cleaning is closed by a plug: under suction an open one lets air in",
    rules: ["air.bypass", "access.uncapped", "access.cleanout"],
    looksAt: ["capped"],
    sheet: ["prime"],
  },
  {
    trade: "an open vent after the seal, its mouth above the pan's rim, so that a backup meets the switch first",
    rules: ["air.branch-vent", "air.vent-capped", "air.vent-below-rim"],
    looksAt: ["rimHeight", "tripHeight"],
    facts: ["fanCoils.leastVentTop"],
    sheet: ["question"],
  },
  {
    trade: "on a roof that drains, a mouth below the rim is a relief: the profile says where it may be",
    rules: ["air.vent-below-rim"],
    limits: ["vent.rule"],
    facts: ["backups.outcome"],
  },
  {
    trade: "shared drains live by that vent: between two seals without an opening the air is held captive",
    rules: ["air.trapped", "air.lock-head", "air.branch-vent", "air.main-vent"],
    facts: ["airSpaces.kind", "airSpaces.openings", "fanCoils.lockedAir.needed", "fanCoils.joiningPoint"],
  },
  {
    trade: "a second water seal downstream, by design or by sag, with no opening between is a double trap",
    rules: ["seal.double", "seal.unintended", "seal.shared"],
    facts: ["fanCoils.sealsOnPath", "pools.sealDepth", "pools.class"],
  },
  {
    trade: "one fall is the code's least, a steeper one is usual",
    rules: ["fall.below-minimum", "fall.below-recommended", "fall.reverse"],
    limits: ["fall.minimumGrade", "fall.recommendedGrade"],
    facts: ["runs.grade", "pipes.gradeMargin", "fanCoils.fallBudget"],
  },
  { trade: "the piece before the seal keeps its fall too", rules: ["fall.pan-to-trap"] },
  {
    trade: "hangers stand so close that the fall survives between them",
    rules: ["support.spacing", "support.sag", "support.hose"],
    looksAt: ["supportSpacing"],
    limits: ["support.spacing"],
  },
  {
    trade: "cold drains in moist air are insulated, the seal included",
    rules: ["sweat.uninsulated", "sweat.thin"],
    looksAt: ["insulation", "ceilingAir"],
  },
  {
    trade: "a seal is filled before the first start, through what opens before it, until water runs over its weir",
    rules: ["seal.priming", "seal.dry-out"],
    looksAt: ["primed"],
    facts: ["seals.primingVolume", "seals.daysToOpen"],
    sheet: ["prime"],
  },
  {
    trade: "the lower port is the drain: at the upper one a layer of water stays in the pan",
    rules: ["install.port"],
    looksAt: ["connectedPort"],
    sheet: ["question"],
  },
  {
    trade: "a threaded plastic port cracks under force and is never cemented: light torque and a soft sealant",
    rules: ["install.joint", "install.material"],
    looksAt: ["connection", "outletMaterial"],
    sheet: ["question"],
  },
  { trade: "a drain is put together dry before its joints are welded", sheet: ["trial-assembly"] },
  {
    trade: "every coil above something that water can harm has a switch; an auxiliary pan has one of its own",
    rules: ["overflow.unprotected", "overflow.auxiliary-pan", "overflow.not-working", "overflow.trip-above-spill"],
    looksAt: ["spillHarmless", "auxiliaryPan", "seat"],
    facts: ["devices.stops", "devices.sees"],
    sheet: ["switch"],
  },
  {
    trade: "contacts that open form one chain: side by side they stop the equipment only when every one has opened",
    rules: ["overflow.parallel"],
    looksAt: ["arrangement", "contact"],
    facts: ["circuits.anyDeviceStops"],
    sheet: ["switch"],
  },
  {
    trade: "in moist air the circuit stops fan and cooling both; in dry air the cooling alone will do",
    rules: ["overflow.conductor", "overflow.stops-water"],
    looksAt: ["breaks", "humid"],
    facts: ["circuits.stopsWater", "circuits.stopsFan"],
    sheet: ["switch"],
  },
  {
    trade: "filters and access panels come out with the drain in place",
    rules: ["access.blocked"],
    looksAt: ["filterAccessClear"],
    sheet: ["trial-assembly", "question"],
  },
  {
    trade:
      "a drain is taken over when a measured volume has left it in time, fan off and on, and each switch has stopped its equipment",
    rules: ["overflow.not-working", "pump.interlock"],
    sheet: ["isolate", "flush", "flow-test", "pour-fan-off", "pour-fan-on", "switch", "second-line", "pump", "outlet"],
  },
  {
    trade: "in a shared main the lowest opening above the blockage floods, and its own switch stops its own water only",
    rules: ["backup.uncontained", "backup.main-watch", "overflow.after-run"],
    looksAt: ["rimHeight", "stops"],
    facts: ["backups.firstSpill.openings", "backups.inflowAfterTrips", "backups.trips", "devices.unseenCommonPipes"],
    sheet: ["flow-test"],
  },
  {
    trade: "two homes on one riser with water at once: the common pipe or its vent; one alone: its branch",
    blockage: ["classes.wets", "candidates.zone", "candidates.owner", "twoBlockages", "nextCheck.node", "sweating"],
  },
  {
    trade: "standing condensate grows slime, and slime closes flat, sagging, small and long uncleaned pipes first",
    rules: ["fall.standing-water", "fall.shallow-pool"],
    facts: ["pools.volume", "pipes.upstreamStandingDepth"],
    blockage: ["candidates.weight"],
    health: "cleaning",
  },
  { trade: "common risers are cleaned and flushed once a year or more often", sheet: ["flush"], health: "cleaning" },
];

const rules = new Map(catalogue.map((rule) => [rule.id, rule]));
const fixtures = new URL("../../fixtures/", import.meta.url);
const boathouse: unknown = JSON.parse(readFileSync(new URL("buildings/three-coils.json", fixtures), "utf8"));

interface Schema {
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly items?: Schema;
  readonly anyOf?: readonly Schema[];
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
}

/** Whether a schema has a field, through lists, alternatives and references. */
const has = (root: Schema, path: string): boolean => {
  const inside = (schema: Schema): readonly Schema[] => {
    const name = schema.$ref?.replace("#/$defs/", "");
    if (name !== undefined) return inside(root.$defs?.[name] ?? {});
    if (schema.items !== undefined) return inside(schema.items);
    if (schema.anyOf !== undefined) return schema.anyOf.flatMap(inside);
    return [schema];
  };
  let found: readonly Schema[] = [root];
  for (const field of path.split(".")) {
    found = found.flatMap(inside).flatMap(({ properties }) => properties?.[field] ?? []);
    if (found.length === 0) return false;
  }
  return true;
};

test("the schemas are looked into as they are", () => {
  expect(has(auditSchema(), "facts.seals.head")).toBe(true);
  expect(has(auditSchema(), "facts.seals.hat")).toBe(false);
  expect(has(blockageSchema(), "candidates.weight.more")).toBe(false);
});

test("there are 25 of them, each judged, told or asked", () => {
  expect(PRACTICES).toHaveLength(25);
  expect(new Set(PRACTICES.map(({ trade }) => trade)).size).toBe(25);
  for (const { trade, rules: judged = [], blockage = [], sheet = [], health } of PRACTICES)
    expect([trade, judged.length + blockage.length + sheet.length + (health ? 1 : 0)]).not.toEqual([trade, 0]);
});

test.each(PRACTICES)("$trade", ({ rules: ids = [], looksAt = [], limits = [], facts = [], blockage = [] }) => {
  for (const id of ids) {
    expect(rules.has(id), id).toBe(true);
    const cases = readdirSync(new URL(`rules/${id}/`, fixtures));
    expect(
      cases.some((name) => name.startsWith("fail")),
      `${id} fails no document`,
    ).toBe(true);
  }
  const needs = new Set(ids.flatMap((id) => rules.get(id)!.needs.flatMap((field) => field.split("."))));
  for (const field of looksAt) expect(needs, field).toContain(field);
  const against = new Set(ids.flatMap((id) => rules.get(id)!.limits));
  for (const limit of limits) expect(against, limit).toContain(limit);
  for (const fact of facts) expect(has(auditSchema(), `facts.${fact}`), fact).toBe(true);
  for (const field of blockage) expect(has(blockageSchema(), field), field).toBe(true);
});

test("each check of the sheet is called for, and is made for some building", () => {
  const asked = new Set(PRACTICES.flatMap(({ sheet = [] }) => sheet));
  expect([...asked].sort()).toEqual([...CHECK_KINDS].sort());
  const made = new Set<string>();
  const documents = [
    boathouse,
    JSON.parse(readFileSync(new URL("buildings/tower-as-surveyed.json", fixtures), "utf8")),
    // with a pump, which the buildings have not
    ...readdirSync(new URL("rules/pump.interlock/", fixtures)).map((name) => {
      const content = JSON.parse(readFileSync(new URL(`rules/pump.interlock/${name}`, fixtures), "utf8"));
      return "nodes" in content ? content : content.document;
    }),
  ];
  for (const document of documents) {
    const sheet = commissioning(document);
    if (!sheet.ok) throw new Error(JSON.stringify(sheet.problems));
    for (const { checks } of sheet.sheet.stops) for (const { kind } of checks) made.add(kind);
  }
  expect([...made].sort()).toEqual([...CHECK_KINDS].sort());
});

test("what drains in common is due for cleaning a year after it was made, and the reasons are told", () => {
  const read = placesOf(boathouse);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const inputs = {
    places: read.places,
    building: { id: "boathouse", createdAt: new Date("2025-05-01T00:00:00Z") },
    revised: [new Date("2025-05-01T00:00:00Z")],
    judged: [],
    findings: [],
    waivers: [],
    observations: [],
    cleaningDays: null,
    timeZone: "UTC",
  };
  expect(PRACTICES.some(({ health }) => health === "cleaning")).toBe(true);
  const overdue = (at: string) => cleaningsAt(inputs, new Date(at)).map((each) => each.overdue);
  expect(overdue("2026-04-30T23:00:00Z")).not.toContain(true);
  expect(overdue("2026-05-02T00:00:00Z")).toContain(true);
  const due = cleaningsAt(inputs, new Date("2026-05-02T00:00:00Z"));
  for (const { every } of due) expect(every).toBe(365);
  expect(due.flatMap(({ reasons }) => reasons.map(({ why }) => why))).toContain("trickle");
});
