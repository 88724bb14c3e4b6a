// Pictures as text: what stands in them, what carries which id, what names can do to them. Browsers look at them elsewhere.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { auditedCase } from "../../../src/core/audit/run.js";
import { drawPath, drawRiser, expand, type RiserRequest } from "../../../src/core/index.js";
import { findingDetail } from "../../../src/core/present/drawing/finding-detail.js";
import { floorsOf } from "../../../src/core/present/drawing/floors.js";
import { forest } from "../../../src/core/present/drawing/forest.js";
import { layOut } from "../../../src/core/present/drawing/layout.js";
import { risersOf } from "../../../src/core/present/drawing/risers.js";
import { tower, towerOfCoils } from "../../builders/tower.js";
import { inUsUnits } from "../../properties/changes.js";
import type { PlainDocument } from "../../reference/plain-network.js";
import { withHostileNames } from "./hostile-names.js";
import { attribute, census, type Element, elementsOf, textOf } from "./parsed-html.js";

type Document = Record<string, unknown> & { readonly id: string };
const fixture = (name: string): Document =>
  JSON.parse(readFileSync(new URL(`../../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));

const boathouse = fixture("three-coils");
const surveyed = fixture("tower-as-surveyed");

const svgOf = (made: ReturnType<typeof drawRiser>): string => {
  if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 3)));
  return made.svg;
};
const riser = (document: object, request: RiserRequest = {}): string => svgOf(drawRiser(document, request));
const path = (document: object, fanCoil: string, more: object = {}): string =>
  svgOf(drawPath(document, { fanCoil, ...more }));
const audited = (document: object) => {
  const made = auditedCase(document);
  if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 3)));
  return made.audited;
};

/** Values of a data attribute in a picture. */
const linked = (svg: string, name: string): Set<string> =>
  new Set(elementsOf(svg).flatMap((each) => attribute(each, name) ?? []));
const textsOf = (svg: string): string[] =>
  elementsOf(svg)
    .filter(({ tagName }) => tagName === "text")
    .map(textOf);

describe("every element can be linked to", () => {
  it("in the picture of a whole small building", () => {
    const { net, audit } = audited(boathouse);
    const svg = riser(boathouse);
    expect(linked(svg, "data-node")).toEqual(new Set(net.nodes.map(({ id }) => id)));
    expect(linked(svg, "data-pipe")).toEqual(new Set(net.pipes.map(({ id }) => id)));
    expect(linked(svg, "data-device")).toEqual(new Set(net.model.devices.map(({ id }) => id)));
    expect(linked(svg, "data-finding")).toEqual(new Set(audit.findings.map(({ id }) => id)));
    expect(linked(svg, "data-floor")).toEqual(new Set(["G"]));
  });

  it("of a tower on the sheets of its risers and on the picture of the whole together", () => {
    const made = audited(surveyed);
    const { net, audit } = made;
    const feet = risersOf(made).map(({ foot }) => net.nodes[foot].id);
    expect(feet).toEqual(["B-01", "B-02", "B-03", "B-04"]);
    const pictures = [riser(surveyed), ...feet.map((foot) => riser(surveyed, { riser: foot }))];
    const all = (name: string) => new Set(pictures.flatMap((svg) => [...linked(svg, name)]));
    expect(all("data-node")).toEqual(new Set(net.nodes.map(({ id }) => id)));
    expect(all("data-pipe")).toEqual(new Set(net.pipes.map(({ id }) => id)));
    expect(all("data-device")).toEqual(new Set(net.model.devices.map(({ id }) => id)));
    expect(linked(pictures[0]!, "data-finding")).toEqual(new Set(audit.findings.map(({ id }) => id)));
    expect(linked(pictures[0]!, "data-riser")).toEqual(new Set(feet));
  });

  it("along the path of a coil", () => {
    const made = audited(surveyed);
    const { net, facts } = made;
    const coil = net.coils.findIndex((node) => net.nodes[node].id === "0401-B/coil");
    const svg = path(surveyed, "0401-B/coil");
    const { vertical, fall } = facts.fall;
    const drawn = [...facts.topology.path(coil)].filter((p) => vertical[p] === 0 || fall[p] < 0.6);
    for (const p of drawn) expect(linked(svg, "data-pipe")).toContain(net.pipes[p].id);
    for (const id of ["0401-B/coil", "0401-B/trap", "0401-B/sag", "0401-B/tee/vent"])
      expect(linked(svg, "data-node")).toContain(id);
  });
});

describe("a picture", () => {
  const pictures: readonly (readonly [string, string])[] = [
    ["the boathouse", riser(boathouse)],
    ["the tower", riser(surveyed)],
    ["a narrow one", riser(surveyed, { width: 360 })],
    ["a riser's sheet", riser(surveyed, { riser: "B-02" })],
    ["a blockage", riser(surveyed, { highlight: { blocked: { pipe: "R2-03/lower" } } })],
    ["a path", path(boathouse, "FC-2")],
    ["a blocked path", path(boathouse, "FC-2", { blocked: { pipe: "M-d" } })],
    ["a detail", findingDetail(audited(surveyed), "fall.reverse~p:0401-B%2Farm-2")!],
  ];

  it.each(pictures)(
    "of %s says first what it shows, holds only shapes and text, and no figure that is none",
    (_, svg) => {
      const elements = elementsOf(svg);
      const root = elements.find(({ tagName }) => tagName === "svg")!;
      expect(attribute(root, "role")).toBe("img");
      expect(attribute(root, "aria-label")).not.toBe("");
      const [title, desc] = elements.slice(elements.indexOf(root) + 1);
      expect(title!.tagName).toBe("title");
      expect(textOf(title!)).not.toBe("");
      expect(desc!.tagName).toBe("desc");
      expect(textOf(desc!)).not.toBe("");
      const inside = new Set(elements.slice(elements.indexOf(root)).map(({ tagName }) => tagName));
      for (const name of inside)
        expect(["svg", "title", "desc", "style", "g", "rect", "path", "circle", "text"]).toContain(name);
      expect(svg).not.toMatch(/NaN|undefined|Infinity|href|url\(|@import|<!/);
      expect(svg.endsWith("</svg>\n")).toBe(true);
    },
  );

  it("is the same bytes for the same network, in whatever order it is written", () => {
    const turned = { ...surveyed };
    for (const list of ["nodes", "pipes", "placements"]) turned[list] = [...(surveyed[list] as unknown[])].reverse();
    expect(riser(turned)).toBe(riser(surveyed));
    expect(path(turned, "0604-A/coil")).toBe(path(surveyed, "0604-A/coil"));
    expect(riser(surveyed)).toBe(riser(structuredClone(surveyed)));
  });

  it("has an element of no other kind, whatever things are called", () => {
    const plain = expand(surveyed);
    if (!plain.ok) throw new Error("the tower is a network");
    const hostile = withHostileNames(plain.document);
    const coil = audited(hostile).net.nodes.find(({ id }) => id.startsWith("0604-A/coil"))!.id;
    const details = (document: object): string[] => {
      const made = audited(document);
      return made.audit.findings.flatMap(({ id }) => findingDetail(made, id) ?? []);
    };
    const kinds = (svgs: readonly string[]) => new Set(svgs.flatMap((svg) => Object.keys(census(svg))));
    const before = kinds([riser(surveyed), path(surveyed, "0604-A/coil"), ...details(surveyed)]);
    const after = kinds([riser(hostile), path(hostile, coil), ...details(hostile)]);
    expect([...after].filter((kind) => !before.has(kind))).toEqual([]);
    expect(linked(riser(hostile), "data-node").has(coil)).toBe(true);
  });

  it("takes ids that are names of what every object has for ids and no more", () => {
    const text = JSON.stringify(boathouse).replaceAll('"FC-2"', '"__proto__"').replaceAll('"M-c"', '"constructor"');
    const svg = riser(JSON.parse(text));
    expect(linked(svg, "data-node")).toContain("__proto__");
    expect(linked(svg, "data-pipe")).toContain("constructor");
    expect(path(JSON.parse(text), "__proto__")).toContain('data-fan-coil="__proto__"');
    expect(Object.keys({})).toEqual([]);
  });

  it("speaks the document's units", () => {
    const us = inUsUnits(boathouse as unknown as PlainDocument);
    const [si, foot] = [riser(boathouse).concat(path(boathouse, "FC-2")), riser(us).concat(path(us, "FC-2"))];
    // 1 in main at 2.40 %: 0.288 in/ft
    expect(textsOf(si).some((text) => text.includes("2.40 %"))).toBe(true);
    expect(textsOf(foot).some((text) => text.includes("0.288 in/ft"))).toBe(true);
    expect(textsOf(foot).filter((text) => / (m|mm|Pa|L)$/.test(text))).toEqual([]);
    // the pan's outlet at 2.85 m is 9.35 ft
    expect(textsOf(si)).toContain("2.85 m");
    expect(textsOf(foot)).toContain("9.35 ft");
  });
});

describe("floors that are alike", () => {
  const storeys = 40;
  const drawn = tower({ id: "reedlight", name: "Reedlight", storeys, risers: 3, seed: 3, alike: true });
  const svg = riser(drawn);

  it("are drawn once, and each that is left out is named beside the one that it is like", () => {
    const shown = linked(svg, "data-floor");
    expect(shown.size).toBeLessThan(20);
    const folds = textsOf(svg).filter((text) => /floors as drawn above: /.test(text));
    const left = folds.reduce((sum, text) => sum + Number.parseInt(text, 10), 0);
    expect(shown.size + left).toBe(storeys + 1);
    for (const fold of folds)
      for (const [, name] of fold.matchAll(/ as (Level \d+)/g))
        expect(textsOf(svg).filter((text) => text === name)).toHaveLength(1);
  });

  it("are all drawn on the sheet of one riser", () => {
    expect(linked(riser(drawn, { riser: "B-02" }), "data-floor").size).toBe(storeys + 1);
  });

  it("are not left out where a finding or what is marked tells them apart", () => {
    const floors = linked(svg, "data-floor");
    const folded = ["07", "13", "19", "33"].find((floor) => !floors.has(floor))!;
    expect(linked(riser(drawn, { highlight: { fanCoil: `${folded}01-A/coil` } }), "data-floor").has(folded)).toBe(true);
    const plain = expand(drawn);
    if (!plain.ok) throw new Error("the tower is a network");
    const nodes = plain.document.nodes.map((node) =>
      node.id === `${folded}01-A/trap` ? { ...node, primed: false } : node,
    );
    const changed = { ...plain.document, nodes };
    expect(audited(changed).audit.findings.length).toBeGreaterThan(audited(drawn).audit.findings.length);
    expect(linked(riser(changed), "data-floor").has(folded)).toBe(true);
  });
});

describe("what is marked", () => {
  const isDim = (each: Element): boolean => (attribute(each, "class") ?? "").includes("dw-dim");
  const standing = (svg: string): Set<string> =>
    new Set(elementsOf(svg).flatMap((each) => (isDim(each) ? [] : (attribute(each, "data-pipe") ?? []))));

  it("is the way out of one coil, pipe by pipe", () => {
    const svg = riser(boathouse, { highlight: { fanCoil: "FC-2" } });
    expect(standing(svg)).toEqual(new Set(["P-2a", "P-2b", "P-2c", "M-c", "M-d", "M-e"]));
  });

  it("is what fills behind a blockage up to where it comes out first", () => {
    // M-d blocked: pans at 2.85 m with rims 50 mm up. FC-1 and FC-2 under 90 Pa, FC-3 under 0.5 inH2O (124.5 Pa) of
    // suction, which stands 12.7 mm higher in its pan: 2.85 + 0.05 − 0.0127 = 2.8873 m is the first spill. Everything of the
    // three branches lies below it, the vents up to 3.05 m and the cleanout at 2.756 m among them.
    const svg = riser(boathouse, { highlight: { blocked: { pipe: "M-d" } } });
    const filled = ["P-1a", "P-1b", "P-1c", "P-2a", "P-2b", "P-2c", "P-3a", "P-3c", "M-b", "M-c"];
    const stubs = ["V-1/vent", "V-2/vent", "V-3/vent", "M-1/vent", "M-1/cleanout"];
    expect(standing(svg)).toEqual(new Set([...filled, ...stubs, "M-d"]));
    const words = textsOf(svg).join(" ");
    expect(words).toContain("If M-d is blocked: 3 coils feed it.");
    expect(words).toContain("FC-3");
    expect(words).toContain("2.887 m");
    expect(svg.match(/class="dw-drop"/g)).toHaveLength(2);
  });

  it("is no more than what lies below the level: a blockage in one branch leaves the others alone", () => {
    const svg = riser(boathouse, { highlight: { blocked: { pipe: "P-1b" } } });
    // between the trap and the vented tee nothing else is dammed up
    expect(standing(svg)).toEqual(new Set(["P-1a", "P-1b"]));
  });

  it("ends at the level, with twenty coils above a riser: what lies higher is left alone", () => {
    const { net, facts } = audited(surveyed);
    const index = (id: string) => net.pipes.findIndex((pipe) => pipe.id === id);
    const blocked = index("R2-03/lower");
    const { firstSpill, openings } = facts.backups.ofPipe(blocked)!;
    expect(openings.map(({ node }) => net.nodes[node]!.id)).toEqual(["0302-B/coil"]);
    const filled = standing(riser(surveyed, { highlight: { blocked: { pipe: "R2-03/lower" } } }));
    for (const id of filled) {
      const p = index(id);
      expect(Math.min(net.fromInvert[p]!, net.toInvert[p]!), id).toBeLessThan(firstSpill);
    }
    // the water gets to where it comes out
    const way = facts.topology.path(net.coils.findIndex((node) => net.nodes[node]!.id === "0302-B/coil"));
    for (const p of way) {
      if (p === blocked) break;
      expect(filled).toContain(net.pipes[p]!.id);
    }
    expect([...filled].filter((id) => id.startsWith("04") || id.startsWith("1"))).toEqual([]);
  });

  it("is what one finding speaks of", () => {
    const { audit } = audited(surveyed);
    const finding = audit.findings.find(({ rule }) => rule === "fall.reverse")!;
    const svg = riser(surveyed, { highlight: { finding: finding.id } });
    expect([...standing(svg)].sort()).toEqual([...finding.subject.pipes].sort());
  });
});

describe("the surroundings of a finding", () => {
  const made = audited(surveyed);

  it("are drawn for each finding of the tower, with its mark and no other", () => {
    for (const { id } of made.audit.findings) {
      const svg = findingDetail(made, id);
      expect(svg, id).not.toBeNull();
      expect(linked(svg!, "data-finding"), id).toEqual(new Set([id]));
    }
  });

  it("are none of a finding that there is not", () => {
    expect(() => findingDetail(made, "fall.reverse~p:nowhere")).toThrow(RangeError);
  });
});

describe("what is asked for and cannot be drawn", () => {
  const problems = (made: ReturnType<typeof drawRiser>): string[] =>
    made.ok ? [] : made.problems.map(({ pointer, code, hint }) => `${pointer} ${code}: ${hint}`);

  it.each<[string, RiserRequest, string[]]>([
    [
      "a coil that is near one",
      { highlight: { fanCoil: "FC-22" } },
      ['/highlight/fanCoil unknown-reference: did you mean "FC-2"?'],
    ],
    [
      "a pipe that is a node",
      { highlight: { blocked: { pipe: "M-2" } } },
      ['/highlight/blocked/pipe unknown-reference: it is a node: write { "node": … }'],
    ],
    ["two things at once", { highlight: { fanCoil: "FC-1", finding: "x" } }, ["/highlight/finding two-forms"]],
    [
      "a field that is none",
      { highlight: { fanCoils: "FC-1" } },
      ['/highlight/fanCoils unknown-field: did you mean "fanCoil"?'],
    ],
    ["a width of nothing", { width: 3 }, ["/width absurd-number"]],
    ["a riser that is none", { riser: "SINK" }, ["/riser unknown-reference"]],
    [
      "everything wrong",
      { highlight: 7, riser: 8, width: "wide" },
      ["/width wrong-type", "/riser wrong-type", "/highlight wrong-type"],
    ],
  ])("%s", (_, request, expected) => {
    const found = problems(drawRiser(boathouse, request));
    expect(found).toHaveLength(expected.length);
    for (const [i, each] of expected.entries()) expect(found[i]).toContain(each);
  });

  it("is told together with what is wrong with the document", () => {
    const broken = { ...boathouse, stage: "dream" };
    expect(problems(drawPath(broken, { fanCoil: undefined }))).toEqual([
      expect.stringContaining("/network/stage "),
      expect.stringContaining("/fanCoil missing-field"),
    ]);
  });
});

describe("the work of a picture", () => {
  it("grows with the network: what laying out asks for, and what is drawn, for each coil", () => {
    const [small, large] = [100, 1_000].map((coils) => {
      const { net, facts } = audited(towerOfCoils(coils, 1));
      const trees = forest(net, facts);
      let asked = 0;
      layOut({
        trees,
        row: floorsOf(net).row,
        plumb: (p) => {
          asked++;
          return facts.fall.vertical[p] === 1;
        },
        room: () => {
          asked++;
          return { left: 4, right: 4, up: 10, down: 4, beside: 0 };
        },
        span: () => {
          asked++;
          return { length: 10, up: 4 };
        },
        gap: 4,
        step: 10,
      });
      return asked / coils;
    }) as [number, number];
    expect(large / small).toBeGreaterThan(0.8);
    expect(large / small).toBeLessThan(1.2);
  });

  it("stays bounded for a chain, a star and a ring of any size", () => {
    const head = { format: 1, id: "a", units: "si", profile: "imc", stage: "design" };
    const coil = { id: "C", kind: "fan-coil", elevation: 50 };
    const outlet = { id: "O", kind: "outlet", elevation: 0 };
    const many = 2_000;
    const chain = {
      ...head,
      nodes: [
        coil,
        ...Array.from({ length: many }, (_, i) => ({ id: `N${i}`, kind: "point", elevation: 49 - i * 0.01 })),
        outlet,
      ],
      pipes: Array.from({ length: many + 1 }, (_, i) => ({
        id: `P${i}`,
        from: i === 0 ? "C" : `N${i - 1}`,
        to: i === many ? "O" : `N${i}`,
        size: 25,
        length: 30,
      })),
    };
    const star = {
      ...head,
      nodes: [
        coil,
        outlet,
        { id: "J", kind: "junction", elevation: 10 },
        ...Array.from({ length: many }, (_, i) => ({ id: `S${i}`, kind: "fan-coil", elevation: 20 })),
      ],
      pipes: [
        { id: "A", from: "C", to: "J", size: 25, length: 60 },
        { id: "B", from: "J", to: "O", size: 25, length: 60 },
        ...Array.from({ length: many }, (_, i) => ({ id: `Q${i}`, from: `S${i}`, to: "J", size: 25, length: 60 })),
      ],
    };
    const ring = {
      ...head,
      nodes: [coil, outlet, ...["X", "Y", "Z"].map((id) => ({ id, kind: "junction", elevation: 5 }))],
      pipes: [
        { id: "E", from: "C", to: "X", size: 25, length: 60 },
        { id: "F", from: "X", to: "Y", size: 25, length: 5 },
        { id: "G", from: "Y", to: "Z", size: 25, length: 5 },
        { id: "H", from: "Z", to: "X", size: 25, length: 5 },
      ],
    };
    for (const document of [chain, star, ring]) {
      const svg = riser(document);
      expect(linked(svg, "data-pipe").size).toBe(document.pipes.length);
      expect(path(document, "C").length).toBeLessThan(40_000 + 160 * document.pipes.length);
    }
  }, 120_000);
});

describe("the colors of a picture", () => {
  /** Relative luminance, WCAG 2.2. */
  const luminance = (color: string): number => {
    const hex = color.length === 4 ? color.replace(/[0-9a-f]/g, "$&$&") : color;
    const [red, green, blue] = [1, 3, 5].map((at) => {
      const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    }) as [number, number, number];
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const contrast = (a: string, b: string): number => {
    const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
    return (light + 0.05) / (dark + 0.05);
  };
  const sheets = [...riser(boathouse).matchAll(/\.dw\{(--paper[^}]*)\}/g)].map(
    ([, words]) =>
      new Map([...words!.matchAll(/--([a-z]+):(#[0-9a-f]{3,6})/g)].map(([, name, color]) => [name!, color!])),
  );

  it("set letters and lines off from what they stand on, by day, by night and on paper", () => {
    expect(sheets).toHaveLength(3);
    for (const colors of sheets) {
      const ratio = (a: string, b: string) => contrast(colors.get(a)!, colors.get(b)!);
      // WCAG 2.2: 4.5 for letters (1.4.3), 3 for what a picture is understood by (1.4.11)
      for (const ink of ["ink", "soft", "advice", "undetermined"])
        expect(ratio(ink, "paper"), ink).toBeGreaterThan(4.5);
      for (const ground of ["critical", "major", "minor"]) expect(ratio("on", ground), ground).toBeGreaterThan(4.5);
      for (const sign of ["deep", "air", "critical", "major", "minor"])
        expect(ratio(sign, "paper"), sign).toBeGreaterThan(3);
      // letters and lines cross water and marked ways
      for (const ground of ["water", "way", "faint"]) expect(ratio("ink", ground), ground).toBeGreaterThan(3);
    }
  });
});
