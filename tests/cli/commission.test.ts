// What `drainward commission` prints, and how it ends.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { commissioning, renderCommissioning } from "../../src/core/index.js";
import { failing, giving, type Scene, scene } from "./fakes.js";

const BOATHOUSE = readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8");
const document: Record<string, unknown> = JSON.parse(BOATHOUSE);
const made = commissioning(document);
if (!made.ok) throw new Error("the boathouse is no network document");
const { sheet } = made;

const called = async (args: readonly string[], surroundings: Scene = {}) => {
  const { around, stdout, stderr } = scene({ files: { "boathouse.json": BOATHOUSE }, ...surroundings });
  const status = await run(["commission", ...args], around);
  return { status, stdout: stdout.text, stderr: stderr.text };
};

describe("commission", () => {
  it("prints the sheet as text, in 80 columns where no terminal listens", async () => {
    const { status, stdout, stderr } = await called(["boathouse.json"]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    expect(stdout).toBe(renderCommissioning(sheet, { width: 80, color: false }));
    expect(stdout).toMatch(/^Commissioning sheet: Reedlight Boathouse/);
    expect(Math.max(...stdout.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  it("prints the same bytes as JSON, from a file, from standard input named or not", async () => {
    const fromFile = await called(["boathouse.json", "--format", "json"]);
    expect({ status: fromFile.status, stderr: fromFile.stderr }).toEqual({ status: 0, stderr: "" });
    expect(JSON.parse(fromFile.stdout)).toEqual(JSON.parse(JSON.stringify(sheet)));
    for (const args of [[], ["-"]])
      expect(
        await called([...args, "--format", "json"], { stdin: giving(BOATHOUSE.slice(0, 99), BOATHOUSE.slice(99)) }),
      ).toEqual(fromFile);
  });

  it("takes the width asked for, and color on a terminal alone", async () => {
    const narrow = await called(["boathouse.json", "--width", "50"], { terminal: 120 });
    expect(narrow.stdout).toBe(renderCommissioning(sheet, { width: 50, color: true }));
    expect(narrow.stdout).toContain("\u001b[");
    expect((await called(["boathouse.json", "--no-color"], { terminal: 120 })).stdout).not.toContain("\u001b[");
  });

  it("does not care that the building fails: the sheet is what shows it", async () => {
    expect((await called(["boathouse.json"])).status).toBe(0);
  });

  it("lists every problem of a bad document with its place and a hint", async () => {
    const bad = { ...document, stadge: "design", units: "metric" };
    const text = await called(["bad.json"], { files: { "bad.json": bad } });
    expect([text.status, text.stdout]).toEqual([2, ""]);
    expect(text.stderr).toContain("bad.json is not a network document: 2 problems\n");
    expect(text.stderr).toMatch(/ {2}\/stadge\n.+\n +Hint: did you mean `stage`/);
    expect(text.stderr).toContain("  /units\n");
    const json = await called(["bad.json", "--format", "json"], { files: { "bad.json": bad } });
    expect(json.status).toBe(2);
    expect(JSON.parse(json.stdout)).toMatchObject({
      file: "bad.json",
      problem: { code: "invalid-document", total: 2 },
    });
    expect(json.stderr).toBe("drainward: bad.json: is not a network document (2 problems)\n");
  });

  it.each<[string[], Scene, string]>([
    [["absent.json"], {}, "drainward: absent.json: no such file\n"],
    [["folder"], { files: { folder: failing("EISDIR") } }, "drainward: folder: is a folder"],
    [["empty.json"], { files: { "empty.json": "" } }, "drainward: empty.json: is empty\n"],
    [[], { stdin: giving("") }, "drainward: standard input: is empty\n"],
    [["-"], { stdin: giving("{") }, "standard input is not a JSON document that can be read: 1 problem\n"],
    [["a.json", "b.json"], {}, "error: too many arguments"],
    [["boathouse.json", "--format", "yaml"], {}, "error: option '--format <form>'"],
    [["boathouse.json", "--width", "12"], {}, "error: option '--width <columns>'"],
    [["boathouse.json", "--observations", "x"], {}, "error: unknown option"],
  ])("%j is bad input", async (args, surroundings, said) => {
    const { status, stdout, stderr } = await called(args, surroundings);
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(said);
  });
});
