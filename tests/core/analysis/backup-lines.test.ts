import { describe, expect, test } from "vitest";
import { analyse } from "../../../src/core/analysis/analyse.js";
import { compile } from "../../../src/core/graph/compile.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { resolveProfile } from "../../../src/core/profiles/resolve-profile.js";
import { seeded } from "../../builders/seeded.js";

type Json = Record<string, unknown> & { id: string };

const read = (nodes: Json[], pipes: Json[]) => {
  const document = { format: 1, id: "lines", units: "si", profile: "imc", stage: "design", nodes, pipes };
  const model = readNetwork(document);
  if (!model.ok) throw new Error(JSON.stringify(model.problems));
  const profile = resolveProfile("imc", {}, "si");
  if (!profile.ok) throw new Error("no profile");
  const net = compile(model.model);
  return { net, facts: analyse(net, profile.profile) };
};

const coil = (id: string, elevation: number): Json => ({
  id,
  kind: "fan-coil",
  elevation,
  condensateRate: 2,
  panStatic: 0,
  pan: { rimHeight: 50 },
});
const BORE = 0.02;
const pipe = (id: string, from: string, to: string, length: number): Json => ({
  id,
  from,
  to,
  length,
  insideDiameter: 1000 * BORE,
});
const joint = (id: string, elevation: number): Json => ({ id, kind: "junction", elevation });

describe("risers and mains", () => {
  // Two risers R and Q of two storeys each; Q ends in a lateral L. They meet at J, and M1 and M2 lead on from there.
  const { net, facts } = read(
    [
      ...["R", "Q"].flatMap((riser) => [
        coil(`${riser}2a`, 6.2),
        coil(`${riser}2b`, 6.3),
        coil(`${riser}1`, 3.2),
        joint(`${riser}W2`, 6),
        joint(`${riser}W1`, 3),
      ]),
      joint("F", 1.1),
      joint("J", 1),
      joint("K", 0.9),
      { id: "O", kind: "outlet", elevation: 0.8 },
    ],
    [
      ...["R", "Q"].flatMap((riser) => [
        pipe(`${riser}p2a`, `${riser}2a`, `${riser}W2`, 2),
        pipe(`${riser}p2b`, `${riser}2b`, `${riser}W2`, 2),
        pipe(`${riser}p1`, `${riser}1`, `${riser}W1`, 2),
        pipe(`${riser}2`, `${riser}W2`, `${riser}W1`, 3),
      ]),
      pipe("R1", "RW1", "J", 2),
      pipe("Q1", "QW1", "F", 1.9),
      pipe("L", "F", "J", 2),
      pipe("M1", "J", "K", 3),
      pipe("M2", "K", "O", 3),
    ],
  );
  const ids = (pipes: readonly number[]) => pipes.map((p) => net.pipes[p].id).sort();

  test("each is told where it ends; the lateral belongs to its riser, and what lies below the joint to the main", () => {
    expect(
      facts.backups.lines().map(({ pipe: end, isMain, uncontained }) => ({
        end: net.pipes[end].id,
        isMain,
        drains: ids(uncontained.flatMap(({ pipes }) => pipes)),
      })),
    ).toEqual([
      { end: "L", isMain: false, drains: ["L", "Q1", "Q2"] },
      { end: "M2", isMain: true, drains: ["M1", "M2"] },
      { end: "R1", isMain: false, drains: ["R1", "R2"] },
    ]);
  });

  test("drains that spill alike stand together, told at the lowest; the worst come first", () => {
    const [riser, main] = facts.backups.lines();
    // Q1 and L both spill at Q1's pan with three coils running; Q2 further up with two.
    expect(riser.uncontained.map(({ pipe: lowest, pipes }) => [net.pipes[lowest].id, ids(pipes)])).toEqual([
      ["L", ["L", "Q1"]],
      ["Q2", ["Q2"]],
    ]);
    expect(main.uncontained.map(({ pipe: lowest, pipes }) => [net.pipes[lowest].id, ids(pipes)])).toEqual([
      ["M2", ["M1", "M2"]],
    ]);
  });
});

/** Fewest of the given sets that together hold all of `all`, by trying them all. */
const fewest = (all: readonly string[], sets: readonly ReadonlySet<string>[]): number => {
  let least = Number.POSITIVE_INFINITY;
  for (let chosen = 0; chosen < 2 ** sets.length; chosen++) {
    const taken = sets.filter((_, i) => (chosen >> i) & 1);
    if (taken.length < least && all.every((each) => taken.some((set) => set.has(each)))) least = taken.length;
  }
  return least;
};

describe("the least set of new devices on a main", () => {
  test("is as small as any set of places, each at the lowest level at which water does not run by", () => {
    const random = seeded(7);
    let several = 0;
    for (let run = 0; run < 150; run++) {
      const count = 2 + Math.floor(random() * 7);
      const nodes: Json[] = [];
      const pipes: Json[] = [];
      const z: number[] = [];
      const rims: number[] = [];
      for (let i = 0; i < count; i++) {
        z.push((i === 0 ? 10 : z[i - 1]) - 0.01 - 0.2 * random());
        const pan = z[i] + 0.01 + 0.4 * random();
        rims.push(pan + 0.05);
        nodes.push(joint(`J${i}`, z[i]), coil(`C${i}`, pan));
        pipes.push(pipe(`B${i}`, `C${i}`, `J${i}`, 2));
        if (i > 0) pipes.push(pipe(`M${i - 1}`, `J${i - 1}`, `J${i}`, 3));
      }
      nodes.push({ id: "O", kind: "outlet", elevation: z[count - 1] - 0.1 });
      pipes.push(pipe(`M${count - 1}`, `J${count - 1}`, "O", 3));
      const { net, facts } = read(nodes, pipes);
      // M0 carries one coil's water and is no common drain
      const common = Array.from({ length: count - 1 }, (_, i) => i + 1);
      const spill = (i: number) => Math.min(...rims.slice(0, i + 1));
      const sees = (at: number) =>
        new Set(common.filter((i) => i >= at && z[at] + BORE <= spill(i)).map((i) => `M${i}`));
      const wanted = common.map((i) => `M${i}`).filter((id) => common.some((at) => sees(at).has(id)));
      const found = facts.backups.containing(
        common.map((i) => net.pipes.findIndex(({ id }) => id === `M${i}`)),
        true,
      );
      expect(found.length, `run ${run}`).toBe(fewest(wanted, common.map(sees)));
      expect(found.flatMap((each) => each.pipes.map((p) => net.pipes[p].id)).sort()).toEqual([...wanted].sort());
      if (found.length > 1) several++;
    }
    expect(several).toBeGreaterThan(20);
  });
});
