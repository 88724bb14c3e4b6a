// The stream's order, bounds and end, over an auditor whose answers come when told.
import { setImmediate as turn } from "node:timers/promises";
import { describe, expect, test } from "vitest";
import { auditStream, type StreamEvent } from "../../src/service/audit-stream.js";
import { AUDITOR_LIMITS, type Auditor, type WorkRequest } from "../../src/service/auditor.js";
import { Abandoned, type Reply } from "../../src/service/refusal.js";

interface Told {
  readonly text: string;
  readonly request: WorkRequest;
  readonly answer: (reply: Reply) => void;
  readonly fail: (error: unknown) => void;
}

const good = (text: string): Reply => ({ ok: true, body: Buffer.from(text) });
const bad: Reply = { ok: false, refusal: { code: "bad-json", detail: "", errors: [], total: 0 } };

const stage = (threads = 2) => {
  const asked: Told[] = [];
  const faults: unknown[] = [];
  const auditor: Auditor = {
    limits: { ...AUDITOR_LIMITS, threads },
    ready: true,
    warm: async () => {},
    close: async () => {},
    perform: (request) =>
      new Promise((answer, fail) => {
        request.signal?.addEventListener("abort", () => fail(new Abandoned()));
        asked.push({ text: Buffer.from(request.body).toString(), request, answer, fail });
      }),
  };
  let pulled = 0;
  const lines = async function* (count: number) {
    for (let i = 0; i < count; i += 1) {
      pulled += 1;
      yield Buffer.from(`${i}\n`);
    }
  };
  const gone = new AbortController();
  const run = (chunks: AsyncIterable<Uint8Array>) =>
    auditStream({ chunks, include: [], auditor, signal: gone.signal, onFault: (error) => faults.push(error) });
  return { asked, faults, gone, run, lines, pulled: () => pulled };
};

const settle = async () => {
  for (let i = 0; i < 50; i += 1) await turn();
};
const all = async (events: AsyncIterable<StreamEvent>) => {
  const list: StreamEvent[] = [];
  for await (const event of events) list.push(event);
  return list;
};
const shown = (event: StreamEvent) =>
  "tally" in event
    ? event.tally
    : [event.line, event.reply.ok ? Buffer.from(event.reply.body).toString() : event.reply.refusal.code];

describe("a stream of audits", () => {
  test("an empty one has a tally of nothing", async () => {
    const { run, lines } = stage();
    expect(await all(run(lines(0)))).toEqual([{ tally: { read: 0, audited: 0, bad: 0 } }]);
  });

  test("answers in the order of the lines, whichever is ready first, and goes on after a bad one", async () => {
    const { run, lines, asked } = stage();
    const events = all(run(lines(3)));
    await settle();
    asked[2]!.answer(good("c"));
    asked[1]!.answer(bad);
    asked[0]!.answer(good("a"));
    expect((await events).map(shown)).toEqual([[1, "a"], [2, "bad-json"], [3, "c"], { read: 3, audited: 2, bad: 1 }]);
  });

  test("gives the first answer while the second line has not come", async () => {
    const { run, asked } = stage();
    const never = async function* () {
      yield Buffer.from("0\n");
      await new Promise(() => {});
    };
    const first = run(never()).next();
    await settle();
    asked[0]!.answer(good("a"));
    expect(shown((await first).value)).toEqual([1, "a"]);
  });

  test("reads only a few lines ahead of a reader who has stopped", async () => {
    const { run, lines, asked, pulled } = stage(2);
    const events = run(lines(1000));
    const first = events.next();
    await settle();
    for (const told of asked.splice(0)) told.answer(good("x"));
    await first;
    await settle();
    expect(pulled()).toBeLessThanOrEqual(6);
    expect(asked.length).toBeLessThanOrEqual(4);
    await events.return(undefined);
  });

  test("a fault of ours costs its line and is reported", async () => {
    const { run, lines, asked, faults } = stage();
    const events = all(run(lines(2)));
    await settle();
    asked[0]!.fail(new Error("boom"));
    asked[1]!.answer(good("b"));
    expect((await events).map(shown)).toEqual([[1, "internal"], [2, "b"], { read: 2, audited: 1, bad: 1 }]);
    expect(faults).toEqual([new Error("boom")]);
  });

  test("when the reader goes, what is running is dropped, nothing more is read and there is no tally", async () => {
    const { run, lines, asked, gone, faults, pulled } = stage();
    const events = all(run(lines(1000)));
    await settle();
    gone.abort();
    expect(await events).toEqual([]);
    const before = pulled();
    await settle();
    expect(pulled()).toBe(before);
    expect(asked.every((told) => told.request.signal?.aborted)).toBe(true);
    expect(faults).toEqual([]);
  });

  test("a body that breaks off gives the answers so far and no tally", async () => {
    const { run, asked } = stage();
    const broken = async function* () {
      yield Buffer.from("0\n1");
      throw new Error("cut");
    };
    const seen: StreamEvent[] = [];
    const reading = (async () => {
      for await (const event of run(broken())) seen.push(event);
    })();
    reading.catch(() => {});
    await settle();
    asked[0]!.answer(good("a"));
    await expect(reading).rejects.toThrow("cut");
    expect(seen.map(shown)).toEqual([[1, "a"]]);
  });
});
