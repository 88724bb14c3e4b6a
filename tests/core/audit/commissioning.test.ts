// The commissioning sheet: order, figures worked by hand, reasons, ids.
import { readdirSync, readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type CommissioningSheet,
  commissioning,
  commissioningSchema,
  renderCommissioning,
  type SheetCheck,
} from "../../../src/core/index.js";
import { catalogue } from "../../../src/core/rules/catalogue.js";
import { filmVelocity, terminalVelocity, trickleVelocity, turbulentVelocity } from "../analysis/trickle.js";

type Json = Record<string, unknown>;
interface House extends Json {
  nodes: Json[];
  pipes: Json[];
  overflowDevices: Json[];
  circuits: Json[];
  floors: Json[];
}

const LITER = 1e-3;
const POUR = (30 * LITER) / 3600;
const HOSE = (600 * LITER) / 3600;

/**
 * Two coils of one riser, one over the other: 20 mm branches of 3 m, a riser of 32 mm, 5 m of 40 mm to a floor sink. A
 * vent stands at the head of the riser. Both switches are on one circuit.
 */
const house = (): House => ({
  format: 1,
  id: "house",
  name: "Quill House",
  units: "si",
  profile: "imc",
  stage: "design",
  floors: [
    { id: "G", name: "Ground floor", elevation: 0 },
    { id: "L1", elevation: 3 },
    { id: "L2", elevation: 6 },
  ],
  nodes: [
    coil("F-2", 8.6, { serves: "flat 2" }),
    trap("T-2", 8.54),
    { id: "J-2", kind: "junction", elevation: 8.5, vent: { top: 9.2, size: 20 } },
    coil("F-1", 5.6, { serves: "flat 1" }),
    trap("T-1", 5.54),
    { id: "J-1", kind: "junction", elevation: 5.5 },
    { id: "J-0", kind: "bend", angle: 90, elevation: 0.15 },
    { id: "OUT", kind: "outlet", elevation: 0.05, discharge: "floor-sink", connection: "air-gap", airGap: 50 },
  ],
  pipes: [
    { id: "P-2a", from: "F-2", to: "T-2", length: 0.3, insideDiameter: 20 },
    { id: "P-2b", from: "T-2", to: "J-2", length: 3, insideDiameter: 20 },
    { id: "R-2", from: "J-2", to: "J-1", length: 3, insideDiameter: 32 },
    { id: "P-1a", from: "F-1", to: "T-1", length: 0.3, insideDiameter: 20 },
    { id: "P-1b", from: "T-1", to: "J-1", length: 3, insideDiameter: 20 },
    { id: "R-1", from: "J-1", to: "J-0", length: 5.35, insideDiameter: 32 },
    { id: "M", from: "J-0", to: "OUT", length: 5, insideDiameter: 40 },
  ],
  overflowDevices: [
    { id: "S-2", at: "F-2", type: "float-switch", seat: "primary-pan", tripHeight: 25, latches: true, circuit: "C" },
    { id: "S-1", at: "F-1", type: "float-switch", seat: "primary-pan", tripHeight: 25, latches: false, circuit: "C" },
  ],
  circuits: [{ id: "C", arrangement: "series", breaks: "R", stops: ["F-1", "F-2"] }],
});
const coil = (id: string, elevation: number, more: Json): Json => ({
  id,
  kind: "fan-coil",
  elevation,
  cooling: "chilled-water",
  fanPosition: "draw-through",
  panStatic: -100,
  condensateRate: 2,
  pan: { rimHeight: 50, area: 0.25 },
  ...more,
});
const trap = (id: string, elevation: number): Json => ({ id, kind: "trap", elevation, sealDepth: 50, inletDrop: 55 });

const sheetOf = (document: unknown): CommissioningSheet => {
  const made = commissioning(document);
  if (!made.ok) throw new Error(JSON.stringify(made.problems, null, 1));
  return made.sheet;
};
const checksOf = (document: unknown): SheetCheck[] => sheetOf(document).stops.flatMap(({ checks }) => checks);
const checkOf = (document: unknown, id: string): SheetCheck => {
  const found = checksOf(document).find((each) => each.id === id);
  if (found === undefined) throw new Error(`no check ${id}`);
  return found;
};
const figure = (check: SheetCheck, name: string) => {
  const found = check.expected.find((each) => each.name === name);
  if (found === undefined) throw new Error(`${check.id} expects no ${name}`);
  return found;
};
const edit = (change: (document: House) => void): House => {
  const document = house();
  change(document);
  return document;
};
const node = (document: House, id: string): Json => document.nodes.find((each) => each.id === id)!;
const pipe = (document: House, id: string): Json => document.pipes.find((each) => each.id === id)!;

