// The command line as it is installed: what `npm run build` made, in a process of its own.
import { type SpawnSyncReturns, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

const home = fileURLToPath(new URL("../../", import.meta.url));
const program = join(home, "dist/main/cli.js");
const threeCoils = join(home, "fixtures/buildings/three-coils.json");
let folder: string;

beforeAll(() => {
  if (!existsSync(program)) throw new Error("these tests run what is built: npm run build");
  folder = mkdtempSync(join(tmpdir(), "drainward-cli-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const drainward = (args: readonly string[], input?: string | Buffer): SpawnSyncReturns<string> =>
  spawnSync(process.execPath, [program, ...args], { cwd: folder, input, encoding: "utf8", maxBuffer: 2 ** 28 });

const write = (name: string, content: string | Buffer): string => {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
};

describe("the installed command line", () => {
  it("finds the missing trap of the three coils, as text and as JSON", () => {
    const text = drainward(["audit", threeCoils]);
    expect(text.stderr).toBe("");
    expect(text.status).toBe(1);
    expect(text.stdout).toContain("|####| WATER WILL ESCAPE · seal.missing~f:FC-3");
    const json = drainward(["audit", threeCoils, "--format", "json"]);
    expect(json.status).toBe(1);
    const audit = JSON.parse(json.stdout);
    expect(audit.verdict).toBe("faulty");
    expect(audit.findings[0].id).toBe("seal.missing~f:FC-3");
    expect(audit).not.toHaveProperty("facts");
    expect(json.stdout.indexOf("\n")).toBe(json.stdout.length - 1);
  });

  it("gives the same bytes from a file and from standard input, time after time", () => {
    const args = ["--format", "json", "--include", "all"];
    const first = drainward(["audit", threeCoils, ...args]);
    const piped = drainward(["audit", ...args], readFileSync(threeCoils));
    const dashed = drainward(["audit", "-", ...args], readFileSync(threeCoils));
    expect(first.stdout.length).toBeGreaterThan(1000);
    expect(piped.stdout).toBe(first.stdout);
    expect(dashed.stdout).toBe(first.stdout);
    expect(Object.keys(JSON.parse(first.stdout).facts).length).toBeGreaterThan(5);
  });

  it("answers every file of a pattern in natural order, the bad ones in place", () => {
    mkdirSync(join(folder, "towers"), { recursive: true });
    const good = readFileSync(threeCoils, "utf8");
    for (const [name, id] of [
      ["tower-10.json", "ten"],
      ["tower-9.json", "nine"],
    ])
      write(`towers/${name}`, good.replace('"reedlight-boathouse"', JSON.stringify(id)));
    write("towers/tower-9a.json", good.replace('"stage"', '"stadge"'));
    const { status, stdout, stderr } = drainward(["audit", "towers/*.json", "--format", "json", "--fail-on", "none"]);
    expect(status).toBe(2);
    const lines = stdout
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(lines.map((line) => line.network?.id ?? line.file)).toEqual(["nine", "towers/tower-9a.json", "ten"]);
    expect(lines[1].problem.code).toBe("invalid-document");
    expect(lines[1].problem.errors).toContainEqual(expect.objectContaining({ pointer: "/stadge" }));
    expect(stderr).toMatch(/^drainward: towers\/tower-9a\.json: .*\(\d problems?\)\n$/);
  });

  it.each([
    ["no such file", () => join(folder, "absent.json"), /no such file\n$/],
    ["a folder", () => folder, /is a folder/],
    ["an empty file", () => write("empty.json", ""), /is empty\n$/],
    [
      "what is not JSON",
      () => write("text.json", "{ 'format': 1 }"),
      /json is not a JSON document that can be read:\s1 problem\n[\s\S]+ Hint: /,
    ],
    [
      "bytes that are no UTF-8",
      () => write("latin.json", Buffer.from([0x22, 0xe9, 0x22])),
      /json is not a JSON document that can be read:\s1 problem\n[\s\S]+ Hint: /,
    ],
    [
      "400 000 nested brackets",
      () => write("deep.json", "[".repeat(400_000)),
      /json is not a JSON document that can be read:\s1 problem\n[\s\S]+ Hint: /,
    ],
    ["another format", () => write("v2.json", '{ "format": 2 }'), /\/format/],
  ])("ends with 2 over %s, and says so without a stack", (_, path, words) => {
    const { status, stdout, stderr } = drainward(["audit", path()]);
    expect(status).toBe(2);
    expect(stdout).toBe("");
    expect(stderr).toMatch(words);
    expect(stderr).not.toMatch(/\bat .+:\d+:\d+/);
  });

  it.skipIf(process.getuid?.() === 0)("says that a file may not be read (root may read all)", () => {
    const path = write("locked.json", "{}");
    chmodSync(path, 0);
    expect(drainward(["audit", path]).stderr).toContain("may not be read by this user");
  });

  it("is quiet when its reader goes away, and keeps its exit status", async () => {
    const child = spawn(process.execPath, [
      program,
      "audit",
      threeCoils,
      threeCoils,
      "--format",
      "json",
      "--include",
      "all",
    ]);
    child.stdout.destroy();
    let complaints = "";
    child.stderr.on("data", (part) => {
      complaints += part;
    });
    const [status, signal] = await once(child, "close");
    expect({ status, signal, complaints }).toEqual({ status: 1, signal: null, complaints: "" });
  });

  it("writes an answer that is longer than a pipe holds to a slow reader, whole", async () => {
    const tower = join(home, "fixtures/buildings/tower-as-surveyed.json");
    const child = spawn(process.execPath, [program, "audit", tower, "--format", "json", "--include", "all"]);
    await new Promise((resolve) => setTimeout(resolve, 1500));
    const parts: Buffer[] = [];
    for await (const part of child.stdout) parts.push(part);
    const text = Buffer.concat(parts).toString();
    expect(text.length).toBeGreaterThan(200_000);
    expect(JSON.parse(text).network.id).toBe(JSON.parse(readFileSync(tower, "utf8")).id);
  });

  it("shows the catalogues", () => {
    expect(drainward(["rules"]).stdout).toMatch(/^fall\.reverse {2,}\S/m);
    expect(JSON.parse(drainward(["rules", "fall.reverse", "--format", "json"]).stdout).id).toBe("fall.reverse");
    expect(drainward(["profiles", "imc"]).stdout).toContain("fall.minimumGrade");
    expect(drainward(["materials"]).stdout).toContain("pvc-sch40");
    expect(JSON.parse(drainward(["schema"]).stdout).properties).toHaveProperty("nodes");
    expect(drainward(["--version"]).stdout).toBe(
      `${JSON.parse(readFileSync(join(home, "package.json"), "utf8")).version}\n`,
    );
  });

  it("loads neither the service nor what it stands on", () => {
    const { stderr } = spawnSync(process.execPath, [program, "--help"], {
      encoding: "utf8",
      env: { ...process.env, NODE_DEBUG: "esm,module" },
      maxBuffer: 2 ** 28,
    });
    expect(stderr).toContain("commander");
    expect(stderr).not.toMatch(/node_modules\/(fastify|piscina|pino|zod|graphology)\//);
  });
});
