import type { PostgresPool, PostgresPoolClient } from "kysely";
import pg from "pg";

export interface ConnectionOptions {
  readonly url: string;
  /** connections that may be open at once */
  readonly most: number;
  /** ms to wait for one that is free */
  readonly patience: number;
  /** told of lost connections that nobody was waiting on */
  readonly onLost: (error: Error) => void;
}

/** Connections to the database. Those of before are given up together when it was lost. */
export interface Connections extends PostgresPool {
  renew(): void;
}

/** ms: longer than any statement of ours takes; a server that hangs must not hang the service with it */
const STATEMENT = 30_000;

/** What was cut off in the middle: the connection is not to be used again. */
const CUT = /timeout|terminated|not queryable/i;

export const makeConnections = ({ url, most, patience, onLost }: ConnectionOptions): Connections => {
  const open = (): pg.Pool => {
    const made = new pg.Pool({
      connectionString: url,
      max: most,
      connectionTimeoutMillis: patience,
      query_timeout: STATEMENT,
      // what nobody waits for any more ends on the server too, and lets go of what it holds
      statement_timeout: STATEMENT,
      idle_in_transaction_session_timeout: 2 * STATEMENT,
      application_name: "drainward",
    });
    made.on("error", onLost);
    // one that is lost between two statements has nobody waiting on it; the next statement on it says so
    made.on("connect", (client) => client.on("error", () => {}));
    return made;
  };
  let pool = open();

  return {
    async connect(): Promise<PostgresPoolClient> {
      const client = await pool.connect();
      let cut = false;
      const watched = async <R>(text: string, asked: Promise<R>): Promise<R> => {
        try {
          return await asked;
        } catch (error) {
          // one whose transaction cannot even be undone is of no more use either
          cut ||= text === "rollback" || (error instanceof Error && CUT.test(error.message));
          throw error;
        }
      };
      return {
        // cursors are not used here
        query: ((text: string, parameters: readonly unknown[]) =>
          watched(text, client.query(text, [...parameters]))) as unknown as PostgresPoolClient["query"],
        release: () => client.release(cut),
      };
    },
    renew() {
      const old = pool;
      pool = open();
      old.end().catch(() => {});
    },
    end: () => pool.end(),
  };
};
