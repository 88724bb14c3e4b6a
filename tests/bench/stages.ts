import type * as Analyse from "../../src/core/analysis/analyse.js";
import type * as Backups from "../../src/core/analysis/backups.js";
import type * as Fall from "../../src/core/analysis/fall.js";
import type { Audit } from "../../src/core/audit/answer.js";
import type * as Judge from "../../src/core/audit/judge.js";
import type * as Compile from "../../src/core/graph/compile.js";
import type * as Library from "../../src/core/index.js";
import type * as Read from "../../src/core/network/read.js";
import type * as Profiles from "../../src/core/profiles/resolve-profile.js";
import type * as Catalogue from "../../src/core/rules/catalogue.js";
import { stopwatch } from "./measure.js";

/** Bytes to JSON, JSON to model, model to arrays, arrays to facts, facts to judgements. */
export const STAGES = ["read", "validate", "compile", "analyse", "judge"] as const;
export type StageName = (typeof STAGES)[number];

export interface Staged {
  readonly pipes: number;
  readonly took: Readonly<Record<StageName, number>>;
  readonly analyseAgain: () => unknown;
  readonly fallsAgain: () => unknown;
  /** where every blocked drain spills first, what trips before, and what that leaves running */
  readonly firstSpillsAgain: () => unknown;
}

export interface Auditor {
  /** The whole audit of a document's bytes, as a program that uses the library does it: read, audit, print. */
  readonly whole: (bytes: Uint8Array) => { audit: Audit; printed: string };
  /** The stages one by one, each timed (ms). */
  readonly stages: (bytes: Uint8Array) => Staged;
  /** What is made of a document to look at, each with the audit that it shows. */
  readonly draw: (document: unknown) => string;
  readonly report: (document: unknown) => string;
}

/** The core as built (what the programs run) or from its sources (what tests run). */
export const auditorFrom = async (root: "dist" | "src"): Promise<Auditor> => {
  const room = <T>(path: string) => import(new URL(`../../${root}/core/${path}`, import.meta.url).href) as Promise<T>;
  const { audit, drawRiser, readJson, report } = await room<typeof Library>("index.js");
  const { readNetwork } = await room<typeof Read>("network/read.js");
  const { resolveProfile } = await room<typeof Profiles>("profiles/resolve-profile.js");
  const { compile } = await room<typeof Compile>("graph/compile.js");
  const { analyse } = await room<typeof Analyse>("analysis/analyse.js");
  const { backups } = await room<typeof Backups>("analysis/backups.js");
  const { fallFacts } = await room<typeof Fall>("analysis/fall.js");
  const { judge } = await room<typeof Judge>("audit/judge.js");
  const { catalogue } = await room<typeof Catalogue>("rules/catalogue.js");

  const whole: Auditor["whole"] = (bytes) => {
    const read = readJson(bytes);
    if (!read.ok) throw new Error(read.problem.detail);
    const result = audit(read.value);
    if (!result.ok) throw new Error(JSON.stringify(result.problems.slice(0, 5)));
    return { audit: result.audit, printed: JSON.stringify(result.audit) };
  };

  const stages: Auditor["stages"] = (bytes) => {
    const took: Record<StageName, number> = { read: 0, validate: 0, compile: 0, analyse: 0, judge: 0 };
    const timed = <T>(stage: StageName, work: () => T): T => {
      const taken = stopwatch();
      const made = work();
      took[stage] = taken();
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
    const { geometry, water, topology, loads, circuits } = facts;
    return {
      pipes: net.pipeCount,
      took,
      analyseAgain: () => analyse(net, profile),
      fallsAgain: () => fallFacts(net, profile, geometry, topology),
      firstSpillsAgain: () => backups(net, geometry, water, topology, loads, circuits),
    };
  };

  const draw: Auditor["draw"] = (document) => {
    const made = drawRiser(document);
    if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 5)));
    return made.svg;
  };
  const print: Auditor["report"] = (document) => {
    const made = report(document);
    if (!made.ok) throw new Error(JSON.stringify(made.problems.slice(0, 5)));
    return made.html;
  };

  return { whole, stages, draw, report: print };
};
