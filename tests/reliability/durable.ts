// R4: whether what is acknowledged has reached the disk, as the system calls of the database tell; and what happens when
// there is no room left.
import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { chmod, chown, mkdtemp, open, readFile, rm, statfs } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { riserOfThree } from "../builders/riser-of-three.js";
import { seeded } from "../builders/seeded.js";
import { call, pause, until } from "./call.js";
import { type Database, databaseOf, type EngineName, embeddedDatabase, externalDatabase } from "./databases.js";
import type { Row, Settings } from "./row.js";
import { type ServiceProcess, startService } from "./service-process.js";

const firstOf = (error: unknown): string => String(error instanceof Error ? error.message : error).split("\n")[0]!;

const prepare = async (base: string): Promise<void> => {
  await call(base, { method: "PUT", path: "/v1/buildings/elm", body: { name: "Elm", timeZone: "UTC" } });
  await call(base, { method: "POST", path: "/v1/buildings/elm/revisions", body: riserOfThree() });
};

const observe = (base: string, text: string) =>
  call(base, {
    method: "POST",
    path: "/v1/buildings/elm/observations",
    body: { type: "slow-drain", node: "F-1", time: new Date().toISOString(), source: "writer", text },
  });

/** What the trace of a server says of its transactions that kept an observation. */
export interface Traced {
  readonly committed: number;
  /** those for which the log was flushed between the commit and its acknowledgement */
  readonly flushed: number;
}

const CALL = /^(\d+)\s+[\d.]+ (?:<\.\.\. )?(recvfrom|sendto|fsync|fdatasync)/;

/** @param trace lines of `strace -f -ttt -y`, of every process of the server */
export const readTrace = (trace: string): Traced => {
  const kept = new Set<string>();
  const open = new Map<string, boolean>();
  const flushing = new Map<string, readonly string[]>();
  let [committed, flushed] = [0, 0];
  for (const line of trace.split("\n")) {
    const [, pid, name] = CALL.exec(line) ?? [];
    if (pid === undefined) continue;
    if (name === "recvfrom") {
      if (line.includes('insert into \\"observation\\"')) kept.add(pid);
      if (/"Q[^"]*commit/.test(line) && kept.delete(pid)) open.set(pid, false);
    } else if (name === "sendto") {
      const was = open.get(pid);
      if (was === undefined || !line.includes("COMMIT")) continue;
      open.delete(pid);
      committed++;
      if (was) flushed++;
    } else {
      // one that began after the commit was asked for, whichever process it is of
      if (line.includes("pg_wal/")) flushing.set(pid, [...open.keys()]);
      if (/= 0$/.test(line)) {
        for (const waiting of flushing.get(pid) ?? []) if (open.has(waiting)) open.set(waiting, true);
        flushing.delete(pid);
      }
    }
  }
  return { committed, flushed };
};

