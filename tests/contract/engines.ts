// The servers that the store must run on alike: the embedded one, and one that is there already where one is named.
import { randomBytes } from "node:crypto";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pg from "pg";
import type { Store } from "../../src/service/shelves.js";
import { startEmbeddedServer } from "../../src/store/embedded-server.js";
import { openStore } from "../../src/store/open-store.js";

export interface Engine {
  readonly name: "embedded" | "external";
  /** a store with empty tables of its own, and how to be rid of it */
  readonly open: () => Promise<{
    readonly store: Store;
    readonly url: string;
    readonly remove: () => Promise<void>;
  }>;
}

const external = process.env.TEST_DATABASE_URL;

const embeddedEngine: Engine = {
  name: "embedded",
  open: async () => {
    const folder = await mkdtemp(join(tmpdir(), "drainward-"));
    const server = await startEmbeddedServer(folder, process.env);
    const store = await openStore({ folder, environment: process.env });
    return {
      store,
      url: server.url,
      remove: async () => {
        await store.close();
        await server.stop();
        await rm(folder, { recursive: true, force: true });
      },
    };
  },
};

const externalEngine = (server: string): Engine => ({
  name: "external",
  open: async () => {
    const name = `drainward_${randomBytes(6).toString("hex")}`;
    const admin = async (statement: string) => {
      const client = new pg.Client({ connectionString: server });
      await client.connect();
      await client.query(statement).finally(() => client.end());
    };
    await admin(`create database ${name}`);
    const url = new URL(server);
    url.pathname = `/${name}`;
    const store = await openStore({ databaseUrl: url.href, folder: "", environment: process.env });
    return {
      store,
      url: url.href,
      remove: async () => {
        await store.close();
        await admin(`drop database ${name} with (force)`);
      },
    };
  },
});

if (external === undefined)
  console.warn("No external PostgreSQL is named (TEST_DATABASE_URL): its half of the contract tests does not run.");

export const engines: readonly Engine[] =
  external === undefined ? [embeddedEngine] : [embeddedEngine, externalEngine(external)];