const run = (length: number, fall: number) => Math.sqrt(length ** 2 - fall ** 2);
/** s in the drains of the house, by the flow poured in */
const BRANCH =
  0.3 / trickleVelocity(0.02, 0.005 / run(0.3, 0.005), POUR) + 3 / trickleVelocity(0.02, 0.04 / run(3, 0.04), POUR);
const FOOT = 5 / trickleVelocity(0.04, 0.1 / run(5, 0.1), POUR);

describe("the way through the building", () => {
  test("goes from the roof down: on each floor the mains, then the coils, pumps and outlets", () => {
    const stops = sheetOf(house()).stops.map(({ title, kind, floor, dwelling }) => [title, kind, floor, dwelling]);
    expect(stops).toEqual([
      ["Main from J-1 to OUT", "main", "L2", null],
      ["Fan coil F-2", "fan-coil", "L2", "flat 2"],
      ["Fan coil F-1", "fan-coil", "L1", "flat 1"],
      ["Outlet OUT", "outlet", "G", null],
    ]);
  });

  test("keeps floors of one height apart", () => {
    const twins = edit((document) => {
      document.floors.push({ id: "annex", elevation: 6 });
      document.nodes.push(
        coil("F-3", 8.6, { floor: "annex" }),
        { id: "OUT-3", kind: "outlet", elevation: 6.1, floor: "annex", discharge: "floor-sink", connection: "air-gap" },
        { id: "OUT-2", kind: "outlet", elevation: 6.1, floor: "L2", discharge: "floor-sink", connection: "air-gap" },
      );
      document.pipes.push({ id: "P-3", from: "F-3", to: "OUT-3", length: 4, insideDiameter: 20 });
    });
    const floors = sheetOf(twins).stops.map(({ floor, kind }) => `${floor} ${kind}`);
    expect(floors).toEqual([
      "L2 main",
      "L2 fan-coil",
      "L2 outlet",
      "annex fan-coil",
      "annex outlet",
      "L1 fan-coil",
      "G outlet",
    ]);
  });

  test("at a coil isolates, primes, pours twice and trips its switch", () => {
    const [stop] = sheetOf(house()).stops.filter(({ title }) => title === "Fan coil F-2");
    const kinds = stop.checks.map(({ kind }) => kind).filter((kind) => kind !== "question");
    expect(kinds).toEqual(["isolate", "prime", "pour-fan-off", "pour-fan-on", "switch"]);
  });

  test("asks for a trial assembly where joints are welded, until the drain is in use", () => {
    const welded = (stage: string) =>
      checksOf(
        edit((document) => {
          document.stage = stage;
          Object.assign(pipe(document, "P-2b"), { size: "3/4 in", material: "pvc-sch40" });
        }),
      ).filter(({ kind }) => kind === "trial-assembly");
    expect(welded("design").map(({ id, subject }) => [id, subject.pipes])).toEqual([
      ["trial-assembly~f:F-2", ["P-2b"]],
    ]);
    expect(welded("as-built")).toHaveLength(1);
    expect(welded("in-service")).toEqual([]);
  });

  test("pours with the fan off only, where the coil is out of service", () => {
    const kinds = checksOf(edit((document) => Object.assign(node(document, "F-2"), { inService: false })))
      .filter(({ subject }) => subject.fanCoils[0] === "F-2")
      .map(({ kind }) => kind);
    expect(kinds).toContain("pour-fan-off");
    expect(kinds).not.toContain("pour-fan-on");
  });
});