/** @throws Error where the machine does not allow it */
const traced = async (database: Database, work: () => Promise<void>): Promise<string> => {
  const folder = await mkdtemp(join(tmpdir(), "drainward-"));
  const file = join(folder, "trace");
  try {
    const pids = database.processes().flatMap((pid) => ["-p", String(pid)]);
    const watched = ["recvfrom", "sendto", "fsync", "fdatasync"].join(",");
    const strace = spawn("strace", ["-f", "-ttt", "-y", "-s", "64", "-e", `trace=${watched}`, "-o", file, ...pids], {
      stdio: ["ignore", "ignore", "pipe"],
    });
    let said = "";
    strace.stderr.on("data", (chunk) => {
      said += String(chunk);
    });
    const ended = once(strace, "exit");
    await Promise.race([
      until("strace is attached", async () => (said.match(/ attached/g) ?? []).length * 2 >= pids.length, 10_000),
      ended.then(() => {
        throw new Error(said);
      }),
    ]);
    await work();
    strace.kill("SIGINT");
    await ended;
    return await readFile(file, "utf8");
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
};

export const flushed = async (engine: EngineName, { programs, quick }: Settings): Promise<Row> => {
  const base = { id: "R4", what: "flushed before it is acknowledged", engine } as const;
  try {
    execFileSync("strace", ["-V"], { stdio: "ignore" });
  } catch {
    return { ...base, passed: null, figures: {}, notes: ["not run: there is no strace here"] };
  }
  const database = await databaseOf(engine);
  const service = await startService(programs, database.environment);
  try {
    await prepare(service.url);
    const writes = quick ? 8 : 100;
    const round = async (): Promise<Traced> =>
      readTrace(
        await traced(database, async () => {
          for (let i = 0; i < writes; i++) await observe(service.url, `o${i}`);
        }),
      );
    const on = await round();
    await database.ask("alter system set fsync = off");
    await database.ask("select pg_reload_conf()");
    await until("it is off", async () => (await database.ask("show fsync"))[0].fsync === "off", 5_000);
    const off = await round();
    const figures = { writes, committed: on.committed, flushed: on.flushed, flushedWithFsyncOff: off.flushed };
    const passed = on.committed === writes && on.flushed === writes && off.committed === writes && off.flushed === 0;
    return { ...base, passed, figures, notes: [] };
  } catch (error) {
    return { ...base, passed: null, figures: {}, notes: [`not run: ${firstOf(error)}`] };
  } finally {
    await service.kill();
    await database.remove();
  }
};

const MEGABYTE = 1024 * 1024;
/** of the database's log, as it is by default */
const LOG_FILE = 16 * MEGABYTE;

/** A folder on a small disk of its own. @throws Error where the machine does not allow it */
const smallDisk = async (megabytes: number) => {
  const folder = await mkdtemp(join(tmpdir(), "drainward-disk-"));
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", `size=${megabytes}m,mode=755`, "tmpfs", folder], { stdio: "pipe" });
  } catch (error) {
    await rm(folder, { recursive: true, force: true });
    throw error;
  }
  /** @returns bytes */
  const room = async (): Promise<number> => {
    const { bavail, bsize } = await statfs(folder);
    return bavail * bsize;
  };
  return {
    folder,
    room,
    /** takes room away until so much is left */
    async fill(left: number) {
      const filler = await open(join(folder, "filler"), "a");
      try {
        const chunk = Buffer.alloc(MEGABYTE);
        for (let rest = (await room()) - left; rest > 0; rest -= chunk.length)
          await filler.write(chunk, 0, Math.min(chunk.length, rest));
      } finally {
        await filler.close();
      }
    },
    clear: () => rm(join(folder, "filler"), { force: true }),
    async remove() {
      execFileSync("umount", [folder]);
      await rm(folder, { recursive: true, force: true });
    },
  };
};

/** A network with a megabyte or so that does not compress. */
const heavy = (random: () => number, size: number) => {
  const network = riserOfThree() as ReturnType<typeof riserOfThree> & { nodes: Record<string, unknown>[] };
  const noise = () => Array.from({ length: 12 }, () => random().toString(36).slice(2)).join("");
  for (let i = 0; i < size; i++)
    network.nodes.push({
      id: `${i}-${noise().slice(0, 100)}`,
      kind: "junction",
      elevation: 1,
      name: noise().slice(0, 100),
    });
  return network;
};

/**
 * The embedded server's whole folder stands on the small disk; of the external server the tables do, and its log has room
 * elsewhere, as whoever runs it sees to.
 */
