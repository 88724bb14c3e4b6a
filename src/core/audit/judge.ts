import type { Stage } from "../network/model.js";
import { type Case, type Finding, type Judgement, PASS, type Rule, type Severity } from "../rules/rule.js";
import type { RuleTally } from "./answer.js";

/** A judgement that is more than a plain pass, with the rule that gave it. */
export interface Judged {
  readonly rule: Rule;
  readonly severity: Severity;
  readonly finding: Finding;
}

export interface Judgements {
  readonly judged: readonly Judged[];
  readonly tallies: readonly RuleTally[];
}

const STAGES: readonly Stage[] = ["design", "as-built", "in-service"];

/** Runs every rule over its subjects. One rule's crash ends neither the audit nor hides among its results. */
export function judge(catalogue: readonly Rule[], c: Case, stage: Stage): Judgements {
  const judged: Judged[] = [];
  const tallies = catalogue.map((rule): RuleTally => {
    const none = (why: string): RuleTally => ({
      rule: rule.id,
      outcome: "not-applicable",
      pass: 0,
      fail: 0,
      undetermined: 0,
      why,
    });
    const severity = c.profile.severities.get(rule.id) ?? rule.severity;
    if (severity === "off") return none("The profile switches this rule off.");
    if (STAGES.indexOf(stage) < STAGES.indexOf(rule.stage))
      return none(`Judged from stage ${rule.stage} on; until then it is a question for the commissioning sheet.`);
    const tally = { pass: 0, fail: 0, undetermined: 0 };
    const own: Judged[] = [];
    try {
      for (const subject of rule.subjects(c)) {
        const judgement: Judgement = rule.judge(c, subject);
        tally[judgement.outcome]++;
        if (judgement !== PASS && "anchor" in judgement) own.push({ rule, severity, finding: judgement });
      }
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      return { rule: rule.id, outcome: "broken", pass: 0, fail: 0, undetermined: 0, why: `The rule broke: ${why}` };
    }
    judged.push(...own);
    const outcome = tally.fail > 0 ? "fail" : tally.undetermined > 0 ? "undetermined" : tally.pass > 0 ? "pass" : null;
    return outcome === null ? none(rule.notApplicable) : { rule: rule.id, outcome, ...tally };
  });
  return { judged, tallies };
}
