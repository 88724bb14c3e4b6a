import { type Kysely, sql } from "kysely";

/** The role that serves requests: it owns nothing, so row-level security binds it. */
const ROLE = "drainward_service";

const TABLES = ["building", "revision", "audit", "finding", "waiver", "observation", "repeat"] as const;

/** Buildings and what is kept of them. Every key begins with the organisation. */
export const up = async (db: Kysely<unknown>): Promise<void> => {
  await sql`
    do $$ begin
      create role ${sql.raw(ROLE)} nologin;
    exception when duplicate_object or unique_violation then null; end $$`.execute(db);
  await sql`grant ${sql.raw(ROLE)} to current_user`.execute(db);

  await sql`
    create table key (
      organization text not null,
      id text not null,
      digest text not null unique,
      role text not null check (role in ('read', 'write', 'admin')),
      label text not null,
      created_at timestamptz not null,
      expires_at timestamptz,
      revoked_at timestamptz,
      primary key (organization, id)
    )`.execute(db);
  await sql`
    create table building (
      organization text not null,
      id text not null,
      name text not null,
      time_zone text not null,
      tags jsonb not null,
      version integer not null default 1,
      revision integer not null default 0,
      cleaning_days integer check (cleaning_days > 0),
      signs text,
      created_at timestamptz not null,
      changed_at timestamptz not null,
      primary key (organization, id)
    )`.execute(db);
  await sql`
    create table revision (
      organization text not null,
      building text not null,
      number integer not null check (number > 0),
      network text not null,
      places text not null,
      digest text not null,
      created_at timestamptz not null,
      made_by text not null,
      note text,
      primary key (organization, building, number),
      foreign key (organization, building) references building (organization, id) on delete cascade
    )`.execute(db);
  await sql`
    create table audit (
      organization text not null,
      building text not null,
      revision integer not null,
      sequence integer not null check (sequence > 0),
      engine text not null,
      catalogue text not null,
      made_at timestamptz not null,
      verdict text not null,
      exposure text,
      answer text not null,
      primary key (organization, building, revision, sequence),
      foreign key (organization, building, revision)
        references revision (organization, building, number) on delete cascade
    )`.execute(db);
  await sql`
    create table finding (
      organization text not null,
      building text not null,
      id text not null,
      rule text not null,
      severity text not null check (severity in ('critical', 'major', 'minor', 'advice')),
      kind text not null check (kind in ('condition', 'contingency', 'record')),
      state text not null check (state in ('open', 'cleared', 'lost-sight')),
      since integer not null,
      changed integer not null,
      cause text not null check (cause in ('building', 'survey', 'catalogue')),
      message text not null,
      fan_coils jsonb not null,
      nodes jsonb not null,
      pipes jsonb not null,
      primary key (organization, building, id),
      foreign key (organization, building) references building (organization, id) on delete cascade
    )`.execute(db);
  await sql`
    create index finding_open on finding (organization, building, severity, kind) where state = 'open'`.execute(db);
  await sql`
    create table waiver (
      organization text not null,
      building text not null,
      finding text not null,
      waived_by text not null,
      reason text not null,
      until timestamptz,
      created_at timestamptz not null,
      primary key (organization, building, finding),
      foreign key (organization, building) references building (organization, id) on delete cascade
    )`.execute(db);
  await sql`
    create table observation (
      organization text not null,
      building text not null,
      id text not null,
      type text not null,
      time timestamptz not null,
      time_text text not null,
      received_at timestamptz not null,
      node text,
      pipe text,
      fan_coil text,
      attribute text,
      value jsonb,
      source text not null,
      text text,
      withdraws text,
      primary key (organization, building, id),
      foreign key (organization, building) references building (organization, id) on delete cascade
    )`.execute(db);
  await sql`create index observation_by_time on observation (organization, building, time, id)`.execute(db);
  await sql`create index observation_by_type on observation (organization, building, type, time)`.execute(db);
  await sql`
    create table repeat (
      organization text not null,
      key text not null,
      route text not null,
      body_digest text not null,
      claimed_at timestamptz not null,
      status integer,
      headers jsonb,
      body text,
      primary key (organization, key)
    )`.execute(db);
  await sql`create index repeat_by_age on repeat (organization, claimed_at)`.execute(db);

  for (const table of TABLES) {
    const name = sql.table(table);
    await sql`alter table ${name} enable row level security`.execute(db);
    await sql`
      create policy own_organization on ${name}
        using (organization = current_setting('drainward.organization', true))
        with check (organization = current_setting('drainward.organization', true))`.execute(db);
    await sql`grant select, insert, update, delete on ${name} to ${sql.raw(ROLE)}`.execute(db);
  }
  // what was observed, revised and audited is never written over
  for (const table of ["observation", "revision", "audit"] as const)
    await sql`revoke update, delete on ${sql.table(table)} from ${sql.raw(ROLE)}`.execute(db);
};
