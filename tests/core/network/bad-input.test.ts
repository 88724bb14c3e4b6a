import { describe, expect, it } from "vitest";
import { readNetwork } from "../../../src/core/network/read.js";
import { AT, type Loose, PIPE, soundDocument } from "./sound-document.js";

type Change = (document: Loose) => void;

/** `code at pointer` of every problem of the sound document after a change. */
const problemsOf = (change: Change): string[] => {
  const document = soundDocument();
  change(document);
  const read = readNetwork(document);
  if (read.ok) return [];
  expect(read.total).toBe(read.problems.length);
  for (const { detail } of read.problems) expect(detail).not.toBe("");
  return read.problems.map(({ code, pointer }) => `${code} at ${pointer}`);
};
const hintsOf = (change: Change): string[] => {
  const document = soundDocument();
  change(document);
  const read = readNetwork(document);
  return read.ok ? [] : read.problems.map(({ hint }) => hint ?? "");
};

const coil = (d: Loose) => d.nodes[AT.coil];
const trap = (d: Loose) => d.nodes[AT.trap];
const junction = (d: Loose) => d.nodes[AT.junction];

/** Each row: what is done to the sound document, and all that is then wrong with it. */
const table = (rows: readonly (readonly [string, Change, ...string[]])[]): void => {
  it.each(rows.map(([name, change, ...expected]) => ({ name, change, expected })))("$name", ({ change, expected }) => {
    expect(problemsOf(change).sort()).toEqual([...expected].sort());
  });
};

it("has nothing against the sound document", () => {
  expect(problemsOf(() => {})).toEqual([]);
});

