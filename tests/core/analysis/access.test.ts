import { describe, expect, test } from "vitest";
import { analyse } from "../../../src/core/analysis/analyse.js";
import type { Facts } from "../../../src/core/analysis/facts.js";
import { compile } from "../../../src/core/graph/compile.js";
import type { Compiled } from "../../../src/core/graph/compiled.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { resolveProfile } from "../../../src/core/profiles/resolve-profile.js";
import { Dice } from "../../builders/random-network.js";

type Json = Record<string, unknown>;

const factsOf = (document: Json): { net: Compiled; facts: Facts } => {
  const model = readNetwork(document);
  if (!model.ok) throw new Error(JSON.stringify(model.problems));
  const { base, overrides } = model.model.profile;
  const profile = resolveProfile(base, overrides, "si");
  if (!profile.ok) throw new Error("no profile");
  const net = compile(model.model);
  return { net, facts: analyse(net, profile.profile) };
};

const coil = (id: string, more: Json = {}): Json => ({ id, kind: "fan-coil", elevation: 0, ...more });
const outlet = (more: Json = {}): Json => ({
  id: "out",
  kind: "outlet",
  elevation: 0,
  connection: "air-gap",
  accessible: false,
  ...more,
});
const bend = (id: string, angle?: number): Json => ({ id, kind: "bend", angle });
const point = (id: string, more: Json = {}): Json => ({ id, kind: "point", ...more });
const cleanout = (id: string, more: Json = {}): Json => ({ id, kind: "cleanout", opening: 0.05, ...more });

/** Nodes in line, each pipe 2 % down over the given length, named after its lower node; levels follow. */
const inLine = (nodes: readonly Json[], lengths: readonly number[], more: Json = {}): Json => {
  let elevation = 10;
  const pipes: Json[] = [];
  const levelled = nodes.map((node, k) => {
    if (k > 0) {
      const length = lengths[k - 1];
      elevation -= (0.02 * length) / Math.sqrt(1 + 0.02 ** 2);
      pipes.push({ id: `>${node.id}`, from: nodes[k - 1].id, to: node.id, length, size: 25, material: "pvc-sch40" });
    }
    return { ...node, elevation };
  });
  return {
    format: 1,
    id: "line",
    units: "si",
    profile: "imc",
    stage: "design",
    nodes: levelled,
    pipes,
    ...more,
  };
};

const end = (net: Compiled, id: string, side: "from" | "to"): number =>
  2 * net.pipes.findIndex((pipe) => pipe.id === id) + (side === "from" ? 0 : 1);
const isWhole = ({ net, facts }: ReturnType<typeof factsOf>, id: string): boolean =>
  facts.access.any.sure.whole[net.pipes.findIndex((pipe) => pipe.id === id)] === 1;

const far = coil("C", { accessible: false });

