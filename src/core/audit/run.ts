import { createHash } from "node:crypto";
import canonicalize from "canonicalize";
import { analyse } from "../analysis/analyse.js";
import type { Facts } from "../analysis/facts.js";
import { compile } from "../graph/compile.js";
import type { Compiled } from "../graph/compiled.js";
import type { Model, Problem } from "../network/model.js";
import { readNetwork } from "../network/read.js";
import { asFarAsWritten, writtenAt } from "../network/written-at.js";
import type { Profile } from "../profiles/profile.js";
import { resolveProfile } from "../profiles/resolve-profile.js";
import { SI_UNIT } from "../quantity/si-unit.js";
import type { QuantityKind, Speaker } from "../quantity/speaker.js";
import { catalogue } from "../rules/catalogue.js";
import type { Case, Evidence, RemedyStep, Severity } from "../rules/rule.js";
import { type Audit, type AuditFinding, type AuditSubject, INCLUDES, type Include } from "./answer.js";
import { assumptionsOf } from "./assumptions.js";
import { cautionsFor } from "./cautions.js";
import { catalogueVersion, VERSION } from "./engine.js";
import { exposureOf } from "./exposure.js";
import { factsView } from "./facts-view.js";
import { type Folded, fold } from "./fold.js";
import { foldAlike } from "./fold-alike.js";
import { judge } from "./judge.js";
import { remedyWords } from "./remedy-words.js";
import { namelessSpeaker, speakerFor } from "./speaker.js";

export interface AuditOptions {
  /** words of INCLUDES, `passes`, or `all` (every word of INCLUDES, not `passes`) */
  readonly include?: readonly string[];
  /** id of a profile that replaces the document's */
  readonly profile?: string;
}

export type AuditResult =
  | { readonly ok: true; readonly audit: Audit }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * Audits a network document (a parsed JSON value). Pure: the same document, options and catalogue give the same answer.
 * @returns the audit, or every problem of the document with its JSON pointer (at most 100 listed, `total` counted)
 * @throws RangeError on an unknown word in `include`
 */
export function audit(document: unknown, options: AuditOptions = {}): AuditResult {
  const made = auditedCase(document, options);
  return made.ok ? { ok: true, audit: made.audited.audit } : made;
}

/** An audit beside what it was made from, for whoever shows more of the network than the answer tells. */
export interface Audited {
  readonly audit: Audit;
  readonly net: Compiled;
  readonly facts: Facts;
  readonly profile: Profile;
  /** what kind of figure each piece of evidence is, finding by finding as the audit lists them */
  readonly evidenceKinds: () => readonly (readonly QuantityKind[])[];
}

export type AuditedResult =
  | { readonly ok: true; readonly audited: Audited }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** As `audit`, and hands on the network, its facts and the profile. */
export function auditedCase(document: unknown, options: AuditOptions = {}): AuditedResult {
  const include = includesOf(options.include ?? []);
  const read = readNetwork(document);
  const model = read.ok ? read.model : null;
  if (model === null) return { ok: false, problems: read.ok ? [] : read.problems, total: read.ok ? 0 : read.total };
  const resolved = profileFor(model, options.profile);
  if (!resolved.ok) return { ok: false, problems: resolved.problems, total: resolved.problems.length };
  const net = compile(model);
  const facts = analyse(net, resolved.profile);
  return { ok: true, audited: answer(document, net, facts, resolved.profile, include) };
}

function includesOf(words: readonly string[]): { facts: Set<Include>; passes: boolean } {
  const facts = new Set<Include>();
  let passes = false;
  for (const word of words) {
    if (word === "passes") passes = true;
    else if (word === "all") for (const each of INCLUDES) facts.add(each);
    else if ((INCLUDES as readonly string[]).includes(word)) facts.add(word as Include);
    else throw new RangeError(`unknown word in include: ${word}`);
  }
  return { facts, passes };
}

function profileFor(
  model: Model,
  replacement: string | undefined,
): { ok: true; profile: Profile } | { ok: false; problems: Problem[] } {
  const { base, overrides } = model.profile;
  const resolved =
    replacement === undefined
      ? resolveProfile(base, overrides, model.units)
      : resolveProfile(replacement, {}, model.units);
  if (resolved.ok) return resolved;
  return {
    ok: false,
    problems: resolved.problems.map((p) => ({
      ...p,
      pointer: p.pointer === "" ? "/profile" : `/profile/overrides${p.pointer}`,
    })),
  };
}

const SEVERITIES: readonly Severity[] = ["critical", "major", "minor", "advice"];
const worst = (a: Severity, b: Severity): Severity => (SEVERITIES.indexOf(a) <= SEVERITIES.indexOf(b) ? a : b);
const grave = (severity: Severity): boolean => severity === "critical" || severity === "major";