describe("form", () => {
  table([
    [
      "unknown field at the top",
      (d) => {
        d.stories = [];
      },
      "unknown-field at /stories",
    ],
    [
      "unknown field in a node",
      (d) => {
        trap(d).sealDepht = 50;
      },
      "unknown-field at /nodes/1/sealDepht",
    ],
    [
      "unknown field deep inside",
      (d) => {
        coil(d).pan = { rimHight: 45 };
      },
      "unknown-field at /nodes/0/pan/rimHight",
    ],
    [
      "field of another kind",
      (d) => {
        junction(d).sealDepth = 50;
      },
      "unknown-field at /nodes/2/sealDepth",
    ],
    [
      "a name that needs escaping",
      (d) => {
        junction(d)["a/b~c"] = 1;
      },
      "unknown-field at /nodes/2/a~1b~0c",
    ],
    [
      "__proto__ as a field",
      (d) => {
        d.nodes[AT.junction] = JSON.parse('{"id":"J-1","kind":"junction","elevation":5.7,"__proto__":{"x":1}}');
      },
      "unknown-field at /nodes/2/__proto__",
    ],
    [
      "wrong type of a list",
      (d) => {
        d.overflowDevices = {} as never;
      },
      "wrong-type at /overflowDevices",
      "unknown-reference at /circuits/0/devices/0",
    ],
    [
      "wrong type of an element",
      (d) => {
        d.circuits.push(7 as never);
      },
      "wrong-type at /circuits/1",
    ],
    [
      "text for a flag",
      (d) => {
        coil(d).inService = "yes";
      },
      "wrong-type at /nodes/0/inService",
    ],
    [
      "null for a quantity",
      (d) => {
        coil(d).panStatic = null;
      },
      "wrong-type at /nodes/0/panStatic",
    ],
    [
      "a list for a level",
      (d) => {
        junction(d).elevation = [5.7];
      },
      "wrong-type at /nodes/2/elevation",
    ],
    [
      "a level with an unknown field",
      (d) => {
        junction(d).elevation = { floor: "L2", over: 2.5 };
      },
      "unknown-field at /nodes/2/elevation/over",
      "missing-field at /nodes/2/elevation/above",
    ],
    [
      "unknown kind",
      (d) => {
        junction(d).kind = "juntion";
      },
      "unknown-value at /nodes/2/kind",
    ],
    [
      "no kind",
      (d) => {
        delete junction(d).kind;
      },
      "missing-field at /nodes/2/kind",
    ],
    [
      "no id",
      (d) => {
        d.circuits.push({});
      },
      "missing-field at /circuits/1/id",
    ],
    [
      "unknown word",
      (d) => {
        d.pipes[0].material = "pvc-sch41";
      },
      "unknown-value at /pipes/0/material",
    ],
    [
      "unknown role",
      (d) => {
        d.pipes[0].role = "drian";
      },
      "unknown-value at /pipes/0/role",
    ],
    [
      "another format",
      (d) => {
        d.format = 2;
      },
      "unknown-value at /format",
    ],
    [
      "format as text",
      (d) => {
        d.format = "1";
      },
      "wrong-type at /format",
    ],
    [
      "no units",
      (d) => {
        delete (d as Partial<Loose>).units;
      },
      "missing-field at /units",
    ],
    [
      "unknown units",
      (d) => {
        d.units = "metric";
      },
      "unknown-value at /units",
    ],
    [
      "unknown profile",
      (d) => {
        d.profile = "imcc";
      },
      "unknown-value at /profile",
    ],
    [
      "unknown override",
      (d) => {
        d.profile = { base: "imc", overrides: { "fall.minimumGrad": 0.02 } };
      },
      "unknown-field at /profile/overrides/fall.minimumGrad",
    ],
    [
      "an override of another unit",
      (d) => {
        d.profile = { base: "imc", overrides: { "fall.minimumGrade": "2 psi" } };
      },
      "bad-quantity at /profile/overrides/fall.minimumGrade",
    ],
    [
      "an override that fits",
      (d) => {
        d.profile = { base: "imc", overrides: { "fall.minimumGrade": "1/4 in/ft" } };
      },
    ],
    [
      "an override without a figure",
      (d) => {
        d.profile = { base: "imc", overrides: { "fall.minimumGrade": null } };
      },
      "wrong-type at /profile/overrides/fall.minimumGrade",
    ],
    [
      "places and connections of the firm's own",
      (d) => {
        const outlet = { "outlet.connections": { direct: { "fixture-tailpiece": "allowed" }, "air-break": "ask" } };
        d.profile = { base: "imc", overrides: { "outlet.places": { "storm-drain": "allowed" }, ...outlet } };
      },
    ],
    [
      "a place that is none",
      (d) => {
        d.profile = { base: "imc", overrides: { "outlet.places": { river: "allowed" } } };
      },
      "bad-quantity at /profile/overrides/outlet.places/river",
    ],
    [
      "a connection ruled by a number",
      (d) => {
        d.profile = { base: "imc", overrides: { "outlet.connections": { direct: 5 } } };
      },
      "wrong-type at /profile/overrides/outlet.connections/direct",
    ],
    [
      "unknown stage",
      (d) => {
        d.stage = "built";
      },
      "unknown-value at /stage",
    ],
    [
      "a bad id of the network",
      (d) => {
        d.id = "Quill Row";
      },
      "bad-text at /id",
    ],
    [
      "an empty id",
      (d) => {
        d.floors[1].id = "";
      },
      "bad-text at /floors/1/id",
      "unknown-reference at /nodes/0/elevation/floor",
      "unknown-reference at /nodes/0/floor",
    ],
    [
      "an id with a line break",
      (d) => {
        d.owners[0].id = "a\nb";
      },
      "bad-text at /owners/0/id",
    ],
    [
      "an id with a zero-width mark",
      (d) => {
        d.owners[0].id = "a\u200bb";
      },
      "bad-text at /owners/0/id",
    ],
    [
      "an id with a direction mark",
      (d) => {
        d.owners[0].id = "a\u202eb";
      },
      "bad-text at /owners/0/id",
    ],
    [
      "an id with NUL",
      (d) => {
        d.owners[0].id = "a\u0000";
      },
      "bad-text at /owners/0/id",
    ],
    [
      "an id with a lone surrogate",
      (d) => {
        d.owners[0].id = "a\ud800";
      },
      "bad-text at /owners/0/id",
    ],
    [
      "an id of pairs of surrogates",
      (d) => {
        d.owners[0].id = "🏢";
      },
    ],
    [
      "an id with a blank at its end",
      (d) => {
        d.owners[0].id = "a ";
      },
      "bad-text at /owners/0/id",
    ],
    [
      "an id with a blank inside",
      (d) => {
        d.owners[0].id = "a b";
      },
    ],
    [
      "an id of 128 characters",
      (d) => {
        d.owners[0].id = "x".repeat(128);
      },
    ],
    [
      "an id of 128 characters beyond the basic plane",
      (d) => {
        d.owners[0].id = "🏢".repeat(128);
      },
    ],
    [
      "an id of 129 characters",
      (d) => {
        d.owners[0].id = "x".repeat(129);
      },
      "too-long at /owners/0/id",
    ],
    [
      "a long name",
      (d) => {
        d.name = "x".repeat(201);
      },
      "too-long at /name",
    ],
    [
      "a quantity longer than 64",
      (d) => {
        junction(d).elevation = `5.7${" ".repeat(70)}m`;
      },
      "too-long at /nodes/2/elevation",
    ],
    [
      "an empty typical",
      (d) => {
        d.typicals = { a: {} };
      },
      "missing-field at /typicals/a/nodes",
      "missing-field at /typicals/a/pipes",
    ],
    [
      "empty typicals and placements",
      (d) => {
        d.typicals = {};
        d.placements = [];
      },
    ],
    [
      "a day that does not exist",
      (d) => {
        d.pipes[0].lastCleaned = "2026-02-29";
      },
      "bad-date at /pipes/0/lastCleaned",
    ],
    [
      "a leap day",
      (d) => {
        d.pipes[0].lastCleaned = "2024-02-29";
      },
    ],
    [
      "no date at all",
      (d) => {
        d.pipes[0].lastCleaned = "spring";
      },
      "bad-date at /pipes/0/lastCleaned",
    ],
  ]);

  it.each([
    [
      "a slip in a field",
      (d: Loose) => {
        trap(d).sealDepht = 50;
      },
      "did you mean `sealDepth`?",
    ],
    [
      "a field of another kind",
      (d: Loose) => {
        junction(d).sealType = "water";
      },
      "`sealType` belongs to trap",
    ],
    [
      "a slip in a word",
      (d: Loose) => {
        d.pipes[0].material = "pvc-sch41";
      },
      'did you mean "pvc-sch40"?',
    ],
    [
      "a slip in a reference",
      (d: Loose) => {
        d.pipes[2].to = "R1";
      },
      'did you mean "R-1"?',
    ],
    [
      "a unit that does not fit",
      (d: Loose) => {
        coil(d).panStatic = "-0.6 in";
      },
      "use Pa or inH2O",
    ],
    [
      "a sign",
      (d: Loose) => {
        coil(d).panStatic = "0.5 inH2O";
      },
      "write −0.5 inH2O for a pan under suction",
    ],
    [
      "a bare sign",
      (d: Loose) => {
        coil(d).panStatic = 150;
      },
      "write −150 Pa for a pan under suction",
    ],
    [
      "the other sign",
      (d: Loose) => {
        coil(d).fanPosition = "blow-through";
        coil(d).panStatic = "−0.5 inH2O";
      },
      "write 0.5 inH2O for a pan under fan pressure",
    ],
  ] as const)("hints: %s", (_, change, hint) => {
    expect(hintsOf(change)).toContain(hint);
  });
});

