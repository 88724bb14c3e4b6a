import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import { commissioning, expand, report } from "../../../src/core/index.js";
import { renderCommissioningPage } from "../../../src/core/present/commissioning-page.js";
import { dateWords } from "../../../src/core/present/dates.js";
import { towerOfCoils } from "../../builders/tower.js";
import { HOSTILE, withHostileNames } from "./hostile-names.js";
import { attribute, census, type Element, elementsOf, textOf } from "./parsed-html.js";

const fixture = (name: string): object =>
  JSON.parse(readFileSync(new URL(`../../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));

const made = (document: object, options: Parameters<typeof report>[1] = {}) => {
  const result = report(document, options);
  if (!result.ok) throw new Error(JSON.stringify(result.problems.slice(0, 3)));
  return result;
};
const writtenOut = (document: object): object => {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(JSON.stringify(expanded.problems.slice(0, 3)));
  return expanded.document;
};

const tower = fixture("tower-as-surveyed");
const boathouse = fixture("three-coils");
let page: ReturnType<typeof made>;
let elements: Element[];
beforeAll(() => {
  page = made(tower, { date: "2026-11-26" });
  elements = elementsOf(page.html);
});

const within = (element: Element, tag: string): Element[] => {
  const found: Element[] = [];
  const walk = (node: Element): void => {
    for (const child of node.childNodes)
      if ("tagName" in child) {
        if (child.tagName === tag) found.push(child);
        walk(child);
      }
  };
  walk(element);
  return found;
};
/** The table of the section under a heading, as rows of cells; heads of parts are left out. */
const tableUnder = (all: readonly Element[], id: string): string[][] => {
  const heading = all.find((each) => attribute(each, "id") === id);
  if (heading === undefined || heading.parentNode === null) throw new Error(`no section ${id}`);
  const [table] = within(heading.parentNode as Element, "table");
  if (table === undefined) throw new Error(`no table in ${id}`);
  return within(table, "tr")
    .map((row) => row.childNodes.flatMap((cell) => ("tagName" in cell ? [textOf(cell).trim()] : [])))
    .filter((cells) => cells.length > 1);
};
const missing = (text: string, words: readonly string[]): string[] => words.filter((each) => !text.includes(each));
/** How many things a row of a schedule speaks of. */
const countOf = (cell: string): number => {
  const many = /^(\d+) ×/.exec(cell);
  return many === null ? cell.split(", ").length : Number(many[1]);
};

describe("the report", () => {
  it("says first whose it is, by what it was judged, when it was made, and the verdict in the words that are allowed", () => {
    const text = textOf(elements.find(({ tagName }) => tagName === "body")!);
    expect(
      missing(text, [
        "Reedlight Tower, Quillmere, as surveyed",
        "Profile imc, 2021",
        "Made on26 November 2026",
        "Faulty: as it stands, water will escape or a drain will fail in use.",
        "This is a calculation, not an approval",
        `drainward ${page.audit.engine.version}, rules ${page.audit.engine.catalogue}`,
        page.audit.network.digest,
      ]),
    ).toEqual([]);
    expect(text.slice(0, text.indexOf("What to act on first"))).not.toMatch(/\b(safe|sound|compliant)\b/i);
  });

  it("has no date unless it is told one", () => {
    expect(made(boathouse).html).not.toContain("Made on");
    expect(dateWords("2026-02-03")).toBe("3 February 2026");
  });

  it("tells every finding that fails or is open, under the number that it has in the audit", () => {
    const articles = elements.filter(({ tagName }) => tagName === "article");
    const told = new Map(articles.map((article) => [attribute(article, "id"), textOf(article)]));
    const expected = page.audit.findings.filter(({ outcome }) => outcome !== "pass");
    expect(expected.length).toBeGreaterThan(40);
    expect(told.size).toBe(expected.length);
    page.audit.findings.forEach(({ message, id, remedy }, position) => {
      if (!told.has(`finding-${position + 1}`)) return;
      const words = [message.replace(/\s+/g, " "), id, ...remedy.slice(0, 8).map((step) => step.text)];
      expect(missing(told.get(`finding-${position + 1}`)!, words)).toEqual([]);
    });
  });

  it("gives each coil, trap and pipe one place in its schedule", () => {
    const kinds = writtenOut(tower) as { nodes: { kind: string; vent?: object; cleanout?: object }[]; pipes: object[] };
    const { nodes, pipes } = kinds;
    const rows = (id: string) => tableUnder(elements, id).slice(1);
    const sum = (id: string) => rows(id).reduce((count, [cell]) => count + countOf(cell!), 0);
    expect(sum("coils")).toBe(nodes.filter(({ kind }) => kind === "fan-coil").length);
    expect(sum("traps")).toBe(nodes.filter(({ kind }) => kind === "trap").length);
    expect(sum("pipes")).toBe(pipes.length);
    // alike ones are told once
    expect(rows("coils").length).toBeLessThan(sum("coils") / 2);
  });

  it("prints the figures of a schedule in the document's units", () => {
    // three coils of 1, 1 and 0.75 ton; sensible heat ratio 0.74, so the first makes
    // 3516.85 W x 0.26 / 2477.2 kJ/kg / 999.702 kg/m³ = 0.3692e-6 m³/s = 1.329 L/h = 0.351 gal/h
    const row = (units: "si" | "us") => {
      const document = units === "si" ? boathouse : { ...boathouseInFeet() };
      const [head, first] = tableUnder(elementsOf(made(document).html), "coils");
      return Object.fromEntries(head!.map((title, k) => [title, first![k]]));
    };
    const metric = row("si");
    expect(metric["Cooling capacitykW"]).toBe("3.52");
    expect(metric["Peak condensateL/h"]).toBe("1.33");
    expect(metric["Pan staticPa"]).toBe("-90");
    const customary = row("us");
    expect(customary["Cooling capacityton"]).toBe("1");
    expect(customary["Peak condensategal/h"]).toBe("0.351");
    // 90 Pa / 249.08891 Pa = 0.3613
    expect(customary["Pan staticinH2O"]).toBe("-0.361");
  });

  it("stays readable where a tower is large: hundreds of rows, not thousands", () => {
    const document = towerOfCoils(400, 3);
    const rows = tableUnder(elementsOf(made(document).html), "pipes").slice(1);
    const count = rows.reduce((sum, [cell]) => sum + countOf(cell!), 0);
    expect(count).toBe((writtenOut(document) as { pipes: object[] }).pipes.length);
    expect(rows.length).toBeLessThan(700);
    expect(rows.some((cells) => cells.some((cell) => / to /.test(cell)))).toBe(true);
  });

  it("is the same for the same document, and refuses a bad one with its problems", () => {
    expect(made(boathouse).html).toBe(made(boathouse).html);
    const bad = report({ ...boathouse, stadge: 1 });
    expect(bad.ok).toBe(false);
    if (!bad.ok) expect(bad.problems[0]!.pointer).toBe("/stadge");
  });

  it("cites every source that it names", () => {
    const defined = new Set(elements.map((each) => attribute(each, "id")));
    const links = elements.filter(({ tagName }) => tagName === "a").map((each) => attribute(each, "href")!);
    expect(links.length).toBeGreaterThan(100);
    for (const href of links) {
      expect(href.startsWith("#")).toBe(true);
      expect(defined).toContain(href.slice(1));
    }
  });
});

const boathouseInFeet = (): object => {
  // a bare number means another thing in feet and inches: written with its unit it means the same
  const units: Readonly<Record<string, string>> = {
    elevation: "m",
    length: "m",
    above: "m",
    top: "m",
    fromInvert: "m",
    toInvert: "m",
    supportSpacing: "m",
    sealDepth: "mm",
    inletDrop: "mm",
    rimHeight: "mm",
    height: "mm",
    tripHeight: "mm",
    thickness: "mm",
    opening: "mm",
    airGap: "mm",
    overhang: "mm",
    depth: "mm",
    panStatic: "Pa",
    area: "m2",
    conductivity: "W/(m·K)",
    dryBulb: "degC",
    pressure: "Pa",
    rim: "m",
  };
  const said = (value: unknown, field: string): unknown => {
    if (typeof value === "number") return units[field] === undefined ? value : `${value} ${units[field]}`;
    if (Array.isArray(value)) return value.map((each) => said(each, field));
    if (typeof value !== "object" || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, said(each, key)]));
  };
  return { ...(said(boathouse, "") as object), units: "us" };
};

const pages = {
  report: (document: object) => made(document, { date: "2026-11-26" }).html,
  "commissioning sheet": (document: object) => {
    const sheet = commissioning(document);
    if (!sheet.ok) throw new Error(JSON.stringify(sheet.problems.slice(0, 3)));
    return renderCommissioningPage(sheet.sheet, { date: "2026-11-26" });
  },
};

describe.each(Object.entries(pages))("the %s as a file", (_, print) => {
  it("loads nothing, runs nothing, and each id in it is one", () => {
    const markup = print(tower);
    const all = elementsOf(markup);
    expect(
      all.some(({ tagName }) => ["script", "link", "iframe", "object", "embed", "img", "form"].includes(tagName)),
    ).toBe(false);
    for (const { attrs } of all)
      for (const { name, value } of attrs) {
        expect(name).not.toMatch(/^on/);
        if (["href", "src", "action", "xlink:href"].includes(name)) expect(value).toMatch(/^#/);
      }
    const styles = all.filter(({ tagName }) => tagName === "style");
    expect(styles).toHaveLength(1);
    expect(textOf(styles[0]!)).not.toMatch(/url\(|@import/);
    const ids = all.flatMap((each) => attribute(each, "id") ?? []);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it("gets no element and no attribute from names", () => {
    const plain = writtenOut(tower);
    const hostile = print(withHostileNames(plain));
    expect(hostile.includes("&lt;img/src=x/onerror=alert(1)&gt;")).toBe(true);
    expect(hostile.includes(HOSTILE.slice(0, 12))).toBe(false);
    // long names lay a drawing out otherwise, with more or fewer of its parts; none may be of a kind that was not there
    const before = census(print(plain));
    const added = Object.entries(census(hostile)).filter(([kind]) => before[kind] === undefined);
    expect(added).toEqual([]);
  });
});

describe("the commissioning sheet as a page", () => {
  it("holds every check with its boxes, each box with a label of its own", () => {
    const sheet = commissioning(tower);
    if (!sheet.ok) throw new Error("the tower is a network");
    const all = elementsOf(renderCommissioningPage(sheet.sheet));
    const text = textOf(all.find(({ tagName }) => tagName === "body")!);
    const checks = sheet.sheet.stops.flatMap((stop) => stop.checks);
    expect(
      missing(
        text,
        checks.map(({ id }) => id),
      ),
    ).toEqual([]);
    const inputs = all.filter(({ tagName }) => tagName === "input");
    const boxes = checks.flatMap((check) => check.boxes);
    const expected = boxes.reduce((sum, { form }) => sum + (form === "yes-no" ? 2 : 1), 3);
    expect(inputs).toHaveLength(expected);
    const labelled = new Set(all.filter(({ tagName }) => tagName === "label").map((each) => attribute(each, "for")));
    for (const input of inputs)
      if (attribute(input, "type") === "text") expect(labelled).toContain(attribute(input, "id"));
  });
});
