// Requests made from the served description: a fifth valid, two fifths valid and then spoiled, a fifth of raw bytes, a
// fifth anything the schema allows; half of them to audits, the rest to every route, with one building kept that they can
// hit. FUZZ_REQUESTS says how many, FUZZ_SEED repeats a run.
import { readFileSync } from "node:fs";
import type { InjectOptions } from "fastify";
import { afterAll, beforeAll, expect, test } from "vitest";
import { PROBLEMS, type ProblemCode } from "../../src/http/problems.js";
import { tutorialLine } from "../builders/sound-app.js";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const requests = Number(process.env.FUZZ_REQUESTS ?? 2_000);
const seed = Number(process.env.FUZZ_SEED ?? Date.now() % 2 ** 31);

type Json = null | boolean | number | string | Json[] | { [key: string]: Json };
type Schema = { readonly [key: string]: unknown };

/** A small generator of numbers in [0, 1) (mulberry32), so that a seed repeats a run on any machine. */
const makeChance = (from: number) => {
  let state = from >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  return {
    next,
    below: (limit: number) => Math.floor(next() * limit),
    pick: <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)]!,
  };
};
const chance = makeChance(seed);
const { below, pick } = chance;

const NAUGHTY: readonly string[] = [
  "",
  " ",
  "\u0000",
  "__proto__",
  "constructor",
  "prototype",
  "toString",
  "hasOwnProperty",
  "\ud800",
  "\u202e\u200b",
  "ａ",
  "a".repeat(5_000),
  "../../etc/passwd",
  "<script>",
  "'; --",
  "=1+1",
  "null",
  "NaN",
  "1e999",
  "-0",
  "1-1/4 in",
  "−0.6 inH2O",
  "DN 25",
  "1e400 m",
  "¼″",
  "🜄",
  "%00",
  "{}",
  "[]",
  "é",
  "e\u0301",
];
const NUMBERS: readonly number[] = [
  0,
  -0,
  1,
  -1,
  0.1,
  1 + Number.EPSILON,
  1 - Number.EPSILON / 2,
  5e-324,
  1e-9,
  1e9,
  1e308,
  -1e308,
  2 ** 53,
  2 ** 53 + 2,
  -(2 ** 31),
  255,
  256,
  65_536,
];

interface Operation {
  readonly parameters?: readonly { readonly name: string; readonly in: string; readonly schema: Schema }[];
  readonly requestBody?: { readonly content: Readonly<Record<string, { readonly schema: Schema }>> };
}
let stored: StoredApp;
let description: { paths: Record<string, Record<string, Operation>>; components: { schemas: Record<string, Schema> } };

/** A value that follows a schema more or less: its shape, not its patterns. */
const madeOf = (schema: Schema, depth: number): Json => {
  if (typeof schema.$ref === "string")
    return madeOf(description.components.schemas[schema.$ref.split("/").at(-1)!]!, depth);
  const branches = (schema.oneOf ?? schema.anyOf) as readonly Schema[] | undefined;
  if (branches !== undefined) return madeOf(pick(branches), depth);
  if (schema.const !== undefined) return schema.const as Json;
  if (Array.isArray(schema.enum)) return pick(schema.enum as Json[]);
  const type = Array.isArray(schema.type) ? pick(schema.type as string[]) : schema.type;
  if (type === "object") {
    const properties = Object.entries((schema.properties ?? {}) as Record<string, Schema>);
    const required = new Set((schema.required ?? []) as string[]);
    const kept = properties.filter(([name]) => required.has(name) || (depth > 0 && chance.next() < 0.3));
    return Object.fromEntries(kept.map(([name, field]) => [name, madeOf(field, depth - 1)]));
  }
  if (type === "array") {
    return Array.from({ length: depth > 0 ? below(4) : 0 }, () => madeOf((schema.items ?? {}) as Schema, depth - 1));
  }
  if (type === "number" || type === "integer") return pick(NUMBERS);
  if (type === "boolean") return chance.next() < 0.5;
  if (type === "null") return null;
  const examples = (schema.examples ?? []) as Json[];
  return chance.next() < 0.6 && examples.length > 0 ? pick(examples) : pick(NAUGHTY);
};

