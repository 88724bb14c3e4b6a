import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, it, test } from "vitest";
import { type BackupAnswer, backup, backupSchema } from "../../../src/core/index.js";
import { CHECK_VALUES } from "../../published/check-values.js";
import { annularCapacity, manningFlow } from "../../reference/arithmetic.js";

// Blockages on documents so small that a pencil follows them: every figure expected here is worked beside its case.

type Json = Record<string, unknown>;

const validate = new Ajv2020({ strict: true, strictTypes: false, allErrors: true }).compile(backupSchema());

const ask = (document: unknown, blocked: Json): BackupAnswer => {
  const told = backup(document, blocked);
  if (!told.ok) throw new Error(JSON.stringify(told.problems, null, 1));
  const sent: unknown = JSON.parse(JSON.stringify(told.backup));
  expect(sent).toEqual(told.backup);
  expect(validate(sent) ? [] : validate.errors?.slice(0, 5)).toEqual([]);
  return told.backup;
};

/** m² of a bore in mm */
const across = (bore: number): number => (Math.PI / 4) * (bore / 1000) ** 2;
/** m of water that a pressure lifts: water at 10 °C, standard gravity */
const head = (pressure: number): number => pressure / (999.702 * 9.80665);
/** minutes in which a coil of so many litres an hour makes m³ */
const minutesFor = (volume: number, litersPerHour: number): number => ((volume * 1000) / litersPerHour) * 60;

const close = (a: number | null | undefined, b: number, digits = 9): void => {
  expect(a).not.toBeNull();
  expect(Math.abs(a! - b), `${a} against ${b}`).toBeLessThan(10 ** -digits * (1 + Math.abs(b)));
};

const coil = (id: string, elevation: number, more: Json = {}): Json => ({
  id,
  kind: "fan-coil",
  elevation,
  panStatic: 0,
  condensateRate: 2,
  pan: { rimHeight: 50, area: 0.2 },
  ...more,
});
const pipe = (id: string, from: string, to: string, length: number, more: Json = {}): Json => ({
  ...{ id, from, to, length, size: 25, material: "pvc-sch40", insideDiameter: 20 },
  ...more,
});
const OUT: Json = { id: "OUT", kind: "outlet", elevation: 0, connection: "air-gap" };
const FOOT: Json = { id: "FOOT", kind: "bend", elevation: 1 };
const network = (nodes: Json[], pipes: Json[], more: Json = {}): Json => ({
  ...{ format: 1, id: "small", units: "si", profile: "imc", stage: "design" },
  nodes: [{ ...OUT }, { ...FOOT }, ...nodes],
  pipes: [pipe("END", "FOOT", "OUT", 1), ...pipes],
  ...more,
});
/** one coil 2 m plumb above the foot, no trap */
const plumb = (more: Json = {}, foot: Json = {}): Json => {
  const made = network([coil("C", 3, more)], [pipe("DROP", "C", "FOOT", 2)]);
  Object.assign((made.nodes as Json[])[1], foot);
  return made;
};
const protectedBy = (document: Json, device: Json, circuit: Json): Json => ({
  ...document,
  overflowDevices: [{ id: "SW", at: "C", type: "float-switch", state: "working", circuit: "K", ...device }],
  circuits: [{ id: "K", breaks: "R", stops: ["C"], ...circuit }],
});
const END = { pipe: "END" };
const events = ({ story }: BackupAnswer): string[] => story.map(({ event }) => event);

