// Every status of the routes as a truth table, over the whole service without a port.
import type { InjectOptions } from "fastify";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { PROBLEM_CODES, PROBLEMS } from "../../src/http/problems.js";
import { type SoundApp, soundApp, tutorial, tutorialLine } from "../builders/sound-app.js";

let sound: SoundApp;
beforeAll(async () => {
  sound = await soundApp();
});
afterAll(() => sound.close());

const JSON_TYPE = { "content-type": "application/json" };
const post = (payload: string | Buffer, more: Partial<InjectOptions> = {}): InjectOptions => ({
  method: "POST",
  url: "/v1/audits",
  payload,
  ...more,
  headers: { ...JSON_TYPE, ...more.headers },
});
const calculation = (payload: string, name = "moist-air"): InjectOptions =>
  post(payload, { url: `/v1/calculations/${name}` });
const good = tutorial;
const edit = (change: (document: Record<string, unknown>) => void): string => {
  const document = JSON.parse(tutorialLine) as Record<string, unknown>;
  change(document);
  return JSON.stringify(document);
};
const big = (bytes: number) => Buffer.alloc(bytes, 0x20);
const MEBI = 1024 * 1024;
const elements = (count: number) => `{"nodes":[${"0,".repeat(count - 1)}0],"pipes":[]}`;

