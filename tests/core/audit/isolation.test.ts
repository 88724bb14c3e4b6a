import { describe, expect, it } from "vitest";
import { type Isolation, isolation, isolationSchema } from "../../../src/core/index.js";
import { riserOfThree } from "../../builders/riser-of-three.js";
import { accepts } from "./accepts.js";

const listOf = (pipe: string, document: unknown = riserOfThree()): Isolation => {
  const result = isolation(document, pipe);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  expect(accepts(isolationSchema(), result.isolation)).toEqual([]);
  return result.isolation;
};

describe("the isolation list of a pipe", () => {
  it("names every coil in service whose water comes there, and no other", () => {
    expect(listOf("M").isolate).toEqual(["F-1", "F-2", "F-3"]);
    expect(listOf("R-2").isolate).toEqual(["F-2", "F-3"]);
    expect(listOf("B-3").isolate).toEqual(["F-3"]);
    expect(listOf("R-2").fanCoils).toEqual([
      { id: "F-2", dwelling: "0201", floor: "L2" },
      { id: "F-3", dwelling: "0301", floor: "L3" },
    ]);
    const document = riserOfThree();
    const off = document.nodes.find(({ id }) => id === "F-3");
    if (off !== undefined) off.inService = false;
    expect(listOf("R-2", document).isolate).toEqual(["F-2"]);
    expect(listOf("R-3", document).message[0]).toBe(
      "No fan coil in service drains through R-3. It is common (association).",
    );
  });

  it("says where to work from and whose it is", () => {
    expect(listOf("M")).toMatchObject({ upstream: "B/cleanout", downstream: "OUT", owner: "association" });
    expect(listOf("B-3")).toMatchObject({ upstream: "F-3", downstream: "B/cleanout", zone: "private", owner: "0301" });
  });

  it("does not forget what is pumped up, nor what else discharges", () => {
    const document = riserOfThree();
    document.nodes.push(
      { id: "F-0", kind: "fan-coil", elevation: 0.3, serves: "0001", condensateRate: 1, panStatic: 0 },
      { id: "S", kind: "pump", elevation: 0.1, liftTo: 3, foreignDischarge: { what: "A dishwasher" } },
    );
    document.pipes.push(
      { id: "B-0", from: "F-0", to: "S", length: 1, size: 20, material: "pvc-sch40" },
      { id: "UP", from: "S", to: "J-1", role: "pressure", length: 4, size: 20, material: "pvc-sch40" },
    );
    expect(listOf("R-1", document)).toMatchObject({
      isolate: ["F-0", "F-1", "F-2", "F-3"],
      pumps: ["S"],
      foreign: [{ node: "S", what: "A dishwasher" }],
    });
    // the riser above takes none of it
    expect(listOf("R-2", document)).toMatchObject({ isolate: ["F-2", "F-3"], pumps: [], foreign: [] });
  });

  it("refuses a pipe that is not there", () => {
    expect(isolation(riserOfThree(), "X")).toMatchObject({ ok: false, problems: [{ pointer: "/pipe" }] });
  });
});
