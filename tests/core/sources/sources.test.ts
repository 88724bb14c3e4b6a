import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { profiles } from "../../../src/core/profiles/profiles.js";
import { source, sources } from "../../../src/core/sources/sources.js";

describe("the register of sources", () => {
  it("lists each work once, with a title and what it says", () => {
    expect(new Set(sources.map(({ id }) => id)).size).toBe(sources.length);
    for (const each of sources) {
      expect(source(each.id)).toBe(each);
      expect(each.title.length).toBeGreaterThan(5);
      expect(each.what.length).toBeGreaterThan(5);
    }
  });
  it("says what the work is, never a key that only its authors can read", () => {
    for (const { title, what } of sources)
      expect(`${title} ${what}`).not.toMatch(/\[[A-Z]\d+|\bmfr\b|handbook [A-Z]\d/);
  });
  it("labels what has no publication", () => {
    expect(source("common-practice").title).toBe("Common practice, no source");
    for (const id of ["common-practice", "assumption", "derived", "firm"] as const)
      expect(source(id).seen).toBe("none");
    expect(source("memory").seen).toBe("memory");
  });
  it("is what the profiles' figures cite, and a figure from memory is never called certain", () => {
    for (const profile of profiles)
      for (const limit of profile.limits.values()) {
        const cited = source(limit.source);
        if (cited.seen === "memory") expect(["memory", "assumption"]).toContain(limit.confidence);
        if (cited.id === "common-practice") expect(limit.confidence).toBe("common-practice");
        if (cited.id === "assumption") expect(limit.confidence).toBe("assumption");
      }
  });
  it("every file of formulas names its source", () => {
    const folder = join(import.meta.dirname, "../../../src/core/physics");
    for (const file of readdirSync(folder))
      expect(readFileSync(join(folder, file), "utf8"), file).toMatch(
        /Source|source|IAPWS|ASHRAE|Stefan|[Dd]erived|definition/,
      );
  });
});
