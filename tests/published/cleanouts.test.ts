import { describe, expect, it } from "vitest";
import { audit } from "../../src/core/index.js";

// What the plumbing codes ask of cleanouts, as published extracts of them say, against `access.cleanout`.

interface Drain {
  /** ft between the pan and the parts in turn, and on to the outlet */
  readonly lengths: readonly number[];
  readonly parts: readonly (number | "cleanout")[];
  readonly profile: unknown;
  readonly size?: number;
  /** nobody gets at the pan, so that it is no point to work from */
  readonly panShut?: boolean;
  /** tools can be fed up the open end */
  readonly endOpen?: boolean;
}

/** A drain 1/4 in per ft down from a pan; a number stands for a bend of so many degrees in plan. */
const outcome = ({ lengths, parts, profile, size = 1, panShut = false, endOpen = false }: Drain) => {
  let elevation = 100;
  const kinds = [
    { kind: "fan-coil", coolingCapacity: 2, panStatic: 0, accessible: !panShut },
    ...parts.map((part) => (part === "cleanout" ? { kind: "cleanout", capped: true } : { kind: "bend", angle: part })),
    { kind: "outlet", discharge: "floor-sink", connection: "air-gap", airGap: 3, accessible: endOpen },
  ];
  const nodes = kinds.map((node, k) => {
    if (k > 0) elevation -= lengths[k - 1]! / 48;
    return { id: `n${k}`, elevation, ...node };
  });
  const pipes = lengths.map((length, k) => ({
    id: `p${k}`,
    from: `n${k}`,
    to: `n${k + 1}`,
    length,
    size,
    material: "pvc-sch40",
  }));
  const answer = audit({ format: 1, id: "drain", units: "us", profile, stage: "design", nodes, pipes });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const finding = answer.audit.findings.find(({ rule }) => rule === "access.cleanout");
  const row = answer.audit.rules.find(({ rule }) => rule === "access.cleanout");
  return {
    outcome: row?.outcome,
    sources: finding?.sources ?? [],
    added: finding?.remedy.map(({ amount }) => Math.round((amount ?? 0) / 0.3048)),
  };
};
const code = (base: string, overrides: Record<string, unknown> = {}) => ({ base, overrides });
/** Tools that go any way, so that the code's spacing alone decides. */
const UPC_ALONE = code("upc", { "access.reach": 1000, "access.reachTurn": 3600 });

describe("UPC 707.4 (editions 2012, 2015 and 2024 as quoted)", () => {
  it("row 139: 250 ft straight ask for the upper terminal and for each further 100 ft or fraction (medium)", () => {
    const straight = (parts: readonly "cleanout"[], lengths: readonly number[]) =>
      outcome({ parts, lengths, profile: UPC_ALONE });
    expect(straight(["cleanout", "cleanout"], [100, 100, 50]).outcome).toBe("pass");
    expect(straight(["cleanout"], [100, 150])).toMatchObject({ outcome: "fail", added: [100] });
    // Three intervals begin where the pan cannot be got at: at the upper end, after 100 ft and after 200 ft.
    const shut = outcome({ parts: [], lengths: [250], profile: UPC_ALONE, panShut: true, endOpen: true });
    expect(shut).toMatchObject({ outcome: "fail", added: [0, 100, 200] });
    expect(shut.sources).toContain("upc-707.4");
  });
  it.each([
    [[90, 45], "pass"],
    [[90, 46], "fail"],
  ] as const)("row 140: turns of %j between two cleanouts: %s (high)", (parts, said) => {
    expect(outcome({ parts, lengths: [4, 4, 4], profile: UPC_ALONE }).outcome).toBe(said);
  });
  it("row 141: a horizontal drain under 5 ft needs none (high)", () => {
    const drain = { parts: [], profile: "upc", panShut: true };
    expect(outcome({ ...drain, lengths: [4.9] }).outcome).toBe("not-applicable");
    expect(outcome({ ...drain, lengths: [5.1] }).outcome).toBe("fail");
  });
});

describe("IPC 708.1 as a firm's own figures over the IMC profile, whose 307.2.5 asks for cleaning without cutting only", () => {
  it.each([
    [45, "pass"],
    [46, "fail"],
  ] as const)("row 142, 708.1.4: a turn of %i° past the last cleanout: %s (2018, high)", (angle, said) => {
    const profile = code("imc", { "access.maximumTurn": 45 });
    expect(outcome({ parts: [angle], lengths: [4, 4], profile }).outcome).toBe(said);
    // Without the firm's figure the tool's reach alone decides.
    expect(outcome({ parts: [angle], lengths: [4, 4], profile: "imc" }).outcome).toBe("pass");
  });
  it("row 143, 708.1.4: one cleanout serves two bends of 90° 35 ft apart (2018, high)", () => {
    const two = { parts: ["cleanout", 90, 90], lengths: [1, 1, 35, 4], profile: "imc", panShut: true } as const;
    expect(outcome(two).outcome).toBe("pass");
    expect(outcome({ ...two, parts: [0, 90, 90] }).outcome).toBe("fail");
  });
  it.each([
    [50, "pass"],
    [50.1, "fail"],
  ] as const)("row 144, Chicago: a 3 in drain %f ft long below its cleanout: %s (high)", (length, said) => {
    const profile = code("imc", { "access.maximumLength": "50 ft", "access.reach": 1000 });
    expect(outcome({ parts: [], lengths: [length], size: 3, profile }).outcome).toBe(said);
  });
});

describe("IMC 307.2.5 as quoted", () => {
  it("row 145: a drain that must be cut to be cleared fails (high)", () => {
    const shut = outcome({ parts: [], lengths: [10], profile: "imc", panShut: true });
    expect(shut.outcome).toBe("fail");
    expect(shut.sources).toContain("imc-307.2.5");
    expect(outcome({ parts: ["cleanout"], lengths: [5, 5], profile: "imc", panShut: true }).outcome).toBe("pass");
  });
});
