import { describe, expect, test } from "vitest";
import { speakerFor } from "../../../src/core/audit/speaker.js";
import { compile } from "../../../src/core/graph/compile.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { resolveProfile } from "../../../src/core/profiles/resolve-profile.js";

// Levels in metres, written with their unit so that one document serves both unit systems.
const documentIn = (units: "si" | "us", profile: string) => ({
  format: 1,
  id: "saltmarsh-row",
  units,
  profile,
  stage: "design",
  floors: [
    { id: "L4", name: "Level 4", elevation: "12 m" },
    { id: "L3", elevation: "9 m" },
  ],
  nodes: [
    { id: "F-1", kind: "fan-coil", name: "Sewing room", floor: "L4", elevation: "14.75 m" },
    { id: "M-1", kind: "point", floor: "L3", elevation: "14.7 m" },
    { id: "N-1", kind: "point", name: "Bracket 7", elevation: "14.65 m" },
    { id: "O-1", kind: "outlet", elevation: "14.6 m", discharge: "floor-drain", connection: "air-gap" },
  ],
  pipes: [
    { id: "P-1", from: "F-1", to: "M-1", size: "3/4 in", material: "pvc-sch40", length: "2 m" },
    { id: "P-2", from: "M-1", to: "N-1", size: "3/4 in", material: "pvc-sch40", length: "2 m" },
    { id: "P-3", from: "N-1", to: "O-1", size: "3/4 in", material: "pvc-sch40", length: "2 m" },
  ],
});

const speakerIn = (units: "si" | "us", profile: string) => {
  const read = readNetwork(documentIn(units, profile));
  if (!read.ok) throw new Error(JSON.stringify(read.problems, null, 1));
  const resolved = resolveProfile(profile, {}, units);
  if (!resolved.ok) throw new Error(JSON.stringify(resolved.problems));
  const net = compile(read.model);
  const at = (id: string) => net.nodes.findIndex((node) => node.id === id);
  const pipeAt = (id: string) => net.pipes.findIndex((pipe) => pipe.id === id);
  return { speak: speakerFor(net, resolved.profile), at, pipeAt };
};

const si = speakerIn("si", "imc");
const us = speakerIn("us", "imc");
const metric = speakerIn("si", "metric");

describe("figures", () => {
  // 1 in = 25.4 mm, 1 ft = 0.3048 m exactly (NIST SP 811, appendix B).
  test.each([
    ["dimension", 0.0254, "25.4 mm", "1 in"],
    ["length", 3.048, "3.048 m", "10 ft"],
    ["grade", 1 / 96, "1.04 %", "0.125 in/ft (1.04 %)"],
  ] as const)("a %s is said in the document's units", (kind, value, inSi, inUs) => {
    expect(si.speak.figure(value, kind)).toBe(inSi);
    expect(us.speak.figure(value, kind)).toBe(inUs);
  });

  test("round to the side that was asked for", () => {
    expect(si.speak.figure(0.00996, "grade", "down")).toBe("0.99 %");
    expect(si.speak.figure(0.00996, "grade", "up")).toBe("1.00 %");
  });

  test("never print like the limit that they miss", () => {
    expect(si.speak.against(0.00996, 0.01, "grade")).toEqual({ figure: "0.99 %", limit: "1.00 %" });
    const close = us.speak.against(0.009999, 0.01, "grade");
    expect(close.figure).not.toBe(close.limit);
  });

  test("of a nominal size follow the profile, not the units", () => {
    expect([si, us, metric].map(({ speak }) => speak.size(32))).toEqual(["1-1/4 in", "1-1/4 in", "DN 32"]);
    expect([si, us, metric].map(({ speak }) => speak.figure(20, "size"))).toEqual(["3/4 in", "3/4 in", "DN 20"]);
  });
});

describe("levels", () => {
  test("are said in the datum and over the node's floor", () => {
    expect(si.speak.elevation(14.75, si.at("F-1"))).toBe("14.75 m (Level 4 + 2.75 m)");
    // 14.75 ÷ 0.3048 = 48.392, 2.75 ÷ 0.3048 = 9.022
    expect(us.speak.elevation(14.75, us.at("F-1"))).toBe("48.39 ft (Level 4 + 9.02 ft)");
  });
  test("may lie below it", () => {
    expect(si.speak.elevation(11.9, si.at("F-1"))).toBe("11.9 m (Level 4 − 0.1 m)");
  });
  test("go by the floor's id where it has no name", () => {
    expect(si.speak.elevation(14.7, si.at("M-1"))).toBe("14.7 m (L3 + 5.7 m)");
  });
  test("stand alone where no floor is known", () => {
    expect(si.speak.elevation(14.65, si.at("N-1"))).toBe("14.65 m");
    expect(si.speak.elevation(14.65)).toBe("14.65 m");
  });
});

describe("names", () => {
  test.each([
    ["F-1", "F-1 (Sewing room, Level 4)"],
    ["M-1", "M-1 (L3)"],
    ["N-1", "N-1 (Bracket 7)"],
    ["O-1", "O-1"],
  ])("%s is told with what is known of it", (id, said) => {
    expect(si.speak.node(si.at(id))).toBe(said);
  });
  test("a pipe is its id", () => expect(si.speak.pipe(si.pipeAt("P-2"))).toBe("P-2"));
});

describe("lists", () => {
  test.each([
    [[], ""],
    [["a"], "a"],
    [["a", "b"], "a and b"],
    [["a", "b", "c", "d"], "a, b, c and d"],
    [["a", "b", "c", "d", "e", "f"], "a, b, c, d and 2 more"],
  ] as const)("%j", (parts, said) => {
    expect(si.speak.list(parts)).toBe(said);
  });
  test("stop where they are told to", () => expect(si.speak.list(["a", "b", "c", "d"], 2)).toBe("a, b and 2 more"));
});
