import fc from "fast-check";
import { afterEach, describe, expect, it } from "vitest";
import { acceptors } from "../../../src/core/network/accept.js";
import { expand } from "../../../src/core/network/expand.js";
import { readJson } from "../../../src/core/network/json.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { NetworkDocument, networkSchema } from "../../../src/core/network/schema.js";
import { one, riser } from "./riser-of-placements.js";
import { soundDocument } from "./sound-document.js";

const prototypeBefore = Object.getOwnPropertyNames(Object.prototype).sort().join();
afterEach(() => {
  expect(Object.getOwnPropertyNames(Object.prototype).sort().join()).toBe(prototypeBefore);
  expect(Object.keys({})).toEqual([]);
});

/** Values that have broken programs before. */
const naughty: fc.Arbitrary<unknown> = fc.oneof(
  fc.constantFrom<unknown>(
    null,
    true,
    false,
    0,
    -0,
    1,
    -1,
    2,
    1e308,
    -1e308,
    5e-324,
    Number.MAX_SAFE_INTEGER + 1,
    Number.POSITIVE_INFINITY,
    Number.NaN,
    "",
    " ",
    "__proto__",
    "constructor",
    "toString",
    "F-1",
    "J-1",
    "J-1/vent",
    "L2",
    "vent",
    "derived",
    "3/4 in",
    "1/0 in",
    "−0.5 inH2O",
    "1e999 m",
    "\ud800",
    "a\u0000b",
    "\u202eabc",
    "x".repeat(200),
    [],
    {},
    [[]],
    { floor: "L2", above: 1 },
    { node: "J-1", above: 0 },
    { node: "__proto__", above: "1 m" },
  ),
  fc.jsonValue({ maxDepth: 2 }),
);
const fields = [
  "id",
  "kind",
  "elevation",
  "grade",
  "length",
  "size",
  "from",
  "to",
  "role",
  "fromInvert",
  "toInvert",
  "x",
  "y",
  "vent",
  "cleanout",
  "tolerance",
  "pan",
  "panStatic",
  "fanPosition",
  "inletDrop",
  "auxiliaryPan",
  "circuit",
  "devices",
  "stops",
  "at",
  "tripElevation",
  "__proto__",
  "constructor",
  "units",
  "stage",
  "profile",
  "nodes",
  "pipes",
  "floors",
  "owners",
  "site",
  "oops",
  "typical",
  "joins",
  "set",
  "repeat",
  "joints",
  "main",
  "coil",
  "typicals",
  "placements",
];

/** Containers of a JSON value, outermost first. */
const containers = (value: unknown, found: object[] = []): object[] => {
  if (typeof value !== "object" || value === null) return found;
  found.push(value);
  for (const each of Object.values(value)) containers(each, found);
  return found;
};
const put = (target: object, key: string, value: unknown): void => {
  Object.defineProperty(target, key, { value, enumerable: true, configurable: true, writable: true });
};

type Mutation = readonly [at: number, how: number, field: string, value: unknown];
const mutations = fc.array(
  fc.tuple(fc.nat(), fc.nat({ max: 3 }), fc.constantFrom(...fields), naughty) as fc.Arbitrary<Mutation>,
  { minLength: 1, maxLength: 4 },
);
const mutated = (steps: readonly Mutation[], from: unknown = soundDocument()): unknown => {
  const document: unknown = structuredClone(from);
  for (const [at, how, field, drawn] of steps) {
    // a value put in twice must not be one object, which could come to hold itself
    const value: unknown = structuredClone(drawn);
    const all = containers(document);
    const target = all[at % all.length];
    const keys = Object.keys(target);
    const known = keys[at % Math.max(1, keys.length)];
    if (Array.isArray(target)) {
      if (how === 0) target.splice(at % (target.length + 1), 1);
      else target.splice(at % (target.length + 1), how === 1 ? 1 : 0, value);
    } else if (how === 0 && known !== undefined) Reflect.deleteProperty(target, known);
    else if (how === 1 && known !== undefined) put(target, known, value);
    else put(target, field, value);
  }
  return document;
};

const sane = (document: unknown): void => {
  const read = readNetwork(document);
  if (read.ok) {
    for (const { elevation } of read.model.nodes) expect(elevation).toSatisfy(Number.isFinite);
    for (const { fromInvert, toInvert, length, from, to } of read.model.pipes) {
      expect([fromInvert, toInvert, length].every(Number.isFinite)).toBe(true);
      expect(from >= 0 && to >= 0 && from !== to).toBe(true);
    }
    return;
  }
  expect(read.total).toBeGreaterThan(0);
  expect(read.problems.length).toBe(Math.min(read.total, 100));
  for (const { pointer, code, detail } of read.problems) {
    expect(pointer).toMatch(/^(\/([^/~]|~[01])*)*$/u);
    expect(code).toMatch(/^[a-z]+(-[a-z]+)*$/);
    expect(detail.length).toBeGreaterThan(0);
    expect(detail.length).toBeLessThan(500);
  }
};

