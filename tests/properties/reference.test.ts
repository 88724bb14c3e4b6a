import { describe, expect, it } from "vitest";
import { randomDocument } from "../builders/random-network.js";
import { withProtection } from "../builders/random-protection.js";
import { referenceFacts } from "../reference/audit-facts.js";
import { differences } from "../reference/differences.js";
import { audited } from "./audited.js";
import { propertyRuns } from "./runs.js";

/**
 * Two programs written apart from the same words: the product on flat arrays in drain order, the reference by recursion,
 * sets and repeated passes, bisection and numerical integration. Facts are equal within 1e-9 relative or 1e-9 m.
 */
const compared = (seed: number, size: number): string[] => {
  const document = withProtection(randomDocument(seed, size), seed);
  return differences(referenceFacts(document), audited(document).facts)
    .slice(0, 5)
    .map(
      ({ path, reference, product }) =>
        `withProtection(randomDocument(${seed}, ${size}), ${seed}) ${path}: reference ${JSON.stringify(reference)}, product ${JSON.stringify(product)}`,
    );
};

const RUNS = propertyRuns(300);

/** What the networks must have had to say, lest the two agree on nothing. */
const OUTCOMES = ["contained", "told", "harmless", "uncontained", "undetermined", null];

describe("the product agrees with the plain reference", () => {
  it(`on ${RUNS} random networks of 1 to 60 pipes`, { timeout: 600_000 }, () => {
    const found: string[] = [];
    for (let seed = 1; seed <= RUNS && found.length < 20; seed++) found.push(...compared(seed, 1 + (seed % 60)));
    expect(found).toEqual([]);
  });

  it("on networks in which a blockage has every outcome, and circuits do all that they can", () => {
    const said = { outcomes: new Set<unknown>(), circuits: new Set<string>(), sight: new Set<boolean>() };
    for (let seed = 1; seed <= 60; seed++) {
      const facts = referenceFacts(withProtection(randomDocument(seed, seed), seed)) as {
        backups: { outcome: unknown }[];
        circuits: { anyDeviceStops: unknown; stopsWater: unknown; stopsFan: unknown }[];
        devices: { sees: number | null }[];
      };
      for (const { outcome } of facts.backups) said.outcomes.add(outcome);
      for (const { sees } of facts.devices) said.sight.add((sees ?? 0) > 1);
      for (const { anyDeviceStops, stopsWater, stopsFan } of facts.circuits)
        for (const [what, is] of Object.entries({ anyDeviceStops, stopsWater, stopsFan }))
          said.circuits.add(`${what} ${is}`);
    }
    expect(said.outcomes).toEqual(new Set(OUTCOMES));
    expect(said.circuits.size).toBe(9);
    expect(said.sight.size).toBe(2);
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
