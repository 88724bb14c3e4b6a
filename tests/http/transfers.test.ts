// A building carried from one service to another, on each server.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { riserOfThree } from "../builders/riser-of-three.js";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const WORDS = { name: "Elm Court", timeZone: "Europe/Lisbon" };
const NDJSON = { "content-type": "application/x-ndjson" };

describe.each(engines)("carrying a building over HTTP on the $name server", (engine) => {
  let service: StoredApp;
  beforeAll(async () => {
    service = await storedApp(engine);
    await ask("PUT /v1/buildings/elm", { body: WORDS });
    await ask("POST /v1/buildings/elm/revisions", { body: riserOfThree() });
    const seen = { id: "w", type: "water-seen", node: "F-1", time: "2026-07-10T09:00:00Z", source: "tenant" };
    await ask("POST /v1/buildings/elm/observations", { body: seen });
  }, 60_000);
  afterAll(() => service.close());
  const ask: StoredApp["ask"] = (request, more) => service.ask(request, more);

  test("gives it whole, takes it under another id, and gives it again the same", async () => {
    const out = await ask("GET /v1/buildings/elm/export");
    expect([out.status, out.headers.get("content-type")]).toEqual([200, "application/x-ndjson"]);
    const made = await ask("POST /v1/buildings/oak/import", { body: out.text, headers: NDJSON });
    expect([made.status, made.headers.get("location"), made.json.revision]).toEqual([201, "/v1/buildings/oak", 1]);
    expect(made.headers.get("etag")).toBe((await ask("GET /v1/buildings/oak")).headers.get("etag"));
    const rows = (text: string) => text.trim().split("\n").slice(1);
    expect(rows((await ask("GET /v1/buildings/oak/export")).text)).toEqual(rows(out.text));
    const [here, there] = await Promise.all(["elm", "oak"].map((id) => ask(`GET /v1/buildings/${id}/findings`)));
    expect(there.json).toEqual(here.json);
    expect((await ask("GET /v1/buildings/oak/observations/w")).status).toBe(200);
  });

  test("refuses what is there, what was changed, and what is none", async () => {
    const { text } = await ask("GET /v1/buildings/elm/export");
    const send = (id: string, body: string, headers = NDJSON) =>
      ask(`POST /v1/buildings/${id}/import`, { body, headers });
    expect((await send("elm", text)).status).toBe(409);
    const cut = await send("ash", text.split("\n").slice(0, -2).join("\n"));
    expect([cut.status, cut.json.code, cut.json.errors[0].detail]).toEqual([
      422,
      "invalid-body",
      "The archive was cut short: its last line is missing.",
    ]);
    expect((await send("ash", text.replace("tenant", "Tenant"))).status).toBe(422);
    expect((await send("ash", "")).status).toBe(422);
    expect((await send("a%20b", text)).status).toBe(422);
    expect((await send("ash", text, { "content-type": "application/json" })).status).toBe(415);
    expect((await ask("GET /v1/buildings/ash")).status).toBe(404);
    expect((await ask("GET /v1/buildings/ash/export")).status).toBe(404);
  });

  test("is for those who may: reading takes out, only an administrator brings in, and only its own", async () => {
    const [reader, writer, other] = await Promise.all([
      service.keyFor("default", "read"),
      service.keyFor("default", "write"),
      service.keyFor("birch", "admin"),
    ]);
    const out = await ask("GET /v1/buildings/elm/export", { key: reader });
    expect(out.status).toBe(200);
    const bring = (key: string) => ask("POST /v1/buildings/fir/import", { body: out.text, headers: NDJSON, key });
    expect((await bring(writer)).status).toBe(403);
    expect((await ask("GET /v1/buildings/elm/export", { key: other })).status).toBe(404);
    expect((await bring(other)).status).toBe(201);
    expect((await ask("GET /v1/buildings/fir", { key: reader })).status).toBe(404);
  });
});
