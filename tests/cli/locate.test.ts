// What `drainward locate` prints, and how it ends.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { locateBlockage, renderBlockage } from "../../src/core/index.js";
import { failing, giving, type Scene, scene } from "./fakes.js";

const fixture = (path: string): string => readFileSync(new URL(`../../fixtures/${path}`, import.meta.url), "utf8");
const BOATHOUSE = fixture("buildings/three-coils.json");
const SEEN = fixture("examples/boathouse-observations.json");
const answerTo = (at?: string) => {
  const made = locateBlockage(JSON.parse(BOATHOUSE), JSON.parse(SEEN), at);
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.blockage;
};

const called = async (args: readonly string[], { files, ...surroundings }: Scene = {}) => {
  const { around, stdout, stderr } = scene({
    files: { "house.json": BOATHOUSE, "seen.json": SEEN, ...files },
    ...surroundings,
  });
  const status = await run(["locate", ...args], around);
  return { status, stdout: stdout.text, stderr: stderr.text };
};
const ASK = ["house.json", "--observations", "seen.json"];

describe("locate", () => {
  it("tells where the blockage is, as text", async () => {
    const { status, stdout, stderr } = await called(ASK);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    expect(stdout).toBe(renderBlockage(answerTo(), { width: 80, color: false }));
    expect(stdout).toContain("Most likely blocked is ");
    for (const part of ["\nCandidates\n", "\nWork\n", "\nCautions\n"]) expect(stdout).toContain(part);
  });

  it("prints the same as JSON, from either input by standard input", async () => {
    const asked = await called([...ASK, "--format", "json"]);
    expect({ status: asked.status, stderr: asked.stderr }).toEqual({ status: 0, stderr: "" });
    expect(JSON.parse(asked.stdout)).toEqual(JSON.parse(JSON.stringify(answerTo())));
    const network = ["-", "--observations", "seen.json", "--format", "json"];
    expect(await called(network, { stdin: giving(BOATHOUSE.slice(0, 7), BOATHOUSE.slice(7)) })).toEqual(asked);
    const observations = ["house.json", "--observations", "-", "--format", "json"];
    expect(await called(observations, { stdin: giving(SEEN) })).toEqual(asked);
  });

  it("counts what was seen up to the time asked for", async () => {
    const [first] = JSON.parse(SEEN) as { time: string }[];
    const before = new Date(Date.parse(first.time) - 86_400_000).toISOString();
    const asked = await called([...ASK, "--at", before, "--format", "json"]);
    expect(asked.status).toBe(0);
    expect(JSON.parse(asked.stdout)).toEqual(JSON.parse(JSON.stringify(answerTo(before))));
    expect(JSON.parse(asked.stdout).state).toBe("nothing-reported");
  });

  it("wraps to the width asked for, with color on a terminal alone", async () => {
    const { stdout } = await called([...ASK, "--width", "60"], { terminal: 100 });
    expect(stdout).toBe(renderBlockage(answerTo(), { width: 60, color: true }));
    expect((await called([...ASK, "--no-color"], { terminal: 100 })).stdout).not.toContain("\u001b[");
  });

  it("tells every problem of both inputs at once, with hints", async () => {
    const files = {
      "bad.json": { ...JSON.parse(BOATHOUSE), stadge: 1 },
      "wrong.json": [{ type: "water-sen", node: "FC-1", time: "yesterday" }],
    };
    const text = await called(["bad.json", "--observations", "wrong.json"], { files });
    expect([text.status, text.stdout]).toEqual([2, ""]);
    expect(text.stderr).toMatch(/^bad\.json with wrong\.json cannot be read together: 3 problems\n/);
    for (const pointer of ["/network/stadge", "/observations/0/type", "/observations/0/time"])
      expect(text.stderr).toContain(`  ${pointer}\n`);
    expect(text.stderr.match(/Hint: /g)?.length).toBeGreaterThanOrEqual(2);
    const json = await called(["bad.json", "--observations", "wrong.json", "--format", "json"], { files });
    expect(json.status).toBe(2);
    expect(JSON.parse(json.stdout)).toMatchObject({
      file: "bad.json with wrong.json",
      problem: { code: "invalid-document", total: 3 },
    });
  });

  it.each<[string[], Scene, string]>([
    [["house.json"], {}, "error: required option '--observations <file>' not specified"],
    [["absent.json", "--observations", "seen.json"], {}, "drainward: absent.json: no such file\n"],
    [["house.json", "--observations", "absent.json"], {}, "drainward: absent.json: no such file\n"],
    [["house.json", "--observations", "locked"], { files: { locked: failing("EACCES") } }, "may not be read"],
    [["-", "--observations", "seen.json"], { stdin: giving("") }, "drainward: standard input: is empty\n"],
    [["house.json", "--observations", "-"], { stdin: giving("[") }, "standard input is not a JSON document"],
    [["-", "--observations", "-"], { stdin: giving(BOATHOUSE) }, "error: standard input can be read once"],
    [[...ASK, "--at", "noon"], {}, "/at\n"],
    [[...ASK, "--format", "csv"], {}, "error: option '--format <form>'"],
    [["house.json", "--observations", "none.json"], { files: { "none.json": {} } }, "/observations\n"],
    [
      ["house.json", "--observations", "else.json"],
      { files: { "else.json": [{ type: "water-seen", node: "FC-9", time: "2026-07-14T09:30:00Z" }] } },
      "the network has no such node",
    ],
  ])("%j is bad input", async (args, surroundings, said) => {
    const { status, stdout, stderr } = await called(args, surroundings);
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(said);
    expect(stderr).not.toMatch(/\n\s+at /);
  });
});
