// What only a real connection shows: slow and broken senders, slow readers, streams that are cut.
import { once } from "node:events";
import { type ClientRequest, request as httpRequest, type IncomingMessage } from "node:http";
import { type AddressInfo, connect, type Socket } from "node:net";
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { makeApp } from "../../src/http/app.js";
import type { Auditor } from "../../src/service/auditor.js";
import { leastOf } from "../bench/measure.js";
import { type SoundApp, soundApp, tutorialLine } from "../builders/sound-app.js";
import { crowding } from "../reliability/crowding.js";

const MEBI = 1024 * 1024;
/** With the limits that it has, and with ones that are short. */
let sound: SoundApp;
let hasty: SoundApp;
let port = 0;
let hastyPort = 0;
const listen = async ({ app }: SoundApp): Promise<number> => {
  await app.listen({ host: "127.0.0.1", port: 0 });
  return (app.server.address() as AddressInfo).port;
};
beforeAll(async () => {
  sound = await soundApp();
  hasty = await soundApp({ limits: { headersTimeout: 500, requestTimeout: 1_500, idleTimeout: 5_000 } });
  port = await listen(sound);
  hastyPort = await listen(hasty);
});
afterAll(async () => {
  await hasty.close();
  await sound.close();
});

const url = (path: string) => `http://127.0.0.1:${port}${path}`;

/** Sends bytes as they are, and gives all that comes back until the connection closes. */
const raw = async (text: string | Buffer, then?: (socket: Socket) => void, to = port): Promise<string> => {
  const socket = connect(to, "127.0.0.1");
  let answer = "";
  socket.on("data", (chunk) => {
    answer += chunk.toString();
  });
  socket.on("error", () => {});
  socket.write(text);
  then?.(socket);
  await once(socket, "close");
  return answer;
};
const head = (...lines: string[]) => `${["POST /v1/audits HTTP/1.1", "Host: x", ...lines].join("\r\n")}\r\n\r\n`;
const problemIn = (answer: string): { status: number; code: string } => {
  expect(answer).toContain("application/problem+json");
  return JSON.parse(answer.slice(answer.indexOf("\r\n\r\n") + 4));
};

describe("slow and broken senders", () => {
  test.each([
    ["headers that do not end", 4_000, "POST /v1/audits HTTP/1.1\r\nHost: x\r\nX-Slow: 1"],
    ["a body that does not end", 6_000, `${head("Content-Type: application/json", "Content-Length: 100")}{`],
  ])("%s: cut off by the limit that is set, and by no other", async (_, limit, text) => {
    const crowded = await crowding();
    const before = performance.now();
    const longer = new AbortController();
    let open = true;
    const patient = raw(text, (socket) => longer.signal.addEventListener("abort", () => socket.destroy())).then(() => {
      open = false;
    });
    expect(problemIn(await raw(text, undefined, hastyPort))).toMatchObject({ status: 408, code: "request-timeout" });
    expect(performance.now() - before).toBeLessThan(limit * crowded);
    expect(open).toBe(true);
    longer.abort();
    await patient;
  });

  test("a body that breaks off harms nobody", async () => {
    await raw(`${head("Content-Type: application/json", "Content-Length: 100")}{`, (socket) => socket.end());
    expect((await fetch(url("/readyz"))).status).toBe(200);
  });

  const broken: readonly (readonly [string, string, number])[] = [
    ["no HTTP at all", "hello\r\n\r\n", 400],
    ["an unknown method", "FROB / HTTP/1.1\r\nHost: x\r\n\r\n", 400],
    [
      "two lengths that differ",
      `${head("Content-Type: application/json", "Content-Length: 2", "Content-Length: 3")}{}`,
      400,
    ],
    [
      "a length and chunks",
      `${head("Content-Type: application/json", "Content-Length: 2", "Transfer-Encoding: chunked")}0\r\n\r\n`,
      400,
    ],
    ["a length that is no number", `${head("Content-Type: application/json", "Content-Length: x")}{}`, 400],
    ["a broken chunk", `${head("Content-Type: application/json", "Transfer-Encoding: chunked")}zz\r\n{}\r\n`, 400],
    ["headers of 40 KiB", head(`X-Big: ${"a".repeat(40_960)}`), 431],
  ];
  for (const [name, text, status] of broken)
    test(name, async () => {
      expect(problemIn(await raw(text)).status).toBe(status);
    });

  test("a smuggled second request in a short length is not heard as the first one's body", async () => {
    const answer = await raw(`${head("Content-Type: application/json", "Content-Length: 1", "Connection: close")}{}`);
    expect(problemIn(answer)).toMatchObject({ status: 400 });
  });
});

