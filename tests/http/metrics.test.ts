// The figures for whoever watches: in the text form that Prometheus documents, counted right, and with nobody's names.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type SoundApp, soundApp, tutorialLine } from "../builders/sound-app.js";

/** A line of the exposition format 0.0.4: a name, labels, a figure. */
const SAMPLE =
  /^([a-zA-Z_:][\w:]*)(?:\{((?:[a-zA-Z_]\w*="(?:[^"\\\n]|\\[\\n"])*",?)*)\})? (NaN|[+-]Inf|[+-]?\d[\d.e+-]*)$/;

describe("the metrics", () => {
  let sound: SoundApp;
  let ready = true;
  beforeAll(async () => {
    const auditor = { close: async () => {} };
    sound = await soundApp({
      store: {
        ...auditor,
        get available() {
          return ready;
        },
        keys: { exist: async () => false },
      } as never,
    });
  });
  afterAll(() => sound.close());

  const ask = (url: string, payload?: string) =>
    sound.app.inject({
      method: payload === undefined ? "GET" : "POST",
      url,
      headers: { "content-type": "application/json" },
      ...(payload !== undefined && { payload }),
    });
  const samples = async (): Promise<ReadonlyMap<string, number>> => {
    const reply = await ask("/metrics");
    expect([reply.statusCode, reply.headers["content-type"]]).toEqual([
      200,
      "text/plain; version=0.0.4; charset=utf-8",
    ]);
    const read = new Map<string, number>();
    for (const line of reply.body.split("\n")) {
      if (line === "" || /^# (HELP|TYPE) /.test(line)) continue;
      const [, name, labels = "", figure] = SAMPLE.exec(line) ?? [];
      expect([line, name]).not.toEqual([line, undefined]);
      read.set(`${name} ${labels}`, Number(figure));
    }
    return read;
  };

  test("count requests by route and status, and work by what became of it", async () => {
    for (let i = 0; i < 2; i++) await ask("/v1/audits", tutorialLine);
    await ask("/v1/audits", "{}");
    await ask("/v1/rules/fall.reverse?x=1");
    await ask("/nowhere/alder-court");
    const told = await samples();
    const requests = (method: string, route: string, status: number) =>
      told.get(`http_request_duration_seconds_count method="${method}",route="${route}",status="${status}"`);
    expect(requests("POST", "/v1/audits", 200)).toBe(2);
    expect(requests("POST", "/v1/audits", 422)).toBe(1);
    expect(requests("GET", "/v1/rules/:id", 400)).toBe(1);
    // a path that nobody serves has no label of its own: whoever calls cannot make as many as he likes
    expect(requests("GET", "none", 404)).toBe(1);
    const works = (outcome: string) =>
      told.get(`drainward_work_duration_seconds_count work="audit",outcome="${outcome}"`);
    expect([works("done"), works("invalid-document")]).toEqual([2, 1]);
    expect(told.get("drainward_works_in_progress ")).toBe(0);
    expect([...told.keys()].join()).not.toMatch(/alder|x=1/);
  });

  test("say whether the service is ready", async () => {
    expect((await samples()).get("drainward_ready ")).toBe(1);
    ready = false;
    expect((await samples()).get("drainward_ready ")).toBe(0);
    ready = true;
  });

  test("are given to who asks as Prometheus does", async () => {
    const accept = "application/openmetrics-text;version=1.0.0;q=0.5,text/plain;version=0.0.4;q=0.3";
    const reply = await sound.app.inject({ url: "/metrics", headers: { accept } });
    expect(reply.statusCode).toBe(200);
    expect((await sound.app.inject({ url: "/metrics", headers: { accept: "text/plain" } })).statusCode).toBe(200);
  });
});