describe("figures worked by hand", () => {
  test("a trap takes what stands in its two legs", () => {
    // two legs of 20 mm bore, each 50 mm of seal and a bore deep
    const volume = 2 * (Math.PI / 4) * 0.02 ** 2 * (0.05 + 0.02);
    const prime = checkOf(house(), "prime~n:T-2");
    expect(figure(prime, "primingVolume").value).toBeCloseTo(volume, 12);
    expect(figure(prime, "primingVolume").text).toBe("0.044 L");
    expect(prime.text).toContain("0.044 L or more");
    expect(prime.rule).toBe("seal.priming");
  });

  test("half a liter a minute arrives as a trickle and a film, in minutes", () => {
    const pour = checkOf(house(), "pour-fan-off~f:F-2");
    const arrival = BRANCH + 8.35 / filmVelocity(0.032, POUR) + FOOT;
    expect(figure(pour, "arrival").value).toBeCloseTo(arrival, 6);
    expect(arrival / 60).toBeGreaterThan(1);
    // as much as runs in until then, and a liter to measure, in half liters
    const volume = Math.ceil((arrival * POUR + LITER) / (LITER / 2)) * (LITER / 2);
    expect(figure(pour, "volume").value).toBeCloseTo(volume, 12);
    expect(figure(pour, "flow").text).toBe("30 L/h");
    expect(pour.text).toContain(`pour ${figure(pour, "volume").text} into its pan at 30 L/h`);
    expect(figure(checkOf(house(), "pour-fan-off~f:F-1"), "arrival").value).toBeCloseTo(
      BRANCH + 5.35 / filmVelocity(0.032, POUR) + FOOT,
      6,
    );
  });

  test("with the fan on water stands higher by the head of the suction", () => {
    const head = 100 / (999.702 * 9.80665);
    const pour = checkOf(house(), "pour-fan-on~f:F-2");
    expect(figure(pour, "head").value).toBeCloseTo(head, 12);
    expect(figure(pour, "panStanding").value).toBe(0);
    expect(pour.text).toContain("-100 Pa as stated): water stands 10.2 mm above the weir on the pan's side");
    expect(figure(checkOf(house(), "pour-fan-off~f:F-2"), "drop").value).toBeCloseTo(0.06, 12);
    // 700 Pa are 71.4 mm: 11.4 mm more than the weir lies below the outlet
    const strong = edit((document) => Object.assign(node(document, "F-2"), { panStatic: -700 }));
    const flooded = checkOf(strong, "pour-fan-on~f:F-2");
    expect(figure(flooded, "panStanding").value).toBeCloseTo(700 / (999.702 * 9.80665) - 0.06, 12);
    expect(flooded.text).toContain("11.5 mm deep in the pan, and should not");
  });

  test("a fan that blows presses the water down", () => {
    const blown = edit((document) =>
      Object.assign(node(document, "F-2"), { panStatic: 100, fanPosition: "blow-through" }),
    );
    expect(checkOf(blown, "pour-fan-on~f:F-2").text).toContain("water stands 10.2 mm below the weir on the pan's side");
  });

  test("a pool of the branch is filled by the first pour only", () => {
    // The branch sags by 20 mm between two legs of 2 and 3 m in 26.1 mm: 0.9889954 L (tilted cylinders).
    const sag = edit((document) => {
      node(document, "T-2").elevation = 8.54;
      document.nodes.push(
        { id: "A", kind: "point", elevation: 8.52 },
        { id: "L", kind: "point", elevation: 8.5 },
        { id: "B", kind: "point", elevation: 8.52 },
      );
      Object.assign(pipe(document, "P-2b"), { to: "A", length: 1 });
      document.pipes.push(
        { id: "P-2c", from: "A", to: "L", length: 2, insideDiameter: 26.1 },
        { id: "P-2d", from: "L", to: "B", length: 3, insideDiameter: 26.1 },
        { id: "P-2e", from: "B", to: "J-2", length: 1, insideDiameter: 26.1 },
      );
    });
    const off = figure(checkOf(sag, "pour-fan-off~f:F-2"), "arrival").value!;
    const on = figure(checkOf(sag, "pour-fan-on~f:F-2"), "arrival").value!;
    expect(off - on).toBeCloseTo(0.9889954e-3 / POUR, 1);
    const volume = figure(checkOf(sag, "pour-fan-off~f:F-2"), "volume").value!;
    expect(volume).toBeCloseTo(Math.ceil((off * POUR + LITER) / (LITER / 2)) * (LITER / 2), 12);
  });

  test("a pool of the main is full once it was flushed", () => {
    const sag = edit((document) => {
      document.nodes.push(
        { id: "A", kind: "point", elevation: 0.1 },
        { id: "L", kind: "point", elevation: 0.08 },
        { id: "B", kind: "point", elevation: 0.1 },
      );
      Object.assign(pipe(document, "M"), { to: "A", length: 1 });
      document.pipes.push(
        { id: "M-2", from: "A", to: "L", length: 2, insideDiameter: 40 },
        { id: "M-3", from: "L", to: "B", length: 2, insideDiameter: 40 },
        { id: "M-4", from: "B", to: "OUT", length: 2, insideDiameter: 40 },
      );
    });
    const [off, on] = ["off", "on"].map((fan) => figure(checkOf(sag, `pour-fan-${fan}~f:F-2`), "arrival").value!);
    expect(off).toBe(on);
    expect(off).toBeGreaterThan(60);
  });

  test("a switch trips at its height, with the water that its pan holds there", () => {
    const trip = checkOf(house(), "switch~d:S-2");
    expect(figure(trip, "tripHeight").value).toBeCloseTo(0.025, 12);
    // 0.25 m² · 25 mm
    expect(figure(trip, "fillVolume").value).toBeCloseTo(6.25 * LITER, 12);
    expect(trip.subject).toEqual({ fanCoils: ["F-1", "F-2"], nodes: ["F-2"], pipes: [], devices: ["S-2"] });
    expect(trip.text).toContain("F-1 and F-2 must stop making water, and their fans with them.");
    expect(trip.text).toContain("stays off until it is reset");
    expect(checkOf(house(), "switch~d:S-1").text).toContain("starts again by itself");
    expect(checkOf(house(), "isolate~f:F-2").text).toContain("circuit C stops F-1 as well");
  });

  test("a switch in a main lifts by the water behind a plug, and the lowest pan is watched", () => {
    const main = edit((document) => {
      document.overflowDevices.push({
        id: "S-M",
        at: "J-1",
        type: "float-switch",
        seat: "main",
        tripHeight: 60,
        circuit: "M",
      });
      document.circuits.push({ id: "M", arrangement: "series", breaks: "R", stops: "all-upstream" });
    });
    const trip = checkOf(main, "switch~d:S-M");
    expect(trip.text).toMatch(
      /^While they cool, stop the drain below it with a plug and raise the water slowly at S-M at J-1/,
    );
    expect(trip.text).toContain("It trips 60 mm above the invert there. Watch F-1 meanwhile");
    expect(trip.text).toContain("Then take the plug out");
    expect(trip.subject.fanCoils).toEqual(["F-1", "F-2"]);
    expect(figure(trip, "fillVolume")).toMatchObject({ value: null, reason: "it stands in no pan of a coil" });
    // it is looked at from the main
    const stop = sheetOf(main).stops.find(({ checks }) => checks.some(({ id }) => id === trip.id));
    expect(stop?.kind).toBe("main");
  });

  test.each([
    ["Y is broken", { breaks: "Y" }, "must stop making water, while their fans may run on"],
    ["the valve is shut", { breaks: "chilled-water-valve" }, "must stop making water, while their fans may run on"],
    ["an alarm rings", { breaks: "alarm-only" }, "stops nothing: write down who is told"],
    ["nobody says", { breaks: undefined }, "What it stops is not known"],
    ["the contacts are parallel", { arrangement: "parallel" }, "As wired it stops nothing by itself."],
  ])("says what a switch must stop where %s", (_said, change, words) => {
    const wired = edit((document) => Object.assign(document.circuits[0], change));
    expect(checkOf(JSON.parse(JSON.stringify(wired)), "switch~d:S-2").text).toContain(words);
  });

  test.each(["jumpered", "failed"])("says that a switch is recorded as %s", (state) => {
    const document = edit((each) => Object.assign(each.overflowDevices[0], { state }));
    document.stage = "as-built";
    expect(checkOf(document, "switch~d:S-2").text).toContain(`It is recorded as ${state}.`);
  });

  test("a main takes what a hose gives, and it arrives as annular and turbulent flow", () => {
    const test_ = checkOf(house(), "flow-test~p:M");
    expect(figure(test_, "flow").value).toBeCloseTo(HOSE, 12);
    // in through the vent on the head of the riser: 8.35 m of riser, then 5 m at 2 %
    const arrival =
      8.35 / Math.min(filmVelocity(0.032, HOSE), terminalVelocity(0.032, HOSE)) +
      5 / turbulentVelocity(0.04, 0.1 / run(5, 0.1), HOSE);
    expect(figure(test_, "arrival").value).toBeCloseTo(arrival, 2);
    expect(figure(test_, "volume").value).toBeCloseTo(Math.ceil((HOSE * (arrival + 60)) / LITER) * LITER, 12);
    expect(figure(test_, "designFlow").value).toBeCloseTo((4 * LITER) / 3600, 12);
    expect(test_.text).toContain("in through the vent J-2/vent");
    // the lower pan is the first to spill
    expect(test_.text).toContain("Watch F-1: if it backs up, water shows there first.");
    expect(checkOf(house(), "flush~p:M").text).toContain("the 2 coils above it off");
  });

  test("a main takes no more than its narrowest drain carries, in round figures", () => {
    // Manning, n 0.012, 20 mm at 1 % three quarters full: 0.9119 of 0.3117 D^(8/3) S^(1/2)/n
    const narrow = edit((document) => {
      Object.assign(pipe(document, "M"), { insideDiameter: 20 });
      node(document, "J-0").elevation = 0.1;
      Object.assign(pipe(document, "R-1"), { length: 5.4 });
    });
    const carries = (0.91188 * 0.311687 * 0.02 ** (8 / 3) * Math.sqrt(0.05 / run(5, 0.05))) / 0.012;
    const flush = checkOf(narrow, "flush~p:M");
    expect(figure(flush, "greatestFlow").value! * 3.6e6).toBeCloseTo(Math.floor((carries * 3.6e6) / 10) * 10, 9);
    expect(carries * 3.6e6).toBeGreaterThan(10);
    expect(flush.text).toContain(`at most ${figure(flush, "greatestFlow").text}`);
  });

  test("is filled through a pan where nothing else opens, and no faster than its branch drains", () => {
    const closed = edit((document) => {
      delete node(document, "J-2").vent;
      Object.assign(pipe(document, "P-1b"), { insideDiameter: 12 });
    });
    const flush = checkOf(closed, "flush~p:M");
    expect(flush.text).toContain("through the pan of F-1, since no vent or cleanout of the main is known");
    expect(flush.subject.nodes).toEqual(["F-1", "OUT"]);
    const carries = (0.91188 * 0.311687 * 0.012 ** (8 / 3) * Math.sqrt(0.04 / run(3, 0.04))) / 0.012;
    expect(figure(flush, "greatestFlow").value! * 3.6e6).toBeCloseTo(Math.floor((carries * 3.6e6) / 10) * 10, 9);
  });

  test.each([
    ["a capped vent", { capped: true }],
    ["a vent that only lets air in", { opening: "admittance-valve" }],
  ])("does not put a hose into %s", (_said, change) => {
    const document = edit((each) => {
      delete node(each, "J-2").vent;
      each.nodes.push({ id: "V", kind: "vent", elevation: 9.2, ...change });
      each.pipes.push({ id: "PV", from: "J-2", to: "V", role: "vent", length: 0.7, insideDiameter: 20 });
    });
    expect(checkOf(document, "flush~p:M").text).toContain("through the pan of F-1");
  });
});

