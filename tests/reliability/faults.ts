// Faults that the procedures must notice: each is planted in a copy of the built programs, or in the server's settings.
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { away, embeddedAway } from "./away.js";
import { diskFull } from "./durable.js";
import { killed } from "./killed.js";
import { migrated } from "./migrated.js";
import { repeated } from "./repeated.js";
import type { Row, Settings } from "./row.js";
import { timeOrder } from "./time-order.js";

export interface PlantedFault {
  readonly id: string;
  readonly what: string;
  /** in a file of the built programs; none: elsewhere */
  readonly file?: string;
  readonly find?: RegExp;
  readonly replace?: string;
  /** @returns the rows that must not all pass */
  readonly run: (settings: Settings) => Promise<readonly Row[]>;
}

const one = async (row: Promise<Row>): Promise<readonly Row[]> => [await row];

export const FAULTS: readonly PlantedFault[] = [
  {
    id: "R3",
    what: "the database acknowledges before its log is written (`synchronous_commit = off`)",
    run: (settings) =>
      one(killed("embedded", { ...settings, server: ["synchronous_commit = off", "wal_writer_delay = 10000"] })),
  },
  {
    id: "R3",
    what: "a revision is kept piece by piece, without a transaction",
    file: "store/transact.js",
    find: /begin \$\{mode\};/,
    replace: "",
    run: (settings) => one(killed("embedded", { ...settings, quick: false })),
  },
  {
    id: "R3",
    what: "what is sent again comes with another Idempotency-Key",
    run: (settings) => one(killed("embedded", { ...settings, quick: false, freshKeys: true })),
  },
  {
    id: "R4",
    what: "nobody looks how much room is left on the disk",
    file: "store/open-store.js",
    find: /full = bavail \* bsize < RESERVE/,
    replace: "full = bavail < 0",
    run: (settings) => one(diskFull("embedded", settings)),
  },
  {
    id: "R9",
    what: "what is sent again comes with another Idempotency-Key",
    run: (settings) => one(repeated("embedded", { ...settings, freshKeys: true })),
  },
  {
    id: "R9",
    what: "the entity tag in If-Match is not looked at",
    file: "service/match.js",
    find: /ifMatch\.trim\(\) !== "\*"/,
    replace: "false",
    run: (settings) => one(repeated("embedded", settings)),
  },
  {
    id: "R10",
    what: "nobody hears of a connection that is lost between two statements",
    file: "store/connections.js",
    find: /made\.on\("connect", \(client\) =>/,
    replace: 'made.on("never", (client) =>',
    run: away,
  },
  {
    id: "R10",
    what: "errors of the database are passed on as they are",
    file: "store/open-store.js",
    find: /throw translated\(error, full\)/,
    replace: "throw error",
    run: away,
  },
  {
    id: "R10",
    what: "the embedded server is not started again",
    file: "store/embedded-server.js",
    find: /if \(\(await knock\(url\)\) === "no"\)\s*await start\(Number\(new URL\(url\)\.port\)\);/,
    replace: "",
    run: embeddedAway,
  },
  {
    id: "R11",
    what: "an alarm is settled by what came in after it, whenever that was seen",
    file: "service/health.js",
    find: /later\.span\[0\] > span\[0\]/,
    replace: "later.seen.receivedAt > seen.receivedAt",
    run: (settings) => one(timeOrder(settings)),
  },
  {
    id: "R12",
    what: "migrations run without a transaction",
    file: "store/migrate.js",
    find: /new Migrator\(\{\s*db,/,
    replace: "new Migrator({ disableTransactions: true, db,",
    run: (settings) => one(migrated("external", settings)),
  },
];

/** What each fault did. */
export interface Sighting {
  readonly id: string;
  readonly what: string;
  readonly noticed: boolean;
  /** what was found, in words */
  readonly how: string;
}

const NODE_MODULES = fileURLToPath(new URL("../../node_modules", import.meta.url));
const PACKAGE = fileURLToPath(new URL("../../package.json", import.meta.url));

/** Plants a fault and runs its procedure, which must fail. */
export const plant = async (fault: PlantedFault, settings: Settings): Promise<Sighting> => {
  const folder = mkdtempSync(join(tmpdir(), "drainward-planted-"));
  const told = (noticed: boolean, how: string): Sighting => ({ id: fault.id, what: fault.what, noticed, how });
  try {
    const programs = join(folder, "dist");
    cpSync(settings.programs, programs, { recursive: true });
    symlinkSync(NODE_MODULES, join(folder, "node_modules"));
    symlinkSync(PACKAGE, join(folder, "package.json"));
    if (fault.file !== undefined) {
      const path = join(programs, fault.file);
      const parts = readFileSync(path, "utf8").split(fault.find!);
      if (parts.length !== 2) return told(false, `its place is found ${parts.length - 1} times`);
      writeFileSync(path, parts.join(fault.replace!));
    }
    const rows = await fault.run({ ...settings, programs });
    const failed = rows.filter(({ passed }) => passed === false);
    if (rows.every(({ passed }) => passed === null)) return told(false, `not run: ${rows[0]!.notes[0]}`);
    return failed.length === 0 ? told(false, "every row passes") : told(true, wrongOf(failed[0]!));
  } catch (error) {
    // a procedure that cannot even be carried through has noticed something too
    return told(true, String(error instanceof Error ? error.message : error).split("\n")[0]!);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
};

const COUNTED = [
  "lost",
  "torn",
  "doubled",
  "missing",
  "lostUpdates",
  "staleTaken",
  "apart",
  "wrong",
  "halfDone",
  "otherwise",
];

const wrongOf = ({ what, figures, notes }: Row): string => {
  const counts = COUNTED.flatMap((name) => ((figures[name] ?? 0) > 0 ? [`${figures[name]} ${name}`] : []));
  return [what, ...(counts.length > 0 ? counts : [notes[0] ?? "the control passes"])].join(", ").slice(0, 160);
};
