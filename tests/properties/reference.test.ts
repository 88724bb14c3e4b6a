import { describe, expect, it } from "vitest";
import { randomDocument } from "../builders/random-network.js";
import { referenceFacts } from "../reference/audit-facts.js";
import { differences } from "../reference/differences.js";
import { audited } from "./audited.js";
import { propertyRuns } from "./runs.js";

/**
 * Two programs written apart from the same words: the product on flat arrays in drain order, the reference by recursion,
 * sets and repeated passes, bisection and numerical integration. Facts are equal within 1e-9 relative or 1e-9 m.
 */
const compared = (seed: number, size: number): string[] =>
  differences(referenceFacts(randomDocument(seed, size)), audited(randomDocument(seed, size)).facts)
    .slice(0, 5)
    .map(
      ({ path, reference, product }) =>
        `randomDocument(${seed}, ${size}) ${path}: reference ${JSON.stringify(reference)}, product ${JSON.stringify(product)}`,
    );

const RUNS = propertyRuns(300);

describe("the product agrees with the plain reference", () => {
  it(`on ${RUNS} random networks of 1 to 60 pipes`, { timeout: 600_000 }, () => {
    const found: string[] = [];
    for (let seed = 1; seed <= RUNS && found.length < 20; seed++) found.push(...compared(seed, 1 + (seed % 60)));
    expect(found).toEqual([]);
  });

  const large = RUNS > 300 ? [500, 700, 1000, 1400, 2000] : [500, 600];
  it.each(large)("on a random network of %i pipes", { timeout: 600_000 }, (size) => {
    expect(compared(size, size)).toEqual([]);
  });

  it("sees a level that is one micrometre and a half off", () => {
    const facts = referenceFacts(randomDocument(3, 20)) as { nodes: { standingWaterLevel: number }[] };
    const other = structuredClone(facts);
    other.nodes[2].standingWaterLevel += 1.5e-6;
    expect(differences(facts, other)).toHaveLength(1);
  });
});