describe("a pan over one plumb pipe", () => {
  it("fills the pipe, then the pan, and spills at what its coil makes", () => {
    const told = ask(plumb(), END);
    const [pipeHolds, panHolds] = [2 * across(20), 0.05 * 0.2];
    expect(events(told)).toEqual(["joins", "spills"]);
    expect(told.start).toEqual({ node: "FOOT", level: 1 });
    const [reaches, spills] = told.story;
    close(reaches.minutes.latest, minutesFor(pipeHolds, 2));
    close(reaches.level, 3);
    close(spills.minutes.soonest, minutesFor(pipeHolds + panHolds, 2));
    close(spills.volume.most, pipeHolds + panHolds);
    expect(told.firstSpill?.minutes).toEqual(spills.minutes);
    close(told.firstSpill?.litersPerHour, 2);
    expect(told.firstTrip).toBeNull();
    expect(told.held.map(({ kind, pipe: p, node }) => [kind, p ?? node])).toEqual([
      ["pan", "C"],
      ["riser", "DROP"],
    ]);
    close(told.held[1].volume, pipeHolds);
    expect([told.outcome, told.afterRun, told.undetermined]).toEqual(["uncontained", null, []]);
  });

  it("spills a pan under suction before its rim says so, at the same water in it (hydrostatics)", () => {
    const told = ask(plumb({ panStatic: -250 }), END);
    close(told.firstSpill?.elevation, 3.05 - head(250));
    close(told.story.at(-1)?.level, 3.05 - head(250));
    // the water in the pan stands at its rim, that in the pipe lower by the suction
    close(told.story.at(-1)?.volume.most, 2 * across(20) + 0.05 * 0.2);
  });

  it("takes for a riser of 0.1 m bore 1.2 m high, and for 12 L at the rate of check value A097, what A096 and A097 have", () => {
    const rows = new Map(CHECK_VALUES.map((row) => [row.id, row]));
    const riser = rows.get("A096")!;
    const time = rows.get("A097")!;
    const holds = riser.expected as number;
    const area = ((time.inputs.V_m3 as number) - holds) / 0.05;
    const rate = (time.inputs.q_m3s as number) * 3.6e6;
    const document = network(
      [coil("C", 2.2, { condensateRate: rate, pan: { rimHeight: 50, area } })],
      [pipe("DROP", "C", "FOOT", 1.2, { insideDiameter: 100 })],
    );
    const told = ask(document, END);
    close(told.held.find(({ pipe: p }) => p === "DROP")?.volume, holds, 8);
    close(told.firstSpill?.minutes.latest, (time.expected as number) / 60, 6);
  });

  it.each(["A092", "A093", "A094", "A095"])("fills a sloping pipe as check value %s has it", (id) => {
    const { inputs, expected } = CHECK_VALUES.find((row) => row.id === id)!;
    const { D_m, L_m, slope_tan, z_above_low_invert_m } = inputs as Record<string, number>;
    const rise = (L_m * slope_tan) / Math.hypot(1, slope_tan);
    const top = 1 + z_above_low_invert_m;
    const document = network(
      [coil("C", 2 + rise), { id: "HEAD", kind: "bend", elevation: 1 + rise }],
      [
        pipe("SLOPE", "HEAD", "FOOT", L_m, { insideDiameter: D_m * 1000 }),
        pipe("DROP", "C", "HEAD", 1, { insideDiameter: 15 }),
      ],
    );
    Object.assign((document.nodes as Json[])[1], { vent: { top, size: 20 } });
    const told = ask(document, END);
    expect(told.firstSpill?.openings.map(({ node }) => node)).toEqual(["FOOT/vent"]);
    const held = told.held.find(({ pipe: p }) => p === "SLOPE")!.volume!;
    expect(Math.abs(held / (expected as number) - 1)).toBeLessThan(1e-4);
  });
});

