import { expand } from "../network/expand.js";
import type { Problem } from "../network/model.js";
import type { Audit, AuditFinding, AuditSubject } from "./answer.js";
import { attribution, type Cause } from "./attribute.js";
import { follow, type Standing } from "./compare.js";
import { type Places, placesOf } from "./places.js";
import { audit } from "./run.js";

/** A finding that failed in an earlier revision and was not cleared since. */
export interface Tracked {
  readonly id: string;
  readonly rule: string;
  readonly subject: AuditSubject;
  readonly state: "open" | "lost-sight";
}

/** What became of it. `moved`: it is told under another id now, which takes its place. */
export interface Fate {
  readonly id: string;
  readonly state: "open" | "cleared" | "lost-sight" | "moved";
  readonly by: string | null;
  /** null: nothing changed */
  readonly cause: Cause | null;
}

export interface Revised {
  readonly audit: Audit;
  readonly places: Places;
  readonly fates: readonly Fate[];
  /** failing findings that nothing tracked, each with what brought it about; of a first revision the building */
  readonly fresh: readonly { readonly id: string; readonly cause: Cause }[];
}

export type ReviseResult =
  | { readonly ok: true; readonly revised: Revised }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * Audits a building's next revision and follows the findings of those before into it.
 * @param network the new document (parsed JSON)
 * @param previous the document of the revision before; null: there is none
 * @param catalogue the set of rules that judged it; where today's is another, what the rules alone changed is told apart
 * @param tracked what is open or out of sight
 * @param changed whether the differences are work done in the building or a closer look at it, where somebody says so;
 * null: told by the fields that differ
 */
export function revise(
  network: unknown,
  previous: unknown,
  catalogue: string | null,
  tracked: readonly Tracked[],
  changed: Exclude<Cause, "catalogue"> | null = null,
): ReviseResult {
  const result = audit(network);
  if (!result.ok) return result;
  const places = placesOf(network);
  if (!places.ok) return places;
  const now = follow(result.audit);
  const again =
    previous !== null && catalogue !== null && catalogue !== result.audit.engine.catalogue ? audit(previous) : null;
  const underNewRules = again?.ok ? follow(again.audit) : null;
  const said = previous === null ? "building" : changed;
  const changedBy = said === null ? attributionOf(previous, network) : () => said;

  const told = new Set<string>();
  const fates = tracked.map((finding): Fate => {
    const standing = now(finding);
    const state = stateOf(finding.id, standing);
    if (standing.standing === "fails") told.add(standing.by!);
    const settled = state === "moved" ? "open" : state;
    const isSame = settled === finding.state;
    const byRules = underNewRules !== null && stateOf(finding.id, underNewRules(finding)) === state;
    return {
      id: finding.id,
      state,
      by: standing.by ?? null,
      cause: isSame ? null : byRules ? "catalogue" : changedBy(finding.subject),
    };
  });
  const fresh = result.audit.findings
    .filter((f: AuditFinding) => f.outcome === "fail" && !told.has(f.id))
    .map((f) => ({
      id: f.id,
      cause: underNewRules?.(f).standing === "fails" ? ("catalogue" as const) : changedBy(f.subject),
    }));
  return { ok: true, revised: { audit: result.audit, places: places.places, fates, fresh } };
}

const stateOf = (id: string, { standing, by }: Standing): Fate["state"] => {
  if (standing === "fails") return by === id ? "open" : "moved";
  return standing === "unsure" ? "lost-sight" : "cleared";
};

/** Elements are compared as they are when typicals are written out. */
function attributionOf(previous: unknown, network: unknown): ReturnType<typeof attribution> {
  const [before, after] = [expand(previous), expand(network)];
  return attribution(before.ok ? before.document : previous, after.ok ? after.document : network);
}
