// The store as lines of JSON: the whole of it, or one building with its history. The first line says what it is, the last
// how many rows it has and their digest; an archive without its last line was cut short.
import { LIMITS, VERSION } from "../core/index.js";
import type { Auditor } from "./auditor.js";
import { summarized } from "./building-health.js";
import { BUILDING_ID } from "./building-id.js";
import type { Placed } from "./building-works.js";
import { found } from "./held.js";
import { splitLines } from "./lines.js";
import { askedOf } from "./questions.js";
import { Refused, RefusedDocument } from "./refused.js";
import { type Archived, type Building, RowRefused, type Store, type StoredRow } from "./shelves.js";

const FORMAT = 1;
const encoder = new TextEncoder();
const decoder = new TextDecoder("utf-8", { fatal: true });

/** bytes of a line: a document is a text in it, with its own quotes and breaks escaped */
const LONGEST = 4 * LIMITS.maxBytes;

/** What is read is no archive, or not as it was written. */
export class ArchiveFault extends Error {}

type Kind = "store" | "building";

interface Head {
  readonly of: Kind;
  readonly columns: ReadonlyMap<string, readonly string[]>;
}

const headLine = (of: Kind, madeAt: Date, columns: Archived["columns"]): string =>
  JSON.stringify({
    drainward: {
      archive: FORMAT,
      of,
      version: VERSION,
      madeAt: madeAt.toISOString(),
      columns: Object.fromEntries(columns),
    },
  });
const rowLine = ({ table, row }: StoredRow): string => `{"table":"${table}","row":${row}}`;
const endLine = (rows: number, digest: string): string => JSON.stringify({ end: { rows, digest: `sha256:${digest}` } });

async function* linesOf(store: Store, head: string, rows: AsyncIterable<StoredRow>): AsyncGenerator<string> {
  yield head;
  const digest = store.archive.digest();
  let count = 0;
  for await (const row of rows) {
    digest.add(row);
    count++;
    yield rowLine(row);
  }
  yield endLine(count, digest.hex());
}

const ROW = /^\{"table":"([a-z_]{1,63})","row":/;
const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const readHead = (text: string, of: Kind): Head => {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    value = null;
  }
  const head = isRecord(value) ? value.drainward : null;
  if (!isRecord(head) || head.archive !== FORMAT || !isRecord(head.columns))
    throw new ArchiveFault("This is no archive of Drainward, or one of a version that is not known here.");
  if (head.of !== of)
    throw new ArchiveFault(
      of === "store"
        ? "This is an archive of one building: import it."
        : "This is an archive of a whole store: restore it.",
    );
  return { of, columns: new Map(Object.entries(head.columns) as [string, readonly string[]][]) };
};

/** Reads an archive line by line. `rows` ends well only if the last line says the same as was read. */
const opened = async (store: Store, bytes: AsyncIterable<Uint8Array>, of: Kind) => {
  const lines = splitLines(bytes, LONGEST);
  const next = async (): Promise<{ readonly number: number; readonly text: string } | null> => {
    const { value, done } = await lines.next();
    if (done) return null;
    if (value.bytes === null) throw new ArchiveFault(`Line ${value.number} is longer than any of an archive.`);
    try {
      return { number: value.number, text: decoder.decode(value.bytes) };
    } catch {
      throw new ArchiveFault(`Line ${value.number} is not in UTF-8.`);
    }
  };
  const first = await next();
  if (first === null) throw new ArchiveFault("The archive is empty.");
  const head = readHead(first.text, of);
  const digest = store.archive.digest();
  async function* rows(): AsyncGenerator<StoredRow & { readonly line: number }> {
    let count = 0;
    for (;;) {
      const line = await next();
      if (line === null) throw new ArchiveFault("The archive was cut short: its last line is missing.");
      const table = ROW.exec(line.text);
      if (table === null) {
        if (line.text !== endLine(count, digest.hex()))
          throw new ArchiveFault(
            `Line ${line.number} is not what an archive of these rows ends with: something was changed.`,
          );
        if ((await next()) !== null) throw new ArchiveFault("Something comes after the end of the archive.");
        return;
      }
      const row = { table: table[1]!, row: line.text.slice(table[0].length, -1), line: line.number };
      digest.add(row);
      count++;
      yield row;
    }
  }
  return { head, rows: rows(), digest: () => digest.hex() };
};

