// Health is read by indexes alone, however much others have stored.

import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { makeAuditor } from "../../src/service/auditor.js";
import { makeStored } from "../../src/service/stored.js";
import { fill, healthPlans } from "../bench/stored-buildings.js";
import { riserOfThree } from "../builders/riser-of-three.js";
import { engines } from "../contract/engines.js";

const encode = (value: unknown) => new TextEncoder().encode(JSON.stringify(value));

describe.each(engines)("health on the $name server", (engine) => {
  let url: string;
  let remove: () => Promise<void>;
  beforeAll(async () => {
    const opened = await engine.open();
    ({ url, remove } = opened);
    const auditor = makeAuditor({ threads: 1 });
    const stored = makeStored(
      opened.store,
      auditor,
      () => new Date(),
      () => "own",
    );
    const words = { name: "Elm", timeZone: "Europe/Lisbon", tags: [], cleaningDays: null };
    await stored.buildings.put("alder", "elm", words, null);
    await stored.revisions.add("alder", "elm", encode(riserOfThree()), "k");
    await auditor.close();
    const organizations = ["alder", "birch", "cedar", "elder"];
    await fill(url, {
      organization: "alder",
      pattern: "elm",
      organizations,
      buildings: 20,
      observations: 20,
      waivers: 7,
    });
  }, 120_000);
  afterAll(() => remove());

  test("is read without reading any table from end to end", async () => {
    const plans = await healthPlans(url, "alder", "b-00007", true);
    expect(plans.length).toBeGreaterThan(20);
    expect(plans.filter(({ scanned }) => scanned.length > 0)).toEqual([]);
    // of what is read, little is not wanted: at most the other observations of the building
    expect(Math.max(...plans.map(({ discarded }) => discarded))).toBeLessThanOrEqual(20);
  });

  test("would be seen to read a table from end to end without its indexes", async () => {
    const client = new pg.Client({ connectionString: url });
    await client.connect();
    await client.query("drop index observation_by_time, observation_by_type, observation_withdrawing");
    await client.query("alter table observation drop constraint observation_pkey");
    await client.end();
    const plans = await healthPlans(url, "alder", "b-00007", true);
    expect(plans.flatMap(({ scanned }) => scanned.map(([table]) => table))).toContain("observation");
  });
});
