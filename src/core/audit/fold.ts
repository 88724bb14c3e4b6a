import type { Facts } from "../analysis/facts.js";
import type { Compiled } from "../graph/compiled.js";
import type { Evidence, Finding, Links, Outcome, RemedyStep, Rule, Settle, Severity } from "../rules/rule.js";
import type { Judged } from "./judge.js";

/** Judgements of one rule about one thing, with whatever followed from it. Indices, not ids. */
export interface Folded {
  readonly rule: Rule;
  readonly severity: Severity;
  readonly outcome: Outcome;
  /** the judgement that speaks: of pipes along the flow, the most downstream */
  readonly finding: Finding;
  readonly fanCoils: Set<number>;
  readonly nodes: Set<number>;
  readonly pipes: Set<number>;
  readonly links: Record<keyof Links, Set<number>>;
  readonly settledBy: Settle[];
  readonly evidence: Evidence[];
  readonly remedy: RemedyStep[];
  /** how many further judgements were merged into it */
  merged: Finding[];
  /** others that say the same of further places of one typical */
  readonly alike: Folded[];
  cause: Folded | null;
  readonly consequences: Folded[];
}

type Shared = keyof Links;

/** Effect, cause, and the thing that they must share; of several causes that fit, the first counts. */
const FOLDS: readonly (readonly [effect: string, cause: string, by: Shared])[] = [
  ["fall.below-minimum", "fall.reverse", "pipe"],
  ["fall.pan-to-trap", "fall.reverse", "pipe"],
  ["fall.below-recommended", "fall.reverse", "pipe"],
  ["fall.standing-water", "outlet.submerged", "outlet"],
  ["fall.standing-water", "fall.reverse", "pipe"],
  ["fall.shallow-pool", "outlet.submerged", "outlet"],
  ["fall.shallow-pool", "fall.reverse", "pipe"],
  ["seal.unintended", "fall.standing-water", "pool"],
  ["seal.double", "seal.unintended", "pool"],
  ["air.trapped", "seal.unintended", "pool"],
  ["air.trapped", "outlet.submerged", "outlet"],
  ["air.trapped", "seal.double", "seal"],
  ["air.trapped", "air.vent-capped", "vent"],
  ["air.trapped", "air.branch-vent", "coil"],
  ["air.lock-head", "air.trapped", "space"],
  ["air.branch-vent", "air.vent-capped", "vent"],
  ["air.bypass", "seal.missing", "coil"],
  ["air.bypass", "seal.missing-pressure", "coil"],
  ["air.bypass", "air.vent-before-trap", "coil"],
  ["air.bypass", "seal.priming", "coil"],
  ["air.bypass", "air.secondary-open", "coil"],
  ["air.vent-before-trap", "access.uncapped", "cleanout"],
  ["air.closed-by-flow", "size.code-table", "pipe"],
  ["air.closed-by-flow", "size.hydraulic", "pipe"],
  ["size.reduction", "size.code-table", "pipe"],
  ["size.reduction", "size.hydraulic", "pipe"],
  ["size.pan-outlet", "size.code-table", "pipe"],
  ["size.pan-outlet", "size.hydraulic", "pipe"],
  ["size.riser-base", "size.hydraulic", "pipe"],
  ["support.sag", "support.spacing", "pipe"],
];

/** The rules that the table names; a test holds them against the catalogue. */
export const foldedRules: ReadonlySet<string> = new Set([
  ...FOLDS.map(([effect]) => effect),
  ...FOLDS.map(([, cause]) => cause),
]);

/** One cause, one finding: merges what is the same fault, then hangs effects on their causes. Returns the causes. */
export function fold(net: Compiled, facts: Facts, judged: readonly Judged[]): Folded[] {
  const merged = mergeAlongFlow(net, facts, mergeById(facts, judged));
  const failing = merged.filter((f) => f.outcome === "fail");
  const index = new Map<string, Map<number, Folded>>();
  const lookup = (rule: string, by: Shared): Map<number, Folded> => {
    const key = `${rule} ${by}`;
    let map = index.get(key);
    if (map === undefined) {
      map = new Map();
      for (const f of failing) {
        if (f.rule.id !== rule) continue;
        for (const thing of f.links[by]) if (!map.has(thing)) map.set(thing, f);
      }
      index.set(key, map);
    }
    return map;
  };
  for (const effect of failing) {
    for (const [of, cause, by] of FOLDS) {
      if (of !== effect.rule.id) continue;
      const causes = lookup(cause, by);
      const found = [...effect.links[by]].map((thing) => causes.get(thing)).find((f) => f !== undefined);
      if (found === undefined) continue;
      effect.cause = found;
      break;
    }
  }
  const roots: Folded[] = [];
  for (const f of merged) {
    let root = f;
    while (root.cause !== null) root = root.cause;
    if (root === f) roots.push(f);
    else root.consequences.push(f);
  }
  return roots;
}

