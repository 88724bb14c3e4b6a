// The report and the test sheet in a browser, wide and narrow, light and dark, and on paper.
import { readFileSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { commissioning, renderCommissioningPage, report } from "../../src/core/index.js";
import { chromiumHere, complaintsOf, faultsOf, NO_BROWSER, openBrowser, PATIENCE } from "../builders/browser.js";
import { badBreaks, PAPERS, type Paper, type PrintedPage, printed } from "../builders/printed.js";

const fixture = (name: string): object =>
  JSON.parse(readFileSync(new URL(`../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));

const print = {
  report: (document: object): string => {
    const made = report(document, { date: "2026-11-26" });
    if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 3)));
    return made.html;
  },
  sheet: (document: object): string => {
    const made = commissioning(document);
    if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 3)));
    return renderCommissioningPage(made.sheet, { date: "2026-11-26" });
  },
};
const PAGES: readonly (readonly [name: string, make: () => string, isLarge: boolean])[] = [
  ["report of a boathouse", () => print.report(fixture("three-coils")), false],
  ["report of a tower", () => print.report(fixture("tower-as-surveyed")), true],
  ["test sheet of a boathouse", () => print.sheet(fixture("three-coils")), false],
];

vi.setConfig({ testTimeout: PATIENCE, hookTimeout: PATIENCE });
if (chromiumHere === null) console.warn(NO_BROWSER);

describe.skipIf(chromiumHere === null).each(PAGES)("the %s in a browser", (_, make, isLarge) => {
  let browser: Browser;
  let page: Page;
  let complaints: readonly string[];
  beforeAll(async () => {
    browser = await openBrowser();
    page = await browser.newPage();
    complaints = complaintsOf(page);
    await page.setContent(make(), { waitUntil: "load" });
  });
  afterAll(() => browser?.close());

  it("opens without a complaint, runs over at no width, and bars nobody, light and dark", async () => {
    // what a large one is made of stands in the small one
    expect(await faultsOf(page, { bars: !isLarge })).toEqual([]);
    expect(complaints).toEqual([]);
  });

  describe.each(Object.keys(PAPERS) as Paper[])("on %s paper", (paper) => {
    let sheets: readonly PrintedPage[];
    beforeAll(async () => {
      sheets = await printed(page, paper);
    });

    it("is broken where it may be: after no heading, through no row", async () => {
      expect(sheets.length).toBeGreaterThan(1);
      expect(await badBreaks(page, sheets)).toEqual([]);
    });

    it("lies on that paper, and heads each sheet of a schedule", () => {
      const [narrow, high] = PAPERS[paper];
      for (const { width, height, lines } of sheets) {
        expect(Math.abs(Math.min(width, height) - narrow)).toBeLessThan(2);
        expect(Math.abs(Math.max(width, height) - high)).toBeLessThan(2);
        if (width > height) expect(lines.slice(0, 8).some((line) => line.includes("Where"))).toBe(true);
      }
    });
  });
});
