import { type Kysely, sql } from "kysely";
import pg from "pg";
import type { Tables } from "./tables.js";

export type TransactionMode = "read write" | "read only" | "isolation level repeatable read read only";

/**
 * Runs work in one transaction on the rows of one organization: all of it is kept, or nothing. The transaction begins and
 * is told whose it is in one go to the database and back.
 * @throws what the work or the database throws
 */
export const transact = <T>(
  db: Kysely<Tables>,
  organization: string,
  mode: TransactionMode,
  work: (db: Kysely<Tables>) => Promise<T>,
): Promise<T> =>
  db.connection().execute(async (connection) => {
    try {
      await sql
        .raw(
          `begin ${mode}; select set_config('drainward.organization', ${pg.escapeLiteral(organization)}, true), set_config('role', 'drainward_service', true)`,
        )
        .execute(connection);
      const result = await work(connection);
      const { rows } = await sql<{ command: string }>`commit`.execute(connection);
      // PostgreSQL ends a transaction in which a statement failed by undoing it, and takes that for no error
      if (rows[0]?.command !== "COMMIT") throw new Error("A statement failed and the work went on: nothing was kept.");
      return result;
    } catch (error) {
      await sql`rollback`.execute(connection).catch(() => {});
      throw error;
    }
  });
