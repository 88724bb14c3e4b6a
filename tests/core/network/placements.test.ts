import { describe, expect, it } from "vitest";
import { acceptors } from "../../../src/core/network/accept.js";
import { expand } from "../../../src/core/network/expand.js";
import type { Model } from "../../../src/core/network/model.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { writtenAt } from "../../../src/core/network/written-at.js";
import { one, riser } from "./riser-of-placements.js";
import { soundDocument } from "./sound-document.js";

const modelOf = (document: unknown): Model => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.model;
};
const expandedOf = (document: unknown) => {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(JSON.stringify(expanded.problems));
  return expanded.document;
};
const problemsOf = (document: unknown): string[] => {
  const read = readNetwork(document);
  return read.ok ? [] : read.problems.map(({ code, pointer }) => `${code} at ${pointer}`).sort();
};

describe("one placement", () => {
  it("is written out with its own ids, levels above its place, and the joint's node", () => {
    const document = expandedOf(
      riser([{ ...one, origin: [10, 20], set: { coil: { coolingCapacity: "2 ton", dwelling: "{floor}-01" } } }]),
    );
    expect(document.nodes.slice(4)).toEqual([
      {
        id: "A/coil",
        kind: "fan-coil",
        elevation: { floor: "L4", above: 2.7 },
        coolingCapacity: "2 ton",
        dwelling: "L4-01",
        floor: "L4",
        x: 11,
        y: 22,
        typical: "unit/coil",
      },
      {
        id: "A/trap",
        kind: "trap",
        elevation: { node: "A/coil", above: -0.08 },
        sealDepth: 50,
        floor: "L4",
        typical: "unit/trap",
      },
      {
        id: "A/trap/vent",
        kind: "vent",
        elevation: { floor: "L4", above: 3 },
        floor: "L4",
        opening: "open",
        capped: false,
        typical: "unit/trap/vent",
      },
    ]);
    expect(document.pipes.slice(3)).toEqual([
      { id: "A/a", from: "A/coil", to: "A/trap", size: 20, length: 0.4, typical: "unit/a" },
      { id: "A/b", from: "A/trap", to: "R-L4", size: 20, length: 2, typical: "unit/b" },
      {
        id: "A/trap/vent",
        from: "A/trap",
        to: "A/trap/vent",
        role: "vent",
        size: 20,
        length: 0.38,
        space: "ceiling",
        typical: "unit/trap/vent",
      },
    ]);
    expect(document.overflowDevices).toEqual([
      {
        id: "A/switch",
        at: "A/coil",
        type: "float-switch",
        tripElevation: { floor: "L4", above: 2.73 },
        circuit: "A/loop",
        typical: "unit/switch",
      },
    ]);
    expect(document.circuits).toEqual([{ id: "A/loop", breaks: "R", stops: ["A/coil"], typical: "unit/loop" }]);
    expect(document).not.toHaveProperty("typicals");
    expect(document).not.toHaveProperty("placements");
  });

  it("may stand at a level, or above a node, and enter the main above its invert", () => {
    const level = modelOf(riser([{ ...one, at: 11.6, joins: { main: { node: "R-L4", above: "30 mm" } } }]));
    expect(level.nodes[4]).toMatchObject({ id: "A/coil", elevation: expect.closeTo(11.7, 12), floor: null });
    expect(level.pipes[4]).toMatchObject({ id: "A/b", to: 0, toInvert: expect.closeTo(11.53, 12), toInvertOwn: true });
    const node = modelOf(riser([{ ...one, at: { node: "R-L4", above: 0.1 } }]));
    expect(node.nodes[4].elevation).toBeCloseTo(11.7, 12);
  });

  it("says where each part comes from", () => {
    const model = modelOf(riser([one]));
    expect(model.nodes[0].typical).toBeNull();
    expect(model.nodes.slice(4).map(({ typical, pointer }) => [typical, writtenAt(model, pointer)])).toEqual([
      ["unit/coil", "/typicals/unit/nodes/0"],
      ["unit/trap", "/typicals/unit/nodes/1"],
      ["unit/trap/vent", "/typicals/unit/nodes/1/vent"],
    ]);
    expect(model.pipes[4].typical).toBe("unit/b");
    expect(writtenAt(model, model.pipes[4].pointer)).toBe("/typicals/unit/pipes/1");
  });
});

