import { describe, expect, it } from "vitest";
import { measured, type Reading } from "../../../src/core/index.js";
import { riserOfThree } from "../../builders/riser-of-three.js";

let made = 0;
const reading = (own: Partial<Reading>): Reading => ({
  id: `r${made++}`,
  type: "inspection",
  time: "2026-07-14T10:00:00Z",
  node: null,
  pipe: null,
  fanCoil: null,
  attribute: null,
  value: null,
  ...own,
});
type Parts = Record<"nodes" | "pipes" | "overflowDevices", Record<string, unknown>[]>;
const entered = (readings: readonly Reading[], document: unknown = riserOfThree()) => {
  const result = measured(document, readings);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return { ...result, document: result.document as Parts };
};
const at = (part: Record<string, unknown>[], id: string) => part.find((each) => each.id === id);
const pointers = (readings: readonly Reading[]) => {
  const result = measured(riserOfThree(), readings);
  return result.ok ? [] : result.problems.map(({ pointer }) => pointer);
};

describe("what was measured", () => {
  it("replaces what the document says, the latest reading of each field counting, whatever their order", () => {
    const early = reading({ node: "F-2", attribute: "panStatic", value: -90, time: "2026-07-14T10:00:00+02:00" });
    const late = reading({ fanCoil: "F-2", attribute: "panStatic", value: "-0.5 inH2O", time: "2026-07-14T08:30:00Z" });
    for (const order of [
      [early, late],
      [late, early],
    ]) {
      const { document, taken } = entered(order);
      expect(at(document.nodes, "F-2")?.panStatic).toBe("-0.5 inH2O");
      expect(taken).toEqual([early.id, late.id]);
      expect(at(document.nodes, "F-1")?.panStatic).toBe(0);
    }
  });

  it("goes into groups, which stay as they are otherwise", () => {
    const { document } = entered([reading({ node: "F-2", attribute: "pan.rimHeight", value: 48 })]);
    expect(at(document.nodes, "F-2")?.pan).toEqual({
      rimHeight: 48,
      outletSize: 20,
      secondary: { is: "plugged", height: 45 },
    });
  });

  it("takes each type of observation for what it says, and those that measure nothing for nothing", () => {
    const { document, taken } = entered([
      reading({ id: "level", type: "level-reading", node: "B", value: 0.49 }),
      reading({ id: "end", type: "level-reading", pipe: "M", attribute: "toInvert", value: 0.41 }),
      reading({ id: "cleaned", type: "cleaned", node: "J-2" }),
      reading({ id: "jumpered", type: "switch-jumpered", node: "F-1" }),
      reading({ id: "tested", type: "switch-tested", node: "F-2", value: false }),
      reading({ id: "works", type: "switch-tested", fanCoil: "F-3", value: { stopped: "yes", trippedAt: 0.04 } }),
      reading({ id: "open", type: "cap-found-open", node: "B/cleanout" }),
      reading({ id: "seen", type: "water-seen", node: "F-1" }),
      reading({ id: "note", node: "F-1", value: "dusty" }),
    ]);
    expect(at(document.nodes, "B")?.elevation).toBe(0.49);
    expect(at(document.pipes, "M")?.toInvert).toBe(0.41);
    expect(at(document.pipes, "R-2")?.lastCleaned).toBe("2026-07-14T10:00:00Z");
    expect(["SW-1", "SW-2", "SW-3"].map((id) => at(document.overflowDevices, id)?.state)).toEqual([
      "jumpered",
      "failed",
      "working",
    ]);
    // a stub has no element of its own: the document is written out
    expect(at(document.nodes, "B/cleanout")?.capped).toBe(false);
    expect(taken).not.toContain("seen");
    expect(taken).not.toContain("note");
  });

  it("leaves the shorthand of the document alone where it can", () => {
    const document = riserOfThree();
    expect(at(entered([reading({ node: "J-2", attribute: "name", value: "Upper tee" })]).document.nodes, "B")).toEqual(
      at(document.nodes, "B"),
    );
    expect(document).toEqual(riserOfThree());
  });

  it("is refused reading by reading where it cannot be entered", () => {
    const size = reading({ pipe: "M", attribute: "size", value: 32 });
    expect(pointers([size, reading({ node: "F-1", attribute: "panStatic", value: "much" })])).toEqual(["/1/value"]);
    expect(pointers([size, reading({ node: "F-1", attribute: "colour", value: "red" })])).toEqual(["/1/value"]);
    expect(
      pointers([
        reading({ node: "F-1", attribute: "kind", value: "trap" }),
        reading({ type: "grade-reading", node: "F-1", value: 0.01 }),
        reading({ type: "level-reading", pipe: "M", value: 0.4 }),
        reading({ type: "switch-jumpered", node: "J-1" }),
        reading({ type: "trap-primed", node: "gone" }),
      ]),
    ).toEqual(["/0/attribute", "/1", "/2/attribute", "/3/attribute"]);
    expect(pointers([reading({ type: "trap-primed", node: "gone" })])).toEqual(["/0"]);
    expect(pointers([reading({ node: "F-1", attribute: "__proto__.x", value: 1 })])).toEqual(["/0/value"]);
    expect(({} as Record<string, unknown>).x).toBeUndefined();
    // a level that cannot be shows in the pipe beside it
    const far = measured(riserOfThree(), [size, reading({ type: "level-reading", node: "J-1", value: 500 })]);
    expect(far.ok ? [] : far.problems.map(({ pointer, detail }) => [pointer, detail.split(",")[0]])).toEqual([
      ["/1/value", "pipe R-2: 3 m long"],
      ["/1/value", "pipe B-1: 3 m long"],
      ["/1/value", "pipe R-1: 2.44 m long"],
    ]);
  });
});