describe("what cannot be told", () => {
  test.each<[string, (document: House) => void, string, string, string]>([
    [
      "a bore of the way",
      (d) => delete pipe(d, "M").insideDiameter,
      "pour-fan-off~f:F-2",
      "arrival",
      "bore, fall or standing water of M do not tell",
    ],
    ["an outlet", (d) => d.pipes.pop(), "pour-fan-off~f:F-2", "arrival", "as drawn it leads to no outlet"],
    ["an outlet for the hose", (d) => d.pipes.pop(), "flow-test~p:R-1", "flow", "as drawn it leads to no outlet"],
    [
      "a seal depth",
      (d) => delete node(d, "T-2").sealDepth,
      "prime~n:T-2",
      "primingVolume",
      "its seal depth, or the bore of one of its legs, is not known",
    ],
    ["a pressure", (d) => delete node(d, "F-2").panStatic, "pour-fan-on~f:F-2", "panStatic", "it is not given"],
    [
      "a pressure, so no head",
      (d) => delete node(d, "F-2").panStatic,
      "pour-fan-on~f:F-2",
      "head",
      "the pressure at the pan is not given",
    ],
    [
      "a trip height",
      (d) => delete d.overflowDevices[0].tripHeight,
      "switch~d:S-2",
      "tripHeight",
      "the level at which it trips is not given",
    ],
    [
      "the area of a pan",
      (d) => {
        node(d, "F-2").pan = { rimHeight: 50 };
      },
      "switch~d:S-2",
      "fillVolume",
      "the pan's area, or the level at which it trips, is not given",
    ],
    [
      "a rate",
      (d) => delete node(d, "F-2").condensateRate,
      "flow-test~p:M",
      "designFlow",
      "the condensate of a coil above is not known",
    ],
    ["an air gap", (d) => delete node(d, "OUT").airGap, "outlet~n:OUT", "airGap", "its air gap is not given"],
    [
      "an air gap of a direct connection",
      (d) => Object.assign(node(d, "OUT"), { connection: "direct", airGap: undefined }),
      "outlet~n:OUT",
      "airGap",
      "there is none: its connection is direct",
    ],
    [
      "a trap",
      (d) => {
        d.nodes = d.nodes.filter(({ id }) => id !== "T-2");
        Object.assign(pipe(d, "P-2a"), { to: "J-2", length: 3 });
        d.pipes = d.pipes.filter(({ id }) => id !== "P-2b");
      },
      "pour-fan-on~f:F-2",
      "head",
      "there is no trap",
    ],
    [
      "a trap of one's own",
      (d) => {
        d.nodes.push(coil("F-3", 8.6, {}));
        d.pipes.push({ id: "P-3", from: "F-3", to: "T-2", length: 0.3, insideDiameter: 20 });
      },
      "pour-fan-on~f:F-2",
      "head",
      "several pans share the trap T-2",
    ],
    [
      "water in a seal",
      (d) => Object.assign(node(d, "T-2"), { sealType: "waterless", opensAt: 50, holds: 500, sealDepth: undefined }),
      "pour-fan-on~f:F-2",
      "head",
      "its seal is not of water",
    ],
  ])("without %s is null, with the reason", (_said, change, id, name, reason) => {
    const document = JSON.parse(JSON.stringify(edit(change)));
    expect(figure(checkOf(document, id), name)).toEqual(
      expect.objectContaining({ name, value: null, text: null, reason }),
    );
  });

  test("every figure has a value and its text, or a reason and neither", () => {
    for (const document of everyDocument())
      for (const check of checksOf(document))
        for (const { value, text, reason, unit } of check.expected) {
          expect(unit).not.toBe("");
          expect(value === null).toBe(text === null);
          expect(value === null).toBe(reason !== null);
          expect(reason).not.toBe("");
          if (value !== null) expect(Number.isFinite(value) && !Object.is(value, -0)).toBe(true);
        }
  });

  test("no sentence says what is none", () => {
    for (const document of everyDocument())
      for (const { text } of checksOf(document)) expect(text).not.toMatch(/NaN|undefined|null|unknown|Infinity| {2}/);
  });

  test("whoever pours is told that locked air may hold the water up", () => {
    const url = new URL("../../../fixtures/examples/double-trap.json", import.meta.url);
    const texts = checksOf(JSON.parse(readFileSync(url, "utf8"))).map(({ text }) => text);
    expect(texts.filter((text) => text.includes("air is locked on the way"))).toHaveLength(2);
  });
});