describe("what a circuit stops", () => {
  it("stops the coil in time: the water stands, with room for what still comes", () => {
    const told = ask(protectedBy(plumb(), { tripHeight: 25 }, {}), END);
    expect(events(told)).toEqual(["joins", "trips", "stands"]);
    close(told.firstTrip?.minutes.latest, minutesFor(2 * across(20) + 0.025 * 0.2, 2));
    expect(told.firstSpill?.minutes).toEqual({ soonest: null, latest: null });
    expect([told.outcome, told.firstSpill?.litersPerHour, told.wouldContain]).toEqual(["contained", 0, null]);
    // half a litre in a pan of 0.2 m²: 2.5 mm more; 25 mm of rim are 5 L
    close(told.afterRun?.volume, 0.0005);
    close(told.afterRun?.room.least, 0.025 * 0.2);
    close(told.afterRun?.level, 3.025 + 0.0025, 8);
    expect(told.afterRun?.fits).toBe(true);
  });

  it("stops it too late for what still comes", () => {
    const small = plumb({ pan: { rimHeight: 50, area: 0.05 } });
    const told = ask(protectedBy(small, { tripHeight: 45 }, {}), END);
    // 5 mm of a pan of 0.05 m²: a quarter of a litre
    close(told.afterRun?.room.most, 0.005 * 0.05);
    expect([told.outcome, told.afterRun?.fits, told.afterRun?.level]).toEqual(["contained", false, null]);
  });

  const wired: readonly [name: string, circuit: Json, end: string, gaps: string[]][] = [
    ["an alarm", { breaks: "alarm-only" }, "spills", []],
    ["the building's system", { breaks: "building-system" }, "spills", []],
    ["Y", { breaks: "Y" }, "stands", []],
    ["a controller", { breaks: "equipment-controller" }, "stands", ["/circuits/0/onTrip/fan"]],
    ["nobody says what", { breaks: undefined }, "spills", ["/circuits/0/breaks"]],
    ["another coil", { stops: [] }, "spills", []],
    ["a circuit that says that its coil goes on", { onTrip: { makesWater: true, fan: "stops" } }, "spills", []],
  ];
  it.each(wired)("by %s: %j", (_, circuit, end, gaps) => {
    const told = ask(JSON.parse(JSON.stringify(protectedBy(plumb(), { tripHeight: 25 }, circuit))), END);
    expect(events(told).at(-1)).toBe(end);
    expect(told.undetermined.flatMap(({ settledBy }) => settledBy)).toEqual(gaps);
  });

  it("is told apart from what cannot see it: a device further down stays dry", () => {
    const document = network(
      [coil("C", 3), { id: "BEND", kind: "bend", elevation: 2 }],
      [pipe("DROP", "C", "BEND", 1), pipe("DOWN", "BEND", "FOOT", 1)],
      {
        overflowDevices: [
          { id: "SW", at: "FOOT", type: "float-switch", seat: "main", tripHeight: 60, state: "working", circuit: "K" },
        ],
        circuits: [{ id: "K", breaks: "R", stops: "all-upstream" }],
      },
    );
    const below = ask(document, END);
    expect(events(below)).toEqual(["trips", "stands"]);
    const above = ask(document, { pipe: "DOWN" });
    expect([above.outcome, events(above)]).toEqual(["uncontained", ["joins", "spills"]]);
    expect(above.message.join(" ")).toContain("SW cannot see it: it sits further down than the blockage");
    // One at the bend that stops the coil would do: it may trip while there is room for half a litre below the rim.
    expect(above.wouldContain).toMatchObject({ node: "BEND", stops: ["C"], devices: [] });
    close(above.wouldContain?.highestTrip, 3.05 - 0.0005 / 0.2, 4);
  });
});