/** Writes the whole store, as it is now, line by line; others read and write meanwhile. */
export const archiveStore = (store: Store, now: Date, write: (line: string) => Promise<void>): Promise<void> =>
  store.archive.read(async ({ columns, rows }) => {
    for await (const line of linesOf(store, headLine("store", now, columns), rows)) await write(line);
  });

/**
 * Takes an archive back into an empty store: all of it, checked against its digest and read again before it is kept, or
 * nothing. @throws ArchiveFault, StoreNotEmpty
 */
export const restoreStore = async (store: Store, bytes: AsyncIterable<Uint8Array>): Promise<void> => {
  const { head, rows, digest } = await opened(store, bytes, "store");
  let line = 1;
  const counted = async function* (): AsyncGenerator<StoredRow> {
    for await (const row of rows) {
      line = row.line;
      yield row;
    }
  };
  try {
    await store.archive.restore({ columns: head.columns, rows: counted() }, (again) => {
      if (again !== digest()) throw new ArchiveFault("What was restored does not read as it was archived.");
    });
  } catch (error) {
    throw error instanceof RowRefused ? new ArchiveFault(`Line ${line}: ${error.message}.`) : error;
  }
};

export const makeTransfers = (store: Store, auditor: Auditor, now: () => Date) => {
  /** The newest network is asked about from now on: it must read, and be the one that its digest says. */
  const placesFor = async ({ row }: StoredRow, newest: number | undefined, signal?: AbortSignal): Promise<string> => {
    const revision = JSON.parse(row) as { number?: unknown; network?: unknown; digest?: unknown };
    if (revision.number !== newest || typeof revision.network !== "string") return "{}";
    const body = encoder.encode(revision.network);
    const placed = await askedOf<Placed>(auditor, "placed", body, undefined, signal).catch((error: unknown) => {
      throw error instanceof RefusedDocument ? new RowRefused("the newest network does not read") : error;
    });
    if (placed.digest !== revision.digest) throw new RowRefused("the newest network has another digest");
    return JSON.stringify(placed.places);
  };

  return {
    /** Writes a building with its whole history, as it is now, line by line. */
    export: (organization: string, building: string, write: (line: string) => Promise<void>): Promise<void> =>
      store.asOfNow(organization, async (shelves) => {
        await found(shelves, building);
        const head = headLine("building", now(), new Map());
        for await (const line of linesOf(store, head, shelves.transfer.rows(building))) await write(line);
      }),

    /**
     * Makes a building of what was exported, under an id that is free here: all of it or nothing. What its health is read
     * from is worked out anew. @throws ArchiveFault, Refused conflict
     */
    async import(
      organization: string,
      id: string,
      bytes: AsyncIterable<Uint8Array>,
      signal?: AbortSignal,
    ): Promise<Building> {
      if (!BUILDING_ID.test(id))
        throw new Refused("invalid-body", "That is no id of a building.", [
          {
            pointer: "/id",
            detail: "letters, digits and . _ ~ - are wanted, at most 128",
            hint: "for example alder-court",
          },
        ]);
      const { rows } = await opened(store, bytes, "building");
      let line = 1;
      try {
        return await store.within(organization, async (shelves) => {
          if ((await shelves.buildings.get(id)) !== null)
            throw new Refused("conflict", "There is a building of this id.");
          let building: Building | null = null;
          for await (const row of rows) {
            line = row.line;
            if ((row.table === "building") !== (building === null))
              throw new RowRefused("one building is wanted, before all that belongs to it");
            const derived: Readonly<Record<string, string>> =
              row.table === "revision" ? { places: await placesFor(row, building?.revision, signal) } : {};
            await shelves.transfer.take(id, row, derived);
            building ??= await shelves.buildings.get(id);
          }
          if (building === null) throw new ArchiveFault("The archive holds no building.");
          const { length } = await shelves.revisions.times(id);
          const audit = length === 0 ? null : await shelves.audits.get(id, length);
          if (length !== building.revision || (length > 0 && audit === null))
            throw new ArchiveFault("Revisions or audits of the building are missing.");
          await summarized(shelves, id, now());
          return building;
        });
      } catch (error) {
        throw error instanceof RowRefused ? new ArchiveFault(`Line ${line}: ${error.message}.`) : error;
      }
    },
  };
};
export type Transfers = ReturnType<typeof makeTransfers>;
