// What `drainward backup` prints, and how it ends.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { backup, renderBackup } from "../../src/core/index.js";
import { failing, giving, type Scene, scene } from "./fakes.js";

const BOATHOUSE = readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8");
const { pipes } = JSON.parse(BOATHOUSE) as { pipes: { id: string }[] };
const LAST = pipes[pipes.length - 1].id;
const answerTo = (blocked: object) => {
  const told = backup(JSON.parse(BOATHOUSE), blocked);
  if (!told.ok) throw new Error(JSON.stringify(told.problems));
  return told.backup;
};

const called = async (args: readonly string[], { files, ...surroundings }: Scene = {}) => {
  const { around, stdout, stderr } = scene({ files: { "house.json": BOATHOUSE, ...files }, ...surroundings });
  const status = await run(["backup", ...args], around);
  return { status, stdout: stdout.text, stderr: stderr.text };
};

describe("backup", () => {
  it("tells the story of a pipe or a node, as text", async () => {
    for (const [flag, blocked] of [
      ["--pipe", { pipe: LAST }],
      ["--node", { node: "FC-1" }],
    ] as const) {
      const asked = await called(["house.json", flag, Object.values(blocked)[0]]);
      expect([asked.status, asked.stderr]).toEqual([0, ""]);
      expect(asked.stdout).toBe(renderBackup(answerTo(blocked), { width: 80, color: false }));
      for (const part of ["Minute by minute", "What holds the water then", "What is taken for granted", "Cautions"])
        expect(asked.stdout).toContain(`\n${part}\n`);
      for (const line of asked.stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
    }
  });

  it("prints the same as JSON, from standard input too", async () => {
    const asked = await called(["house.json", "--pipe", LAST, "--format", "json"]);
    expect([asked.status, asked.stderr]).toEqual([0, ""]);
    expect(JSON.parse(asked.stdout)).toEqual(JSON.parse(JSON.stringify(answerTo({ pipe: LAST }))));
    const stdin = () => giving(BOATHOUSE.slice(0, 7), BOATHOUSE.slice(7));
    for (const file of [["-"], []])
      expect(await called([...file, "--pipe", LAST, "--format", "json"], { stdin: stdin() })).toEqual(asked);
  });

  it("wraps to the width asked for, with color on a terminal alone", async () => {
    const { stdout } = await called(["house.json", "--pipe", LAST, "--width", "60"], { terminal: 100 });
    expect(stdout).toBe(renderBackup(answerTo({ pipe: LAST }), { width: 60, color: true }));
    expect((await called(["house.json", "--pipe", LAST, "--no-color"], { terminal: 100 })).stdout).not.toContain(
      "\u001b[",
    );
  });

  it.each<[string[], Scene, string]>([
    [["house.json"], {}, "error: name what blocks, by --pipe <id> or by --node <id>"],
    [["house.json", "--pipe", "A", "--node", "B"], {}, "error: name what blocks"],
    [["house.json", "--pipe", "FC-1"], {}, 'Hint: it is a node: write { "node": … }'],
    [["house.json", "--node", "FC-11"], {}, 'Hint: did you mean "FC-1"?'],
    [["absent.json", "--pipe", LAST], {}, "drainward: absent.json: no such file\n"],
    [["locked", "--pipe", LAST], { files: { locked: failing("EACCES") } }, "may not be read"],
    [["-", "--pipe", LAST], { stdin: giving("") }, "drainward: standard input: is empty\n"],
    [
      ["bad.json", "--pipe", LAST],
      { files: { "bad.json": { ...JSON.parse(BOATHOUSE), stadge: 1 } } },
      "/network/stadge",
    ],
    [["house.json", "--pipe", LAST, "--format", "csv"], {}, "error: option '--format <form>'"],
  ])("%j is bad input", async (args, surroundings, said) => {
    const { status, stdout, stderr } = await called(args, surroundings);
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(said);
    expect(stderr).not.toMatch(/\n\s+at /);
  });
});
