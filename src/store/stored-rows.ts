// Rows as they are handed out of the store and taken back: each table's, in the order in which they can be taken back.
import { createHash } from "node:crypto";
import { type Kysely, type RawBuilder, sql } from "kysely";
import { RowRefused, type StoredRow } from "../service/shelves.js";
import type { Tables } from "./tables.js";

interface Shape {
  /** its primary key, which rows are read and written by the order of */
  readonly key: readonly string[];
  /** rows that are read at once: some are large */
  readonly page: number;
  /** text that must be JSON */
  readonly json?: readonly string[];
  /** what is not of the building itself, and is worked out anew where it goes */
  readonly derived?: readonly string[];
}

/** Every table but the migrations' own; what another refers to comes before it. */
export const SHAPES: Readonly<Record<keyof Tables, Shape>> = {
  key: { key: ["organization", "id"], page: 500 },
  building: { key: ["organization", "id"], page: 50, derived: ["signs", "outlook"] },
  revision: { key: ["organization", "building", "number"], page: 4, json: ["network"], derived: ["places"] },
  audit: { key: ["organization", "building", "revision", "sequence"], page: 4, json: ["answer"] },
  finding: { key: ["organization", "building", "id"], page: 500 },
  waiver: { key: ["organization", "building", "finding"], page: 500 },
  observation: { key: ["organization", "building", "id"], page: 500 },
  repeat: { key: ["organization", "key"], page: 100 },
};
export const TABLES = Object.keys(SHAPES) as (keyof Tables)[];

const OF_BUILDING: readonly (keyof Tables)[] = ["building", "revision", "audit", "finding", "waiver", "observation"];

const isTable = (name: string): name is keyof Tables => Object.hasOwn(SHAPES, name);

/** The columns of every table, in the order in which they were made. */
export const columnsOf = async (db: Kysely<Tables>): Promise<ReadonlyMap<keyof Tables, readonly string[]>> => {
  const { rows } = await sql<{ table_name: string; column_name: string }>`
    select table_name::text, column_name::text from information_schema.columns
    where table_schema = current_schema() order by table_name, ordinal_position`.execute(db);
  const columns = new Map<keyof Tables, string[]>();
  for (const { table_name, column_name } of rows) {
    if (!isTable(table_name)) continue;
    const known = columns.get(table_name);
    if (known === undefined) columns.set(table_name, [column_name]);
    else known.push(column_name);
  }
  return columns;
};

interface Wanted {
  readonly columns: readonly string[];
  /** column → value that the rows have; none: all rows */
  readonly where: Readonly<Record<string, string>>;
}

/** Hands out the rows of a table by its key, each as JSON text of these columns. */
async function* rowsOf(db: Kysely<Tables>, table: keyof Tables, { columns, where }: Wanted): AsyncGenerator<string> {
  const { key, page } = SHAPES[table];
  const keys = sql.join(key.map((name) => sql.ref(name)));
  const conditions = Object.entries(where).map(([name, value]) => sql`${sql.ref(name)} = ${value}`);
  const pairs = sql.join(columns.flatMap((name) => [sql.lit(name), sql.ref(name)]));
  let after: readonly unknown[] | null = null;
  for (;;) {
    const begin: RawBuilder<unknown> =
      after === null ? sql`true` : sql`(${keys}) > (${sql.join(after.map((value) => sql`${value}`))})`;
    // no column is called like these: `order by` means what is selected before it means a column
    const { rows }: { rows: { _row: string; _key: unknown[] }[] } = await sql<{ _row: string; _key: unknown[] }>`
      select json_build_object(${pairs})::text as _row, json_build_array(${keys}) as _key
      from ${sql.table(table)} where ${sql.join([begin, ...conditions], sql` and `)}
      order by ${keys} limit ${page}`.execute(db);
    for (const { _row } of rows) yield _row;
    if (rows.length < page) return;
    after = rows[rows.length - 1]!._key;
  }
}

/** Times are written in one zone, whatever the server's. */
const inUtc = (db: Kysely<Tables>) => sql`select set_config('timezone', 'UTC', true)`.execute(db);

/** Hands out every row of every table. */
export async function* everyRow(
  db: Kysely<Tables>,
  columns: ReadonlyMap<string, readonly string[]>,
): AsyncGenerator<StoredRow> {
  await inUtc(db);
  for (const table of TABLES) {
    const own = columns.get(table);
    if (own === undefined) continue;
    for await (const row of rowsOf(db, table, { columns: own, where: {} })) yield { table, row };
  }
}

/** Hands out every row of a building, without what says whose it is and what is worked out of the rest. */
export async function* rowsOfBuilding(
  db: Kysely<Tables>,
  organization: string,
  building: string,
): AsyncGenerator<StoredRow> {
  await inUtc(db);
  const columns = await columnsOf(db);
  for (const table of OF_BUILDING) {
    const whose = table === "building" ? "id" : "building";
    const left = new Set(["organization", whose, ...(SHAPES[table].derived ?? [])]);
    const own = (columns.get(table) ?? []).filter((name) => !left.has(name));
    const where = { organization, [whose]: building };
    for await (const row of rowsOf(db, table, { columns: own, where })) yield { table, row };
  }
}

/** What the database refuses a row for: it does not fit its column, or not the other rows. */
const UNFIT = /^2[23]/;

/** Takes rows back, in the order in which they were handed out. @throws RowRefused */
export const takeRow = async (
  db: Kysely<Tables>,
  columns: ReadonlyMap<string, readonly string[]>,
  { table, row }: StoredRow,
  own: Readonly<Record<string, unknown>> = {},
): Promise<void> => {
  const known = isTable(table) ? columns.get(table) : undefined;
  if (!isTable(table) || known === undefined) throw new RowRefused(`there is no table ${JSON.stringify(table)}`);
  let value: unknown;
  try {
    value = JSON.parse(row);
  } catch {
    throw new RowRefused("a row that is no JSON");
  }
  if (typeof value !== "object" || value === null || Array.isArray(value))
    throw new RowRefused("a row that is no object");
  const whole: Readonly<Record<string, unknown>> = { ...value, ...own };
  const names = Object.keys(whole);
  const strange = names.find((name) => !known.includes(name));
  if (strange !== undefined) throw new RowRefused(`${table} has no ${JSON.stringify(strange.slice(0, 64))}`);
  const { json = [] } = SHAPES[table];
  const given = sql.join(
    names.map((name) => (json.includes(name) ? sql`${sql.ref(name)}::json::text` : sql.ref(name))),
  );
  try {
    await sql`
      insert into ${sql.table(table)} (${sql.join(names.map((name) => sql.ref(name)))})
      select ${given} from json_populate_record(null::${sql.table(table)}, ${JSON.stringify(whole)}::json)`.execute(db);
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    if (UNFIT.test(code)) throw new RowRefused(`a row of ${table} that does not fit: ${(error as Error).message}`);
    throw error;
  }
};

/** The digest of rows, by which two stores are told to hold the same. */
export const rowsDigest = () => {
  const hash = createHash("sha256");
  return {
    add: ({ table, row }: StoredRow) => void hash.update(`${table} ${row}\n`),
    hex: () => hash.copy().digest("hex"),
  };
};
