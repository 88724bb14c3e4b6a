// R10: the database stops, is silent, refuses, is lost in the middle of a commit or lets nobody in, while calls go on.
import { execFileSync } from "node:child_process";
import { readlinkSync } from "node:fs";
import { dirname, join } from "node:path";
import pg from "pg";
import { riserOfThree } from "../builders/riser-of-three.js";
import { call, pause, until } from "./call.js";
import { crowding } from "./crowding.js";
import { type Database, embeddedDatabase, externalDatabase, killServer, signalAll } from "./databases.js";
import { relay } from "./relay.js";
import type { Row, Settings } from "./row.js";
import { type ServiceProcess, startService } from "./service-process.js";

/** ms, on a machine that does nothing else: until it says that it is not ready, and until it works again */
const NOTICED = 2_000;
const RECOVERED = 5_000;
/** ms after which a call hangs */
const HANGS = 12_000;

/** Stands between service and database, and loses a connection before or after its next commit when it is told to. */
const databaseProxy = async (to: string) => {
  let cut: "before" | "after" | null = null;
  let cuts = 0;
  const between = await relay(to, (client, onward) => {
    let [inserts, deaf] = [false, false];
    return {
      fromClient: (bytes) => {
        const text = bytes.toString("latin1");
        if (text.includes('insert into "observation"')) inserts = true;
        if (cut !== null && inserts && /commit\0/.test(text)) {
          const when = cut;
          cut = null;
          cuts++;
          if (when === "before") client.resetAndDestroy();
          // it is kept, and nobody hears of it
          else {
            deaf = true;
            onward.write(bytes);
          }
          return;
        }
        onward.write(bytes);
      },
      fromServer: (bytes) => {
        if (deaf) client.resetAndDestroy();
        else client.write(bytes);
      },
    };
  });
  return {
    ...between,
    get cuts() {
      return cuts;
    },
    cutNext(when: "before" | "after") {
      cut = when;
    },
  };
};

interface Seen {
  readonly what: "ready" | "read" | "write";
  /** when it was sent and answered, ms */
  readonly from: number;
  readonly until: number;
  /** null: no answer */
  readonly status: number | null;
}

/** of all marks, so that none comes twice */
let number = 0;

/** Calls that go on all the time, and what was answered. */
const caller = (base: string) => {
  const seen: Seen[] = [];
  const marks: string[] = [];
  const acknowledged = new Set<string>();
  let over = false;
  const loop = async (what: Seen["what"], every: number, ask: () => Promise<number | null>) => {
    while (!over) {
      const from = performance.now();
      const status = await ask();
      seen.push({ what, from, until: performance.now(), status });
      await pause(every);
    }
  };
  const statusOf = async (path: string) => (await call(base, { method: "GET", path, patience: HANGS }))?.status ?? null;
  /** the same call with the same key until it is kept */
  const write = async (who: number): Promise<number | null> => {
    const mark = marks[who] ?? `w-${who}-${number++}`;
    marks[who] = mark;
    const answer = await call(base, {
      method: "POST",
      path: "/v1/buildings/elm/observations",
      body: { type: "slow-drain", node: "F-1", time: "2026-07-01T00:00:00Z", source: "caller", text: mark },
      headers: { "idempotency-key": mark },
      patience: HANGS,
    });
    if (answer?.status === 201) {
      acknowledged.add(mark);
      delete marks[who];
    }
    return answer?.status ?? null;
  };
  const read = () => statusOf("/v1/buildings/elm/health");
  const loops = [
    loop("ready", 40, () => statusOf("/readyz")),
    ...[0, 1].map(() => loop("read", 60, read)),
    ...[0, 1, 2].map((who) => loop("write", 60, () => write(who))),
  ];
  return {
    seen,
    acknowledged,
    /** so many more who read, until it is over */
    crowd(size: number) {
      for (let i = 0; i < size; i++) loops.push(loop("read", 60, read));
    },
    last: (what: Seen["what"]) => seen.findLast((each) => each.what === what),
    async stop() {
      over = true;
      await Promise.all(loops);
    },
  };
};

interface Fault {
  readonly name: string;
  readonly begin: (calls: ReturnType<typeof caller>) => Promise<unknown>;
  readonly end: () => Promise<unknown>;
  /** ms from beginning to end */
  readonly lasts: number;
  /** whether the service must say that it is not ready meanwhile */
  readonly unready: boolean;
}