/** Replaces, drops, doubles or renames something somewhere inside. */
const spoil = (value: Json, times: number): Json => {
  const copy = structuredClone(value);
  for (let i = 0; i < times; i += 1) {
    let at: Json = copy;
    for (let level = below(5); level > 0; level -= 1) {
      const inner: Json[] = typeof at === "object" && at !== null ? Object.values(at) : [];
      const next = inner.filter((one) => typeof one === "object" && one !== null);
      if (next.length === 0) break;
      at = pick(next);
    }
    if (typeof at !== "object" || at === null) continue;
    const keys = Object.keys(at);
    const key = keys.length > 0 && chance.next() < 0.85 ? pick(keys) : pick(NAUGHTY);
    const wrong = pick<() => Json>([
      () => pick(NUMBERS),
      () => pick(NAUGHTY),
      () => null,
      () => [],
      () => ({}),
      () => true,
      () => structuredClone(value),
      () => Array.from({ length: below(300) }, () => pick(NAUGHTY)),
    ])();
    if (Array.isArray(at)) at[below(at.length + 1)] = chance.next() < 0.3 ? (at[0] ?? null) : wrong;
    else if (chance.next() < 0.2) delete at[key];
    else Object.defineProperty(at, key, { value: wrong, enumerable: true, configurable: true, writable: true });
  }
  return copy;
};

const buildings = ["three-coils", "tower-as-surveyed"].map(
  (name) => JSON.parse(readFileSync(new URL(`../../fixtures/buildings/${name}.json`, import.meta.url), "utf8")) as Json,
);
const small = JSON.parse(tutorialLine) as Json;

const bytes = (length: number) => Buffer.from(Array.from({ length }, () => below(256)));
const body = (): Buffer => {
  const kind = chance.next();
  if (kind < 0.2) return Buffer.from(JSON.stringify(chance.next() < 0.9 ? small : pick(buildings)));
  if (kind < 0.6)
    return Buffer.from(JSON.stringify(spoil(chance.next() < 0.97 ? small : pick(buildings), 1 + below(4))));
  if (kind < 0.8) return Buffer.from(JSON.stringify(madeOf({ $ref: "#/components/schemas/Network" }, 4)));
  const text = Buffer.from(tutorialLine);
  return pick([
    () => bytes(below(200)),
    () => text.subarray(0, below(text.length)),
    () => Buffer.concat([text.subarray(0, below(text.length)), bytes(1 + below(4)), text]),
    () => Buffer.from("[".repeat(below(2_000))),
    () => Buffer.from([0xef, 0xbb, 0xbf, ...text]),
    () => Buffer.from(tutorialLine, "utf16le"),
    () => Buffer.from(`{"nodes":${"9".repeat(10_000)}}`),
    () =>
      Buffer.from(
        tutorialLine.replace(/\d+\.?\d*/, () => pick(["1e999", "-1e999", "1E+0400", "0.".padEnd(2_000, "1")])),
      ),
  ])();
};

const METHODS = ["GET", "POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS"] as const;
const header = (usual: string, others: readonly string[]) => (chance.next() < 0.9 ? usual : pick(others));
const escaped = (text: string) => encodeURIComponent(text.replace(/[\ud800-\udfff]/g, "?")).slice(0, 2_000);

/** What a part of a path is called in the building that is kept. */
const KEPT: Readonly<Record<string, string>> = {
  id: "fall.reverse",
  name: "trap",
  building: "boathouse",
  revision: "1",
  dwelling: "1",
  fanCoil: "FC-2",
  riser: "M-1",
  pipe: "M-d",
  observation: "seen-1",
  finding: "seal.missing~n:FC-1",
};

/** A body of what a route takes: as its description says, spoiled, or bytes. */
const bodyOf = (schema: Schema, type: string): Buffer => {
  const kind = chance.next();
  const line = (): Buffer => {
    if (kind >= 0.8) return body();
    const made = madeOf(schema, 4);
    const whole = typeof made === "object" && made !== null && "network" in made ? { ...made, network: small } : made;
    return Buffer.from(JSON.stringify(kind < 0.4 ? whole : spoil(whole, 1 + below(3))));
  };
  if (!type.endsWith("ndjson")) return line();
  return Buffer.concat(Array.from({ length: below(5) }, () => Buffer.concat([line(), Buffer.from("\n")])));
};

