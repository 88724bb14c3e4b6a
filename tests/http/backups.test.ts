// The story of a blockage over HTTP: the library's own bytes, and what is refused.
import { readFileSync } from "node:fs";
import type { InjectOptions } from "fastify";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { backup } from "../../src/core/index.js";
import { type SoundApp, soundApp, tutorialLine } from "../builders/sound-app.js";

let sound: SoundApp;
beforeAll(async () => {
  sound = await soundApp();
});
afterAll(() => sound.close());

const post = (payload: string, more: Partial<InjectOptions> = {}) =>
  sound.app.inject({
    method: "POST",
    url: "/v1/backups",
    payload,
    ...more,
    headers: { "content-type": "application/json", ...more.headers },
  });
const told = (network: string, blocked: object): string => {
  const result = backup(JSON.parse(network), blocked);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return JSON.stringify(result.backup);
};
const tower = readFileSync(new URL("../../fixtures/buildings/tower-design.json", import.meta.url), "utf8");

describe("POST /v1/backups", () => {
  it.each([
    ["a pipe of a tower that is written in typicals", tower, { pipe: "R1-01/lower" }],
    ["a pan outlet", tutorialLine, { node: "FC-1" }],
  ])("answers of %s what the library answers, byte for byte", async (_, network, blocked) => {
    const reply = await post(`{"network":${network},"blocked":${JSON.stringify(blocked)}}`);
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-type"]).toBe("application/json; charset=utf-8");
    expect(reply.body).toBe(told(network, blocked));
  });

  it.each<[string, string, string, string]>([
    ["an unknown pipe", `{"network":${tower},"blocked":{"pipe":"R1-01/lowr"}}`, "/blocked/pipe", "R1-01/lower"],
    ["an unknown node", `{"network":${tutorialLine},"blocked":{"node":"FC1"}}`, "/blocked/node", "FC-1"],
    ["no blockage", `{"network":${tutorialLine}}`, "/blocked", "write"],
    ["an empty one", `{"network":${tutorialLine},"blocked":{}}`, "/blocked", "write"],
    ["two at once", `{"network":${tutorialLine},"blocked":{"pipe":"a","node":"b"}}`, "/blocked/node", "write"],
    ["a field that is none", `{"network":${tutorialLine},"blokced":{"pipe":"a"}}`, "/blokced", "blocked"],
    ["no network", '{"blocked":{"pipe":"a"}}', "/network", "write"],
  ])("refuses %s with its place and a hint", async (_, payload, pointer, hint) => {
    const reply = await post(payload);
    expect(reply.statusCode).toBe(422);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    const problem = reply.json();
    expect(problem.code).toBe("invalid-document");
    const found = problem.errors.find((each: { pointer: string }) => each.pointer === pointer);
    expect(found.hint).toContain(hint);
  });

  it("tells faults of the network under /network, together with those of the blockage", async () => {
    const network = JSON.stringify({ ...JSON.parse(tutorialLine), stadge: 1 });
    const reply = await post(`{"network":${network},"blocked":{"pip":"a"}}`);
    const pointers = reply.json().errors.map(({ pointer }: { pointer: string }) => pointer);
    expect(pointers).toEqual(["/network/stadge", "/blocked/pip"]);
  });

  it.each<[string, string, Partial<InjectOptions>, number, string]>([
    ["nothing", "", {}, 400, "bad-json"],
    ["text", "{}", { headers: { "content-type": "text/plain" } }, 415, "unsupported-type"],
    ["a query", "{}", { url: "/v1/backups?include=all" }, 400, "bad-query"],
    ["text wanted", "{}", { headers: { accept: "text/plain" } }, 406, "not-acceptable"],
  ])("refuses %s", async (_, payload, more, status, code) => {
    const reply = await post(payload, more);
    expect([reply.statusCode, reply.json().code]).toEqual([status, code]);
  });
});
