// Plants one fault in each room, in a copy of the project, and checks that a test fails over it.
//   npm run planted-faults             plants every fault and writes docs/planted-faults.md
//   npm run planted-faults -- rules    only those whose room contains the word; writes nothing
// A fault that goes unnoticed, one whose place is not found, or a test that fails without a fault ends it with status 1.
import { spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { faults, type PlantedFault } from "./faults.js";

const home = fileURLToPath(new URL("../../", import.meta.url));
const kept = new Set(["node_modules", "dist", ".git"]);

interface Sighting {
  readonly fault: PlantedFault;
  readonly noticed: boolean;
  readonly how: string;
}

const main = (): number => {
  const word = process.argv[2];
  const chosen = faults.filter(({ room }) => word === undefined || room.includes(word));
  const copy = mkdtempSync(join(tmpdir(), "planted-faults-"));
  try {
    cpSync(home, copy, {
      recursive: true,
      filter: (path) => !kept.has(basename(path)) && !path.endsWith(".log"),
    });
    symlinkSync(join(home, "node_modules"), join(copy, "node_modules"));
    if (!run(copy, "npm", ["run", "build"]).ok) throw new Error("the copy does not build");
    const failing = failingWithout(copy, [...new Set(chosen.map(({ test }) => test))]);
    const sightings = chosen.map((fault) => {
      const sighting = failing.has(fault.test)
        ? { fault, noticed: false, how: "the test fails without a fault" }
        : plant(copy, fault);
      console.log(`${sighting.noticed ? "noticed  " : "UNNOTICED"}  ${fault.room}: ${fault.what} (${sighting.how})`);
      return sighting;
    });
    const unnoticed = sightings.filter(({ noticed }) => !noticed).length;
    if (word === undefined && unnoticed === 0) writeFileSync(join(home, "docs/planted-faults.md"), page(sightings));
    console.log(`\n${sightings.length} planted, ${unnoticed} unnoticed`);
    return unnoticed === 0 && sightings.length > 0 ? 0 : 1;
  } finally {
    rmSync(copy, { recursive: true, force: true });
  }
};

/** Tests that fail in the copy as it is. What fails once gets a second try alone: a busy machine slows timed tests. */
const failingWithout = (copy: string, tests: readonly string[]): ReadonlySet<string> =>
  vitest(copy, ...tests).ok ? new Set() : new Set(tests.filter((test) => !vitest(copy, test).ok));

const plant = (copy: string, fault: PlantedFault): Sighting => {
  const path = join(copy, fault.file);
  const before = readFileSync(path, "utf8");
  const places = before.split(fault.find).length - 1;
  if (places !== 1) return { fault, noticed: false, how: `its place is found ${places} times` };
  writeFileSync(
    path,
    before.replace(fault.find, () => fault.replace),
  );
  try {
    if (fault.builds && !run(copy, "npm", ["run", "build"]).ok)
      return { fault, noticed: false, how: "the fault does not build, so no test saw it" };
    const { ok, failed } = vitest(copy, fault.test);
    if (ok) return { fault, noticed: false, how: "the test passes" };
    return failed.length > 0
      ? { fault, noticed: true, how: failed[0] }
      : { fault, noticed: false, how: "the test did not run" };
  } finally {
    writeFileSync(path, before);
    if (fault.builds) run(copy, "npm", ["run", "build"]);
  }
};

/** Runs test files; `failed` names the tests that ran and failed, so that a crash is not taken for a failing test. */
const vitest = (
  copy: string,
  ...tests: readonly string[]
): { readonly ok: boolean; readonly failed: readonly string[] } => {
  const report = join(copy, "report.json");
  rmSync(report, { force: true });
  const { ok } = run(copy, "npx", ["vitest", "run", ...tests, "--reporter=json", `--outputFile=${report}`]);
  try {
    const { testResults } = JSON.parse(readFileSync(report, "utf8")) as Report;
    const failed = testResults.flatMap(({ assertionResults }) =>
      assertionResults.filter(({ status }) => status === "failed").map(({ fullName }) => fullName),
    );
    return { ok, failed };
  } catch {
    return { ok, failed: [] };
  }
};

interface Report {
  readonly testResults: readonly {
    readonly assertionResults: readonly { readonly status: string; readonly fullName: string }[];
  }[];
}

const run = (cwd: string, command: string, args: readonly string[]): { readonly ok: boolean } => ({
  ok: spawnSync(command, args, { cwd, stdio: "ignore", timeout: 600_000 }).status === 0,
});

const page = (sightings: readonly Sighting[]): string => {
  const rows = sightings.map(({ fault, how }) =>
    [fault.room, fault.what, `\`${fault.test}\``, how].map((text) => text.replaceAll("|", "\\|")).join(" | "),
  );
  return `# Planted faults

A test is worth something if it fails when the code is wrong. \`npm run planted-faults\` copies the project, plants these faults one at a time and runs the named tests; it wrote this page when each of them was noticed. The faults stand in \`tests/house/faults.ts\`.

| room | fault planted | test file | first test that failed |
|---|---|---|---|
${rows.map((row) => `| ${row} |`).join("\n")}
`;
};

process.exitCode = main();