/** Every building, example and truth-table document that reads without problems. */
function* everyDocument(): Generator<unknown> {
  const fixtures = new URL("../../../fixtures/", import.meta.url);
  const read = (url: URL): Json => JSON.parse(readFileSync(url, "utf8"));
  for (const folder of ["buildings", "examples"])
    for (const name of readdirSync(new URL(`${folder}/`, fixtures)))
      if (!/plants|observations/.test(name)) yield read(new URL(`${folder}/${name}`, fixtures));
  for (const rule of readdirSync(new URL("rules/", fixtures)))
    for (const name of readdirSync(new URL(`rules/${rule}/`, fixtures))) {
      const content = read(new URL(`rules/${rule}/${name}`, fixtures));
      yield "nodes" in content ? content : content.document;
    }
}

describe("questions that no rule can answer yet", () => {
  const later = catalogue.filter(({ stage }) => stage !== "design").map(({ id }) => id);
  const asked = (stage: string) =>
    new Set(
      checksOf(edit((document) => Object.assign(document, { stage }))).flatMap(({ rule }) =>
        rule === null ? [] : [rule],
      ),
    );

  test("are asked in the words of the rules, of each stage to come", () => {
    const design = asked("design");
    for (const rule of design) expect(later).toContain(rule);
    expect(design).toContain("air.vent-capped");
    const vent = checksOf(house()).find(({ rule }) => rule === "air.vent-capped")!;
    expect(vent.text).toBe("Is a vent capped? Look at J-2/vent.");
    // asked by pouring and by tripping
    expect(checksOf(house()).some(({ id }) => id.startsWith("question.seal.priming"))).toBe(false);
    expect(checksOf(house()).some(({ id }) => id.startsWith("question.overflow.not-working"))).toBe(false);
    const inService = checksOf(edit((document) => Object.assign(document, { stage: "in-service" })));
    expect(inService.filter(({ kind }) => kind === "question")).toEqual([]);
  });
});

