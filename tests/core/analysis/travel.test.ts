// How long water takes to arrive, on networks that a pencil can follow.
import { describe, expect, test } from "vitest";
import { analyse } from "../../../src/core/analysis/analyse.js";
import { travel } from "../../../src/core/analysis/travel.js";
import { compile } from "../../../src/core/graph/compile.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { profileById } from "../../../src/core/profiles/profiles.js";
import { checkDepth, filmVelocity, NU_15, terminalVelocity, trickleVelocity, turbulentVelocity } from "./trickle.js";

/** m³/s: half a liter a minute */
const POUR = 0.5e-3 / 60;

type Json = Record<string, unknown>;
const documentOf = (nodes: Json[], pipes: Json[]): Json => ({
  format: 1,
  id: "way",
  units: "si",
  profile: "metric",
  stage: "design",
  nodes: [
    { id: "FC", kind: "fan-coil", panStatic: 0, condensateRate: 1, pan: { rimHeight: 50 }, ...nodes[0] },
    ...nodes.slice(1),
  ],
  pipes,
});
const outlet = (elevation: number): Json => ({
  id: "OUT",
  kind: "outlet",
  elevation,
  discharge: "floor-sink",
  connection: "air-gap",
  airGap: 50,
});
const pipe = (id: string, from: string, to: string, length: number, bore: number, more: Json = {}): Json => ({
  id,
  from,
  to,
  length,
  insideDiameter: bore,
  ...more,
});

const way = (document: Json, flow = POUR, isFull: (pipe: number) => boolean = () => false) => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems, null, 1));
  const net = compile(read.model);
  const facts = analyse(net, profileById("metric")!);
  const { time, stuck } = travel(net, facts, () => flow, NU_15, isFull);
  const node = (id: string) => net.nodes.findIndex((each) => each.id === id);
  return {
    time: (id: string) => time[node(id)],
    stuck: (id: string) => (stuck[node(id)] < 0 ? null : net.pipes[stuck[node(id)]].id),
  };
};

const run = (length: number, fall: number) => Math.sqrt(length ** 2 - fall ** 2);

test("the plain figures beside it meet a published check of a trickle", () => {
  expect(checkDepth().depth).toBeCloseTo(0.0021154731, 7);
  expect(checkDepth().reynolds).toBeCloseTo(365.04452, 0);
  // half of 20.4 mm at 1 %, 1.5 µm rough, carries 5.480481e-5 m³/s
  const half = (Math.PI * 0.0204 ** 2) / 8;
  expect(turbulentVelocity(0.0204, 0.01, 5.480481e-5, 1.5e-6) * half).toBeCloseTo(5.480481e-5, 9);
});

