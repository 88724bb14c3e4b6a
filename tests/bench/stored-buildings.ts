// Many stored buildings with many observations, how their health is read out of the database, and how long that takes.
import { CompiledQuery, Kysely, PostgresDialect, sql } from "kysely";
import pg from "pg";
import { makeHealth } from "../../src/service/building-health.js";
import type { Store } from "../../src/service/shelves.js";
import { shelvesOn } from "../../src/store/shelves-on-sql.js";
import type { Tables } from "../../src/store/tables.js";

export interface Filling {
  /** whose building is copied, and its id: it has a revision, and observations are made of its node F-1 */
  readonly organization: string;
  readonly pattern: string;
  /** for each of the organizations */
  readonly buildings: number;
  readonly organizations: readonly string[];
  /** of each building */
  readonly observations: number;
  readonly waivers: number;
}

const TABLES = ["building", "revision", "audit", "finding"] as const;

/** Copies a building many times, each with observations of the two years before now and some waivers. */
export const fill = async (url: string, filling: Filling): Promise<void> => {
  const { organization, pattern, buildings, organizations, observations, waivers } = filling;
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    await client.query("begin; select setseed(0.5)");
    for (const table of TABLES) {
      const { rows } = await client.query<{ column_name: string }>(
        "select column_name from information_schema.columns where table_schema = current_schema() and table_name = $1",
        [table],
      );
      const own = table === "building" ? "id" : "building";
      const columns = rows.map(({ column_name }) => column_name);
      const taken = columns.map((column) => {
        if (column === "organization") return "o.o";
        if (column === own) return "'b-' || lpad(n::text, 5, '0')";
        // what is kept of health is worked out of the observations of each
        return column === "signs" || column === "outlook" ? "null" : `t."${column}"`;
      });
      await client.query(
        `insert into ${table} (${columns.map((column) => `"${column}"`).join(", ")})
          select ${taken.join(", ")} from ${table} t, unnest($3::text[]) o(o), generate_series(1, $4::int) n
          where t.organization = $1 and t.${own} = $2`,
        [organization, pattern, organizations, buildings],
      );
    }
    await client.query(
      `insert into observation (organization, building, id, type, time, time_text, received_at, node, source, value)
        select o, 'b-' || lpad(n::text, 5, '0'), 'o-' || i,
          (array['switch-tested', 'flow-test', 'grade-reading', 'trap-primed', 'slow-drain', 'water-seen', 'cleaned', 'drains-freely'])[1 + floor(random() * 8)],
          at, to_char(at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"'), at, 'F-1', 'caretaker', 'null'::jsonb
        from unnest($1::text[]) o, generate_series(1, $2::int) n, generate_series(1, $3::int) i,
          lateral (select date_trunc('second', now() - random() * interval '730 days' - n * interval '0 s' - i * interval '0 s') as at) when_seen`,
      [organizations, buildings, observations],
    );
    await client.query(
      `insert into waiver (organization, building, finding, waived_by, reason, created_at)
        select organization, building, id, 'association', 'let be', now() from
          (select *, row_number() over (partition by organization, building order by id) as place from finding) each_one
        where organization = any($1) and building like 'b-%' and place <= $2`,
      [organizations, waivers],
    );
    await client.query("commit");
    await client.query("vacuum analyze");
  } finally {
    await client.end();
  }
};

export interface Plan {
  readonly call: string;
  readonly sql: string;
  /** tables that were read from end to end, and how many rows of each were */
  readonly scanned: readonly (readonly [table: string, rows: number])[];
  /** rows that were read and not wanted */
  readonly discarded: number;
  /** ms */
  readonly time: number;
}

interface Node {
  readonly "Node Type": string;
  readonly "Relation Name"?: string;
  readonly "Actual Rows"?: number;
  readonly "Rows Removed by Filter"?: number;
  readonly "Rows Removed by Index Recheck"?: number;
  readonly Plans?: readonly Node[];
}
const nodesOf = (node: Node): readonly Node[] => [node, ...(node.Plans ?? []).flatMap(nodesOf)];

/**
 * How the database carries out each statement by which health is read, as EXPLAIN (ANALYZE) tells.
 * @param few tables are so short that reading them from end to end is quickest: whatever has an index is read by it
 */
export const healthPlans = async (
  url: string,
  organization: string,
  building: string,
  few = false,
): Promise<readonly Plan[]> => {
  const now = new Date();
  const pool = new pg.Pool({ connectionString: url, max: 1 });
  let asked: CompiledQuery[] = [];
  const db = new Kysely<Tables>({
    dialect: new PostgresDialect({ pool }),
    log: ({ query }) => void asked.push(query as CompiledQuery),
  });
  const serve = sql`
    select set_config('drainward.organization', ${organization}, true), set_config('role', 'drainward_service', true)`;
  const store: Pick<Store, "within"> = {
    within: (_, work) =>
      db.transaction().execute(async (transaction) => {
        await serve.execute(transaction);
        return work(shelvesOn(transaction, organization));
      }),
  };
  const health = makeHealth(store as Store, () => now);
  const long = new Date(now.getTime() - 200 * 86_400_000);
  const calls: Readonly<Record<string, () => Promise<unknown>>> = {
    "a building": () => health.whole(organization, building, null),
    "a building, earlier": () => health.whole(organization, building, long),
    "a fan coil": () => health.part(organization, building, { fanCoil: "F-1" }, null),
    "a dwelling": () => health.part(organization, building, { dwelling: "0101" }, null),
    "a fan coil, earlier": () => health.part(organization, building, { fanCoil: "F-1" }, long),
    "the history": () => health.history(organization, building, { from: long, to: now }, { after: null, limit: 50 }),
    "a series": () => health.series(organization, building, [long, now]),
    cleanings: () => health.cleanings(organization, building, null),
    "all buildings": () => health.portfolio(organization, { after: null, limit: 50 }),
    observations: () =>
      store.within(organization, ({ observations }) =>
        observations.list(building, { from: long, to: now }, { after: { time: long, id: "" }, limit: 50 }),
      ),
    findings: () =>
      store.within(organization, ({ findings }) => findings.list(building, ["open"], { after: null, limit: 50 })),
  };
  const plans: Plan[] = [];
  try {
    // what is not kept yet is worked out by the first who asks
    await health.portfolio(organization, { after: null, limit: 1 });
    await sql`vacuum analyze building`.execute(db);
    for (const [call, work] of Object.entries(calls)) {
      asked = [];
      await work();
      for (const query of asked.filter((each) => / from "/.test(each.sql))) {
        const [{ "QUERY PLAN": told }] = await db.transaction().execute(async (transaction) => {
          await serve.execute(transaction);
          if (few) await sql`set local enable_seqscan = off`.execute(transaction);
          const explained = CompiledQuery.raw(`explain (analyze, format json) ${query.sql}`, [...query.parameters]);
          return (
            await transaction.executeQuery<{ "QUERY PLAN": { Plan: Node; "Execution Time": number }[] }>(explained)
          ).rows;
        });
        const nodes = nodesOf(told[0]!.Plan);
        plans.push({
          call,
          sql: query.sql,
          scanned: nodes
            .filter((node) => node["Node Type"] === "Seq Scan")
            .map((node) => [node["Relation Name"] ?? "", node["Actual Rows"] ?? 0] as const),
          discarded: nodes.reduce(
            (sum, node) => sum + (node["Rows Removed by Filter"] ?? 0) + (node["Rows Removed by Index Recheck"] ?? 0),
            0,
          ),
          time: told[0]!["Execution Time"],
        });
      }
    }
  } finally {
    await db.destroy();
  }
  return plans;
};
