import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { audit, INCLUDES, readJson } from "../../src/core/index.js";
import { leastOf } from "../bench/measure.js";
import { cycle, hostileIds, hundredErrors, islands, nestedBrackets, smallTower } from "./awkward-documents.js";

const cli = new URL("../../dist/main/cli.js", import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), "awkward-"));
afterAll(() => rmSync(folder, { recursive: true }));

/** Audits a text by the built command line, as JSON with every fact. */
const byCommandLine = (text: string) => {
  const file = join(folder, "document.json");
  writeFileSync(file, text);
  const started = performance.now();
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [cli, "audit", file, "--format", "json", "--include", "all"],
    { encoding: "utf8", maxBuffer: 1 << 28 },
  );
  return { status, stdout, stderr, milliseconds: performance.now() - started };
};

/** Reads and audits a text by the library. */
const byLibrary = (text: string) => {
  const read = readJson(new TextEncoder().encode(text));
  if (!read.ok) throw new Error(read.problem.detail);
  return audit(read.value, { include: INCLUDES });
};

const answered = (text: string) => {
  const result = byLibrary(text);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.audit;
};

const rulesFailing = (answer: ReturnType<typeof answered>): string[] =>
  answer.findings.filter(({ outcome }) => outcome === "fail").map(({ id }) => id);

/** A bad document takes a process not much longer than a good one, start included. */
let quickProcess = 0;
beforeAll(() => {
  quickProcess = 4 * byCommandLine(JSON.stringify(smallTower())).milliseconds + 2000;
});

describe("a document with more than a hundred errors", () => {
  const { document, sound, pointers } = hundredErrors();
  const text = JSON.stringify(document);

  test("is refused sooner than one without is audited", async () => {
    const whole = JSON.stringify(sound);
    expect(await leastOf(3, () => byLibrary(text))).toBeLessThan(await leastOf(3, () => byLibrary(whole)));
  });

  test("gets all of them counted and a hundred told, each at its place and with a hint where there is one", () => {
    const result = byLibrary(text);
    expect(result.ok).toBe(false);
    if (result.ok) return;
    expect(result.total).toBe(pointers.length);
    expect(result.problems).toHaveLength(100);
    const planted = new Set(pointers);
    expect(result.problems.filter(({ pointer }) => !planted.has(pointer))).toEqual([]);
    expect(new Set(result.problems.map(({ pointer }) => pointer)).size).toBe(100);
    const typo = result.problems.find(({ pointer }) => pointer.endsWith("/elevatoin"));
    expect(`${typo?.detail} ${typo?.hint}`).toContain("elevation");
  });

  test("makes the command line end with status 2", () => {
    const { status, stdout, stderr, milliseconds } = byCommandLine(text);
    expect(status).toBe(2);
    expect(stdout + stderr).toContain("elevatoin");
    expect(milliseconds).toBeLessThan(quickProcess);
  });
});

describe("a loop of drains", () => {
  const { document, ring } = cycle();

  test("is found, and what cannot be computed on it is null", () => {
    const answer = answered(JSON.stringify(document));
    expect(answer.findings.some(({ rule, outcome }) => rule === "path.cycle" && outcome === "fail")).toBe(true);
    expect(answer.rules.filter(({ outcome }) => outcome === "broken")).toEqual([]);
    const topology = answer.facts?.topology as { cycles: string[][] };
    expect(topology.cycles).toEqual([ring]);
    const nodes = answer.facts?.nodes as { id: string; standingWaterLevel: number | null }[];
    for (const id of ring) expect(nodes.find((node) => node.id === id)?.standingWaterLevel).toBeNull();
    const coils = answer.facts?.fanCoils as { outlet: string | null; fallBudget: number | null }[];
    expect(coils.map(({ outlet, fallBudget }) => ({ outlet, fallBudget }))).toEqual(
      coils.map(() => ({ outlet: null, fallBudget: null })),
    );
    const noOutlet = answer.findings.filter(({ rule }) => rule === "path.no-outlet");
    expect(new Set(noOutlet.flatMap(({ subject }) => subject.fanCoils)).size).toBe(coils.length);
  });

  test("makes the command line end with status 1", () => {
    const { status, stdout } = byCommandLine(JSON.stringify(document));
    expect(status).toBe(1);
    expect(JSON.parse(stdout).verdict).toBe("faulty");
  });
});