describe("ids and references", () => {
  table([
    [
      "node twice",
      (d) => {
        d.nodes.push({ id: "J-1", kind: "point", elevation: 5 });
      },
      "duplicate-id at /nodes/9/id",
    ],
    [
      "pipe twice",
      (d) => {
        d.pipes[1].id = "P-1";
      },
      "duplicate-id at /pipes/1/id",
    ],
    [
      "device twice",
      (d) => {
        d.overflowDevices[1].id = "S-1";
      },
      "duplicate-id at /overflowDevices/1/id",
    ],
    [
      "circuit twice",
      (d) => {
        d.circuits.push({ id: "CI-1" });
      },
      "duplicate-id at /circuits/1/id",
    ],
    [
      "floor twice",
      (d) => {
        d.floors.push({ id: "L1", elevation: 9 });
      },
      "duplicate-id at /floors/2/id",
    ],
    [
      "owner twice",
      (d) => {
        d.owners.push({ id: "house" });
      },
      "duplicate-id at /owners/2/id",
    ],
    [
      "node and pipe of one id",
      (d) => {
        d.pipes[0].id = "J-1";
      },
    ],
    [
      "a node with the id of a stub",
      (d) => {
        junction(d).vent = { top: 6 };
        d.nodes.push({ id: "J-1/vent", kind: "point", elevation: 6 });
      },
      "duplicate-id at /nodes/2/vent",
    ],
    [
      "a pipe with the id of a stub",
      (d) => {
        junction(d).cleanout = {};
        d.pipes[0].id = "J-1/cleanout";
      },
      "duplicate-id at /nodes/2/cleanout",
    ],
    [
      "pipe from nowhere",
      (d) => {
        d.pipes[4].from = "C-9";
      },
      "unknown-reference at /pipes/4/from",
    ],
    [
      "pipe to nowhere",
      (d) => {
        d.pipes[2].to = "R-9";
      },
      "unknown-reference at /pipes/2/to",
    ],
    [
      "a pipe to a stub",
      (d) => {
        junction(d).cleanout = {};
        d.pipes.push({ id: "P-9", from: "J-1/cleanout", to: "J-1", length: 1 });
      },
    ],
    [
      "level above an unknown node",
      (d) => {
        junction(d).elevation = { node: "J-2", above: 0 };
      },
      "unknown-reference at /nodes/2/elevation/node",
    ],
    [
      "level above an unknown floor",
      (d) => {
        junction(d).elevation = { floor: "L9", above: 0 };
      },
      "unknown-reference at /nodes/2/elevation/floor",
    ],
    [
      "unknown floor of a node",
      (d) => {
        junction(d).floor = "L9";
      },
      "unknown-reference at /nodes/2/floor",
    ],
    [
      "unknown owner",
      (d) => {
        junction(d).owner = "0301";
      },
      "unknown-reference at /nodes/2/owner",
    ],
    [
      "any owner where none are listed",
      (d) => {
        junction(d).owner = "0301";
        delete (d as Partial<Loose>).owners;
      },
    ],
    [
      "device at nowhere",
      (d) => {
        d.overflowDevices[1].at = "J-7";
      },
      "unknown-reference at /overflowDevices/1/at",
    ],
    [
      "device of no circuit",
      (d) => {
        d.overflowDevices[1].circuit = "CI-2";
      },
      "unknown-reference at /overflowDevices/1/circuit",
    ],
    [
      "circuit of no device",
      (d) => {
        d.circuits[0].devices = ["S-1", "S-9"];
      },
      "unknown-reference at /circuits/0/devices/1",
    ],
    [
      "circuit that stops nothing known",
      (d) => {
        d.circuits[0].stops = ["F-2"];
      },
      "unknown-reference at /circuits/0/stops/0",
    ],
    [
      "circuit that stops a trap",
      (d) => {
        d.circuits[0].stops = ["T-1"];
      },
      "wrong-reference at /circuits/0/stops/0",
    ],
    [
      "circuit that stops all upstream",
      (d) => {
        d.circuits[0].stops = "all-upstream";
      },
    ],
    [
      "legal names of prototypes",
      (d) => {
        d.owners[1].id = "__proto__";
        coil(d).owner = "__proto__";
        d.floors[0].id = "constructor";
        junction(d).floor = "constructor";
      },
    ],
    [
      "names of prototypes that nobody gave",
      (d) => {
        d.pipes[2].to = "constructor";
        junction(d).floor = "toString";
      },
      "unknown-reference at /pipes/2/to",
      "unknown-reference at /nodes/2/floor",
    ],
    [
      "a reference to an ill-formed node",
      (d) => {
        junction(d).angel = 90;
      },
      "unknown-field at /nodes/2/angel",
    ],
  ]);
});

