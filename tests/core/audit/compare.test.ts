import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { faultsOfAnswer } from "../../../src/core/audit/answer-schema.js";
import { audit, compare } from "../../../src/core/index.js";

const BUILDINGS = new URL("../../../fixtures/buildings/", import.meta.url);
const load = (): unknown => JSON.parse(readFileSync(new URL("tower-as-surveyed.json", BUILDINGS), "utf8"));

const auditOf = (document: unknown) => {
  const answer = audit(document);
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  expect(faultsOfAnswer(answer.audit)).toEqual([]);
  return answer.audit;
};

describe("a comparison", () => {
  const before = auditOf(load());
  const failing = before.findings.filter((f) => f.outcome === "fail");

  test("of an audit with itself finds everything persisting and no margin moved", () => {
    const same = compare(before, before);
    expect(same.persists.map(({ id }) => id)).toEqual(failing.map(({ id }) => id));
    expect([same.new, same.cleared, same.lostSight, same.margins]).toEqual([[], [], [], []]);
  });

  test("turned round, what is new is what was cleared", () => {
    const sound = structuredClone(before);
    const fixed = failing[0];
    const without = { ...sound, findings: sound.findings.filter((f) => f.id !== fixed.id) };
    expect(compare(before, without).cleared.map(({ id }) => id)).toEqual([fixed.id]);
    expect(compare(without, before).new.map(({ id }) => id)).toEqual([fixed.id]);
  });

  test("a finding that failed and is now undetermined is lost from sight, never cleared", () => {
    const fixed = failing[0];
    const blurred = {
      ...before,
      findings: before.findings.map((f) =>
        f.id === fixed.id ? { ...f, outcome: "undetermined" as const, family: "missing" as const, settledBy: [] } : f,
      ),
    };
    const seen = compare(before, blurred);
    expect(seen.lostSight.map(({ id }) => id)).toEqual([fixed.id]);
    expect(seen.cleared).toEqual([]);
  });

  test("a rule that broke has lost sight of what it had found", () => {
    const fixed = failing[0];
    const broken = {
      ...before,
      findings: before.findings.filter((f) => f.rule !== fixed.rule),
      rules: before.rules.map((row) => (row.rule === fixed.rule ? { ...row, outcome: "broken" as const } : row)),
    };
    expect(compare(before, broken).lostSight.map(({ rule }) => rule)).toContain(fixed.rule);
  });

  test("a finding that another cause has taken in persists, and says where it is told", () => {
    // two faults that have nothing in common, so that neither is found under the other by its elements
    const [cause, effect] = [
      failing[0],
      failing.find((f) => f.rule !== failing[0].rule && f.consequences.length === 0),
    ];
    if (effect === undefined) throw new Error("the tower has no second fault");
    const folded = {
      ...before,
      findings: before.findings
        .filter((f) => f.id !== effect.id)
        .map((f) =>
          f.id === cause.id
            ? {
                ...f,
                consequences: [
                  { rule: effect.rule, severity: effect.severity, subject: effect.subject, message: effect.message },
                ],
              }
            : f,
        ),
    };
    const told = compare(before, folded);
    expect(told.persists.find(({ id }) => id === effect.id)?.within).toBe(cause.id);
    expect(told.cleared).toEqual([]);
    expect(compare(folded, before).new).toEqual([]);
  });
});
