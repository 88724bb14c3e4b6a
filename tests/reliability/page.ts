// Writes docs/reliability.md from what `npm run reliability`, the same with `--planted`, and `npm run bench:stored` wrote.
// tsx tests/reliability/page.ts FILE...
import { readFileSync, writeFileSync } from "node:fs";
import type { Timing } from "../bench/measure.js";
import type { Plan } from "../bench/stored-buildings.js";
import type { Sighting } from "./faults.js";
import type { Row } from "./row.js";

interface Report {
  readonly seed?: number;
  readonly quick?: boolean;
  readonly commit: string;
  readonly machine: { readonly node: string; readonly cores: number; readonly memory: number };
  readonly rows?: readonly Row[];
  readonly sightings?: readonly Sighting[];
  /** of stored buildings */
  readonly engine?: string;
  readonly buildings?: number;
  readonly observations?: number;
  readonly timings?: Readonly<Record<"health" | "select" | "page" | "ratio", Timing>>;
  readonly plans?: readonly Plan[];
}

const reports = process.argv.slice(2).map((file) => JSON.parse(readFileSync(file, "utf8")) as Report);
const rows = reports.flatMap(({ rows = [], quick }) =>
  rows.map((row) => (quick ? { ...row, what: `${row.what} (quick form)` } : row)),
);
const sightings = reports.flatMap((report) => report.sightings ?? []);
const stored = reports.filter((report) => report.timings !== undefined);
const { machine, commit } = reports[0]!;
const seeds = [...new Set(reports.flatMap(({ seed }) => (seed === undefined ? [] : [seed])))].join(", ");

/** What each procedure does, and what it must not find. */
const PROCEDURES: Readonly<Record<string, readonly [title: string, text: string]>> = {
  R3: [
    "A process is killed",
    "Six writers post observations and revisions, each call with an `Idempotency-Key` and each with a mark of its own in what it keeps, and note down what is acknowledged. At a random moment the service gets SIGKILL; on the embedded server every second time all processes of the database with it, at once, so that nothing of them can tidy up. The service is started again on what is left. Then every mark that was acknowledged must be there (`lost`), revisions, their audits, findings, the kept health and the memory of calls must belong together (`torn`), and after whoever got no answer has sent its call again, every mark must be there once (`doubled`). `keptUnanswered` counts calls that were kept without anybody having heard of it: those are the ones a second effect threatens. `readySlowest` is the longest time in ms from the start of the service to a 200 of `/readyz`; at most 5 s on a machine that does nothing else.",
  ],
  R4: [
    "Power is lost, or the disk is full",
    "`strace` watches every process of the database while observations are posted. Each transaction that kept one must show an fsync or fdatasync of the log between the commit and its acknowledgement (`flushed`); with `fsync = off` the same check must fail for every one (`flushedWithFsyncOff` 0). The disk is a small file system in memory: for the embedded server all of its folder, for the external one its tables, and heavy revisions fill it. From then on writes are answered 507, four kinds of reads each of twenty times 200, and nothing that was acknowledged is missing. The embedded server is told not to write while its log still has room for another file of 16 MB (`roomLeft`, in MB), because without its log it would end, and reading with it.",
  ],
  R9: [
    "Many at once, and answers that get lost",
    "64 clients write through a proxy that loses a fifth of the answers after the service has given them; whoever gets none sends the call again with the same key, and some send it twice at once. Each also reads a number, adds one and puts it back with `If-Match`; the number at the end must be the count of changes (`lostUpdates`), and a tag that has been used must be refused with 412 (`staleTaken`).",
  ],
  R10: [
    "The database is away",
    "Between service and database stands a proxy. The database is stopped and started, paused (SIGSTOP), refuses connections, lets nobody in (`allow_connections false`), is lost just before and just after a commit, and every connection of the pool is kept waiting; meanwhile six callers go on reading and writing. Whatever is answered is 200, 201 or 503 (`otherwise` 0). `unreadyAfter` is when `/readyz` first said 503, at most 2 s; `worksAfter` how long after the end of the fault everything worked again, at most 5 s, without the service having been started again; both in ms and both on a machine that does nothing else.",
  ],
  R11: [
    "Time",
    "Observations about a turn of the clocks in five zones, some taken back, some twice, in several orders, written with six offsets that are up to 26 hours apart, and one that is 25 hours ahead. Health is asked for just before and at each of them and must say what a second, plain reckoning says (`wrong`), and the same for each order (`apart`).",
  ],
  R12: [
    "Migrations",
    "From an empty database, and from each version with rows in it, to the newest form; cut off at each statement in turn, from the empty one by SIGKILL of the process. After each cut the form is the old one or the new one (`halfDone`), at the end it is that of a new database whatever it came from, the rows are those of before (`rowsChanged`) and the health of the building in it too (`healthApart`). A database that a newer version has made is refused in words, by the service as well, and left as it is.",
  ],
};

