// R3: writers that note down whatever was acknowledged to them, while the service, and in some rounds the embedded
// database with it, is killed at random moments.
import { riserOfThree } from "../builders/riser-of-three.js";
import { seeded } from "../builders/seeded.js";
import { type Answer, call, pause, until } from "./call.js";
import { crowding } from "./crowding.js";
import { type Database, databaseOf, type EngineName, killServer } from "./databases.js";
import type { Row, Settings } from "./row.js";
import { startService } from "./service-process.js";

/** One write, with a mark of its own in what it keeps, so that it can be counted. */
interface Write {
  readonly mark: string;
  readonly kind: "observation" | "revision";
  readonly path: string;
  readonly body: unknown;
  /** the first answer that said that it is kept */
  acknowledged: Answer | null;
}

const BUILDINGS = ["alder", "birch", "cedar"];
const WRITERS = 6;
/** ms that the service may take to be ready again, on a machine that does nothing else */
const READY = 5_000;
/** of acknowledged writes in a round, sent again after it */
const SENT_AGAIN = 15;

const NEVER_BEFORE = new Set([409, 503]);

export interface KilledSettings extends Settings {
  /** settings of the server, for faults that are planted there */
  readonly server?: readonly string[];
  /** sends what is sent again under another key, which makes it another call */
  readonly freshKeys?: boolean;
}

export const killed = async (engine: EngineName, settings: KilledSettings): Promise<Row> => {
  const { programs, seed, quick, server = [], freshKeys = false } = settings;
  const random = seeded(seed);
  const rounds = quick ? 2 : 12;
  const longest = quick ? 600 : 2_500;
  const database = await databaseOf(engine);
  const writes: Write[] = [];
  const notes: string[] = [];
  const figures = {
    rounds,
    acknowledged: 0,
    lost: 0,
    torn: 0,
    doubled: 0,
    keptUnanswered: 0,
    readySlowest: 0,
    crowding: 1,
  };
  let service = await startService(programs, database.environment);
  let number = 0;

  const newWrite = (): Write => {
    const mark = `m${seed}-${number++}`;
    const building = BUILDINGS[Math.floor(random() * BUILDINGS.length)]!;
    const at = `/v1/buildings/${building}`;
    const story = 1 + Math.floor(random() * 3);
    if (random() < 0.25) {
      const network = riserOfThree();
      const coil = network.nodes.find(({ id }) => id === `F-${story}`);
      if (coil !== undefined) coil.panStatic = -10 * Math.floor(random() * 20);
      const body = { network, note: mark };
      return { mark, kind: "revision", path: `${at}/revisions`, body, acknowledged: null };
    }
    const type = ["water-seen", "switch-trip", "slow-drain", "cleaned", "drains-freely"][Math.floor(random() * 5)];
    const time = new Date(Date.now() - Math.floor(random() * 1e9)).toISOString();
    const body = { type, node: `F-${story}`, time, source: "writer", text: mark };
    return { mark, kind: "observation", path: `${at}/observations`, body, acknowledged: null };
  };
  const send = (write: Write, key = write.mark) =>
    call(service.url, {
      method: "POST",
      path: write.path,
      body: write.body,
      headers: { "idempotency-key": key },
    });
  /** @returns whether it was answered for good */
  const attempt = async (write: Write, key?: string): Promise<boolean> => {
    const answer = await send(write, key);
    if (answer === null || NEVER_BEFORE.has(answer.status)) return false;
    if (answer.status !== 201) {
      notes.push(`${write.kind} ${write.mark} was answered ${answer.status}: ${answer.text.slice(0, 200)}`);
      return true;
    }
    write.acknowledged = answer;
    return true;
  };
  const writer = async (isOver: () => boolean) => {
    while (!isOver()) {
      const write = newWrite();
      writes.push(write);
      while (!isOver() && !(await attempt(write))) await pause(5);
    }
  };

  try {
    for (const setting of server) await database.ask(`alter system set ${setting}`);
    await database.ask("select pg_reload_conf()");
    for (const id of BUILDINGS) {
      await call(service.url, { method: "PUT", path: `/v1/buildings/${id}`, body: { name: id, timeZone: "UTC" } });
      const first: Write = {
        mark: `first-${id}`,
        kind: "revision",
        path: `/v1/buildings/${id}/revisions`,
        body: { network: riserOfThree(), note: `first-${id}` },
        acknowledged: null,
      };
      writes.push(first);
      await attempt(first);
    }
    for (let round = 0; round < rounds && notes.length === 0; round++) {
      const before = writes.length;
      let over = false;
      const atWork = Array.from({ length: WRITERS }, () => writer(() => over));
      await pause(100 + random() * longest);
      // the service first, or the database under it
      if (engine === "embedded" && round % 2 === 1) await Promise.all([killServer(database), service.kill()]);
      else await service.kill();
      over = true;
      await Promise.all(atWork);

      service = await startService(programs, database.environment);
      const crowded = await crowding();
      if (service.readyAfter / crowded > READY) notes.push(`ready only after ${Math.round(service.readyAfter)} ms`);
      figures.crowding = Math.max(figures.crowding, crowded);
      figures.readySlowest = Math.max(figures.readySlowest, service.readyAfter);
      const kept = await marksIn(database);
      const open = writes.filter(({ acknowledged }) => acknowledged === null);
      figures.lost += writes.filter(({ mark, acknowledged }) => acknowledged !== null && !kept.has(mark)).length;
      figures.keptUnanswered += open.filter(({ mark }) => kept.has(mark)).length;
      const torn = await tornIn(database);
      figures.torn += torn.length;
      notes.push(...torn.slice(0, 3));

      // whoever got no answer sends the call again, and of the others some do
      for (const write of open) {
        const again = () => attempt(write, freshKeys ? `${write.mark} again` : write.mark);
        await until("an answer", again, 60_000).catch(() => notes.push(`${write.mark} was never answered`));
        if (notes.length > 0) break;
      }
      for (const write of writes.slice(before, before + SENT_AGAIN)) {
        if (open.includes(write)) continue;
        const again = await send(write);
        if (again?.status !== write.acknowledged?.status || again?.text !== write.acknowledged?.text)
          notes.push(
            `${write.mark} was answered ${again?.status} when it was sent again: ${again?.text.slice(0, 200)}`,
          );
      }
      const marks = await marksIn(database);
      figures.doubled += [...marks.values()].filter((count) => count > 1).length;
      figures.torn += await healthApart(service.url);
    }
    figures.acknowledged = writes.filter(({ acknowledged }) => acknowledged !== null).length;
    if (service.faults.length > 0) notes.push(`faults were logged: ${service.faults[0]}`);
  } finally {
    await service.kill();
    await database.remove();
  }
  figures.readySlowest = Math.round(figures.readySlowest);
  figures.crowding = Number(figures.crowding.toFixed(1));
  const { lost, torn, doubled, acknowledged } = figures;
  return {
    id: "R3",
    what: "killed process",
    engine,
    passed: lost + torn + doubled === 0 && notes.length === 0 && acknowledged > 2 * rounds,
    figures,
    notes,
  };
};