describe("fans", () => {
  it("let go what they held up: 8 L over a drop too short, as check value A073 has it", () => {
    const { inputs, expected } = CHECK_VALUES.find((row) => row.id === "A073")!;
    const { H_m, drop_m, A_pan_m2 } = inputs as Record<string, number>;
    const panStatic = -H_m * 999.702 * 9.80665;
    const pan = { rimHeight: 100, area: A_pan_m2 };
    const wide = { insideDiameter: 200 };
    const document = network(
      [
        coil("C", 3, { panStatic, pan }),
        { id: "TRAP", kind: "trap", elevation: 3 - drop_m, sealDepth: 60, inletDrop: drop_m * 1000, primed: true },
        { id: "WYE", kind: "junction", elevation: 1.5 },
        coil("OTHER", 4),
      ],
      [
        // level, so that it stays as it is: full while the fan runs, and after
        pipe("PIECE", "C", "TRAP", 0.5),
        pipe("DOWN", "TRAP", "WYE", 3 - drop_m - 1.5),
        pipe("MAIN", "WYE", "FOOT", 0.5, wide),
        pipe("HIGH", "OTHER", "WYE", 2.5, wide),
      ],
      {
        overflowDevices: [
          { id: "SW", at: "FOOT", type: "float-switch", seat: "main", tripHeight: 600, state: "working", circuit: "K" },
        ],
        circuits: [{ id: "K", breaks: "R", stops: ["C"] }],
      },
    );
    const told = ask(document, END);
    expect(events(told).slice(0, 2)).toEqual(["trips", "fans-stop"]);
    const [trips, after] = told.story;
    // The pan's 8 L and the 0.5 m of level piece below it stand in the plumb pipes after that: 200 mm and 20 mm wide.
    const piece = 0.5 * across(20);
    close(after.level, 1.6 + ((expected as number) + piece) / (across(200) + across(20)), 6);
    expect(after.minutes).toEqual(trips.minutes);
    expect(after.volume).toEqual(trips.volume);
  });

  it("stop, and the water runs out of a vent that stood high enough while they ran", () => {
    // The switch trips at 25 mm in the pan, the fan of 250 Pa then lifting 25.5 mm; the vent stands 10 mm above its outlet.
    const document = protectedBy(
      plumb({ panStatic: -250 }, { vent: { top: 3.01, size: 25 } }),
      { tripHeight: 25 },
      { breaks: "R" },
    );
    const told = ask(document, END);
    expect(events(told)).toEqual(["joins", "trips", "fans-stop", "spills"]);
    const last = told.story.at(-1)!;
    expect(last.openings.map(({ node }) => node)).toEqual(["FOOT/vent"]);
    // 15 mm of the pan, less what takes pipe (10.5 mm to its top) and vent up to 10 mm over the outlet
    const inPipe = across(20) * head(250) - across(20) * 0.025;
    const inVent = across(20) * (0.01 + head(250) - 0.025);
    close(last.surge, 0.2 * (0.025 - 0.01) - inPipe - inVent);
    expect([told.outcome, told.story.at(-1)?.inflow, told.firstSpill?.litersPerHour]).toEqual(["uncontained", 0, 0]);
  });
});

/** a riser with its own vent; a coil with trap and branch on it, and one straight on top */
const branched = (tee: Json): Json =>
  network(
    [
      { id: "WYE", kind: "junction", elevation: 1.5 },
      coil("C", 1.8, { condensateRate: 3 }),
      { id: "TRAP", kind: "trap", elevation: 1.7, sealDepth: 50, inletDrop: 90, primed: true },
      { id: "TEE", kind: "point", elevation: 1.6, ...tee },
      coil("HIGH", 4, { condensateRate: 1 }),
    ],
    [
      pipe("MAIN", "WYE", "FOOT", 0.5),
      pipe("TOP", "HIGH", "WYE", 2.5),
      pipe("BRANCH", "TEE", "WYE", 0.1),
      pipe("ARM", "TRAP", "TEE", 0.1),
      pipe("PIECE", "C", "TRAP", 0.01),
    ],
  );