describe("reach", () => {
  test.each([
    [15, true],
    [15.001, false],
  ])("a pipe of %s m from one point: %s", (length, whole) => {
    expect(isWhole(factsOf(inLine([far, cleanout("K"), outlet()], [0.5, length])), ">out")).toBe(whole);
  });

  test.each([
    [30, true],
    [30.001, false],
  ])("a pipe of %s m between two points: %s", (length, whole) => {
    const document = inLine([far, cleanout("K"), cleanout("K2"), outlet()], [0.5, length, 0.5]);
    expect(isWhole(factsOf(document), ">K2")).toBe(whole);
  });

  test.each([
    [[90, 90, 90], true],
    [[90, 90, 91], false],
    [[90, 90, 45, 45], true],
  ])("bends of %s degrees on the way: %s", (angles, whole) => {
    const bends = angles.map((angle, k) => bend(`B${k}`, angle));
    const document = inLine([far, cleanout("K"), ...bends, outlet()], [0.5, ...bends.map(() => 1), 1]);
    expect(isWhole(factsOf(document), ">out")).toBe(whole);
  });

  test("a bend of unknown angle counts as 90° against and as nothing in favor", () => {
    const bends = [bend("B1", 90), bend("B2", 90), bend("B3"), bend("B4", 45)];
    const { net, facts } = factsOf(inLine([far, cleanout("K"), ...bends, outlet()], [0.5, 1, 1, 1, 1, 1]));
    const { sure, possible } = facts.access.any;
    expect([sure.turnTo[end(net, ">B4", "from")], sure.point[end(net, ">out", "from")]]).toEqual([270, -1]);
    expect(possible.turnTo[end(net, ">out", "from")]).toBe(225);
    expect(facts.access.unknownBends.map((i) => net.nodes[i].id)).toEqual(["B3"]);
  });

  test("plan coordinates tell the angle that nobody states", () => {
    const at = (node: Json, x: number, y: number): Json => ({ ...node, x, y });
    const document = inLine(
      [far, at(cleanout("K"), 0, 0), at(point("A"), 3, 0), at(point("B"), 3, 4), at(outlet(), 0, 8)],
      [0.5, 3, 4, 5],
    );
    const { net, facts } = factsOf(document);
    // right angle at A; at B from north to 3 west of 4 north: atan(3/4)
    const degrees = 90 + (Math.atan2(3, 4) * 180) / Math.PI;
    expect(facts.access.any.sure.turnTo[end(net, ">out", "from")]).toBeCloseTo(degrees, 9);
  });

  test.each([
    ["pan outlet", inLine([coil("C"), point("A"), outlet()], [1, 1])],
    ["free end over an air gap", inLine([far, point("A"), outlet({ accessible: true })], [1, 1])],
    ["union", inLine([far, point("A", { removable: true }), outlet()], [1, 1])],
    ["cleanout stub", inLine([far, point("A", { cleanout: {} }), outlet()], [1, 1])],
    ["vent as wide as the run", inLine([far, point("A", { vent: { top: 10.3 } }), outlet()], [1, 1])],
  ])("%s is a point to work from", (_, document) => {
    const { facts } = factsOf(document);
    expect(Array.from(facts.access.any.sure.whole.subarray(0, 2))).toContain(1);
    expect(facts.access.points).toHaveLength(1);
  });

  test.each([
    ["narrow vent", inLine([far, point("A", { vent: { top: 10.3, size: 20 } }), outlet()], [1, 1])],
    ["connection into a drain", inLine([far, point("A"), outlet({ accessible: true, connection: "direct" })], [1, 1])],
    ["cleanout behind a wall", inLine([far, point("A", { cleanout: {}, accessible: false }), outlet()], [1, 1])],
    [
      "receptor that nobody gets at",
      inLine([far, point("A"), outlet({ accessible: true, receptor: { accessible: false } })], [1, 1]),
    ],
  ])("%s is none", (_, document) => {
    const drains = factsOf(document).facts.access.any.sure.whole.subarray(0, 2);
    expect(Array.from(drains)).toEqual([0, 0]);
  });

  test("a trap turns a tool by 360° between level pipes and by 270° from an upright one; a valve stops it", () => {
    const trap = { id: "T", kind: "trap", sealDepth: 50, inletDrop: 0 };
    const level = factsOf(inLine([coil("C"), trap, outlet()], [1, 1]));
    expect([isWhole(level, ">T"), isWhole(level, ">out")]).toEqual([true, false]);
    const document = inLine([coil("C"), trap, outlet()], [1, 1]);
    (document.nodes as Json[])[0].elevation = ((document.nodes as Json[])[1].elevation as number) + 1;
    const upright = factsOf(document);
    expect(upright.facts.access.any.sure.turnTo[end(upright.net, ">out", "from")]).toBe(270);
    (document.nodes as Json[])[1].sealType = "check-valve";
    delete (document.nodes as Json[])[1].sealDepth;
    expect(isWhole(factsOf(document), ">out")).toBe(false);
  });

  test("a branch is entered at 45° down the run of a wye and at 135° up it", () => {
    const branch = inLine([cleanout("K"), point("A")], [1]);
    const main = inLine([far, { id: "W", kind: "junction", fitting: "wye" }, outlet()], [2, 2]);
    const document = {
      ...main,
      nodes: [...(main.nodes as Json[]), { ...(branch.nodes as Json[])[0] }],
      pipes: [
        ...(main.pipes as Json[]),
        {
          id: "branch",
          from: "K",
          to: "W",
          length: 1,
          size: 20,
          material: "pvc-sch40",
          fromInvert: 9.98,
          toInvert: 9.96,
        },
      ],
    };
    const { net, facts } = factsOf(document);
    const { turnTo } = facts.access.any.sure;
    expect([turnTo[end(net, ">out", "from")], turnTo[end(net, ">W", "to")]]).toEqual([45, 135]);
  });
});

