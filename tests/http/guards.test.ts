// What the service refuses by itself: when full, when stopping, by role, and routes that declare none.
import fastify from "fastify";
import { pino } from "pino";
import { afterEach, describe, expect, test } from "vitest";
import { makeApp } from "../../src/http/app.js";
import { guardRoutes } from "../../src/http/auth.js";
import { type Auditor, makeAuditor } from "../../src/service/auditor.js";
import { Unavailable } from "../../src/service/refusal.js";
import { type SoundApp, soundApp, tutorial } from "../builders/sound-app.js";

const sounds: SoundApp[] = [];
const open = async (options: Parameters<typeof soundApp>[0] = {}) => {
  const sound = await soundApp(options);
  sounds.push(sound);
  return sound;
};
afterEach(async () => {
  await Promise.all(sounds.splice(0).map((sound) => sound.close()));
});

const request = {
  method: "POST",
  url: "/v1/audits",
  payload: tutorial,
  headers: { "content-type": "application/json" },
} as const;

/** An auditor whose audits end as told. */
const scripted = (perform: Auditor["perform"]): Auditor => ({ ...makeAuditor(), ready: true, perform });

describe("roles", () => {
  test("a route without a declared role fails at start", async () => {
    const app = fastify();
    guardRoutes(app, () => null);
    expect(() => app.get("/forgotten", async () => "")).toThrow("declares no role");
  });

  test("a caller of a lower role is refused, one of the same or a higher one is not", async () => {
    const statusFor = async (role: "read" | "write" | "admin") => {
      const app = await makeApp({
        auditor: makeAuditor(),
        identify: () => ({ organization: "default", role, key: null, name: "default" }),
      });
      app.get("/v1/for-writers", { config: { role: "write" } }, async () => ({}));
      const reply = await app.inject({ method: "GET", url: "/v1/for-writers" });
      await app.close();
      return reply.statusCode;
    };
    expect([await statusFor("read"), await statusFor("write"), await statusFor("admin")]).toEqual([403, 200, 200]);
  });
});

describe("a full or failing service", () => {
  test("beyond its queue it answers 503 at once, and audits go on", async () => {
    const { app } = await open({ threads: { threads: 1, queued: 1 } });
    const replies = await Promise.all(Array.from({ length: 8 }, () => app.inject(request)));
    const statuses = replies.map((reply) => reply.statusCode);
    expect(statuses.filter((status) => status === 200)).toHaveLength(2);
    const refused = replies.filter((reply) => reply.statusCode === 503);
    expect(refused).toHaveLength(6);
    for (const reply of refused) {
      expect(reply.json().code).toBe("busy");
      expect(reply.headers["retry-after"]).toBe("1");
    }
    expect((await app.inject(request)).statusCode).toBe(200);
  });

  test("an audit that outlasts its budget is 503, and the next one is answered", async () => {
    const slow = await open({ threads: { threads: 1, budget: 1 } });
    const reply = await slow.app.inject(request);
    expect([reply.statusCode, reply.json().code, reply.headers["retry-after"]]).toEqual([503, "over-budget", "30"]);
  });

  test("a fault of ours is 500 without its words", async () => {
    const app = await makeApp({ auditor: scripted(() => Promise.reject(new Error("secret-canary"))) });
    const reply = await app.inject(request);
    expect([reply.statusCode, reply.json().code]).toEqual([500, "internal"]);
    expect(reply.body).not.toContain("secret-canary");
    await app.close();
  });

  test("a stopping auditor is 503", async () => {
    const app = await makeApp({ auditor: scripted(() => Promise.reject(new Unavailable("stopping", 5))) });
    const reply = await app.inject(request);
    expect([reply.statusCode, reply.json().code, reply.headers["retry-after"]]).toEqual([503, "stopping", "5"]);
    await app.close();
  });

  test("without threads it lives and is not ready", async () => {
    const app = await makeApp({ auditor: makeAuditor() });
    expect((await app.inject({ method: "GET", url: "/livez" })).statusCode).toBe(200);
    const reply = await app.inject({ method: "GET", url: "/readyz" });
    expect([reply.statusCode, reply.json().code]).toEqual([503, "not-ready"]);
    await app.close();
  });
});

describe("the log", () => {
  test("has one line for a request, with neither body nor key", async () => {
    const lines: string[] = [];
    const logger = pino({ level: "trace" }, { write: (line: string) => void lines.push(line) });
    const { app } = await open({ logger });
    await app.inject({
      ...request,
      url: "/v1/audits?include=pipes",
      headers: { ...request.headers, authorization: "Bearer canary-key", "x-request-id": "survey-17" },
    });
    const own = lines.map((line) => JSON.parse(line)).filter((line) => line.requestId === "survey-17");
    expect(own).toHaveLength(1);
    expect(own[0]).toMatchObject({ method: "POST", route: "/v1/audits", status: 200, ms: expect.any(Number) });
    expect(lines.join("")).not.toMatch(/canary-key|Boathouse/);
  });
});
