// What brought a change about: worked in the building, looked at more closely, or judged by other rules.
import { describe, expect, test } from "vitest";
import { catalogueVersion, revise, type Tracked } from "../../../src/core/index.js";
import { riserOfThree } from "../../builders/riser-of-three.js";

/** The pan of the lowest coil under suction, without a trap: a fault by every profile. */
const sucking = (more: Record<string, unknown> = { panStatic: -100 }) => {
  const document = riserOfThree();
  document.nodes = document.nodes.map((node) => (node.id === "F-1" ? { ...node, ...more } : node));
  return document;
};
const FAULT = "seal.missing~f:F-1";
const tracked: readonly Tracked[] = [
  { id: FAULT, rule: "seal.missing", subject: { fanCoils: ["F-1"], nodes: ["F-1"], pipes: [] }, state: "open" },
];
const revised = (...given: Parameters<typeof revise>) => {
  const result = revise(...given);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.revised;
};
const today = catalogueVersion();
const causeOf = (...given: Parameters<typeof revise>) => revised(...given).fresh.find(({ id }) => id === FAULT)?.cause;

describe("the next revision", () => {
  test("follows a finding until it is cleared, and says what did it", () => {
    const [kept] = revised(sucking(), sucking(), today, tracked).fates;
    expect(kept).toEqual({ id: FAULT, state: "open", by: FAULT, cause: null });
    const [cleared] = revised(riserOfThree(), sucking(), today, tracked).fates;
    expect(cleared).toMatchObject({ id: FAULT, state: "cleared", cause: "survey" });
  });

  test("of a figure that was measured anew says the survey, of another pan the building", () => {
    expect(causeOf(sucking(), riserOfThree(), today, [])).toBe("survey");
    const rebuilt = sucking({ panStatic: -100, fanPosition: "blow-through" });
    expect(causeOf(sucking(), rebuilt, today, [])).toBe("building");
    expect(causeOf(sucking(), null, null, [])).toBe("building");
  });

  test("believes whoever says what was done", () => {
    expect(causeOf(sucking(), riserOfThree(), today, [], "building")).toBe("building");
    expect(revised(riserOfThree(), sucking(), today, tracked, "building").fates[0]?.cause).toBe("building");
    // of a first revision there is nothing to say
    expect(causeOf(sucking(), null, null, [], "survey")).toBe("building");
  });

  test("tells apart what the rules alone have brought about", () => {
    expect(causeOf(sucking(), sucking(), "older", [])).toBe("catalogue");
    expect(revised(riserOfThree(), riserOfThree(), "older", tracked).fates[0]).toMatchObject({
      state: "cleared",
      cause: "catalogue",
    });
    // what the building brought about is not put on the rules
    expect(causeOf(sucking(), riserOfThree(), "older", [], "building")).toBe("building");
  });
});
