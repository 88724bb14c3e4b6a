// What a property manager asks over real connections, on each server.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { riserOfThree } from "../builders/riser-of-three.js";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const WORDS = { name: "Elm Court", timeZone: "Europe/Lisbon" };

describe.each(engines)("questions about stored buildings over HTTP on the $name server", (engine) => {
  let service: StoredApp;
  let clock = new Date("2026-07-01T08:00:00Z");
  beforeAll(async () => {
    service = await storedApp(engine, { now: () => clock });
    await ask("PUT /v1/buildings/elm", { body: WORDS });
    const posted = await ask("POST /v1/buildings/elm/revisions", { body: riserOfThree() });
    expect(posted.status).toBe(201);
    await ask("PUT /v1/buildings/bare", { body: WORDS });
  }, 60_000);
  afterAll(() => service.close());
  const ask: StoredApp["ask"] = (request, more) => service.ask(request, more);
  const at = "/v1/buildings/elm";
  const observe = (body: object) => ask(`POST ${at}/observations`, { body: { source: "tenant", ...body } });

  test("a dwelling, a riser and a pipe", async () => {
    const dwelling = await ask(`GET ${at}/dwellings/0101`);
    expect(dwelling.status).toBe(200);
    expect(dwelling.json).toMatchObject({
      dwelling: "0101",
      floodedBy: [{ owner: "association", next: { dwelling: "0201" } }],
      health: { at: "2026-07-01T08:00:00.000Z" },
    });
    expect((await ask(`GET ${at}/dwellings/0901`)).status).toBe(404);
    expect((await ask("GET /v1/buildings/bare/dwellings/0101")).status).toBe(404);
    expect((await ask(`GET ${at}/dwellings/0101?at=yesterday`)).status).toBe(400);
    const riser = await ask(`GET ${at}/risers/B/health`);
    expect([riser.status, Object.keys(riser.json)]).toEqual([200, ["state", "at", "reasons", "next"]]);
    expect((await ask(`GET ${at}/risers/J-1/health`)).status).toBe(404);
    const isolation = await ask(`GET ${at}/pipes/R-2/isolation`);
    expect([isolation.status, isolation.json.isolate]).toEqual([200, ["F-2", "F-3"]]);
    expect((await ask(`GET ${at}/pipes/X/isolation`)).status).toBe(404);
    const unwritten = await ask(`GET ${at}/pipes/R1/lower/isolation`);
    expect([unwritten.status, unwritten.json.detail]).toEqual([404, "No such path. The / of an id is written %2F."]);
  });

  test("what if, asked twice under one key", async () => {
    const body = { remedies: [{ action: "lower-node", on: "B", amount: 0.02, unit: "m" }] };
    const headers = { "idempotency-key": "what-if-1" };
    const first = await ask(`POST ${at}/what-if`, { body, headers });
    expect(first.status).toBe(200);
    expect(Object.keys(first.json)).toEqual([
      "before",
      "after",
      "new",
      "persists",
      "cleared",
      "lostSight",
      "margins",
      "network",
    ]);
    expect((await ask(`POST ${at}/what-if`, { body, headers })).text).toBe(first.text);
    const other = await ask(`POST ${at}/what-if`, { body: { network: riserOfThree() }, headers });
    expect([other.status, other.json.code]).toEqual([422, "key-reused"]);
    const refused = await ask(`POST ${at}/what-if`, { body: { remedies: [{ action: "connect", on: "B" }] } });
    expect([refused.status, refused.json.errors[0].pointer]).toEqual([422, "/remedies/0"]);
    expect((await ask(`POST ${at}/what-if`, { body: "[" })).status).toBe(400);
  });

  test("what changed between any two networks, kept or sent", async () => {
    const changed = riserOfThree();
    changed.nodes = changed.nodes.map((node) => (node.id === "F-1" ? { ...node, panStatic: -100 } : node));
    await ask("PUT /v1/buildings/fir", { body: WORDS });
    expect((await ask("POST /v1/buildings/fir/revisions", { body: changed })).status).toBe(201);
    const compared = (before: unknown, after: unknown) => ask("POST /v1/comparisons", { body: { before, after } });
    const sent = await compared(riserOfThree(), changed);
    expect(sent.status).toBe(200);
    expect(sent.json.new.map(({ rule }: { rule: string }) => rule)).toEqual(["seal.missing"]);
    for (const [before, after] of [
      [
        { building: "elm", revision: 1 },
        { building: "fir", revision: 1 },
      ],
      [{ building: "elm", revision: "latest" }, changed],
      [riserOfThree(), { building: "fir", revision: 1 }],
    ])
      expect((await compared(before, after)).text).toBe(sent.text);
    const back = await compared({ building: "fir", revision: 1 }, { building: "elm", revision: 1 });
    expect(back.json.before.digest).toBe(sent.json.after.digest);

    const gone = await compared({ building: "elm", revision: 7 }, { building: "oak", revision: 1 });
    expect([gone.status, gone.json.code, gone.json.errors.map(({ pointer }: { pointer: string }) => pointer)]).toEqual([
      404,
      "not-found",
      ["/before", "/after"],
    ]);
    const wrong = await compared({ building: 1, revision: 0 }, { bilding: "elm", revision: 1 });
    expect([wrong.status, wrong.json.errors.map(({ pointer }: { pointer: string }) => pointer)]).toEqual([
      422,
      ["/before/building", "/before/revision", "/after/building", "/after/bilding"],
    ]);
    expect((await ask("POST /v1/comparisons", { body: { before: { building: "elm", revision: 1 } } })).status).toBe(
      422,
    );
  });

  test("the risers, drawn", async () => {
    const drawing = await ask(`GET ${at}/riser.svg`);
    expect([drawing.status, drawing.headers.get("content-type")]).toEqual([200, "image/svg+xml; charset=utf-8"]);
    expect(drawing.text).toBe((await ask("POST /v1/drawings/riser", { body: { network: riserOfThree() } })).text);
    const marked = await ask(`GET ${at}/riser.svg?blockedPipe=M&width=900`);
    const request = { network: riserOfThree(), highlight: { blocked: { pipe: "M" } }, width: 900 };
    expect(marked.text).toBe((await ask("POST /v1/drawings/riser", { body: request })).text);
    for (const [query, name] of [
      ["fanCoil=nowhere", "fanCoil"],
      ["blockedPipe=nowhere", "blockedPipe"],
      ["riser=nowhere", "riser"],
      ["width=12", "width"],
      ["width=wide", "width"],
      ["fanCoil=F-1&finding=x", "finding"],
    ]) {
      const refused = await ask(`GET ${at}/riser.svg?${query}`);
      expect([query, refused.status, refused.json.code]).toEqual([query, 400, "bad-query"]);
      expect(refused.json.errors[0].detail).toMatch(new RegExp(`^${name}: `));
    }
    expect((await ask("GET /v1/buildings/bare/riser.svg")).status).toBe(404);
  });

  test("what to survey, and when to clean", async () => {
    const list = await ask(`GET ${at}/survey-list`);
    expect([list.status, list.json.format]).toEqual([200, 1]);
    const cleanings = await ask(`GET ${at}/cleanings`);
    expect(cleanings.status).toBe(200);
    expect(cleanings.json.items).toMatchObject([
      { riser: "B", who: "association", every: 365, by: "first-revision", overdue: false },
      { riser: null, who: "association", every: 365, by: "first-revision", overdue: false },
    ]);
    const later = await ask(`GET ${at}/cleanings?at=2027-07-02T00:00:00Z`);
    expect(later.json.items.map(({ overdue }: { overdue: boolean }) => overdue)).toEqual([true, true]);
  });

  test("where a blockage is, with or without a body, and the history of health", async () => {
    clock = new Date("2026-07-10T12:00:00Z");
    expect(
      (await observe({ id: "w", type: "water-seen", node: "F-1", time: "2026-07-10T09:00:00+01:00" })).status,
    ).toBe(201);
    const bare = await ask(`POST ${at}/blockages`);
    expect([bare.status, bare.json.state, bare.json.observed]).toEqual([200, "located", ["w"]]);
    const range = { since: "2026-07-08T00:00:00Z", at: "2026-07-09T00:00:00Z" };
    const before = await ask(`POST ${at}/blockages`, { body: range });
    expect([before.status, before.json.state, before.json.since]).toEqual([
      200,
      "nothing-reported",
      "2026-07-08T00:00:00.000Z",
    ]);
    const wrong = await ask(`POST ${at}/blockages`, { body: { since: "noon", until: 1 } });
    expect([wrong.status, wrong.json.errors.map(({ pointer }: { pointer: string }) => pointer)]).toEqual([
      422,
      ["/since", "/until"],
    ]);
    await observe({ id: "c", type: "cleaned", pipe: "M", time: "2026-07-10T10:00:00Z" });

    const reasonsOf = ({ reasons }: { reasons: { kind: string; ref: string }[] }) =>
      reasons.filter(({ kind }) => kind === "observation").map(({ ref }) => ref);
    const young = (await ask(`GET ${at}/health?at=2026-06-30T00:00:00Z`)).json;
    expect([young.state, young.reasons.map(({ ref }: { ref: string }) => ref)]).toEqual(["unknown", ["network"]]);
    const bareHealth = (await ask("GET /v1/buildings/bare/health")).json;
    expect([bareHealth.state, bareHealth.next]).toEqual([
      "unknown",
      [{ do: "post the first revision", at: "bare", who: null }],
    ]);
    const history = await ask(`GET ${at}/health/history?from=2026-07-05T00:00:00Z&to=2026-07-11T00:00:00Z`);
    expect(history.status).toBe(200);
    expect(history.json.items.map((item: never) => [(item as { at: string }).at, reasonsOf(item)])).toEqual([
      ["2026-07-05T00:00:00.000Z", []],
      ["2026-07-10T08:00:00.000Z", ["w"]],
      ["2026-07-10T10:00:00.000Z", []],
    ]);
    const turned = await ask(`GET ${at}/health/history?from=2026-07-11T00:00:00Z&to=2026-07-05T00:00:00Z`);
    expect([turned.status, turned.json.errors[0].detail]).toEqual([400, "from: it is later than to"]);
    // page by page it is the same
    const pages: unknown[] = [];
    let path: string | null = `${at}/health/history?from=2026-07-05T00:00:00Z&to=2026-07-11T00:00:00Z&limit=1`;
    for (let n = 0; path !== null && n < 10; n++) {
      const page = await ask(`GET ${path}`);
      pages.push(...page.json.items);
      path = /^<(.+)>; rel="next"$/.exec(page.headers.get("link") ?? "")?.[1] ?? null;
    }
    expect(pages).toEqual(history.json.items);
  });

  test("a test sheet, sent back and taken into the next revision", async () => {
    const sheet = await ask(`GET ${at}/commissioning`);
    expect(sheet.status).toBe(200);
    const empty = await ask(`POST ${at}/commissioning/results`, {
      body: { time: "2026-07-10T11:00:00Z", by: "fitter", results: [] },
    });
    expect([empty.status, empty.json.errors]).toEqual([
      422,
      [{ pointer: "/results", detail: "a list of at least 1 is wanted", hint: "add what is missing" }],
    ]);
    const results = {
      time: "2026-07-10T11:00:00Z",
      by: "fitter",
      results: [
        { check: "pour-fan-on~f:F-2", boxes: { panStatic: -60, leaves: true } },
        { check: "switch~d:SW-3", boxes: { stopped: false } },
      ],
    };
    const headers = { "idempotency-key": "sheet-1" };
    const sent = await ask(`POST ${at}/commissioning/results`, { body: results, headers });
    expect(sent.status).toBe(201);
    expect(sent.json.items.map(({ observation }: { observation: { type: string } }) => observation.type)).toEqual([
      "drains-freely",
      "inspection",
      "switch-tested",
    ]);
    expect((await ask(`POST ${at}/commissioning/results`, { body: results, headers })).text).toBe(sent.text);
    const again = await ask(`POST ${at}/commissioning/results`, { body: results });
    expect([again.status, again.json.items[0].made]).toEqual([200, false]);

    const key = { "idempotency-key": "revise-1" };
    const made = await ask(`POST ${at}/inspections/revision`, { headers: key });
    expect(made.status).toBe(201);
    expect(made.json).toMatchObject({ number: 2, by: "default" });
    expect(made.headers.get("location")).toBe(`${at}/revisions/2`);
    expect((await ask(`POST ${at}/inspections/revision`, { headers: key })).text).toBe(made.text);
    const { network } = (await ask(`GET ${at}/revisions/2`)).json;
    expect(network.nodes.find(({ id }: { id: string }) => id === "F-2").panStatic).toBe("-60 Pa");
    expect(network.overflowDevices.map(({ state }: { state: string }) => state)).toContain("failed");
    const nothing = await ask(`POST ${at}/inspections/revision`, { body: { note: "again" } });
    expect([nothing.status, nothing.json.code]).toEqual([409, "conflict"]);
    const unknown = await ask(`POST ${at}/inspections/revision`, { body: { observations: ["nowhere"] } });
    expect([unknown.status, unknown.json.errors[0].pointer]).toEqual([422, "/observations/0"]);
  });
});