type Row = readonly [name: string, request: InjectOptions, status: number, code?: string];
const rows: readonly Row[] = [
  ["a good document", post(good), 200],
  ["with facts", post(good, { url: "/v1/audits?include=fanCoils,pipes" }), 200],
  ["with everything", post(good, { url: "/v1/audits?include=all,passes" }), 200],
  ["an empty include", post(good, { url: "/v1/audits?include=" }), 200],
  ["any form", post(good, { headers: { accept: "*/*" } }), 200],
  ["any application form", post(good, { headers: { accept: "text/html, application/*;q=0.5" } }), 200],
  ["UTF-8 named", post(good, { headers: { "content-type": "Application/JSON; charset=UTF-8" } }), 200],
  ["identity", post(good, { headers: { "content-encoding": "identity" } }), 200],

  ["a calculation", calculation('{"air":{"dryBulb":24,"relativeHumidity":0.5}}'), 200],
  ["a calculation of nothing", calculation(""), 400, "bad-json"],
  ["an unknown calculation", calculation("{}", "moist-hair"), 404, "not-found"],
  ["a calculation without its inputs", calculation("{}"), 422, "invalid-inputs"],
  ["a calculation of a long text", calculation(JSON.stringify("x".repeat(70_000))), 413, "too-large"],
  ["an expansion", post(good, { url: "/v1/expansions" }), 200],
  ["an expansion of no network", post("{}", { url: "/v1/expansions" }), 422, "invalid-document"],
  ["a comparison", post(`{"before":${tutorialLine},"after":${tutorialLine}}`, { url: "/v1/comparisons" }), 200],
  [
    "a comparison with nothing",
    post(`{"before":${tutorialLine}}`, { url: "/v1/comparisons" }),
    422,
    "invalid-document",
  ],
  ["a blockage", post(`{"network":${tutorialLine},"observations":[]}`, { url: "/v1/blockages" }), 200],
  ["a backup", post(`{"network":${tutorialLine},"blocked":{"node":"FC-1"}}`, { url: "/v1/backups" }), 200],
  [
    "a backup of nothing known",
    post(`{"network":${tutorialLine},"blocked":{"pipe":"FC-1"}}`, { url: "/v1/backups" }),
    422,
    "invalid-document",
  ],
  ["a backup of nothing", post(`{"network":${tutorialLine}}`, { url: "/v1/backups" }), 422, "invalid-document"],
  ["a blockage nowhere", post(`{"network":{},"observations":{}}`, { url: "/v1/blockages" }), 422, "invalid-document"],

  ["nothing", post(""), 400, "bad-json"],
  ["no body at all", { method: "POST", url: "/v1/audits" }, 400, "bad-json"],
  ["cut JSON", post("{"), 400, "bad-json"],
  ["two values", post("{} {}"), 400, "bad-json"],
  ["a number of JavaScript", post('{"a":NaN}'), 400, "bad-json"],
  ["a single quote", post("{'a':1}"), 400, "bad-json"],
  ["a lone continuation byte", post(Buffer.from([0x22, 0x80, 0x22])), 400, "bad-encoding"],
  ["an overlong slash", post(Buffer.from([0x22, 0xc0, 0xaf, 0x22])), 400, "bad-encoding"],
  ["a coded surrogate", post(Buffer.from([0x22, 0xed, 0xa0, 0x80, 0x22])), 400, "bad-encoding"],
  ["UTF-16", post(Buffer.from("{}", "utf16le")), 400],
  ["400 000 brackets", post("[".repeat(400_000) + "]".repeat(400_000)), 400, "too-deep"],
  ["400 000 open brackets", post("[".repeat(400_000)), 400, "too-deep"],
  ["65 levels", post("[".repeat(65) + "]".repeat(65)), 400, "too-deep"],
  ["a key twice", post('{"format":1,"format":1}'), 400, "duplicate-key"],
  ["a key twice by escape", post('{"format":1,"\\u0066ormat":1}'), 400, "duplicate-key"],
  ["depth before syntax", post(`${"[".repeat(65)}x`), 400, "too-deep"],
  [
    "encoding before depth",
    post(Buffer.concat([Buffer.from("[".repeat(65)), Buffer.from([0xff])])),
    400,
    "bad-encoding",
  ],
  ["unknown include", post(good, { url: "/v1/audits?include=pipes,fancoil" }), 400, "bad-query"],
  ["include twice", post(good, { url: "/v1/audits?include=pipes&include=nodes" }), 400, "bad-query"],
  ["unknown parameter", post(good, { url: "/v1/audits?includes=pipes" }), 400, "bad-query"],
  ["a parameter called __proto__", post(good, { url: "/v1/audits?__proto__=1" }), 400, "bad-query"],
  ["query before body", post("{", { url: "/v1/audits?include=no" }), 400, "bad-query"],
  ["a broken escape in the path", { method: "GET", url: "/v1/rules/%C0%AF" }, 400, "bad-request"],
  ["a length too long", post("{}", { headers: { "content-length": "7" } }), 400, "bad-request"],
  ["a length too short", post("{}", { headers: { "content-length": "1" } }), 400, "bad-request"],

  ["another machine", { method: "GET", url: "/v1/rules", remoteAddress: "192.0.2.7" }, 401, "no-key"],
  ["another machine by IPv6", { method: "GET", url: "/v1/rules", remoteAddress: "2001:db8::1" }, 401, "no-key"],
  ["another machine's audit", post(good, { remoteAddress: "192.0.2.7" }), 401, "no-key"],
  ["this machine by IPv6", { method: "GET", url: "/v1/rules", remoteAddress: "::1" }, 200],
  ["this machine, mapped", { method: "GET", url: "/v1/rules", remoteAddress: "::ffff:127.0.0.1" }, 200],
  [
    "a proxy's word",
    { method: "GET", url: "/v1/rules", remoteAddress: "192.0.2.7", headers: { "x-forwarded-for": "127.0.0.1" } },
    401,
    "no-key",
  ],
  ["another machine asks for life", { method: "GET", url: "/livez", remoteAddress: "192.0.2.7" }, 200],
  ["another machine asks for readiness", { method: "GET", url: "/readyz", remoteAddress: "192.0.2.7" }, 200],
  ["another machine reads the interface", { method: "GET", url: "/openapi.json", remoteAddress: "192.0.2.7" }, 200],
  ["another machine reads the docs", { method: "GET", url: "/docs", remoteAddress: "192.0.2.7" }, 200],

  ["unknown path", { method: "GET", url: "/v1/nothing" }, 404, "not-found"],
  ["the root", { method: "GET", url: "/" }, 404, "not-found"],
  ["a slash too many", { method: "GET", url: "/v1/rules/" }, 404, "not-found"],
  ["unknown rule", { method: "GET", url: "/v1/rules/fall.revers" }, 404, "not-found"],
  ["a rule called __proto__", { method: "GET", url: "/v1/rules/__proto__" }, 404, "not-found"],
  ["a rule called constructor", { method: "GET", url: "/v1/rules/constructor" }, 404, "not-found"],
  ["unknown profile", { method: "GET", url: "/v1/profiles/nowhere" }, 404, "not-found"],
  ["a very long id", { method: "GET", url: `/v1/rules/${"a".repeat(5000)}` }, 404, "not-found"],

  ["DELETE of audits", { method: "DELETE", url: "/v1/audits" }, 405, "method-not-allowed"],
  ["GET of audits", { method: "GET", url: "/v1/audits" }, 405, "method-not-allowed"],
  ["GET of a stream", { method: "GET", url: "/v1/audits/stream" }, 405, "method-not-allowed"],
  ["POST of rules", { method: "POST", url: "/v1/rules" }, 405, "method-not-allowed"],
  ["PUT of a rule", { method: "PUT", url: "/v1/rules/fall.reverse" }, 405, "method-not-allowed"],
  [
    "POST with a body of no known type",
    { method: "POST", url: "/livez", payload: "x", headers: { "content-type": "image/png" } },
    405,
    "method-not-allowed",
  ],
  ["OPTIONS", { method: "OPTIONS", url: "/v1/audits" }, 204],
  ["HEAD", { method: "HEAD", url: "/v1/rules" }, 200],

  ["text wanted", post(good, { headers: { accept: "text/plain" } }), 406, "not-acceptable"],
  ["a form that is not built", post(good, { headers: { accept: "application/sarif+json" } }), 406, "not-acceptable"],
  ["JSON not wanted", post(good, { headers: { accept: "application/json;q=0" } }), 406, "not-acceptable"],
  ["rules as XML", { method: "GET", url: "/v1/rules", headers: { accept: "application/xml" } }, 406, "not-acceptable"],

  ["65 MiB", post(big(65 * MEBI)), 413, "too-large"],
  ["a byte over 64 MiB", post(big(64 * MEBI + 1)), 413, "too-large"],
  ["64 MiB of blanks", post(big(64 * MEBI)), 400, "bad-json"],
  ["500 001 nodes", post(elements(500_001)), 413, "too-many-elements"],

  ["text", post(good, { headers: { "content-type": "text/plain" } }), 415, "unsupported-type"],
  [
    "a form",
    post("a=1", { headers: { "content-type": "application/x-www-form-urlencoded" } }),
    415,
    "unsupported-type",
  ],
  ["a stream's type", post(good, { headers: { "content-type": "application/x-ndjson" } }), 415, "unsupported-type"],
  ["JSON for a stream", post(good, { url: "/v1/audits/stream" }), 415, "unsupported-type"],
  ["a broken type", post(good, { headers: { "content-type": "json" } }), 415, "unsupported-type"],
  [
    "Latin-1",
    post(good, { headers: { "content-type": "application/json; charset=iso-8859-1" } }),
    415,
    "unsupported-type",
  ],
  ["gzip", post(good, { headers: { "content-encoding": "gzip" } }), 415, "unsupported-encoding"],
  [
    "gzip for a stream",
    post(good, {
      url: "/v1/audits/stream",
      headers: { "content-type": "application/x-ndjson", "content-encoding": "br" },
    }),
    415,
    "unsupported-encoding",
  ],

  ["an empty object", post("{}"), 422, "invalid-document"],
  ["a list", post("[]"), 422, "invalid-document"],
  ["null", post("null"), 422, "invalid-document"],
  ["a word", post('"drain"'), 422, "invalid-document"],
  ["a number", post("1e999"), 422, "invalid-document"],
  ["an unknown field", post(edit((d) => Object.assign(d, { stge: "design" }))), 422, "invalid-document"],
  ["a field called constructor", post(edit((d) => Object.assign(d, { constructor: {} }))), 422, "invalid-document"],
  [
    "a field called __proto__",
    post(`{"__proto__":{"polluted":true},${tutorialLine.slice(1)}`),
    422,
    "invalid-document",
  ],
  ["64 levels", post("[".repeat(64) + "]".repeat(64)), 422, "invalid-document"],
  ["500 000 nodes", post(elements(500_000)), 422, "invalid-document"],
];