describe("air", () => {
  // plumb throughout: what each pipe takes is its bore times its height up to the rim at 1.85 m, in which the pan has 10 L
  const pan = 0.05 * 0.2;
  const riser = across(20) * (0.5 + 0.35);
  const branch = across(20) * (0.1 + 0.1);
  const piece = across(20) * 0.01;

  it("leaves a vented branch, which fills: one figure", () => {
    const told = ask(branched({ vent: { top: 2.2, size: 25 } }), END);
    const vent = across(20) * 0.25;
    close(told.firstSpill?.minutes.soonest, minutesFor(pan + riser + branch + piece + vent, 4));
    expect(told.firstSpill?.minutes.soonest).toBe(told.firstSpill?.minutes.latest);
    expect(told.held.filter(({ airtight }) => airtight)).toEqual([]);
  });

  it.each([
    ["without a vent", {}],
    ["under a capped vent", { vent: { top: 2.2, size: 25, capped: true } }],
    ["under one that only lets air in", { vent: { top: 2.2, size: 25, opening: "admittance-valve" } }],
  ])("cannot leave a branch %s: two figures", (_, tee) => {
    const told = ask(branched(tee), END);
    const vent = "vent" in tee ? across(20) * 0.25 : 0;
    close(told.firstSpill?.minutes.latest, minutesFor(pan + riser + branch + piece + vent, 4));
    close(told.firstSpill?.minutes.soonest, minutesFor(pan + riser + piece, 4));
    const airtight = told.held.filter((each) => each.airtight).map(({ pipe: p }) => p);
    expect(airtight).toEqual(vent > 0 ? ["ARM", "BRANCH", "TEE/vent"] : ["ARM", "BRANCH"]);
  });

  it("lets a coil feed the pool until its trap is passed", () => {
    const told = ask(branched({ vent: { top: 2.2, size: 25 } }), END);
    const joins = told.story.find(({ event }) => event === "joins")!;
    expect(joins.fanCoils).toEqual(["C"]);
    close(joins.level, 1.7);
    close(joins.minutes.latest, minutesFor(across(20) * (0.5 + 0.2 + 0.1 + 0.1 + 0.1), 4));
    close(joins.inflow, 4 / 3.6e6);
  });
});

describe("what nobody gave", () => {
  const without = (document: Json, at: readonly (string | number)[]): Json => {
    const copy = structuredClone(document);
    let part = copy as Record<string | number, unknown>;
    for (const step of at.slice(0, -1)) part = part[step] as Record<string | number, unknown>;
    delete part[at[at.length - 1]];
    return copy;
  };
  const sound = protectedBy(plumb(), { tripHeight: 25 }, {});
  const pipeHolds = 2 * across(20);

  it("of a pan's area, times are no more than at the earliest", () => {
    const told = ask(without(sound, ["nodes", 2, "pan", "area"]), END);
    expect(told.firstTrip?.minutes.latest).toBeNull();
    close(told.firstTrip?.minutes.soonest, minutesFor(pipeHolds, 2));
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/nodes/2/pan/area"]]);
    expect([told.outcome, told.afterRun?.fits]).toEqual(["contained", null]);
  });
  it("of a bore, likewise", () => {
    const gone = without(without(sound, ["pipes", 1, "insideDiameter"]), ["pipes", 1, "size"]);
    const told = ask(gone, END);
    expect(told.firstTrip?.minutes.latest).toBeNull();
    close(told.firstTrip?.minutes.soonest, minutesFor(0.025 * 0.2, 2));
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/pipes/1/insideDiameter"]]);
  });
  it("of what a coil makes, no time can be told, but the levels can", () => {
    const told = ask(without(sound, ["nodes", 2, "condensateRate"]), END);
    expect(told.firstTrip?.minutes).toEqual({ soonest: null, latest: null });
    close(told.story[1].level, 3.025);
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/nodes/2/condensateRate"]]);
    expect(told.message[0]).toContain("what nobody can tell");
  });
  it("of a rim, it is told as far as the pan", () => {
    const told = ask(without(plumb(), ["nodes", 2, "pan", "rimHeight"]), END);
    expect([told.outcome, told.firstSpill, events(told).at(-1)]).toEqual(["undetermined", null, "open"]);
    close(told.story.at(-1)?.minutes.latest, minutesFor(pipeHolds, 2));
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/nodes/2/pan/rimHeight"]]);
  });
  it("of a switch's level, the outcome hangs on it", () => {
    const told = ask(without(sound, ["overflowDevices", 0, "tripHeight"]), END);
    expect([told.outcome, events(told).at(-1)]).toEqual(["undetermined", "spills"]);
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/overflowDevices/0/tripHeight"]]);
  });
  it("of a pan's static, it is taken as none, and said", () => {
    const told = ask(without(plumb(), ["nodes", 2, "panStatic"]), END);
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/nodes/2/panStatic"]]);
    expect(told.assumptions.map(({ name }) => name)).toContain("pressure at a pan of unknown static");
  });
  it("of a pan's area under suction, how far its water runs back is left open", () => {
    const document = protectedBy(
      plumb({ panStatic: -100, pan: { rimHeight: 50 } }, { vent: { top: 3.5, size: 25 } }),
      { tripHeight: 25 },
      {},
    );
    const told = ask(document, END);
    expect(events(told)).toEqual(["joins", "trips", "fans-stop", "stands"]);
    expect(told.story[2].level).toBeNull();
    expect(told.story[2].text).toContain("how far cannot be told");
  });
  it("placements: points at what was written", () => {
    const tower = JSON.parse(
      readFileSync(new URL("../../../fixtures/buildings/tower-design.json", import.meta.url), "utf8"),
    );
    delete tower.typicals.bedroom.nodes[0].pan.area;
    const told = ask(tower, { node: "0101-B/coil" });
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/typicals/bedroom/nodes/0/pan/area"]]);
  });
});

