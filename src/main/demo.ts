import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { type Audit, renderText } from "../core/index.js";

const patience = 30_000;

/** Shows the whole way through: starts the built service, posts a surveyed tower to it, prints the findings, stops it. */
const demo = async (): Promise<void> => {
  const document = await readFile(new URL("../../fixtures/buildings/tower-as-surveyed.json", import.meta.url));
  // nothing of it is to be kept
  const folder = await mkdtemp(join(tmpdir(), "drainward-demo-"));
  const { DATABASE_URL: _, ...environment } = process.env;
  const server = spawn(process.execPath, [fileURLToPath(new URL("./server.js", import.meta.url))], {
    env: { ...environment, HOST: "127.0.0.1", PORT: "0", LOG_LEVEL: "info", DATA_DIR: folder },
    stdio: ["ignore", "pipe", "inherit"],
  });
  const gone = once(server, "exit");
  try {
    const base = await addressOf(server.stdout, gone);
    say(
      `The service listens at ${base}; posting the surveyed tower (${Math.round(document.byteLength / 1024)} KiB).\n`,
    );
    const response = await fetch(new URL("/v1/audits", base), {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: new Uint8Array(document),
      signal: AbortSignal.timeout(patience),
    });
    if (!response.ok) throw new Error(`the service answered ${response.status}: ${await response.text()}`);
    const audit = (await response.json()) as Audit;
    say(renderText(audit, { width: process.stdout.columns ?? 100, color: process.stdout.isTTY === true }));
  } finally {
    server.kill("SIGTERM");
    const late = setTimeout(() => server.kill("SIGKILL"), patience);
    await gone;
    clearTimeout(late);
    await rm(folder, { recursive: true, force: true });
  }
  say("The service has stopped.");
};

/** The address in the first log line that has one. @throws if the service ends or says nothing in time. */
const addressOf = async (log: NodeJS.ReadableStream, gone: Promise<unknown>): Promise<string> => {
  const lines = createInterface({ input: log });
  const address = (async () => {
    for await (const line of lines) {
      const found = /https?:\/\/127\.0\.0\.1:\d+/.exec(line);
      if (found) return found[0];
    }
    throw new Error("the service ended before it listened");
  })();
  const ended = gone.then(() => {
    throw new Error("the service ended before it listened");
  });
  const late = new Promise<never>((_, reject) => {
    setTimeout(() => reject(new Error("the service did not start in time")), patience).unref();
  });
  try {
    return await Promise.race([address, ended, late]);
  } finally {
    lines.close();
    log.resume();
    ended.catch(() => undefined);
  }
};

const say = (text: string): void => console.log(text);

try {
  await demo();
} catch (error) {
  console.error(`demo: ${error instanceof Error ? error.message : String(error)}`);
  process.exitCode = 1;
}
