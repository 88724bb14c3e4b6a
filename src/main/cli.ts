#!/usr/bin/env node
import { createReadStream } from "node:fs";
import { lstat } from "node:fs/promises";
import type { WriteStream } from "node:tty";
import { run } from "../cli/run.js";
import type { Sink, Surroundings } from "../cli/surroundings.js";

/** A standard stream as a sink: waits for a slow reader, and falls silent when the reader has gone away. */
const sinkFor = (stream: WriteStream): Sink => {
  let gone = false;
  stream.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
    gone = true;
  });
  return {
    isTTY: stream.isTTY === true,
    columns: stream.isTTY ? stream.columns : undefined,
    write: (text) =>
      gone || text === "" ? Promise.resolve() : new Promise((resolve) => void stream.write(text, () => resolve())),
  };
};

const surroundings: Surroundings = {
  stdin: process.stdin,
  stdout: sinkFor(process.stdout),
  stderr: sinkFor(process.stderr),
  open: (path) => createReadStream(path),
  exists: (path) =>
    lstat(path).then(
      () => true,
      () => false,
    ),
  expand: async (pattern) => {
    const { glob } = await import("tinyglobby");
    const files = await glob(pattern, { expandDirectories: false, dot: false });
    return files.sort(new Intl.Collator("en", { numeric: true }).compare);
  },
  core: () => import("../core/index.js"),
  openStore: async () => {
    const [{ openStore }, { storeOptions }] = await Promise.all([
      import("../store/open-store.js"),
      import("./store-options.js"),
    ]);
    return openStore(storeOptions(process.env));
  },
  today: () => {
    const now = new Date();
    return [now.getFullYear(), now.getMonth() + 1, now.getDate()]
      .map((part) => String(part).padStart(2, "0"))
      .join("-");
  },
  plainText: (process.env.NO_COLOR ?? "") !== "" || process.env.TERM === "dumb",
};

try {
  process.exitCode = await run(process.argv.slice(2), surroundings);
} catch (error) {
  // Not 1: nobody may take a fault of the program for a finding.
  console.error("drainward: a fault of this program:", error);
  process.exitCode = 2;
}