/** How often each mark is kept. */
const marksIn = async (database: Database): Promise<ReadonlyMap<string, number>> => {
  const rows = await database.ask<{ mark: string; n: number }>(
    "select mark, count(*)::int as n from (select text as mark from observation union all select note from revision) kept group by mark",
  );
  return new Map(rows.map(({ mark, n }) => [mark, n]));
};

/** Writes of which a part is kept, in words. */
const tornIn = async (database: Database): Promise<string[]> => {
  const rows = await database.ask<{ torn: string }>(`
    select 'the revisions of ' || id || ' are not those that it counts' as torn from building
      where revision <> (select count(*) from revision r where r.building = building.id)
         or revision <> (select coalesce(max(number), 0) from revision r where r.building = building.id)
    union all
    select 'revision ' || number || ' of ' || building || ' has no audit' from revision
      where not exists (select from audit where audit.building = revision.building and audit.revision = revision.number)
    union all
    select 'finding ' || finding.id || ' is of a revision to come' from finding join building on building.id = finding.building
      where finding.changed > building.revision
    union all
    select 'the call ' || key || ' has no answer' from repeat where status is null
    union all
    select 'what was called ' || mark || ' is not remembered' from
      (select text as mark from observation union all select note from revision) kept
      where not exists (select from repeat where key = mark or key = mark || ' again')`);
  return rows.map(({ torn }) => torn);
};

/** Buildings that tell no health, or not the one that follows from what is kept of them. */
const healthApart = async (base: string): Promise<number> => {
  const at = encodeURIComponent(new Date().toISOString());
  let apart = 0;
  for (const id of BUILDINGS) {
    const get = (path: string) => call(base, { method: "GET", path: `/v1/buildings/${id}/${path}` });
    const kept = await get(`health?at=${at}`);
    const anew = await get(`health/history?from=${at}&to=${at}`);
    if (kept?.status !== 200 || anew?.status !== 200) {
      apart++;
      continue;
    }
    const { items } = JSON.parse(anew.text) as { items: unknown[] };
    if (JSON.stringify(JSON.parse(kept.text)) !== JSON.stringify(items[0])) apart++;
  }
  return apart;
};