const none = async () => {};

const externalFaults = (
  database: Database,
  proxy: Awaited<ReturnType<typeof databaseProxy>>,
  quick: boolean,
): readonly Fault[] => {
  const lasts = quick ? 2_600 : 8_000;
  const [postmaster] = database.processes();
  const pgCtl = join(dirname(readlinkSync(`/proc/${postmaster}/exe`)), "pg_ctl");
  const [uid, gid] = execFileSync("stat", ["-c", "%u %g", database.cluster], { encoding: "utf8" })
    .split(" ")
    .map(Number);
  const control = (...args: string[]) =>
    execFileSync(pgCtl, [...args, "-D", database.cluster, "-w", "-s", "-l", `${database.cluster}/../server.log`], {
      stdio: "ignore",
      cwd: database.cluster,
      ...(process.getuid?.() === 0 && { uid, gid }),
    });
  let paused: readonly number[] = [];
  const name = new URL(database.url()).pathname.slice(1);
  /** another database of the server: its own lets nobody in */
  const elsewhere = async (...statements: string[]) => {
    const url = new URL(database.url());
    url.pathname = "/postgres";
    const client = new pg.Client({ connectionString: url.href });
    await client.connect();
    for (const statement of statements) await client.query(statement);
    await client.end();
  };
  const busy: pg.Client[] = [];
  return [
    {
      name: "stopped",
      begin: async () => control("stop", "-m", "fast"),
      end: async () => control("restart"),
      lasts,
      unready: true,
    },
    {
      name: "paused",
      begin: async () => {
        paused = database.processes();
        signalAll(paused, "SIGSTOP");
      },
      end: async () => signalAll(paused, "SIGCONT"),
      lasts,
      unready: true,
    },
    { name: "refusing", begin: async () => proxy.refuse(), end: async () => proxy.accept(), lasts, unready: true },
    {
      name: "letting nobody in",
      begin: () =>
        elsewhere(
          `alter database ${name} allow_connections false`,
          `select pg_terminate_backend(pid) from pg_stat_activity where datname = '${name}'`,
        ),
      end: () => elsewhere(`alter database ${name} allow_connections true`),
      lasts,
      unready: true,
    },
    { name: "lost before a commit", begin: async () => proxy.cutNext("before"), end: none, lasts: 600, unready: false },
    { name: "lost after a commit", begin: async () => proxy.cutNext("after"), end: none, lasts: 600, unready: false },
    {
      // whoever holds the table keeps every connection of the pool waiting
      name: "pool exhausted",
      begin: async (calls) => {
        const client = new pg.Client({ connectionString: database.url() });
        await client.connect();
        await client.query("begin; lock table building in access exclusive mode");
        busy.push(client);
        calls.crowd(14);
      },
      end: async () => {
        for (const client of busy.splice(0)) await client.end();
      },
      lasts: quick ? 3_000 : 8_000,
      unready: false,
    },
  ];
};

export const away = async (settings: Settings): Promise<readonly Row[]> => {
  const database = await externalDatabase();
  const proxy = await databaseProxy(database.url());
  try {
    const faults = externalFaults(database, proxy, settings.quick);
    return await through(settings, database, { DATABASE_URL: proxy.url }, faults, () => proxy.cuts);
  } finally {
    await proxy.close();
    await database.remove();
  }
};

/** The embedded server is brought back by the service itself. */
export const embeddedAway = async (settings: Settings): Promise<readonly Row[]> => {
  const database = await embeddedDatabase();
  const lasts = settings.quick ? 500 : 3_000;
  let paused: readonly number[] = [];
  const faults: Fault[] = [
    { name: "killed", begin: () => killServer(database), end: none, lasts: 0, unready: false },
    {
      name: "paused",
      begin: async () => {
        paused = database.processes();
        signalAll(paused, "SIGSTOP");
      },
      end: async () => signalAll(paused, "SIGCONT"),
      lasts: lasts + 2_100,
      unready: true,
    },
  ];
  try {
    return await through(settings, database, database.environment, faults, () => 0);
  } finally {
    await database.remove();
  }
};

