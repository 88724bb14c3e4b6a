import { statfs } from "node:fs/promises";
import { Kysely, PostgresDialect, sql } from "kysely";
import { Refused } from "../service/refused.js";
import { type Key, type Store, StoreFull, StoreNotEmpty, StoreUnavailable } from "../service/shelves.js";
import { makeConnections } from "./connections.js";
import { type Environment, startEmbeddedServer } from "./embedded-server.js";
import { migrate } from "./migrate.js";
import { shelvesOn } from "./shelves-on-sql.js";
import { columnsOf, everyRow, rowsDigest, TABLES, takeRow } from "./stored-rows.js";
import type { Tables } from "./tables.js";
import { transact } from "./transact.js";
import { isRefusal, makeWatch } from "./watch.js";

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
  /** told when the database has gone, of connections lost meanwhile, and of what keeps it from being used */
  readonly onLost?: (error: Error) => void;
}

/** SQLSTATE classes that mean: not now. Connection lost, resources short, operator at work, system error, refused, closed. */
const AWAY = /^(08|28|3D|40|53|55000|57P|57014|58)/;
const NETWORK = new Set(["ECONNREFUSED", "ECONNRESET", "EPIPE", "ETIMEDOUT", "ENOENT", "ENOTFOUND", "EAI_AGAIN"]);
const SILENT = /timeout exceeded|timeout expired|read timeout|connection terminated|not queryable|after calling end/i;
const NO_ROOM = /no space left|file too large|disk quota exceeded/i;
const READ_ONLY = "25006";
/** NUL, or half a character */
const UNKEEPABLE = /^22(021|P05)$/;

/** bytes that are left alone on the disk of an embedded server: without room for its log it stops, and reading with it */
const RESERVE = 48 * 1024 * 1024;

const codeOf = (error: Error): string => ("code" in error && typeof error.code === "string" ? error.code : "");

/** The database's own error as one that the service knows; others pass as they are. @param full it was told not to write */
const translated = (error: unknown, full: boolean): unknown => {
  if (!(error instanceof Error) || error instanceof StoreUnavailable) return error;
  const code = codeOf(error);
  if (code === "53100" || NO_ROOM.test(error.message) || (code === READ_ONLY && full))
    return new StoreFull("the database has no room left", { cause: error });
  if (UNKEEPABLE.test(code)) return new Refused("invalid-body", "Text with a NUL character cannot be kept.");
  if (AWAY.test(code) || code === READ_ONLY || NETWORK.has(code) || (code === "" && SILENT.test(error.message)))
    return new StoreUnavailable("the database does not answer", { cause: error });
  return error;
};

/** Two transactions that could not both be had: the loser is run again. */
const isCollision = (error: unknown): boolean =>
  error instanceof Error && (codeOf(error) === "40001" || codeOf(error) === "40P01");
const TRIES = 5;

/**
 * Opens the store and brings its tables up to date. A database of one's own that is away is waited for: meanwhile the
 * store is not available, and no call keeps its caller waiting.
 * @throws ServerUnavailable, what a migration threw, or that the database refuses us
 */
export const openStore = async (options: StoreOptions): Promise<Store> => {
  const embedded =
    options.databaseUrl === undefined ? await startEmbeddedServer(options.folder, options.environment) : null;
  const url = options.databaseUrl ?? embedded!.url;
  const { connections: most = 10, patience = 2_000, onLost = () => {} } = options;
  const connections = makeConnections({ url, most, patience, onLost });
  const db = new Kysely<Tables>({ dialect: new PostgresDialect({ pool: connections }) });
  let full = false;
  const watch = makeWatch({
    url,
    prepare: () =>
      migrate(db).catch((error: unknown) => {
        throw isRefusal(error) ? error : translated(error, full);
      }),
    onGone: (error) => {
      connections.renew();
      onLost(error);
    },
    onFault: onLost,
    ...(embedded !== null && {
      revive: () => embedded.revive(),
      beside: async () => {
        const { bavail, bsize } = await statfs(options.folder);
        full = bavail * bsize < RESERVE;
      },
    }),
  });

  const asked = async <T>(work: () => Promise<T>): Promise<T> => {
    for (let tries = 1; ; tries++) {
      try {
        return await watch.whileUp(work);
      } catch (error) {
        if (tries < TRIES && isCollision(error)) continue;
        throw translated(error, full);
      }
    }
  };

  const close = async () => {
    await watch.stop();
    await db.destroy();
    await embedded?.stop();
  };
  try {
    await watch.first();
  } catch (error) {
    await close();
    throw error;
  }

  return {
    get available() {
      return watch.up;
    },
    within: (organization, work) =>
      asked(() =>
        transact(db, organization, full ? "read only" : "read write", (own) => work(shelvesOn(own, organization))),
      ),
    asOfNow: (organization, work) =>
      asked(() =>
        transact(db, organization, "isolation level repeatable read read only", (own) =>
          work(shelvesOn(own, organization)),
        ),
      ),
    archive: {
      read: (work) =>
        asked(() =>
          db
            .transaction()
            .setIsolationLevel("repeatable read")
            .setAccessMode("read only")
            .execute(async (transaction) => {
              const columns = await columnsOf(transaction);
              return work({ columns, rows: everyRow(transaction, columns) });
            }),
        ),
      restore: ({ columns, rows }, keep) =>
        asked(() =>
          db.transaction().execute(async (transaction) => {
            // nobody writes meanwhile, and whoever reads sees nothing of it
            await sql`lock table ${sql.join(TABLES.map((table) => sql.table(table)))} in exclusive mode`.execute(
              transaction,
            );
            for await (const { table } of everyRow(transaction, await columnsOf(transaction)))
              throw new StoreNotEmpty(`The store holds rows already (${table}).`);
            const known = await columnsOf(transaction);
            for await (const row of rows) await takeRow(transaction, known, row);
            const again = rowsDigest();
            for await (const row of everyRow(transaction, columns)) again.add(row);
            keep(again.hex());
          }),
        ),
      digest: rowsDigest,
    },
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
    close,
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