describe("membership of a circuit", () => {
  table([
    [
      "at the device only",
      (d) => {
        delete d.circuits[0].devices;
      },
    ],
    [
      "at the circuit only",
      (d) => {
        delete d.overflowDevices[0].circuit;
      },
    ],
    [
      "the circuit's list leaves the device out",
      (d) => {
        d.circuits[0].devices = [];
      },
      "membership-conflict at /overflowDevices/0/circuit",
    ],
    [
      "device and circuit name different ones",
      (d) => {
        d.circuits.push({ id: "CI-2" });
        d.overflowDevices[0].circuit = "CI-2";
      },
      "membership-conflict at /overflowDevices/0/circuit",
    ],
    [
      "two circuits list it",
      (d) => {
        d.circuits.push({ id: "CI-2", devices: ["S-1"] });
      },
      "membership-conflict at /circuits/1/devices/0",
    ],
    [
      "both forms of a trip level",
      (d) => {
        d.overflowDevices[1].tripHeight = 50;
      },
      "two-forms at /overflowDevices/1/tripHeight",
    ],
  ]);
});

describe("connections", () => {
  table([
    [
      "a pipe from a node to itself",
      (d) => {
        d.pipes.push({ id: "P-9", from: "J-1", to: "J-1", length: 1 });
      },
      "self-loop at /pipes/8/to",
    ],
    [
      "two pipes between two nodes",
      (d) => {
        d.pipes.push({ id: "P-9", from: "J-1", to: "R-1", length: 1 });
      },
    ],
    [
      "a drain that leaves an outlet",
      (d) => {
        d.pipes.push({ id: "P-9", from: "O-1", to: "J-1", length: 1 });
      },
      "drain-leaves-end at /pipes/8/from",
    ],
    [
      "a drain that leaves a vent",
      (d) => {
        d.pipes.push({ id: "P-9", from: "V-1", to: "J-1", length: 1 });
      },
      "drain-leaves-end at /pipes/8/from",
    ],
    [
      "a drain that leaves a vent stub",
      (d) => {
        junction(d).vent = { top: 6 };
        d.pipes.push({ id: "P-9", from: "J-1/vent", to: "J-1", length: 1 });
      },
      "drain-leaves-end at /pipes/8/from",
    ],
    [
      "a drain that ends at a vent",
      (d) => {
        d.pipes.push({ id: "P-9", from: "C-1", to: "V-1", length: 1 });
      },
    ],
    [
      "a pump with two pipes in",
      (d) => {
        d.pipes.push({ id: "P-9", from: "C-1", to: "PU-1", length: 1 });
      },
      "pump-connections at /nodes/5",
    ],
    [
      "a pump with two pipes out",
      (d) => {
        d.pipes.push({ id: "P-9", from: "PU-1", to: "O-1", length: 2 });
      },
      "pump-connections at /nodes/5",
    ],
    [
      "a pump with none out",
      (d) => {
        d.pipes.splice(PIPE.lift, 1);
      },
      "pump-connections at /nodes/5",
    ],
    [
      "a pump with a vent besides",
      (d) => {
        d.nodes[AT.pump].vent = { top: 6 };
      },
    ],
    [
      "a trap without a drain in",
      (d) => {
        d.pipes.splice(PIPE.coilTrap, 1);
      },
      "trap-connections at /nodes/1",
    ],
    [
      "a trap without a drain out",
      (d) => {
        d.pipes.splice(PIPE.trapJunction, 1);
      },
      "trap-connections at /nodes/1",
    ],
    [
      "a trap with a vent alone behind it",
      (d) => {
        d.pipes.splice(PIPE.trapJunction, 1);
        trap(d).vent = { top: 6 };
      },
      "trap-connections at /nodes/1",
    ],
    [
      "a trap on a secondary path",
      (d) => {
        d.nodes.push({ id: "T-2", kind: "trap", elevation: 5.75 }, { id: "O-2", kind: "outlet", elevation: 5 });
        d.pipes.push(
          { id: "P-9", from: "F-1", to: "T-2", role: "secondary", length: 1 },
          { id: "P-10", from: "T-2", to: "O-2", role: "secondary", length: 1 },
        );
      },
    ],
    [
      "no fan coil",
      (d) => {
        coil(d).kind = "point";
        for (const key of Object.keys(coil(d))) if (!["id", "kind", "elevation"].includes(key)) delete coil(d)[key];
        d.circuits = [];
        delete d.overflowDevices[0].circuit;
      },
      "no-fan-coil at /nodes",
    ],
    [
      "no outlet",
      (d) => {
        d.nodes[AT.outlet].kind = "point";
      },
      "no-outlet at /nodes",
    ],
    [
      "findings, not problems: a cycle, a split, an island",
      (d) => {
        d.pipes.push({ id: "P-9", from: "R-1", to: "J-1", length: 1 });
        d.nodes.push({ id: "I-1", kind: "point", elevation: 1 });
      },
    ],
  ]);
});

