// The commissioning sheet over HTTP: the library's own bytes, and what is refused.
import { readFileSync } from "node:fs";
import type { InjectOptions } from "fastify";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { commissioning } from "../../src/core/index.js";
import { type SoundApp, soundApp, tutorial, tutorialLine } from "../builders/sound-app.js";

let sound: SoundApp;
beforeAll(async () => {
  sound = await soundApp();
});
afterAll(() => sound.close());

const post = (payload: string | Buffer, more: Partial<InjectOptions> = {}) =>
  sound.app.inject({
    method: "POST",
    url: "/v1/commissioning",
    payload,
    ...more,
    headers: { "content-type": "application/json", ...more.headers },
  });
const sheetOf = (text: string) => {
  const made = commissioning(JSON.parse(text));
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.sheet;
};

describe("POST /v1/commissioning", () => {
  it("answers what the library answers, byte for byte", async () => {
    const reply = await post(tutorial);
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-type"]).toBe("application/json; charset=utf-8");
    expect(reply.body).toBe(JSON.stringify(sheetOf(tutorialLine)));
  });

  it("makes the sheet of a tower that is written in typicals", async () => {
    const tower = readFileSync(new URL("../../fixtures/buildings/tower-as-surveyed.json", import.meta.url), "utf8");
    const reply = await post(tower);
    expect(reply.statusCode).toBe(200);
    const { stops } = reply.json();
    expect(stops).toEqual(JSON.parse(JSON.stringify(sheetOf(tower).stops)));
    const levels = stops.map(({ floor }: { floor: string }) => floor);
    expect(levels[0]).toBe("12");
    expect(levels[levels.length - 1]).toBe("G");
  });

  it("refuses what is no network with every problem, its pointer and a hint", async () => {
    const reply = await post(JSON.stringify({ ...JSON.parse(tutorialLine), stadge: 1, units: "metric" }));
    expect(reply.statusCode).toBe(422);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    const problem = reply.json();
    expect(problem).toMatchObject({ code: "invalid-document", total: 2 });
    expect(problem.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual(["/stadge", "/units"]);
    for (const { hint } of problem.errors) expect(hint).toBeTruthy();
  });

  it.each<[string, string | Buffer, Partial<InjectOptions>, number, string]>([
    ["nothing", "", {}, 400, "bad-json"],
    ["cut JSON", "{", {}, 400, "bad-json"],
    ["bad UTF-8", Buffer.from([0x22, 0x80, 0x22]), {}, 400, "bad-encoding"],
    ["400 000 brackets", "[".repeat(400_000), {}, 400, "too-deep"],
    ["a list", "[]", {}, 422, "invalid-document"],
    ["a query", tutorial, { url: "/v1/commissioning?include=all" }, 400, "bad-query"],
    ["text", tutorial, { headers: { "content-type": "text/plain" } }, 415, "unsupported-type"],
    ["another form", tutorial, { headers: { accept: "text/csv" } }, 406, "not-acceptable"],
    ["a reading", "", { method: "GET" }, 405, "method-not-allowed"],
    ["another machine", tutorial, { remoteAddress: "192.0.2.7" }, 401, "no-key"],
  ])("refuses %s", async (_said, payload, more, status, code) => {
    const reply = await post(payload, more);
    expect([reply.statusCode, reply.json().code]).toEqual([status, code]);
  });
});
