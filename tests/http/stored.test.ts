// Stored buildings over real connections, on each server: what each call keeps, answers and refuses.
import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { tutorialLine } from "../builders/sound-app.js";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const WORDS = { name: "Elm Court", timeZone: "Europe/Lisbon" };
const network = JSON.parse(tutorialLine) as {
  nodes: { id: string; kind: string; pan?: object }[];
  units: string;
};
const coil = network.nodes.find(({ kind }) => kind === "fan-coil")!.id;

describe.each(engines)("stored buildings over HTTP on the $name server", (engine) => {
  let service: StoredApp;
  let clock = new Date("2026-07-01T08:00:00Z");
  beforeAll(async () => {
    service = await storedApp(engine, { now: () => clock });
  }, 60_000);
  afterAll(() => service.close());
  const ask: StoredApp["ask"] = (request, more) => service.ask(request, more);
  const made = async (id: string) => expect((await ask(`PUT /v1/buildings/${id}`, { body: WORDS })).status).toBe(201);

  describe("a building", () => {
    test("is made, read, changed by who has read it, and removed", async () => {
      const first = await ask("PUT /v1/buildings/elm", { body: { ...WORDS, tags: ["harbor"] } });
      expect([first.status, first.headers.get("location")]).toEqual([201, "/v1/buildings/elm"]);
      expect(first.json).toEqual({
        id: "elm",
        ...WORDS,
        tags: ["harbor"],
        cleaningDays: null,
        revision: 0,
        createdAt: "2026-07-01T08:00:00.000Z",
        changedAt: "2026-07-01T08:00:00.000Z",
      });
      const read = await ask("GET /v1/buildings/elm");
      expect([read.status, read.json]).toEqual([200, first.json]);
      const tag = read.headers.get("etag")!;
      expect(tag).toBe(first.headers.get("etag"));

      const bare = await ask("PUT /v1/buildings/elm", { body: WORDS });
      expect([bare.status, bare.json.code]).toEqual([428, "match-required"]);
      const next = await ask("PUT /v1/buildings/elm", {
        body: { ...WORDS, name: "Elm" },
        headers: { "if-match": tag },
      });
      expect([next.status, next.json.name, next.json.tags]).toEqual([200, "Elm", []]);
      const stale = await ask("PUT /v1/buildings/elm", { body: WORDS, headers: { "if-match": tag } });
      expect([stale.status, stale.json.code]).toEqual([412, "stale"]);

      expect((await ask("DELETE /v1/buildings/elm")).status).toBe(428);
      expect((await ask("DELETE /v1/buildings/elm", { headers: { "if-match": tag } })).status).toBe(412);
      const gone = await ask("DELETE /v1/buildings/elm", { headers: { "if-match": next.headers.get("etag")! } });
      expect([gone.status, gone.text]).toEqual([204, ""]);
      expect((await ask("GET /v1/buildings/elm")).status).toBe(404);
      expect((await ask("DELETE /v1/buildings/elm", { headers: { "if-match": "*" } })).status).toBe(404);
    });

    test("that is made again has another entity tag", async () => {
      const tags = [];
      for (let i = 0; i < 2; i++) {
        clock = new Date(clock.getTime() + 1000);
        const { headers } = await ask("PUT /v1/buildings/fir", { body: WORDS });
        tags.push(headers.get("etag")!);
        await ask("DELETE /v1/buildings/fir", { headers: { "if-match": tags[i]! } });
      }
      expect(tags[0]).not.toBe(tags[1]);
    });

    const bad = [
      ["nothing", {}, ["/name", "/timeZone"]],
      ["a zone that is none", { ...WORDS, timeZone: "Europe/Nowhere" }, ["/timeZone"]],
      ["an empty name", { ...WORDS, name: "" }, ["/name"]],
      ["a name in two lines", { ...WORDS, name: "a\nb" }, ["/name"]],
      ["a field that is unknown", { ...WORDS, timezone: "UTC" }, ["/timezone"]],
      ["a tag that is a number", { ...WORDS, tags: ["a", 1] }, ["/tags/1"]],
      ["a cleaning every half day", { ...WORDS, cleaningDays: 0.5 }, ["/cleaningDays"]],
      ["another id", { ...WORDS, id: "oak" }, ["/id"]],
      ["a list", [], [""]],
      ["everything at once", { name: 1, timeZone: 2, tags: 3, x: 4 }, ["/name", "/timeZone", "/tags", "/x"]],
    ] as const;
    for (const [name, body, pointers] of bad)
      test(`is refused with ${name}`, async () => {
        const reply = await ask("PUT /v1/buildings/bad", { body });
        expect([reply.status, reply.json.code]).toEqual([422, "invalid-body"]);
        expect(reply.json.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual(pointers);
      });

    test("has an id that can stand in a path", async () => {
      for (const id of ["a%20b", "%2e%2e", "-", "a%2Fb", "%F0%9F%9C%84", "a".repeat(129)]) {
        const reply = await ask(`PUT /v1/buildings/${id}`, { body: WORDS });
        expect([id, reply.status]).toEqual([id, reply.json.code === "not-found" ? 404 : 422]);
      }
      expect((await ask("PUT /v1/buildings/a.b_c~d-1", { body: WORDS })).status).toBe(201);
    });

    test("is put twice at once and made once", async () => {
      const replies = await Promise.all(
        Array.from({ length: 8 }, () => ask("PUT /v1/buildings/race", { body: WORDS })),
      );
      const statuses = replies.map(({ status }) => status).sort();
      expect(statuses).toEqual([201, 428, 428, 428, 428, 428, 428, 428]);
    });
  });

  describe("a list", () => {
    test("comes in pages, by cursors and by links, to the end", async () => {
      for (const id of ["l1", "l2", "l3", "l4", "l5"]) await made(id);
      const ids: string[] = [];
      let path: string | null = "/v1/buildings?limit=2";
      for (let pages = 0; path !== null && pages < 50; pages++) {
        const reply = await ask(`GET ${path}`);
        expect(reply.status).toBe(200);
        ids.push(...reply.json.items.map(({ id }: { id: string }) => id));
        const link = /^<(.+)>; rel="next"$/.exec(reply.headers.get("link") ?? "")?.[1] ?? null;
        expect(reply.json.next === null).toBe(link === null);
        if (link !== null) expect(new URL(link, service.base).searchParams.get("cursor")).toBe(reply.json.next);
        path = link;
      }
      const all = (await ask("GET /v1/buildings")).json;
      expect(all.next).toBeNull();
      expect(ids).toEqual(all.items.map(({ id }: { id: string }) => id));
      expect(ids).toEqual([...ids].sort());
    });

    for (const query of ["limit=0", "limit=1001", "limit=x", "cursor=", "cursor=bm9uZQ", "cursor=W10", "limi=1"])
      test(`is refused with ${query}`, async () => {
        const reply = await ask(`GET /v1/buildings?${query}`);
        expect([reply.status, reply.json.code]).toEqual([400, "bad-query"]);
      });

    test("does not take the cursor of another list", async () => {
      const { json } = await ask("GET /v1/buildings?limit=1");
      const reply = await ask(`GET /v1/buildings/l1/revisions?cursor=${json.next}`);
      expect([reply.status, reply.json.code]).toEqual([400, "bad-query"]);
    });
  });

  describe("a revision", () => {
    test("is kept as it was posted, with its audit", async () => {
      await made("rev");
      const spaced = tutorialLine.replace("{", "{ \n");
      const bare = await ask("POST /v1/buildings/rev/revisions", { body: spaced });
      expect([bare.status, bare.headers.get("location")]).toEqual([201, "/v1/buildings/rev/revisions/1"]);
      expect(bare.json).toMatchObject({ number: 1, by: "default", note: null, audit: { revision: 1, sequence: 1 } });
      const told = await ask("POST /v1/buildings/rev/revisions", {
        body: { network, by: "survey team", note: "spring", changed: "survey" },
      });
      expect(told.json).toMatchObject({ number: 2, by: "survey team", note: "spring", digest: bare.json.digest });

      const read = await ask("GET /v1/buildings/rev/revisions/1");
      expect(read.text).toContain(spaced);
      expect(Object.keys(read.json)).toEqual(["number", "digest", "createdAt", "by", "note", "network"]);
      expect(read.json.network).toEqual(network);
      expect((await ask("GET /v1/buildings/rev/revisions/latest")).json.number).toBe(2);
      const { json } = await ask("GET /v1/buildings/rev/revisions");
      expect(json.items.map(({ number }: { number: number }) => number)).toEqual([1, 2]);
      expect((await ask("GET /v1/buildings/rev")).json.revision).toBe(2);

      const audit = await ask("POST /v1/audits", { body: spaced });
      expect((await ask("GET /v1/buildings/rev/revisions/1/audit")).text).toBe(audit.text);
      const facts = await ask("GET /v1/buildings/rev/revisions/latest/audit?include=pipes,passes");
      expect(facts.text).toBe((await ask("POST /v1/audits?include=pipes,passes", { body: network })).text);
    });

    test("is judged again only when somebody asks", async () => {
      const again = await ask("POST /v1/buildings/rev/revisions/2/audits");
      expect([again.status, again.headers.get("location")]).toEqual([201, "/v1/buildings/rev/revisions/2/audit"]);
      expect(again.json).toMatchObject({ revision: 2, sequence: 2 });
      expect((await ask("GET /v1/buildings/rev/revisions/2/audit")).headers.get("etag")).toBe(
        again.headers.get("etag"),
      );
      expect((await ask("POST /v1/buildings/rev/revisions/9/audits")).status).toBe(404);
    });

    test("that is no network is refused with the places in what was posted, and keeps nothing", async () => {
      const wrong = { ...network, units: "x" };
      for (const [body, pointer] of [
        [wrong, "/units"],
        [{ network: wrong }, "/network/units"],
      ] as const) {
        const reply = await ask("POST /v1/buildings/rev/revisions", { body });
        expect([reply.status, reply.json.code, reply.json.errors[0].pointer]).toEqual([
          422,
          "invalid-document",
          pointer,
        ]);
      }
      for (const [body, status, code] of [
        ["{", 400, "bad-json"],
        ["[".repeat(70), 400, "too-deep"],
        ['{"network":{},"network":{}}', 400, "duplicate-key"],
        [{ network, by: "" }, 422, "invalid-document"],
        [{ network, bye: "x" }, 422, "invalid-document"],
        [{ network, changed: "both" }, 422, "invalid-document"],
        [`${tutorialLine},"previous":null`, 400, "bad-json"],
      ] as const) {
        const reply = await ask("POST /v1/buildings/rev/revisions", { body });
        expect([body, reply.status, reply.json.code]).toEqual([body, status, code]);
      }
      expect((await ask("GET /v1/buildings/rev")).json.revision).toBe(2);
    });

    for (const number of ["0", "-1", "1.5", "3", "x", "1e0", "99999999999", "%00"])
      test(`number ${number} is none`, async () => {
        for (const path of ["", "/audit"])
          expect((await ask(`GET /v1/buildings/rev/revisions/${number}${path}`)).status).toBe(404);
      });
  });

  describe("a finding", () => {
    test("lives through revisions, and is let be for a time", async () => {
      await made("life");
      await ask("POST /v1/buildings/life/revisions", { body: network });
      const list = (state: string) => ask(`GET /v1/buildings/life/findings?state=${state}`);
      const [finding] = (await ask("GET /v1/buildings/life/findings")).json.items;
      expect(finding).toMatchObject({ state: "open", since: 1, cause: "building", waiver: null });
      const path = `/v1/buildings/life/findings/${encodeURIComponent(finding.id)}/waiver`;
      expect((await ask(`GET ${path}`)).status).toBe(404);

      const body = { by: "J. Doe", reason: "ordered", until: "2026-08-01T00:00:00+02:00" };
      const laid = await ask(`PUT ${path}`, { body });
      expect([laid.status, laid.headers.get("location")]).toEqual([201, path]);
      expect(laid.json).toEqual({
        ...body,
        until: "2026-07-31T22:00:00.000Z",
        createdAt: clock.toISOString(),
      });
      expect((await list("waived")).json.items.map(({ id }: { id: string }) => id)).toEqual([finding.id]);
      const all = (await ask("GET /v1/buildings/life/findings")).json.items;
      expect(all.find(({ id }: { id: string }) => id === finding.id)).toMatchObject({
        state: "waived",
        waiver: { by: "J. Doe" },
      });
      expect((await list("open")).json.items.map(({ id }: { id: string }) => id)).not.toContain(finding.id);

      expect((await ask(`PUT ${path}`, { body })).status).toBe(428);
      expect((await ask(`DELETE ${path}`)).status).toBe(428);
      const tag = (await ask(`GET ${path}`)).headers.get("etag")!;
      expect((await ask(`PUT ${path}`, { body, headers: { "if-match": '"x"' } })).status).toBe(412);
      const changed = await ask(`PUT ${path}`, { body: { ...body, until: null }, headers: { "if-match": tag } });
      expect([changed.status, changed.json.until]).toEqual([200, null]);
      expect((await ask(`DELETE ${path}`, { headers: { "if-match": tag } })).status).toBe(412);
      const next = changed.headers.get("etag")!;
      expect((await ask(`DELETE ${path}`, { headers: { "if-match": next } })).status).toBe(204);
      expect((await list("waived")).json.items).toEqual([]);
    });

    test("cannot be waived into the past, nor without saying who and why", async () => {
      const [{ id }] = (await ask("GET /v1/buildings/life/findings")).json.items;
      const path = `/v1/buildings/life/findings/${encodeURIComponent(id)}/waiver`;
      for (const [body, pointers] of [
        [{ by: "J", reason: "r", until: "2026-06-01T00:00:00Z" }, ["/until"]],
        [{ by: "J", reason: "r", until: "tomorrow" }, ["/until"]],
        [{}, ["/by", "/reason"]],
      ] as const) {
        const reply = await ask(`PUT ${path}`, { body });
        expect([reply.status, reply.json.errors.map((each: { pointer: string }) => each.pointer)]).toEqual([
          422,
          pointers,
        ]);
      }
    });

    test("says what brought it about: the building, a closer look, or other rules", async () => {
      await made("cause");
      const leaking = {
        ...network,
        nodes: network.nodes.map((node) =>
          node.id === coil ? { ...node, pan: { ...node.pan, secondary: { height: 40, is: "open" } } } : node,
        ),
      };
      const post = (body: unknown) => ask("POST /v1/buildings/cause/revisions", { body });
      const causeOf = async (rule: string) => {
        const { items } = (await ask("GET /v1/buildings/cause/findings?limit=1000")).json;
        const own = items.find(
          (each: { rule: string; fanCoils: string[] }) => each.rule === rule && each.fanCoils.includes(coil),
        );
        return [own?.state, own?.since, own?.changed, own?.cause];
      };
      await post(network);
      expect(await causeOf("air.bypass")).toEqual([undefined, undefined, undefined, undefined]);
      // a port that is open and was plugged was opened: nobody found that out by measuring
      await post(leaking);
      expect(await causeOf("air.bypass")).toEqual(["open", 2, 2, "building"]);
      await post({ network, changed: "survey" });
      expect(await causeOf("air.bypass")).toEqual(["cleared", 2, 3, "survey"]);
      // what the rules of another catalogue did not find, in the same network
      await post(leaking);
      const client = new pg.Client({ connectionString: service.url });
      await client.connect();
      await client.query("update audit set catalogue = 'older' where building = 'cause'");
      await client.query("delete from finding where building = 'cause' and rule = 'air.bypass'");
      await client.end();
      expect((await ask("POST /v1/buildings/cause/revisions/latest/audits")).json).toMatchObject({ sequence: 2 });
      expect(await causeOf("air.bypass")).toEqual(["open", 4, 4, "catalogue"]);
    });

    test("is asked for by a state that is known", async () => {
      expect((await ask("GET /v1/buildings/life/findings?state=shut")).json.code).toBe("bad-query");
    });
  });

  describe("an observation", () => {
    const seen = { id: "w1", type: "water-seen", node: coil, time: "2026-07-01T09:00:00+01:00", source: "tenant" };

    test("is kept as it was told, once, and never changed", async () => {
      const first = await ask("POST /v1/buildings/life/observations", { body: seen });
      expect([first.status, first.headers.get("location")]).toEqual([201, "/v1/buildings/life/observations/w1"]);
      expect(first.json).toEqual({ ...seen, receivedAt: clock.toISOString() });
      const again = await ask("POST /v1/buildings/life/observations", { body: seen });
      expect([again.status, again.json]).toEqual([200, first.json]);
      const other = await ask("POST /v1/buildings/life/observations", { body: { ...seen, source: "x" } });
      expect([other.status, other.json.code]).toEqual([409, "conflict"]);
      expect((await ask("GET /v1/buildings/life/observations/w1")).json).toEqual(first.json);
      expect((await ask("GET /v1/buildings/life/observations/w9")).status).toBe(404);
      for (const method of ["PUT", "DELETE"])
        expect((await ask(`${method} /v1/buildings/life/observations/w1`)).status).toBe(405);
    });

    test("is of any of the fourteen types, and of no other", async () => {
      await made("types");
      await ask("POST /v1/buildings/types/revisions", { body: network });
      // as the interface promises them, word for word
      const types =
        "switch-trip switch-tested switch-jumpered water-seen drains-freely slow-drain flow-test grade-reading level-reading cap-found-open cleaned trap-primed ceiling-opened inspection".split(
          " ",
        );
      for (const type of types) {
        const body = {
          type,
          node: coil,
          time: "2026-07-01T07:00:00Z",
          source: "x",
          ...(type === "flow-test" && { value: { litres: 5, seconds: 90 } }),
        };
        expect([type, (await ask("POST /v1/buildings/types/observations", { body })).status]).toEqual([type, 201]);
      }
      const { items } = (await ask("GET /v1/buildings/types/observations")).json;
      expect(items.map(({ type }: { type: string }) => type).sort()).toEqual([...types].sort());
      const other = await ask("POST /v1/buildings/types/observations", { body: { ...seen, type: "smell" } });
      expect([other.status, other.json.errors[0].pointer]).toEqual([422, "/type"]);
    });

    test("is listed by its time, from one and to another", async () => {
      for (const [id, time] of [
        ["w3", "2026-07-01T10:00:00Z"],
        ["w2", "2026-07-01T09:30:00Z"],
      ])
        await ask("POST /v1/buildings/life/observations", { body: { ...seen, id, time } });
      const list = async (query: string) =>
        (await ask(`GET /v1/buildings/life/observations?${query}`)).json.items.map(({ id }: { id: string }) => id);
      expect(await list("")).toEqual(["w1", "w2", "w3"]);
      expect(await list("from=2026-07-01T09:30:00Z")).toEqual(["w2", "w3"]);
      expect(await list("to=2026-07-01T10:30:00%2B01:00")).toEqual(["w1", "w2"]);
      const { json } = await ask("GET /v1/buildings/life/observations?limit=1");
      expect(await list(`limit=5&cursor=${json.next}`)).toEqual(["w2", "w3"]);
      expect((await ask("GET /v1/buildings/life/observations?from=yesterday")).json.code).toBe("bad-query");
    });

    test("is refused with every fault at its place", async () => {
      const reply = await ask("POST /v1/buildings/life/observations", {
        body: { type: "water", time: "2026-07-01", nod: coil },
      });
      expect(reply.status).toBe(422);
      expect(reply.json.errors.map(({ pointer }: { pointer: string }) => pointer).sort()).toEqual([
        "/nod",
        "/time",
        "/type",
      ]);
      const late = await ask("POST /v1/buildings/life/observations", {
        body: { type: "water-seen", node: "nowhere", time: "2026-07-05T08:00:00Z", source: "x" },
      });
      expect([late.status, late.json.errors.map(({ pointer }: { pointer: string }) => pointer)]).toEqual([
        422,
        ["/time", "/node"],
      ]);
      const misspelled = await ask("POST /v1/buildings/life/observations", {
        body: { ...seen, id: "w9", node: `${coil}x` },
      });
      expect(misspelled.json.errors).toEqual([
        { pointer: "/node", detail: "the newest revision has no such node", hint: `did you mean "${coil}"?` },
      ]);
    });
  });

  test("health speaks of a building, of a coil, and of all, worst first", async () => {
    const whole = (await ask("GET /v1/buildings/life/health")).json;
    expect(Object.keys(whole)).toEqual(["state", "at", "reasons", "next"]);
    expect([whole.state, whole.at]).toEqual(["act", clock.toISOString()]);
    const before = (await ask("GET /v1/buildings/life/health?at=2026-07-01T07:00:00Z")).json;
    expect(before.reasons.some(({ kind }: { kind: string }) => kind === "observation")).toBe(false);
    const part = (await ask(`GET /v1/buildings/life/fan-coils/${coil}/health`)).json;
    expect([part.state, part.reasons.map(({ ref }: { ref: string }) => ref)]).toEqual([
      "act",
      expect.arrayContaining(["w1"]),
    ]);
    expect((await ask("GET /v1/buildings/life/fan-coils/nowhere/health")).status).toBe(404);
    const all = await ask("GET /v1/health?limit=1");
    expect([all.json.state, all.json.items.length]).toEqual(["act", 1]);
    expect(all.json.items[0].state).toBe("act");
    const link = /<(.+)>/.exec(all.headers.get("link")!)![1];
    const rest = (await ask(`GET ${link}&limit=1000`.replace("limit=1&", ""))).json;
    expect(rest.items.map(({ building }: { building: string }) => building)).not.toContain(all.json.items[0].building);
    expect(rest.items.length + 1).toBe((await ask("GET /v1/buildings?limit=1000")).json.items.length);
  });

  describe("a call that comes twice with one Idempotency-Key", () => {
    const twice = (key: string) => ({ "idempotency-key": key });

    test("is answered as the first time, byte for byte, and done once", async () => {
      await made("once");
      const post = () => ask("POST /v1/buildings/once/revisions", { body: network, headers: twice("r-1") });
      const first = await post();
      clock = new Date(clock.getTime() + 60_000);
      const again = await post();
      expect([again.status, again.text, again.headers.get("location"), again.headers.get("etag")]).toEqual([
        201,
        first.text,
        first.headers.get("location"),
        first.headers.get("etag"),
      ]);
      expect((await ask("GET /v1/buildings/once")).json.revision).toBe(1);
      const observation = { type: "water-seen", node: coil, time: "2026-07-01T08:00:00Z", source: "x" };
      const see = () => ask("POST /v1/buildings/once/observations", { body: observation, headers: twice("o-1") });
      expect((await see()).json.id).toBe((await see()).json.id);
      expect((await ask("GET /v1/buildings/once/observations")).json.items).toHaveLength(1);
    });

    test("is refused with another body or at another path", async () => {
      const other = await ask("POST /v1/buildings/once/revisions", {
        body: { network, note: "other" },
        headers: twice("r-1"),
      });
      expect([other.status, other.json.code]).toEqual([422, "key-reused"]);
      const elsewhere = await ask("POST /v1/buildings/rev/revisions", { body: network, headers: twice("r-1") });
      expect([elsewhere.status, elsewhere.json.code]).toEqual([422, "key-reused"]);
    });

    test("is refused while the first runs", async () => {
      const replies = await Promise.all(
        Array.from({ length: 6 }, () =>
          ask("POST /v1/buildings/once/revisions", { body: network, headers: twice("r-2") }),
        ),
      );
      const statuses = replies.map(({ status }) => status).sort();
      expect(statuses).toEqual([201, 409, 409, 409, 409, 409]);
      expect((await ask("GET /v1/buildings/once")).json.revision).toBe(2);
    });

    test("that failed may be sent again", async () => {
      const post = () => ask("POST /v1/buildings/later/revisions", { body: network, headers: twice("r-3") });
      expect((await post()).status).toBe(404);
      await made("later");
      expect((await post()).status).toBe(201);
    });

    test("has a key that can stand in a header", async () => {
      const reply = await ask("POST /v1/buildings/once/revisions", { body: network, headers: twice("a".repeat(256)) });
      expect([reply.status, reply.json.code]).toEqual([400, "bad-request"]);
    });
  });
});
