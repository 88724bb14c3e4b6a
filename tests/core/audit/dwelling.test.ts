import { describe, expect, it } from "vitest";
import { type DwellingReport, dwellingReport, dwellingSchema } from "../../../src/core/index.js";
import { riserOfThree } from "../../builders/riser-of-three.js";
import { accepts } from "./accepts.js";

const reportOf = (dwelling: string, document: unknown = riserOfThree()): DwellingReport => {
  const result = dwellingReport(document, dwelling);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  expect(accepts(dwellingSchema(), result.report)).toEqual([]);
  return result.report;
};
const named = ({ blocked }: DwellingReport["floodedBy"][number]) => blocked.map(({ pipe, node }) => pipe ?? node);

describe("what concerns one dwelling", () => {
  it("floods the lowest by what is blocked below it, with the water of all above", () => {
    const { floodedBy, message } = reportOf("0101");
    // the pan of 0101 spills at 3.05 m, before any other above the main
    const [flood] = floodedBy;
    expect(floodedBy).toHaveLength(1);
    expect(named(flood)).toEqual(["R-1", "M"]);
    expect(flood).toMatchObject({
      outcome: "uncontained",
      zone: "common",
      owner: "association",
      openings: [{ node: "F-1", dwelling: "0101", level: 3.05 }],
      alsoAt: [],
      madeBy: [
        { dwelling: "0101", fanCoils: ["F-1"], stillRunning: [] },
        { dwelling: "0201", fanCoils: ["F-2"], stillRunning: ["F-2"] },
        { dwelling: "0301", fanCoils: ["F-3"], stillRunning: ["F-3"] },
      ],
      trips: ["SW-1"],
      // nearest above the riser's foot is the pan; below it the cleanout at the bend
      work: { upstream: "F-1", downstream: "B/cleanout", isolate: ["F-1", "F-2", "F-3"] },
    });
    // of 1 + 2 + 3 L/h the first switch stops 1
    expect((flood.inflow ?? 0) * 3.6e6).toBeCloseTo(6, 9);
    expect((flood.inflowAfterTrips ?? 0) * 3.6e6).toBeCloseTo(5, 9);
    // next is the pan of 0201, one story higher
    expect(flood.next).toMatchObject({ node: "F-2", dwelling: "0201" });
    expect(flood.next?.higherBy).toBeCloseTo(3, 9);
    expect(message[0]).toBe(
      "If R-1 or M blocks, water comes out at F-1 with the water of 0201 and 0301. It is common (association). Next is F-2 in 0201, 3 m higher.",
    );
  });

  it("lists by itself what its own switch stops in time", () => {
    const { floodedBy, caught } = reportOf("0301");
    expect(floodedBy.flatMap(named)).toEqual([]);
    // its own outlet and branch, and the riser above the next story: only its own water comes there
    expect(caught.flatMap(named)).toEqual(["F-3", "B-3", "R-3"]);
    expect(caught.map(({ zone }) => zone)).toEqual(["private", "common"]);
  });

  it("tells whom its own water floods: never itself, where its switch stops it", () => {
    const { floods, fanCoils, message } = reportOf("0301");
    expect(floods).toEqual([
      { node: "F-1", dwelling: "0101", fanCoils: ["F-3"], blocked: ["R-1", "M"] },
      { node: "F-2", dwelling: "0201", fanCoils: ["F-3"], blocked: ["R-2"] },
    ]);
    expect(fanCoils).toEqual([
      {
        id: "F-3",
        floor: "L3",
        inService: true,
        condensateRate: expect.closeTo(3e-3 / 3600, 12),
        owners: ["0301", "association"],
      },
    ]);
    expect(message).toContain("Its own coils can flood 0101 and 0201.");
  });

  it("says that it cannot tell where the level of its own pan is missing", () => {
    const document = riserOfThree();
    const coil = document.nodes.find(({ id }) => id === "F-1");
    if (coil !== undefined) coil.pan = { outletSize: 20 };
    const flood = reportOf("0101", document).floodedBy.find((each) => named(each).includes("M"));
    expect(flood).toMatchObject({ outcome: "undetermined", openings: [{ node: "F-1", level: null }] });
  });

  it("refuses a dwelling that is not there, and a document that is none", () => {
    expect(dwellingReport(riserOfThree(), "0401")).toMatchObject({ ok: false, problems: [{ pointer: "/dwelling" }] });
    expect(dwellingReport({ ...riserOfThree(), units: "x" }, "0101")).toMatchObject({
      ok: false,
      problems: [{ pointer: "/network/units" }],
    });
  });
});
