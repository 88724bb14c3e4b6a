// Who may do what to whose: every route, with ids of one's own, of another's, unknown and malformed, by every sort of
// caller. The rows are held against the routes that are served, so that a new route is refused here until it has one.

import pg from "pg";
import { pino } from "pino";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Role } from "../../src/service/shelves.js";
import { tutorialLine } from "../builders/sound-app.js";
import { type Reply, type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";

const network = JSON.parse(tutorialLine) as {
  nodes: { id: string; kind: string; dwelling?: string }[];
  pipes: { id: string }[];
};
const coil = network.nodes.find(({ kind }) => kind === "fan-coil")!;
coil.dwelling = "0101";

const WORDS = { name: "Canary Court", timeZone: "UTC" };
const SEEN = { type: "water-seen", node: coil.id, time: "2026-01-01T00:00:00Z", source: "canary" };
const CALCULATION = { air: { dryBulb: 24, relativeHumidity: 0.5 } };

interface Row {
  /** the least role; open: anybody */
  readonly role: Role | "open";
  readonly body?: unknown;
  readonly type?: string;
  /** If-Match: any state */
  readonly matched?: true;
  /** what whoever may is answered, of its own */
  readonly own?: number;
  /** for ids that nothing can have; else as for unknown ones */
  readonly malformed?: number;
  /** it adds, changes or removes: done to a building made for it */
  readonly changes?: true;
  /** it makes a building: what is sent of others' ids instead, so that none is made, and what that is answered */
  readonly makes?: { readonly body?: unknown; readonly status: number };
  /** a page for people: it has no codes, and asks whoever is unknown for a key */
  readonly page?: true;
}

const changing = (row: Omit<Row, "role" | "changes"> = {}): Row => ({ role: "write", changes: true, ...row });
const read: Row = { role: "read" };
const open: Row = { role: "open" };
const page: Row = { role: "read", page: true };
const audits = (body: unknown = network): Row => ({ role: "read", body });
const NDJSON = "application/x-ndjson";

const ROWS: Readonly<Record<string, Row>> = {
  "GET /livez": open,
  "GET /readyz": open,
  "GET /openapi.json": open,
  "POST /v1/audits": audits(),
  "GET /metrics": { role: "admin" },
  "GET /favicon.ico": { role: "open", own: 204 },
  "GET /docs": open,
  "GET /docs/": open,
  "POST /v1/audits/stream": { role: "read", body: tutorialLine, type: NDJSON },
  "POST /v1/backups": audits({ network, blocked: { pipe: network.pipes[0]!.id } }),
  "POST /v1/blockages": audits({ network, observations: [] }),
  "POST /v1/commissioning": audits(),
  "POST /v1/comparisons": audits({ before: network, after: network }),
  "POST /v1/drawings/path": audits({ network, fanCoil: coil.id }),
  "POST /v1/drawings/riser": audits({ network }),
  "POST /v1/expansions": audits(),
  "GET /v1/calculations": read,
  "GET /v1/calculations/trap": read,
  "POST /v1/calculations/moist-air": audits(CALCULATION),
  "GET /v1/limits": read,
  "GET /v1/materials": read,
  "GET /v1/profiles": read,
  "GET /v1/profiles/imc": read,
  "GET /v1/rules": read,
  "GET /v1/rules/fall.reverse": read,
  "GET /v1/schemas/network": read,

  "GET /v1/buildings": read,
  "GET /v1/health": read,
  "GET /v1/buildings/{building}": read,
  "PUT /v1/buildings/{building}": changing({ body: WORDS, matched: true, malformed: 422, makes: { status: 412 } }),
  "DELETE /v1/buildings/{building}": changing({ matched: true, own: 204 }),
  "GET /v1/buildings/{building}/revisions": read,
  "POST /v1/buildings/{building}/revisions": changing({ body: network, own: 201 }),
  "GET /v1/buildings/{building}/revisions/{revision}": read,
  "GET /v1/buildings/{building}/revisions/{revision}/audit": read,
  "POST /v1/buildings/{building}/revisions/{revision}/audits": changing({ own: 201 }),
  "GET /v1/buildings/{building}/findings": read,
  "GET /v1/buildings/{building}/findings/{finding}/waiver": read,
  "PUT /v1/buildings/{building}/findings/{finding}/waiver": changing({
    body: { by: "canary", reason: "canary" },
    matched: true,
  }),
  "DELETE /v1/buildings/{building}/findings/{finding}/waiver": changing({ matched: true, own: 204 }),
  "GET /v1/buildings/{building}/observations": read,
  "POST /v1/buildings/{building}/observations": changing({ body: SEEN, own: 201 }),
  "GET /v1/buildings/{building}/observations/{observation}": read,
  "GET /v1/buildings/{building}/health": read,
  "GET /v1/buildings/{building}/health/history": read,
  "GET /v1/buildings/{building}/fan-coils/{fanCoil}/health": read,
  "GET /v1/buildings/{building}/risers/{riser}/health": read,
  "GET /v1/buildings/{building}/cleanings": read,
  "GET /v1/buildings/{building}/dwellings/{dwelling}": read,
  "GET /v1/buildings/{building}/pipes/{pipe}/isolation": read,
  "POST /v1/buildings/{building}/blockages": audits({}),
  "GET /v1/buildings/{building}/commissioning": read,
  "POST /v1/buildings/{building}/commissioning/results": changing({
    body: {
      time: "2026-01-02T00:00:00Z",
      by: "canary",
      results: [{ check: `pour-fan-off~f:${coil.id}`, boxes: { leaves: true } }],
    },
    own: 201,
  }),
  "POST /v1/buildings/{building}/inspections/revision": changing({ body: {}, own: 201 }),
  "GET /v1/buildings/{building}/survey-list": read,
  "GET /v1/buildings/{building}/riser.svg": read,
  "GET /v1/buildings/{building}/report": read,
  "GET /v1/buildings/{building}/export": read,
  // what is brought in is one's own, whatever others call theirs; see below
  "POST /v1/buildings/{building}/import": {
    role: "admin",
    type: NDJSON,
    own: 201,
    makes: { body: "{}\n", status: 422 },
  },
  "POST /v1/buildings/{building}/what-if": audits({ network }),

  "GET /buildings": page,
  "POST /buildings": { role: "open", body: "forget=key", type: "application/x-www-form-urlencoded", own: 303 },
  "GET /buildings/{building}": page,
  "GET /buildings/{building}/dwellings/{dwelling}": page,
  "GET /buildings/{building}/report": page,
  "GET /buildings/{building}/riser.svg": page,
};

/** A route of the description as the table names it: parameters of the catalogue are filled in there. */
const EXAMPLES: readonly (readonly [RegExp, string])[] = [
  [/^(GET) \/v1\/calculations\/\{name\}$/, "GET /v1/calculations/trap"],
  [/^POST \/v1\/calculations\/\{name\}$/, "POST /v1/calculations/moist-air"],
  [/^GET \/v1\/profiles\/\{id\}$/, "GET /v1/profiles/imc"],
  [/^GET \/v1\/rules\/\{id\}$/, "GET /v1/rules/fall.reverse"],
];
const named = (route: string): string => EXAMPLES.find(([pattern]) => pattern.test(route))?.[1] ?? route;

/** Every route that the router knows, described or not: it prints them as a tree. */
const servedBy = (tree: string): string[] => {
  const above: string[] = [];
  return tree.split("\n").flatMap((line) => {
    const read = /^((?:│ {3}| {4})*)[├└]── (\S+) \(([A-Z, ]+)\)$/.exec(line);
    if (read === null) return [];
    const depth = read[1]!.length / 4;
    const path = `${above[depth - 1] ?? ""}${read[2]}`;
    above.length = depth;
    above.push(path);
    const pattern = path.replaceAll(/:(\w+)/g, "{$1}");
    return read[3]!
      .split(", ")
      .filter((method) => method !== "HEAD")
      .map((method) => named(`${method} ${pattern}`));
  });
};

const ROLES: readonly Role[] = ["read", "write", "admin"];
const OUTSIDE = ["no key", "no such key", "another scheme", "a revoked key", "an expired key"] as const;

describe.each(engines)("isolation on the $name server", (engine) => {
  let service: StoredApp;
  const log: string[] = [];
  const secrets = new Map<string, string>();
  const ids: Record<string, string> = {
    revision: "1",
    observation: "w1",
    fanCoil: coil.id,
    dwelling: "0101",
    pipe: network.pipes[0]!.id,
    // the main where it goes down; it has no name, its outlet has
    riser: network.nodes.find(({ kind }) => kind === "outlet")!.id,
  };
  let made = 0;
  /** what a building is carried in as */
  let carried = "";

  /** A building with all that can hang on one. */
  const makeBuilding = async (organization: string, id: string): Promise<void> => {
    const key = secrets.get(`${organization} admin`)!;
    const at = `/v1/buildings/${id}`;
    const ask = async (request: string, body?: unknown, status = 201) => {
      const reply = await service.ask(request, { key, ...(body !== undefined && { body }) });
      expect([request, reply.status]).toEqual([request, status]);
      return reply.json;
    };
    await ask(`PUT ${at}`, { ...WORDS, name: `${WORDS.name} of ${organization}` });
    await ask(`POST ${at}/revisions`, network);
    await ask(`POST ${at}/observations`, { ...SEEN, id: ids.observation });
    const measured = { type: "inspection", attribute: "panStatic", value: -120 };
    await ask(`POST ${at}/observations`, { ...SEEN, ...measured, id: "m1", time: new Date().toISOString() });
    ids.finding ??= (await ask(`GET ${at}/findings`, undefined, 200)).items[0].id;
    await ask(`PUT ${at}/findings/${encodeURIComponent(ids.finding!)}/waiver`, { by: "canary", reason: "canary" });
  };

  beforeAll(async () => {
    const logger = pino({ level: "trace" }, { write: (line: string) => void log.push(line) });
    service = await storedApp(engine, { logger });
    for (const organization of ["alder", "birch"])
      for (const role of ROLES) secrets.set(`${organization} ${role}`, await service.keyFor(organization, role));
    const { key, secret } = await service.keys.make({
      organization: "alder",
      role: "admin",
      label: "gone",
      expiresAt: null,
    });
    await service.keys.revoke(key.id);
    secrets.set("a revoked key", secret);
    const past = { organization: "alder", role: "admin", label: "old", expiresAt: new Date(0) } as const;
    secrets.set("an expired key", (await service.keys.make(past)).secret);
    secrets.set("no such key", `drainward_${"x".repeat(43)}`);
    await makeBuilding("alder", "own");
    await makeBuilding("birch", "theirs");
    carried = (await service.ask("GET /v1/buildings/own/export", { key: secrets.get("alder admin")! })).text;
  }, 120_000);
  afterAll(() => service.close());

  const call = (route: string, building: string, headers: Record<string, string>, own: Record<string, string> = {}) => {
    const row = ROWS[route]!;
    const isMade = building.startsWith("own-");
    const body = row.makes?.body === undefined ? row.body : isMade ? carried : row.makes.body;
    const values: Record<string, string> = { ...ids, building, ...own };
    const request = route.replaceAll(/\{(\w+)\}/g, (_, name: string) =>
      name === "building" ? values.building! : encodeURIComponent(values[name] ?? "none"),
    );
    return service.ask(request, {
      ...(body !== undefined && { body }),
      headers: {
        ...(row.matched && { "if-match": "*" }),
        ...(row.type !== undefined && { "content-type": row.type }),
        ...headers,
      },
    });
  };
  const bearer = (name: string): Record<string, string> =>
    secrets.has(name)
      ? { authorization: `Bearer ${secrets.get(name)}` }
      : name === "another scheme"
        ? { authorization: "Basic YWxkZXI6eA==" }
        : {};
  const isStored = (route: string) => route.includes("{building}");
  const allowed = (role: Role, row: Row) => row.role === "open" || ROLES.indexOf(role) >= ROLES.indexOf(row.role);
  /** what another may learn of an answer; a page that asks for a key says where it leads, as it was asked */
  const seen = ({ status, headers, text }: Reply, asked?: string) => {
    const shown = [...headers].filter(([name]) => !["x-request-id", "date", "content-length"].includes(name));
    return { status, text: asked === undefined ? text : text.replaceAll(`/buildings/${asked}`, "…"), headers: shown };
  };

  test("every route that is served has a row, and every row a route", async () => {
    const { json } = await service.ask("GET /openapi.json");
    const described = Object.entries(json.paths as Record<string, object>).flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => named(`${method.toUpperCase()} ${path}`)),
    );
    const served = servedBy(service.app.printRoutes({ commonPrefix: false }));
    expect([...new Set(served)].sort()).toEqual(Object.keys(ROWS).sort());
    // and nothing is described that is not served
    expect(described.filter((route) => !served.includes(route))).toEqual([]);
  });

  for (const route of Object.keys(ROWS)) {
    const row = ROWS[route]!;
    const buildings = isStored(route) ? ["own", "theirs", "unknown", "%00", "a%2Fb"] : ["-"];

    test(`${route} lets in who may and nobody else`, async () => {
      for (const caller of OUTSIDE) {
        const replies = await Promise.all(buildings.map((building) => call(route, building, bearer(caller))));
        for (const [i, reply] of replies.entries()) {
          expect([caller, reply.status]).toEqual([caller, row.role === "open" ? (row.own ?? 200) : 401]);
          if (row.role === "open") continue;
          expect(reply.headers.get("www-authenticate")).toBe("Bearer");
          const asked = (at: number) => (row.page ? buildings[at] : undefined);
          expect(seen(reply, asked(i))).toEqual(seen(replies[0]!, asked(0)));
        }
      }
      for (const role of ROLES) {
        if (!allowed(role, row)) {
          const replies = await Promise.all(
            buildings.map((building) => call(route, building, bearer(`alder ${role}`))),
          );
          for (const reply of replies) {
            expect([role, reply.status, reply.json.code]).toEqual([role, 403, "role-too-low"]);
            expect(seen(reply)).toEqual(seen(replies[0]!));
          }
          continue;
        }
        let own = "own";
        if (row.changes) {
          own = `own-${++made}`;
          await makeBuilding("alder", own);
        } else if (row.makes) own = `own-${++made}`;
        const reply = await call(route, own, bearer(`alder ${role}`));
        expect([role, reply.status, reply.status < 400 ? "" : reply.text]).toEqual([role, row.own ?? 200, ""]);
        // what belongs to others appears nowhere
        expect(reply.text).not.toContain("birch");
        expect(reply.text).not.toContain("theirs");
      }
    });

    if (isStored(route))
      test(`${route} cannot tell another's from what is not there`, async () => {
        for (const role of ROLES.filter((each) => allowed(each, row))) {
          const [theirs, unknown] = await Promise.all(
            ["theirs", "unknown"].map((building) => call(route, building, bearer(`alder ${role}`))),
          );
          // making a building of that name is one's own business
          const status = row.makes?.status ?? 404;
          expect([route, theirs!.status]).toEqual([route, status]);
          if (row.page) expect(theirs!.headers.get("content-type")).toBe("text/html; charset=utf-8");
          else if (status === 404) expect(theirs!.json.code).toBe("not-found");
          expect(seen(theirs!)).toEqual(seen(unknown!));
          for (const building of ["%00", "a%2Fb", "own%20", "OWN", "own\u0301", "%F0%9F%9C%84"]) {
            const reply = await call(route, building, bearer(`alder ${role}`));
            expect([building, [row.malformed, status, 404].includes(reply.status)]).toEqual([building, true]);
          }
        }
        // and what hangs on it
        for (const part of [...route.matchAll(/\{(\w+)\}/g)].map(([, name]) => name!)) {
          if (part === "building") continue;
          for (const id of ["none", "%", "\u0000", "'; drop table building; --", "__proto__"]) {
            const reply = await call(route, "own", bearer("alder admin"), { [part]: id });
            const code = row.page ? undefined : "not-found";
            expect([part, id, reply.status, reply.json?.code]).toEqual([part, id, 404, code]);
          }
        }
      });
  }

  test("lists show one's own alone, whatever the cursor", async () => {
    for (const list of ["/v1/buildings", "/v1/health"]) {
      const page = await service.ask(`GET ${list}?limit=1`, { key: secrets.get("alder read")! });
      const next = /[?&]cursor=([^&>]+)/.exec(page.headers.get("link") ?? "")?.[1];
      expect(next).toBeDefined();
      const other = await service.ask(`GET ${list}?cursor=${next}`, { key: secrets.get("birch read")! });
      expect(other.status).toBe(200);
      expect(other.text).not.toContain("own");
      const all = await service.ask(`GET ${list}?limit=1000`, { key: secrets.get("birch read")! });
      expect(all.json.items.map(({ id, building }: { id?: string; building?: string }) => id ?? building)).toEqual([
        "theirs",
      ]);
    }
  });

  test("what brings in finds one's own alone", async () => {
    const bring = (organization: string, building: string) =>
      service.ask(`POST /v1/buildings/${building}/import`, {
        body: carried,
        key: secrets.get(`${organization} admin`)!,
        headers: { "content-type": NDJSON },
      });
    expect((await bring("birch", "theirs")).status).toBe(409);
    // the name that is another's is free here
    expect((await bring("birch", "own")).status).toBe(201);
    expect((await service.ask("GET /v1/buildings/own", { key: secrets.get("birch read")! })).json.name).toBe(
      "Canary Court of alder",
    );
    const headers = { "if-match": "*" };
    await service.ask("DELETE /v1/buildings/own", { key: secrets.get("birch admin")!, headers });
    expect((await service.ask("GET /v1/buildings/own", { key: secrets.get("alder read")! })).status).toBe(200);
  });

  test("a comparison reaches one's own revisions alone", async () => {
    const compared = (building: string, revision: unknown) =>
      service.ask("POST /v1/comparisons", {
        body: { before: network, after: { building, revision } },
        key: secrets.get("alder read")!,
      });
    expect((await compared("own", 1)).status).toBe(200);
    const [theirs, unknown, later, zero] = await Promise.all([
      compared("theirs", 1),
      compared("unknown", 1),
      compared("own", 99),
      compared("\u0000", "latest"),
    ]);
    expect([theirs!.status, theirs!.json.errors]).toEqual([404, [expect.objectContaining({ pointer: "/after" })]]);
    for (const other of [unknown!, later!, zero!]) expect(seen(other)).toEqual(seen(theirs!));
  });

  test("a key that a browser keeps opens pages alone, and its own organization's", async () => {
    const cookie = (name: string) => ({ cookie: `drainward-key=${secrets.get(name)}` });
    const ask = (request: string, name: string) => service.ask(request, { headers: cookie(name) });
    expect((await ask("GET /buildings/own", "alder read")).status).toBe(200);
    expect((await ask("GET /buildings/own", "birch admin")).status).toBe(404);
    expect((await ask("GET /buildings/own", "a revoked key")).status).toBe(401);
    expect((await ask("GET /v1/buildings/own", "alder admin")).status).toBe(401);
    expect((await ask("GET /metrics", "alder admin")).status).toBe(401);
  });

  test("HEAD lets in whom GET does", async () => {
    for (const route of Object.keys(ROWS).filter((each) => each.startsWith("GET "))) {
      const head = route
        .replace("GET", "HEAD")
        .replaceAll(/\{(\w+)\}/g, (_, name: string) =>
          name === "building" ? "own" : encodeURIComponent(ids[name] ?? "none"),
        );
      const status = ROWS[route]!.role === "open" ? (ROWS[route]!.own ?? 200) : 401;
      expect([head, (await service.ask(head)).status]).toEqual([head, status]);
    }
  });

  test("the same Idempotency-Key of two organizations is two", async () => {
    const headers = { "idempotency-key": "shared" };
    const post = (organization: string, building: string) =>
      service.ask(`POST /v1/buildings/${building}/observations`, {
        body: { ...SEEN, text: organization },
        key: secrets.get(`${organization} write`)!,
        headers,
      });
    const [alder, birch] = await Promise.all([post("alder", "own"), post("birch", "theirs")]);
    expect([alder!.status, birch!.status]).toEqual([201, 201]);
    expect((await post("birch", "theirs")).text).toBe(birch!.text);
    expect(alder!.json.text).toBe("alder");
  });

  test("the entity tag of another's building opens nothing", async () => {
    const tag = (await service.ask("GET /v1/buildings/own", { key: secrets.get("alder read")! })).headers.get("etag")!;
    const reply = await service.ask("DELETE /v1/buildings/own", {
      key: secrets.get("birch admin")!,
      headers: { "if-match": tag },
    });
    expect(reply.status).toBe(404);
    expect((await service.ask("GET /v1/buildings/own", { key: secrets.get("alder read")! })).status).toBe(200);
  });

  test("the database shows the serving role one organization's rows, and lets it write no others", async () => {
    const client = new pg.Client({ connectionString: service.url });
    await client.connect();
    try {
      await client.query("begin");
      await client.query(
        "select set_config('drainward.organization', 'birch', true), set_config('role', 'drainward_service', true)",
      );
      for (const table of ["building", "revision", "audit", "finding", "waiver", "observation", "repeat"]) {
        const { rows } = await client.query(`select distinct organization from ${table}`);
        expect([table, rows]).toEqual([table, [{ organization: "birch" }]]);
      }
      expect((await client.query("update building set name = 'x' where organization = 'alder'")).rowCount).toBe(0);
      await client.query("savepoint here");
      await expect(
        client.query("insert into building values ('alder', 'x', 'x', 'UTC', '[]', 1, 0, null, null, now(), now())"),
      ).rejects.toMatchObject({ code: "42501" });
      await client.query("rollback to here");
      // keys are for whoever asks who calls, and never for a request
      await expect(client.query("select * from key")).rejects.toMatchObject({ code: "42501" });
      await client.query("rollback");
    } finally {
      await client.end();
    }
  });

  test("no line of the log has a key or a word of a body", () => {
    expect(log.length).toBeGreaterThan(100);
    const all = log.join("\n");
    for (const secret of secrets.values()) expect(all).not.toContain(secret.slice("drainward_".length));
    expect(all).not.toMatch(/canary|Bearer/i);
  });
});