describe("against every simple path walked one by one", () => {
  /** A slow second reading: from each point along every path without a repeated pipe, by plain recursion. */
  const walked = (net: Compiled, { access }: Facts, limit: number, most: number): Float64Array => {
    const best = new Float64Array(2 * net.pipeCount).fill(Number.NaN);
    const angle = (node: number): number => net.nodes[node].angle ?? 0;
    const walk = (node: number, length: number, turn: number, came: number, used: ReadonlySet<number>): void => {
      for (let p = 0; p < net.pipeCount; p++) {
        if (used.has(p) || (net.from[p] !== node && net.to[p] !== node)) continue;
        const side = net.from[p] === node ? 0 : 1;
        const isEnd = came >= 0 && (net.nodes[node].coil !== null || net.nodes[node].outlet !== null);
        // every fitting of these networks turns a tool alike: a bend along its run, a tee by 90° into or out of a branch
        const isRun = (pipe: number): boolean => net.from[pipe] === node || net.pipes[pipe].id.startsWith("run");
        const more = came < 0 ? 0 : isRun(came) && isRun(p) ? angle(node) : 90;
        const turned = turn + more;
        if (isEnd || turned > most + 1e-9) continue;
        if (!(best[2 * p + side] <= length)) best[2 * p + side] = length;
        const far = length + net.length[p];
        if (far <= limit + 1e-9) walk(side === 0 ? net.to[p] : net.from[p], far, turned, p, new Set([...used, p]));
      }
    };
    for (const { node } of access.points) walk(node, 0, 0, -1, new Set());
    return best;
  };

  /** A main of bends and tees whose branches come from coils, some of them shut away. */
  const random = (seed: number): Json => {
    const dice = new Dice(seed);
    const nodes: Json[] = [];
    const pipes: Json[] = [];
    const count = dice.whole(3, 9);
    let level = 20;
    for (let k = 0; k < count; k++) {
      level -= 0.1;
      const isBend = dice.chance(0.5);
      nodes.push({
        id: `N${k}`,
        elevation: level,
        ...(isBend ? { kind: "bend", angle: dice.pick([45, 60, 90]) } : { kind: "junction", fitting: "tee" }),
        removable: dice.chance(0.15),
      });
      if (k > 0)
        pipes.push({
          id: `run${k}`,
          from: `N${k - 1}`,
          to: `N${k}`,
          length: dice.whole(1, 7),
          size: 50,
          material: "pvc-sch40",
        });
      if (isBend && k > 0) continue;
      nodes.push(coil(`C${k}`, { elevation: level + 0.1, accessible: dice.chance(0.6) }));
      pipes.push({
        id: k === 0 ? "run0" : `b${k}`,
        from: `C${k}`,
        to: `N${k}`,
        length: dice.whole(1, 9),
        size: k === 0 ? 50 : 20,
        material: "pvc-sch40",
      });
    }
    nodes.push(outlet({ elevation: level - 0.2, accessible: dice.chance(0.5) }));
    pipes.push({
      id: "run-out",
      from: `N${count - 1}`,
      to: "out",
      length: dice.whole(1, 12),
      size: 50,
      material: "pvc-sch40",
    });
    return { format: 1, id: "random", units: "si", profile: "imc", stage: "design", nodes, pipes };
  };

  test.each(Array.from({ length: 60 }, (_, seed) => seed))("seed %s", (seed) => {
    const { net, facts } = factsOf(random(seed));
    const expected = walked(net, facts, 15, 270);
    expect(Array.from(facts.access.any.sure.lengthTo)).toEqual(Array.from(expected));
  });
});
