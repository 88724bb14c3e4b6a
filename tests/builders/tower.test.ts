import { describe, expect, test } from "vitest";
import { audit } from "../../src/core/index.js";
import type { NetworkDocument } from "./network-document.js";
import { towerOfCoils } from "./tower.js";

const failing = (document: NetworkDocument) => {
  const result = audit(document);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  // each pan's switch stops its own coil alone: what several coils share is uncontained in any of these towers
  return result.audit.findings.filter(({ outcome, rule }) => outcome === "fail" && rule !== "backup.uncontained");
};

/** `0902-B` of `0902-B/coil`, `0902-B/tee/vent`. */
const unitOf = (id: string): string | undefined => /^\d{4,}-[AB]/.exec(id)?.[0];

describe("towers of any size", () => {
  test.each([50, 200, 400])("%i sound coils have no failing finding", (coils) => {
    expect(failing(towerOfCoils(coils, 4, 0)).map(({ id }) => id)).toEqual([]);
  });

  test("every seeded fault is found at its coil, and nothing else is", () => {
    const sound = towerOfCoils(400, 11, 0);
    const faulty = towerOfCoils(400, 11, 0.15);
    const linesOf = (document: NetworkDocument): Map<string, string> =>
      new Map([...document.nodes, ...document.pipes].map((each) => [JSON.stringify(each), each.id]));
    const [before, after] = [linesOf(sound), linesOf(faulty)];
    const seeded = new Set(
      [...before, ...after].filter(([line]) => !(before.has(line) && after.has(line))).map(([, id]) => unitOf(id)),
    );
    const blamed = new Set(
      // alike units with one fault share a finding
      failing(faulty).flatMap(({ subject: { fanCoils, nodes, pipes } }) =>
        [...fanCoils, ...nodes, ...pipes].map(unitOf).filter((unit) => unit !== undefined),
      ),
    );
    expect(seeded.size).toBeGreaterThan(30);
    expect([...blamed].sort()).toEqual([...seeded].sort());
  });
});