describe("each request has its status", () => {
  for (const [name, request, status, code] of rows)
    test(name, async () => {
      const reply = await sound.app.inject(request);
      expect({ status: reply.statusCode, code: status < 400 ? undefined : reply.json().code }).toEqual({
        status,
        code: code ?? (status < 400 ? undefined : expect.any(String)),
      });
      expect(reply.headers["x-request-id"]).toMatch(/./);
      expect(reply.headers["x-content-type-options"]).toBe("nosniff");
      if (status < 400) return;
      expect(reply.headers["content-type"]).toBe("application/problem+json");
      const body = reply.json();
      expect(Object.keys(body)).toEqual(["type", "title", "status", "code", "detail", "errors", "total"]);
      expect(body.status).toBe(status);
      expect(body.type).toBe(`urn:drainward:problem:${body.code}`);
      expect(body.errors.length).toBeLessThanOrEqual(100);
      expect(body.total).toBeGreaterThanOrEqual(body.errors.length);
      expect(({} as Record<string, unknown>).polluted).toBeUndefined();
    });

  test("the table reaches every code that a request alone can bring about", () => {
    const elsewhere = [
      "role-too-low",
      "request-timeout",
      "headers-too-large",
      "internal",
      "busy",
      "over-budget",
      "stopping",
      "not-ready",
      // of what is stored: tests/http/stored.test.ts
      "store-away",
      "store-full",
      "too-many-requests",
      "conflict",
      "invalid-body",
      "key-reused",
      "match-required",
      "stale",
      "still-running",
    ];
    const reached = new Set(rows.map(([, , , code]) => code));
    expect(PROBLEM_CODES.filter((code) => !reached.has(code)).sort()).toEqual(elsewhere.sort());
    for (const [, , status, code] of rows) {
      if (code !== undefined) expect(PROBLEMS[code as keyof typeof PROBLEMS].status).toBe(status);
    }
  });
});

