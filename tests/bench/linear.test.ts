import { expect, test } from "vitest";
import { analyse } from "../../src/core/analysis/analyse.js";
import { backups } from "../../src/core/analysis/backups.js";
import { compile } from "../../src/core/graph/compile.js";
import { readNetwork } from "../../src/core/network/read.js";
import { resolveProfile } from "../../src/core/profiles/resolve-profile.js";
import { towerOfCoils } from "../builders/tower.js";
import { treeInput } from "./epanet-tree.js";
import { leastOf } from "./measure.js";
import { auditorFrom } from "./stages.js";

test("the cost of an audit per pipe does not grow with the network", async () => {
  const auditor = await auditorFrom("src");
  const costOf = async (coils: number): Promise<number> => {
    const bytes = new TextEncoder().encode(JSON.stringify(towerOfCoils(coils, 1)));
    return (await leastOf(3, () => auditor.whole(bytes))) / auditor.stages(bytes).pipes;
  };
  const small = await costOf(200);
  const large = await costOf(2_000);
  expect(large / small).toBeLessThan(3);
}, 120_000);

test("the bench's tower has about five nodes and pipes a coil, and faults in about one coil in twenty", () => {
  const faulty = towerOfCoils(2_000, 1);
  const coils = faulty.nodes.filter(({ kind }) => kind === "fan-coil").length;
  expect(coils).toBe(2_000);
  expect(faulty.nodes.length / coils).toBeGreaterThan(4.8);
  expect(faulty.nodes.length / coils).toBeLessThan(5.5);
  expect(faulty.pipes.length / coils).toBeGreaterThan(4.8);
  const sound = new Map(towerOfCoils(2_000, 1, 0).nodes.map((node) => [node.id, JSON.stringify(node)]));
  const changed = new Set(
    faulty.nodes
      .filter((node) => sound.get(node.id) !== JSON.stringify(node))
      .map(({ id }) => id.slice(0, id.indexOf("/"))),
  );
  expect(changed.size / coils).toBeGreaterThan(0.02);
  expect(changed.size / coils).toBeLessThan(0.07);
});

test("the same seed builds the same tower, another seed another", () => {
  expect(towerOfCoils(200, 5)).toEqual(towerOfCoils(200, 5));
  expect(towerOfCoils(200, 5)).not.toEqual(towerOfCoils(200, 6));
});

test("the compared water network is a tree of as many pipes as asked", () => {
  const lines = treeInput(500, 1).split("\n");
  const pipes = lines.slice(lines.indexOf("[PIPES]") + 1, lines.indexOf("[TIMES]")).map((line) => line.split(" "));
  expect(pipes).toHaveLength(500);
  const reached = new Set(["R"]);
  for (const [, from, to] of pipes) {
    expect(reached.has(from!)).toBe(true);
    expect(reached.has(to!)).toBe(false);
    reached.add(to!);
  }
});

/** How often the network is looked at while the first spill behind each of its drains is found, per pipe. */
const looksPerPipe = (document: unknown): number => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems.slice(0, 3)));
  const profile = resolveProfile("imc", {}, "si");
  if (!profile.ok) throw new Error("no profile");
  const net = compile(read.model);
  const { geometry, water, topology, loads, circuits } = analyse(net, profile.profile);
  let looks = 0;
  const watched = <T extends object>(array: T): T =>
    new Proxy(array, {
      get: (target, key) => {
        if (typeof key === "string" && /^\d+$/.test(key)) looks++;
        const value = Reflect.get(target, key);
        return typeof value === "function" ? value.bind(target) : value;
      },
    });
  const rows = ({ start, list }: typeof net.ends) => ({ start: watched(start), list: watched(list) });
  backups(
    {
      ...net,
      nodes: watched(net.nodes),
      kind: watched(net.kind),
      role: watched(net.role),
      from: watched(net.from),
      to: watched(net.to),
      ends: rows(net.ends),
      drainsIn: rows(net.drainsIn),
      drainsOut: rows(net.drainsOut),
    },
    geometry,
    water,
    topology,
    loads,
    circuits,
  );
  return looks / net.pipeCount;
};

/** Coils one after the other along one main, each pan with a switch of its own. */
const longMain = (coils: number) => {
  const each = Array.from({ length: coils }, (_, i) => i);
  const level = (i: number) => 100 - 0.02 * i;
  return {
    format: 1,
    id: "long-main",
    units: "si",
    profile: "imc",
    stage: "design",
    nodes: [
      ...each.flatMap((i) => [
        { id: `C${i}`, kind: "fan-coil", elevation: level(i) + 0.1, condensateRate: 2, pan: { rimHeight: 50 } },
        { id: `J${i}`, kind: "junction", elevation: level(i) },
      ]),
      { id: "O", kind: "outlet", elevation: level(coils) },
    ],
    pipes: each.flatMap((i) => [
      { id: `B${i}`, from: `C${i}`, to: `J${i}`, length: 2, size: 20 },
      { id: `M${i}`, from: `J${i}`, to: i + 1 < coils ? `J${i + 1}` : "O", length: 2, size: 50 },
    ]),
    overflowDevices: each.map((i) => ({ id: `S${i}`, at: `C${i}`, type: "float-switch", tripHeight: 30 })),
    circuits: each.map((i) => ({ id: `S${i}`, devices: [`S${i}`], breaks: "R", stops: [`C${i}`] })),
  };
};

test.each([
  ["towers", (coils: number) => towerOfCoils(coils, 1)],
  ["one long main", longMain],
])("the first spills of %s take as many looks at each pipe, however many there are", (_, build) => {
  const [small, large] = [looksPerPipe(build(200)), looksPerPipe(build(3_200))];
  expect(large / small).toBeLessThan(1.2);
});
