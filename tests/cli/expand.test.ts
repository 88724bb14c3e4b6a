// What `drainward expand` prints, and how it ends.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { expand } from "../../src/core/index.js";
import { failing, giving, type Scene, scene } from "./fakes.js";

const TOWER = readFileSync(new URL("../../fixtures/buildings/tower-design.json", import.meta.url), "utf8");
const BOATHOUSE = readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8");
const expandedOf = (text: string): unknown => {
  const made = expand(JSON.parse(text));
  if (!made.ok) throw new Error("no network document");
  return JSON.parse(JSON.stringify(made.document));
};

const called = async (args: readonly string[], surroundings: Scene = {}) => {
  const files = { "tower.json": TOWER, "boathouse.json": BOATHOUSE };
  const { around, stdout, stderr } = scene({ files, ...surroundings });
  const status = await run(["expand", ...args], around);
  return { status, stdout: stdout.text, stderr: stderr.text };
};

describe("expand", () => {
  it("writes the shorthand of one document out, for people to read", async () => {
    const { status, stdout, stderr } = await called(["tower.json"]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    const document = JSON.parse(stdout);
    expect(document).toEqual(expandedOf(TOWER));
    expect(document.nodes.length).toBeGreaterThan(JSON.parse(TOWER).nodes.length);
    expect(document).not.toHaveProperty("placements");
    expect(stdout).toContain('\n  "nodes": [\n');
  });

  it("gives several documents a line each, in the order of the arguments", async () => {
    const { status, stdout, stderr } = await called(["tower.json", "boathouse.json", "tower.json"]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    const lines = stdout.trimEnd().split("\n");
    expect(lines.map((line) => JSON.parse(line))).toEqual([TOWER, BOATHOUSE, TOWER].map(expandedOf));
  });

  it("reads standard input, named or not, and patterns", async () => {
    const one = await called(["boathouse.json"]);
    for (const args of [[], ["-"]]) expect(await called(args, { stdin: giving(BOATHOUSE) })).toEqual(one);
    expect((await called(["boat*.json"])).stdout).toBe(one.stdout);
  });

  it("writes out what was written out to the same bytes", async () => {
    const once = await called(["tower.json"]);
    const twice = await called(["once.json"], { files: { "once.json": once.stdout } });
    expect(twice).toEqual(once);
  });

  it("tells every problem of a bad document, and goes on with the others", async () => {
    const bad = { ...JSON.parse(BOATHOUSE), stadge: 1 };
    const alone = await called(["bad.json"], { files: { "bad.json": bad } });
    expect([alone.status, alone.stdout]).toEqual([2, ""]);
    expect(alone.stderr).toContain("bad.json is not a network document: 1 problem\n  /stadge\n");
    expect(alone.stderr).toContain("Hint: did you mean");
    const among = await called(["bad.json", "absent.json", "boathouse.json"], {
      files: { "bad.json": bad, "boathouse.json": BOATHOUSE },
    });
    expect(among.status).toBe(2);
    const lines = among.stdout
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(lines.map((line) => line.file ?? line.id)).toEqual(["bad.json", "absent.json", "reedlight-boathouse"]);
    expect(lines[0].problem.errors[0].pointer).toBe("/stadge");
    expect(among.stderr).toBe(
      "drainward: bad.json: is not a network document (1 problem)\ndrainward: absent.json: no such file\n",
    );
  });

  it.each<[string[], Scene, string]>([
    [["absent.json"], {}, "drainward: absent.json: no such file\n"],
    [["none-*.json"], {}, "drainward: none-*.json: no file matches\n"],
    [["locked"], { files: { locked: failing("EACCES") } }, "drainward: locked: may not be read by this user\n"],
    [[], { stdin: giving("") }, "drainward: standard input: is empty\n"],
    [["-"], { stdin: giving("nonsense") }, "standard input is not a JSON document that can be read: 1 problem\n"],
    [["tower.json", "--format", "json"], {}, "error: unknown option '--format'"],
  ])("%j is bad input", async (args, surroundings, said) => {
    const { status, stdout, stderr } = await called(args, surroundings);
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(said);
  });
});
