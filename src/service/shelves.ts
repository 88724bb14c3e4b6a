// The shelves that the service needs, whoever builds them. Everything on them belongs to one organisation; what the
// types call an instant is a Date, what they call text is kept byte for byte.

export type Role = "read" | "write" | "admin";

export interface Key {
  readonly organization: string;
  readonly id: string;
  readonly role: Role;
  readonly label: string;
  readonly createdAt: Date;
  /** null: for ever */
  readonly expiresAt: Date | null;
  readonly revokedAt: Date | null;
}

export interface Building {
  readonly id: string;
  readonly name: string;
  /** IANA name */
  readonly timeZone: string;
  readonly tags: readonly string[];
  /** one more with each change; the entity tag is made of it */
  readonly version: number;
  readonly createdAt: Date;
  readonly changedAt: Date;
  /** number of the newest revision, 0 none */
  readonly revision: number;
  /** days between cleanings of what is common; null: a year */
  readonly cleaningDays: number | null;
}

/** What a building's health is read from without its network: see building-health.ts. JSON text; null: it was not worked out yet. */
export interface Summary {
  readonly building: string;
  readonly name: string;
  readonly createdAt: Date;
  readonly tags: readonly string[];
  readonly signs: string | null;
}

/** The least that tells a building's state at any time. JSON text; null: it was not worked out yet. */
export interface Outlooked {
  readonly building: string;
  /** number of the newest revision, 0 none */
  readonly revision: number;
  readonly outlook: string | null;
}

export interface Revision {
  readonly building: string;
  /** from 1, without gaps */
  readonly number: number;
  /** sha256 of the document's canonical form */
  readonly digest: string;
  readonly createdAt: Date;
  readonly by: string;
  /** why it was made, in the caller's words */
  readonly note: string | null;
}

/** A revision with its document as posted, and its places as JSON text. */
export interface StoredNetwork extends Revision {
  readonly network: string;
  readonly places: string;
}

/** One audit of one revision. A later one of the same revision was made under another catalogue. */
export interface StoredAudit {
  readonly building: string;
  readonly revision: number;
  /** from 1 for each revision */
  readonly sequence: number;
  readonly engine: string;
  readonly catalogue: string;
  readonly madeAt: Date;
  readonly verdict: string;
  /** null: no backup judged */
  readonly exposure: string | null;
  /** the answer as JSON text */
  readonly answer: string;
}

/** Where a finding stands in its life. A waiver lies over it and changes none of these. */
export type FindingState = "open" | "cleared" | "lost-sight";

export interface StoredFinding {
  readonly building: string;
  readonly id: string;
  readonly rule: string;
  readonly severity: "critical" | "major" | "minor" | "advice";
  readonly kind: "condition" | "contingency" | "record";
  readonly state: FindingState;
  /** revision in which it was first found, or found again after it had been cleared */
  readonly since: number;
  /** revision in which its state became what it is */
  readonly changed: number;
  /** what brought its state about */
  readonly cause: "building" | "survey" | "catalogue";
  /** revisions in which it was open before, each from the first up to another in which it no longer was */
  readonly earlier: readonly (readonly [from: number, until: number])[];
  readonly message: string;
  readonly fanCoils: readonly string[];
  readonly nodes: readonly string[];
  readonly pipes: readonly string[];
}

export interface Waiver {
  readonly building: string;
  readonly finding: string;
  readonly by: string;
  readonly reason: string;
  /** null: until it is withdrawn */
  readonly until: Date | null;
  readonly createdAt: Date;
}

export interface Observation {
  readonly building: string;
  readonly id: string;
  readonly type: string;
  /** when it was seen */
  readonly time: Date;
  /** as given, with its zone */
  readonly timeText: string;
  readonly receivedAt: Date;
  readonly node: string | null;
  readonly pipe: string | null;
  readonly fanCoil: string | null;
  readonly attribute: string | null;
  readonly value: unknown;
  readonly source: string;
  readonly text: string | null;
  /** id of the observation that this one takes back */
  readonly withdraws: string | null;
}

/** A page of a list ordered by a key: what follows `after`, at most `limit`. */
export interface Page<K> {
  readonly after: K | null;
  readonly limit: number;
}

/** What a repeated POST finds under its Idempotency-Key. */
export type Repeated =
  | { readonly state: "new" }
  | { readonly state: "running" }
  | { readonly state: "other-body" }
  | {
      readonly state: "done";
      readonly status: number;
      readonly headers: Readonly<Record<string, string>>;
      readonly body: string;
    };

/** A row of a table as JSON text. What it holds is the store's own business. */
export interface StoredRow {
  readonly table: string;
  readonly row: string;
}