describe("what else may block", () => {
  const trapped = branched({ vent: { top: 2.2, size: 25 } });

  it("a pan outlet: its pan alone", () => {
    const told = ask(trapped, { node: "C" });
    expect([told.blocked.kind, told.fanCoilsFeeding, told.start]).toEqual([
      "pan-outlet",
      ["C"],
      { node: "C", level: 1.8 },
    ]);
    close(told.firstSpill?.minutes.latest, minutesFor(0.05 * 0.2, 3));
  });
  it("a trap: pan and piece", () => {
    const told = ask(trapped, { node: "TRAP" });
    expect([told.blocked.kind, told.start?.level]).toEqual(["trap", 1.7]);
    close(told.firstSpill?.minutes.latest, minutesFor(0.05 * 0.2 + across(20) * 0.01, 3));
  });
  it("a pan outlet under suction: what stood there already does not count", () => {
    // 500 Pa hold 51 mm up over a drop of 20 mm: 31 mm stand in the pan, 19 mm are left to its rim
    const document = branched({});
    Object.assign((document.nodes as Json[])[3], { panStatic: -500 });
    Object.assign((document.nodes as Json[])[4], { elevation: 1.78, inletDrop: 10 });
    (document.pipes as Json[]).find(({ id }) => id === "ARM")!.length = 0.18;
    const told = ask(document, { node: "C" });
    close(told.firstSpill?.minutes.latest, minutesFor(0.2 * (0.05 - (head(500) - 0.02)), 3));
  });
  it("a junction: its main way", () => {
    const [byNode, byPipe] = [ask(trapped, { node: "WYE" }), ask(trapped, { pipe: "MAIN" })];
    expect(byNode.blocked).toMatchObject({ pipe: null, node: "WYE", kind: "node" });
    expect(byNode.story).toEqual(byPipe.story);
    expect(byNode.partial).toEqual(byPipe.partial);
  });
  it("a vent, and a pipe that no water takes: nothing backs up", () => {
    for (const blocked of [{ node: "TEE/vent" }, { pipe: "TEE/vent" }]) {
      const told = ask(trapped, blocked);
      expect([told.outcome, told.story, told.start, told.firstSpill]).toEqual([null, [], null, null]);
      expect(told.message.join()).toContain("nothing backs up");
    }
  });
  it("a drain of a loop: nobody can tell", () => {
    const document = network(
      [coil("C", 3), { id: "A", kind: "point", elevation: 2 }, { id: "B", kind: "point", elevation: 1.5 }],
      [
        pipe("IN", "C", "A", 1),
        pipe("ROUND", "A", "B", 1),
        pipe("BACK", "B", "A", 1),
        pipe("DEAD", "FOOT", "OUT", 2, { id: "DEAD" }),
      ],
    );
    const told = ask(document, { pipe: "ROUND" });
    expect([told.outcome, told.story]).toEqual([null, []]);
    expect(told.message.join()).toContain("in a circle");
  });

  const sump = (fields: Json): Json => {
    const document = network([coil("C", 3)], [pipe("DROP", "C", "FOOT", 2)]);
    const nodes = document.nodes as Json[];
    nodes[1] = { id: "FOOT", kind: "pump", elevation: 1, liftTo: 4, capacity: 100, ...fields };
    nodes.push({ id: "HEAD", kind: "point", elevation: 4 });
    document.pipes = [
      pipe("LIFT", "FOOT", "HEAD", 3, { role: "pressure" }),
      pipe("FALL", "HEAD", "OUT", 4),
      pipe("DROP", "C", "FOOT", 2),
    ];
    return document;
  };
  it("a pump: its sump, up to twelve litres of it, then the pipe above", () => {
    const told = ask(sump({ sump: { rim: 1.2, volume: 12, startLevel: 1.05, ventedTo: "room" } }), { node: "FOOT" });
    expect([told.blocked.kind, events(told)]).toEqual(["pump", ["spills"]]);
    close(told.start?.level, 1.05);
    // nothing of the sump for certain, all of it at most; the pipe from 1.05 to 1.2 m in any case
    close(told.firstSpill?.minutes.soonest, minutesFor(across(20) * 0.15, 2));
    close(told.firstSpill?.minutes.latest, minutesFor(across(20) * 0.15 + 0.012, 2));
  });
  it("a pump whose full sump stops everything: the water stands", () => {
    const told = ask(sump({ interlocked: true, sump: { rim: 1.2, volume: 12, startLevel: 1.05 } }), { node: "FOOT" });
    expect([told.outcome, events(told)]).toEqual(["contained", ["stands"]]);
  });
  it("a sump of unknown size: what the pipe takes, at the earliest", () => {
    const told = ask(sump({ sump: { rim: 1.2, startLevel: 1.05 } }), { node: "FOOT" });
    expect(told.firstSpill?.minutes.latest).toBeNull();
    close(told.firstSpill?.minutes.soonest, minutesFor(across(20) * 0.15, 2));
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([["/nodes/1/sump/volume"]]);
  });
  it("what a pump lifts into the blocked drain: how it comes back cannot be told", () => {
    const told = ask(sump({ sump: { rim: 1.2, volume: 12, startLevel: 1.05 } }), { pipe: "FALL" });
    expect(events(told).at(-1)).toBe("open");
    expect(told.outcome).toBe("undetermined");
  });
  it("a receptor: nobody says how much it holds", () => {
    const document = plumb();
    (document.nodes as Json[])[0] = { ...OUT, receptor: { rim: -0.05, dwelling: "0101" } };
    const told = ask(document, { node: "OUT" });
    expect(told.firstSpill).toMatchObject({
      minutes: { soonest: 0, latest: null },
      openings: [{ node: "OUT", dwelling: "0101" }],
    });
    expect(told.undetermined.map(({ settledBy }) => settledBy)).toEqual([[]]);
  });
  it("a drain beside another: the other carries it off", () => {
    const document = plumb();
    (document.nodes as Json[]).push({ ...OUT, id: "SIDE" });
    (document.pipes as Json[]).push(pipe("SIDE", "FOOT", "SIDE", 1.5, { fromInvert: 1.2 }));
    const told = ask(document, END);
    expect([told.outcome, events(told)]).toEqual(["told", ["carried-off"]]);
    close(told.story[0].minutes.latest, minutesFor(across(20) * 0.2, 2));
  });
});

