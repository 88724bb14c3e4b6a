import { expect, test } from "vitest";
import { towerOfCoils } from "../builders/tower.js";
import { treeInput } from "./epanet-tree.js";
import { stopwatch, timingOf } from "./measure.js";
import { auditorFrom } from "./stages.js";

/** Least of a few runs: what the work costs when nothing else runs. Absolute figures are never asserted. */
const leastOf = (runs: number, work: () => unknown): number => {
  work();
  const times: number[] = [];
  for (let run = 0; run < runs; run++) {
    const taken = stopwatch();
    work();
    times.push(taken());
  }
  return timingOf(times).least;
};

test("the cost of an audit per pipe does not grow with the network", async () => {
  const auditor = await auditorFrom("src");
  const [small, large] = [200, 2_000].map((coils) => {
    const bytes = new TextEncoder().encode(JSON.stringify(towerOfCoils(coils, 1)));
    return leastOf(3, () => auditor.whole(bytes)) / auditor.stages(bytes).pipes;
  }) as [number, number];
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
