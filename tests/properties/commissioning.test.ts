// What holds of the commissioning sheet of any network: nothing is left out, nothing comes twice, nothing is made up.
import * as fc from "fast-check";
import { expect, test } from "vitest";
import { commissioning } from "../../src/core/audit/commissioning.js";
import type { CommissioningSheet } from "../../src/core/audit/commissioning-sheet.js";
import { Dice, randomDocument } from "../builders/random-network.js";
import { withProtection } from "../builders/random-protection.js";
import type { PlainDocument } from "../reference/plain-network.js";
import { shifted } from "./changes.js";
import { propertyRuns } from "./runs.js";

const RUNS = propertyRuns(60);
const SEED = 20261126;

const sheetOf = (document: unknown): CommissioningSheet => {
  const made = commissioning(document);
  if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 3)));
  return made.sheet;
};
const checksOf = (document: unknown) => sheetOf(document).stops.flatMap(({ checks }) => checks);

const forNetworks = (body: (document: PlainDocument, seed: number) => void): void =>
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 0x7fffffff }), fc.integer({ min: 1, max: 60 }), (seed, size) =>
      body(withProtection(randomDocument(seed, size), seed), seed),
    ),
    { numRuns: RUNS, seed: SEED },
  );

test("every coil, water trap, switch, pump, outlet and main has its checks, each once", { timeout: 300_000 }, () => {
  forNetworks((document) => {
    const checks = checksOf(document);
    const ids = checks.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    const anchors = (kind: string) =>
      checks
        .filter((check) => check.kind === kind)
        .map(({ id }) => decodeURIComponent(id.slice(id.indexOf(":") + 1)))
        .sort();
    const named = (kind: string, also: (node: PlainDocument["nodes"][number]) => boolean = () => true) =>
      document.nodes
        .filter((node) => node.kind === kind && also(node))
        .map(({ id }) => id)
        .sort();
    expect(anchors("isolate")).toEqual(named("fan-coil"));
    expect(anchors("pour-fan-off")).toEqual(named("fan-coil"));
    expect(anchors("pour-fan-on")).toEqual(named("fan-coil", ({ inService }) => inService !== false));
    expect(anchors("prime")).toEqual(named("trap", ({ sealType }) => (sealType ?? "water") === "water"));
    expect(anchors("pump")).toEqual(named("pump"));
    expect(anchors("outlet")).toEqual(named("outlet"));
    expect(anchors("switch")).toEqual((document.overflowDevices ?? []).map(({ id }) => id).sort());
    expect(anchors("flush")).toEqual(anchors("flow-test"));
  });
});

test("a figure is finite and within what is measured with, or is missing with its reason", { timeout: 300_000 }, () => {
  let arrivals = 0;
  forNetworks((document) => {
    for (const check of checksOf(document)) {
      expect(check.text).not.toMatch(/NaN|undefined|Infinity| {2}|null/);
      const figures = new Map(check.expected.map((each) => [each.name, each]));
      for (const { value, text, reason } of check.expected) {
        expect([value === null, text === null, reason !== null]).toEqual(Array(3).fill(value === null));
        if (value !== null) expect(Number.isFinite(value)).toBe(true);
      }
      const [arrival, volume, flow] = ["arrival", "volume", "flow"].map((name) => figures.get(name)?.value ?? null);
      if (arrival === null || volume === null || flow === null) continue;
      arrivals++;
      expect(arrival).toBeGreaterThanOrEqual(0);
      // water still comes in when it arrives
      expect(volume).toBeGreaterThan(arrival * flow);
      expect(flow).toBeLessThanOrEqual(0.6 / 3600 + 1e-12);
    }
  });
  expect(arrivals).toBeGreaterThan(RUNS);
});

test("does not depend on the order of the document, nor on the datum of its levels", { timeout: 300_000 }, () => {
  forNetworks((document, seed) => {
    const dice = new Dice(seed);
    const shuffled: PlainDocument = structuredClone(document);
    for (const list of [shuffled.nodes, shuffled.pipes, shuffled.overflowDevices ?? []] as unknown[][])
      for (let i = list.length - 1; i > 0; i--) {
        const j = dice.whole(0, i);
        [list[i], list[j]] = [list[j], list[i]];
      }
    const { stops } = sheetOf(document);
    expect(sheetOf(shuffled).stops).toEqual(stops);
    const values = (sheet: CommissioningSheet) =>
      sheet.stops.flatMap(({ checks }) =>
        checks.flatMap(({ id, expected }) =>
          expected
            .filter(({ name }) => name !== "startLevel" && name !== "liftTo")
            .map(({ name, value }) => [`${id} ${name}`, value === null ? null : Number(value.toPrecision(6))] as const),
        ),
      );
    const there = new Map(values(sheetOf(shifted(document, 128))));
    for (const [name, value] of values(sheetOf(document)))
      if (value === null || Math.abs(value) < 1e-9) expect(there.get(name) ?? 0).toBeCloseTo(value ?? 0, 9);
      else expect(there.get(name)! / value).toBeCloseTo(1, 4);
  });
});
