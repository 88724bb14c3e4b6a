import { describe, expect, it } from "vitest";
import { renderProblems } from "../../../src/core/present/problems.js";

const problems = [
  { pointer: "/nodes/3/panStaic", code: "unknown-field", detail: "This field is not known.", hint: "panStatic is." },
  { pointer: "", code: "missing-field", detail: "pipes is missing." },
];

const detail = "is not a network document";

describe("the problems of a document in words", () => {
  it("lists each with its place, what is wrong and the hint", () => {
    expect(
      renderProblems("tower.json", { detail, problems, total: 2 }, { width: 80, color: false }).split("\n"),
    ).toEqual([
      "tower.json is not a network document: 2 problems",
      "  /nodes/3/panStaic",
      "    This field is not known.",
      "    Hint: panStatic is.",
      "  (as a whole)",
      "    pipes is missing.",
      "",
    ]);
  });

  it("counts those that are not listed", () => {
    expect(renderProblems("x", { detail, problems, total: 140 }, { width: 80, color: false })).toMatch(
      /: 140 problems\n[\s\S]*and 138 more\n$/,
    );
  });

  it.each([71, 72, 73, 74, 75])("leaves the count with its noun where the line is full (%i columns)", (width) => {
    const one = { detail: "is not a JSON document that can be read", problems: [], total: 1 };
    const page = renderProblems(`/tmp/${"x".repeat(20)}.json`, one, { width, color: false });
    expect(page).toContain("1 problem");
  });

  it("wraps, and makes hostile text plain", () => {
    const hostile = [{ pointer: `/nodes/${"x".repeat(90)}`, code: "c", detail: "\u001b[2J\u202e".repeat(9) }];
    const page = renderProblems("\u0007.json", { detail, problems: hostile, total: 1 }, { width: 40, color: false });
    for (const line of page.split("\n")) expect(line.length).toBeLessThanOrEqual(40);
    expect(page).not.toMatch(/[^\n\P{Cc}]|\p{Cf}/u);
    expect(page).toContain("<U+0007>.json");
  });
});