describe("large bodies", () => {
  test("65 MiB are refused, whether their length is said or not", async () => {
    const big = Buffer.alloc(65 * MEBI, 0x20);
    const said = await fetch(url("/v1/audits"), {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: new Uint8Array(big),
    });
    expect([said.status, ((await said.json()) as { code: string }).code]).toEqual([413, "too-large"]);
    const chunks = new ReadableStream({
      start(controller) {
        for (let i = 0; i < 65; i += 1) controller.enqueue(new Uint8Array(big.subarray(0, MEBI)));
        controller.close();
      },
    });
    const unsaid = await fetch(url("/v1/audits"), {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: chunks,
      duplex: "half",
    } as RequestInit);
    expect([unsaid.status, ((await unsaid.json()) as { code: string }).code]).toEqual([413, "too-large"]);
  });

  test("a terabyte by its own word is refused unread", async () => {
    const answer = await raw(head("Content-Type: application/json", "Content-Length: 1099511627776"));
    expect(problemIn(answer)).toMatchObject({ status: 413, code: "too-large" });
  });

  test("400 000 brackets are refused as soon as as many blanks are", async () => {
    const refused = (character: string) => () =>
      fetch(url("/v1/audits"), {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: character.repeat(400_000),
      }).then(({ status }) => expect(status).toBe(400));
    expect(await leastOf(5, refused("["))).toBeLessThan(10 * (await leastOf(5, refused(" "))));
  });
});

const openStream = (to: number): { sender: ClientRequest; answer: Promise<IncomingMessage> } => {
  const sender = httpRequest(`http://127.0.0.1:${to}/v1/audits/stream`, {
    method: "POST",
    headers: { "content-type": "application/x-ndjson" },
  });
  sender.on("error", () => {});
  return { sender, answer: once(sender, "response").then(([message]) => message as IncomingMessage) };
};
const textOf = async (message: AsyncIterable<Uint8Array>): Promise<string> => {
  const parts: Uint8Array[] = [];
  for await (const part of message) parts.push(part);
  return Buffer.concat(parts).toString();
};