describe("a repeated placement", () => {
  const repeated = {
    ...one,
    id: "A-{floor}",
    at: { floor: "{floor}", above: 2.6 },
    joins: undefined,
    repeat: { floors: ["L3", "L4"], joins: { main: "R-{floor}" } },
  };
  it("stands once on each floor", () => {
    const { joins: _, ...placement } = repeated;
    const model = modelOf(riser([placement]));
    expect(
      model.nodes.filter(({ kind }) => kind === "fan-coil").map(({ id, elevation, floor }) => [id, elevation, floor]),
    ).toEqual([
      ["A-L3/coil", expect.closeTo(8.7, 12), "L3"],
      ["A-L4/coil", expect.closeTo(11.7, 12), "L4"],
    ]);
    expect(model.pipes.filter(({ id }) => id.endsWith("/b")).map(({ to }) => model.nodes[to].id)).toEqual([
      "R-L3",
      "R-L4",
    ]);
    expect(model.circuits.map(({ id, devices }) => [id, devices])).toEqual([
      ["A-L3/loop", [0]],
      ["A-L4/loop", [1]],
    ]);
  });

  it("without {floor} in its id takes one id twice", () => {
    const { joins: _, ...placement } = repeated;
    expect(problemsOf(riser([{ ...placement, id: "A" }]))).toEqual(["duplicate-id at /placements/0/id"]);
  });
});

describe("the expanded document", () => {
  const same = (document: unknown): void => {
    const before = modelOf(document);
    const after = modelOf(expandedOf(document));
    const bare = (model: Model): unknown => {
      const stubs = model.nodes.map(({ id, pointer: _p, ...node }) => ({ id, ...node }));
      const plain = model.pipes.map(({ pointer: _p, from, to, ...pipe }) => ({
        ...pipe,
        from: model.nodes[from].id,
        to: model.nodes[to].id,
      }));
      return JSON.parse(
        JSON.stringify(
          {
            ...model,
            nodes: stubs,
            pipes: plain,
            devices: model.devices.map(({ pointer: _, ...d }) => d),
            circuits: model.circuits.map(({ pointer: _, ...c }) => c),
            shorthand: null,
          },
          (_, value: unknown) => (typeof value === "number" ? Number(value.toPrecision(10)) : value),
        ),
      );
    };
    expect(bare(after)).toEqual(bare(before));
    expect(expandedOf(expandedOf(document))).toEqual(expandedOf(document));
  };

  it("reads as the given one, and is its own expansion", () => {
    same(riser([one, { ...one, id: "B", at: { floor: "L3", above: "8 ft 6 in" }, joins: { main: "R-L3" } }]));
  });

  it.each(["si", "us"])("writes stubs out, in %s", (units) => {
    const document = { ...soundDocument(), units };
    if (units === "us") {
      document.floors = [
        { id: "L2", elevation: 3.2 },
        { id: "L1", elevation: 0 },
      ];
      for (const pipe of document.pipes) Object.assign(pipe, { size: "3/4 in", length: 3 });
    }
    document.nodes[2].vent = { top: { node: "J-1", above: 0.3 }, size: "1 in", opening: "screened" };
    document.nodes[2].cleanout = { capped: false };
    document.nodes[0].cleanout = { opening: "3 in" };
    same(document);
  });
});