describe("the sheet as data", () => {
  const ajv = new Ajv2020({ strict: true, strictTypes: false, allErrors: true });
  const validate = ajv.compile(commissioningSchema());

  test("is as its schema says, for every document at hand", () => {
    let count = 0;
    for (const document of everyDocument()) {
      const sheet = sheetOf(document);
      const sent: unknown = JSON.parse(JSON.stringify(sheet));
      expect(sent).toEqual(sheet);
      expect(validate(sent) ? [] : validate.errors?.slice(0, 5)).toEqual([]);
      count++;
    }
    expect(count).toBeGreaterThan(300);
  });

  test("has one id for each check, which the next revision keeps", () => {
    for (const document of everyDocument()) {
      const ids = checksOf(document).map(({ id }) => id);
      expect(new Set(ids).size).toBe(ids.length);
    }
    const before = checksOf(house()).map(({ id }) => id);
    const after = checksOf(
      edit((document) => {
        document.nodes.unshift(coil("E-9", 8.7, {}), {
          id: "OUT-9",
          kind: "outlet",
          elevation: 8.1,
          discharge: "floor-sink",
          connection: "air-gap",
          airGap: 50,
        });
        document.pipes.unshift({ id: "P-9", from: "E-9", to: "OUT-9", length: 4, insideDiameter: 20 });
        node(document, "J-1").elevation = 5.49;
      }),
    ).map(({ id }) => id);
    expect(after).toEqual(expect.arrayContaining(before));
    expect(after.length).toBeGreaterThan(before.length);
  });

  test("does not depend on the order of the document", () => {
    const shuffled = edit((document) => {
      for (const list of [document.nodes, document.pipes, document.overflowDevices, document.floors]) list.reverse();
    });
    expect(sheetOf(shuffled).stops).toEqual(sheetOf(house()).stops);
  });

  test("speaks the units of the document, and measures with its jugs", () => {
    const us = edit((document) => {
      document.units = "us";
      const feet = (meters: unknown) => (meters as number) / 0.3048;
      const inches = (mm: unknown) => (mm as number) / 25.4;
      for (const each of [...document.nodes, ...document.floors]) each.elevation = feet(each.elevation);
      for (const each of document.nodes) {
        if (each.panStatic !== undefined) each.panStatic = `${each.panStatic} Pa`;
        if (each.condensateRate !== undefined) each.condensateRate = `${each.condensateRate} L/h`;
        if (each.pan !== undefined) each.pan = { rimHeight: "50 mm", area: "0.25 m2" };
        if (each.vent !== undefined) each.vent = { top: feet(9.2), size: "3/4 in" };
        for (const name of ["sealDepth", "inletDrop", "airGap"])
          if (each[name] !== undefined) each[name] = inches(each[name]);
      }
      for (const each of document.pipes) {
        each.length = feet(each.length);
        each.insideDiameter = inches(each.insideDiameter);
      }
      for (const each of document.overflowDevices) each.tripHeight = inches(each.tripHeight);
    });
    const sheet = sheetOf(us);
    expect(sheet.units).toBe("us");
    const pour = checkOf(us, "pour-fan-off~f:F-2");
    // 8 US gallons of 231 in³ an hour
    expect(figure(pour, "flow").value).toBeCloseTo((8 * 231 * 0.0254 ** 3) / 3600, 15);
    expect(figure(pour, "flow").text).toBe("8 gal/h");
    const pints = figure(pour, "volume").value! / ((231 * 0.0254 ** 3) / 8);
    expect(pints).toBeCloseTo(Math.round(pints), 9);
    expect(figure(checkOf(us, "switch~d:S-2"), "tripHeight").value).toBeCloseTo(0.025, 9);
    expect(figure(checkOf(us, "switch~d:S-2"), "tripHeight").text).toBe("0.98 in");
    expect(pour.boxes.map(({ name, unit, writtenIn }) => [name, unit, writtenIn])).toEqual([
      ["arrival", "s", "s"],
      ["leaves", null, null],
      ["leftInPan", "m", "in"],
    ]);
    const text = renderCommissioning(sheet, { width: 100, color: false });
    expect(text).toMatch(/came out: _+ gal/);
    expect(text).toMatch(/pressure at the pan: _+ inH2O/);
    expect(text).not.toMatch(/\d (L|mm|Pa|L\/h)\b/);
    const si = renderCommissioning(sheetOf(house()), { width: 100, color: false });
    expect(si).toMatch(/came out: _+ L\b/);
    expect(si).not.toMatch(/\d (gal|in|inH2O)\b/);
  });

  test("refuses what is no network with every problem, and points into the profile", () => {
    const made = commissioning({ ...house(), nodes: "none", surprise: 1 });
    expect(made.ok).toBe(false);
    if (!made.ok)
      expect(made.problems.map(({ pointer }) => pointer)).toEqual(expect.arrayContaining(["/nodes", "/surprise"]));
    const profile = commissioning({ ...house(), profile: { base: "imc", overrides: { limits: { nothing: 1 } } } });
    expect(profile.ok).toBe(false);
    if (!profile.ok) expect(profile.problems[0].pointer).toMatch(/^\/profile\/overrides/);
  });

  test("tells what can hurt", () => {
    const cautions = sheetOf(house()).cautions.join(" ");
    for (const word of ["prove it dead", "microbes", "legionella", "fall protection", "live part", "confined", "plug"])
      expect(cautions).toContain(word);
  });
});

