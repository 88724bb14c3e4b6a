// The built program: where it listens, what it prints, and how it stops.
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { request as httpRequest, type IncomingMessage } from "node:http";
import { type AddressInfo, createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { startEmbeddedServer } from "../../src/store/embedded-server.js";
import { tutorialLine } from "../builders/sound-app.js";
import { call, until } from "../reliability/call.js";
import { crowding } from "../reliability/crowding.js";

const program = fileURLToPath(new URL("../../dist/main/server.js", import.meta.url));
const children: ChildProcess[] = [];
afterEach(() => {
  for (const child of children.splice(0)) child.kill("SIGKILL");
});
let folder = "";
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "drainward-"));
});
afterAll(async () => {
  // whatever a killed service has left behind
  await (await startEmbeddedServer(folder, process.env)).stop();
  await rm(folder, { recursive: true, force: true });
});

interface Started {
  readonly child: ChildProcess;
  readonly log: Readonly<Record<string, unknown>>[];
  readonly port: number;
  readonly url: string;
}

const run = (environment: Readonly<Record<string, string>>): ChildProcess => {
  const child = spawn(process.execPath, [program], {
    env: { PATH: process.env.PATH, DATA_DIR: folder, ...environment },
    stdio: ["ignore", "pipe", "pipe"],
  });
  children.push(child);
  return child;
};

const start = async (environment: Readonly<Record<string, string>> = {}): Promise<Started> => {
  const child = run({ PORT: "0", ...environment });
  const log: Readonly<Record<string, unknown>>[] = [];
  const listening = new Promise<Readonly<Record<string, unknown>>>((resolve, reject) => {
    createInterface({ input: child.stdout! }).on("line", (line) => {
      const entry = JSON.parse(line) as Readonly<Record<string, unknown>>;
      log.push(entry);
      if (entry.msg === "listening") resolve(entry);
    });
    child.once("exit", () => reject(new Error("it ended before it listened")));
  });
  const entry = await listening;
  return { child, log, port: entry.port as number, url: entry.url as string };
};

/** @returns its status, or the signal that ended it */
const stop = async ({ child }: Started, signal: NodeJS.Signals): Promise<number | NodeJS.Signals> => {
  const gone = once(child, "exit") as Promise<[number, null] | [null, NodeJS.Signals]>;
  child.kill(signal);
  const [status, by] = await gone;
  return status ?? by!;
};

describe("the service as a program", () => {
  test("listens on the loopback address, prints the port that it got, is ready, and stops on a signal", async () => {
    for (const signal of ["SIGTERM", "SIGINT"] as const) {
      const service = await start();
      expect(service.url).toBe(`http://127.0.0.1:${service.port}`);
      expect(service.port).toBeGreaterThan(0);
      expect((await fetch(`${service.url}/readyz`)).status).toBe(200);
      expect(await stop(service, signal)).toBe(0);
      expect(service.log.at(-1)).toMatchObject({ msg: "stopped" });
    }
  });

  test("finishes the request that is on its way when it is told to stop", async () => {
    const service = await start();
    const sender = httpRequest(`${service.url}/v1/audits`, {
      method: "POST",
      // said to go on, it is on its way
      headers: { "content-type": "application/json", expect: "100-continue" },
    });
    const answer = once(sender, "response") as Promise<[IncomingMessage]>;
    sender.flushHeaders();
    await once(sender, "continue");
    sender.write(tutorialLine.slice(0, 100));
    const crowded = await crowding();
    const gone = once(service.child, "exit");
    service.child.kill("SIGTERM");
    const refuses = async () => (await call(service.url, { method: "GET", path: "/livez" })) === null;
    await until("it takes nothing new", refuses, 300 * crowded);
    sender.end(tutorialLine.slice(100));
    const [message] = await answer;
    const parts: Uint8Array[] = [];
    for await (const part of message) parts.push(part as Uint8Array);
    expect(message.statusCode).toBe(200);
    expect(JSON.parse(Buffer.concat(parts).toString())).toMatchObject({ format: 1 });
    expect((await gone)[0]).toBe(0);
  });

  test("says nothing but faults when asked to", async () => {
    const probe = createServer().listen(0, "127.0.0.1");
    await once(probe, "listening");
    const { port } = probe.address() as AddressInfo;
    await new Promise((resolve) => probe.close(resolve));
    const child = run({ PORT: String(port), LOG_LEVEL: "silent" });
    let said = "";
    child.stdout!.on("data", (chunk) => {
      said += String(chunk);
    });
    const isUp = () =>
      fetch(`http://127.0.0.1:${port}/livez`).then(
        ({ ok }) => ok,
        () => false,
      );
    while (!(await isUp())) await new Promise((resolve) => setTimeout(resolve, 50));
    const gone = once(child, "exit");
    child.kill("SIGTERM");
    expect((await gone)[0]).toBe(0);
    expect(said).toBe("");
  });

  const refused = [
    ["PORT", "80a", "PORT must be"],
    ["PORT", "65536", "PORT must be"],
    ["LOG_LEVEL", "loud", "LOG_LEVEL must be"],
    ["HOST", "256.0.0.1", "256.0.0.1"],
    ["DATABASE_URL", "mysql://localhost/x", "DATABASE_URL must be"],
  ] as const;
  for (const [name, value, words] of refused)
    test(`does not start with ${name}=${value}, and says why`, async () => {
      const child = run({ PORT: "0", [name]: value });
      let said = "";
      child.stderr!.on("data", (chunk) => {
        said += String(chunk);
      });
      const [status] = (await once(child, "close")) as [number | null];
      expect(status).toBe(1);
      expect(said).toContain(words);
    });

  test("is ready again on the store that a killed one left, which keeps what it had", async () => {
    const first = await start();
    const put = await fetch(`${first.url}/v1/buildings/kept`, {
      method: "PUT",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ name: "Kept", timeZone: "UTC" }),
    });
    expect(put.status).toBe(201);
    await stop(first, "SIGKILL");
    const next = await start();
    expect((await fetch(`${next.url}/readyz`)).status).toBe(200);
    expect((await fetch(`${next.url}/v1/buildings/kept`)).status).toBe(200);
  });

  test("lives without its database, is not ready, and says so of what is stored", async () => {
    const probe = createServer().listen(0, "127.0.0.1");
    await once(probe, "listening");
    const { port } = probe.address() as AddressInfo;
    await new Promise((resolve) => probe.close(resolve));
    const service = await start({ DATABASE_URL: `postgres://nobody@127.0.0.1:${port}/none` });
    expect((await fetch(`${service.url}/livez`)).status).toBe(200);
    expect((await fetch(`${service.url}/readyz`)).status).toBe(503);
    const reply = await fetch(`${service.url}/v1/buildings`);
    expect([reply.status, reply.headers.get("retry-after")]).toEqual([503, "2"]);
    expect(service.log).toContainEqual(expect.objectContaining({ msg: "the database is away" }));
    expect(await stop(service, "SIGTERM")).toBe(0);
  });

  test("does not start on a port that is taken, and ends by itself", async () => {
    const service = await start();
    const child = run({ PORT: String(service.port) });
    let said = "";
    child.stderr!.on("data", (chunk) => {
      said += String(chunk);
    });
    const [status] = (await once(child, "close")) as [number | null];
    expect([status, said]).toEqual([1, expect.stringContaining("EADDRINUSE")]);
  });
});
