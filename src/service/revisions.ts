import type { Audit, Revised, Tracked } from "../core/index.js";
import type { Auditor } from "./auditor.js";
import { summarized } from "./building-health.js";
import { found, held } from "./held.js";
import { Refused, RefusedDocument } from "./refused.js";
import { once, type Repeatable, recall } from "./repeat.js";
import type { Page, Revision, Shelves, Store, StoredAudit, StoredFinding } from "./shelves.js";
import type { RevisionDone } from "./works.js";

const decoder = new TextDecoder("utf-8", { fatal: true });
const encoder = new TextEncoder();

/** How often a revision is tried again when another one came between. */
const TRIES = 4;

/** A revision that was added, and its audit. */
export interface Added {
  readonly revision: Revision;
  readonly audit: StoredAudit;
}

export const makeRevisions = (store: Store, auditor: Auditor, now: () => Date) => {
  /** What a new audit must be compared with. */
  const standing = async (shelves: Shelves, building: string) => {
    const { revision } = await found(shelves, building);
    const [network, audit, findings] = await Promise.all([
      revision === 0 ? null : shelves.revisions.get(building, revision),
      revision === 0 ? null : shelves.audits.get(building, revision),
      shelves.findings.list(building, ["open", "lost-sight"], { after: null, limit: ALL }),
    ]);
    return { revision, network: network?.network ?? null, catalogue: audit?.catalogue ?? null, findings };
  };

  /** @throws Refused invalid-document, and the other words of a refusal */
  const judged = async (body: Uint8Array, before: Awaited<ReturnType<typeof standing>>): Promise<RevisionDone> => {
    const tracked = before.findings.map(
      ({ id, rule, state, fanCoils, nodes, pipes }): Tracked => ({
        id,
        rule,
        state: state === "open" ? "open" : "lost-sight",
        subject: { fanCoils, nodes, pipes },
      }),
    );
    const beside = `{"previous":${before.network ?? "null"},"catalogue":${JSON.stringify(before.catalogue)},"tracked":${JSON.stringify(tracked)}}`;
    const reply = await auditor.perform({ work: "revision", body, beside });
    if (!reply.ok) throw new RefusedDocument(reply.refusal);
    return JSON.parse(decoder.decode(reply.body)) as RevisionDone;
  };

  return {
    /**
     * Adds the next revision of a building with its audit, and follows its findings into it.
     * @param body a network document, or one with what is said of it: `{ network, by?, note?, changed? }`
     * @param by who made it, where the body does not say
     * @param onto the revision that it was made from; where another came since, it is refused. null: whatever comes before
     * @throws RefusedDocument, Refused
     */
    async add(
      organization: string,
      building: string,
      body: Uint8Array,
      by: string,
      repeatable: Repeatable<Added> | null = null,
      onto: number | null = null,
    ): Promise<Added> {
      for (let tries = 1; ; tries++) {
        const before = await store.within(organization, async (shelves) => {
          await recall(shelves, repeatable);
          return standing(shelves, building);
        });
        if (onto !== null && before.revision !== onto)
          throw new Refused("conflict", "Another revision came between; try again.");
        // what is handed to a thread is gone
        const { posted, revised } = await judged(new Uint8Array(body), before);
        const kept = await store.within(organization, async (shelves) => {
          if ((await held(shelves, building)).revision !== before.revision) return null;
          return once(shelves, repeatable, async () => {
            const revision = await shelves.revisions.add({
              building,
              network: posted.network ?? decoder.decode(body),
              places: JSON.stringify(revised.places),
              digest: revised.audit.network.digest,
              createdAt: now(),
              by: posted.by ?? by,
              note: posted.note,
            });
            return { revision, audit: await keep(shelves, revision, revised, before.findings) };
          });
        });
        if (kept !== null) return kept;
        if (tries === TRIES) throw new Refused("conflict", "Other revisions came between; try again.");
      }
    },

    /**
     * Audits a revision again under today's rules: an explicit act, told apart from what changed in the building.
     * @param number 0: the newest
     */
    async auditAgain(
      organization: string,
      building: string,
      number: number,
      repeatable: Repeatable<StoredAudit> | null = null,
    ): Promise<StoredAudit> {
      const before = await store.within(organization, async (shelves) => {
        await recall(shelves, repeatable);
        return standing(shelves, building);
      });
      const revision = await this.get(organization, building, number);
      const isLatest = revision.number === before.revision;
      const { revised } = await judged(
        encoder.encode(revision.network),
        isLatest ? before : { ...before, network: null, findings: [] },
      );
      return store.within(organization, async (shelves) => {
        if ((await held(shelves, building)).revision !== before.revision)
          throw new Refused("conflict", "Another revision came between; try again.");
        return once(shelves, repeatable, () =>
          isLatest ? keep(shelves, revision, revised, before.findings) : addAudit(shelves, revision, revised.audit),
        );
      });
    },

    /** @param number 0: the newest */
    async get(organization: string, building: string, number: number) {
      const revision = await store.within(organization, async (shelves) => {
        const { revision: latest } = await found(shelves, building);
        return shelves.revisions.get(building, number === 0 ? latest : number);
      });
      if (revision === null) throw new Refused("not-found", "There is no such revision.");
      return revision;
    },

    list: (organization: string, building: string, page: Page<number>) =>
      store.within(organization, async (shelves) => {
        await found(shelves, building);
        return shelves.revisions.list(building, page);
      }),

    /** Its newest audit. @param number 0: of the newest revision */
    async audit(organization: string, building: string, number: number) {
      const audit = await store.within(organization, async (shelves) => {
        const { revision: latest } = await found(shelves, building);
        return shelves.audits.get(building, number === 0 ? latest : number);
      });
      if (audit === null) throw new Refused("not-found", "There is no such revision.");
      return audit;
    },
  };

  async function keep(shelves: Shelves, revision: Revision, revised: Revised, before: readonly StoredFinding[]) {
    const audit = await addAudit(shelves, revision, revised.audit);
    const { moved, rows } = life(revision, revised, before);
    await shelves.findings.remove(revision.building, moved);
    await shelves.findings.put(rows);
    await summarized(shelves, revision.building, now());
    return audit;
  }

  function addAudit(shelves: Shelves, { building, number }: Revision, audit: Audit) {
    return shelves.audits.add({
      building,
      revision: number,
      engine: audit.engine.version,
      catalogue: audit.engine.catalogue,
      madeAt: now(),
      verdict: audit.verdict,
      exposure: audit.exposure?.state ?? null,
      answer: JSON.stringify(audit),
    });
  }
};
export type Revisions = ReturnType<typeof makeRevisions>;

