// The doors between the rooms are shut, and the check that says so has been seen to fail.
import { execFile } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { VERSION } from "../../src/core/index.js";

const home = fileURLToPath(new URL("../..", import.meta.url));

interface Breach {
  readonly rule: string;
  readonly from: string;
}

/** Runs the doors' check on a tree. */
const breaches = (tree: string): Promise<Breach[]> =>
  new Promise((resolve, reject) => {
    const program = join(home, "node_modules/dependency-cruiser/bin/dependency-cruise.mjs");
    const options = ["--config", ".dependency-cruiser.cjs", "--output-type", "json", "src"];
    execFile(process.execPath, [program, ...options], { cwd: tree, maxBuffer: 256 * 1024 * 1024 }, (error, output) => {
      if (output === "") return reject(error ?? new Error("no output"));
      const { summary } = JSON.parse(output) as {
        summary: { violations: { rule: { name: string; severity: string }; from: string }[]; totalCruised: number };
      };
      if (summary.totalCruised === 0) return reject(new Error("nothing was looked at"));
      resolve(summary.violations.map(({ rule, from }) => ({ rule: rule.name, from })));
    });
  });

const sources = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith(".ts"))
    .map((entry) => join(entry.parentPath, entry.name));

test("no room of the house uses what its door shuts out", async () => {
  expect(await breaches(home)).toEqual([]);
});

describe("a planted breach is found", () => {
  const tree = mkdtempSync(join(tmpdir(), "doors-"));
  const plants: readonly (readonly [rule: string, file: string, text: string])[] = [
    [
      "physics-uses-no-later-room",
      "src/core/physics/planted.ts",
      'export { audit as a } from "../audit/planted-end.js";',
    ],
    [
      "quantity-uses-no-later-room",
      "src/core/quantity/planted.ts",
      'export const late = () => import("../network/planted-end.js");',
    ],
    ["rules-judge-facts", "src/core/rules/planted.ts", 'export { end } from "../physics/planted-end.js";'],
    ["graph-knows-no-profile", "src/core/graph/planted.ts", 'export { end } from "../profiles/planted-end.js";'],
    ["core-is-pure", "src/core/analysis/planted.ts", 'export { readFileSync } from "node:fs";'],
    [
      "core-is-pure",
      "src/core/audit/planted-late.ts",
      'export const late = () => import("../../service/planted-end.js");',
    ],
    ["service-door", "src/service/planted.ts", 'export { end } from "../core/network/planted-end.js";'],
    ["http-door", "src/http/planted.ts", 'export const late = () => import("../core/audit/planted-end.js");'],
    ["cli-door", "src/cli/planted.ts", 'export { end } from "../http/planted-end.js";'],
    ["main-is-the-top", "src/cli/planted-late.ts", 'export const late = () => import("../main/planted-end.js");'],
    ["zod-only-in-its-rooms", "src/service/planted-zod.ts", 'export * as z from "zod";'],
    ["zod-only-in-its-rooms", "src/core/rules/planted-zod.ts", 'export const late = () => import("zod");'],
    [
      "graphology[^/]*-only-in-its-rooms",
      "src/core/analysis/planted-graph.ts",
      'export const late = () => import("graphology");',
    ],
    ["no-cycles", "src/core/sources/planted-a.ts", 'export { b } from "./planted-b.js"; export const a = 1;'],
    ["no-tests-in-src", "src/cli/planted-test.ts", 'export { end } from "../../tests/planted-end.js";'],
    ["no-dev-dependency", "src/cli/planted-dev.ts", 'export { default as fc } from "fast-check";'],
  ];
  const supports: readonly (readonly [string, string])[] = [
    ...["audit", "network", "physics", "profiles"].map((room): [string, string] => [
      `src/core/${room}/planted-end.ts`,
      "export const end = 1; export const audit = 1;",
    ]),
    ...["src/service", "src/http", "src/main", "tests"].map((folder): [string, string] => [
      `${folder}/planted-end.ts`,
      "export const end = 1;",
    ]),
    ["src/core/sources/planted-b.ts", 'export { a } from "./planted-a.js"; export const b = 1;'],
  ];
  let found: Breach[] = [];
  beforeAll(async () => {
    for (const file of [".dependency-cruiser.cjs", "package.json", "tsconfig.json"]) {
      cpSync(join(home, file), join(tree, file));
    }
    symlinkSync(join(home, "node_modules"), join(tree, "node_modules"));
    for (const [file, text] of [...supports, ...plants.map(([, file, text]): [string, string] => [file, text])]) {
      mkdirSync(dirname(join(tree, file)), { recursive: true });
      writeFileSync(join(tree, file), `${text}\n`);
    }
    found = await breaches(tree);
  }, 60_000);
  afterAll(() => rmSync(tree, { recursive: true, force: true }));

  for (const [rule, file] of plants)
    test(`${rule} in ${file}`, () => expect(found).toContainEqual({ rule, from: file }));
});

/** Lines that break a rule of words; comments do not count. */
const wordsIn = (folder: string, forbidden: RegExp, but: (file: string) => boolean = () => false): string[] =>
  sources(join(home, folder))
    .filter((file) => !but(relative(home, file)))
    .flatMap((file) =>
      readFileSync(file, "utf8")
        .replace(/\/\*[\s\S]*?\*\//g, (comment) => comment.replace(/[^\n]/g, " "))
        .split("\n")
        .map((line, index): [string, number] => [line.replace(/(^|\s)\/\/.*$/, ""), index + 1])
        .filter(([line]) => forbidden.test(line))
        .map(([line, number]) => `${relative(home, file)}:${number}: ${line.trim()}`),
    );

const ENVIRONMENT = /\bprocess\s*\.\s*env\b|\bprocess\s*\[\s*["']env|\{[^}]*\benv\b[^}]*\}\s*=\s*process\b/;
const CLOCK_OR_CHANCE =
  /\bDate\s*\.\s*now\b|\bnew\s+Date\s*\(\s*\)|\bMath\s*\.\s*random\b|\bperformance\b|\bsetTimeout\b|\bsetInterval\b|\bhrtime\b|\brandomUUID\b|\bgetRandomValues\b|\brandomBytes\b/;

describe("words that a room may not use", () => {
  test("the environment is read in main alone", () => {
    expect(wordsIn("src", ENVIRONMENT, (file) => file.startsWith("src/main/"))).toEqual([]);
  });

  test("the core has no clock and no chance", () => {
    expect(wordsIn("src/core", CLOCK_OR_CHANCE)).toEqual([]);
  });

  test("the patterns find what they are for, and nothing in words alike", () => {
    const caught = ["process.env.HOME", "process['env']", "const { env } = process;"];
    expect(caught.filter((line) => !ENVIRONMENT.test(line))).toEqual([]);
    const clocks = ["Date.now()", "new Date()", "Math.random()", "performance.now()", "crypto.randomUUID()"];
    expect(clocks.filter((line) => !CLOCK_OR_CHANCE.test(line))).toEqual([]);
    expect(CLOCK_OR_CHANCE.test("new Date(observation.time)")).toBe(false);
    expect(ENVIRONMENT.test("environment of the process")).toBe(false);
  });

  test("no lint rule and no type error is switched off", () => {
    expect(wordsIn("src", /@ts-(?:ignore|expect-error|nocheck)|biome-ignore|eslint-disable/)).toEqual([]);
  });
});

test("package.json and the library tell the same version", () => {
  const { version } = JSON.parse(readFileSync(join(home, "package.json"), "utf8")) as { version: string };
  expect(VERSION).toBe(version);
});
