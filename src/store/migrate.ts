import { type Kysely, type Migration, Migrator } from "kysely";
import * as first from "./migrations/001-buildings.js";
import * as second from "./migrations/002-health.js";

/** In their order; a name that was released is never changed. */
export const MIGRATIONS: Readonly<Record<string, Migration>> = { "001-buildings": first, "002-health": second };

/** What the migrator says of a database that has been further than it knows. */
const AHEAD = /corrupted migrations/;

/**
 * Brings the tables to a form: all that is missing in one transaction, whole or not at all, one process at a time.
 * @param to name of a migration; null: the newest
 * @throws where the database was made by a newer version, and what a migration threw
 */
export const migrate = async <T>(db: Kysely<T>, to: string | null = null): Promise<void> => {
  const migrator = new Migrator({ db, provider: { getMigrations: async () => MIGRATIONS } });
  const { error } = to === null ? await migrator.migrateToLatest() : await migrator.migrateTo(to);
  if (error === undefined) return;
  if (error instanceof Error && AHEAD.test(error.message))
    throw new Error("The store was made by a newer version than this: run that one, or one that is newer still.");
  throw error;
};
