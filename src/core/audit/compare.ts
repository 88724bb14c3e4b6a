import type { Audit, AuditFinding, AuditSubject } from "./answer.js";

/** What became of a finding between two audits. `lost-sight`: it failed, and now nobody can tell; never counted as cleared. */
export type Change = "new" | "persists" | "cleared" | "lost-sight";

export interface FindingChange {
  readonly id: string;
  readonly rule: string;
  readonly change: Change;
  readonly severity: AuditFinding["severity"];
  readonly message: string;
  /** finding that tells of it now, where it is told under another id */
  readonly within?: string;
}

export interface MarginChange {
  readonly finding: string;
  readonly name: string;
  readonly unit: string;
  readonly before: number;
  readonly after: number;
}

export interface Comparison {
  readonly before: Compared;
  readonly after: Compared;
  readonly new: readonly FindingChange[];
  readonly persists: readonly FindingChange[];
  readonly cleared: readonly FindingChange[];
  readonly lostSight: readonly FindingChange[];
  /** of findings that stand in both, whatever their outcome */
  readonly margins: readonly MarginChange[];
}

interface Compared {
  readonly network: Audit["network"];
  readonly profile: Audit["profile"];
  readonly catalogue: string;
  readonly verdict: Audit["verdict"];
}

/** Where a finding that failed once stands in a later audit. */
export interface Standing {
  readonly standing: "fails" | "unsure" | "gone";
  /** the finding that tells of it now; its own id, or that of the one that took it in */
  readonly by?: string;
}

/** Follows findings into a later audit: by their id, else by their rule and elements, since a cause may have taken them in. */
export function follow(after: Audit): (finding: Pick<AuditFinding, "id" | "rule" | "subject">) => Standing {
  const told = toldOf(after.findings.filter((f) => f.outcome === "fail"));
  const open = toldOf(after.findings.filter((f) => f.outcome === "undetermined"));
  const broken = new Set(after.rules.filter((r) => r.outcome === "broken").map((r) => r.rule));
  return (finding) => {
    const fails = find(told, finding);
    if (fails !== null) return { standing: "fails", by: fails.id };
    const unsure = find(open, finding);
    if (unsure !== null) return { standing: "unsure", by: unsure.id };
    return { standing: broken.has(finding.rule) ? "unsure" : "gone" };
  };
}

/**
 * Compares two audits of a building, before and after. The same fault has the same id in both; one that was folded into
 * another cause, or merged with its neighbors, is looked for under its rule and its elements.
 */
export function compare(before: Audit, after: Audit): Comparison {
  const now = follow(after);
  const then = follow(before);
  const failing = new Map(after.findings.filter((f) => f.outcome === "fail").map((f) => [f.id, f]));
  const persists: FindingChange[] = [];
  const cleared: FindingChange[] = [];
  const lostSight: FindingChange[] = [];
  const accounted = new Set<string>();
  for (const f of before.findings) {
    if (f.outcome !== "fail") continue;
    const { standing, by } = now(f);
    if (standing === "gone") cleared.push(changeOf(f, "cleared"));
    else if (standing === "unsure") lostSight.push(changeOf(f, "lost-sight", by));
    else {
      accounted.add(by!);
      persists.push(by === f.id ? changeOf(failing.get(f.id)!, "persists") : changeOf(f, "persists", by));
    }
  }
  const fresh: FindingChange[] = [];
  for (const f of failing.values()) {
    if (accounted.has(f.id)) continue;
    // it may have been told before as the consequence of something that is gone
    if (then(f).standing === "fails") persists.push(changeOf(f, "persists"));
    else fresh.push(changeOf(f, "new"));
  }
  return {
    before: headOf(before),
    after: headOf(after),
    new: fresh,
    persists,
    cleared,
    lostSight,
    margins: marginsMoved(before, after),
  };
}

const headOf = ({ network, profile, engine, verdict }: Audit): Compared => ({
  network,
  profile,
  catalogue: engine.catalogue,
  verdict,
});

const changeOf = ({ id, rule, severity, message }: AuditFinding, change: Change, within?: string): FindingChange => ({
  id,
  rule,
  change,
  severity,
  message,
  ...(within === undefined ? {} : { within }),
});

interface Told {
  readonly byId: ReadonlyMap<string, AuditFinding>;
  /** rule and element → the finding that tells of it, as its cause or among its consequences */
  readonly byElement: ReadonlyMap<string, AuditFinding>;
}

function toldOf(findings: readonly AuditFinding[]): Told {
  const byElement = new Map<string, AuditFinding>();
  const enter = (rule: string, subject: AuditSubject, f: AuditFinding) => {
    for (const key of keysOf(rule, subject)) if (!byElement.has(key)) byElement.set(key, f);
  };
  for (const f of findings) enter(f.rule, f.subject, f);
  for (const f of findings) for (const effect of f.consequences) enter(effect.rule, effect.subject, f);
  return { byId: new Map(findings.map((f) => [f.id, f])), byElement };
}

function* keysOf(rule: string, { fanCoils, nodes, pipes }: AuditSubject): Generator<string> {
  // a coil alone says little where pipes or nodes are named: many faults concern the same coils
  for (const pipe of pipes) yield `${rule} p ${pipe}`;
  for (const node of nodes) yield `${rule} n ${node}`;
  if (pipes.length === 0 && nodes.length === 0) for (const coil of fanCoils) yield `${rule} f ${coil}`;
}

const find = (told: Told, f: Pick<AuditFinding, "id" | "rule" | "subject">): AuditFinding | null => {
  const same = told.byId.get(f.id);
  if (same !== undefined) return same;
  for (const key of keysOf(f.rule, f.subject)) {
    const other = told.byElement.get(key);
    if (other !== undefined) return other;
  }
  return null;
};

function marginsMoved(before: Audit, after: Audit): MarginChange[] {
  const known = new Map(before.findings.map((f) => [f.id, f]));
  const moved: MarginChange[] = [];
  for (const f of after.findings) {
    const was = known.get(f.id);
    if (was === undefined) continue;
    for (const e of f.evidence) {
      const then = was.evidence.find((each) => each.name === e.name && each.unit === e.unit);
      if (typeof e.margin !== "number" || typeof then?.margin !== "number" || e.margin === then.margin) continue;
      moved.push({ finding: f.id, name: e.name, unit: e.unit, before: then.margin, after: e.margin });
    }
  }
  return moved;
}
