import { type Kysely, sql } from "kysely";

/** When findings were open before, and what tells a building's state without its network. */
export const up = async (db: Kysely<unknown>): Promise<void> => {
  await sql`alter table building add column outlook text`.execute(db);
  // what was kept had another form; it is worked out anew when it is asked for
  await sql`update building set signs = null`.execute(db);
  await sql`alter table finding add column earlier jsonb not null default '[]'`.execute(db);
  await sql`
    create index observation_withdrawing on observation (organization, building) where withdraws is not null`.execute(
    db,
  );
};
