// Carries the reliability procedures out, prints a table and writes JSON.
// tsx tests/reliability/run.ts [--quick] [--planted] [--only R3,R9] [--seed N] [--programs DIR] [--json FILE]
import { execFileSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { cpus, totalmem } from "node:os";
import { dirname, resolve } from "node:path";
import { parseArgs } from "node:util";
import { away, embeddedAway } from "./away.js";
import { NotHere } from "./databases.js";
import { diskFull, flushed } from "./durable.js";
import { FAULTS, plant, type Sighting } from "./faults.js";
import { killed } from "./killed.js";
import { migrated } from "./migrated.js";
import { repeated } from "./repeated.js";
import type { Row, Settings } from "./row.js";
import { BUILT } from "./service-process.js";
import { timeOrder } from "./time-order.js";

const { values } = parseArgs({
  options: {
    quick: { type: "boolean", default: false },
    planted: { type: "boolean", default: false },
    only: { type: "string", default: "" },
    seed: { type: "string", default: "1" },
    programs: { type: "string", default: BUILT },
    json: { type: "string", default: "bench-results/reliability.json" },
  },
});
const settings: Settings = { programs: resolve(values.programs), seed: Number(values.seed), quick: values.quick };
const only = values.only === "" ? null : new Set(values.only.split(","));

type Procedure = readonly [
  id: string,
  what: string,
  engine: Row["engine"],
  run: (settings: Settings) => Promise<Row | readonly Row[]>,
];
const onBoth = (id: string, what: string, run: (engine: "embedded" | "external", settings: Settings) => Promise<Row>) =>
  (["embedded", "external"] as const).map((engine): Procedure => [id, what, engine, (own) => run(engine, own)]);
const PROCEDURES: readonly Procedure[] = [
  ...onBoth("R3", "killed process", killed),
  ...onBoth("R4", "flushed before it is acknowledged", flushed),
  ...onBoth("R4", "disk full", diskFull),
  ...onBoth("R9", "concurrency", repeated),
  ["R10", "database away", "external", away],
  ["R10", "database away", "embedded", embeddedAway],
  ["R11", "time and order of observations", "embedded", timeOrder],
  ...onBoth("R12", "migrations", migrated),
];

const verdict = ({ passed }: Row): string => (passed === null ? "not run" : passed ? "passed" : "FAILED");
const told = (row: Row): string =>
  [
    row.id.padEnd(4),
    verdict(row).padEnd(8),
    (row.engine ?? "").padEnd(9),
    row.what.padEnd(34),
    Object.entries(row.figures)
      .map(([name, value]) => `${name} ${value}`)
      .join(", "),
    ...row.notes.map((note) => `\n     ${note}`),
  ].join(" ");

const rows: Row[] = [];
for (const [id, what, engine, run] of PROCEDURES) {
  if (values.planted || (only !== null && !only.has(id))) continue;
  let found: readonly Row[];
  try {
    found = [await run(settings)].flat() as Row[];
  } catch (error) {
    const reason = String(error instanceof Error ? error.message : error);
    const row = { id, what, engine, figures: {} };
    found = [
      error instanceof NotHere
        ? { ...row, passed: null, notes: [`not run: ${reason}`] }
        : { ...row, passed: false, notes: [reason] },
    ];
  }
  for (const row of found) console.log(told(row));
  rows.push(...found);
}

const sightings: Sighting[] = [];
for (const fault of FAULTS) {
  if (!values.planted || (only !== null && !only.has(fault.id))) continue;
  const sighting = await plant(fault, settings);
  console.log(
    `${sighting.id.padEnd(4)} ${sighting.noticed ? "noticed  " : "UNNOTICED"} ${sighting.what}: ${sighting.how}`,
  );
  sightings.push(sighting);
}

const commit = (): string => {
  try {
    return execFileSync("git", ["rev-parse", "HEAD"], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }).trim();
  } catch {
    return "unknown";
  }
};
mkdirSync(dirname(values.json), { recursive: true });
const machine = { node: process.version, cpu: cpus()[0]?.model ?? "unknown", cores: cpus().length, memory: totalmem() };
const report = { seed: settings.seed, quick: settings.quick, commit: commit(), machine, rows, sightings };
writeFileSync(values.json, `${JSON.stringify(report, null, 2)}\n`);
console.log(`written to ${values.json}`);
process.exitCode = rows.some(({ passed }) => passed === false) || sightings.some(({ noticed }) => !noticed) ? 1 : 0;
