import { stripVTControlCharacters } from "node:util";
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { auditWith, findingWith, fullAudit } from "../core/present/audits.js";
import { failing, fakeLibrary, giving, scene } from "./fakes.js";

const named = (id: string) => auditWith({ network: { id, name: null, digest: "" } });

describe("audit as JSON", () => {
  it("is one object for one file, on one line", async () => {
    const { around, stdout, stderr } = scene({ files: { "a.json": fullAudit } });
    await run(["audit", "a.json", "--format", "json"], around);
    expect(JSON.parse(stdout.text)).toEqual(fullAudit);
    expect(stdout.text.match(/\n/g)).toHaveLength(1);
    expect(stderr.text).toBe("");
  });

  it("is one line for each argument in their order, a bad one in its place", async () => {
    const files = { "b.json": named("b"), "a.json": named("a"), "bad.json": { problems: 140 }, "c.json": named("c") };
    const { around, stdout, stderr } = scene({ files });
    const args = ["audit", "--format", "json", "b.json", "bad.json", "absent.json", "a.json", "c.json"];
    expect(await run(args, around)).toBe(2);
    const lines = stdout.text
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(lines.map((line) => line.network?.id ?? line.file)).toEqual(["b", "bad.json", "absent.json", "a", "c"]);
    expect(lines[1].problem).toMatchObject({ code: "invalid-document", total: 140 });
    expect(lines[1].problem.errors).toHaveLength(100);
    expect(lines[1].problem.errors[99]).toMatchObject({
      pointer: "/nodes/99",
      detail: "Problem 99.",
      hint: "Hint 99.",
    });
    expect(lines[2]).toEqual({
      file: "absent.json",
      problem: { code: "no-such-file", detail: "no such file", errors: [], total: 0 },
    });
    expect(stderr.text.split("\n")).toEqual([
      "drainward: bad.json: is not a network document (140 problems)",
      "drainward: absent.json: no such file",
      "",
    ]);
  });

  it("hands the words of --include and the profile to the library", async () => {
    const library = fakeLibrary();
    const { around } = scene({ files: { a: named("a") }, library });
    expect(
      await run(["audit", "a", "--include", "pipes,passes", "--include", "paths", "--profile", "imc"], around),
    ).toBe(0);
    expect(await run(["audit", "a"], around)).toBe(0);
    expect(library.asked).toEqual([
      { include: ["pipes", "passes", "paths"], profile: "imc" },
      { include: [], profile: undefined },
    ]);
  });
});