const NAMES: Readonly<Record<string, string>> = { true: "passed", false: "**failed**", null: "not run" };
const figures = (row: Row): string =>
  [...Object.entries(row.figures).map(([name, value]) => `${name} ${value}`), ...row.notes].join(", ");
const table = (id: string): string => {
  const own = rows.filter((row) => row.id === id);
  return own.length === 0
    ? "Not run.\n"
    : `| what | server | outcome | figures |\n|---|---|---|---|\n${own
        .map((row) => `| ${row.what} | ${row.engine ?? ""} | ${NAMES[String(row.passed)]} | ${figures(row)} |`)
        .join("\n")}\n`;
};
const shown = ({ median, least, most }: Timing, digits: number): string =>
  `${median.toFixed(digits)} (${least.toFixed(digits)} to ${most.toFixed(digits)})`;
const scannedOf = ({ plans = [] }: Report): string => {
  const tables = new Set(
    plans.flatMap(({ call, scanned }) =>
      scanned.filter(([, read]) => read > 0).map(([name, read]) => `\`${name}\`, ${read} rows, for ${call}`),
    ),
  );
  return tables.size === 0 ? "none" : [...tables].join("; ");
};

const page = `# How reliable the service is with what it keeps

What follows was found by the project's own commands, on ${machine.cores} cores and ${Math.round(machine.memory / 2 ** 30)} GB of memory with Node ${machine.node.slice(1)}, at the commit ${commit.slice(0, 12)}, with the seed ${seeds}. \`crowding\` says how many times longer work took at its worst than it would have on a machine that does nothing else; limits in seconds are stretched by that.

\`\`\`sh
npm run reliability                            # every row, at length
npm run reliability -- --planted --quick       # each planted fault, which must be noticed
npm run reliability -- --only R3,R9 --seed 7   # some, with other random numbers
npm run bench:stored                           # a thousand buildings, a hundred thousand observations
\`\`\`

The embedded server is started from its package. The external one is started by \`.ci/with-postgres\` from what is installed; where nothing is, its rows say that they were not run. \`npm test\` runs a quick form of each row.
${Object.entries(PROCEDURES)
  .map(([id, [title, text]]) => `\n## ${id}. ${title}\n\n${text}\n\n${table(id)}`)
  .join("")}
## S9. Health among many

${stored
  .map(
    (report) =>
      `${report.buildings} buildings with ${report.observations} observations each on the ${report.engine} server:

| figure | median (least to most) of the runs |
|---|---|
| health of one building, ms | ${shown(report.timings!.health, 3)} |
| one row by its primary key, over a connection of the same kind, ms | ${shown(report.timings!.select, 3)} |
| health ÷ row, at most 5 | ${shown(report.timings!.ratio, 2)} |
| \`GET /v1/health?limit=50\` over HTTP, ms | ${shown(report.timings!.page, 1)} |

\`EXPLAIN (ANALYZE)\` of the ${report.plans!.length} statements by which health is read: tables read from end to end: ${scannedOf(report)}.
`,
  )
  .join("\n")}
Whoever asks for all buildings of an organization gets the state of each, so where most of the buildings are its own the short rows of \`building\` are read in one go; nothing that belongs to buildings is. A test asks for an index behind every statement on both servers, and sees one missing when it is dropped.

## Planted faults

Each procedure must fail where something is wrong. These were planted in a copy of the programs, in the settings of the database, or in what the callers do:

| row | planted | what was found |
|---|---|---|
${sightings.map(({ id, what, noticed, how }) => `| ${id} | ${what} | ${noticed ? how : `**unnoticed**: ${how}`} |`).join("\n")}

R4 carries a fault of its own in every run: with \`fsync = off\` its check must fail.
`;
writeFileSync(new URL("../../docs/reliability.md", import.meta.url), page);
