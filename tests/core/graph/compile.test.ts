import { DirectedGraph } from "graphology";
import components from "graphology-components";
import { describe, expect, it } from "vitest";
import { compile } from "../../../src/core/graph/compile.js";
import { type Compiled, KIND, ROLE } from "../../../src/core/graph/compiled.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { naturalOrder } from "../../../src/core/quantity/natural-order.js";
import { randomDocument } from "../../builders/random-network.js";

const compiled = (document: unknown): Compiled => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems.slice(0, 3)));
  return compile(read.model);
};

const SEEDS = Array.from({ length: 60 }, (_, i) => i + 1);

describe("the network on flat arrays", () => {
  it("stands in natural order of ids", () => {
    for (const seed of SEEDS) {
      const net = compiled(randomDocument(seed, 30));
      const ids = net.nodes.map((node) => node.id);
      expect(ids).toEqual([...ids].sort(naturalOrder));
    }
  });

  it("finds the cycles that the graph library finds", () => {
    let found = 0;
    for (const seed of SEEDS.slice(0, 25)) {
      const net = compiled(randomDocument(seed, 300));
      const graph = new DirectedGraph();
      for (let i = 0; i < net.nodeCount; i++) graph.addNode(i);
      for (let p = 0; p < net.pipeCount; p++)
        if (net.role[p] === ROLE.drain) graph.mergeDirectedEdge(net.from[p], net.to[p]);
      const groups = components
        .stronglyConnectedComponents(graph)
        .filter((group) => group.length > 1)
        .map((group) => group.map(Number).sort((a, b) => a - b))
        .sort((a, b) => a[0] - b[0]);
      expect(net.cycles, `seed ${seed}`).toEqual(groups);
      found += groups.length;
    }
    // a generator without loops would prove nothing
    expect(found).toBeGreaterThan(5);
  });

  it("puts every node after those that its water reaches, up to pumps and loops", () => {
    for (const seed of SEEDS) {
      const net = compiled(randomDocument(seed, 40));
      expect(net.downstreamFirst).toHaveLength(net.nodeCount);
      const place = new Map(Array.from(net.downstreamFirst, (node, i) => [node, i]));
      for (let p = 0; p < net.pipeCount; p++) {
        const [a, b] = [net.from[p], net.to[p]];
        if (net.role[p] !== ROLE.drain || net.kind[a] === KIND.pump || net.onStandingCycle[a]) continue;
        expect(place.get(b), `seed ${seed} ${net.pipes[p].id}`).toBeLessThan(place.get(a)!);
      }
    }
  });

  it("takes ids that objects would choke on", () => {
    const net = compiled({
      format: 1,
      id: "x",
      units: "si",
      profile: "imc",
      stage: "design",
      nodes: [
        { id: "__proto__", kind: "fan-coil", elevation: 3 },
        { id: "constructor", kind: "outlet", elevation: 2 },
      ],
      pipes: [{ id: "toString", from: "__proto__", to: "constructor", length: 4 }],
    });
    expect(net.nodes.map((node) => node.id)).toEqual(["__proto__", "constructor"]);
    expect(({} as Record<string, unknown>).kind).toBeUndefined();
  });
});
