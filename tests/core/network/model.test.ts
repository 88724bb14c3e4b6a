import { describe, expect, it } from "vitest";
import type { Model, ModelNode, ModelPipe } from "../../../src/core/network/model.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { AT, type Loose, soundDocument } from "./sound-document.js";

const modelOf = (document: unknown): Model => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.model;
};
const changed = (change: (document: Loose) => void): Model => {
  const document = soundDocument();
  change(document);
  return modelOf(document);
};
const node = (model: Model, id: string): ModelNode => {
  const found = model.nodes.find((each) => each.id === id);
  if (found === undefined) throw new Error(`no node ${id}`);
  return found;
};
const pipe = (model: Model, id: string): ModelPipe => {
  const found = model.pipes.find((each) => each.id === id);
  if (found === undefined) throw new Error(`no pipe ${id}`);
  return found;
};

describe("what a document says", () => {
  const model = modelOf(soundDocument());

  it("stands in SI base units, in document order", () => {
    expect(model.nodes.map(({ id }) => id)).toEqual(soundDocument().nodes.map(({ id }) => id));
    expect(model.pipes.map(({ pointer }) => pointer)).toEqual(soundDocument().pipes.map((_, i) => `/pipes/${i}`));
    const coil = node(model, "F-1").coil;
    expect(coil?.coolingCapacity).toBe(3500);
    expect(coil?.condensateRate).toBeCloseTo(1.2e-3 / 3600, 15);
    expect(coil?.panStatic).toBe(-120);
    expect(coil?.pan).toEqual({
      rimHeight: 0.045,
      area: null,
      outletSize: 20,
      outletMaterial: null,
      secondary: { height: 0.019, is: "switch" },
    });
    expect(node(model, "F-1").elevation).toBeCloseTo(5.8, 12);
    expect(model.site).toMatchObject({ humid: true, idleDays: 150, surveyTolerance: 0, surveyToleranceStated: false });
    expect(model.devices).toMatchObject([
      { id: "S-1", at: 0, circuit: 0, contact: "nc", state: null },
      { id: "S-2", at: 2, tripLevel: 5.75, circuit: null },
    ]);
    expect(model.devices[0].tripLevel).toBeCloseTo(5.819, 12);
    expect(model.circuits).toMatchObject([{ devices: [0], arrangement: "series", breaks: "R", stops: [0] }]);
  });

  it("has the document's defaults, and null for what is unknown", () => {
    expect(pipe(model, "P-1")).toMatchObject({ role: "drain", space: "ceiling", grade: null, insideDiameter: null });
    expect(node(model, "R-1").form).toBe("flat-bottom");
    expect(node(model, "V-1").vent).toEqual({ opening: "open", capped: false });
    expect(node(model, "C-1").cleanout).toEqual({ opening: 0.08, capped: true, cappedStated: false });
    expect(node(model, "T-1").trap).toMatchObject({ sealType: "water", primed: true, primedStated: false });
    expect(node(model, "J-1")).toMatchObject({ zone: null, accessible: null, spillHarmless: false, fixed: false });
    expect(
      changed((d) => {
        d.stage = "as-built";
      }).nodes[AT.trap].trap?.primed,
    ).toBeNull();
  });

  it.each([
    ["design", 0],
    ["as-built", 0.003],
    ["in-service", 0.003],
  ])("takes the tolerance of stage %s", (stage, tolerance) => {
    const read = changed((d) => {
      d.stage = stage;
      d.nodes[AT.bend].tolerance = "derived";
      d.nodes[AT.reducer].tolerance = "1 mm";
    });
    expect(read.nodes[AT.junction].tolerance).toBe(tolerance);
    expect(read.nodes[AT.bend].tolerance).toBe(0);
    expect(read.nodes[AT.reducer].tolerance).toBe(0.001);
  });

  it("takes a stated tolerance of the site", () => {
    const read = changed((d) => {
      d.site.surveyTolerance = "5 mm";
    });
    expect(read.site).toMatchObject({ surveyTolerance: 0.005, surveyToleranceStated: true });
    expect(read.nodes[AT.junction].tolerance).toBe(0.005);
  });
});