const KINDS: readonly Shared[] = ["pipe", "coil", "pool", "seal", "vent", "cleanout", "outlet", "space"];

function start({ rule, severity, finding }: Judged, facts: Facts): Folded {
  const links = {} as Record<Shared, Set<number>>;
  for (const kind of KINDS) links[kind] = new Set(finding.links?.[kind]);
  if (finding.links?.pipe === undefined) links.pipe = new Set(finding.subject.pipes);
  if (finding.links?.coil === undefined) links.coil = new Set(finding.subject.fanCoils);
  // A sag that seals is one thing under two names.
  for (const seal of links.seal) if (facts.seals.list[seal].pool >= 0) links.pool.add(facts.seals.list[seal].pool);
  for (const pool of links.pool) if (facts.seals.ofPool[pool] >= 0) links.seal.add(facts.seals.ofPool[pool]);
  return {
    rule,
    severity,
    outcome: finding.outcome,
    finding,
    fanCoils: new Set(finding.subject.fanCoils),
    nodes: new Set(finding.subject.nodes),
    pipes: new Set(finding.subject.pipes),
    links,
    settledBy: [...(finding.settledBy ?? [])],
    evidence: [...finding.evidence],
    remedy: [...(finding.remedy ?? [])],
    merged: [],
    alike: [],
    cause: null,
    consequences: [],
  };
}

export function absorb(into: Folded, other: Folded): void {
  for (const x of other.fanCoils) into.fanCoils.add(x);
  for (const x of other.nodes) into.nodes.add(x);
  for (const x of other.pipes) into.pipes.add(x);
  for (const kind of KINDS) for (const x of other.links[kind]) into.links[kind].add(x);
}

const RANK: Readonly<Record<Outcome, number>> = { fail: 0, undetermined: 1, pass: 2 };

/** Several judgements with one anchor are one finding: the worst outcome speaks, the first of equals. */
function mergeById(facts: Facts, judged: readonly Judged[]): Folded[] {
  const byId = new Map<string, Folded>();
  const order: string[] = [];
  for (const each of judged) {
    const key = `${each.rule.id} ${each.finding.anchor}`;
    const next = start(each, facts);
    const known = byId.get(key);
    if (known === undefined) {
      byId.set(key, next);
      order.push(key);
    } else if (RANK[next.outcome] < RANK[known.outcome]) byId.set(key, next);
    else if (next.outcome === known.outcome && next.finding.data !== known.finding.data) {
      absorb(known, next);
      for (const settle of next.settledBy)
        if (!known.settledBy.some((s) => s.pointer === settle.pointer && s.decision === settle.decision))
          known.settledBy.push(settle);
    }
  }
  return order.map((key) => byId.get(key)!);
}

/** Failing pipes of one rule that follow each other along the flow are one finding, told at the most downstream. */
function mergeAlongFlow(net: Compiled, facts: Facts, all: readonly Folded[]): Folded[] {
  const kept: Folded[] = [];
  const byRule = new Map<string, Folded[]>();
  for (const f of all) {
    if (f.outcome !== "fail" || f.rule.anchor !== "pipe" || f.rule.mergesAlongFlow === false) kept.push(f);
    else {
      const list = byRule.get(f.rule.id);
      if (list) list.push(f);
      else byRule.set(f.rule.id, [f]);
    }
  }
  for (const group of byRule.values()) {
    const of = new Map<number, Folded>();
    for (const f of group) {
      of.set(f.finding.anchor, f);
      for (const p of f.pipes) if (!of.has(p)) of.set(p, f);
    }
    // Each hands over to the finding that holds the next pipe down; a loop ends where it is met again.
    const below = new Map<Folded, Folded>();
    for (const f of group) {
      const next = facts.topology.next[net.to[f.finding.anchor]];
      const follower = next < 0 ? undefined : of.get(next);
      if (follower !== undefined && follower !== f) below.set(f, follower);
    }
    const lowest = (f: Folded): Folded => {
      const met = new Set<Folded>([f]);
      let at = f;
      for (let next = below.get(at); next !== undefined && !met.has(next); next = below.get(at)) {
        met.add(next);
        at = next;
      }
      return below.has(at) ? [...met].reduce((a, b) => (b.finding.anchor < a.finding.anchor ? b : a)) : at;
    };
    for (const f of group) {
      const root = lowest(f);
      if (root === f) kept.push(f);
      else {
        absorb(root, f);
        root.merged.push(f.finding);
        root.remedy.push(...f.remedy);
      }
    }
  }
  return kept;
}