describe("bad placements", () => {
  const withUnit = (
    change: (unit: { nodes: Record<string, unknown>[]; pipes: Record<string, unknown>[]; joints: string[] }) => void,
    placements: unknown[] = [one],
  ) => {
    const document = structuredClone(riser(placements));
    change((document.typicals as { unit: never }).unit);
    return problemsOf(document);
  };
  it.each<[string, unknown, string[]]>([
    [
      "unknown typical",
      { ...one, typical: "untit" },
      ["no-fan-coil at /nodes", "unknown-reference at /placements/0/typical"],
    ],
    ["unknown field", { ...one, joints: {} }, ["no-fan-coil at /nodes", "unknown-field at /placements/0/joints"]],
    ["a joint that is not joined", { ...one, joins: {} }, ["missing-field at /placements/0/joins/main"]],
    [
      "an unknown joint",
      { ...one, joins: { main: "R-L4", vent: "R-L3" } },
      ["unknown-reference at /placements/0/joins/vent"],
    ],
    ["a join to no node", { ...one, joins: { main: "R-L9" } }, ["unknown-reference at /placements/0/joins/main"]],
    ["an unknown floor", { ...one, at: { floor: "L9", above: 2.6 } }, ["unknown-reference at /placements/0/at/floor"]],
    [
      "an unknown floor of several",
      { ...one, id: "A-{floor}", repeat: { floors: ["L4", "L8"] } },
      ["unknown-reference at /placements/0/repeat/floors/1"],
    ],
    [
      "a repeated one at a level",
      { ...one, id: "A-{floor}", at: 3, repeat: { floors: ["L4"] } },
      ["bad-placement at /placements/0/at"],
    ],
    [
      "a unit that does not fit",
      { ...one, at: { floor: "L4", above: "2.6 psi" } },
      ["bad-quantity at /placements/0/at/above"],
    ],
    [
      "an unknown part",
      { ...one, set: { coill: { coolingCapacity: 2 } } },
      ["unknown-reference at /placements/0/set/coill"],
    ],
    [
      "an unknown field of a part",
      { ...one, set: { coil: { coolingCapacty: 2 } } },
      ["unknown-field at /placements/0/set/coil/coolingCapacty"],
    ],
    [
      "a figure of a part",
      { ...one, set: { coil: { coolingCapacity: "2 psi" } } },
      ["bad-quantity at /placements/0/set/coil/coolingCapacity"],
    ],
    [
      "another kind of a part",
      { ...one, set: { coil: { kind: "point" } } },
      ["bad-placement at /placements/0/set/coil/kind"],
    ],
    ["an id too long", { ...one, id: "x".repeat(127) }, Array<string>(6).fill("too-long at /placements/0/id")],
  ])("%s", (_, placement, expected) => {
    expect(problemsOf(riser([placement]))).toEqual(expected);
  });

  it("one id twice", () => {
    expect(problemsOf(riser([one, one]))).toEqual(["duplicate-id at /placements/1/id"]);
  });

  it("a fault of form in the typical, told once at the typical", () => {
    expect(
      withUnit(
        ({ nodes }) => {
          nodes[1].sealDepht = 50;
        },
        [one, { ...one, id: "B" }],
      ),
    ).toEqual(["unknown-field at /typicals/unit/nodes/1/sealDepht"]);
  });

  it("a reference inside the typical to nothing in it", () => {
    expect(
      withUnit(({ pipes }) => {
        pipes[1].to = "R-L4";
      }),
    ).toContain("unknown-reference at /typicals/unit/pipes/1/to");
  });

  it("a joint that is a node", () => {
    expect(
      withUnit(({ joints }) => {
        joints.push("coil");
      }),
    ).toContain("duplicate-id at /typicals/unit/nodes/0/id");
  });

  it("a fault that appears in its place, told at the placement", () => {
    expect(
      withUnit(({ nodes }) => {
        nodes[1].vent = { top: -1 };
      }),
    ).toEqual(["vent-below-node at /placements/0"]);
  });

  it("a bomb of placements", () => {
    const many = { ...one, id: "A-{floor}", repeat: { floors: Array<string>(10_000).fill("L4") } };
    const problems = problemsOf(riser(Array<unknown>(100).fill(many)));
    // six elements and a stub's two, 10 000 times: the seventh placement passes 500 000
    expect(problems).toContain("too-many at /placements/6");
  });

  it("a bomb of words", () => {
    const many = { ...one, id: "A-{floor}", repeat: { floors: Array<string>(10_000).fill("L4") } };
    const wordy = ({ pipes }: { pipes: Record<string, unknown>[] }) => {
      for (const pipe of pipes) pipe.notes = "x".repeat(2_000);
    };
    // over 5 000 characters, 10 000 times: the fourth placement passes 200 million
    expect(withUnit(wordy, Array<unknown>(100).fill(many))).toContain("too-many at /placements/3");
  });

  it.each<[string, (document: { typicals: object; placements: [{ joins: object; set?: object }] }) => object]>([
    ["typicals", (d) => d.typicals],
    ["joins", (d) => d.placements[0].joins],
    [
      "set",
      (d) => {
        d.placements[0].set = {};
        return d.placements[0].set;
      },
    ],
  ])("what stands under __proto__ in %s is looked at like the rest", (_, within) => {
    for (const value of [null, 7, "x", {}, [null]]) {
      const document = structuredClone(riser([one]));
      Object.defineProperty(within(document as never), "__proto__", { value, enumerable: true });
      expect(problemsOf(document).join()).toContain("/__proto__");
      // compiled validators, which take over after some thousands of elements, say no less
      acceptors();
      expect(problemsOf(document).join()).toContain("/__proto__");
    }
  });

  it("names of prototypes as names of typicals, joints and parts", () => {
    const document = JSON.parse(
      JSON.stringify(riser([{ ...one, typical: "constructor" }]))
        .replaceAll('"unit"', '"constructor"')
        .replaceAll('"main"', '"toString"')
        .replaceAll('"coil"', '"valueOf"'),
    ) as Record<string, unknown>;
    expect(problemsOf(document)).toEqual([]);
  });
});
