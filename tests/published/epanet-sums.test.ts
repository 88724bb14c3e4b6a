import { Project, Workspace } from "epanet-js";
import { describe, expect, it } from "vitest";
import { Dice } from "../builders/random-network.js";
import { factsOf } from "../properties/audited.js";
import type { PlainDocument } from "../reference/plain-network.js";

/**
 * An independent sum of flows: in a tree with stated demands the EPANET 2.2 engine must carry through each link what
 * all nodes beyond it draw, whatever the heads. The drains of a large building are that tree with the flows reversed.
 */
const COILS = 1500;
/** the engine's code of a link's flow */
const FLOW = 8;

const tree = (seed: number): PlainDocument => {
  const dice = new Dice(seed);
  const nodes: PlainDocument["nodes"] = [{ id: "out", kind: "outlet", elevation: 0 }];
  const pipes: PlainDocument["pipes"] = [];
  const junctions = [nodes[0]];
  const attach = (id: string, kind: string, own: object): PlainDocument["nodes"][number] => {
    const below = dice.chance(0.3) ? junctions[junctions.length - 1] : dice.pick(junctions);
    const node = { id, kind, elevation: below.elevation + 0.05, ...own };
    nodes.push(node);
    pipes.push({ id: `pipe ${id}`, from: id, to: below.id, length: 3, size: 50, material: "pvc-sch40" });
    return node;
  };
  for (let i = 0; i < COILS; i++) {
    if (i % 2 === 0) junctions.push(attach(`J${i}`, "junction", {}));
    attach(`F${i}`, "fan-coil", { condensateRate: dice.whole(10, 900) / 100, coolingCapacity: 9 });
  }
  return { format: 1, id: "tree", units: "si", profile: "imc", stage: "design", nodes, pipes };
};

describe("flows of a large tree", () => {
  it(`equal what EPANET carries in each of ${COILS * 1.5} links`, { timeout: 120_000 }, async () => {
    const document = tree(11);
    const number = new Map(document.nodes.map((node, i) => [node.id, i]));
    // L/h sent through as L/s: the sums are the same and far from the engine's tolerances; pipes wide enough for them
    const input = [
      "[JUNCTIONS]",
      ...document.nodes.slice(1).map((node) => `n${number.get(node.id)} 0 ${node.condensateRate ?? 0}`),
      "[RESERVOIRS]",
      "n0 100",
      "[PIPES]",
      ...document.pipes.map((pipe, i) => `p${i} n${number.get(pipe.to)} n${number.get(pipe.from)} 10 3000 130 0 Open`),
      "[TIMES]",
      "Duration 0",
      "[OPTIONS]",
      "Units LPS",
      "Headloss H-W",
      "Accuracy 0.00001",
      "[END]",
    ];
    const workspace = new Workspace();
    await workspace.loadModule();
    workspace.writeFile("tree.inp", input.join("\n"));
    const model = new Project(workspace);
    model.open("tree.inp", "tree.rpt", "tree.bin");
    model.openH();
    model.initH(0);
    model.runH();
    const facts = new Map(factsOf(document).pipes.map((pipe) => [pipe.id, pipe.designFlow as number]));
    const off = document.pipes.flatMap((pipe, i) => {
      const carried = model.getLinkValue(i + 1, FLOW);
      const litersPerHour = facts.get(pipe.id)! * 3.6e6;
      // the engine iterates and keeps single precision: half of the smallest coil's rate bounds what it may be off
      return Math.abs(carried - litersPerHour) <= 0.05 ? [] : [[pipe.id, carried, litersPerHour]];
    });
    model.closeH();
    model.close();
    expect(off).toEqual([]);
  });
});
