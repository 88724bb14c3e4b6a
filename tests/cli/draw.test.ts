// What `drainward draw` prints, and how it ends.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { run } from "../../src/cli/run.js";
import { drawPath, drawRiser } from "../../src/core/index.js";
import { failing, giving, type Scene, scene } from "./fakes.js";

const written = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), "utf8");
const BOATHOUSE = written("fixtures/buildings/three-coils.json");
const house = JSON.parse(BOATHOUSE);

const svgOf = (made: ReturnType<typeof drawRiser>): string => {
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.svg;
};
const called = async (args: readonly string[], { files, ...surroundings }: Scene = {}) => {
  const { around, stdout, stderr } = scene({ files: { "house.json": BOATHOUSE, ...files }, ...surroundings });
  const status = await run(["draw", ...args], around);
  return { status, stdout: stdout.text, stderr: stderr.text };
};

describe("draw", () => {
  it.each<[string[], string]>([
    [["riser", "house.json"], svgOf(drawRiser(house))],
    [["riser", "house.json", "--fan-coil", "FC-2"], svgOf(drawRiser(house, { highlight: { fanCoil: "FC-2" } }))],
    [
      ["riser", "house.json", "--blocked-pipe", "M-d"],
      svgOf(drawRiser(house, { highlight: { blocked: { pipe: "M-d" } } })),
    ],
    [
      ["riser", "house.json", "--blocked-node", "T-2"],
      svgOf(drawRiser(house, { highlight: { blocked: { node: "T-2" } } })),
    ],
    [
      ["riser", "house.json", "--finding", "seal.missing~f:FC-3", "--width", "500"],
      svgOf(drawRiser(house, { highlight: { finding: "seal.missing~f:FC-3" }, width: 500 })),
    ],
    [["path", "house.json", "--fan-coil", "FC-2"], svgOf(drawPath(house, { fanCoil: "FC-2" }))],
    [
      ["path", "house.json", "--fan-coil", "FC-2", "--blocked-pipe", "M-d", "--width", "900"],
      svgOf(drawPath(house, { fanCoil: "FC-2", blocked: { pipe: "M-d" }, width: 900 })),
    ],
  ])("%j prints what the library draws, and nothing else", async (args, expected) => {
    expect(await called(args)).toEqual({ status: 0, stdout: expected, stderr: "" });
  });

  it("reads standard input too", async () => {
    const stdin = () => giving(BOATHOUSE.slice(0, 7), BOATHOUSE.slice(7));
    const expected = { status: 0, stdout: svgOf(drawRiser(house)), stderr: "" };
    for (const file of [["-"], []]) expect(await called(["riser", ...file], { stdin: stdin() })).toEqual(expected);
  });

  it("prints the pictures of docs/looking.md by the commands that stand there", async () => {
    const page = written("docs/looking.md");
    const commands = [...page.matchAll(/^node dist\/main\/cli\.js draw (.+) > (\S+)$/gm)];
    expect(commands.length).toBe(3);
    for (const [, words, file] of commands) {
      const args = words!.split(" ");
      const files = { [args[1]!]: written(args[1]!) };
      expect(await called(args, { files }), file).toEqual({
        status: 0,
        stdout: written(`docs/looking/${file}`),
        stderr: "",
      });
    }
  });

  it.each<[string[], Scene, string]>([
    [["riser", "house.json", "--fan-coil", "FC-22"], {}, 'Hint: did you mean "FC-2"?'],
    [["riser", "house.json", "--blocked-pipe", "M-2"], {}, 'Hint: it is a node: write { "node": … }'],
    [["riser", "house.json", "--riser", "SINK"], {}, "/riser"],
    [["riser", "house.json", "--fan-coil", "FC-1", "--finding", "x"], {}, "fanCoil and finding are both named"],
    [["riser", "house.json", "--blocked-pipe", "M-d", "--blocked-node", "T-2"], {}, "error: name what blocks, by"],
    [["riser", "house.json", "--width", "12"], {}, "error: "],
    [["path", "house.json"], {}, "error: required option '--fan-coil <id>' not specified"],
    [["path", "house.json", "--fan-coil", "M-2"], {}, "the network has no fan coil"],
    [["riser", "absent.json"], {}, "drainward: absent.json: no such file\n"],
    [["riser", "bad.json"], { files: { "bad.json": '{"format": 1' } }, "bad.json"],
    [["riser", "bad.json"], { files: { "bad.json": BOATHOUSE.replace('"design"', '"dream"') } }, "/network/stage"],
    [["riser"], { stdin: failing("EIO") }, "standard input"],
  ])("%j is refused with a word on what is wrong, and prints no picture", async (args, more, word) => {
    const asked = await called(args, more);
    expect(asked.status).toBe(2);
    expect(asked.stdout).toBe("");
    expect(asked.stderr).toContain(word);
  });
});
