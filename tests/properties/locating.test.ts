// How well a blockage is located, against the exact posterior and against the obvious guess: docs/locating.md.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { locatingFigures, locatingScore, TOWERS } from "./locating-score.js";
import { propertyRuns } from "./runs.js";

describe("locating a blockage", () => {
  const towers = Math.ceil(propertyRuns(16 * TOWERS) / 16);
  const score = locatingScore(towers);
  console.info(locatingFigures(score));

  test("comes within 3 % of the exact posterior, ranked first and among three", () => {
    expect(score.first).toBeGreaterThanOrEqual(0.97 * score.exactFirst);
    expect(score.three).toBeGreaterThanOrEqual(0.97 * score.exactThree);
  });

  test("beats the lowest common pipe of the wet coils by 15 points, ranked first and among three", () => {
    expect(score.first - score.baselineFirst).toBeGreaterThanOrEqual(0.15);
    expect(score.three - score.baselineThree).toBeGreaterThanOrEqual(0.15);
  });

  test("proposes checks that need fewer visits than a random order, and lose no more", () => {
    expect(score.visits.proposed).toBeLessThan(0.8 * score.visits.random);
    expect(score.lost.proposed).toBeLessThanOrEqual(score.lost.random + 0.05);
  });

  test.runIf(towers === TOWERS)("reaches the figures of docs/locating.md (npm run locating writes them)", () => {
    const page = readFileSync(new URL("../../docs/locating.md", import.meta.url), "utf8");
    expect(page).toContain(locatingFigures(score));
  });
});