describe("audit as text", () => {
  it("is the default, wrapped to 80 columns without color where no terminal listens", async () => {
    const { around, stdout } = scene({ files: { a: fullAudit } });
    await run(["audit", "a"], around);
    expect(stdout.text).toContain("Lindenrow House 3 (lindenrow-3)\nStage    as-built\n");
    expect(Math.max(...stdout.text.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(stdout.text).not.toContain("\u001b");
  });

  it("takes the terminal's width, or the width asked for", async () => {
    const widest = async (args: string[], terminal: number) => {
      const { around, stdout } = scene({ files: { a: fullAudit }, terminal });
      await run(["audit", "a", ...args], around);
      return Math.max(
        ...stripVTControlCharacters(stdout.text)
          .split("\n")
          .map((line) => line.length),
      );
    };
    expect(await widest([], 120)).toBeGreaterThan(100);
    expect(await widest([], 60)).toBeLessThanOrEqual(60);
    expect(await widest(["--width", "50"], 120)).toBeLessThanOrEqual(50);
  });

  it.each([
    ["on a terminal", { terminal: 80 }, [], true],
    ["into a pipe", {}, [], false],
    ["with --no-color", { terminal: 80 }, ["--no-color"], false],
    ["where the environment asks for none", { terminal: 80, plainText: true }, [], false],
  ])("%s: color is %s", async (_, part, args, colored) => {
    const { around, stdout } = scene({ files: { a: fullAudit }, ...part });
    await run(["audit", "a", ...args], around);
    expect(stdout.text.includes("\u001b[")).toBe(colored);
  });

  it("sets several audits apart by their file, and a single one not", async () => {
    const { around, stdout } = scene({ files: { "a.json": named("a"), "b.json": named("b") } });
    await run(["audit", "a.json", "b.json"], around);
    expect(stdout.text).toMatch(/^== a\.json =+\n\na\n[\s\S]+\n\n== b\.json =+\n\nb\n/);
    const alone = scene({ files: { "a.json": named("a") } });
    await run(["audit", "a.json"], alone.around);
    expect(alone.stdout.text.startsWith("a\n")).toBe(true);
  });

  it("lists every problem of a bad document on the error stream", async () => {
    const { around, stdout, stderr } = scene({ files: { "bad.json": { problems: 3 } } });
    await run(["audit", "bad.json"], around);
    expect(stdout.text).toBe("");
    expect(stderr.text).toContain("bad.json is not a network document: 3 problems");
    for (const row of [0, 1, 2])
      expect(stderr.text).toContain(`  /nodes/${row}\n    Problem ${row}.\n    Hint: Hint ${row}.`);
  });

  it.each([
    ["absent.json", "drainward: absent.json: no such file\n"],
    ["folder", "drainward: folder: is a folder; name the files in it, for example with a wildcard\n"],
    ["locked", "drainward: locked: may not be read by this user\n"],
    ["failing", "drainward: failing: cannot be read: EIO: as the system says it\n"],
    ["empty", "drainward: empty: is empty\n"],
    ["huge", "drainward: huge: is larger than the 1 MiB that a document may have\n"],
    ["none-*", "drainward: none-*: no file matches\n"],
    ["crash", "drainward: crash: could not be audited, by a fault of this program: the rule<U+0007> of three\n"],
    ["\u001bc\u202e", "drainward: <U+001B>c<U+202E>: no such file\n"],
  ])("says of %j in one line what is wrong with it", async (path, line) => {
    const files = {
      folder: failing("EISDIR"),
      locked: failing("EACCES"),
      failing: failing("EIO"),
      empty: "",
      huge: giving(new Uint8Array(600_000), new Uint8Array(600_000)),
      crash: { throw: true },
    };
    const { around, stderr } = scene({ files });
    expect(await run(["audit", path], around)).toBe(2);
    expect(stderr.text).toBe(line);
  });
});

describe("the documents to audit", () => {
  const parts = JSON.stringify(named("from-input"));
  it.each([[[]], [["-"]]])("come from standard input where the files are %j", async (args) => {
    const { around, stdout } = scene({ stdin: giving(parts.slice(0, 9), parts.slice(9)) });
    expect(await run(["audit", ...args], around)).toBe(0);
    expect(stdout.text.startsWith("from-input\n")).toBe(true);
  });

  it("may mix files and standard input", async () => {
    const { around, stdout } = scene({ files: { a: named("a") }, stdin: giving(parts) });
    await run(["audit", "a", "-", "--format", "json"], around);
    expect(
      stdout.text
        .trimEnd()
        .split("\n")
        .map((line) => JSON.parse(line).network.id),
    ).toEqual(["a", "from-input"]);
  });

  it("may be named by a pattern, unless a file has just that name", async () => {
    const files = { "towers/1.json": named("1"), "towers/2.json": named("2"), "odd[1].json": named("odd") };
    const { around, stdout } = scene({ files });
    await run(["audit", "odd[1].json", "towers/*.json", "--format", "json"], around);
    expect(
      stdout.text
        .trimEnd()
        .split("\n")
        .map((line) => JSON.parse(line).network.id),
    ).toEqual(["odd", "1", "2"]);
  });

  it("typed at a keyboard are asked for", async () => {
    const { around, stderr } = scene({ stdin: Object.assign(giving(parts), { isTTY: true }) });
    await run(["audit"], around);
    expect(stderr.text).toContain("Ctrl-D");
  });
});

describe("progress", () => {
  const files = { a: named("a"), b: named("b") };
  it("is one line on the error stream of a terminal, gone when an answer is printed", async () => {
    const { around, stderr } = scene({ files, terminal: 80 });
    await run(["audit", "a", "b"], around);
    expect(stderr.text).toContain("1 of 2  a");
    expect(stderr.text).toContain("2 of 2  b");
    expect(stderr.text.endsWith("\r\u001b[K")).toBe(true);
  });

  it("is silent for one file, and anywhere but on a terminal", async () => {
    const one = scene({ files, terminal: 80 });
    await run(["audit", "a"], one.around);
    expect(one.stderr.text).toBe("");
    const piped = scene({ files });
    await run(["audit", "a", "b"], piped.around);
    expect(piped.stderr.text).toBe("");
  });

  it("does not let a hostile file name steer the terminal", async () => {
    const name = "\u001b]0;owned\u0007";
    const { around, stderr } = scene({ files: { [name]: findingWith(), b: named("b") }, terminal: 80 });
    await run(["audit", name, "b"], around);
    expect(stderr.text.replaceAll("\u001b[K", "")).not.toContain("\u001b]");
  });
});

describe("the catalogues", () => {
  const shown = async (...args: string[]) => {
    const { around, stdout, stderr } = scene();
    await run(args, around);
    return stdout.text + stderr.text;
  };
  it("are listed one entry to a line, in full for one, and as data", async () => {
    expect(await shown("rules")).toBe("fall.reverse  Drain that rises\npath.cycle    Loop of drains\n");
    expect(await shown("rules", "path.cycle")).toBe("id: path.cycle\ntitle: Loop of drains\n");
    expect(JSON.parse(await shown("rules", "path.cycle", "--format", "json"))).toEqual({
      id: "path.cycle",
      title: "Loop of drains",
    });
    expect(JSON.parse(await shown("materials", "--format", "json"))).toEqual({
      items: [{ id: "pvc-40", title: "PVC schedule 40" }],
      next: null,
    });
    expect(JSON.parse(await shown("schema"))).toEqual({ $id: "network" });
    expect(await shown("--version")).toBe("9.9.9\n");
  });

  it("name the nearest entry where one is misspelt", async () => {
    expect(await shown("rules", "fall.revers")).toContain(
      "there is no rule 'fall.revers' (did you mean fall.reverse?)",
    );
    expect(await shown("audit", "--profile", "imk")).toContain("(did you mean imc?)");
    expect(await shown("audit", "--include", "pips")).toContain(
      "(did you mean pipes?); it takes pipes, paths, passes, all",
    );
    expect(await shown("rules", "zzzzzzzz")).not.toContain("did you mean");
  });
});
