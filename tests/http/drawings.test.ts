// Pictures over HTTP: the library's own bytes, what an audit gives to whoever wants to look, and what is refused.
import { readFileSync } from "node:fs";
import type { InjectOptions } from "fastify";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type DrawingResult, drawPath, drawRiser } from "../../src/core/index.js";
import { type SoundApp, soundApp } from "../builders/sound-app.js";
import { elementsOf } from "../core/present/parsed-html.js";

const fixture = (name: string): Record<string, unknown> =>
  JSON.parse(readFileSync(new URL(`../../fixtures/buildings/${name}.json`, import.meta.url), "utf8"));
const network = fixture("three-coils");
const svgOf = (made: DrawingResult): string => {
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.svg;
};

let sound: SoundApp;
beforeAll(async () => {
  sound = await soundApp();
});
afterAll(() => sound.close());

const post = (url: string, body: unknown, more: Partial<InjectOptions> = {}) =>
  sound.app.inject({
    method: "POST",
    url,
    payload: typeof body === "string" ? body : JSON.stringify(body),
    ...more,
    headers: { "content-type": "application/json", ...more.headers },
  });
const RISER = "/v1/drawings/riser";
const PATH = "/v1/drawings/path";

describe.each<[string, object, () => string]>([
  [RISER, { network }, () => svgOf(drawRiser(network))],
  [
    RISER,
    { network, highlight: { blocked: { pipe: "M-d" } }, width: 700 },
    () => svgOf(drawRiser(network, { highlight: { blocked: { pipe: "M-d" } }, width: 700 })),
  ],
  [
    RISER,
    { network: fixture("tower-as-surveyed"), riser: "B-02" },
    () => svgOf(drawRiser(fixture("tower-as-surveyed"), { riser: "B-02" })),
  ],
  [
    PATH,
    { network, fanCoil: "FC-2", blocked: { pipe: "M-d" } },
    () => svgOf(drawPath(network, { fanCoil: "FC-2", blocked: { pipe: "M-d" } })),
  ],
])("POST %s", (url, body, expected) => {
  it("draws what the library draws, byte for byte, and lets a browser load nothing with it", async () => {
    const reply = await post(url, body);
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-type"]).toBe("image/svg+xml; charset=utf-8");
    expect(reply.body).toBe(expected());
    expect(reply.headers["content-security-policy"]).toMatch(
      /^default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'/,
    );
    expect(reply.headers["content-security-policy"]).not.toContain("script");
    expect(reply.headers["x-content-type-options"]).toBe("nosniff");
  });
});

describe("a drawing that cannot be made", () => {
  it.each<[string, string, unknown, number, string, string[]]>([
    ["of nothing", RISER, {}, 422, "invalid-document", ["/network"]],
    ["of a bare document", RISER, network, 422, "invalid-document", []],
    [
      "of a coil that is none",
      RISER,
      { network, highlight: { fanCoil: "FC-22" } },
      422,
      "invalid-document",
      ["/highlight/fanCoil"],
    ],
    ["of a riser that is none", RISER, { network, riser: "SINK" }, 422, "invalid-document", ["/riser"]],
    ["too narrow", RISER, { network, width: 3 }, 422, "invalid-document", ["/width"]],
    ["of no coil", PATH, { network }, 422, "invalid-document", ["/fanCoil"]],
    [
      "of a network with faults, for a coil that is no text",
      PATH,
      { network: { ...network, stage: "dream" }, fanCoil: 7 },
      422,
      "invalid-document",
      ["/network/stage", "/fanCoil"],
    ],
    ["of cut JSON", RISER, "{", 400, "bad-json", []],
  ])("%s is refused, each fault with its pointer", async (_, url, body, status, code, pointers) => {
    const reply = await post(url, body);
    const problem = reply.json();
    expect([reply.statusCode, problem.code]).toEqual([status, code]);
    expect(reply.headers["content-type"]).toContain("application/problem+json");
    const found = problem.errors.map(({ pointer }: { pointer: string }) => pointer);
    if (pointers.length > 0) expect(found.sort()).toEqual([...pointers].sort());
    for (const { hint } of problem.errors) if (hint !== undefined) expect(hint).not.toBe("");
  });

  it.each<[string, Partial<InjectOptions>, number, string]>([
    ["a query", { url: `${RISER}?riser=B-01` }, 400, "bad-query"],
    ["another form", { headers: { accept: "image/png" } }, 406, "not-acceptable"],
    ["text", { headers: { "content-type": "text/plain" } }, 415, "unsupported-type"],
    ["a reading", { method: "GET" }, 405, "method-not-allowed"],
    ["another machine", { remoteAddress: "192.0.2.7" }, 401, "no-key"],
  ])("is refused with %s", async (_, more, status, code) => {
    const reply = await post(RISER, { network }, more);
    expect([reply.statusCode, reply.json().code]).toEqual([status, code]);
  });
});

describe("an audit for whoever wants to look", () => {
  it("is the riser diagram to image/svg+xml", async () => {
    const reply = await post("/v1/audits", network, { headers: { accept: "image/svg+xml" } });
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-type"]).toBe("image/svg+xml; charset=utf-8");
    expect(reply.headers.vary).toContain("accept");
    expect(reply.body).toBe(svgOf(drawRiser(network)));
  });

  it("is the report to text/html, in which the same picture stands", async () => {
    const reply = await post("/v1/audits", network, { headers: { accept: "text/html" } });
    expect(reply.statusCode).toBe(200);
    expect(reply.headers["content-type"]).toBe("text/html; charset=utf-8");
    const drawn = elementsOf(reply.body).flatMap(
      ({ attrs }) => attrs.find(({ name }) => name === "data-node")?.value ?? [],
    );
    for (const { id } of network.nodes as { id: string }[]) expect(drawn).toContain(id);
  });

  it("points into the document itself where that is no network", async () => {
    const body = { ...network, stage: "dream" };
    for (const accept of ["image/svg+xml", "text/html", "application/json"]) {
      const reply = await post("/v1/audits", body, { headers: { accept } });
      expect(reply.statusCode).toBe(422);
      expect(reply.json().errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual(["/stage"]);
    }
  });
});
