// The tables as the query builder sees them; the migrations make them.
import type { ColumnType, Generated } from "kysely";

/** written as JSON text, read parsed */
type Json<T> = ColumnType<T, string, string>;

export interface Tables {
  key: {
    organization: string;
    id: string;
    digest: string;
    role: "read" | "write" | "admin";
    label: string;
    created_at: Date;
    expires_at: Date | null;
    revoked_at: Date | null;
  };
  building: {
    organization: string;
    id: string;
    name: string;
    time_zone: string;
    tags: Json<readonly string[]>;
    version: Generated<number>;
    revision: Generated<number>;
    cleaning_days: number | null;
    signs: string | null;
    outlook: string | null;
    created_at: Date;
    changed_at: Date;
  };
  revision: {
    organization: string;
    building: string;
    number: number;
    network: string;
    places: string;
    digest: string;
    created_at: Date;
    made_by: string;
    note: string | null;
  };
  audit: {
    organization: string;
    building: string;
    revision: number;
    sequence: number;
    engine: string;
    catalogue: string;
    made_at: Date;
    verdict: string;
    exposure: string | null;
    answer: string;
  };
  finding: {
    organization: string;
    building: string;
    id: string;
    rule: string;
    severity: "critical" | "major" | "minor" | "advice";
    kind: "condition" | "contingency" | "record";
    state: "open" | "cleared" | "lost-sight";
    since: number;
    changed: number;
    cause: "building" | "survey" | "catalogue";
    earlier: Json<readonly (readonly [number, number])[]>;
    message: string;
    fan_coils: Json<readonly string[]>;
    nodes: Json<readonly string[]>;
    pipes: Json<readonly string[]>;
  };
  waiver: {
    organization: string;
    building: string;
    finding: string;
    waived_by: string;
    reason: string;
    until: Date | null;
    created_at: Date;
  };
  observation: {
    organization: string;
    building: string;
    id: string;
    type: string;
    time: Date;
    time_text: string;
    received_at: Date;
    node: string | null;
    pipe: string | null;
    fan_coil: string | null;
    attribute: string | null;
    value: Json<unknown>;
    source: string;
    text: string | null;
    withdraws: string | null;
  };
  repeat: {
    organization: string;
    key: string;
    route: string;
    body_digest: string;
    claimed_at: Date;
    status: number | null;
    headers: Json<Readonly<Record<string, string>>> | null;
    body: string | null;
  };
}
