import { type Kysely, type Selectable, sql } from "kysely";
import {
  type Building,
  type Observation,
  type Repeated,
  type Revision,
  RowRefused,
  type Shelves,
  type StoredAudit,
  type StoredFinding,
  type Waiver,
} from "../service/shelves.js";
import { columnsOf, rowsOfBuilding, takeRow } from "./stored-rows.js";
import type { Tables } from "./tables.js";

type Row<T extends keyof Tables> = Selectable<Tables[T]>;

/** all but the summary, which is large and asked for by itself */
const BUILDING = [
  "id",
  "name",
  "time_zone",
  "tags",
  "version",
  "created_at",
  "changed_at",
  "revision",
  "cleaning_days",
] as const;

const buildingOf = (row: Pick<Row<"building">, (typeof BUILDING)[number]>): Building => ({
  id: row.id,
  name: row.name,
  timeZone: row.time_zone,
  tags: row.tags,
  version: row.version,
  createdAt: row.created_at,
  changedAt: row.changed_at,
  revision: row.revision,
  cleaningDays: row.cleaning_days,
});

const revisionOf = (row: Omit<Row<"revision">, "network" | "places" | "organization">): Revision => ({
  building: row.building,
  number: row.number,
  digest: row.digest,
  createdAt: row.created_at,
  by: row.made_by,
  note: row.note,
});

const auditOf = (row: Omit<Row<"audit">, "answer" | "organization">): Omit<StoredAudit, "answer"> => ({
  building: row.building,
  revision: row.revision,
  sequence: row.sequence,
  engine: row.engine,
  catalogue: row.catalogue,
  madeAt: row.made_at,
  verdict: row.verdict,
  exposure: row.exposure,
});

const findingOf = (row: Row<"finding">): StoredFinding => ({
  building: row.building,
  id: row.id,
  rule: row.rule,
  severity: row.severity,
  kind: row.kind,
  state: row.state,
  since: row.since,
  changed: row.changed,
  cause: row.cause,
  earlier: row.earlier,
  message: row.message,
  fanCoils: row.fan_coils,
  nodes: row.nodes,
  pipes: row.pipes,
});

const waiverOf = (row: Row<"waiver">): Waiver => ({
  building: row.building,
  finding: row.finding,
  by: row.waived_by,
  reason: row.reason,
  until: row.until,
  createdAt: row.created_at,
});

const observationOf = (row: Row<"observation">): Observation => ({
  building: row.building,
  id: row.id,
  type: row.type,
  time: row.time,
  timeText: row.time_text,
  receivedAt: row.received_at,
  node: row.node,
  pipe: row.pipe,
  fanCoil: row.fan_coil,
  attribute: row.attribute,
  value: row.value,
  source: row.source,
  text: row.text,
  withdraws: row.withdraws,
});

const REVISION = ["building", "number", "digest", "created_at", "made_by", "note"] as const;
const AUDIT = ["building", "revision", "sequence", "engine", "catalogue", "made_at", "verdict", "exposure"] as const;

const became = (row: Row<"repeat">, route: string, bodyDigest: string): Repeated => {
  if (row.route !== route || row.body_digest !== bodyDigest) return { state: "other-body" };
  if (row.status === null) return { state: "running" };
  return { state: "done", status: row.status, headers: row.headers ?? {}, body: row.body ?? "" };
};

/** Rows are sent in parcels: one statement takes a bounded number of parameters. */
const PARCEL = 1000;
function* parcels<T>(all: readonly T[]): Generator<readonly T[]> {
  for (let at = 0; at < all.length; at += PARCEL) yield all.slice(at, at + PARCEL);
}