function answer(
  document: unknown,
  net: Compiled,
  facts: Facts,
  profile: Profile,
  include: { facts: Set<Include>; passes: boolean },
): Audited {
  const { model } = net;
  const c: Case = { net, facts, profile, wantPasses: include.passes };
  const { judged, tallies } = judge(catalogue, c, model.stage);
  const speak = speakerFor(net, profile);
  const folded = foldAlike(net, fold(net, facts, judged), namelessSpeaker(net, profile));
  const found = folded.map((f) => findingOf(document, net, f, speak));
  shareRemedies(found);
  const findings = [...found].sort(byUrgency);

  const counts = { critical: 0, major: 0, minor: 0, advice: 0, undetermined: 0 };
  for (const f of findings) {
    if (f.outcome === "fail") counts[f.severity]++;
    else if (f.outcome === "undetermined") counts.undetermined++;
  }

  // The verdict counts conditions and records, before folding; a contingency is only a finding.
  const ruleOf = new Map(catalogue.map((rule) => [rule.id, rule]));
  let decided = 0;
  let asked = 0;
  let faulty = false;
  let open = false;
  for (const tally of tallies) {
    const rule = ruleOf.get(tally.rule)!;
    if (rule.kind === "contingency") continue;
    decided += tally.pass + tally.fail;
    asked += tally.pass + tally.fail + tally.undetermined;
    const set = profile.severities.get(rule.id) ?? rule.severity;
    if (set === "off" || !grave(set)) continue;
    if (tally.fail > 0) faulty = true;
    if (tally.outcome === "broken") open = true;
  }
  for (const { rule, severity, finding } of judged)
    if (
      finding.outcome === "undetermined" &&
      finding.family !== "method" &&
      rule.kind !== "contingency" &&
      grave(severity)
    )
      open = true;
  const nothing = tallies.every((t) => t.outcome === "not-applicable");

  const audit: Audit = {
    format: 1,
    engine: { name: "drainward", version: VERSION, catalogue: catalogueVersion() },
    network: { id: model.id, name: model.name, digest: digest(document) },
    profile: { id: profile.id, edition: profile.edition, overridden: profile.overridden },
    stage: model.stage,
    verdict: nothing ? "nothing-judged" : faulty ? "faulty" : open ? "undetermined" : "no-fault-found",
    exposure: exposureOf(net, facts),
    counts,
    decidedShare: asked === 0 ? null : decided / asked,
    findings,
    rules: tallies,
    toSurvey: surveyList(findings),
    assumptions: assumptionsOf(net, facts, profile),
    cautions: cautionsFor(net),
    ...(include.facts.size > 0 ? { facts: factsView({ net, facts, profile }, include.facts) } : {}),
  };
  const evidenceKinds = () => {
    const kinds = new Map(found.map((each, i) => [each, folded[i].evidence.map(({ kind }) => kind)]));
    return findings.map((each) => kinds.get(each)!);
  };
  return { audit, net, facts, profile, evidenceKinds };
}

/** sha256 of the document's RFC 8785 form: the same network has the same digest however it was laid out. */
export const digest = (document: unknown): string =>
  `sha256:${createHash("sha256")
    .update(canonicalize(document) ?? "")
    .digest("hex")}`;

const ANCHORS = { node: "n", pipe: "p", coil: "f", device: "d", circuit: "c", building: "b" } as const;

function findingOf(document: unknown, net: Compiled, f: Folded, speak: Speaker): AuditFinding {
  const id = `${f.rule.id}~${ANCHORS[f.rule.anchor]}:${encodeURIComponent(anchorId(net, f))}`;
  const severity = f.consequences.reduce((s, each) => worst(s, each.severity), f.severity);
  const steps = f.outcome === "pass" ? [] : [...f.remedy];
  return {
    id,
    rule: f.rule.id,
    outcome: f.outcome,
    ...(f.finding.family === undefined ? {} : { family: f.finding.family }),
    ...(f.outcome === "undetermined"
      ? { settledBy: f.settledBy.map((each) => ({ ...each, pointer: writtenAt(net.model, each.pointer) })) }
      : {}),
    severity,
    kind: f.rule.kind,
    subject: subjectOf(net, f),
    message: messageOf(net, f, speak),
    evidence: f.evidence.map((each) => evidenceView(document, net, each)),
    sources: [...new Set([...f.rule.sources, ...f.evidence.flatMap((e) => (e.limit ? [e.limit.source] : []))])],
    consequences: f.consequences
      .map((each) => ({
        rule: each.rule.id,
        severity: each.severity,
        subject: subjectOf(net, each),
        message: messageOf(net, each, speak),
      }))
      .sort(
        (a, b) =>
          SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity) ||
          (a.rule < b.rule ? -1 : a.rule > b.rule ? 1 : a.message < b.message ? -1 : 1),
      ),
    remedy: steps.map((step) => ({
      action: step.action,
      on: stepId(net, step),
      ...(step.amount === undefined ? {} : { amount: step.amount + 0, unit: SI_UNIT[step.kind ?? "length"] }),
      ...(step.what === undefined ? {} : { what: step.what }),
      ...(step.contains === undefined ? {} : { contains: step.contains.drains }),
      text: remedyWords(step, speak),
      clears: [id],
    })),
  };
}