describe("figures", () => {
  table([
    [
      "infinite",
      (d) => {
        coil(d).coolingCapacity = Number.POSITIVE_INFINITY;
      },
      "not-finite at /nodes/0/coolingCapacity",
    ],
    [
      "not a number",
      (d) => {
        junction(d).elevation = Number.NaN;
      },
      "not-finite at /nodes/2/elevation",
    ],
    [
      "1e308",
      (d) => {
        junction(d).elevation = 1e308;
      },
      "absurd-number at /nodes/2/elevation",
    ],
    [
      "minus zero",
      (d) => {
        coil(d).panStatic = -0;
      },
    ],
    [
      "elevation at 10 km",
      (d) => {
        d.floors[0].elevation = 10_000;
      },
    ],
    [
      "elevation over 10 km",
      (d) => {
        d.floors[0].elevation = 10_000.001;
      },
      "absurd-number at /floors/0/elevation",
    ],
    [
      "elevation below −10 km",
      (d) => {
        d.floors[0].elevation = -10_000.001;
      },
      "absurd-number at /floors/0/elevation",
    ],
    [
      "elevation over 10 km by reference",
      (d) => {
        d.floors[0].elevation = 9_999;
        d.nodes.push({ id: "X", kind: "point", elevation: { floor: "L1", above: 2 } });
      },
      "absurd-number at /nodes/9/elevation",
    ],
    [
      "size of 2 m",
      (d) => {
        d.pipes[0].size = 2000;
      },
    ],
    [
      "size over 2 m",
      (d) => {
        d.pipes[0].size = 2001;
      },
      "absurd-number at /pipes/0/size",
    ],
    [
      "size that no trade has",
      (d) => {
        d.pipes[0].size = "0.8 in";
      },
      "bad-quantity at /pipes/0/size",
    ],
    [
      "negative length",
      (d) => {
        d.pipes[2].length = -1;
      },
      "absurd-number at /pipes/2/length",
    ],
    [
      "negative seal depth",
      (d) => {
        trap(d).sealDepth = -1;
      },
      "absurd-number at /nodes/1/sealDepth",
    ],
    [
      "humidity over 1",
      (d) => {
        d.site.indoorAir = { dryBulb: 24, relativeHumidity: 1.001 };
      },
      "absurd-number at /site/indoorAir/relativeHumidity",
    ],
    [
      "humidity of 1",
      (d) => {
        d.site.indoorAir = { dryBulb: 24, relativeHumidity: "100 %" };
      },
    ],
    [
      "humidity twice",
      (d) => {
        d.site.indoorAir = { dryBulb: 24, relativeHumidity: 0.5, wetBulb: 17 };
      },
      "two-forms at /site/indoorAir",
    ],
    [
      "no humidity",
      (d) => {
        d.site.indoorAir = { dryBulb: 24 };
      },
      "missing-field at /site/indoorAir",
    ],
    [
      "wet bulb over dry bulb",
      (d) => {
        d.site.indoorAir = { dryBulb: 24, wetBulb: 24.1 };
      },
      "absurd-number at /site/indoorAir/wetBulb",
    ],
    [
      "sensible share over 1",
      (d) => {
        coil(d).sensibleHeatRatio = 1.2;
      },
      "absurd-number at /nodes/0/sensibleHeatRatio",
    ],
    [
      "a unit of something else",
      (d) => {
        d.pipes[2].length = "1 psi";
      },
      "bad-quantity at /pipes/2/length",
    ],
    [
      "text without a unit",
      (d) => {
        d.pipes[2].length = "1";
      },
      "bad-quantity at /pipes/2/length",
    ],
    [
      "no text at all",
      (d) => {
        d.pipes[2].length = "";
      },
      "bad-quantity at /pipes/2/length",
    ],
    [
      "a negative tolerance",
      (d) => {
        junction(d).tolerance = -0.001;
      },
      "absurd-number at /nodes/2/tolerance",
    ],
    [
      "a tolerance in other words",
      (d) => {
        junction(d).tolerance = "drived";
      },
      "bad-quantity at /nodes/2/tolerance",
    ],
    [
      "a derived tolerance",
      (d) => {
        junction(d).tolerance = "derived";
      },
    ],
    // total capacity ÷ latent heat: 1.4537 L/h per kW, by the document format; 3.5 kW makes at most 5.088 L/h
    [
      "all capacity as condensate",
      (d) => {
        coil(d).condensateRate = 5.087;
      },
    ],
    [
      "more condensate than capacity",
      (d) => {
        coil(d).condensateRate = 5.089;
      },
      "impossible-condensate at /nodes/0/condensateRate",
    ],
    [
      "suction on blow-through",
      (d) => {
        coil(d).fanPosition = "blow-through";
      },
      "static-contradicts-fan at /nodes/0/panStatic",
    ],
    [
      "pressure on draw-through",
      (d) => {
        coil(d).panStatic = 120;
      },
      "static-contradicts-fan at /nodes/0/panStatic",
    ],
    [
      "no pressure on either",
      (d) => {
        coil(d).panStatic = 0;
      },
    ],
    [
      "pressure on a fan of unknown place",
      (d) => {
        coil(d).panStatic = 120;
        delete coil(d).fanPosition;
      },
    ],
  ]);
});

