import { describe, expect, it } from "vitest";
import {
  commissioning,
  commissioningObservations,
  commissioningResultsSchema,
  readObservations,
} from "../../../src/core/index.js";
import { riserOfThree } from "../../builders/riser-of-three.js";
import { accepts } from "./accepts.js";

const TIME = "2026-07-14T11:00:00+02:00";
const filled = (results: readonly object[]) => ({ time: TIME, by: "fitter", results });
const observed = (results: readonly object[], document: unknown = riserOfThree()) => {
  expect(accepts(commissioningResultsSchema(), filled(results))).toEqual([]);
  const made = commissioningObservations(document, filled(results));
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  // each is an observation that anybody could have sent
  expect(readObservations(made.observations)).toMatchObject({ ok: true });
  return made.observations;
};
const problemsOf = (body: unknown) => {
  const made = commissioningObservations(riserOfThree(), body);
  return made.ok ? [] : made.problems.map(({ pointer, code }) => `${pointer} ${code}`);
};
const withTrap = () => {
  const document = riserOfThree();
  document.nodes.push({ id: "T-2", kind: "trap", elevation: 5.95, sealDepth: 50, inletDrop: 20 });
  const branch = document.pipes.find(({ id }) => id === "B-2");
  Object.assign(branch ?? {}, { from: "T-2" });
  document.pipes.push({ id: "P-2", from: "F-2", to: "T-2", length: 0.1, size: 20, material: "pvc-sch40" });
  return document;
};

describe("a test sheet that was filled in", () => {
  it("says of a pan whether it drains, and what was measured there", () => {
    const off = { check: "pour-fan-off~f:F-2", boxes: { arrival: "42 s", leaves: true, leftInPan: "0 mm" } };
    const on = {
      check: "pour-fan-on~f:F-2",
      boxes: { leaves: "no", panStatic: -92.5 },
      by: "her",
      time: "2026-07-14T11:30:00+02:00",
    };
    expect(observed([off, on])).toMatchObject([
      {
        type: "drains-freely",
        fanCoil: "F-2",
        time: TIME,
        source: "fitter",
        value: { arrival: 42, leaves: "yes", leftInPan: 0 },
      },
      { type: "slow-drain", fanCoil: "F-2", source: "her", time: "2026-07-14T11:30:00+02:00" },
      { type: "inspection", fanCoil: "F-2", attribute: "panStatic", value: "-92.5 Pa" },
    ]);
  });

  it("says of a main what came out of it, in litres and seconds, and whether it was flushed clear", () => {
    expect(
      observed([
        { check: "flush~p:M", boxes: { clear: true } },
        { check: "flow-test~p:M", boxes: { collected: 0.005, arrival: 30, elsewhere: false } },
      ]),
    ).toMatchObject([
      { type: "cleaned", pipe: "M" },
      { type: "flow-test", pipe: "M", value: { litres: 5, seconds: 30 } },
    ]);
    const [, backedUp] = observed([{ check: "flow-test~p:M", boxes: { elsewhere: true } }]);
    expect(backedUp).toMatchObject({ type: "slow-drain", pipe: "M" });
  });

  it("says of a switch that it was tested, which one, and whether everything stopped", () => {
    expect(
      observed([{ check: "switch~d:SW-1", boxes: { stopped: false, trippedAt: "40 mm", alsoStopped: "the lift" } }]),
    ).toMatchObject([
      {
        type: "switch-tested",
        node: "F-1",
        attribute: "SW-1",
        value: { stopped: "no", trippedAt: 0.04 },
        text: expect.stringContaining("the lift"),
      },
    ]);
  });

  it("says of a trap that it was primed only if water ran over its weir", () => {
    const prime = (runsOver: boolean) => observed([{ check: "prime~n:T-2", boxes: { runsOver } }], withTrap())[0];
    expect(prime(true)).toMatchObject({ type: "trap-primed", node: "T-2" });
    expect(prime(false)).toMatchObject({ type: "inspection", node: "T-2" });
  });

  it("takes an answer for every check of the sheet", () => {
    const sheet = commissioning(withTrap());
    if (!sheet.ok) throw new Error("no sheet");
    const checks = sheet.sheet.stops.flatMap((stop) => stop.checks);
    const results = checks.map(({ id, boxes }) => ({
      check: id,
      boxes: Object.fromEntries(
        boxes.map(({ name, form }) => [name, form === "yes-no" ? true : form === "figure" ? 0.5 : "seen"]),
      ),
    }));
    const observations = observed(results, withTrap());
    expect(observations.length).toBeGreaterThanOrEqual(checks.length);
    expect(new Set(observations.map(({ id }) => id)).size).toBe(observations.length);
  });

  it("gives the same ids to the same results, and others to others", () => {
    const result = { check: "pour-fan-off~f:F-2", boxes: { leaves: true } };
    const idOf = (own: object) => observed([{ ...result, ...own }])[0].id;
    expect(idOf({})).toBe(idOf({}));
    expect(idOf({ time: "2026-07-15T11:00:00+02:00" })).not.toBe(idOf({}));
    expect(idOf({ boxes: { leaves: false } })).not.toBe(idOf({}));
  });

  it("is refused, result by result and box by box", () => {
    expect(problemsOf({ time: TIME, by: "x" })).toEqual(["/results missing-field"]);
    expect(
      problemsOf(
        filled([
          { check: "pour-fan-off~f:F-9", boxes: { leaves: true } },
          { check: "pour-fan-off~f:F-2", boxes: {} },
          { check: "pour-fan-off~f:F-2", boxes: { leaves: "perhaps", arrival: "long", colour: 1 } },
          { check: "switch~d:SW-1", boxes: { alsoStopped: 3, trippedAt: true } },
        ]),
      ),
    ).toEqual([
      "/results/0/check unknown-reference",
      "/results/1/boxes missing-field",
      "/results/2/boxes/leaves bad-value",
      "/results/2/boxes/arrival bad-value",
      "/results/2/boxes/colour unknown-field",
      "/results/3/boxes/alsoStopped bad-value",
      "/results/3/boxes/trippedAt bad-value",
    ]);
  });
});
