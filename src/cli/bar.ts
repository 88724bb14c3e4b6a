import type { Audit } from "../core/index.js";

/** What makes the exit status 1, from the strictest reading of a severity to none at all. */
export const bars = ["critical", "major", "minor", "advice", "undetermined", "exposed", "none"] as const;
export type Bar = (typeof bars)[number];

const ladder = ["critical", "major", "minor", "advice"] as const;
type Severity = (typeof ladder)[number];

/**
 * Whether an audit reaches the bar. Contingencies ("what follows if…") never do by their severity: the bars count what
 * is so now and what a visit found.
 */
export const reaches = (audit: Audit, bar: Bar): boolean => {
  switch (bar) {
    case "none":
      return false;
    case "undetermined":
      return fails(audit, "major") || audit.verdict === "undetermined";
    case "exposed":
      return fails(audit, "major") || audit.exposure?.state === "exposed";
    default:
      return fails(audit, bar);
  }
};

const fails = (audit: Audit, least: Severity): boolean =>
  audit.findings.some(
    ({ outcome, kind, severity }) =>
      outcome === "fail" && kind !== "contingency" && ladder.indexOf(severity) <= ladder.indexOf(least),
  );
