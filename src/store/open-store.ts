import { Kysely, type Migration, Migrator, PostgresDialect, sql } from "kysely";
import pg from "pg";
import { type Key, type Store, StoreFull, StoreUnavailable } from "../service/shelves.js";
import { type Environment, startEmbeddedServer } from "./embedded-server.js";
import * as first from "./migrations/001-buildings.js";
import * as second from "./migrations/002-health.js";
import { shelvesOn } from "./shelves-on-sql.js";
import type { Tables } from "./tables.js";

/** In their order; a name that was released is never changed. */
const MIGRATIONS: Readonly<Record<string, Migration>> = { "001-buildings": first, "002-health": second };

export interface StoreOptions {
  /** a PostgreSQL server of one's own; without it the embedded one in `folder` is started or taken over */
  readonly databaseUrl?: string;
  readonly folder: string;
  /** what the embedded server's programs run in */
  readonly environment: Environment;
  /** connections that may be open at once */
  readonly connections?: number;
  /** ms to wait for a connection before saying that the database is away */
  readonly patience?: number;
  /** told of lost connections that nobody was waiting on */
  readonly onLost?: (error: Error) => void;
}

/** SQLSTATE classes that mean: not now. Connection lost, resources short, operator at work. */
const AWAY = /^(08|57P|53[0-24-9A-Z]|25006|40)/;
const NETWORK = new Set(["ECONNREFUSED", "ECONNRESET", "EPIPE", "ETIMEDOUT", "ENOENT", "ENOTFOUND", "EAI_AGAIN"]);

/** The database's own error as one that the service knows; others pass as they are. */
const translated = (error: unknown): unknown => {
  if (!(error instanceof Error)) return error;
  const code = "code" in error && typeof error.code === "string" ? error.code : "";
  if (code === "53100") return new StoreFull("the database has no room left", { cause: error });
  const silent =
    /timeout exceeded|Query read timeout|Connection terminated|Client has encountered|pool after calling end/i;
  if (AWAY.test(code) || NETWORK.has(code) || (code === "" && silent.test(error.message)))
    return new StoreUnavailable("the database does not answer", { cause: error });
  return error;
};

/** Two transactions that could not both be had: the loser is run again. */
const isCollision = (error: unknown): boolean =>
  error instanceof Error && "code" in error && (error.code === "40001" || error.code === "40P01");
const TRIES = 5;

/** Opens the store and brings its tables up to date. @throws StoreUnavailable, ServerUnavailable, or what a migration threw */
export const openStore = async (options: StoreOptions): Promise<Store> => {
  const embedded =
    options.databaseUrl === undefined ? await startEmbeddedServer(options.folder, options.environment) : null;
  const pool = new pg.Pool({
    connectionString: options.databaseUrl ?? embedded?.url,
    max: options.connections ?? 10,
    connectionTimeoutMillis: options.patience ?? 2_000,
    // a server that hangs must not hang the service with it
    query_timeout: 60_000,
    application_name: "drainward",
  });
  pool.on("error", (error) => options.onLost?.(error));
  const db = new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) });

  const asked = async <T>(work: () => Promise<T>): Promise<T> => {
    for (let tries = 1; ; tries++) {
      try {
        return await work();
      } catch (error) {
        if (tries < TRIES && isCollision(error)) continue;
        throw translated(error);
      }
    }
  };

  try {
    await migrate(db);
  } catch (error) {
    await db.destroy();
    await embedded?.stop();
    throw translated(error);
  }

  return {
    within: (organization, work) =>
      asked(() =>
        db.transaction().execute(async (transaction) => {
          await sql`select set_config('drainward.organization', ${organization}, true), set_config('role', 'drainward_service', true)`.execute(
            transaction,
          );
          return work(shelvesOn(transaction, organization));
        }),
      ),
    keys: {
      find: (digest) =>
        asked(async () => {
          const row = await db.selectFrom("key").selectAll().where("digest", "=", digest).executeTakeFirst();
          return row === undefined ? null : keyOf(row);
        }),
      exist: () =>
        asked(async () => (await db.selectFrom("key").select("id").limit(1).executeTakeFirst()) !== undefined),
      add: ({ organization, id, role, label, createdAt, expiresAt }, digest) =>
        asked(async () => {
          await db
            .insertInto("key")
            .values({ organization, id, digest, role, label, created_at: createdAt, expires_at: expiresAt })
            .execute();
        }),
      list: (organization) =>
        asked(async () => {
          const rows = await db
            .selectFrom("key")
            .selectAll()
            .$if(organization !== null, (query) => query.where("organization", "=", organization))
            .orderBy("created_at")
            .orderBy("id")
            .execute();
          return rows.map(keyOf);
        }),
      revoke: (organization, id, at) =>
        asked(async () => {
          const { numUpdatedRows } = await db
            .updateTable("key")
            .set({ revoked_at: at })
            .where("organization", "=", organization)
            .where("id", "=", id)
            .where("revoked_at", "is", null)
            .executeTakeFirst();
          return numUpdatedRows > 0n;
        }),
    },
    check: () =>
      asked(async () => {
        await sql`select 1`.execute(db);
      }),
    async close() {
      await db.destroy();
      await embedded?.stop();
    },
  };
};

const keyOf = (row: {
  organization: string;
  id: string;
  role: Key["role"];
  label: string;
  created_at: Date;
  expires_at: Date | null;
  revoked_at: Date | null;
}): Key => ({
  organization: row.organization,
  id: row.id,
  role: row.role,
  label: row.label,
  createdAt: row.created_at,
  expiresAt: row.expires_at,
  revokedAt: row.revoked_at,
});

/** Brings the tables to the newest form: each migration in a transaction of its own lock, whole or not at all. */
const migrate = async (db: Kysely<Tables>): Promise<void> => {
  const { error } = await new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } }).migrateToLatest();
  if (error !== undefined) throw error;
};
