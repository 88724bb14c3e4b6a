import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Audit } from "../../src/core/audit/answer.js";
import { expand } from "../../src/core/index.js";
import type { NetworkDocument } from "../builders/network-document.js";
import { networks } from "../builders/random-network.js";
import { designTower, surveyedTower } from "../builders/surveyed-tower.js";
import { tower } from "../builders/tower.js";
import { differences } from "../reference/differences.js";
import { audited } from "./audited.js";
import { propertyRuns } from "./runs.js";

const expanded = (document: unknown): Record<string, unknown> => {
  const result = expand(document);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return JSON.parse(JSON.stringify(result.document)) as Record<string, unknown>;
};

/** An audit without pointers and digest, which are those of the document that was posted. */
const unpointed = (audit: Audit): unknown =>
  JSON.parse(
    JSON.stringify({ ...audit, network: { ...audit.network, digest: null }, toSurvey: null }, (key, value: unknown) =>
      key === "from" || key === "settledBy" ? undefined : value,
    ),
  );

const stepsOf = (pointer: string): string[] =>
  pointer
    .split("/")
    .slice(1)
    .map((step) => step.replaceAll("~1", "/").replaceAll("~0", "~"));

/** How many steps of a pointer lead somewhere in a document, and how many it has. */
const followed = (document: unknown, pointer: string): { found: number; of: number } => {
  const steps = stepsOf(pointer);
  let at: unknown = document;
  let found = 0;
  for (const step of steps) {
    if (typeof at !== "object" || at === null || !Object.hasOwn(at, step)) break;
    at = (at as Record<string, unknown>)[step];
    found++;
  }
  return { found, of: steps.length };
};

const pointersOf = (audit: Audit) => ({
  evidence: audit.findings.flatMap(({ evidence }) => evidence.flatMap(({ from }) => from)),
  toMeasure: audit.findings.flatMap(({ family, settledBy }) =>
    family === "tolerance" ? settledBy!.map(({ pointer }) => pointer) : [],
  ),
  toFill: audit.toSurvey.map(({ pointer }) => pointer),
});

/** Levels that nothing is sure of make undetermined findings, and figures left out others. */
const vague = (document: NetworkDocument): NetworkDocument => {
  const made = structuredClone(document);
  made.site.surveyTolerance = 0.01;
  for (const typical of Object.values(made.typicals ?? {}))
    for (const node of typical.nodes) {
      if (node.kind === "trap") delete node.sealDepth;
      if (node.kind === "fan-coil") delete node.pan;
    }
  for (const { set } of (made.placements ?? []).slice(0, 4)) delete set?.coil?.panStatic;
  return made;
};

const drawn = (options: { seed: number; faultShare: number }): NetworkDocument =>
  tower({ id: "drawn", name: "Drawn", storeys: 6, risers: 3, stage: "as-built", ...options });

const towers: readonly (readonly [string, NetworkDocument])[] = [
  ["the tower as designed", designTower()],
  ["the tower as surveyed", surveyedTower()],
  ["the tower as surveyed, with much left open", vague(surveyedTower())],
  ["a tower of many faults", drawn({ seed: 5, faultShare: 0.5 })],
  ["a tower of many faults, with much left open", vague(drawn({ seed: 6, faultShare: 0.5 }))],
];

describe.each(towers)("%s", (_, document) => {
  it("is audited as its expansion is, but for pointers and digest", () => {
    expect(differences(unpointed(audited(document)), unpointed(audited(expanded(document))))).toEqual([]);
  });

  it("expands to what expands to itself", () => {
    const once = expanded(document);
    expect(expanded(once)).toEqual(once);
    expect(once).not.toHaveProperty("typicals");
    expect(once).not.toHaveProperty("placements");
  });

  it("finds everything that a finding points at in the document as posted", () => {
    const { evidence, toMeasure, toFill } = pointersOf(audited(document));
    const lost = (pointers: readonly string[], least: (of: number) => number): string[] =>
      [...new Set(pointers)].filter((pointer) => {
        const { found, of } = followed(document, pointer);
        return found < least(of);
      });
    expect(lost(evidence, (of) => of)).toEqual([]);
    expect(lost(toMeasure, (of) => of)).toEqual([]);
    // what nobody gave is not there; the element is, and all but the last names of the field may be lacking
    expect(lost(toFill, (of) => Math.min(of, 2))).toEqual([]);
    expect(
      lost(
        toFill.filter((pointer) => pointer.startsWith("/typicals")),
        () => 4,
      ),
    ).toEqual([]);
  });
});

it("points at something in these towers", () => {
  const all = towers.map(([, document]) => pointersOf(audited(document)));
  for (const kind of ["evidence", "toMeasure", "toFill"] as const)
    expect(all.reduce((sum, pointers) => sum + pointers[kind].length, 0)).toBeGreaterThan(20);
  const evidence = all.flatMap((pointers) => pointers.evidence);
  for (const start of ["/typicals/", "/placements/", "/nodes/", "/pipes/"])
    expect(
      evidence.some((pointer) => pointer.startsWith(start)),
      start,
    ).toBe(true);
});

describe("a network without typicals", () => {
  it("expands to itself but for its stubs, and is audited alike", { timeout: 600_000 }, () => {
    fc.assert(
      fc.property(networks({ most: 40 }), (document) => {
        const original = JSON.parse(JSON.stringify(document)) as { nodes: object[]; pipes: object[] };
        const made = expanded(document) as unknown as { nodes: object[]; pipes: object[] };
        const stubless = original.nodes.map((node) =>
          "kind" in node && node.kind !== "vent" ? { ...node, vent: undefined, cleanout: undefined } : node,
        );
        expect(made.nodes.slice(0, original.nodes.length)).toEqual(JSON.parse(JSON.stringify(stubless)));
        expect(made.pipes.slice(0, original.pipes.length)).toEqual(original.pipes);
        const stubs = made.nodes.slice(original.nodes.length) as { id: string }[];
        expect(stubs.every(({ id }) => /\/(vent|cleanout)$/.test(id))).toBe(true);
        expect((made.pipes.slice(original.pipes.length) as { id: string }[]).map(({ id }) => id)).toEqual(
          stubs.map(({ id }) => id),
        );
        expect({ ...made, nodes: 0, pipes: 0 }).toEqual({ ...original, nodes: 0, pipes: 0 });
        expect(differences(unpointed(audited(document)), unpointed(audited(made as never)))).toEqual([]);
      }),
      { numRuns: propertyRuns(100), seed: Number(process.env.PROPERTY_SEED ?? 20261125) },
    );
  });
});