function stepId(net: Compiled, { on: { node, pipe, device, circuit } }: RemedyStep): string {
  if (pipe !== undefined) return net.pipes[pipe].id;
  if (node !== undefined) return net.nodes[node].id;
  return device !== undefined ? net.model.devices[device].id : net.model.circuits[circuit!].id;
}

function anchorId(net: Compiled, f: Folded): string {
  const { anchor } = f.finding;
  switch (f.rule.anchor) {
    case "node":
      return net.nodes[anchor].id;
    case "pipe":
      return net.pipes[anchor].id;
    case "coil":
      return net.nodes[net.coils[anchor]].id;
    case "device":
      return net.model.devices[anchor].id;
    case "circuit":
      return net.model.circuits[anchor].id;
    case "building":
      return net.model.id;
  }
}

const subjectOf = (net: Compiled, f: Folded): AuditSubject => ({
  fanCoils: ascending(f.fanCoils).map((i) => net.nodes[i].id),
  nodes: ascending(f.nodes).map((i) => net.nodes[i].id),
  pipes: ascending(f.pipes).map((p) => net.pipes[p].id),
});
const ascending = (set: ReadonlySet<number>): number[] => [...set].sort((a, b) => a - b);

function messageOf(net: Compiled, f: Folded, speak: Speaker): string {
  const told = new Set(f.finding.subject.pipes);
  const above = f.merged.length === 0 ? [] : f.merged.flatMap(({ subject }) => subject.pipes ?? []);
  const more = ascending(new Set(above)).filter((pipe) => !told.has(pipe));
  const named = (ids: readonly string[]) => speak.list(ids, 6);
  return [
    f.rule.say(f.finding.data, speak),
    ...(more.length === 0 ? [] : [`The same holds just above it: ${named(more.map((p) => net.pipes[p].id))}.`]),
    ...(f.alike.length === 0
      ? []
      : [`The same at ${f.alike.length} more: ${named(f.alike.map((each) => anchorId(net, each)))}.`]),
  ].join(" ");
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value + 0 : null);

const evidenceView = (document: unknown, net: Compiled, e: Evidence): AuditFinding["evidence"][number] => ({
  name: e.name,
  low: finite(e.low),
  best: finite(e.best),
  high: finite(e.high),
  unit: SI_UNIT[e.kind],
  ...(e.limit === undefined
    ? {}
    : { limit: { name: e.limit.name, value: finite(e.limit.value), source: e.limit.source } }),
  ...(e.margin === undefined ? {} : { margin: finite(e.margin) }),
  from: [...new Set(e.from.map((pointer) => asFarAsWritten(document, writtenAt(net.model, pointer))))],
});

/** The same step asked for by several findings is one step: the larger amount, and it clears them all. */
function shareRemedies(findings: readonly AuditFinding[]): void {
  type Step = AuditFinding["remedy"][number];
  const steps = new Map<string, Step>();
  // Two cleanouts in one pipe are two.
  const keyOf = (s: Step) => `${s.action} ${s.on} ${s.what ?? ""}${s.action === "add-cleanout" ? ` ${s.amount}` : ""}`;
  for (const f of findings)
    for (const step of f.remedy) {
      const key = keyOf(step);
      const known = steps.get(key);
      if (known === undefined) steps.set(key, step);
      else {
        const larger = (step.amount ?? 0) > (known.amount ?? 0) ? step : known;
        steps.set(key, { ...larger, clears: [...new Set([...known.clears, ...step.clears])].sort() });
      }
    }
  for (const f of findings) {
    const own = [...new Set(f.remedy.map(keyOf))].map((key) => steps.get(key)!);
    (f as { remedy: readonly Step[] }).remedy = own;
  }
}

const OUTCOMES = ["fail", "undetermined", "pass"];
const byUrgency = (a: AuditFinding, b: AuditFinding): number =>
  SEVERITIES.indexOf(a.severity) - SEVERITIES.indexOf(b.severity) ||
  OUTCOMES.indexOf(a.outcome) - OUTCOMES.indexOf(b.outcome) ||
  (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);

/** What the next survey must bring: every pointer that an undetermined finding waits for, with the rules that ask. */
function surveyList(findings: readonly AuditFinding[]): Audit["toSurvey"] {
  const list = new Map<string, { rules: Set<string>; within: number | null }>();
  for (const f of findings)
    for (const step of f.settledBy ?? []) {
      if (step.decision !== undefined) continue;
      const known = list.get(step.pointer);
      const within = step.within ?? null;
      if (known === undefined) list.set(step.pointer, { rules: new Set([f.rule]), within });
      else {
        known.rules.add(f.rule);
        if (within !== null) known.within = known.within === null ? within : Math.min(known.within, within);
      }
    }
  // In the order of the findings: the most urgent first, whatever the order of the document.
  return [...list].map(([pointer, { rules, within }]) => ({ pointer, for: [...rules].sort(), within }));
}
