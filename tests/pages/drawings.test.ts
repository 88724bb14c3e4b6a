// Pictures in a browser, as the files that they are: whole, legible, nothing over anything else, light and dark.
import { readFileSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { auditedCase } from "../../src/core/audit/run.js";
import { type DrawingResult, drawPath, drawRiser, expand } from "../../src/core/index.js";
import { findingDetail } from "../../src/core/present/drawing/finding-detail.js";
import { ALL, chromiumHere, complaintsOf, faultsOf, NO_BROWSER, openBrowser, PATIENCE } from "../builders/browser.js";
import { crowdedIn } from "../builders/look-at-drawing.js";
import { tower } from "../builders/tower.js";
import { withHostileNames } from "../core/present/hostile-names.js";
import { inUsUnits } from "../properties/changes.js";
import type { PlainDocument } from "../reference/plain-network.js";

const fixture = (name: string): object =>
  JSON.parse(readFileSync(new URL(`../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));
const boathouse = fixture("three-coils");
const surveyed = fixture("tower-as-surveyed");
const design = fixture("tower-design");
const tall = tower({
  id: "reedlight",
  name: "Reedlight",
  storeys: 40,
  risers: 10,
  seed: 3,
  alike: true,
  faultShare: 0.05,
});

const svgOf = (made: DrawingResult): string => {
  if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 3)));
  return made.svg;
};
const riser = (document: object, request: object = {}) => svgOf(drawRiser(document, request));
const path = (document: object, fanCoil: string, more: object = {}) => svgOf(drawPath(document, { fanCoil, ...more }));
const writtenOut = (document: object): object => {
  const made = expand(document);
  if (!made.ok) throw new Error("it is a network");
  return made.document;
};

const BLOCKED = { highlight: { blocked: { pipe: "R2-03/lower" } } };
const PICTURES: readonly (readonly [name: string, make: () => string])[] = [
  ["boathouse", () => riser(boathouse)],
  ["boathouse on a phone", () => riser(boathouse, { width: 360 })],
  ["boathouse in feet and inches", () => riser(inUsUnits(boathouse as PlainDocument))],
  ["boathouse with the way of one coil", () => riser(boathouse, { highlight: { fanCoil: "FC-2" } })],
  ["boathouse with a blocked main", () => riser(boathouse, { highlight: { blocked: { pipe: "M-d" } } })],
  ["boathouse with a blocked trap", () => riser(boathouse, { highlight: { blocked: { node: "T-2" } } })],
  ["boathouse with a blocked receptor", () => riser(boathouse, { highlight: { blocked: { node: "SINK" } } })],
  ["boathouse with a blocked pan", () => riser(boathouse, { highlight: { blocked: { node: "FC-3" } } })],
  ["boathouse with names that are markup", () => riser(withHostileNames(writtenOut(boathouse)))],
  ["tower as surveyed", () => riser(surveyed)],
  ["second riser of the tower as surveyed", () => riser(surveyed, { riser: "B-02" })],
  ["tower of forty storeys", () => riser(tall)],
  ["way out of a boathouse coil", () => path(boathouse, "FC-2")],
  ["way out of a boathouse coil, blocked", () => path(boathouse, "FC-2", { blocked: { pipe: "M-d" } })],
  ["way out of a boathouse coil in feet", () => path(inUsUnits(boathouse as PlainDocument), "FC-2")],
  ["way out of a coil with a sag", () => path(surveyed, "0401-B/coil")],
  ["way out of a coil on a phone", () => path(surveyed, "0401-B/coil", { width: 360 })],
  ["way out of a coil over a blocked riser", () => path(surveyed, "0304-B/coil", { blocked: { pipe: "R4-03/lower" } })],
  ["way out of a coil in two traps", () => path(surveyed, "0602-A/coil")],
  ["way out of a pumped coil", () => path(surveyed, "G4/coil")],
];
const MORE: typeof PICTURES = [
  ["tower as surveyed, on a phone", () => riser(surveyed, { width: 360 })],
  ["tower as surveyed with a blocked riser", () => riser(surveyed, BLOCKED)],
  ["tower as designed", () => riser(design)],
  ["tower as designed with a blocked riser", () => riser(design, BLOCKED)],
  ["tower as designed with the way of one coil", () => riser(design, { highlight: { fanCoil: "0604-A/coil" } })],
  ["first riser of the tower as designed", () => riser(design, { riser: "B-01" })],
  ["tower of forty storeys, on paper", () => riser(tall, { width: 820 })],
  ["riser seven of forty storeys", () => riser(tall, { riser: "B-07" })],
];

vi.setConfig({ testTimeout: PATIENCE, hookTimeout: PATIENCE });
if (chromiumHere === null) console.warn(NO_BROWSER);

describe.skipIf(chromiumHere === null)("a picture in a browser", () => {
  let browser: Browser;
  let page: Page;
  let complaints: string[];
  beforeAll(async () => {
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
    complaints = complaintsOf(page);
  });
  afterAll(() => browser?.close());

  /** Opens it as the file that it is, which must be XML. */
  const open = async (svg: string): Promise<void> => {
    await page.goto(`data:image/svg+xml;base64,${Buffer.from(svg).toString("base64")}`);
    expect(await page.evaluate("document.documentElement.nodeName")).toBe("svg");
    expect(await page.evaluate("document.querySelector('parsererror') === null")).toBe(true);
  };

  it.each(ALL ? [...PICTURES, ...MORE] : PICTURES)(
    "of the %s is whole, and nothing in it lies over anything else",
    async (_, make) => {
      await open(make());
      expect(await crowdedIn(page)).toEqual([]);
      expect(complaints).toEqual([]);
    },
  );

  it("of the surroundings of findings is so too", async () => {
    const made = auditedCase(surveyed);
    if (!made.ok) throw new Error("it is a network");
    const { findings } = made.audited.audit;
    // one of each group of rules
    const groups = new Map(findings.map(({ id, rule }) => [ALL ? id : rule.split(".")[0], id]));
    expect(groups.size).toBeGreaterThan(9);
    for (const id of groups.values()) {
      const svg = findingDetail(made.audited, id, { width: 480 });
      if (svg === null) continue;
      await open(svg);
      expect(await crowdedIn(page), id).toEqual([]);
    }
  });

  it.runIf(ALL)("of every riser and every way out of the tower as surveyed is so too", async () => {
    const made = auditedCase(surveyed);
    if (!made.ok) throw new Error("it is a network");
    const { net } = made.audited;
    for (const foot of ["B-01", "B-02", "B-03", "B-04"]) {
      await open(riser(surveyed, { riser: foot }));
      expect(await crowdedIn(page), foot).toEqual([]);
    }
    for (const node of net.coils) {
      const { id } = net.nodes[node]!;
      await open(path(surveyed, id));
      expect(await crowdedIn(page), id).toEqual([]);
    }
  });

  it.each<[string, () => string]>([
    ["riser diagram", () => riser(boathouse, { highlight: { blocked: { pipe: "M-d" } } })],
    ["long section", () => path(boathouse, "FC-2", { blocked: { pipe: "M-d" } })],
  ])("of a %s stands in a page at any width and bars nobody, light and dark", async (_, make) => {
    const own = await browser.newPage();
    const said = complaintsOf(own);
    await own.setContent(
      `<!doctype html><html lang="en"><head><meta name="color-scheme" content="light dark"><title>A picture</title></head><body><main><h1>A picture</h1>${make()}</main></body></html>`,
    );
    expect(await faultsOf(own)).toEqual([]);
    expect(said).toEqual([]);
    await own.close();
  });

  // the measure itself: what it must see
  const text = (x: number, y: number, words: string, more = "") =>
    `<text x="${x}" y="${y}" font-size="10" ${more}>${words}</text>`;
  it.each<[string, string, RegExp]>([
    ["two texts that meet", text(20, 40, "Level 12") + text(50, 42, "39.7 m"), /^texts meet: Level 12 \| 39.7 m$/],
    [
      "one that stands upright through another",
      text(20, 60, "a long level line") + text(0, 0, "upright", 'transform="translate(60 80) rotate(-90)"'),
      /^texts meet/,
    ],
    ["one that leaves the picture", text(180, 40, "half outside"), /^outside the picture: half outside$/],
    ["a pipe through a name", `<path class="dw-pipe" d="M10 57H90"/>${text(20, 60, "FC-1")}`, /^pipe through text/],
    ["nothing", text(20, 40, "Level 12") + text(20, 60, "39.7 m"), /^$/],
  ])("is seen to hold %s", async (_, content, expected) => {
    await open(
      `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100" width="200" height="100" font-family="sans-serif">${content}</svg>`,
    );
    expect((await crowdedIn(page)).join("; ")).toMatch(expected);
  });
});
