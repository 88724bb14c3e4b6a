// Health of one building among a thousand with a hundred thousand observations, against one row read by its primary key
// over a connection like those of the store; and the page of all buildings, over HTTP.
// tsx tests/bench/stored.ts [--engine external] [--buildings N] [--observations N] [--runs N] [--json FILE]
import { execFileSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { cpus, totalmem } from "node:os";
import { dirname, resolve } from "node:path";
import { parseArgs } from "node:util";
import pg from "pg";
import { makeHealth } from "../../src/service/building-health.js";
import { openStore } from "../../src/store/open-store.js";
import { riserOfThree } from "../builders/riser-of-three.js";
import { call } from "../reliability/call.js";
import { databaseOf, type EngineName } from "../reliability/databases.js";
import { BUILT, startService } from "../reliability/service-process.js";
import { type Timing, timingOf } from "./measure.js";
import { fill, healthPlans } from "./stored-buildings.js";

const { values } = parseArgs({
  options: {
    engine: { type: "string", default: "embedded" },
    buildings: { type: "string", default: "1000" },
    observations: { type: "string", default: "100" },
    runs: { type: "string", default: "9" },
    programs: { type: "string", default: BUILT },
    json: { type: "string", default: "bench-results/stored.json" },
  },
});
const [buildings, observations, runs] = [values.buildings, values.observations, values.runs].map(Number) as [
  number,
  number,
  number,
];
const ORGANIZATION = "default";
const ONE = "b-00007";
/** calls of each kind in a run */
const CALLS = 300;

const database = await databaseOf(values.engine as EngineName);
const service = await startService(resolve(values.programs), database.environment);
const store = await openStore({ databaseUrl: database.url(), folder: "", environment: process.env });
const client = new pg.Client({ connectionString: database.url() });
try {
  await call(service.url, { method: "PUT", path: "/v1/buildings/elm", body: { name: "Elm", timeZone: "UTC" } });
  await call(service.url, { method: "POST", path: "/v1/buildings/elm/revisions", body: riserOfThree() });
  await fill(database.url(), {
    organization: ORGANIZATION,
    pattern: "elm",
    organizations: [ORGANIZATION],
    buildings: buildings - 1,
    observations,
    waivers: 1,
  });
  const plans = await healthPlans(database.url(), ORGANIZATION, ONE);

  await client.connect();
  const health = makeHealth(store, () => new Date());
  const ask = () => health.whole(ORGANIZATION, ONE, null);
  const select = () =>
    client.query("select name from building where organization = $1 and id = $2", [ORGANIZATION, ONE]);
  const page = async () => {
    const answer = await call(service.url, { method: "GET", path: "/v1/health?limit=50" });
    if (answer?.status !== 200) throw new Error(`the page was answered ${answer?.status}`);
  };
  const timed = async (work: () => Promise<unknown>): Promise<number> => {
    const began = performance.now();
    await work();
    return performance.now() - began;
  };
  const times: Record<"health" | "select" | "page" | "ratio", number[]> = {
    health: [],
    select: [],
    page: [],
    ratio: [],
  };
  for (let run = -1; run < runs; run++) {
    const [own, row, pages]: [number[], number[], number[]] = [[], [], []];
    // in turns, so that what else the machine does meanwhile is the same for both
    for (let i = 0; i < CALLS; i++) {
      row.push(await timed(select));
      own.push(await timed(ask));
    }
    for (let i = 0; i < 5; i++) pages.push(await timed(page));
    // the first warms up
    if (run < 0) continue;
    times.health.push(timingOf(own).median);
    times.select.push(timingOf(row).median);
    times.page.push(timingOf(pages).median);
    times.ratio.push(timingOf(own).median / timingOf(row).median);
  }
  const timings = Object.fromEntries(Object.entries(times).map(([name, list]) => [name, timingOf(list)])) as Record<
    keyof typeof times,
    Timing
  >;
  const shown = ({ median, least, most }: Timing, digits: number) =>
    `${median.toFixed(digits)} (${least.toFixed(digits)} to ${most.toFixed(digits)})`;
  const scanned = plans.flatMap((plan) =>
    plan.scanned.map(([table, rows]) => `${table} (${rows} rows, for ${plan.call})`),
  );
  console.log(`${buildings} buildings with ${observations} observations each, ${values.engine} server, ${runs} runs`);
  console.log(`health of one building: ${shown(timings.health, 3)} ms`);
  console.log(`one row by its primary key: ${shown(timings.select, 3)} ms`);
  console.log(`health : row = ${shown(timings.ratio, 2)}`);
  console.log(`page of 50 of all buildings, over HTTP: ${shown(timings.page, 1)} ms`);
  console.log(
    `${plans.length} statements, of which these read a table from end to end: ${scanned.join(", ") || "none"}`,
  );
  const commit = (): string => {
    try {
      return execFileSync("git", ["rev-parse", "HEAD"], {
        encoding: "utf8",
        stdio: ["ignore", "pipe", "ignore"],
      }).trim();
    } catch {
      return "unknown";
    }
  };
  mkdirSync(dirname(values.json), { recursive: true });
  const machine = {
    node: process.version,
    cpu: cpus()[0]?.model ?? "unknown",
    cores: cpus().length,
    memory: totalmem(),
  };
  const report = { engine: values.engine, buildings, observations, runs, commit: commit(), machine, timings, plans };
  writeFileSync(values.json, `${JSON.stringify(report, null, 2)}\n`);
  console.log(`written to ${values.json}`);
} finally {
  await client.end();
  await store.close();
  await service.kill();
  await database.remove();
}
