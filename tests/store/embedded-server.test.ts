// The embedded server as the next process finds it: running and left alone, busy, ended, or half made.
import { readFileSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import pg from "pg";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type EmbeddedServer, startEmbeddedServer } from "../../src/store/embedded-server.js";

let folder: string;
let first: EmbeddedServer;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "drainward-"));
  first = await startEmbeddedServer(folder, process.env);
});
afterAll(async () => {
  await first.stop();
  await (await startEmbeddedServer(folder, process.env)).stop();
  await rm(folder, { recursive: true, force: true });
});

const postmaster = (): number => Number(readFileSync(join(folder, "postgres/postmaster.pid"), "utf8").split("\n")[0]);

const rowsAt = async (url: string, statement: string): Promise<unknown[]> => {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query(statement)).rows;
  } finally {
    await client.end();
  }
};

describe("a server that runs in the folder already", () => {
  it("is taken over, and stays when one of its users leaves", async () => {
    const second = await startEmbeddedServer(folder, process.env);
    expect([first.adopted, second.adopted, second.url]).toEqual([false, true, first.url]);
    await second.stop();
    expect(await rowsAt(first.url, "select 1 as one")).toEqual([{ one: 1 }]);
  });

  it("is waited for where it does not get round to answering", async () => {
    const running = postmaster();
    // longer than one attempt to connect is given
    process.kill(running, "SIGSTOP");
    const taken = startEmbeddedServer(folder, process.env);
    await pause(3_000);
    process.kill(running, "SIGCONT");
    const second = await taken;
    expect([second.adopted, postmaster()]).toEqual([true, running]);
    await second.stop();
  });

  it("is started anew where it was killed, with what it kept", async () => {
    await rowsAt(first.url, "create table kept (one int)");
    process.kill(postmaster(), "SIGKILL");
    const next = await startEmbeddedServer(folder, process.env);
    expect(next.adopted).toBe(false);
    expect(await rowsAt(next.url, "select * from kept")).toEqual([]);
    await next.stop();
  });
});
