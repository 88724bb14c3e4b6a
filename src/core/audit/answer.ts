// The answer's shape (6-answer): types first; the zod schema stands in answer-schema.ts and a test says both agree.

import type { Stage } from "../network/model.js";
import type { Family, Kind, Outcome, Severity } from "../rules/rule.js";

export const INCLUDES = [
  "fanCoils",
  "pipes",
  "nodes",
  "runs",
  "pools",
  "seals",
  "airSpaces",
  "airSpacesAtFlow",
  "backups",
  "devices",
  "circuits",
  "topology",
  "paths",
] as const;
export type Include = (typeof INCLUDES)[number];

export interface Audit {
  readonly format: 1;
  readonly engine: { readonly name: "drainward"; readonly version: string; readonly catalogue: string };
  readonly network: { readonly id: string; readonly name: string | null; readonly digest: string };
  readonly profile: { readonly id: string; readonly edition: string; readonly overridden: readonly string[] };
  readonly stage: Stage;
  readonly verdict: "faulty" | "undetermined" | "no-fault-found" | "nothing-judged";
  /** what blockages of drains below coils would do; null: no such drain */
  readonly exposure: {
    readonly state: "contained" | "exposed" | "undetermined";
    /** the uncontained blockage that most water still feeds after all trips; null unless exposed */
    readonly worst: {
      readonly pipe: string;
      readonly openings: readonly string[];
      /** m³/s */
      readonly inflowAfterTrips: number | null;
    } | null;
    /** drains whose blockage nothing contains */
    readonly pipes: number;
  } | null;
  readonly counts: Readonly<Record<Severity | "undetermined", number>>;
  readonly decidedShare: number | null;
  readonly findings: readonly AuditFinding[];
  readonly rules: readonly RuleTally[];
  readonly toSurvey: readonly {
    readonly pointer: string;
    readonly for: readonly string[];
    readonly within: number | null;
  }[];
  readonly assumptions: readonly {
    readonly name: string;
    readonly value: number | string | boolean;
    readonly unit: string | null;
    readonly appliesTo: readonly string[];
    readonly source: string;
  }[];
  readonly cautions: readonly string[];
  /** only where `include` asks; keys as in INCLUDES */
  readonly facts?: Readonly<Partial<Record<Include, unknown>>>;
}

export interface AuditSubject {
  readonly fanCoils: readonly string[];
  readonly nodes: readonly string[];
  readonly pipes: readonly string[];
}

export interface AuditFinding {
  /** rule ~ anchor kind : percent-encoded id */
  readonly id: string;
  readonly rule: string;
  readonly outcome: Outcome;
  readonly family?: Family;
  readonly settledBy?: readonly { readonly pointer: string; readonly within?: number; readonly decision?: string }[];
  readonly severity: Severity;
  readonly kind: Kind;
  readonly subject: AuditSubject;
  readonly message: string;
  readonly evidence: readonly {
    readonly name: string;
    readonly low: number | null;
    readonly best: number | null;
    readonly high: number | null;
    readonly unit: string;
    readonly limit?: { readonly name: string; readonly value: number | null; readonly source: string };
    readonly margin?: number | null;
    readonly from: readonly string[];
  }[];
  readonly sources: readonly string[];
  readonly consequences: readonly {
    readonly rule: string;
    readonly severity: Severity;
    readonly subject: AuditSubject;
    readonly message: string;
  }[];
  readonly remedy: readonly {
    readonly action: string;
    readonly on: string;
    readonly amount?: number;
    readonly unit?: string;
    /** what the amount is, where the action alone does not tell: "seal depth", "drop" */
    readonly what?: string;
    /** of several blockages that the finding tells of: how many it contains */
    readonly contains?: number;
    /** a sentence in the document's units */
    readonly text: string;
    readonly clears: readonly string[];
  }[];
}

export interface RuleTally {
  readonly rule: string;
  readonly outcome: Outcome | "not-applicable" | "broken";
  readonly pass: number;
  readonly fail: number;
  readonly undetermined: number;
  readonly why?: string;
}