/** One organisation's shelves in one transaction. Row-level security stands behind each `where organization`. */
export const shelvesOn = (db: Kysely<Tables>, organization: string): Shelves => {
  let columns: ReturnType<typeof columnsOf> | undefined;
  const repeatOf = (key: string) =>
    db
      .selectFrom("repeat")
      .selectAll()
      .where("organization", "=", organization)
      .where("key", "=", key)
      .executeTakeFirst();
  return {
    buildings: {
      async get(id) {
        const row = await db
          .selectFrom("building")
          .select(BUILDING)
          .where("organization", "=", organization)
          .where("id", "=", id)
          .executeTakeFirst();
        return row === undefined ? null : buildingOf(row);
      },
      async hold(id) {
        const row = await db
          .selectFrom("building")
          .select(BUILDING)
          .where("organization", "=", organization)
          .where("id", "=", id)
          .forUpdate()
          .executeTakeFirst();
        return row === undefined ? null : buildingOf(row);
      },
      async list({ after, limit }) {
        const rows = await db
          .selectFrom("building")
          .select(BUILDING)
          .where("organization", "=", organization)
          .$if(after !== null, (query) => query.where("id", ">", after))
          .orderBy("id")
          .limit(limit)
          .execute();
        return rows.map(buildingOf);
      },
      async add({ id, name, timeZone, tags, cleaningDays, createdAt }) {
        const added = await db
          .insertInto("building")
          .values({
            organization,
            id,
            name,
            time_zone: timeZone,
            tags: JSON.stringify(tags),
            cleaning_days: cleaningDays,
            created_at: createdAt,
            changed_at: createdAt,
          })
          .onConflict((conflict) => conflict.columns(["organization", "id"]).doNothing())
          .returning("id")
          .executeTakeFirst();
        return added !== undefined;
      },
      async change(id, { name, timeZone, tags, cleaningDays, changedAt }) {
        await db
          .updateTable("building")
          .set({
            name,
            time_zone: timeZone,
            tags: JSON.stringify(tags),
            cleaning_days: cleaningDays,
            changed_at: changedAt,
            version: sql`version + 1`,
          })
          .where("organization", "=", organization)
          .where("id", "=", id)
          .execute();
      },
      async remove(id) {
        await db.deleteFrom("building").where("organization", "=", organization).where("id", "=", id).execute();
      },
      async summarize(id, { signs, outlook }) {
        await db
          .updateTable("building")
          .set({ signs, outlook })
          .where("organization", "=", organization)
          .where("id", "=", id)
          .execute();
      },
      async signs(id) {
        const row = await db
          .selectFrom("building")
          .select("signs")
          .where("organization", "=", organization)
          .where("id", "=", id)
          .executeTakeFirst();
        return row?.signs ?? null;
      },
      async outlooks() {
        const rows = await db
          .selectFrom("building")
          .select(["id", "revision", "outlook"])
          .where("organization", "=", organization)
          .execute();
        return rows.map(({ id, revision, outlook }) => ({ building: id, revision, outlook }));
      },
      async summaries(ids) {
        if (ids.length === 0) return [];
        const rows = await db
          .selectFrom("building")
          .select(["id", "name", "created_at", "tags", "signs"])
          .where("organization", "=", organization)
          .where(sql<boolean>`id = any(${ids})`)
          .execute();
        return rows.map(({ id, created_at: createdAt, ...told }) => ({ building: id, createdAt, ...told }));
      },
    },

    revisions: {
      async add({ building, network, places, digest, createdAt, by, note }) {
        const { revision: number } = await db
          .updateTable("building")
          .set({ revision: sql`revision + 1`, version: sql`version + 1`, changed_at: createdAt })
          .where("organization", "=", organization)
          .where("id", "=", building)
          .returning("revision")
          .executeTakeFirstOrThrow();
        await db
          .insertInto("revision")
          .values({ organization, building, number, network, places, digest, created_at: createdAt, made_by: by, note })
          .execute();
        return { building, number, digest, createdAt, by, note };
      },
      async get(building, number) {
        const row = await db
          .selectFrom("revision")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("number", "=", number)
          .executeTakeFirst();
        return row === undefined ? null : { ...revisionOf(row), network: row.network, places: row.places };
      },
      async places(building, number) {
        const row = await db
          .selectFrom("revision")
          .select("places")
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("number", "=", number)
          .executeTakeFirst();
        return row?.places ?? null;
      },
      async times(building) {
        const rows = await db
          .selectFrom("revision")
          .select("created_at")
          .where("organization", "=", organization)
          .where("building", "=", building)
          .orderBy("number")
          .execute();
        return rows.map((row) => row.created_at);
      },
      async list(building, { after, limit }) {
        const rows = await db
          .selectFrom("revision")
          .select(REVISION)
          .where("organization", "=", organization)
          .where("building", "=", building)
          .$if(after !== null, (query) => query.where("number", ">", after))
          .orderBy("number")
          .limit(limit)
          .execute();
        return rows.map(revisionOf);
      },
    },

    audits: {
      async add({ building, revision, engine, catalogue, madeAt, verdict, exposure, answer }) {
        const { sequence } = await db
          .insertInto("audit")
          .values({
            organization,
            building,
            revision,
            sequence: (query) =>
              query
                .selectFrom("audit")
                .select(sql<number>`coalesce(max(sequence), 0) + 1`.as("next"))
                .where("organization", "=", organization)
                .where("building", "=", building)
                .where("revision", "=", revision),
            engine,
            catalogue,
            made_at: madeAt,
            verdict,
            exposure,
            answer,
          })
          .returning("sequence")
          .executeTakeFirstOrThrow();
        return { building, revision, sequence, engine, catalogue, madeAt, verdict, exposure, answer };
      },
      async get(building, revision) {
        const row = await db
          .selectFrom("audit")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("revision", "=", revision)
          .orderBy("sequence", "desc")
          .limit(1)
          .executeTakeFirst();
        return row === undefined ? null : { ...auditOf(row), answer: row.answer };
      },
      async list(building) {
        const rows = await db
          .selectFrom("audit")
          .select(AUDIT)
          .where("organization", "=", organization)
          .where("building", "=", building)
          .orderBy("revision")
          .orderBy("sequence")
          .execute();
        return rows.map(auditOf);
      },
    },

    findings: {
      async get(building, id) {
        const row = await db
          .selectFrom("finding")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("id", "=", id)
          .executeTakeFirst();
        return row === undefined ? null : findingOf(row);
      },
      async list(building, states, { after, limit }) {
        const rows = await db
          .selectFrom("finding")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("state", "in", states)
          .$if(after !== null, (query) => query.where("id", ">", after))
          .orderBy("id")
          .limit(limit)
          .execute();
        return rows.map(findingOf);
      },
      async put(findings) {
        for (const parcel of parcels(findings))
          await db
            .insertInto("finding")
            .values(
              parcel.map((finding) => ({
                organization,
                building: finding.building,
                id: finding.id,
                rule: finding.rule,
                severity: finding.severity,
                kind: finding.kind,
                state: finding.state,
                since: finding.since,
                changed: finding.changed,
                cause: finding.cause,
                earlier: JSON.stringify(finding.earlier),
                message: finding.message,
                fan_coils: JSON.stringify(finding.fanCoils),
                nodes: JSON.stringify(finding.nodes),
                pipes: JSON.stringify(finding.pipes),
              })),
            )
            .onConflict((conflict) =>
              conflict.columns(["organization", "building", "id"]).doUpdateSet((row) => ({
                rule: row.ref("excluded.rule"),
                severity: row.ref("excluded.severity"),
                kind: row.ref("excluded.kind"),
                state: row.ref("excluded.state"),
                since: row.ref("excluded.since"),
                changed: row.ref("excluded.changed"),
                cause: row.ref("excluded.cause"),
                earlier: sql`finding.earlier || case when finding.state = 'open' and excluded.state <> 'open'
                then jsonb_build_array(jsonb_build_array(finding.changed, excluded.changed)) else '[]' end`,
                message: row.ref("excluded.message"),
                fan_coils: row.ref("excluded.fan_coils"),
                nodes: row.ref("excluded.nodes"),
                pipes: row.ref("excluded.pipes"),
              })),
            )
            .execute();
      },
      async remove(building, ids) {
        if (ids.length === 0) return;
        await db
          .deleteFrom("finding")
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("id", "in", ids)
          .execute();
      },
    },

    waivers: {
      async get(building, finding) {
        const row = await db
          .selectFrom("waiver")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("finding", "=", finding)
          .executeTakeFirst();
        return row === undefined ? null : waiverOf(row);
      },
      async list(building) {
        const rows = await db
          .selectFrom("waiver")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .orderBy("finding")
          .execute();
        return rows.map(waiverOf);
      },
      async put({ building, finding, by, reason, until, createdAt }) {
        await db
          .insertInto("waiver")
          .values({ organization, building, finding, waived_by: by, reason, until, created_at: createdAt })
          .onConflict((conflict) =>
            conflict.columns(["organization", "building", "finding"]).doUpdateSet((row) => ({
              waived_by: row.ref("excluded.waived_by"),
              reason: row.ref("excluded.reason"),
              until: row.ref("excluded.until"),
              created_at: row.ref("excluded.created_at"),
            })),
          )
          .execute();
      },
      async remove(building, finding) {
        await db
          .deleteFrom("waiver")
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("finding", "=", finding)
          .execute();
      },
    },

    observations: {
      async get(building, id) {
        const row = await db
          .selectFrom("observation")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where("id", "=", id)
          .executeTakeFirst();
        return row === undefined ? null : observationOf(row);
      },
      async add(observations) {
        for (const parcel of parcels(observations))
          await db
            .insertInto("observation")
            .values(
              parcel.map((seen) => ({
                organization,
                building: seen.building,
                id: seen.id,
                type: seen.type,
                time: seen.time,
                time_text: seen.timeText,
                received_at: seen.receivedAt,
                node: seen.node,
                pipe: seen.pipe,
                fan_coil: seen.fanCoil,
                attribute: seen.attribute,
                value: JSON.stringify(seen.value ?? null),
                source: seen.source,
                text: seen.text,
                withdraws: seen.withdraws,
              })),
            )
            .execute();
      },
      async ofTypes(building, types) {
        const rows = await db
          .selectFrom("observation")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .where(sql<boolean>`(type = any(${types}) or withdraws is not null)`)
          .execute();
        return rows.map(observationOf);
      },
      async list(building, { from, to, types }, { after, limit }) {
        const rows = await db
          .selectFrom("observation")
          .selectAll()
          .where("organization", "=", organization)
          .where("building", "=", building)
          .$if(from !== null, (query) => query.where("time", ">=", from))
          .$if(to !== null, (query) => query.where("time", "<=", to))
          .$if(types !== undefined, (query) => query.where("type", "in", types ?? []))
          .$if(after !== null, (query) => query.where(sql<boolean>`(time, id) > (${after?.time}, ${after?.id})`))
          .orderBy("time")
          .orderBy("id")
          .limit(limit)
          .execute();
        return rows.map(observationOf);
      },
    },

    repeats: {
      async find(key, route, bodyDigest) {
        const row = await repeatOf(key);
        return row === undefined ? null : became(row, route, bodyDigest);
      },
      async claim(key, route, bodyDigest, at) {
        // whoever holds the lock is at work on it; a row without an answer was never committed
        const { rows } = await sql<{ free: boolean }>`
        select pg_try_advisory_xact_lock(hashtextextended(${`${organization} ${key}`}, 0)) as free`.execute(db);
        if (rows[0]?.free !== true) return { state: "running" };
        const claimed = await db
          .insertInto("repeat")
          .values({ organization, key, route, body_digest: bodyDigest, claimed_at: at })
          .onConflict((conflict) => conflict.columns(["organization", "key"]).doNothing())
          .returning("key")
          .executeTakeFirst();
        if (claimed !== undefined) return { state: "new" };
        const known = await repeatOf(key);
        return known === undefined ? { state: "running" } : became(known, route, bodyDigest);
      },
      async finish(key, { status, headers, body }) {
        await db
          .updateTable("repeat")
          .set({ status, headers: JSON.stringify(headers), body })
          .where("organization", "=", organization)
          .where("key", "=", key)
          .execute();
      },
      async forgetBefore(at) {
        await db.deleteFrom("repeat").where("organization", "=", organization).where("claimed_at", "<", at).execute();
      },
    },

    transfer: {
      rows: (building) => rowsOfBuilding(db, organization, building),
      take: async (building, row, derived) => {
        if (row.table === "key" || row.table === "repeat") throw new RowRefused("a row that is of no building");
        const whose = row.table === "building" ? { id: building } : { building };
        columns ??= columnsOf(db);
        await takeRow(db, await columns, row, { organization, ...whose, ...derived });
      },
    },
  };
};
