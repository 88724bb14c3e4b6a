import { describe, expect, it } from "vitest";
import type { Audit, AuditFinding } from "../../../src/core/index.js";
import { audit } from "../../../src/core/index.js";
import { catalogue } from "../../../src/core/rules/catalogue.js";
import { withRemedy } from "../../builders/with-remedy.js";
import { fixtureFiles, readFixture } from "./truth-table.js";

// What a finding proposes is applied to its document, and the document is audited again: what the steps say they clear
// must be gone. Steps that leave a choice to the designer (where to lead a drain, how to hang a whole run) are left out.

const failing = (result: Audit): Map<string, AuditFinding> =>
  new Map(result.findings.filter((finding) => finding.outcome === "fail").map((finding) => [finding.id, finding]));

const auditOf = (document: unknown): Audit => {
  const answer = audit(document);
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.audit;
};

/** Steps that help only together with those of another finding of the same document. */
const TOGETHER: ReadonlyMap<string, string> = new Map([
  ["air.branch-vent fail-vent-under-water.json", "a vent helps once the water that stands there is gone"],
  ["air.main-vent fail-vent-beyond-standing-water.json", "a vent helps once the water that stands there is gone"],
]);

const cases = catalogue.flatMap(({ id }) =>
  fixtureFiles(id)
    .filter((file) => file.startsWith("fail-"))
    .map((file) => [id, file] as const),
);

describe("remedies clear what they say they clear", () => {
  let applied = 0;
  it.each(cases)("%s %s", (rule, file) => {
    if (TOGETHER.has(`${rule} ${file}`)) return;
    const { document } = readFixture(rule, file);
    for (const finding of failing(auditOf(document)).values()) {
      const about = [finding.rule, ...finding.consequences.map((consequence) => consequence.rule)];
      if (!about.includes(rule)) continue;
      const draft = withRemedy(document, finding.remedy);
      if (draft === null) continue;
      const after = failing(auditOf(draft));
      for (const cleared of new Set([finding.id, ...finding.remedy.flatMap((step) => step.clears)]))
        expect(after.get(cleared)?.message, `${cleared} after ${finding.remedy.map((s) => s.text).join("; ")}`).toBe(
          undefined,
        );
      applied++;
    }
  });

  it("were put to the proof", () => {
    expect(applied).toBeGreaterThan(20);
  });
});
