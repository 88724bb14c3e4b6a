import { describe, expect, it } from "vitest";
import { type Bar, bars } from "../../src/cli/bar.js";
import { run } from "../../src/cli/run.js";
import type { Audit } from "../../src/core/index.js";
import type { Kind, Outcome, Severity } from "../../src/core/rules/rule.js";
import { auditWith, findingWith } from "../core/present/audits.js";
import { failing, giving, scene } from "./fakes.js";

const with_ = (severity: Severity, outcome: Outcome, kind: Kind = "condition", verdict: Audit["verdict"] = "faulty") =>
  auditWith({ verdict, findings: [findingWith({ severity, outcome, kind })] });
const exposed = (state: NonNullable<Audit["exposure"]>["state"]) =>
  auditWith({ exposure: { state, worst: null, pipes: state === "exposed" ? 1 : 0 } });

// Which bars an audit reaches, by the meaning of each bar: `critical` to `advice` count what fails, is a condition or a
// record and is at least so serious; `undetermined` and `exposed` count a failing major too.
const table: [string, Audit, Bar[]][] = [
  ["nothing found", auditWith(), []],
  ["a critical fails", with_("critical", "fail"), ["critical", "major", "minor", "advice", "undetermined", "exposed"]],
  ["a major fails", with_("major", "fail"), ["major", "minor", "advice", "undetermined", "exposed"]],
  ["a minor fails", with_("minor", "fail", "condition", "no-fault-found"), ["minor", "advice"]],
  ["an advice fails", with_("advice", "fail", "condition", "no-fault-found"), ["advice"]],
  ["a record fails", with_("major", "fail", "record"), ["major", "minor", "advice", "undetermined", "exposed"]],
  ["a contingency fails", with_("major", "fail", "contingency", "no-fault-found"), []],
  ["a critical is undetermined", with_("critical", "undetermined", "condition", "undetermined"), ["undetermined"]],
  ["a minor is undetermined", with_("minor", "undetermined", "condition", "no-fault-found"), []],
  ["a critical passes", with_("critical", "pass", "condition", "no-fault-found"), []],
  ["only the verdict is undetermined", auditWith({ verdict: "undetermined" }), ["undetermined"]],
  ["nothing was judged", auditWith({ verdict: "nothing-judged" }), []],
  ["the exposure is exposed", exposed("exposed"), ["exposed"]],
  ["the exposure is contained", exposed("contained"), []],
  ["the exposure is undetermined", exposed("undetermined"), []],
];

describe("the exit status where", () => {
  for (const [what, audit, reached] of table)
    it.each(bars)(`${what}, failing on %s`, async (bar) => {
      const { around } = scene({ files: { "a.json": audit } });
      expect(await run(["audit", "a.json", "--fail-on", bar], around)).toBe(reached.includes(bar) ? 1 : 0);
    });

  it("no bar is named is that of major", async () => {
    const status = (audit: Audit) => run(["audit", "a.json"], scene({ files: { "a.json": audit } }).around);
    expect(await status(with_("major", "fail"))).toBe(1);
    expect(await status(with_("minor", "fail"))).toBe(0);
  });

  const good = auditWith();
  const faulty = with_("critical", "fail");
  const files = {
    "good.json": good,
    "faulty.json": faulty,
    "bad.json": { problems: 3 },
    "text.json": "not JSON",
    "empty.json": "",
    "crash.json": { throw: true },
    folder: failing("EISDIR"),
    "locked.json": failing("EACCES"),
    "broken.json": failing("EIO"),
    "huge.json": giving(new Uint8Array(900_000), new Uint8Array(900_000)),
  };
  it.each([
    [["good.json"], 0],
    [["good.json", "good.json"], 0],
    [["good.json", "faulty.json"], 1],
    [["faulty.json", "good.json"], 1],
    [["bad.json"], 2],
    [["text.json"], 2],
    [["empty.json"], 2],
    [["crash.json"], 2],
    [["folder"], 2],
    [["locked.json"], 2],
    [["broken.json"], 2],
    [["huge.json"], 2],
    [["absent.json"], 2],
    [["none-*.json"], 2],
    [["faulty.json", "bad.json"], 2],
    [["bad.json", "faulty.json"], 2],
    [["bad.json", "good.json"], 2],
  ])("the files are %j is %i", async (args, status) => {
    expect(await run(["audit", ...args], scene({ files }).around)).toBe(status);
    expect(await run(["audit", ...args, "--format", "json"], scene({ files: { ...files } }).around)).toBe(status);
  });

  it("the bar is none is still 2 over bad input, and 0 over the worst building", async () => {
    expect(await run(["audit", "bad.json", "--fail-on", "none"], scene({ files }).around)).toBe(2);
    expect(await run(["audit", "faulty.json", "--fail-on", "none"], scene({ files }).around)).toBe(0);
  });

  it.each([
    [[]],
    [["bake"]],
    [["audit", "--format", "yaml"]],
    [["audit", "--fail-on", "high"]],
    [["audit", "--include", "pips"]],
    [["audit", "--profile", "imk"]],
    [["audit", "--width", "12"]],
    [["audit", "--width", "wide"]],
    [["audit", "--colour"]],
    [["audit", "-", "-"]],
    [["rules", "fall.revers"]],
    [["profiles", "xyz"]],
    [["materials", "one", "two"]],
  ])("the arguments are %j is 2, and says why on the error stream only", async (args) => {
    const { around, stdout, stderr } = scene({ stdin: giving(JSON.stringify(good)) });
    expect(await run(args, around)).toBe(2);
    expect(stdout.text).toBe("");
    expect(stderr.text).toMatch(/^error: .+\n/);
  });

  it.each([[["--help"]], [["audit", "--help"]], [["--version"]], [["rules"]], [["schema"]]])(
    "the arguments are %j is 0",
    async (args) => {
      const { around, stdout, stderr } = scene();
      expect(await run(args, around)).toBe(0);
      expect(stdout.text).not.toBe("");
      expect(stderr.text).toBe("");
    },
  );
});
