// What the README says of keeping buildings is done here, line for line.
import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const home = fileURLToPath(new URL("../../", import.meta.url));
const run = promisify(execFile);

let service: StoredApp;
let folder: string;
let chapter: string;
let environment: Record<string, string | undefined>;
beforeAll(async () => {
  service = await storedApp(engines[0]!);
  folder = await mkdtemp(join(tmpdir(), "drainward-readme-"));
  const readme = await readFile(join(home, "README.md"), "utf8");
  chapter = readme.slice(readme.indexOf("## Keeping buildings"), readme.indexOf("## What an audit says"));
  environment = { ...process.env, DATABASE_URL: service.url };
}, 60_000);
afterAll(async () => {
  await service.close();
  await rm(folder, { recursive: true, force: true });
});

const blocks = (): string[] => [...chapter.matchAll(/```sh\n([\s\S]*?)```/g)].map(([, text]) => text!);

/** Runs lines as they stand, but against this test's own service and database. */
const shell = async (lines: string, cwd: string): Promise<string> => {
  const program = `drainward() { '${process.execPath}' '${home}dist/main/cli.js' "$@"; }\nset -e\n`;
  const own = lines
    .replaceAll("http://127.0.0.1:8080", service.base)
    .replaceAll("curl -s", "curl -sS --fail-with-body");
  return (await run("bash", ["-c", program + own], { cwd, env: environment })).stdout;
};
/** The line of the README that starts so. */
const line = (start: string): string => {
  const found = blocks()
    .flatMap((block) => block.split("\n"))
    .find((each) => each.startsWith(start));
  if (found === undefined) throw new Error(`the README has no line ${start}`);
  return found;
};

test("a building is kept, revised and asked after", async () => {
  const [first] = blocks();
  const answers = await shell(first!.replaceAll("\ncurl", "\necho\ncurl"), home);
  const [made, revision, health] = answers
    .trim()
    .split("\n")
    .map((each) => JSON.parse(each));
  expect([made.id, revision.number, revision.audit.verdict, health.state]).toEqual(["reedlight", 1, "faulty", "act"]);
});

// each line starts the program anew
const PATIENCE = { timeout: 240_000 };

test("it is saved, moved, and brought in again", PATIENCE, async () => {
  await shell(line("drainward migrate"), folder);
  await shell(line("drainward export"), folder);
  await shell(line("drainward import"), folder);
  const [here, there] = await Promise.all(
    ["reedlight", "again"].map((id) => service.ask(`GET /v1/buildings/${id}/findings`)),
  );
  expect([there!.status, there!.json]).toEqual([200, here!.json]);
  await shell(line("drainward archive"), folder);
  const empty = await engines[0]!.open();
  try {
    environment.DATABASE_URL = empty.url;
    await shell(line("drainward restore"), folder);
    const kept = await empty.store.within("default", (shelves) => shelves.buildings.list({ after: null, limit: 10 }));
    expect(kept.map(({ id }) => id)).toEqual(["again", "reedlight"]);
  } finally {
    environment.DATABASE_URL = service.url;
    await empty.remove();
  }
});

test("a key is made, opens, and opens nothing once it is revoked", PATIENCE, async () => {
  environment.KEY = (await shell(line("drainward keys make"), folder)).trim();
  expect((await service.ask("GET /v1/health")).status).toBe(401);
  const opens = () => shell(line("curl -s http://127.0.0.1:8080/v1/health"), folder);
  expect(JSON.parse(await opens())).toMatchObject({ items: [] });
  const id = /^(\S+) +alder /m.exec(await shell(line("drainward keys list"), folder))?.[1];
  await shell(line("drainward keys revoke").replace("3f9c2ba4", id!), folder);
  await expect(opens()).rejects.toMatchObject({ stdout: expect.stringContaining('"code":"no-key"') });
});

test("every variable that is told is read, and every one that is read is told", async () => {
  const told = [...chapter.slice(chapter.indexOf("### Environment")).matchAll(/`([A-Z][A-Z_]+)`/g)].map(
    ([, name]) => name,
  );
  const sources = await Promise.all(
    ["server", "store-options"].map((name) => readFile(join(home, `src/main/${name}.ts`), "utf8")),
  );
  const read = sources.flatMap((text) => [...text.matchAll(/const \{ ([A-Z_, ]+) \} = (?:process\.env|environment)/g)]);
  expect(told.sort()).toEqual(read.flatMap(([, names]) => names!.split(", ")).sort());
});
