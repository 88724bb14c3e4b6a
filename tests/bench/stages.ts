import { analyse } from "../../src/core/analysis/analyse.js";
import type { Audit } from "../../src/core/audit/answer.js";
import { judge } from "../../src/core/audit/judge.js";
import { compile } from "../../src/core/graph/compile.js";
import { audit, readJson } from "../../src/core/index.js";
import { readNetwork } from "../../src/core/network/read.js";
import { resolveProfile } from "../../src/core/profiles/resolve-profile.js";
import { catalogue } from "../../src/core/rules/catalogue.js";

/** Bytes to JSON, JSON to model, model to arrays, arrays to facts, facts to judgements. */
export const STAGES = ["read", "validate", "compile", "analyse", "judge"] as const;
export type StageName = (typeof STAGES)[number];

/** The whole audit of a document's bytes, as a program that uses the library does it: read, audit, print. */
export const auditWhole = (bytes: Uint8Array): { audit: Audit; printed: string } => {
  const read = readJson(bytes);
  if (!read.ok) throw new Error(read.problem.detail);
  const result = audit(read.value);
  if (!result.ok) throw new Error(JSON.stringify(result.problems.slice(0, 5)));
  return { audit: result.audit, printed: JSON.stringify(result.audit) };
};

export interface Staged {
  readonly pipes: number;
  readonly took: Readonly<Record<StageName, number>>;
  readonly analyseAgain: () => unknown;
}

/** The stages one by one, each timed (ms). */
export const auditStages = (bytes: Uint8Array): Staged => {
  const took: Record<StageName, number> = { read: 0, validate: 0, compile: 0, analyse: 0, judge: 0 };
  const timed = <T>(stage: StageName, work: () => T): T => {
    const start = performance.now();
    const made = work();
    took[stage] = performance.now() - start;
    return made;
  };
  const json = timed("read", () => readJson(bytes));
  if (!json.ok) throw new Error(json.problem.detail);
  const read = timed("validate", () => readNetwork(json.value));
  if (!read.ok) throw new Error(JSON.stringify(read.problems.slice(0, 5)));
  const { model } = read;
  const resolved = resolveProfile(model.profile.base, model.profile.overrides, model.units);
  if (!resolved.ok) throw new Error(JSON.stringify(resolved.problems));
  const { profile } = resolved;
  const net = timed("compile", () => compile(model));
  const facts = timed("analyse", () => analyse(net, profile));
  timed("judge", () => judge(catalogue, { net, facts, profile, wantPasses: false }, model.stage));
  return { pipes: net.pipeCount, took, analyseAgain: () => analyse(net, profile) };
};
