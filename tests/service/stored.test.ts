// Stored buildings on the embedded server, with the real auditor: what is kept, followed and told of them.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { makeAuditor } from "../../src/service/auditor.js";
import { makeHealth } from "../../src/service/building-health.js";
import { makeBuildings, tagOf } from "../../src/service/buildings.js";
import { makeFindings } from "../../src/service/findings.js";
import { makeObservations } from "../../src/service/observations.js";
import { makeRevisions } from "../../src/service/revisions.js";
import type { Store } from "../../src/service/shelves.js";
import { engines } from "../contract/engines.js";

const tower = () =>
  JSON.parse(readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8")) as Record<
    string,
    unknown
  > & { nodes: Record<string, unknown>[]; pipes: Record<string, unknown>[] };

const bytes = (value: unknown) => new TextEncoder().encode(JSON.stringify(value));

const WORDS = { name: "Elm", timeZone: "Europe/Lisbon", tags: [], cleaningDays: null };
const ORG = "alder";

describe("stored buildings", () => {
  let store: Store;
  let remove: () => Promise<void>;
  let clock = new Date("2026-07-01T08:00:00Z");
  const now = () => clock;
  const auditor = makeAuditor({ threads: 1 });
  beforeAll(async () => {
    ({ store, remove } = await engines[0].open());
  }, 60_000);
  afterAll(async () => {
    await auditor.close();
    await remove();
  });
  const all = () => {
    let n = 0;
    return {
      buildings: makeBuildings(store, now),
      revisions: makeRevisions(store, auditor, now),
      findings: makeFindings(store, now),
      observations: makeObservations(store, now, () => `o-${clock.getTime()}-${n++}`),
      health: makeHealth(store, now),
    };
  };
  const EVERY = { after: null, limit: 1000 };

  test("a building is changed only by who has read it", async () => {
    const { buildings } = all();
    const made = await buildings.put(ORG, "elm", WORDS, null);
    expect(made.made).toBe(true);
    await expect(buildings.put(ORG, "elm", WORDS, null)).rejects.toMatchObject({ code: "match-required" });
    const tag = tagOf(made.building);
    const changed = await buildings.put(ORG, "elm", { ...WORDS, name: "Elm Court" }, tag);
    expect(changed).toMatchObject({ made: false, building: { name: "Elm Court" } });
    await expect(buildings.put(ORG, "elm", WORDS, tag)).rejects.toMatchObject({ code: "stale" });
    await expect(buildings.get("birch", "elm")).rejects.toMatchObject({ code: "not-found" });
  });

  test("a bad network is refused with its problems at their own places, and nothing is kept", async () => {
    const { revisions } = all();
    const refused = revisions.add(ORG, "elm", bytes({ ...tower(), units: "x" }), "k");
    await expect(refused).rejects.toMatchObject({
      refusal: { code: "invalid-document", errors: [{ pointer: "/units" }] },
    });
    const enveloped = revisions.add(ORG, "elm", bytes({ network: { ...tower(), units: "x" }, by: "k" }), "k");
    await expect(enveloped).rejects.toMatchObject({
      refusal: { code: "invalid-document", errors: [{ pointer: "/network/units" }] },
    });
    expect(await revisions.list(ORG, "elm", { after: null, limit: 10 })).toEqual([]);
  });

  test("findings keep since when they stand, and what brought them about", async () => {
    const { revisions, findings } = all();
    const open = async () => (await findings.list(ORG, "elm", "open", EVERY)).map(({ rule }) => rule);
    const first = await revisions.add(ORG, "elm", bytes({ network: tower(), by: "surveyor", note: "first" }), "k");
    expect(first.revision).toMatchObject({ number: 1, by: "surveyor", note: "first" });
    expect(JSON.parse((await revisions.get(ORG, "elm", 1)).network)).toEqual(tower());
    const [fault] = await findings.list(ORG, "elm", "open", EVERY);
    expect(fault).toMatchObject({ since: 1, changed: 1, cause: "building", waiver: null });

    // the same again: nothing changes
    await revisions.add(ORG, "elm", bytes(tower()), "k");
    expect((await findings.list(ORG, "elm", "open", EVERY))[0]).toMatchObject({ id: fault.id, since: 1, changed: 1 });
    expect(await open()).toHaveLength(1);
    expect((await revisions.audit(ORG, "elm", 2)).verdict).toBeTruthy();
    await expect(revisions.audit(ORG, "elm", 3)).rejects.toMatchObject({ code: "not-found" });
  });

  test("a waiver silences a finding until its time has passed", async () => {
    const { findings, health } = all();
    const [fault] = await findings.list(ORG, "elm", "open", EVERY);
    const before = await health.whole(ORG, "elm", null);
    expect(before.reasons.map(({ ref }) => ref)).toContain(fault.id);
    const until = new Date(clock.getTime() + 86_400_000);
    await findings.waive(ORG, "elm", fault.id, { by: "J. Doe", reason: "ordered", until }, null);
    expect(await findings.list(ORG, "elm", "waived", EVERY)).toHaveLength(1);
    expect(await findings.list(ORG, "elm", "open", EVERY)).toHaveLength(0);
    expect((await health.whole(ORG, "elm", null)).reasons.map(({ ref }) => ref)).not.toContain(fault.id);
    const later = new Date(until.getTime() + 1);
    expect((await health.whole(ORG, "elm", later)).reasons.map(({ ref }) => ref)).toContain(fault.id);
    await expect(
      findings.waive(ORG, "elm", "no~n:x", { by: "J", reason: "r", until: null }, null),
    ).rejects.toMatchObject({
      code: "not-found",
    });
  });

  test("water seen asks for action until the drain below it was cleaned; what was taken back never was", async () => {
    const { observations, health, revisions } = all();
    const network = JSON.parse((await revisions.get(ORG, "elm", 0)).network) as ReturnType<typeof tower>;
    const coil = String(network.nodes.find(({ kind }) => kind === "fan-coil")?.id);
    const outlet = String(network.nodes.find(({ kind }) => kind === "outlet")?.id);
    const refs = async (at: Date | null = null) =>
      (await health.whole(ORG, "elm", at)).reasons.filter(({ kind }) => kind === "observation").map(({ ref }) => ref);
    const seen = { id: "w1", type: "water-seen" as const, node: coil, time: "2026-07-01T07:00:00Z", source: "tenant" };
    expect((await observations.add(ORG, "elm", seen)).made).toBe(true);
    expect((await observations.add(ORG, "elm", seen)).made).toBe(false);
    await expect(observations.add(ORG, "elm", { ...seen, source: "other" })).rejects.toMatchObject({
      code: "conflict",
    });
    expect(await refs()).toEqual(["w1"]);
    expect((await health.whole(ORG, "elm", null)).state).toBe("act");
    expect((await health.portfolio(ORG)).buildings[0]).toMatchObject({ building: "elm", state: "act" });
    // asked for an earlier time, it was not known yet
    expect(await refs(new Date("2026-07-01T06:00:00Z"))).toEqual([]);
    await observations.add(ORG, "elm", {
      id: "w2",
      type: "water-seen",
      node: coil,
      time: "2026-07-01T07:10:00Z",
      source: "x",
    });
    await observations.add(ORG, "elm", {
      id: "w3",
      type: "water-seen",
      node: coil,
      withdraws: "w2",
      time: "2026-07-01T07:20:00Z",
      source: "x",
    });
    expect(await refs()).toEqual(["w1"]);
    await observations.add(ORG, "elm", {
      id: "c1",
      type: "cleaned",
      node: outlet,
      time: "2026-07-01T07:30:00Z",
      source: "plumber",
    });
    expect(await refs()).toEqual([]);
    await expect(
      observations.add(ORG, "elm", {
        type: "water-seen",
        node: "nowhere",
        time: "2026-07-03T08:00:00Z",
        withdraws: "no",
      }),
    ).rejects.toMatchObject({
      code: "invalid-body",
      errors: [{ pointer: "/source" }, { pointer: "/time" }, { pointer: "/node" }, { pointer: "/withdraws" }],
    });
  });

  test("a cleaning is overdue a year after the last one", async () => {
    const { health } = all();
    const kinds = async (at: string) => (await health.whole(ORG, "elm", new Date(at))).reasons.map(({ kind }) => kind);
    expect(await kinds("2027-06-29T00:00:00Z")).not.toContain("overdue");
    expect(await kinds("2027-07-03T00:00:00Z")).toContain("overdue");
    clock = new Date("2027-07-03T00:00:00Z");
    expect((await health.portfolio(ORG)).buildings[0].reasons.map(({ kind }) => kind)).toContain("overdue");
  });
});