describe("lengths and levels", () => {
  table([
    [
      "no length",
      (d) => {
        delete d.pipes[2].length;
      },
      "missing-length at /pipes/2/length",
    ],
    [
      "no length, one end without plan",
      (d) => {
        delete d.pipes[2].length;
        junction(d).x = 0;
        junction(d).y = 0;
      },
      "missing-length at /pipes/2/length",
    ],
    [
      "no length, both ends in plan",
      (d) => {
        delete d.pipes[2].length;
        junction(d).x = 0;
        junction(d).y = 0;
        d.nodes[AT.reducer].x = 1;
        d.nodes[AT.reducer].y = 0;
      },
    ],
    // J-1 at 5.700, V-1 at 6.100: 400 mm apart, so 5 mm governs (1 % is 4 mm)
    [
      "a vent pipe shorter by 5 mm",
      (d) => {
        d.pipes[PIPE.vent].length = 0.395;
      },
    ],
    [
      "a vent pipe shorter by 6 mm",
      (d) => {
        d.pipes[PIPE.vent].length = 0.394;
      },
      "length-too-short at /pipes/3/length",
    ],
    [
      "shorter by 11 mm, tolerance 3 mm at each end",
      (d) => {
        d.stage = "as-built";
        d.pipes[PIPE.vent].length = 0.389;
      },
    ],
    [
      "shorter by 12 mm, tolerance 3 mm at each end",
      (d) => {
        d.stage = "as-built";
        d.pipes[PIPE.vent].length = 0.388;
      },
      "length-too-short at /pipes/3/length",
    ],
    [
      "shorter by 8 mm, 3 mm at one end, derived at the other",
      (d) => {
        d.stage = "as-built";
        junction(d).tolerance = "derived";
        d.pipes[PIPE.vent].length = 0.392;
      },
    ],
    [
      "shorter by 9 mm, 3 mm at one end, derived at the other",
      (d) => {
        d.stage = "as-built";
        junction(d).tolerance = "derived";
        d.pipes[PIPE.vent].length = 0.391;
      },
      "length-too-short at /pipes/3/length",
    ],
    // 10 m of rise: 1 % is 100 mm
    [
      "10 m of rise in 9.901 m",
      (d) => {
        d.nodes[AT.vent].elevation = 15.7;
        d.pipes[PIPE.vent].length = 9.901;
      },
    ],
    [
      "10 m of rise in 9.899 m",
      (d) => {
        d.nodes[AT.vent].elevation = 15.7;
        d.pipes[PIPE.vent].length = 9.899;
      },
      "length-too-short at /pipes/3/length",
    ],
    [
      "a vent top level with its node",
      (d) => {
        d.nodes[AT.vent].elevation = 5.7;
      },
    ],
    [
      "a vent top below its node",
      (d) => {
        d.nodes[AT.vent].elevation = 5.699;
      },
      "vent-below-node at /nodes/3/elevation",
    ],
    [
      "a vent stub below its node",
      (d) => {
        junction(d).vent = { top: 5.699 };
      },
      "vent-below-node at /nodes/2/vent/top",
    ],
    [
      "a vent over a hump, its top below the drain",
      (d) => {
        d.nodes.push({ id: "X", kind: "point", elevation: 6 });
        d.pipes[PIPE.vent].from = "X";
        d.pipes[PIPE.vent].length = 0.5;
        d.nodes[AT.vent].elevation = 5.6;
        d.pipes.push({ id: "P-9", from: "J-1", to: "X", role: "vent", length: 0.4 });
      },
      "vent-below-node at /nodes/3/elevation",
    ],
    [
      "a loop of vent pipes",
      (d) => {
        d.pipes.push({ id: "P-9", from: "V-1", to: "J-1", role: "vent", length: 0.4 });
      },
    ],
    [
      "no elevation and no grade",
      (d) => {
        delete junction(d).elevation;
      },
      "level-unknown at /nodes/2/elevation",
    ],
    [
      "no elevation, a grade from above",
      (d) => {
        delete junction(d).elevation;
        d.pipes[1].grade = 0.02;
      },
    ],
    [
      "no elevation, a grade from below",
      (d) => {
        delete junction(d).elevation;
        d.pipes[2].grade = "2 %";
      },
    ],
    [
      "a loop of levels",
      (d) => {
        junction(d).elevation = { node: "R-1", above: 0.02 };
        d.nodes[AT.reducer].elevation = { node: "J-1", above: -0.02 };
      },
      "level-loop at /nodes/2/elevation",
    ],
    [
      "a level above itself",
      (d) => {
        junction(d).elevation = { node: "J-1", above: 0 };
      },
      "level-loop at /nodes/2/elevation",
    ],
    [
      "what hangs on a loop is not told again",
      (d) => {
        junction(d).elevation = { node: "J-1", above: 0 };
        d.nodes[AT.vent].elevation = { node: "J-1", above: 0.4 };
        delete d.nodes[AT.reducer].elevation;
        d.pipes[2].grade = 0.02;
      },
      "level-loop at /nodes/2/elevation",
    ],
    [
      "two nodes that fix only one another",
      (d) => {
        delete junction(d).elevation;
        delete d.nodes[AT.reducer].elevation;
        d.pipes[2].grade = 0.02;
      },
      "level-unknown at /nodes/2/elevation",
      "level-unknown at /nodes/7/elevation",
    ],
    // T-1 5.720 → J-1 5.700 over 1 m: 20 mm, and 0.02 ÷ √(1 + 0.02²) is 19.996 mm
    [
      "a grade that agrees",
      (d) => {
        d.pipes[1].grade = 0.02;
      },
    ],
    [
      "a grade that disagrees",
      (d) => {
        d.pipes[1].grade = 0.03;
      },
      "grade-disagrees at /pipes/1/grade",
    ],
    [
      "a grade of 2.5 % within tolerance",
      (d) => {
        d.stage = "as-built";
        d.pipes[1].grade = 0.025;
      },
    ],
    [
      "a grade of 2.7 % beyond tolerance",
      (d) => {
        d.stage = "as-built";
        d.pipes[1].grade = 0.027;
      },
      "grade-disagrees at /pipes/1/grade",
    ],
    [
      "the trap's inlet as its drop says",
      (d) => {
        d.pipes[0].toInvert = 5.745;
      },
    ],
    [
      "the trap's inlet otherwise",
      (d) => {
        d.pipes[0].toInvert = 5.755;
      },
      "inlet-drop-disagrees at /pipes/0/toInvert",
    ],
    [
      "the trap's inlet without a drop",
      (d) => {
        d.pipes[0].toInvert = 5.755;
        delete trap(d).inletDrop;
      },
    ],
  ]);
});

