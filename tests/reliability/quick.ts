// What the tests run of the procedures; `npm run reliability` runs them at length.
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import type { EngineName } from "./databases.js";
import type { Settings } from "./row.js";
import { BUILT } from "./service-process.js";

export const QUICK: Settings = { programs: BUILT, seed: 1, quick: true };

const beside = spawnSync(fileURLToPath(new URL("../../.ci/with-postgres", import.meta.url)), ["--programs"]);
if (beside.status !== 0)
  console.warn("No external PostgreSQL server can be started here: its half of the reliability tests does not run.");

export const ENGINES: readonly EngineName[] = beside.status === 0 ? ["embedded", "external"] : ["embedded"];
