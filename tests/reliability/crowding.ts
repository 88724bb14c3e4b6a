import { execFile } from "node:child_process";
import { promisify } from "node:util";

const WORK =
  "let x = 0; for (let i = 0; i < 3e7; i++) x += i; const t = process.cpuUsage(); console.log(t.user + t.system)";

/**
 * How many times longer work takes here just now than it would alone: its time by the clock over its time on the
 * processor, at least 1. Limits in seconds are for a machine that does nothing else.
 */
export const crowding = async (): Promise<number> => {
  const began = performance.now();
  const { stdout } = await promisify(execFile)(process.execPath, ["-e", WORK]);
  return Math.max(1, (performance.now() - began) / (Number(stdout) / 1000));
};
