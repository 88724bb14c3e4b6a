import { describe, expect, it } from "vitest";
import { foldedRules } from "../../../src/core/audit/fold.js";
import { catalogue } from "../../../src/core/rules/catalogue.js";

describe("one cause, one finding", () => {
  it("names only rules that exist", () => {
    const known = new Set(catalogue.map((rule) => rule.id));
    expect([...foldedRules].filter((id) => !known.has(id))).toEqual([]);
  });
});
