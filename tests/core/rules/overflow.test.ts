import { expect, test } from "vitest";
import { audit } from "../../../src/core/index.js";
import { truthTable } from "./truth-table.js";

truthTable("overflow.unprotected", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.parallel", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.stops-water", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.conductor", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.trip-above-spill", [
  "pass",
  "fail",
  "undetermined-missing",
  "undetermined-tolerance",
  "undetermined-method",
  "na",
]);
truthTable("overflow.alarm-only", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.auxiliary-pan", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.secondary-independent", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.secondary-visible", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.secondary-size", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.not-working", ["pass", "fail", "undetermined-missing", "na"]);
truthTable("overflow.short-cycle", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);
truthTable("overflow.after-run", ["pass", "fail", "undetermined-missing", "undetermined-method", "na"]);

test("overflow.after-run leaves a pool of many hundred pans to whoever asks for its story", () => {
  const each = Array.from({ length: 500 }, (_, i) => i);
  const result = audit({
    format: 1,
    id: "one-level",
    units: "si",
    profile: "imc",
    stage: "design",
    nodes: [
      ...each.flatMap((i) => [
        {
          id: `C${i}`,
          kind: "fan-coil",
          elevation: 3,
          condensateRate: 2,
          panStatic: 0,
          pan: { rimHeight: 50, area: 0.3 },
        },
        { id: `J${i}`, kind: "junction", elevation: 2.9 - 0.0001 * i },
      ]),
      { id: "O", kind: "outlet", elevation: 2.8 },
    ],
    pipes: each.flatMap((i) => [
      { id: `B${i}`, from: `C${i}`, to: `J${i}`, length: 2, size: 20 },
      { id: `M${i}`, from: `J${i}`, to: i < 499 ? `J${i + 1}` : "O", length: 2, size: 50 },
    ]),
    overflowDevices: each.map((i) => ({
      id: `S${i}`,
      at: `J${i}`,
      type: "float-switch",
      seat: "main",
      tripHeight: 60,
    })),
    circuits: each.map((i) => ({ id: `S${i}`, devices: [`S${i}`], breaks: "R", stops: "all-upstream" })),
  });
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  const open = result.audit.findings.filter(({ rule }) => rule === "overflow.after-run");
  expect(open.length).toBeGreaterThan(0);
  for (const { outcome, family, settledBy } of open) {
    expect(`${outcome} ${family}`).toBe("undetermined method");
    expect(settledBy?.[0].decision).toMatch(/^How much room there is/);
  }
});
