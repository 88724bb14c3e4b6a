import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { audit, INCLUDES } from "../../src/core/index.js";

/** A figure as printed, with how closely the audit must agree; text, null and counts agree exactly. */
type Expected = string | number | null | { value: number; within?: number; relative?: number; printed: string };

interface Case {
  readonly work: string;
  readonly confidence: "high" | "medium" | "low" | "memory";
  readonly note: string;
  readonly document: unknown;
  readonly expect: {
    readonly failing?: readonly string[];
    readonly notFailing?: readonly string[];
  } & Readonly<Partial<Record<"pipes" | "seals" | "pools" | "fanCoils", Record<string, Record<string, Expected>>>>>;
}

const folder = new URL("../../fixtures/published/", import.meta.url);
const names = readdirSync(folder).filter((name) => name.endsWith(".json"));

describe.each(names)("%s", (name) => {
  const published = JSON.parse(readFileSync(new URL(name, folder), "utf8")) as Case;
  const result = audit(published.document, { include: INCLUDES });
  if (!result.ok) throw new Error(`${name}: ${JSON.stringify(result.problems)}`);
  const { findings, facts } = result.audit;

  test("cites what it reproduces, and how sure that is", () => {
    expect(published.work.length).toBeGreaterThan(20);
    expect(["high", "medium", "low", "memory"]).toContain(published.confidence);
  });

  const rows = (["pipes", "seals", "pools", "fanCoils"] as const).flatMap((list) =>
    Object.entries(published.expect[list] ?? {}).flatMap(([id, fields]) =>
      Object.entries(fields).map(([field, wanted]) => [list, id, field, wanted] as const),
    ),
  );
  if (rows.length > 0)
    test.each(rows)(`${published.work}: %s %s %s`, (list, id, field, wanted) => {
      const elements = facts?.[list] as readonly Record<string, unknown>[];
      const element = elements.find((candidate) => candidate.id === id);
      expect(element, `${list} has no ${id}`).toBeDefined();
      const found = element![field];
      if (wanted === null || typeof wanted !== "object") {
        expect(found).toBe(wanted);
        return;
      }
      expect(typeof found).toBe("number");
      const slack = wanted.within ?? Math.abs(wanted.value) * wanted.relative!;
      expect(Math.abs((found as number) - wanted.value), `${found} against ${wanted.printed}`).toBeLessThanOrEqual(
        slack,
      );
    });

  const failing = findings.filter(({ outcome }) => outcome === "fail").map(({ id }) => id);
  if (published.expect.failing !== undefined)
    test.each(published.expect.failing)("%s fails", (id) => expect(failing).toContain(id));
  if (published.expect.notFailing !== undefined)
    test.each(published.expect.notFailing)("%s does not fail", (id) => expect(failing).not.toContain(id));
});
