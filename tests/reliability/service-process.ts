// The built service as a process of its own, which can be killed.
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { call, until } from "./call.js";

/** The programs as `npm run build` makes them. */
export const BUILT = fileURLToPath(new URL("../../dist", import.meta.url));

export interface ServiceProcess {
  readonly url: string;
  readonly pid: number;
  /** ms from its start until it said that it is ready */
  readonly readyAfter: number;
  /** what it logged of faults of its own */
  readonly faults: readonly string[];
  readonly ended: boolean;
  kill(): Promise<void>;
  stop(): Promise<void>;
}

/** @param programs folder of the built programs. @throws Error where it is not ready within a minute */
export const startService = async (
  programs: string,
  environment: Readonly<Record<string, string>>,
): Promise<ServiceProcess> => {
  const began = performance.now();
  const child: ChildProcess = spawn(process.execPath, [join(programs, "main/server.js")], {
    env: { PATH: process.env.PATH, HOST: "127.0.0.1", PORT: "0", REQUESTS_PER_KEY: "0", ...environment },
    stdio: ["ignore", "pipe", "pipe"],
  });
  const exit = once(child, "exit");
  const faults: string[] = [];
  let said = "";
  child.stderr!.on("data", (chunk) => {
    said += String(chunk);
  });
  const url = await new Promise<string>((resolve, reject) => {
    child.once("exit", () => reject(new Error(`the service ended before it listened: ${said}`)));
    createInterface({ input: child.stdout! }).on("line", (line) => {
      if (line.includes('"msg":"listening"')) resolve((JSON.parse(line) as { url: string }).url);
      if (line.includes('"msg":"failed"') || line.includes('"level":60')) faults.push(line);
    });
  });
  const isReady = async () => (await call(url, { method: "GET", path: "/readyz" }))?.status === 200;
  await until("the service is ready", isReady, 60_000);
  const end = async (signal: NodeJS.Signals) => {
    child.kill(signal);
    await exit;
  };
  return {
    url,
    pid: child.pid!,
    readyAfter: performance.now() - began,
    faults,
    get ended() {
      return child.exitCode !== null || child.signalCode !== null;
    },
    kill: () => end("SIGKILL"),
    stop: () => end("SIGTERM"),
  };
};