describe("the other unit system", () => {
  // the same building: 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 inH2O = 249.08891 Pa, 1 ton = 3516.8528420667 W (NIST SP 811)
  const us = () => ({
    format: 1,
    id: "quill-row",
    units: "us",
    profile: "imc",
    stage: "design",
    nodes: [
      { id: "F", kind: "fan-coil", elevation: 10, coolingCapacity: 1, panStatic: -0.5, pan: { rimHeight: 2 } },
      { id: "T", kind: "trap", elevation: 9.75, sealDepth: 2, inletDrop: 1 },
      { id: "O", kind: "outlet", elevation: 9 },
    ],
    pipes: [
      { id: "A", from: "F", to: "T", size: 0.75, material: "pvc-sch40", length: 1.5 },
      {
        id: "B",
        from: "T",
        to: "O",
        size: 1.25,
        material: "pvc-sch40",
        length: 36,
        insideDiameter: 1.36,
        supportSpacing: 4,
      },
    ],
  });
  const si = () => ({
    ...us(),
    units: "si",
    nodes: [
      {
        id: "F",
        kind: "fan-coil",
        elevation: 3.048,
        coolingCapacity: 3.5168528420667,
        panStatic: -124.544455,
        pan: { rimHeight: 50.8 },
      },
      { id: "T", kind: "trap", elevation: 2.9718, sealDepth: 50.8, inletDrop: 25.4 },
      { id: "O", kind: "outlet", elevation: 2.7432 },
    ],
    pipes: [
      { id: "A", from: "F", to: "T", size: 20, material: "pvc-sch40", length: 0.4572 },
      {
        id: "B",
        from: "T",
        to: "O",
        size: 32,
        material: "pvc-sch40",
        length: 10.9728,
        insideDiameter: 34.544,
        supportSpacing: 1.2192,
      },
    ],
  });
  const strings = () => ({
    ...us(),
    nodes: [
      {
        id: "F",
        kind: "fan-coil",
        elevation: "3048 mm",
        coolingCapacity: "12000 Btu/h",
        panStatic: "−1/2 inH2O",
        pan: { rimHeight: "2″" },
      },
      { id: "T", kind: "trap", elevation: "9 ft 9 in", sealDepth: "2 in", inletDrop: "2.54 cm" },
      { id: "O", kind: "outlet", elevation: "9 ft" },
    ],
    pipes: [
      { id: "A", from: "F", to: "T", size: "3/4 in", material: "pvc-sch40", length: "1-1/2 ft" },
      {
        id: "B",
        from: "T",
        to: "O",
        size: "DN 32",
        material: "pvc-sch40",
        length: "36 ft",
        insideDiameter: "1.36 in",
        supportSpacing: "4 ft",
      },
    ],
  });
  /** every number to twelve digits */
  const rounded = (model: Model): unknown =>
    JSON.parse(
      JSON.stringify({ ...model, units: "" }, (_, value: unknown) =>
        typeof value === "number" ? Number(value.toPrecision(12)) : value,
      ),
    );

  it("gives the same model, with bare numbers and with units", () => {
    expect(rounded(modelOf(si()))).toEqual(rounded(modelOf(us())));
    expect(rounded(modelOf(strings()))).toEqual(rounded(modelOf(us())));
  });

  it("takes the size of metric plastics as an outside diameter in mm in both", () => {
    for (const document of [us(), si()]) {
      const pipes = [document.pipes[0], { ...document.pipes[1], material: "pp-metric", size: 32 }];
      expect(modelOf({ ...document, pipes }).pipes[1].size).toBe(32);
    }
  });
});