describe("a pipe that closes slowly", () => {
  it("just carries the design flow at the bore that is left: Manning's law at three quarters, down a slope", () => {
    const document = network(
      [{ id: "HEAD", kind: "bend", elevation: 1.1 }, coil("C", 3, { condensateRate: 20 })],
      [pipe("SLOPE", "HEAD", "FOOT", Math.hypot(5, 0.1)), pipe("DROP", "C", "HEAD", 1.9)],
    );
    const { partial } = ask(document, { pipe: "SLOPE" });
    close(partial?.insideDiameter, 0.02);
    const left = partial!.boreLeft;
    close(manningFlow(0.75 * left, left, 0.02, 0.012) * 3.6e6, 20, 6);
  });
  it("and down a riser, the annulus of 7/24", () => {
    const { partial } = ask(plumb(), { pipe: "DROP" });
    close(annularCapacity(7 / 24, partial!.boreLeft) * 3.6e6, 2, 6);
  });
  it("says nothing of a pipe that carries nothing even open", () => {
    const document = network(
      [{ id: "HEAD", kind: "bend", elevation: 1 }, coil("C", 3)],
      [pipe("LEVEL", "HEAD", "FOOT", 2), pipe("DROP", "C", "HEAD", 2)],
    );
    expect(ask(document, { pipe: "LEVEL" }).partial).toBeNull();
  });
});

