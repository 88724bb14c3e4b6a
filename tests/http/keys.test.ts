// How the service is opened and closed by keys, and how often one may ask.
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { makeApp } from "../../src/http/app.js";
import { makeAuditor } from "../../src/service/auditor.js";
import { noStore } from "../../src/service/no-store.js";
import { type Store, StoreFull, StoreUnavailable } from "../../src/service/shelves.js";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const OPEN = ["/livez", "/readyz", "/openapi.json", "/docs/"];

describe.each(engines)("keys on the $name server", (engine) => {
  let service: StoredApp;
  beforeAll(async () => {
    service = await storedApp(engine, { limits: { requestsPerKey: 8, requestsWindow: 2_000 } });
  }, 60_000);
  afterAll(() => service.close());
  const from = async (remoteAddress: string, url: string, headers: Record<string, string> = {}) =>
    (await service.app.inject({ method: "GET", url, remoteAddress, headers })).statusCode;

  test("as long as none was made, this machine is let in as the default organization, others are not", async () => {
    expect((await service.ask("PUT /v1/buildings/first", { body: { name: "First", timeZone: "UTC" } })).status).toBe(
      201,
    );
    expect((await service.ask("GET /v1/buildings/first", { key: "stray" })).status).toBe(200);
    expect(await from("192.0.2.7", "/v1/buildings/first")).toBe(401);
    expect(await from("192.0.2.7", "/v1/buildings/first", { "x-forwarded-for": "127.0.0.1" })).toBe(401);
    for (const path of OPEN) expect([path, await from("192.0.2.7", path)]).toEqual([path, 200]);
  });

  test("once one was made, nobody comes in without, from wherever, even after it is revoked", async () => {
    const { key, secret } = await service.keys.make({
      organization: "default",
      role: "read",
      label: "first",
      expiresAt: null,
    });
    expect((await service.ask("GET /v1/buildings/first")).status).toBe(401);
    expect(await from("192.0.2.7", "/v1/buildings/first", { authorization: `Bearer ${secret}` })).toBe(200);
    expect(await from("192.0.2.7", "/v1/buildings/first", { authorization: `bearer  ${secret}` })).toBe(200);
    for (const header of [secret, `Basic ${secret}`, "Bearer", `Bearer ${secret} x`, `Bearer ${secret.slice(0, -1)}`])
      expect([header, await from("127.0.0.1", "/v1/buildings/first", { authorization: header })]).toEqual([
        header,
        401,
      ]);
    expect(await from("127.0.0.1", `/v1/buildings/first?key=${secret}`)).toBe(401);
    for (const path of OPEN) expect([path, await from("127.0.0.1", path)]).toEqual([path, 200]);
    await service.keys.revoke(key.id);
    expect((await service.ask("GET /v1/buildings/first", { key: secret })).status).toBe(401);
    expect((await service.ask("GET /v1/buildings/first")).status).toBe(401);
  });

  test("who asks too often is told when to go on, and nobody else waits for it", async () => {
    const [greedy, other] = [await service.keyFor("default", "read"), await service.keyFor("default", "read")];
    const statuses = [];
    for (let i = 0; i < 10; i++) statuses.push((await service.ask("GET /v1/limits", { key: greedy })).status);
    expect(statuses).toEqual([200, 200, 200, 200, 200, 200, 200, 200, 429, 429]);
    const refused = await service.ask("GET /v1/limits", { key: greedy });
    expect([refused.status, refused.json.code]).toEqual([429, "too-many-requests"]);
    expect(Number(refused.headers.get("retry-after"))).toBeGreaterThan(0);
    const { status, json } = await service.ask("GET /v1/limits", { key: other });
    expect([status, json.requestsPerKey, json.requestsWindowSeconds]).toEqual([200, 8, 2]);
    expect((await service.ask("GET /livez", { key: greedy })).status).toBe(200);
    await wait(2_100);
    expect((await service.ask("GET /v1/limits", { key: greedy })).status).toBe(200);
  });
});

describe("a store that cannot", () => {
  const away = async (): Promise<never> => {
    throw new StoreUnavailable("away");
  };
  const on = async (store: Store, method: "GET" | "PUT", url: string) => {
    const app = await makeApp({ auditor: { ...makeAuditor(), ready: true }, store });
    const reply = await app.inject({
      method,
      url,
      headers: { "content-type": "application/json", authorization: "Bearer x" },
      ...(method === "PUT" && { payload: '{"name":"x","timeZone":"UTC"}' }),
    });
    await app.close();
    return { status: reply.statusCode, retry: reply.headers["retry-after"], code: reply.json().code };
  };
  const gone = { status: 503, retry: "2", code: "store-away" };

  test("know who calls lets nobody in, and does not say that they are unknown", async () => {
    const store: Store = { ...noStore, keys: { ...noStore.keys, find: away, exist: away } };
    expect(await on(store, "GET", "/v1/buildings/x")).toEqual(gone);
    expect(await on(store, "GET", "/v1/rules")).toEqual(gone);
    expect(await on(store, "GET", "/readyz")).toMatchObject({ status: 503, code: "not-ready" });
    expect(await on(store, "GET", "/livez")).toMatchObject({ status: 200 });
  });

  test("answer is 503, and one that is full 507", async () => {
    expect(await on(noStore, "GET", "/v1/buildings/x")).toEqual(gone);
    const full: Store = {
      ...noStore,
      within: async () => {
        throw new StoreFull("no room");
      },
    };
    expect(await on(full, "PUT", "/v1/buildings/x")).toMatchObject({ status: 507, code: "store-full" });
  });
});