describe("what an answer carries besides", () => {
  test("405 lists the methods that the path takes", async () => {
    const allow = async (method: "DELETE" | "OPTIONS", url: string) =>
      (await sound.app.inject({ method, url })).headers.allow;
    expect(await allow("DELETE", "/v1/audits")).toBe("OPTIONS, POST");
    expect(await allow("DELETE", "/v1/rules/fall.reverse")).toBe("GET, HEAD, OPTIONS");
    expect(await allow("OPTIONS", "/livez")).toBe("GET, HEAD, OPTIONS");
  });

  test("406 lists the forms that exist", async () => {
    const reply = await sound.app.inject(post(good, { headers: { accept: "image/png" } }));
    expect(reply.json().detail).toContain("application/json");
  });

  test("401 names the scheme of keys", async () => {
    const reply = await sound.app.inject({ method: "GET", url: "/v1/rules", remoteAddress: "192.0.2.7" });
    expect(reply.headers["www-authenticate"]).toBe("Bearer");
  });

  test("an unknown word of include is answered with the nearest known one", async () => {
    const reply = await sound.app.inject(post(good, { url: "/v1/audits?include=fancoil,zzz" }));
    const [first, second] = reply.json().errors;
    expect(first.hint).toBe("Did you mean fanCoils?");
    expect(second.hint).toContain("airSpacesAtFlow");
    expect(reply.json().total).toBe(2);
  });

  test("a request id is echoed when it is plain, and made where it is not", async () => {
    const ask = async (id: string) =>
      (await sound.app.inject({ method: "GET", url: "/livez", headers: { "x-request-id": id } })).headers[
        "x-request-id"
      ];
    expect(await ask("survey-17.a")).toBe("survey-17.a");
    expect(await ask("a b{}")).toMatch(/^[0-9a-f-]{36}$/);
    expect(await ask("a".repeat(129))).toMatch(/^[0-9a-f-]{36}$/);
  });

  test("problems of a document come with pointers and hints, at most 100, with their total", async () => {
    const reply = await sound.app.inject(
      post(
        edit((d) => {
          d.nodes = Array.from({ length: 150 }, () => ({ knd: "trap" }));
        }),
      ),
    );
    const body = reply.json();
    expect(body.errors).toHaveLength(100);
    expect(body.total).toBeGreaterThan(100);
    expect(body.errors.some((fault: { pointer: string }) => fault.pointer.startsWith("/nodes/0"))).toBe(true);
  });

  test("facts come only when asked for", async () => {
    const plain = (await sound.app.inject(post(good))).json();
    expect(plain).not.toHaveProperty("facts");
    const some = (await sound.app.inject(post(good, { url: "/v1/audits?include=runs,pipes" }))).json();
    expect(Object.keys(some.facts).sort()).toEqual(["pipes", "runs"]);
  });

  test("the docs tell every call, its fields and its problems, without any script, and lead nowhere that is not there", async () => {
    const page = await sound.app.inject({ method: "GET", url: "/docs/" });
    expect(page.headers["content-security-policy"]).toMatch(/^default-src 'none'; style-src 'sha256-/);
    expect(page.headers["content-security-policy"]).not.toContain("script");
    expect(page.body).not.toMatch(/<script|https:|javascript:| on\w+=/);
    const { paths, components } = (await sound.app.inject({ method: "GET", url: "/openapi.json" })).json();
    for (const [path, methods] of Object.entries<Record<string, { operationId: string }>>(paths))
      for (const { operationId } of Object.values(methods))
        expect(page.body, path).toContain(`id="call-${operationId}"`);
    for (const name of Object.keys(components.schemas)) expect(page.body).toContain(`id="schema-${name}"`);
    const ids = new Set([...page.body.matchAll(/ id="([^"]+)"/g)].map(([, id]) => id));
    for (const [, id] of page.body.matchAll(/href="#([^"]+)"/g)) expect(ids).toContain(id);
    expect((await sound.app.inject({ method: "GET", url: "/docs" })).body).toBe(page.body);
  });

  test("the limits are listed", async () => {
    const limits = (await sound.app.inject({ method: "GET", url: "/v1/limits" })).json();
    expect(limits).toMatchObject({
      bodyBytes: 64 * MEBI,
      elements: 500_000,
      depth: 64,
      problemsListed: 100,
      auditSeconds: 30,
    });
  });

  test("catalogues list and give each entry", async () => {
    for (const path of ["rules", "profiles"]) {
      const { items, next } = (await sound.app.inject({ method: "GET", url: `/v1/${path}` })).json();
      expect(next).toBeNull();
      expect(items.length).toBeGreaterThan(2);
      for (const item of items) {
        expect((await sound.app.inject({ method: "GET", url: `/v1/${path}/${item.id}` })).json()).toEqual(item);
      }
    }
    expect((await sound.app.inject({ method: "GET", url: "/v1/materials" })).json().items.length).toBeGreaterThan(5);
    const schema = await sound.app.inject({ method: "GET", url: "/v1/schemas/network" });
    expect(schema.json().properties).toHaveProperty("nodes");
  });
});