describe("all at once", () => {
  it("reports a hundred different faults of form and meaning together", () => {
    const document = soundDocument();
    for (let i = 0; i < 25; i += 1) {
      document.nodes.push({ id: `X-${i}`, kind: "point", elevation: 5, [`oops${i}`]: 1 });
      document.pipes.push({ id: `Y-${i}`, from: "J-1", to: `Z-${i}`, length: 1 });
      document.pipes.push({ id: `Q-${i}`, from: "J-1", to: "J-1", length: -2 });
    }
    const read = readNetwork(document);
    expect(read).toMatchObject({ ok: false, total: 100 });
    if (read.ok) return;
    const count = (code: string) => read.problems.filter((problem) => problem.code === code).length;
    expect(read.problems).toHaveLength(100);
    expect([count("unknown-field"), count("unknown-reference"), count("self-loop"), count("absurd-number")]).toEqual([
      25, 25, 25, 25,
    ]);
  });

  it("lists a hundred and counts the rest", () => {
    const document = soundDocument();
    for (let i = 0; i < 1000; i += 1)
      document.nodes.push({ id: "J-1", kind: "point", elevation: 1e5, oops: 1, more: 2 });
    const read = readNetwork(document);
    // each row: two unknown fields and an id that is taken; its level is not looked at
    expect(read).toMatchObject({ ok: false, total: 3000 });
    if (!read.ok) expect(read.problems).toHaveLength(100);
  });

  it.each([[null], [1], ["text"], [[]], [true]])("refuses %j as a document", (value) => {
    expect(readNetwork(value)).toMatchObject({ ok: false, problems: [{ pointer: "", code: "wrong-type" }], total: 1 });
  });

  it("tells each missing field of an empty document", () => {
    const read = readNetwork({});
    expect(read.ok ? [] : read.problems.map(({ pointer }) => pointer).sort()).toEqual([
      "/format",
      "/id",
      "/nodes",
      "/pipes",
      "/profile",
      "/stage",
      "/units",
    ]);
  });
});