describe("any input", () => {
  it("is read or refused, never thrown at", () => {
    fc.assert(fc.property(fc.jsonValue({ maxDepth: 4 }), sane), { numRuns: 500 });
  });

  it("that was a sound document is read or refused", () => {
    fc.assert(
      fc.property(mutations, (steps) => sane(mutated(steps))),
      { numRuns: 1000 },
    );
  });

  it("that was a sound document with placements is read or refused, and expanded or refused alike", () => {
    const repeated = {
      ...one,
      id: "B-{floor}",
      joins: undefined,
      repeat: { floors: ["L2", "L3"], joins: { main: "R-{floor}" } },
    };
    const from = JSON.parse(
      JSON.stringify(riser([{ ...one, set: { coil: { panStatic: -100 } }, origin: [1, 2] }, repeated])),
    ) as unknown;
    expect(readNetwork(from).ok).toBe(true);
    fc.assert(
      fc.property(mutations, (steps) => {
        const document = mutated(steps, from);
        sane(document);
        const expanded = expand(document);
        expect(expanded.ok).toBe(readNetwork(document).ok);
        if (expanded.ok) expect(readNetwork(expanded.document)).toMatchObject({ ok: true });
      }),
      { numRuns: 1000 },
    );
  });

  it("is accepted by the quick validator exactly where the full schema accepts it", () => {
    let accepted = 0;
    fc.assert(
      fc.property(mutations, (steps) => {
        const document = mutated(steps);
        const quick = acceptors().whole(document);
        if (quick) accepted += 1;
        expect(NetworkDocument.safeParse(document).success).toBe(quick);
      }),
      { numRuns: 1000 },
    );
    expect(accepted).toBeGreaterThan(10);
  });
});

describe("the schema", () => {
  it("describes every field and shows an example of it, which it accepts", () => {
    const missing: string[] = [];
    const walk = (schema: Record<string, unknown>, path: string): void => {
      const properties = (schema.properties ?? {}) as Record<string, Record<string, unknown>>;
      for (const [name, field] of Object.entries(properties)) {
        if (typeof field.description !== "string" || !Array.isArray(field.examples) || field.examples.length === 0)
          missing.push(`${path}/${name}`);
        walk(field, `${path}/${name}`);
      }
      for (const key of ["items", "anyOf", "oneOf"] as const)
        for (const inner of [schema[key] ?? []].flat() as Record<string, unknown>[]) walk(inner, `${path}/${key}`);
    };
    walk(networkSchema(), "");
    expect(missing).toEqual([]);
  });

  it("bounds every text and list", () => {
    const unbounded: string[] = [];
    const walk = (schema: unknown, path: string): void => {
      if (typeof schema !== "object" || schema === null) return;
      const node = schema as Record<string, unknown>;
      const types = [node.type].flat();
      if (
        types.includes("string") &&
        node.enum === undefined &&
        node.const === undefined &&
        node.maxLength === undefined
      )
        unbounded.push(path);
      if (types.includes("array") && node.maxItems === undefined) unbounded.push(path);
      if (types.includes("object") && node.properties !== undefined && node.additionalProperties !== false)
        unbounded.push(path);
      for (const [key, value] of Object.entries(node)) if (key !== "examples") walk(value, `${path}/${key}`);
    };
    walk(networkSchema(), "");
    expect(unbounded).toEqual([]);
  });
});

/** A junction main with a coil at its head and an outlet at its foot. */
const chain = (pipes: number): { nodes: Record<string, unknown>[]; pipes: Record<string, unknown>[] } => {
  const nodes: Record<string, unknown>[] = [];
  const list: Record<string, unknown>[] = [];
  for (let i = 0; i <= pipes; i += 1)
    nodes.push({
      id: `N-${i}`,
      kind: i === 0 ? "fan-coil" : i === pipes ? "outlet" : "point",
      elevation: 100 - i * 1e-4,
    });
  for (let i = 0; i < pipes; i += 1) list.push({ id: `P-${i}`, from: `N-${i}`, to: `N-${i + 1}`, size: 25, length: 1 });
  return { nodes, pipes: list };
};
const head = { format: 1, id: "a", units: "si", profile: "imc", stage: "design" };
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const asText = (text: string) => {
  const json = readJson(bytes(text));
  if (!json.ok) return json.problem.code;
  const read = readNetwork(json.value);
  return read.ok ? "ok" : [...new Set(read.problems.map(({ code }) => code))].sort().join(" ");
};
const sound = JSON.stringify({ ...head, ...chain(2) });

/** The sound document with something else for its first level. */
const level = (text: string): string => sound.replace('"elevation":100}', `"elevation":${text}}`);

