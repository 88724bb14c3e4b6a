// R9: many clients at once behind a proxy that loses a fifth of the answers; whoever gets none sends the call again.
import { once } from "node:events";
import { Agent, createServer, request as forward } from "node:http";
import type { AddressInfo } from "node:net";
import { riserOfThree } from "../builders/riser-of-three.js";
import { seeded } from "../builders/seeded.js";
import { type Answer, type Call, call, pause } from "./call.js";
import { databaseOf, type EngineName } from "./databases.js";
import type { Row, Settings } from "./row.js";
import { startService } from "./service-process.js";

const CLIENTS = 64;
/** share of the answers that are lost */
const LOSS = 0.2;
const BUILDINGS = ["alder", "birch", "cedar", "elder"];

/** Hands calls on, and loses answers after the service has given them. */
const lossyProxy = async (to: string, random: () => number) => {
  const agent = new Agent({ keepAlive: true, maxSockets: CLIENTS });
  const { hostname, port } = new URL(to);
  let lost = 0;
  const server = createServer((request, reply) => {
    const { method, url: path, headers } = request;
    const onward = forward({ agent, hostname, port, method, path, headers }, (answer) => {
      const parts: Buffer[] = [];
      answer.on("data", (part: Buffer) => parts.push(part));
      answer.on("end", () => {
        if (random() < LOSS) {
          lost++;
          reply.destroy();
          return;
        }
        reply.writeHead(answer.statusCode!, answer.headers);
        reply.end(Buffer.concat(parts));
      });
    });
    onward.on("error", () => reply.destroy());
    request.pipe(onward);
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    get lost() {
      return lost;
    },
    async close() {
      server.closeAllConnections();
      server.close();
      agent.destroy();
    },
  };
};

export interface RepeatedSettings extends Settings {
  /** sends what is sent again under another key, which makes it another call */
  readonly freshKeys?: boolean;
}

export const repeated = async (engine: EngineName, settings: RepeatedSettings): Promise<Row> => {
  const { programs, seed, quick, freshKeys = false } = settings;
  const random = seeded(seed);
  const database = await databaseOf(engine);
  const service = await startService(programs, database.environment);
  const proxy = await lossyProxy(service.url, random);
  const notes: string[] = [];
  const figures = {
    clients: CLIENTS,
    calls: 0,
    answersLost: 0,
    lostUpdates: 0,
    doubled: 0,
    missing: 0,
    staleTaken: 0,
    answersApart: 0,
  };
  const marks: string[] = [];
  const asked = async (wanted: Call): Promise<Answer | null> => {
    figures.calls++;
    const answer = await call(proxy.url, { patience: 60_000, ...wanted });
    if (answer !== null && answer.status >= 500 && answer.status !== 503)
      notes.push(`${wanted.method} ${wanted.path} was answered ${answer.status}`);
    return answer;
  };
  /** Sends a call with a key until it is answered for good. */
  const surely = async (key: string, wanted: Call): Promise<Answer> => {
    for (let tries = 0; ; tries++) {
      const own = freshKeys && tries > 0 ? `${key} ${tries}` : key;
      const answer = await asked({ ...wanted, headers: { "idempotency-key": own } });
      if (answer !== null && answer.status !== 503 && answer.status !== 409) return answer;
      await pause(20 * random() * Math.min(tries, 20));
    }
  };
  const post = (path: string, mark: string, body: unknown) => {
    marks.push(mark);
    return surely(mark, { method: "POST", path, body });
  };
  const expectKept = (mark: string, answer: Answer) => {
    if (answer.status !== 201) notes.push(`${mark} was answered ${answer.status}: ${answer.text.slice(0, 200)}`);
  };

  const observe = async (mark: string) => {
    const path = `/v1/buildings/${BUILDINGS[Math.floor(random() * BUILDINGS.length)]}/observations`;
    const body = { type: "slow-drain", node: "F-1", time: new Date().toISOString(), source: "client", text: mark };
    const twice = random() < 0.3;
    const first = post(path, mark, body);
    const [one, other] = await Promise.all([first, twice ? surely(mark, { method: "POST", path, body }) : first]);
    expectKept(mark, one);
    if (!freshKeys && one.text !== other.text) figures.answersApart++;
  };
  const revise = async (mark: string) => {
    const path = `/v1/buildings/${BUILDINGS[Math.floor(random() * BUILDINGS.length)]}/revisions`;
    expectKept(mark, await post(path, mark, { network: riserOfThree(), note: mark }));
  };
  const taken = new Set<string>();
  /** Adds one to the number that stands as the building's name, having read it. */
  const count = async () => {
    const path = "/v1/buildings/counted";
    for (;;) {
      const read = await asked({ method: "GET", path });
      if (read === null || read.status !== 200) continue;
      const tag = read.headers.get("etag")!;
      const name = String(Number((JSON.parse(read.text) as { name: string }).name) + 1);
      const put = (own: string) =>
        asked({ method: "PUT", path, body: { name: own, timeZone: "UTC" }, headers: { "if-match": tag } });
      const answer = await put(name);
      if (answer?.status === 412 || answer?.status === 503) continue;
      // without an answer nobody knows whether it was done: whoever wanted it done reads again
      if (answer === null) return;
      if (answer.status !== 200) notes.push(`a change was answered ${answer.status}`);
      const next = answer.headers.get("etag")!;
      if (taken.has(next)) figures.lostUpdates++;
      taken.add(next);
      const stale = await put("0");
      if (stale !== null && stale.status !== 412 && stale.status !== 503) figures.staleTaken++;
      return;
    }
  };

  const client = async (number: number) => {
    for (let turn = 0; turn < (quick ? 1 : 5); turn++) {
      await observe(`o-${seed}-${number}-${turn}`);
      if (number % 4 === turn % 4) await revise(`r-${seed}-${number}-${turn}`);
      if (number % (quick ? 4 : 2) === turn % 2) await count();
    }
  };

  try {
    for (const id of BUILDINGS) {
      await call(service.url, { method: "PUT", path: `/v1/buildings/${id}`, body: { name: id, timeZone: "UTC" } });
      await call(service.url, { method: "POST", path: `/v1/buildings/${id}/revisions`, body: riserOfThree() });
    }
    await call(service.url, { method: "PUT", path: "/v1/buildings/counted", body: { name: "0", timeZone: "UTC" } });
    await Promise.all(Array.from({ length: CLIENTS }, (_, number) => client(number)));
    figures.answersLost = proxy.lost;

    const rows = await database.ask<{ mark: string; n: number }>(
      "select mark, count(*)::int as n from (select text as mark from observation union all select note from revision where note is not null) kept group by mark",
    );
    const kept = new Map(rows.map(({ mark, n }) => [mark, n]));
    figures.doubled = [...kept.values()].filter((n) => n > 1).length;
    figures.missing = marks.filter((mark) => !kept.has(mark)).length;
    // each change makes the version one more, and the number too
    const [{ name, version }] = await database.ask<{ name: string; version: number }>(
      "select name, version from building where id = 'counted'",
    );
    figures.lostUpdates += version - 1 - Number(name);
    if (version - 1 < taken.size) notes.push("fewer changes are kept than were acknowledged");
    if (taken.size === 0 || figures.answersLost === 0) notes.push("nothing was put to the test");
    if (service.faults.length > 0) notes.push(`faults were logged: ${service.faults[0]}`);
  } finally {
    await proxy.close();
    await service.kill();
    await database.remove();
  }
  const { lostUpdates, doubled, missing, staleTaken, answersApart } = figures;
  const wrong = lostUpdates + doubled + missing + staleTaken + answersApart;
  return { id: "R9", what: "concurrency", engine, passed: wrong === 0 && notes.length === 0, figures, notes };
};