describe("levels", () => {
  it("follow references through chains of any length", () => {
    const model = changed((d) => {
      for (let i = 0; i < 50_000; i += 1)
        d.nodes.push({
          id: `X-${i}`,
          kind: "point",
          elevation: { node: i === 49_999 ? "J-1" : `X-${i + 1}`, above: 0.001 },
        });
    });
    expect(node(model, "X-0").elevation).toBeCloseTo(5.7 + 50, 6);
  });

  // run = length ÷ √(1 + grade²), fall = grade × run: a 3-4-5 triangle, grade 3/4, length 5, fall 3
  const chain = (given: "top" | "bottom"): Loose => {
    const d = soundDocument();
    d.nodes.push(
      { id: "X-0", kind: "point", ...(given === "top" ? { elevation: 9 } : {}) },
      { id: "X-1", kind: "point" },
      { id: "X-2", kind: "point", ...(given === "bottom" ? { elevation: 3 } : {}) },
    );
    d.pipes.push(
      { id: "Q-1", from: "X-0", to: "X-1", length: 5, grade: 0.75 },
      { id: "Q-2", from: "X-1", to: "X-2", length: 5, grade: "3:4" },
    );
    return d;
  };
  it.each(["top", "bottom"] as const)("follow measured grades from the %s", (given) => {
    const model = modelOf(chain(given));
    expect(["X-0", "X-1", "X-2"].map((id) => node(model, id).elevation)).toEqual(
      [9, 6, 3].map((z) => expect.closeTo(z, 12)),
    );
    expect(pipe(model, "Q-1").fromInvert - pipe(model, "Q-1").toInvert).toBeCloseTo(3, 12);
  });

  it("take a grade over the plan distance where no length is given", () => {
    const d = soundDocument();
    d.nodes.push({ id: "X-0", kind: "point", elevation: 9, x: 0, y: 0 }, { id: "X-1", kind: "point", x: 3, y: 4 });
    d.pipes.push({ id: "Q-1", from: "X-0", to: "X-1", grade: 0.02 });
    const model = modelOf(d);
    expect(node(model, "X-1").elevation).toBeCloseTo(9 - 0.1, 12);
    expect(pipe(model, "Q-1").length).toBeCloseTo(Math.sqrt(25 + 0.01), 12);
  });

  it("go through crowns and traps on the way", () => {
    const d = soundDocument();
    delete d.nodes[AT.trap].elevation;
    // the coil's outlet at 5.8; the pipe of 0.5 m falls 30 mm to the trap's inlet, which is 25 mm over its weir
    d.pipes[0].grade = 0.06;
    d.pipes[1].fromInvert = { node: "T-1", above: 0.001 };
    const model = modelOf(d);
    expect(node(model, "T-1").elevation).toBeCloseTo(5.8 - (0.5 * 0.06) / Math.sqrt(1.0036) - 0.025, 12);
    expect(pipe(model, "P-1")).toMatchObject({ fromInvertOwn: false, toInvertOwn: false });
    expect(pipe(model, "P-2").fromInvertOwn).toBe(true);
    expect(pipe(model, "P-2").fromInvert).toBeCloseTo(node(model, "T-1").elevation + 0.001, 12);
  });

  it("do not depend on the order of the document where two grades meet", () => {
    const make = (reverse: boolean): Model => {
      const d = soundDocument();
      d.stage = "as-built";
      d.nodes.push(
        { id: "X-0", kind: "point", elevation: 9 },
        { id: "X-1", kind: "point" },
        { id: "X-2", kind: "point", elevation: 9 },
      );
      const pipes = [
        { id: "Q-2", from: "X-0", to: "X-1", length: 1, grade: 0.02 },
        { id: "Q-10", from: "X-2", to: "X-1", length: 1, grade: 0.022 },
      ];
      d.pipes.push(...(reverse ? pipes.reverse() : pipes));
      return modelOf(d);
    };
    // Q-2 comes first in natural order
    expect(node(make(false), "X-1").elevation).toBe(node(make(true), "X-1").elevation);
    expect(node(make(true), "X-1").elevation).toBeCloseTo(9 - 0.02 / Math.sqrt(1.0004), 12);
  });

  it("of ends: a trap's inlet, the second port, the auxiliary pan, and what is stated", () => {
    const d = soundDocument();
    d.nodes[AT.coil].auxiliaryPan = { floor: { node: "F-1", above: "-200 mm" }, present: true };
    d.nodes.push({ id: "O-2", kind: "outlet", elevation: 5.5 });
    d.pipes.push(
      { id: "S", from: "F-1", to: "O-2", role: "secondary", length: 2 },
      { id: "A", from: "F-1", to: "O-2", role: "auxiliary", length: 2, toInvert: { node: "O-2", above: "20 mm" } },
    );
    const model = modelOf(d);
    expect(pipe(model, "P-1")).toMatchObject({ toInvert: 5.745, toInvertOwn: false });
    expect(pipe(model, "S")).toMatchObject({
      fromInvert: expect.closeTo(5.819, 12),
      fromInvertOwn: true,
      toInvertOwn: false,
    });
    expect(pipe(model, "A")).toMatchObject({
      fromInvert: expect.closeTo(5.6, 12),
      fromInvertOwn: true,
      toInvert: expect.closeTo(5.52, 12),
      toInvertOwn: true,
    });
  });

  it("make a length from plan coordinates: a box of 2 × 3 × 6 has a diagonal of 7", () => {
    const model = changed((d) => {
      d.nodes.push(
        { id: "X", kind: "point", elevation: 8, x: 1, y: 1 },
        { id: "Y", kind: "point", elevation: 2, x: "3 m", y: 4 },
      );
      d.pipes.push({ id: "Q", from: "X", to: "Y" });
    });
    expect(pipe(model, "Q").length).toBeCloseTo(7, 12);
  });
});

