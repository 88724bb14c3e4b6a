// Audits in real threads.
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { audit } from "../../src/core/index.js";
import { type Auditor, makeAuditor } from "../../src/service/auditor.js";
import { Abandoned, Unavailable } from "../../src/service/refusal.js";
import { tutorial } from "../builders/sound-app.js";
import { crowding } from "../reliability/crowding.js";

let auditor: Auditor;
beforeAll(async () => {
  auditor = makeAuditor({ threads: 1, queued: 2, farewell: 20 });
  await auditor.warm();
});
afterAll(() => auditor.close());

const body = () => new Uint8Array(tutorial);

describe("an auditor", () => {
  test("gives the library's answer, byte for byte", async () => {
    const reply = await auditor.perform({ work: "audit", body: body(), include: ["all"] });
    const expected = audit(JSON.parse(tutorial.toString("utf8")), { include: ["all"] });
    if (!reply.ok || !expected.ok) throw new Error("both must be audits");
    expect(Buffer.from(reply.body).toString()).toBe(JSON.stringify(expected.audit));
  });

  test("leaves bytes that are a part of others' buffer to them", async () => {
    const shared = Buffer.concat([Buffer.from("{}"), Buffer.from("neighbor")]);
    await auditor.perform({ work: "audit", body: shared.subarray(0, 2), include: [] });
    expect(shared.toString()).toBe("{}neighbor");
  });

  test("refuses singles beyond its queue, and takes patient ones", async () => {
    const running = Array.from({ length: 3 }, () => auditor.perform({ work: "audit", body: body(), include: [] }));
    await expect(auditor.perform({ work: "audit", body: body(), include: [] })).rejects.toThrow(Unavailable);
    const patient = auditor.perform({ work: "audit", body: body(), include: [], patient: true });
    for (const reply of await Promise.all([...running, patient])) expect(reply.ok).toBe(true);
  });

  test("stops what nobody waits for, and goes on with the next", async () => {
    const crowded = await crowding();
    const two = makeAuditor({ threads: 2, farewell: 20 });
    const gone = new AbortController();
    const heavy = () => new TextEncoder().encode(`{"nodes":[${"{},".repeat(400_000)}{}],"pipes":[]}`);
    const waitedFor = two.perform({ work: "audit", body: heavy(), include: [] }).then(() => "waited for");
    const dropped = two
      .perform({ work: "audit", body: heavy(), include: [], signal: gone.signal })
      .catch((error: unknown) => error);
    await wait(10);
    const before = performance.now();
    gone.abort();
    expect(await Promise.race([dropped, waitedFor])).toBeInstanceOf(Abandoned);
    expect(performance.now() - before).toBeLessThan(500 * crowded);
    expect((await two.perform({ work: "audit", body: body(), include: [] })).ok).toBe(true);
    await two.close();
  });

  test("refuses at once what was abandoned before it came", async () => {
    await expect(
      auditor.perform({ work: "audit", body: body(), include: [], signal: AbortSignal.abort() }),
    ).rejects.toThrow(Abandoned);
  });

  test.each([
    ["needs more memory than a thread has costs its thread, not the service", 70_000],
    ["could need more than that while it is parsed, which nothing interrupts, is not begun", 400_000],
  ])("a document that %s", async (_, traps) => {
    const small = makeAuditor({ threads: 1, heap: 48 });
    const heavy = new TextEncoder().encode(`{"nodes":[${'{"id":"a","kind":"trap"},'.repeat(traps)}{}],"pipes":[]}`);
    const reply = await small.perform({ work: "audit", body: heavy, include: [] });
    expect(reply.ok ? "audited" : reply.refusal.code).toBe("over-budget");
    expect((await small.perform({ work: "audit", body: new TextEncoder().encode("{}"), include: [] })).ok).toBe(false);
    await small.close();
  });

  test("a closed one takes nothing", async () => {
    const closed = makeAuditor({ threads: 1 });
    await closed.warm();
    await closed.close();
    expect(closed.ready).toBe(false);
    await expect(closed.perform({ work: "audit", body: body(), include: [] })).rejects.toThrow(Unavailable);
  });
});
