// What the README and DEVELOPERS.md say can be done is done here, word for word.
import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { catalogue } from "../../src/core/rules/catalogue.js";

const home = fileURLToPath(new URL("../../", import.meta.url));
const readme = readFileSync(join(home, "README.md"), "utf8");
const developers = readFileSync(join(home, "DEVELOPERS.md"), "utf8");
const { scripts } = JSON.parse(readFileSync(join(home, "package.json"), "utf8"));

const blocks = (page: string, language: string): string[] =>
  [...page.matchAll(new RegExp(`\`\`\`${language}\\n([\\s\\S]*?)\`\`\``, "g"))].map(([, text]) => text);

describe("the README", () => {
  it("opens with the job in one paragraph, then the two commands", () => {
    const parts = readme.split("\n\n");
    expect(parts[0]).toBe("# Drainward");
    expect(parts[1].length).toBeGreaterThan(300);
    expect(parts[2]).toMatch(/^```sh\nnpm ci && npm run demo .*\nnpm ci && npm test .*\n```$/);
  });

  it("has a script of at most ten lines that runs as it stands, on the package as installed", () => {
    const script = blocks(readme, "js").find((text) => text.includes('from "drainward"'));
    if (script === undefined) throw new Error("the README shows no script");
    expect(script.split("\n").filter((line) => line.trim() !== "").length).toBeLessThanOrEqual(10);
    const folder = mkdtempSync(join(tmpdir(), "drainward-readme-"));
    try {
      mkdirSync(join(folder, "node_modules"));
      symlinkSync(home, join(folder, "node_modules/drainward"));
      writeFileSync(join(folder, "script.mjs"), script);
      const out = execFileSync(process.execPath, [join(folder, "script.mjs")], { cwd: home, encoding: "utf8" });
      const [first, ...findings] = out.trimEnd().split("\n");
      expect(first).toMatch(/: faulty$/);
      expect(findings[0]).toMatch(/^- critical: .*FC-3/);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it("names only commands, files and options that there are", { timeout: 240_000 }, () => {
    const commands = blocks(readme, "sh").join("\n");
    for (const [, name] of `${readme}\n${developers}`.matchAll(/npm run ([a-z-]+)/g))
      expect(scripts).toHaveProperty(name);
    for (const [, path] of `${readme}\n${developers}`.matchAll(/\b((?:fixtures|docs|tests|src)\/[\w./-]*\w\.\w+)/g))
      expect(existsSync(join(home, path)), path).toBe(true);
    const uses = [...commands.replaceAll("\\\n", " ").matchAll(/node dist\/main\/cli\.js ([^#\n]+)/g)].map(
      ([, words]) => words.trim(),
    );
    expect(uses.length).toBeGreaterThanOrEqual(6);
    for (const use of uses) {
      const ready = use
        .replace("'towers/*.json'", "fixtures/buildings/three-coils.json")
        .replace(/(< )?tower\.json/, "fixtures/buildings/three-coils.json")
        .replace(/> \S+/, "");
      const args = ready.split(/\s+/).filter((word) => word !== "");
      const { status, stderr } = spawnSync(process.execPath, ["dist/main/cli.js", ...args], {
        cwd: home,
        encoding: "utf8",
      });
      expect({ use, stderr, status: status === 2 ? "bad input" : "fine" }).toEqual({ use, stderr: "", status: "fine" });
    }
  });

  it("names only calls that the interface has", () => {
    const { paths } = JSON.parse(readFileSync(join(home, "openapi/openapi.json"), "utf8"));
    const calls = [...readme.matchAll(/\b(GET|POST|PUT|DELETE) (\/v1\/[\w/{}.-]*[\w}])/g)];
    expect(calls.length).toBeGreaterThanOrEqual(7);
    for (const [, method, path] of calls) expect(Object.keys(paths[path] ?? {}), path).toContain(method.toLowerCase());
  });

  it("says of every group of rules that there is none yet what it would ask, and of no other", () => {
    const OPEN: Readonly<Record<string, string>> = {
      backup: "no rule judges it yet",
      outlet: "where an outlet may discharge",
      support: "supports",
      sweat: "insulation",
      freeze: "frost",
      access: "access",
      install: "workmanship",
      pump: "pumps",
    };
    const groups = new Set(catalogue.map(({ id }) => id.slice(0, id.indexOf("."))));
    const [said] = readme.match(/^- It asks the questions of its rules .*$/m) ?? [""];
    for (const [group, words] of Object.entries(OPEN))
      expect({ group, open: said.includes(words) }).toEqual({ group, open: !groups.has(group) });
  });

  it("can be followed by its links", () => {
    for (const page of [readme, developers])
      for (const [, target] of page.matchAll(/\]\(([^)#]+)\)/g))
        expect(existsSync(join(home, target)), target).toBe(true);
  });

  it("has the marks that the text form prints", () => {
    const words = readFileSync(join(home, "src/core/present/words.ts"), "utf8");
    for (const mark of ["|####|", "|### |", "|##  |", "|#   |", "|  ? |"]) {
      expect(words).toContain(`"${mark}"`);
      expect(readme).toContain(mark.replaceAll("|", "\\|"));
    }
  });
});

describe("DEVELOPERS.md", () => {
  it("draws the rooms that there are", () => {
    const picture = blocks(developers, "")[0];
    const rooms = [...picture.matchAll(/^ {2,4}([a-z]+)\/ /gm)].map(([, room]) => room);
    expect(rooms.length).toBeGreaterThan(12);
    for (const room of rooms)
      expect(
        [`src/${room}`, `src/core/${room}`].some((path) => existsSync(join(home, path))),
        room,
      ).toBe(true);
  });
});