describe("islands", () => {
  const { document, deadLeg, orphan } = islands();

  test("are told and leave the rest of the building as it was", () => {
    const answer = answered(JSON.stringify(document));
    const topology = answer.facts?.topology as { deadLegs: string[]; orphans: string[] };
    expect(topology).toMatchObject({ deadLegs: [deadLeg], orphans: [orphan] });
    const alone = answered(JSON.stringify(smallTower()));
    const uncontained = rulesFailing(alone);
    expect(rulesFailing(answer)).toEqual([...uncontained, `path.dead-leg~p:${deadLeg}`]);
    expect(answer.facts?.fanCoils).toEqual(alone.facts?.fanCoils);
    // nothing but what no pan's switch can stop
    expect(uncontained).toEqual(["backup.uncontained~p:M-MD-01"]);
    expect(alone.findings).toHaveLength(1);
  });

  test("are no error to the command line", () => {
    expect(byCommandLine(JSON.stringify(document)).status).toBe(0);
  });
});

describe("ids that plain objects already have", () => {
  const document = cycle().document;
  document.nodes.find(({ id }) => id === "0301-A/trap")!.primed = false;
  const { text, renamed } = hostileIds(document);

  test("are ids like any other", () => {
    const before = Object.getOwnPropertyNames(Object.prototype).sort();
    const plain = answered(JSON.stringify(document));
    const hostile = answered(text);
    expect(hostile.counts).toEqual(plain.counts);
    const told = (answer: typeof plain) =>
      answer.rules.map(({ rule, pass, fail, undetermined }) => [rule, pass, fail, undetermined]);
    expect(told(hostile)).toEqual(told(plain));
    const nodes = hostile.facts?.nodes as { id: string }[];
    for (const id of renamed.values()) expect([...nodes.map((node) => node.id), ...pipeIds(hostile)]).toContain(id);
    expect(Object.getOwnPropertyNames(Object.prototype).sort()).toEqual(before);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  test("pass the command line", () => {
    const { status, stdout } = byCommandLine(text);
    expect(status).toBe(1);
    expect(JSON.parse(stdout).counts).toEqual(answered(text).counts);
  });

  test("do no harm as names of fields either", () => {
    const result = byLibrary('{"format":1,"id":"a","__proto__":{"polluted":true},"constructor":1}');
    expect(result.ok).toBe(false);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });
});

const pipeIds = (answer: ReturnType<typeof answered>): string[] =>
  ((answer.facts?.pipes ?? []) as { id: string }[]).map(({ id }) => id);

describe("400 000 nested brackets", () => {
  const text = nestedBrackets(400_000);

  test("are refused by their depth, before anything parses them", async () => {
    const bytes = new TextEncoder().encode(text);
    const read = readJson(bytes);
    // what goes over nothing twice takes no longer than a flat list of as many bytes does
    const flat = new TextEncoder().encode(`[${"0,".repeat(bytes.length / 2 - 1)}0]`);
    expect(await leastOf(5, () => readJson(bytes))).toBeLessThan(10 * (await leastOf(5, () => readJson(flat))));
    expect(read).toMatchObject({ ok: false, problem: { code: "too-deep" } });
  });

  test("make the command line end with status 2", () => {
    const { status, stdout, stderr, milliseconds } = byCommandLine(text);
    expect(status).toBe(2);
    expect((stdout + stderr).length).toBeLessThan(10_000);
    expect(milliseconds).toBeLessThan(quickProcess);
  });

  test("are caught inside a document too", () => {
    const document = JSON.stringify(smallTower()).replace('"site":', `"site":${nestedBrackets(400_000)},"was":`);
    expect(readJson(new TextEncoder().encode(document))).toMatchObject({ ok: false, problem: { code: "too-deep" } });
  });
});