const ALL = 1_000_000;

/** The rows that a new audit leaves: what became of those before, and what it found besides. */
function life({ building, number }: Revision, { audit, fates, fresh }: Revised, before: readonly StoredFinding[]) {
  const told = new Map(audit.findings.map((finding) => [finding.id, finding]));
  const known = new Map(before.map((row) => [row.id, row]));
  const rows = new Map<string, StoredFinding>();
  const moved: string[] = [];
  const rowOf = (
    id: string,
    life: Pick<StoredFinding, "since" | "changed" | "cause" | "earlier">,
  ): StoredFinding | null => {
    const finding = told.get(id);
    if (finding === undefined) return null;
    const { rule, severity, kind, message, subject } = finding;
    return { building, id, rule, severity, kind, state: "open", message, ...subject, ...life };
  };
  for (const { id, state, by, cause } of fates) {
    const row = known.get(id);
    if (row === undefined) continue;
    const changed = cause === null ? { changed: row.changed, cause: row.cause } : { changed: number, cause };
    if (state === "cleared" || state === "lost-sight") rows.set(id, { ...row, state, ...changed });
    else {
      if (state === "moved") moved.push(id);
      const next = rowOf(by ?? id, { since: row.since, earlier: row.earlier, ...changed });
      const other = next === null ? undefined : rows.get(next.id);
      // two that one cause has taken in are as old as the older
      if (next !== null && !(other !== undefined && other.since <= next.since)) rows.set(next.id, next);
    }
  }
  for (const { id, cause } of fresh) {
    const row = rowOf(id, { since: number, changed: number, cause, earlier: [] });
    if (row !== null) rows.set(id, row);
  }
  return { moved: moved.filter((id) => !rows.has(id)), rows: [...rows.values()] };
}