/** One organisation's shelves inside one transaction. */
export interface Shelves {
  readonly buildings: {
    get(id: string): Promise<Building | null>;
    /** the same, held against any other change until the transaction ends */
    hold(id: string): Promise<Building | null>;
    list(page: Page<string>): Promise<readonly Building[]>;
    /** @returns false: another one came first */
    add(building: Pick<Building, "id" | "name" | "timeZone" | "tags" | "cleaningDays" | "createdAt">): Promise<boolean>;
    change(id: string, to: Pick<Building, "name" | "timeZone" | "tags" | "cleaningDays" | "changedAt">): Promise<void>;
    /** keeps what its health is read from */
    summarize(id: string, kept: { readonly signs: string; readonly outlook: string }): Promise<void>;
    /** what was kept; null: nothing, or there is no such building */
    signs(id: string): Promise<string | null>;
    outlooks(): Promise<readonly Outlooked[]>;
    summaries(ids: readonly string[]): Promise<readonly Summary[]>;
    /** with everything that belongs to it */
    remove(id: string): Promise<void>;
  };
  readonly revisions: {
    /** the building must be held; gives the revision its number */
    add(revision: Omit<StoredNetwork, "number">): Promise<Revision>;
    get(building: string, number: number): Promise<StoredNetwork | null>;
    /** its places alone */
    places(building: string, number: number): Promise<string | null>;
    /** when each was made, in their order */
    times(building: string): Promise<readonly Date[]>;
    list(building: string, page: Page<number>): Promise<readonly Revision[]>;
  };
  readonly audits: {
    add(audit: Omit<StoredAudit, "sequence">): Promise<StoredAudit>;
    /** the newest of a revision */
    get(building: string, revision: number): Promise<StoredAudit | null>;
    /** without their answers, oldest first */
    list(building: string): Promise<readonly Omit<StoredAudit, "answer">[]>;
  };
  readonly findings: {
    get(building: string, id: string): Promise<StoredFinding | null>;
    list(building: string, states: readonly FindingState[], page: Page<string>): Promise<readonly StoredFinding[]>;
    /** writes these over those of the same id; one that is no longer open keeps when it was */
    put(findings: readonly StoredFinding[]): Promise<void>;
    remove(building: string, ids: readonly string[]): Promise<void>;
  };
  readonly waivers: {
    get(building: string, finding: string): Promise<Waiver | null>;
    list(building: string): Promise<readonly Waiver[]>;
    put(waiver: Waiver): Promise<void>;
    remove(building: string, finding: string): Promise<void>;
  };
  readonly observations: {
    get(building: string, id: string): Promise<Observation | null>;
    /** none of them may be there yet */
    add(observations: readonly Observation[]): Promise<void>;
    /** all of these types, and all that withdraw another */
    ofTypes(building: string, types: readonly string[]): Promise<readonly Observation[]>;
    /** seen between the two instants, oldest first; after an observation's time and id */
    list(
      building: string,
      range: { readonly from: Date | null; readonly to: Date | null; readonly types?: readonly string[] },
      page: Page<{ readonly time: Date; readonly id: string }>,
    ): Promise<readonly Observation[]>;
  };
  readonly repeats: {
    /** what became of a call that came before; null: none did, or it is not done */
    find(key: string, route: string, bodyDigest: string): Promise<Repeated | null>;
    /** claims the key for a body until the transaction ends, or says what became of it */
    claim(key: string, route: string, bodyDigest: string, at: Date): Promise<Repeated>;
    finish(
      key: string,
      answer: { readonly status: number; readonly headers: Readonly<Record<string, string>>; readonly body: string },
    ): Promise<void>;
    forgetBefore(at: Date): Promise<void>;
  };
  /** a building as it is carried to another store: without whose it is, and without what is worked out of the rest */
  readonly transfer: {
    rows(building: string): AsyncIterable<StoredRow>;
    /** takes a row back as one of a building. @param derived columns that it comes without. @throws RowRefused */
    take(building: string, row: StoredRow, derived: Readonly<Record<string, string>>): Promise<void>;
  };
}

/** Everything that a store holds, whosever it is. */
export interface Archived {
  /** the columns of each table */
  readonly columns: ReadonlyMap<string, readonly string[]>;
  readonly rows: AsyncIterable<StoredRow>;
}

export interface Store {
  /** Runs `work` in one transaction on one organisation's shelves: all of it is kept, or nothing. @throws StoreUnavailable, StoreFull */
  within<T>(organization: string, work: (shelves: Shelves) => Promise<T>): Promise<T>;
  /** Runs `work` on the shelves as they are now, whatever is written meanwhile; it writes nothing. @throws StoreUnavailable */
  asOfNow<T>(organization: string, work: (shelves: Shelves) => Promise<T>): Promise<T>;
  readonly archive: {
    /** Hands everything out as it is now, whatever is written meanwhile. */
    read<T>(work: (archived: Archived) => Promise<T>): Promise<T>;
    /**
     * Takes everything back into a store that holds nothing, and reads it again before it is kept.
     * @returns the digest of the rows as they are read again
     * @throws RowRefused, StoreNotEmpty, and keeps nothing; also where `keep` says that they are not the same
     */
    restore(archived: Archived, keep: (digest: string) => void): Promise<void>;
    digest(): RowsDigest;
  };
  readonly keys: {
    /** by the digest of the secret: asked before anybody knows the organisation */
    find(digest: string): Promise<Key | null>;
    /** true once any key was ever made */
    exist(): Promise<boolean>;
    add(key: Omit<Key, "revokedAt">, digest: string): Promise<void>;
    /** @param organization null: of all */
    list(organization: string | null): Promise<readonly Key[]>;
    revoke(organization: string, id: string, at: Date): Promise<boolean>;
  };
  /** whether the database answers, as of a moment ago */
  readonly available: boolean;
  close(): Promise<void>;
}

/** Over rows in their order; equal for equal rows. */
export interface RowsDigest {
  add(row: StoredRow): void;
  hex(): string;
}

/** A row that this store cannot hold. */
export class RowRefused extends Error {}

/** Something is there already, and an archive goes into an empty store only. */
export class StoreNotEmpty extends Error {}

/** The database does not answer. Nothing is known to be kept; the same call may be made again. */
export class StoreUnavailable extends Error {}

/** There is no room for what was to be kept; reading goes on. */
export class StoreFull extends Error {}
