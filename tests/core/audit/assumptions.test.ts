import { expect, test } from "vitest";
import { audit } from "../../../src/core/index.js";

const documentWith = (
  stage: string,
  trap: object,
  coil: object = {},
  site: object = {},
  profile: string | object = "imc",
) => ({
  format: 1,
  id: "saltmarsh-row",
  units: "si",
  profile,
  stage,
  site,
  nodes: [
    { id: "F-1", kind: "fan-coil", elevation: 2.8, coolingCapacity: 7, panStatic: -90, ...coil },
    { id: "T-1", kind: "trap", elevation: 2.7, ...trap },
    { id: "O-1", kind: "outlet", elevation: 2.6, discharge: "floor-drain", connection: "air-gap" },
  ],
  pipes: [
    { id: "P-1", from: "F-1", to: "T-1", size: 20, material: "pvc-sch40", length: 0.5 },
    { id: "P-2", from: "T-1", to: "O-1", size: 20, material: "pvc-sch40", length: 2 },
  ],
});

const assumed = (...given: Parameters<typeof documentWith>) => {
  const result = audit(documentWith(...given));
  if (!result.ok) throw new Error(JSON.stringify(result.problems, null, 1));
  return new Map(result.audit.assumptions.map(({ name, ...rest }) => [name, rest]));
};

const PRIMING = "trap of unknown priming holds water";
const DEPTH = "trap of unknown seal depth holds water";

test.each([
  ["design", 0],
  ["as-built", 0.003],
  ["in-service", 0.003],
])("in stage %s an unstated tolerance is %d m", (stage, value) => {
  expect(assumed(stage, {}).get("survey tolerance")).toMatchObject({ value, unit: "m" });
});

test("a stated tolerance is no assumption", () => {
  expect(assumed("as-built", {}, {}, { surveyTolerance: 0.001 }).has("survey tolerance")).toBe(false);
});

// Stage, what is known of the trap, whether priming and seal depth are assumed.
test.each([
  ["as-built", {}, true, true],
  ["as-built", { primed: true, sealDepth: 50 }, false, false],
  ["as-built", { sealDepth: 50 }, true, false],
  ["as-built", { primed: true }, false, true],
  ["as-built", { primed: false }, false, false],
  ["as-built", { sealDepth: 0 }, false, false],
  ["as-built", { sealType: "waterless", opensAt: 50 }, false, false],
  ["design", {}, false, true],
  ["design", { sealDepth: 50 }, false, false],
])("in stage %s a trap with %j: priming assumed %s, depth assumed %s", (stage, trap, priming, depth) => {
  const list = assumed(stage, trap);
  expect([list.has(PRIMING), list.has(DEPTH)]).toEqual([priming, depth]);
  for (const name of [PRIMING, DEPTH]) if (list.has(name)) expect(list.get(name)?.appliesTo).toEqual(["T-1"]);
});

test("the rule of thumb is listed with the coils that it stands in for, and only then", () => {
  const name = "condensate rate per cooling capacity";
  const rule = assumed("design", {}).get(name);
  expect(rule?.appliesTo).toEqual(["F-1"]);
  // 0.375 US gal/h (3.785411784 L each) per ton of 3516.8528420667 W
  expect(rule?.value).toBeCloseTo((0.375 * 3.785411784e-3) / 3600 / 3516.8528420667, 18);
  expect(assumed("design", {}, { sensibleHeatRatio: 0.75 }).has(name)).toBe(false);
  expect(assumed("design", {}, { condensateRate: 2 }).has(name)).toBe(false);
});

test("the standard atmosphere is listed where air states need it and the site gives none", () => {
  const name = "atmospheric pressure";
  const air = {
    airflow: 800,
    enteringAir: { dryBulb: 26, relativeHumidity: 0.55 },
    leavingAir: { dryBulb: 13, relativeHumidity: 0.95 },
  };
  expect(assumed("design", {}, air).get(name)).toMatchObject({ value: 101325, unit: "Pa", appliesTo: ["F-1"] });
  expect(assumed("design", {}, air, { pressure: 95000 }).has(name)).toBe(false);
  expect(assumed("design", {}).has(name)).toBe(false);
});

test("the firm's own idle season is listed where the site states none, and only then", () => {
  const firm = { base: "imc", overrides: { idleDays: 120 } };
  expect(assumed("design", {}, {}, {}, firm).get("idle season")).toEqual({
    value: 120,
    unit: "days",
    appliesTo: ["saltmarsh-row"],
    source: "firm",
  });
  expect(assumed("design", {}, {}, { idleDays: 30 }, firm).has("idle season")).toBe(false);
  expect(assumed("design", { sealType: "waterless" }, {}, {}, firm).has("idle season")).toBe(false);
  expect(assumed("design", {}).has("idle season")).toBe(false);
});