describe("ids that anybody may write", () => {
  const hostile = [
    "__proto__",
    "constructor",
    "toString",
    "a~b/c",
    "%2F",
    "ü 日本 🌊",
    "f:x~n:y",
    "'\"<script>",
    "0",
    "-0",
  ];
  const renamed = (names: readonly string[]): House => {
    const used = new Map<string, string>();
    const name = (old: unknown) => {
      const id = old as string;
      if (!used.has(id))
        used.set(id, names[used.size % names.length] + (used.size < names.length ? "" : ` ${used.size}`));
      return used.get(id);
    };
    return edit((document) => {
      for (const each of [...document.nodes, ...document.pipes, ...document.overflowDevices, ...document.circuits])
        each.id = name(each.id);
      for (const each of document.pipes) Object.assign(each, { from: name(each.from), to: name(each.to) });
      for (const each of document.overflowDevices)
        Object.assign(each, { at: name(each.at), circuit: name(each.circuit) });
      document.circuits[0].stops = (document.circuits[0].stops as string[]).map(name);
      for (const each of document.nodes) if (each.vent !== undefined) delete each.vent;
    });
  };

  test("are kept apart, and come back out of the ids of checks", () => {
    const ids = fc.uniqueArray(
      fc.oneof(
        fc.constantFrom(...hostile),
        fc
          .string({ unit: "grapheme", minLength: 1, maxLength: 12 })
          .filter((text) => /^[^\s\p{C}](.*[^\s\p{C}])?$/u.test(text) && !/\p{C}|[\u2028\u2029]/u.test(text)),
      ),
      { minLength: 4, maxLength: 18 },
    );
    fc.assert(
      fc.property(ids, (names) => {
        const document = renamed(names);
        const made = commissioning(document);
        // what the reader of documents does not take is its matter
        fc.pre(made.ok);
        if (!made.ok) return;
        const checks = made.sheet.stops.flatMap((stop) => stop.checks);
        expect(new Set(checks.map(({ id }) => id)).size).toBe(checks.length);
        const known = new Set([...document.nodes, ...document.pipes, ...document.overflowDevices].map(({ id }) => id));
        for (const { id, kind } of checks) {
          const [, anchor] = /^[\w.-]+~[npfdb]:(.*)$/.exec(id) ?? [];
          if (kind !== "question") expect(known).toContain(decodeURIComponent(anchor));
        }
        const pours = checks.filter((check) => check.kind === "pour-fan-off");
        expect(pours).toHaveLength(2);
        for (const pour of pours) expect(figure(pour, "arrival").value).toBeGreaterThan(40);
      }),
      { numRuns: 60 },
    );
  });

  test("and names cannot steer a terminal", () => {
    const document = edit((each) => Object.assign(node(each, "F-2"), { name: "\u202eevil\u2066" }));
    const made = commissioning(document);
    if (!made.ok) return;
    expect(renderCommissioning(made.sheet, { width: 80, color: false })).not.toMatch(/[\p{Cf}]/u);
  });
});

describe("the sheet on paper", () => {
  test("says every check with its boxes and its id, in the width asked for", () => {
    const sheet = sheetOf(house());
    const text = renderCommissioning(sheet, { width: 60, color: false });
    for (const line of text.split("\n")) expect(line.length).toBeLessThanOrEqual(60);
    const flat = text.replace(/\s+/g, " ");
    for (const check of sheet.stops.flatMap(({ checks }) => checks)) {
      expect(flat).toContain(check.text.replace(/\s+/g, " "));
      expect(text).toContain(check.id);
      for (const { label } of check.boxes) expect(flat).toContain(`${label}: `);
    }
    for (const caution of sheet.cautions) expect(flat).toContain(caution);
    expect(text.match(/^Floor /gm)).toHaveLength(3);
    expect(renderCommissioning(sheet, { width: 60, color: true })).toContain("\u001b[");
  });
});