export const diskFull = async (engine: EngineName, { programs, quick, seed }: Settings): Promise<Row> => {
  const base = { id: "R4", what: "disk full", engine } as const;
  let disk: Awaited<ReturnType<typeof smallDisk>>;
  try {
    disk = await smallDisk(engine === "embedded" ? 256 : 48);
  } catch (error) {
    return { ...base, passed: null, figures: {}, notes: [`not run: no small disk can be mounted (${firstOf(error)})`] };
  }
  const random = seeded(seed);
  const notes: string[] = [];
  const figures: Record<string, number> & Record<"kept" | "refused" | "lost" | "readsWhileFull", number> = {
    kept: 0,
    refused: 0,
    lost: 0,
    readsWhileFull: 0,
  };
  let database: Database | null = null;
  let service: ServiceProcess | null = null;
  try {
    if (engine === "embedded") database = await embeddedDatabase(join(disk.folder, "data"));
    else {
      database = await externalDatabase();
      const owner = execFileSync("stat", ["-c", "%u %g", database.cluster], { encoding: "utf8" })
        .split(" ")
        .map(Number);
      await chown(disk.folder, owner[0]!, owner[1]!);
      await chmod(disk.folder, 0o700);
      await database.ask(`create tablespace small location '${disk.folder}'`);
      const name = new URL(database.url()).pathname.slice(1);
      await database.ask(`alter database ${name} set default_tablespace = 'small'`);
    }
    service = await startService(programs, database.environment);
    const { url } = service;
    await prepare(url);
    const kept: string[] = [];
    const write = async (text: string): Promise<number> => {
      const answer = await observe(url, text);
      if (answer?.status === 201) kept.push(text);
      return answer?.status ?? 0;
    };
    await write("before");
    // no look of the service at its disk comes between what fits and what no longer does
    if (!quick) {
      for (let i = 0, full = false; !full && i < 200; i++) {
        const answers = await Promise.all(
          [0, 1, 2, 3].map(() =>
            call(url, {
              method: "POST",
              path: "/v1/buildings/elm/revisions",
              body: heavy(random, 4_000),
              patience: 60_000,
            }),
          ),
        );
        for (const answer of answers) {
          if (answer?.status === 507) full = true;
          else if (answer?.status !== 201 && answer?.status !== 409)
            notes.push(`a heavy revision was answered ${answer?.status}: ${answer?.text.slice(0, 200)}`);
        }
        if (notes.length > 3) break;
      }
    } else await disk.fill(engine === "embedded" ? 24 * MEGABYTE : 0);
    const isFull = async () => {
      const status = await write(`full ${kept.length} ${"x".repeat(1_000)}`);
      if (status !== 201 && status !== 507) notes.push(`a write was answered ${status}`);
      return status === 507;
    };
    await until("writes are refused", isFull, 20_000, 1);
    if (engine === "embedded") {
      // the log takes a new file when the last is full, and the server ends where there is no room for it
      const room = await disk.room();
      figures.roomLeft = Math.floor(room / MEGABYTE);
      if (room < LOG_FILE) notes.push(`writes were refused when ${figures.roomLeft} MB were left`);
    }
    for (let i = 0; i < 20; i++) {
      const status = await write(`refused ${i} ${random()} ${"y".repeat(1_500)}`);
      if (status === 507) figures.refused++;
      else if (status !== 201) notes.push(`a write to a full disk was answered ${status}`);
      for (const path of ["/v1/buildings/elm/health", "/v1/health", "/v1/buildings/elm/revisions/1/audit", "/readyz"]) {
        const answer = await call(url, { method: "GET", path });
        if (answer?.status === 200) figures.readsWhileFull++;
        else notes.push(`${path} of a full disk was answered ${answer?.status}`);
      }
      await pause(20);
    }
    const listed = await database.ask<{ text: string }>("select text from observation");
    const there = new Set(listed.map(({ text }) => text));
    figures.kept = kept.length;
    figures.lost = kept.filter((text) => !there.has(text)).length;
    if (quick) {
      await disk.clear();
      await until("writes are taken again", async () => (await write(`after ${random()}`)) === 201, 5_000, 50);
    }
    if (service.faults.length > 0) notes.push(`faults were logged: ${service.faults[0]}`);
    const { refused, lost, readsWhileFull } = figures;
    const passed = refused > 0 && lost === 0 && readsWhileFull === 80 && notes.length === 0;
    return { ...base, passed, figures, notes };
  } finally {
    await service?.kill();
    await database?.remove();
    await disk.remove();
  }
};