describe("stubs in one line", () => {
  const model = changed((d) => {
    Object.assign(d.nodes[AT.junction], {
      dwelling: "0201",
      accessible: false,
      vent: { top: { node: "J-1", above: 0.3 }, opening: "screened" },
      cleanout: {},
    });
    d.pipes[2] = { ...d.pipes[2], size: 32, insideDiameter: 35.1, space: "shaft" };
    d.nodes[AT.coil].cleanout = { opening: 120, capped: false };
    d.nodes[AT.outlet].vent = { top: 7, size: 50 };
  });

  it("become nodes after the others, where their node is", () => {
    expect(model.nodes.slice(9).map(({ id, pointer, kind }) => [id, pointer, kind])).toEqual([
      ["F-1/cleanout", "/nodes/0/cleanout", "cleanout"],
      ["J-1/vent", "/nodes/2/vent", "vent"],
      ["J-1/cleanout", "/nodes/2/cleanout", "cleanout"],
      ["O-1/vent", "/nodes/6/vent", "vent"],
    ]);
    expect(node(model, "J-1/vent")).toMatchObject({
      elevation: expect.closeTo(6, 12),
      dwelling: "0201",
      accessible: false,
      vent: { opening: "screened", capped: false },
    });
    // one bore of the drain that leaves
    expect(node(model, "J-1/cleanout")).toMatchObject({
      elevation: expect.closeTo(5.7 + 0.0351, 12),
      cleanout: { opening: 0, capped: true, cappedStated: false },
    });
    expect(node(model, "F-1/cleanout")).toMatchObject({
      elevation: expect.closeTo(5.92, 12),
      cleanout: { opening: 0, capped: false, cappedStated: true },
    });
  });

  it("become pipes of the drain's size, material and bore that rise plumb", () => {
    expect(pipe(model, "J-1/vent")).toMatchObject({
      role: "vent",
      from: 2,
      to: 10,
      size: 32,
      material: "pvc-sch40",
      insideDiameter: 0.0351,
      length: expect.closeTo(0.3, 12),
      space: "shaft",
      fromInvert: 5.7,
    });
    expect(pipe(model, "J-1/cleanout")).toMatchObject({ role: "access", size: 32, length: expect.closeTo(0.0351, 12) });
  });

  it("take the first drain that enters where none leaves, and a size of their own", () => {
    expect(pipe(model, "O-1/vent")).toMatchObject({ size: 50, insideDiameter: null, length: expect.closeTo(0.6, 12) });
  });

  it("take the first of several drains in natural order", () => {
    const several = changed((d) => {
      d.nodes[AT.junction].vent = { top: 6 };
      d.pipes.push(
        { id: "P-03", from: "J-1", to: "R-1", size: 40, length: 1 },
        { id: "P-2a", from: "J-1", to: "R-1", size: 50, length: 1 },
      );
    });
    // P-2a before P-3 before P-03
    expect(pipe(several, "J-1/vent").size).toBe(50);
  });

  it("without any pipe know nothing of their make", () => {
    const lone = changed((d) => {
      d.nodes.push({ id: "X", kind: "point", elevation: 3, cleanout: {} });
    });
    expect(node(lone, "X/cleanout")).toMatchObject({ elevation: 3, cleanout: { opening: null } });
    expect(pipe(lone, "X/cleanout")).toMatchObject({ size: null, material: null, length: 0 });
  });

  it("leave a cleanout of unknown bore open to the bore's own rule, and take the table's where there is one", () => {
    const plain = changed((d) => {
      delete d.nodes[AT.cleanout].opening;
    });
    expect(node(plain, "C-1").cleanout?.opening).toBeNull();
    // 3/4 in schedule 40: mean bore 1.050 − 2·0.113 − 0.020 in, by the tolerance of the wall in ASTM D1785
    const table = changed((d) => {
      delete d.nodes[AT.cleanout].opening;
      d.pipes[4].material = "pvc-sch40";
    });
    expect(node(table, "C-1").cleanout?.opening).toBeCloseTo(0.804 * 0.0254, 12);
  });
});
