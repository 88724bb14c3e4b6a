// R12: a database of any age is brought to the newest form, however often that is cut off, and a newer one is let be.
import { type ChildProcess, execFile, spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { Kysely, PostgresDialect } from "kysely";
import pg from "pg";
import type * as Migrate from "../../src/store/migrate.js";
import { riserOfThree } from "../builders/riser-of-three.js";
import { call } from "./call.js";
import { databaseOf, type EngineName } from "./databases.js";
import { relay } from "./relay.js";
import type { Row, Settings } from "./row.js";
import { type ServiceProcess, startService } from "./service-process.js";

const PARSE = "P".charCodeAt(0);
const QUERY = "Q".charCodeAt(0);

/** Stands between a program and the database, and counts the program's statements. */
const counting = async (to: string, onStatement: (number: number, cut: () => void) => void) => {
  let statements = 0;
  const between = await relay(to, (client, onward) => ({
    fromClient: (bytes) => {
      // what the client asks in one go begins with its statement
      if (bytes[0] === PARSE || bytes[0] === QUERY) onStatement(++statements, () => client.resetAndDestroy());
      if (!client.destroyed) onward.write(bytes);
    },
  }));
  return {
    ...between,
    get statements() {
      return statements;
    },
  };
};

type Asked = <T extends Record<string, unknown>>(statement: string, parameters?: readonly unknown[]) => Promise<T[]>;

const asking = async <T>(url: string, work: (ask: Asked) => Promise<T>): Promise<T> => {
  const client = new pg.Client({ connectionString: url });
  client.on("error", () => {});
  await client.connect();
  try {
    return await work(async (statement, parameters = []) => (await client.query(statement, [...parameters])).rows);
  } finally {
    await client.end();
  }
};

/** The form of everything but the migrator's own tables, as text. */
const formOf = (url: string): Promise<string> =>
  asking(url, async (ask) => {
    const parts = [
      `select table_name, column_name, data_type, is_nullable, column_default from information_schema.columns
        where table_schema = 'public' and table_name not like 'kysely%' order by 1, ordinal_position`,
      `select indexdef from pg_indexes where schemaname = 'public' and tablename not like 'kysely%' order by 1`,
      `select conrelid::regclass::text as "table", pg_get_constraintdef(oid) as def from pg_constraint
        where connamespace = 'public'::regnamespace and conrelid::regclass::text not like 'kysely%' order by 1, 2`,
      `select tablename, policyname, qual, with_check from pg_policies order by 1, 2`,
      `select table_name, privilege_type from information_schema.role_table_grants
        where grantee = 'drainward_service' order by 1, 2`,
    ];
    const told = [];
    for (const part of parts) told.push(...(await ask(part)));
    return told.map((row) => JSON.stringify(row)).join("\n");
  });

const TABLES = ["key", "building", "revision", "audit", "finding", "waiver", "observation", "repeat"];

export const migrated = async (engine: EngineName, { programs, quick }: Settings): Promise<Row> => {
  const { migrate, MIGRATIONS } = (await import(join(programs, "store/migrate.js"))) as typeof Migrate;
  const names = Object.keys(MIGRATIONS);
  const database = await databaseOf(engine);
  const notes: string[] = [];
  const figures = { versions: names.length, cuts: 0, halfDone: 0, rowsChanged: 0, healthApart: 0 };
  let made = 0;
  let keeper: ServiceProcess | null = null;
  const fresh = async (): Promise<string> => {
    const name = `aged_${made++}`;
    await database.ask(`create database ${name}`);
    const url = new URL(database.url());
    url.pathname = `/${name}`;
    return url.href;
  };
  const migrateAt = async (url: string, to: string | null): Promise<void> => {
    const pool = new pg.Pool({ connectionString: url, max: 2 });
    pool.on("error", () => {});
    pool.on("connect", (client) => client.on("error", () => {}));
    const db = new Kysely({ dialect: new PostgresDialect({ pool }) });
    try {
      await migrate(db, to);
    } finally {
      await db.destroy();
    }
  };
  /** Brings a database to the newest form, and is cut off or killed at a statement. @returns false: there was none */
  const cutAt = async (url: string, statement: number, killsProcess: boolean): Promise<boolean> => {
    let child: ChildProcess | null = null;
    const proxy = await counting(url, (number, cut) => {
      if (number !== statement) return;
      child?.kill("SIGKILL");
      cut();
    });
    if (!killsProcess) await migrateAt(proxy.url, null).catch(() => {});
    else {
      child = spawn(process.execPath, [join(programs, "main/cli.js"), "migrate"], {
        env: { PATH: process.env.PATH, DATABASE_URL: proxy.url },
        stdio: "ignore",
      });
      await once(child, "exit");
    }
    proxy.close();
    return proxy.statements >= statement;
  };

  try {
    // what a service of today makes of an empty database, with something in it
    const service = await startService(programs, database.environment);
    const at = `at=${encodeURIComponent(new Date(Date.now() + 1_000).toISOString())}`;
    await call(service.url, { method: "PUT", path: "/v1/buildings/elm", body: { name: "Elm", timeZone: "UTC" } });
    await call(service.url, { method: "POST", path: "/v1/buildings/elm/revisions", body: riserOfThree() });
    const seen = { type: "water-seen", node: "F-1", time: "2026-07-01T00:00:00Z", source: "x" };
    await call(service.url, { method: "POST", path: "/v1/buildings/elm/observations", body: { ...seen, id: "o1" } });
    const health = await call(service.url, { method: "GET", path: `/v1/buildings/elm/health?${at}` });
    const head = await formOf(database.url());
    const rows = new Map<string, readonly string[]>();
    for (const table of TABLES) {
      const listed = await database.ask<{ row: string }>(`select row_to_json(t)::text as row from ${table} t`);
      rows.set(
        table,
        listed.map(({ row }) => row),
      );
    }
    await service.stop();
    // an embedded server goes with the last that uses it
    keeper = engine === "embedded" ? await startService(programs, database.environment) : null;

    for (const version of [null, ...names]) {
      const url = await fresh();
      const name = version ?? "nothing";
      const columns = new Map<string, string>();
      if (version !== null) {
        await migrateAt(url, version);
        await asking(url, async (ask) => {
          for (const [table, listed] of rows) {
            const own = await ask<{ column_name: string }>(
              "select column_name from information_schema.columns where table_name = $1 and table_schema = 'public'",
              [table],
            );
            const list = own.map(({ column_name }) => `"${column_name}"`).join(", ");
            columns.set(table, list);
            for (const row of listed)
              await ask(`insert into ${table} (${list}) select ${list} from json_populate_record(null::${table}, $1)`, [
                row,
              ]);
          }
        });
      }
      const kept = () =>
        asking(url, async (ask) => {
          const all: unknown[] = [];
          for (const [table, list] of columns) {
            // what is worked out of the rest may be worked out anew
            const lasting = list.split(", ").filter((column) => column !== '"signs"' && column !== '"outlook"');
            all.push(...(await ask(`select ${lasting.join(", ")} from ${table}`)));
          }
          return JSON.stringify(all);
        });
      const [before, rowsBefore] = [await formOf(url), await kept()];
      const kills = !quick && version === null;
      for (let statement = 1, missed = 0; ; ) {
        const reached = await cutAt(url, statement, kills);
        const form = await formOf(url);
        if (reached) figures.cuts++;
        if (form !== before && form !== head) {
          figures.halfDone++;
          notes.push(`cut at statement ${statement} from ${name}, it was left half done`);
          break;
        }
        // it went through, or the last of its statements said no more than that it is done
        if (form === head && (before !== head || !reached)) break;
        if (reached) statement++;
        // something else stopped it before
        else if (++missed > 5) {
          notes.push(`from ${name} it never came to statement ${statement}`);
          break;
        }
      }
      await Promise.all([migrateAt(url, null), migrateAt(url, null)]);
      if ((await formOf(url)) !== head) notes.push(`from ${name} it came to another form than from nothing`);
      if ((await kept()) !== rowsBefore) figures.rowsChanged++;
      if (version !== null) {
        const aged = await startService(programs, { DATABASE_URL: url });
        const again = await call(aged.url, { method: "GET", path: `/v1/buildings/elm/health?${at}` });
        if (again?.text !== health?.text) figures.healthApart++;
        await aged.stop();
      }
    }

    const url = await fresh();
    await migrateAt(url, null);
    await asking(url, (ask) => ask("insert into kysely_migration (name, timestamp) values ('999-later', 'x')"));
    const refusal = await migrateAt(url, null).then(
      () => "taken",
      (error: unknown) => String(error),
    );
    if (!/made by a newer version/.test(refusal)) notes.push(`a newer database: ${refusal}`);
    const said = await new Promise<string>((resolve) => {
      execFile(
        process.execPath,
        [join(programs, "main/server.js")],
        { env: { PATH: process.env.PATH, DATABASE_URL: url, PORT: "0" }, timeout: 180_000 },
        (error, _, stderr) => resolve(error === null ? "it started" : stderr),
      );
    });
    if (!/made by a newer version/.test(said) || /reset|drop|delete/i.test(said))
      notes.push(`the service on a newer database: ${said}`);
    if ((await formOf(url)) !== head) notes.push("a newer database was changed");
  } finally {
    await keeper?.stop();
    await database.remove();
  }
  const { halfDone, rowsChanged, healthApart, cuts } = figures;
  const passed = halfDone + rowsChanged + healthApart === 0 && cuts > 10 && notes.length === 0;
  return { id: "R12", what: "migrations", engine, passed, figures, notes };
};