describe("what is asked", () => {
  const document = plumb();
  const rows: readonly [name: string, network: unknown, blocked: unknown, ...problems: [string, string][]][] = [
    ["nothing", document, undefined, ["/blocked", "wrong-type"]],
    ["a list", document, ["END"], ["/blocked", "wrong-type"]],
    ["an empty object", document, {}, ["/blocked", "missing-field"]],
    ["both", document, { pipe: "END", node: "C" }, ["/blocked/node", "two-forms"]],
    ["another field", document, { pip: "END" }, ["/blocked/pip", "unknown-field"]],
    ["a number", document, { pipe: 3 }, ["/blocked/pipe", "wrong-type"]],
    ["an unknown pipe", document, { pipe: "DROPS" }, ["/blocked/pipe", "unknown-reference"]],
    ["an unknown node", document, { node: "__proto__" }, ["/blocked/node", "unknown-reference"]],
    ["a node called a pipe", document, { pipe: "FOOT" }, ["/blocked/pipe", "unknown-reference"]],
    ["of no network", {}, { pip: 1 }, ["/network/format", "missing-field"], ["/blocked/pip", "unknown-field"]],
    ["of no profile", { ...document, profile: "none" }, END, ["/network/profile", "unknown-value"]],
  ];
  test.each(rows)("%s is refused with its place", (_, net, blocked, ...problems) => {
    const told = backup(net, blocked);
    if (told.ok) throw new Error("it was told");
    const found = told.problems.map(({ pointer, code }) => `${pointer} ${code}`);
    for (const [pointer, code] of problems) expect(found).toContain(`${pointer} ${code}`);
    expect(told.total).toBeGreaterThanOrEqual(problems.length);
    for (const { hint } of told.problems.filter(({ pointer }) => pointer.startsWith("/blocked")))
      expect(hint).toBeTruthy();
  });
  const hintOf = (blocked: Json): string | undefined => {
    const told = backup(document, blocked);
    return told.ok ? undefined : told.problems[0].hint;
  };
  it("is hinted at by the nearest name", () => {
    expect(hintOf({ pipe: "DROPS" })).toBe('did you mean "DROP"?');
    expect(hintOf({ node: "FOOD" })).toBe('did you mean "FOOT"?');
    expect(hintOf({ pipe: "FOOT" })).toBe('it is a node: write { "node": … }');
    expect(hintOf({ node: "DROP" })).toBe('it is a pipe: write { "pipe": … }');
    expect(hintOf({ node: "something else" })).toBe("name a node of the network");
  });
});