const through = async (
  { programs }: Settings,
  database: Database,
  environment: Readonly<Record<string, string>>,
  faults: readonly Fault[],
  cuts: () => number,
): Promise<readonly Row[]> => {
  const service = await startService(programs, environment);
  const rows: Row[] = [];
  try {
    await call(service.url, { method: "PUT", path: "/v1/buildings/elm", body: { name: "Elm", timeZone: "UTC" } });
    await call(service.url, { method: "POST", path: "/v1/buildings/elm/revisions", body: riserOfThree() });
    for (const fault of faults) if (!service.ended) rows.push(await throughOne(service, database, fault, cuts));
  } finally {
    await service.kill();
  }
  return rows;
};

const throughOne = async (
  service: ServiceProcess,
  database: Database,
  { name, begin, end, lasts, unready }: Fault,
  cuts: () => number,
): Promise<Row> => {
  const crowded = await crowding();
  const notes: string[] = [];
  const calls = caller(service.url);
  const faultsBefore = service.faults.length;
  const works = (since: number) => async (): Promise<boolean> =>
    (["ready", "read", "write"] as const).every((what) => {
      const last = calls.last(what);
      return last !== undefined && last.from > since && (last.status === 200 || last.status === 201);
    });
  const cutsBefore = cuts();
  let [began, ending, ended, recovered] = [0, 0, 0, Number.POSITIVE_INFINITY];
  try {
    await until("calls are answered", works(0), 60_000);
    await begin(calls);
    began = performance.now();
    await pause(lasts);
    // what is slow here may be noticed later
    if (unready && crowded > 1.5) await pause((crowded - 1) * 1_000);
    ending = performance.now();
    await end();
    ended = performance.now();
    recovered = await until("it works again or has ended", async () => service.ended || (await works(ended)()), 60_000);
  } catch (error) {
    notes.push(String(error));
  } finally {
    await calls.stop();
  }

  const during = calls.seen.filter((each) => each.until >= began && each.from <= ended + recovered);
  const refused = during.find(({ what, status }) => what === "ready" && status === 503);
  const noticed = refused === undefined ? Number.POSITIVE_INFINITY : refused.until - began;
  const wrong = during.filter(({ status }) => status !== 200 && status !== 201 && status !== 503);
  for (const { what, status, from, until } of wrong.slice(0, 3))
    notes.push(`a ${what} was answered ${status ?? "nothing"} after ${Math.round(until - from)} ms`);
  const readyMeanwhile = during.filter(
    ({ what, status, from, until }) =>
      what === "ready" && status === 200 && from > began + NOTICED * crowded && until < ending,
  );
  if (unready && (noticed > NOTICED * crowded || readyMeanwhile.length > 0))
    notes.push(`it said that it was ready for ${Math.round(noticed)} ms, and ${readyMeanwhile.length} times later`);
  if (recovered > RECOVERED * crowded) notes.push(`it worked again only after ${Math.round(recovered)} ms`);
  if (service.ended) notes.push("it ended");
  const logged = service.faults.slice(faultsBefore);
  if (logged.length > 0) notes.push(`faults were logged: ${logged[0]!.slice(0, 500)}`);
  const away = during.filter(({ status }) => status === 503).length;
  if (name.startsWith("lost") && cuts() === cutsBefore) notes.push("no commit was cut");
  if (away === 0) notes.push("nobody was told that the database is away");
  const kept = await database.ask<{ text: string; n: number }>(
    "select text, count(*)::int as n from observation group by text",
  );
  const counted = new Map(kept.map(({ text, n }) => [text, n]));
  const doubled = [...counted.values()].filter((n) => n > 1).length;
  const lost = [...calls.acknowledged].filter((mark) => !counted.has(mark)).length;
  await database.ask("delete from observation");
  const figures = {
    calls: during.length,
    answered503: away,
    otherwise: wrong.length,
    ...(unready && { unreadyAfter: Math.round(noticed) }),
    worksAfter: Math.round(recovered),
    lost,
    doubled,
    crowding: Number(crowded.toFixed(1)),
  };
  return {
    id: "R10",
    what: `database ${name}`,
    engine: database.engine,
    passed: notes.length === 0 && lost + doubled === 0,
    figures,
    notes,
  };
};