describe("streams", () => {
  test("each line is the single answer of its document, bad ones in place, and a tally ends it", async () => {
    const documents = [
      tutorialLine,
      "{",
      tutorialLine.replace("Boathouse", "Granary"),
      '{"a":1,"a":2}',
      "",
      "{}",
      tutorialLine,
    ];
    const single = async (text: string) => {
      const reply = await fetch(url("/v1/audits?include=all"), {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: text,
      });
      return { status: reply.status, text: await reply.text() };
    };
    const reply = await fetch(url("/v1/audits/stream?include=all"), {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
      body: documents.join("\n"),
    });
    expect(reply.headers.get("content-type")).toBe("application/x-ndjson");
    const lines = (await reply.text()).split("\n");
    expect(lines.pop()).toBe("");
    expect(JSON.parse(lines.pop()!)).toEqual({ tally: { read: 6, audited: 3, bad: 3 } });
    let at = 0;
    for (const [index, text] of documents.entries()) {
      if (text === "") continue;
      const alone = await single(text);
      expect(lines[at]).toBe(alone.status === 200 ? alone.text : `{"line":${index + 1},"problem":${alone.text}}`);
      at += 1;
    }
    expect(at).toBe(lines.length);
  });

  test("an answer comes before the next document is sent, and a stream may last longer than a request", async () => {
    const { sender, answer } = openStream(hastyPort);
    sender.write(`${tutorialLine}\n`);
    const message = await answer;
    const [first] = await once(message, "data");
    expect(String(first)).toContain('"format":1');
    await wait(3_500);
    sender.end("{\n");
    const rest = await textOf(message);
    expect(rest).toContain('"line":2');
    expect(rest).toContain('"tally":{"read":2,"audited":1,"bad":1}');
  });

  test("a reader who stops stops the sender, and the service's memory stays bounded", async () => {
    const patient = await soundApp();
    const base = await patient.app.listen({ host: "127.0.0.1", port: 0 });
    const sender = httpRequest(`${base}/v1/audits/stream`, {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
    });
    sender.on("error", () => {});
    const answer = once(sender, "response").then(([message]) => (message as IncomingMessage).pause());
    const batch = Buffer.from(`${tutorialLine}\n`.repeat(20));
    const before = process.memoryUsage();
    let sent = 0;
    let stalled = false;
    // 400 MiB in all, were nothing to stop it
    while (!stalled && sent < 400 * MEBI) {
      sent += batch.byteLength;
      if (sender.write(batch)) continue;
      const drained = new AbortController();
      stalled = await Promise.race([
        once(sender, "drain", { signal: drained.signal }).then(() => false),
        wait(2_000, true, { signal: drained.signal }),
      ]);
      drained.abort();
    }
    expect(stalled).toBe(true);
    const after = process.memoryUsage();
    const grown = after.arrayBuffers + after.external - before.arrayBuffers - before.external;
    expect(grown).toBeLessThan(64 * MEBI);
    sender.destroy();
    await answer.catch(() => {});
    await patient.close();
  });

  test("when the reader goes, the work stops", async () => {
    const LINES = 2_000;
    let begun = 0;
    const counted = await soundApp();
    const perform: Auditor["perform"] = (task) => {
      begun++;
      return counted.auditor.perform(task);
    };
    const app = await makeApp({ auditor: { ...counted.auditor, ready: true, perform } });
    const base = await app.listen({ host: "127.0.0.1", port: 0 });
    const sender = httpRequest(`${base}/v1/audits/stream`, {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
    });
    sender.on("error", () => {});
    const answer = once(sender, "response") as Promise<[IncomingMessage]>;
    for (let i = 0; i < LINES; i += 1) sender.write(`${tutorialLine}\n`);
    const [message] = await answer;
    await once(message, "data");
    sender.destroy();
    for (let before = -1; before !== begun; await wait(1_000)) before = begun;
    expect(begun).toBeGreaterThan(0);
    expect(begun).toBeLessThan(LINES);
    await app.close();
    await counted.close();
  });

  test("more streams than may be open are told so", async () => {
    const few = await soundApp({ limits: { streams: 1 } });
    const base = await few.app.listen({ host: "127.0.0.1", port: 0 });
    const first = httpRequest(`${base}/v1/audits/stream`, {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
    });
    first.write("{}\n");
    const [message] = (await once(first, "response")) as [IncomingMessage];
    const second = await fetch(`${base}/v1/audits/stream`, {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
      body: "{}",
    });
    expect([
      second.status,
      second.headers.get("retry-after"),
      ((await second.json()) as { code: string }).code,
    ]).toEqual([503, "1", "busy"]);
    first.end();
    expect(await textOf(message)).toContain("tally");
    await few.close();
  });

  test("an open stream is cut without a tally when the service stops", async () => {
    const brief = await soundApp({ streamGrace: 100 });
    const base = await brief.app.listen({ host: "127.0.0.1", port: 0 });
    const sender = httpRequest(`${base}/v1/audits/stream`, {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
    });
    sender.on("error", () => {});
    sender.write("{}\n");
    const [message] = (await once(sender, "response")) as [IncomingMessage];
    const text = textOf(message).catch(() => "cut");
    await brief.close();
    expect(await text).not.toContain("tally");
  });
});
