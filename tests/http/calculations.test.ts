// The calculations over HTTP: what is listed, answered and refused.
import type { InjectOptions } from "fastify";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calculate, calculations } from "../../src/core/index.js";
import { makeApp } from "../../src/http/app.js";
import { type Auditor, makeAuditor } from "../../src/service/auditor.js";
import { CASES } from "../core/calculations/cases.js";

let auditor: Auditor;
let app: Awaited<ReturnType<typeof makeApp>>;
beforeAll(async () => {
  // no thread is warmed: calculations are made without one
  auditor = makeAuditor();
  app = await makeApp({ auditor });
});
afterAll(async () => {
  await app.close();
  await auditor.close();
});

const post = (name: string, payload: string | Buffer | object, more: Partial<InjectOptions> = {}) =>
  app.inject({
    method: "POST",
    url: `/v1/calculations/${name}`,
    payload: typeof payload === "string" || Buffer.isBuffer(payload) ? payload : JSON.stringify(payload),
    ...more,
    headers: { "content-type": "application/json", ...more.headers },
  });
const get = (url: string) => app.inject({ method: "GET", url });

describe("the listing", () => {
  it("is a page of every calculation, and each by its name", async () => {
    const page = (await get("/v1/calculations")).json();
    expect(page).toEqual({ items: JSON.parse(JSON.stringify(calculations())), next: null });
    for (const item of page.items) {
      const one = await get(`/v1/calculations/${item.id}`);
      expect(one.statusCode).toBe(200);
      expect(one.json()).toEqual(item);
    }
  });

  it("names the nearest where there is none", async () => {
    const reply = await get("/v1/calculations/pipe-sag");
    expect(reply.statusCode).toBe(404);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    expect(reply.json()).toMatchObject({ code: "not-found", status: 404 });
    expect((await get("/v1/calculations/traps")).json().detail).toContain("Did you mean trap?");
  });
});

describe("a calculation", () => {
  it.each(calculations().flatMap(({ id }) => CASES[id].map((inputs) => [id, inputs] as const)))(
    "%s %j is answered as by the library",
    async (name, inputs) => {
      const reply = await post(name, inputs);
      expect(reply.statusCode).toBe(200);
      const made = calculate(name, inputs);
      expect(reply.body).toBe(JSON.stringify(made.ok ? made.calculation : null));
    },
  );

  it("refuses bad inputs with every problem at once", async () => {
    const reply = await post("trap", { panStatc: "-250 Pa", fanPosition: "draw-thru", sealDepth: "30 Pa" });
    expect(reply.statusCode).toBe(422);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    const problem = reply.json();
    expect(problem).toMatchObject({ code: "invalid-inputs", status: 422, total: 4 });
    expect(problem.detail).toBe("The inputs have 4 problems.");
    expect(problem.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
      "/panStatc",
      "/panStatic",
      "/fanPosition",
      "/sealDepth",
    ]);
    expect(problem.errors[0].hint).toBe("did you mean panStatic?");
    for (const { detail, hint } of problem.errors) expect(`${detail}${hint}`).not.toMatch(/undefined/);
  });

  it.each([
    ["an unknown name", "traps", "{}", 404, "not-found"],
    ["a name of JavaScript", "__proto__", "{}", 404, "not-found"],
    ["no body", "trap", "", 400, "bad-json"],
    ["cut JSON", "trap", "{", 400, "bad-json"],
    ["a key twice", "trap", '{"drop":1,"drop":1}', 400, "duplicate-key"],
    ["too deep", "trap", "[".repeat(65) + "]".repeat(65), 400, "too-deep"],
    ["bad UTF-8", "trap", Buffer.from([0x22, 0x80, 0x22]), 400, "bad-encoding"],
    ["a list", "trap", "[]", 422, "invalid-inputs"],
    ["null", "trap", "null", 422, "invalid-inputs"],
    ["nothing given", "trap", "{}", 422, "invalid-inputs"],
    ["a prototype", "trap", '{"__proto__":{"panStatic":-1},"fanPosition":"draw-through"}', 422, "invalid-inputs"],
    ["more bytes than inputs have", "trap", `{"drop":1}${" ".repeat(65_536)}`, 413, "too-large"],
  ])("%s is refused", async (_said, name, payload, status, code) => {
    const reply = await post(name, payload);
    expect([reply.statusCode, reply.json().code]).toEqual([status, code]);
  });

  it.each([
    ["text", { headers: { "content-type": "text/plain" } }, 415, "unsupported-type"],
    ["packed", { headers: { "content-encoding": "gzip" } }, 415, "unsupported-encoding"],
    ["for another form", { headers: { accept: "text/csv" } }, 406, "not-acceptable"],
    ["with a query", { url: "/v1/calculations/trap?include=all" }, 400, "bad-query"],
    ["put", { method: "PUT" as const }, 405, "method-not-allowed"],
    ["from elsewhere", { remoteAddress: "192.0.2.7" }, 401, "no-key"],
  ])("%s is refused by the service", async (_said, more, status, code) => {
    const reply = await post("trap", CASES.trap[0], more);
    expect([reply.statusCode, reply.json().code]).toEqual([status, code]);
  });
});
