import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import { audit } from "../src/core/index.js";
import { writtenOut } from "./builders/network-document.js";
import { printDocument } from "./builders/print-document.js";
import { designTower, surveyedTower } from "./builders/surveyed-tower.js";

type Answer = Extract<ReturnType<typeof audit>, { ok: true }>["audit"];

interface Plant {
  readonly plant: string;
  readonly where: string;
  readonly working: string;
  readonly expect: {
    readonly rule: string;
    readonly id: string;
    readonly outcome: string;
    readonly severity: string;
    readonly evidence: Readonly<Record<string, { value: number; within: number; limit?: number }>>;
    readonly consequences: readonly string[];
    readonly pool?: { id: string; maxDepth: number; sealDepth: number; within: number };
    readonly pipes?: Readonly<Record<string, Readonly<Record<string, number | string>>>>;
  };
}

const text = (name: string): string => readFileSync(new URL(`../fixtures/buildings/${name}`, import.meta.url), "utf8");

const auditOf = (name: string, include?: readonly string[]): Answer => {
  const result = audit(JSON.parse(text(name)), include === undefined ? {} : { include });
  if (!result.ok) throw new Error(JSON.stringify(result.problems, null, 1));
  return result.audit;
};

const failing = (answer: Answer) => answer.findings.filter(({ outcome }) => outcome === "fail");

describe("three coils on one main (the tutorial)", () => {
  test("has one thing wrong, and it is found", () => {
    const answer = auditOf("three-coils.json");
    expect(failing(answer).map(({ id, severity }) => `${severity} ${id}`)).toEqual(["critical seal.missing~f:FC-3"]);
    expect(failing(answer)[0].consequences.map(({ rule }) => rule)).toEqual(["air.bypass"]);
    expect(answer.verdict).toBe("faulty");
    expect(answer.counts.undetermined).toBe(0);
  });
});

describe("the tower as designed", () => {
  const answer = () => auditOf("tower-design.json", ["fanCoils"]);

  test("has at least 12 storeys and 90 coils on several risers", () => {
    const document = writtenOut(designTower());
    expect(document.floors.length).toBeGreaterThanOrEqual(12);
    const coils = document.nodes.filter(({ kind }) => kind === "fan-coil");
    expect(coils.length).toBeGreaterThanOrEqual(90);
    const risersFeet = document.nodes.filter(({ id }) => /^B-\d+$/.test(id));
    expect(risersFeet).toHaveLength(4);
  });

  test("gives no finding, contains every blockage, and every subject is decided", () => {
    const { findings, verdict, exposure, decidedShare, rules } = answer();
    expect(findings.map(({ id, outcome, message }) => `${outcome} ${id}: ${message}`)).toEqual([]);
    expect(exposure).toEqual({ state: "contained", worst: null, pipes: 0 });
    expect(rules.filter(({ outcome }) => outcome === "broken")).toEqual([]);
    expect(verdict).toBe("no-fault-found");
    expect(decidedShare).toBe(1);
  });

  test("has a positive budget of fall on every path", () => {
    const coils = answer().facts?.fanCoils as readonly { id: string; fallBudget: number | null }[];
    expect(coils.filter(({ fallBudget }) => fallBudget === null || fallBudget <= 0)).toEqual([]);
  });

  test("is what the builder builds", () => {
    expect(text("tower-design.json")).toBe(printDocument(designTower()));
  });
});

describe("the tower as surveyed", () => {
  const { plants } = JSON.parse(text("tower-as-surveyed.plants.json")) as { plants: readonly Plant[] };
  let answer: Answer;
  beforeAll(() => {
    answer = auditOf("tower-as-surveyed.json", ["pools", "pipes"]);
  });

  test("is what the builder builds", () => {
    expect(text("tower-as-surveyed.json")).toBe(printDocument(surveyedTower()));
  });

  test("carries at least fifteen faults of different kinds", () => {
    expect(new Set(plants.map(({ plant }) => plant)).size).toBe(plants.length);
    expect(new Set(plants.map(({ expect: { rule } }) => rule)).size).toBeGreaterThanOrEqual(15);
  });

  test.each(plants.map((plant) => [plant.plant, plant] as const))("%s", (_, { working, expect: wanted }) => {
    const found = answer.findings.filter(({ id }) => id === wanted.id);
    expect(found, working).toHaveLength(1);
    const finding = found[0];
    expect(finding).toMatchObject({ rule: wanted.rule, outcome: wanted.outcome, severity: wanted.severity });
    expect([...new Set(finding.consequences.map(({ rule }) => rule))].sort()).toEqual(wanted.consequences);
    for (const [name, { value, within, limit }] of Object.entries(wanted.evidence)) {
      const evidence = finding.evidence.find((figure) => figure.name === name);
      const best = evidence?.best ?? Number.NaN;
      expect(Math.abs(best - value), `${name} ${best}: ${working}`).toBeLessThanOrEqual(within);
      if (limit !== undefined) expect(evidence?.limit?.value).toBeCloseTo(limit, 6);
    }
    if (wanted.pool !== undefined) {
      const pools = answer.facts?.pools as readonly { id: string; maxDepth: number; sealDepth: number | null }[];
      const pool = pools.find(({ id }) => id === wanted.pool!.id);
      expect(Math.abs((pool?.maxDepth ?? Number.NaN) - wanted.pool.maxDepth)).toBeLessThanOrEqual(wanted.pool.within);
      expect(Math.abs((pool?.sealDepth ?? Number.NaN) - wanted.pool.sealDepth)).toBeLessThanOrEqual(wanted.pool.within);
    }
    const pipes = answer.facts?.pipes as readonly Record<string, unknown>[];
    for (const [field, values] of Object.entries(wanted.pipes ?? {}))
      for (const [id, value] of Object.entries(values)) {
        const fact = pipes.find((pipe) => pipe.id === id)?.[field];
        if (typeof value === "number") expect(Math.abs((fact as number) - value)).toBeLessThanOrEqual(0.01);
        else expect(fact).toBe(value);
      }
  });

  test("gives no failing finding that is not a plant", () => {
    const wanted = new Set(plants.map(({ expect: { id } }) => id));
    expect(
      failing(answer)
        .filter(({ id }) => !wanted.has(id))
        .map(({ id, message }) => `${id}: ${message}`),
    ).toEqual([]);
    expect(answer.verdict).toBe("faulty");
    expect(answer.rules.filter(({ outcome }) => outcome === "broken")).toEqual([]);
  });
});