describe("poison", () => {
  it.each([
    ["a sound one", sound, "ok"],
    ["1e999 for a level", level("1e999"), "not-finite"],
    ["1e308 for a level", level("1e308"), "absurd-number"],
    ["−0 for a coordinate", level('100,"x":-0'), "ok"],
    ["a number of ten thousand digits", level("9".repeat(10_000)), "not-finite"],
    ["a fraction of ten thousand digits", level(`100.${"0".repeat(10_000)}1`), "ok"],
    ["__proto__ as an id throughout", sound.replaceAll("N-1", "__proto__").replaceAll("P-1", "constructor"), "ok"],
    ["ids that look alike", sound.replaceAll('"N-1"', '"\u039d-1"'), "ok"],
    ["one id of two that look alike", sound.replace('"N-1"', '"\u039d-1"'), "unknown-reference"],
    ["a direction mark in an id", sound.replaceAll("N-1", "N\u202e-1"), "bad-text"],
    ["NUL in an id", sound.replaceAll("N-1", "N\\u0000-1"), "bad-text"],
    ["a lone surrogate in an id", sound.replaceAll("N-1", "N\\ud800-1"), "bad-text"],
    ["a key twice", sound.replace('"units"', '"units":"us","units"'), "duplicate-key"],
    ["nesting by the hundred thousand", level("[".repeat(400_000)), "too-deep"],
    ["a self-loop", sound.replace('"to":"N-1"', '"to":"N-0"'), "self-loop"],
    ["no outlet", sound.replace("outlet", "point"), "no-outlet"],
    ["no coil", sound.replace("fan-coil", "point"), "no-fan-coil"],
    ["a list where the document should be", `[${sound}]`, "wrong-type"],
  ])("%s", (_, text, expected) => {
    expect(asText(text)).toBe(expected);
  });

  it("reads a chain of 100 000 pipes, also where each level hangs on the next", () => {
    const document = { ...head, ...chain(100_000) };
    expect(readNetwork(document).ok).toBe(true);
    for (const node of document.nodes.slice(1)) delete node.elevation;
    for (const pipe of document.pipes) pipe.grade = 1e-4;
    expect(readNetwork(document).ok).toBe(true);
  });

  it("reads a star of 40 000 pipes", () => {
    const document = { ...head, ...chain(2) };
    document.nodes[1].vent = { top: { node: "N-1", above: 1 } };
    for (let i = 0; i < 40_000; i += 1) {
      document.nodes.push({ id: `S-${i}`, kind: "point", elevation: 101 });
      document.pipes.push({ id: `SP-${i}`, from: `S-${i}`, to: "N-1", length: 2 });
    }
    expect(readNetwork(document).ok).toBe(true);
  });

  it("reads 40 000 parallel pipes: a finding for the audit, not a problem", () => {
    const document = { ...head, ...chain(2) };
    for (let i = 0; i < 40_000; i += 1) document.pipes.push({ id: `X-${i}`, from: "N-0", to: "N-1", length: 1 });
    expect(readNetwork(document).ok).toBe(true);
  });

  it("counts 200 000 bad rows and keeps a hundred", () => {
    const document = { ...head, ...chain(2) };
    for (let i = 0; i < 200_000; i += 1)
      document.pipes.push({ id: `X-${i}`, from: "N-0", to: "N-1", length: null, oops: i });
    const read = readNetwork(document);
    expect(read).toMatchObject({ ok: false, total: 400_000 });
    if (!read.ok) expect(JSON.stringify(read.problems).length).toBeLessThan(30_000);
  });

  it("is not misled where the listed problems hide one that makes a field unusable", () => {
    const document: Record<string, unknown> = { ...head, ...chain(2) };
    for (let i = 0; i < 150; i += 1) document[`oops${i}`] = 1;
    for (const field of ["site", "floors", "owners", "nodes", "profile", "circuits", "overflowDevices"])
      for (const value of [7, null, { indoorAir: 3 }, [null, 3]])
        expect(readNetwork({ ...document, [field]: value })).toMatchObject({ ok: false });
  });

  it("takes values of any depth", () => {
    let deep: unknown = [];
    for (let i = 0; i < 100_000; i += 1) deep = [deep];
    const placed = riser([{ ...one, set: { coil: { name: deep } } }]);
    expect(readNetwork(placed)).toMatchObject({ ok: false });
    for (const field of ["oops", "site", "nodes", "typicals", "placements", "profile"])
      expect(readNetwork({ ...head, ...chain(2), [field]: deep })).toMatchObject({ ok: false });
  });

  it("counts 100 000 unknown references and keeps a hundred", () => {
    const document = { ...head, ...chain(50_000) };
    for (const pipe of document.pipes) {
      pipe.from = `Q${String(pipe.from)}`;
      pipe.to = `Q${String(pipe.to)}`;
    }
    expect(readNetwork(document)).toMatchObject({ ok: false, total: 100_000 });
  });
});