describe("water on its way", () => {
  const sloping = documentOf(
    [{ elevation: 1 }, { id: "J", kind: "junction", elevation: 0.97 }, outlet(0.87)],
    [pipe("P-1", "FC", "J", 3, 20), pipe("P-2", "J", "OUT", 5, 26)],
  );

  test("runs as a laminar trickle in sloping pipes, and the times add up", () => {
    const { time } = way(sloping);
    const first = 3 / trickleVelocity(0.02, 0.03 / run(3, 0.03), POUR);
    const second = 5 / trickleVelocity(0.026, 0.1 / run(5, 0.1), POUR);
    expect(time("FC")).toBeCloseTo(first + second, 6);
    expect(time("J")).toBeCloseTo(second, 6);
    expect(time("OUT")).toBe(0);
    // a few centimeters to a foot in a second, as a hand that feels it says
    expect(time("FC")).toBeGreaterThan(8 / 0.3);
    expect(time("FC")).toBeLessThan(8 / 0.05);
  });

  test("takes minutes where it is a thread", () => {
    // 1 L/h in 30 m of 35 mm at 0.5 %
    const long = documentOf([{ elevation: 1 }, outlet(0.85)], [pipe("P", "FC", "OUT", 30, 35)]);
    expect(way(long, 1e-3 / 3600).time("FC") / 60).toBeGreaterThan(5);
  });

  test("runs down risers as a film", () => {
    const riser = documentOf(
      [{ elevation: 61 }, { id: "J", kind: "junction", elevation: 60.9 }, outlet(0.9)],
      [pipe("P-1", "FC", "J", 2, 20), pipe("P-2", "J", "OUT", 60, 52)],
    );
    expect(way(riser).time("J")).toBeCloseTo(60 / filmVelocity(0.052, POUR), 6);
    // Γ = 8.333e-6/(π 0.052) = 5.101e-5 m²/s, V = (9.807 · 2.602e-9 / 3.416e-6)^(1/3) = 0.1955 m/s: 5.1 min
    expect(way(riser).time("J") / 60).toBeCloseTo(5.1, 1);
  });

  test("falls no faster than annular flow where a hose makes the film thick", () => {
    // terminal velocity 3 (q/d)^(2/5) ft/s, q in gpm and d in inches
    const riser = documentOf(
      [{ elevation: 11 }, { id: "J", kind: "junction", elevation: 10.9 }, outlet(0.9)],
      [pipe("P-1", "FC", "J", 2, 20), pipe("P-2", "J", "OUT", 10, 25.4)],
    );
    const gpm = 6;
    const flow = gpm * 6.30901964e-5;
    const terminal = terminalVelocity(0.0254, flow);
    expect(filmVelocity(0.0254, flow)).toBeGreaterThan(terminal);
    expect(way(riser, flow).time("J")).toBeCloseTo(10 / terminal, 2);
  });

  test("fills a low point first, once", () => {
    // A sag of 20 mm with legs of 2 and 3 m in 26.1 mm holds 0.9889954 L up to its lip (tilted cylinders).
    const sag = documentOf(
      [
        { elevation: 1.1 },
        { id: "A", kind: "junction", elevation: 1.02 },
        { id: "L", kind: "junction", elevation: 1 },
        { id: "B", kind: "junction", elevation: 1.02 },
        outlet(0.9),
      ],
      [
        pipe("P-1", "FC", "A", 2, 26.1),
        pipe("P-2", "A", "L", 2, 26.1),
        pipe("P-3", "L", "B", 3, 26.1),
        pipe("P-4", "B", "OUT", 3, 26.1),
      ],
    );
    const dry = way(sag);
    const full = way(sag, POUR, () => true);
    expect(dry.time("FC") - full.time("FC")).toBeCloseTo(0.9889954e-3 / POUR, 1);
    const runs =
      2 / trickleVelocity(0.0261, 0.08 / run(2, 0.08), POUR) +
      2 / trickleVelocity(0.0261, 0.02 / run(2, 0.02), POUR) +
      3 / trickleVelocity(0.0261, 0.12 / run(3, 0.12), POUR);
    expect(full.time("FC")).toBeCloseTo(runs, 6);
    expect(dry.time("A") - dry.time("L")).toBeCloseTo(full.time("A") - full.time("L"), 9);
  });

  test("fills a low point once, however many pipes lie in it", () => {
    const sag = documentOf(
      [
        { elevation: 1.1 },
        { id: "A", kind: "junction", elevation: 1.02 },
        { id: "L", kind: "junction", elevation: 1 },
        { id: "N", kind: "junction", elevation: 1 },
        { id: "B", kind: "junction", elevation: 1.02 },
        outlet(0.9),
      ],
      [
        pipe("P-1", "FC", "A", 2, 26.1),
        pipe("P-2", "A", "L", 2, 26.1),
        pipe("P-3", "L", "N", 1, 26.1),
        pipe("P-4", "N", "B", 3, 26.1),
        pipe("P-5", "B", "OUT", 3, 26.1),
      ],
    );
    // the legs as before, and a level meter that stands 20 mm deep in 26.1 mm
    const angle = 2 * Math.acos(1 - (2 * 20) / 26.1);
    const level = (0.0261 ** 2 / 8) * (angle - Math.sin(angle));
    const seconds = way(sag).time("FC") - way(sag, POUR, () => true).time("FC");
    expect(seconds).toBeCloseTo((0.9889954e-3 + level) / POUR, 1);
  });

  test("is not told where a bore or a fall does not tell it, by the first such pipe", () => {
    const noBore = structuredClone(sloping);
    delete (noBore.pipes as Json[])[1].insideDiameter;
    expect(way(noBore).time("FC")).toBeNaN();
    expect(way(noBore).stuck("FC")).toBe("P-2");
    expect(way(noBore).stuck("J")).toBe("P-2");
    const level = structuredClone(sloping);
    (level.nodes as Json[])[1].elevation = 1;
    expect(way(level).time("FC")).toBeNaN();
    expect(way(level).stuck("FC")).toBe("P-1");
    expect(way(level).time("J")).toBeGreaterThan(0);
  });

  test("ends at a pump, and never in a circle", () => {
    const circle = documentOf(
      [
        { elevation: 1 },
        { id: "A", kind: "junction", elevation: 0.9 },
        { id: "B", kind: "junction", elevation: 0.8 },
        outlet(0.1),
      ],
      [pipe("P-1", "FC", "A", 2, 20), pipe("P-2", "A", "B", 2, 20), pipe("P-3", "B", "A", 2, 20)],
    );
    expect(way(circle).time("FC")).toBeNaN();
    const pump = documentOf(
      [{ elevation: 1 }, { id: "PU", kind: "pump", elevation: 0.9, liftTo: 3 }, outlet(2.9)],
      [pipe("P-1", "FC", "PU", 4, 20), pipe("P-2", "PU", "OUT", 6, 20, { role: "pressure" })],
    );
    expect(way(pump).time("FC")).toBeCloseTo(4 / trickleVelocity(0.02, 0.1 / run(4, 0.1), POUR), 6);
    expect(way(pump).time("PU")).toBe(0);
  });
});
