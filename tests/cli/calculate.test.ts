// What `drainward calculate` hands to the library, by what the answer says that it was given.
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { calculate } from "../../src/core/index.js";
import { giving, type Scene, scene } from "./fakes.js";

const called = async (args: readonly string[], surroundings: Scene = {}) => {
  const { around, stdout, stderr } = scene(surroundings);
  const status = await run(["calculate", ...args], around);
  return { status, stdout: stdout.text, stderr: stderr.text };
};
const answered = async (args: readonly string[], surroundings: Scene = {}) => {
  const { status, stdout, stderr } = await called([...args, "--format", "json"], surroundings);
  expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
  return JSON.parse(stdout);
};
const TRAP = ["trap", "panStatic=-250Pa", "fanPosition=draw-through"];

describe("calculate", () => {
  it("prints as JSON what the library answers to the same inputs", async () => {
    const made = calculate("trap", { panStatic: "-250Pa", fanPosition: "draw-through", sealDepth: "30 mm" });
    expect(await answered([...TRAP, "sealDepth=30 mm"])).toEqual(made.ok ? made.calculation : null);
  });

  it("prints a calculation sheet unless asked for JSON", async () => {
    const { status, stdout } = await called([...TRAP, "sealDepth=30 mm"]);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^Water seal of a fan coil\n\nInputs\n {2}panStatic p +-250 Pa \(-1\.004 inH2O\)\n/);
  });

  it.each([
    ["a bare number is SI base", ["trap", "panStatic=-250", "fanPosition=draw-through", "drop=.05"], { drop: 0.05 }],
    ["a unit of the other system", [...TRAP, "drop=2 in"], { drop: 0.0508 }],
    [
      "a list with commas",
      ["air-lock", "sealDepths=50mm, 0.03", "toOutlet=0", "toSpill=1"],
      { sealDepths: [0.05, 0.03] },
    ],
    ["a list of one", ["air-lock", "sealDepths=50mm", "toOutlet=0", "toSpill=1"], { sealDepths: [0.05] }],
    ["a list of none", ["air-lock", "sealDepths=", "toOutlet=0", "toSpill=1"], { sealDepths: [] }],
    [
      "a list as JSON",
      ["air-lock", 'sealDepths=["50 mm",0.03]', "toOutlet=0", "toSpill=1"],
      { sealDepths: [0.05, 0.03] },
    ],
    [
      "an air state in parts",
      ["moist-air", "air.dryBulb=77degF", "air.relativeHumidity=0.5"],
      { air: { dryBulb: 25, relativeHumidity: 0.5 } },
    ],
    [
      "an air state as JSON",
      ["moist-air", 'air={"dryBulb":25,"dewPoint":"10 degC"}'],
      { air: { dryBulb: 25, dewPoint: 10 } },
    ],
    [
      "true",
      ["pipe-volume", "insideDiameter=0.1", "length=3", "vertical=true", "levelAboveLowInvert=1"],
      { vertical: true },
    ],
    ["what holds an equals sign after the first", [...TRAP, "drop=40mm"], { drop: 0.04 }],
  ])("takes %s", async (_said, args, inputs) => {
    expect((await answered(args)).inputs).toMatchObject(inputs);
  });

  const file = { panStatic: "-250 Pa", fanPosition: "draw-through", drop: "2 in" };
  it("reads a file, standard input named or not, and puts arguments before them", async () => {
    const fromFile = await answered(["trap", "in.json"], { files: { "in.json": file } });
    expect(fromFile.inputs.drop).toBe(0.0508);
    const text = JSON.stringify(file);
    expect(await answered(["trap", "-"], { stdin: giving(text) })).toEqual(fromFile);
    expect(await answered(["trap"], { stdin: giving(text.slice(0, 9), text.slice(9)) })).toEqual(fromFile);
    const both = await answered(["trap", "drop=40mm", "in.json"], { files: { "in.json": file } });
    expect(both.inputs).toMatchObject({ panStatic: -250, drop: 0.04 });
  });

  it("tells every problem, on the error stream as text and in the answer's place as JSON", async () => {
    const bad = ["trap", "panStatc=-250Pa", "fanPosition=draw-thru"];
    const text = await called(bad);
    expect([text.status, text.stdout]).toEqual([2, ""]);
    expect(text.stderr).toContain("the command line does not hold what trap takes: 3 problems\n");
    expect(text.stderr).toContain("Hint: did you mean panStatic?");
    const json = await called([...bad, "--format", "json"]);
    expect(json.status).toBe(2);
    const { file: label, problem } = JSON.parse(json.stdout);
    expect(label).toBe("the command line");
    expect(problem).toMatchObject({ code: "invalid-inputs", total: 3 });
    expect(problem.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
      "/panStatc",
      "/panStatic",
      "/fanPosition",
    ]);
  });

  it.each([
    [["trp"], {}, "error: there is no calculation 'trp' (did you mean trap?)"],
    [["trap", "panStatic"], {}, "error: 'panStatic' is neither an input (name=value) nor a file"],
    [["trap", "a", "b"], { files: { a: {}, b: {} } }, "error: give one file of inputs"],
    [["trap", "drop=1", "drop=2"], {}, "error: drop is given twice"],
    [["moist-air", "air.dryBulb=1", "air.dryBulb=2"], {}, "error: air.dryBulb is given twice"],
    [["moist-air", "air={}", "air.dryBulb=2"], {}, "error: air.dryBulb is given twice"],
    [["moist-air", "air.dryBulb=2", "air={}"], {}, "error: air is given twice"],
    [["trap"], { stdin: giving("") }, "drainward: standard input: is empty"],
    [["trap"], { stdin: giving("{") }, "standard input is not a JSON document that can be read: 1 problem"],
    [["trap", "-"], { stdin: giving("[]") }, "standard input does not hold what trap takes: 1 problem"],
    [["trap", "__proto__=1", "panStatic=-1", "fanPosition=draw-through"], {}, 'unknown field "__proto__"'],
    [["moist-air", "air.__proto__=1", "air.dryBulb=2"], {}, "/air/__proto__"],
    [["trap", "a.b=1", "panStatic=-1", "fanPosition=draw-through"], {}, 'unknown field "a.b"'],
    [["moist-air", 'air={"dryBulb":1,'], {}, "an air state is wanted"],
    [["trap", "panStatic=1e999", "fanPosition=draw-through"], {}, "not a finite number"],
    [["trap", "=1", "panStatic=-1", "fanPosition=draw-through"], {}, 'unknown field ""'],
  ])("%j is bad input", async (args, surroundings, said) => {
    const { status, stdout, stderr } = await called(args, surroundings);
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(said);
  });

  it("lists the calculations, and shows one in full", async () => {
    const { around, stdout } = scene();
    expect(await run(["calculations"], around)).toBe(0);
    expect(stdout.text.split("\n")).toHaveLength(11);
    expect(stdout.text).toContain("trap                  Water seal of a fan coil\n");
    const one = scene();
    expect(await run(["calculations", "trap"], one.around)).toBe(0);
    expect(one.stdout.text).toContain("  - name: panStatic\n");
  });
});