const makeRequest = (): InjectOptions => {
  const path = chance.next() < 0.5 ? pick(["/v1/audits", "/v1/audits/stream"]) : pick(Object.keys(description.paths));
  const [declared, operation] = pick(Object.entries(description.paths[path]!));
  const method = chance.next() < 0.92 ? (declared.toUpperCase() as "GET" | "POST") : pick(METHODS);
  // the one building is not to go
  const spared = method === "DELETE" && path.endsWith("{building}") ? 0 : 0.8;
  const filled = path.replace(/\{(\w+)\}/g, (_, part: string) =>
    chance.next() < spared ? (KEPT[part] ?? "x") : escaped(pick(NAUGHTY)),
  );
  const known = (operation.parameters ?? []).filter(({ in: where }) => where === "query");
  const asked = known.flatMap(({ name, schema }) =>
    chance.next() < 0.5 ? [`${name}=${escaped(String(madeOf(schema, 1)))}`] : [],
  );
  const query =
    chance.next() < 0.7
      ? `?${asked.join("&")}`
      : pick([
          "?include=all",
          "?include=pipes,nodes,passes",
          `?include=${escaped(pick(NAUGHTY))}`,
          `?${escaped(pick(NAUGHTY))}=1`,
          "?include=all&include=all",
          "?%",
          "?include=%ff",
        ]);
  const headers: Record<string, string> = {
    accept: header("*/*", ["application/json", "text/csv", "image/svg+xml", "", ";;;q=", "application/json;q=0"]),
    "x-request-id": pick(["a", "b c", "é".repeat(300), "x".repeat(128)]),
  };
  if (chance.next() < 0.1) headers["idempotency-key"] = pick(["k-1", "k-2", "", "a".repeat(5_000)]);
  if (chance.next() < 0.3) headers["if-match"] = pick(['"1"', "*", 'W/"1"', "", "1", '"a", "b"']);
  const content = Object.entries(operation.requestBody?.content ?? {})[0];
  if (content === undefined && chance.next() < 0.9) return { method, url: filled + query, headers };
  const [type, { schema }] = content ?? ["application/json", { schema: {} }];
  headers["content-type"] = header(type, [
    "text/plain",
    "application/json; charset=utf-16",
    "",
    "multipart/form-data",
    ";",
  ]);
  if (chance.next() < 0.03) headers["content-encoding"] = pick(["gzip", "identity", "br, gzip", ""]);
  if (chance.next() < 0.03) headers["content-length"] = pick(["0", "1", "99999999", "-1", "x"]);
  const isNetwork = JSON.stringify(schema).endsWith('/Network"}');
  const payload = isNetwork ? networks(type) : bodyOf(schema, type);
  return { method, url: filled + query, headers, payload };
};

const networks = (type: string): Buffer =>
  type.endsWith("ndjson")
    ? Buffer.concat(Array.from({ length: below(5) }, () => Buffer.concat([body(), Buffer.from("\n")])))
    : body();

const prototypeBefore = Reflect.ownKeys(Object.prototype).map(String).sort().join();

beforeAll(async () => {
  stored = await storedApp(engines[0]!, { limits: { requestsPerKey: 1e9 } });
  description = (await stored.app.inject({ method: "GET", url: "/openapi.json" })).json();
  const put = await stored.ask("PUT /v1/buildings/boathouse", { body: { name: "Boathouse", timeZone: "Europe/Oslo" } });
  const network = JSON.parse(tutorialLine) as Json;
  const posted = await stored.ask("POST /v1/buildings/boathouse/revisions", { body: network });
  expect([put.status, posted.status]).toEqual([201, 201]);
});
afterAll(() => stored.close());

const check = async (request: InjectOptions): Promise<number> => {
  const reply = await stored.app.inject(request);
  const status = reply.statusCode;
  if (status >= 500)
    expect(reply.json()).toMatchObject({ status: 503, code: expect.stringMatching(/^(busy|over-budget)$/) });
  if (status >= 400 && request.method !== "HEAD") {
    expect(reply.headers["content-type"]).toBe("application/problem+json");
    const { code, type } = reply.json() as { code: ProblemCode; type: string };
    expect([PROBLEMS[code].status, type]).toEqual([status, `urn:drainward:problem:${code}`]);
  }
  if (request.url === "/v1/audits/stream" && status === 200) {
    const lines = reply.body.trimEnd().split("\n");
    expect(lines.at(-1)).toMatch(/^\{"tally":/);
    expect(reply.body).not.toContain('"code":"internal"');
  }
  return status;
};

test(
  `${requests} requests from seed ${seed} are each answered as the contract says`,
  async () => {
    console.log(`fuzz: FUZZ_SEED=${seed} FUZZ_REQUESTS=${requests}`);
    const seen = new Map<number, number>();
    for (let done = 0; done < requests; done += 20) {
      const batch = Array.from({ length: Math.min(20, requests - done) }, makeRequest);
      const statuses = await Promise.all(
        batch.map((request) =>
          check(request).catch((error: unknown) => {
            const { method, url, headers, payload } = request;
            const shown = Buffer.isBuffer(payload) ? payload.toString("base64").slice(0, 20_000) : "";
            throw new Error(`${method} ${String(url)} ${JSON.stringify(headers)} ${shown}`, { cause: error });
          }),
        ),
      );
      for (const status of statuses) seen.set(status, (seen.get(status) ?? 0) + 1);
      expect(Reflect.ownKeys(Object.prototype).map(String).sort().join()).toBe(prototypeBefore);
    }
    console.log(
      `fuzz: ${[...seen]
        .sort()
        .map(([status, count]) => `${status} × ${count}`)
        .join(", ")}`,
    );
    // a fuzzer that reaches nothing proves nothing
    for (const status of [200, 400, 404, 405, 406, 415, 422])
      expect([status, seen.has(status)]).toEqual([status, true]);
  },
  60_000 + requests * 200,
);
