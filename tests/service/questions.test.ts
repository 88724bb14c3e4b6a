// What a property manager asks of a stored building, on the real store and with the real auditor.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { RawObservation } from "../../src/core/index.js";
import { makeAuditor } from "../../src/service/auditor.js";
import { makeStored, type Stored } from "../../src/service/stored.js";
import { riserOfThree } from "../builders/riser-of-three.js";
import { engines } from "../contract/engines.js";

const ORG = "alder";
const bytes = (value: unknown) => new TextEncoder().encode(JSON.stringify(value));
const START = "2026-07-01T08:00:00Z";

describe("a stored building", () => {
  let stored: Stored;
  let remove: () => Promise<void>;
  let clock = new Date(START);
  const auditor = makeAuditor({ threads: 1 });
  const set = (time: string) => {
    clock = new Date(time);
  };
  beforeAll(async () => {
    const engine = await engines[0].open();
    remove = engine.remove;
    let n = 0;
    stored = makeStored(
      engine.store,
      auditor,
      () => clock,
      () => `o${n++}`,
    );
  }, 60_000);
  afterAll(async () => {
    await auditor.close();
    await remove();
  });

  const building = async (id: string, document: unknown = riserOfThree()) => {
    set(START);
    const words = { name: id, timeZone: "Europe/Lisbon", tags: [], cleaningDays: null };
    await stored.buildings.put(ORG, id, words, null);
    await stored.revisions.add(ORG, id, bytes(document), "k");
    return (given: Omit<RawObservation, "source">) => stored.observations.add(ORG, id, { source: "tenant", ...given });
  };

  test("says what concerns a dwelling, with its health", async () => {
    const observe = await building("dwelling");
    const report = await stored.questions.dwelling(ORG, "dwelling", "0101", null);
    expect(report.floodedBy[0]).toMatchObject({ owner: "association", next: { dwelling: "0201" } });
    expect(report.health.reasons.filter(({ kind }) => kind === "observation")).toEqual([]);
    set("2026-07-02T08:00:00Z");
    await observe({ id: "w", type: "water-seen", fanCoil: "F-1", time: "2026-07-02T07:00:00Z" });
    const now = await stored.questions.dwelling(ORG, "dwelling", "0101", null);
    expect(now.health).toMatchObject({ state: "act" });
    expect(now.health.reasons.map(({ ref }) => ref)).toContain("w");
    // as of an earlier time, and of another dwelling, nothing was seen
    const before = await stored.questions.dwelling(ORG, "dwelling", "0101", new Date(START));
    expect(before.health.reasons.map(({ ref }) => ref)).not.toContain("w");
    const other = await stored.questions.dwelling(ORG, "dwelling", "0201", null);
    expect(other.health.reasons.map(({ ref }) => ref)).not.toContain("w");
    const gone = { code: "not-found" };
    await expect(stored.questions.dwelling(ORG, "dwelling", "0401", null)).rejects.toMatchObject(gone);
    await expect(stored.questions.dwelling("birch", "dwelling", "0101", null)).rejects.toMatchObject(gone);
    await expect(stored.questions.isolation(ORG, "dwelling", "X")).rejects.toMatchObject(gone);
    expect((await stored.questions.isolation(ORG, "dwelling", "R-2")).isolate).toEqual(["F-2", "F-3"]);
  });

  test("has nothing to say before its first revision", async () => {
    const words = { name: "bare", timeZone: "UTC", tags: [], cleaningDays: null };
    await stored.buildings.put(ORG, "bare", words, null);
    const { questions, health } = stored;
    for (const asked of [
      () => questions.dwelling(ORG, "bare", "0101", null),
      () => questions.surveyList(ORG, "bare"),
      () => questions.commissioning(ORG, "bare"),
      () => questions.whatIf(ORG, "bare", bytes({ remedies: [] })),
      () => questions.blockages(ORG, "bare", { since: null, at: null }),
    ])
      await expect(asked()).rejects.toMatchObject({ code: "not-found" });
    expect(await health.cleanings(ORG, "bare", null)).toEqual([]);
    expect((await health.whole(ORG, "bare", null)).state).toBe("unknown");
  });

  test("tells what remedies or another document would change, and keeps neither", async () => {
    await building("what-if");
    const audit = JSON.parse((await stored.revisions.audit(ORG, "what-if", 0)).answer) as {
      findings: { id: string; outcome: string; remedy: object[] }[];
    };
    const fault = audit.findings.find(({ outcome, remedy }) => outcome === "fail" && remedy.length > 0);
    expect(fault).toBeDefined();
    const then = await stored.questions.whatIf(ORG, "what-if", bytes({ remedies: fault?.remedy }));
    expect(then.cleared.map(({ id }) => id)).toContain(fault?.id);
    expect(then.network).toMatchObject({ id: "three-stories" });
    // its own document changes nothing
    const same = await stored.questions.whatIf(ORG, "what-if", bytes({ network: riserOfThree() }));
    expect(same).toMatchObject({ new: [], cleared: [], lostSight: [], margins: [], network: null });
    expect(same.persists.length).toBe(audit.findings.filter(({ outcome }) => outcome === "fail").length);
    const refusal = async (body: unknown) => {
      const refused = await stored.questions.whatIf(ORG, "what-if", bytes(body)).catch((error: unknown) => error);
      return (refused as { refusal: { errors: { pointer: string }[] } }).refusal.errors.map(({ pointer }) => pointer);
    };
    expect(await refusal({})).toEqual([""]);
    expect(await refusal({ remedies: [], network: {} })).toEqual([""]);
    expect(await refusal({ remedies: [{ action: "raise-node", on: "X", amount: 1 }] })).toEqual(["/remedies/0/on"]);
    expect(await refusal({ network: { ...riserOfThree(), units: "x" } })).toEqual(["/network/units"]);
    expect((await stored.revisions.get(ORG, "what-if", 0)).number).toBe(1);
  });

  test("locates a blockage by what was seen in the last day, unless asked otherwise", async () => {
    const observe = await building("blockage");
    set("2026-07-10T12:00:00Z");
    await observe({ id: "old", type: "water-seen", node: "F-3", time: "2026-07-08T12:00:00Z" });
    await observe({ id: "trip", type: "switch-trip", node: "F-1", time: "2026-07-10T09:00:00Z" });
    await observe({ id: "dry", type: "drains-freely", node: "F-2", time: "2026-07-10T10:00:00Z" });
    const ask = (since: string | null = null, at: string | null = null) =>
      stored.questions.blockages(ORG, "blockage", {
        since: since === null ? null : new Date(since),
        at: at === null ? null : new Date(at),
      });
    const day = await ask();
    expect(day.observed).toEqual(["trip", "dry"]);
    expect(day).toMatchObject({ state: "located", since: "2026-07-09T12:00:00.000Z", at: "2026-07-10T12:00:00.000Z" });
    // the pan of 0101 alone is wet: what is blocked is below J-1, or its own branch
    expect(["B-1", "F-1", "M", "R-1"]).toContain(day.classes[0].members[0]);
    expect((await ask("2026-07-08T00:00:00Z")).observed).toEqual(["old", "trip", "dry"]);
    expect((await ask(null, "2026-07-10T09:30:00Z")).observed).toEqual(["trip"]);
    expect((await ask(null, "2026-07-07T00:00:00Z")).state).toBe("nothing-reported");
    await expect(ask("2026-07-10T00:00:00Z", "2026-07-09T00:00:00Z")).rejects.toMatchObject({
      errors: [{ pointer: "/since" }],
    });

    // once the way was cleaned, what was seen before says nothing any more
    await observe({ id: "cleaned", type: "cleaned", pipe: "M", time: "2026-07-10T11:00:00Z" });
    const after = await ask();
    expect(after).toMatchObject({ state: "nothing-reported", observed: ["dry", "cleaned"] });
    expect(after.leftOut).toEqual([{ id: "trip", why: "cleaned-since" }]);
    // and a main that was cleaned an hour ago is less likely to be what is next than before
    const weightOf = ({ candidates }: typeof after) => candidates.find(({ pipe }) => pipe === "M")?.weight ?? 0;
    const years = await ask(null, "2036-07-09T00:00:00Z");
    expect(weightOf(years)).toBeGreaterThan(weightOf(await ask(null, "2026-07-11T00:00:00Z")));

    // a revision without the place leaves out what was seen there
    const document = riserOfThree();
    for (const part of ["nodes", "pipes", "overflowDevices", "circuits"] as const)
      document[part] = document[part].filter(({ id }) => !/^(F|B|SW|C)-1$/.test(String(id))) as never;
    await stored.revisions.add(ORG, "blockage", bytes(document), "k");
    expect((await ask()).leftOut).toEqual([{ id: "trip", why: "place-gone" }]);
  });

  test("takes a test sheet back as observations, once", async () => {
    await building("sheet");
    set("2026-07-02T12:00:00Z");
    const sheet = await stored.questions.commissioning(ORG, "sheet");
    const checks = sheet.stops.flatMap((stop) => stop.checks.map(({ id }) => id));
    expect(checks).toContain("pour-fan-off~f:F-2");
    const filled = (leaves: boolean, time = "2026-07-02T11:00:00Z") =>
      bytes({ time, by: "fitter", results: [{ check: "pour-fan-off~f:F-2", boxes: { leaves } }] });
    const first = await stored.inspections.enterSheet(ORG, "sheet", filled(false));
    expect(first.map(({ made, observation: { type } }) => [made, type])).toEqual([[true, "slow-drain"]]);
    const again = await stored.inspections.enterSheet(ORG, "sheet", filled(false));
    expect(again.map(({ made }) => made)).toEqual([false]);
    const reasons = async () =>
      (await stored.health.part(ORG, "sheet", { fanCoil: "F-2" }, null)).reasons.filter(
        ({ kind }) => kind === "observation",
      );
    expect(await reasons()).toHaveLength(1);
    await stored.inspections.enterSheet(ORG, "sheet", filled(true, "2026-07-02T11:30:00Z"));
    expect(await reasons()).toHaveLength(0);
    await expect(
      stored.inspections.enterSheet(ORG, "sheet", filled(true, "2026-07-09T11:30:00Z")),
    ).rejects.toMatchObject({ code: "invalid-body", errors: [{ pointer: "/results/0/time" }] });
    await expect(
      stored.inspections.enterSheet(
        ORG,
        "sheet",
        bytes({ time: START, by: "x", results: [{ check: "y", boxes: {} }] }),
      ),
    ).rejects.toMatchObject({
      refusal: { errors: [{ pointer: "/results/0/check" }] },
    });
  });

  test("makes its next revision of what was measured since the last", async () => {
    const observe = await building("measured");
    const revise = (observations: readonly string[] | null = null) =>
      stored.inspections.revise(ORG, "measured", { observations, by: "surveyor", note: null });
    await expect(revise()).rejects.toMatchObject({ code: "conflict" });
    set("2026-07-02T12:00:00Z");
    const time = "2026-07-02T11:00:00Z";
    await observe({ id: "p", type: "inspection", fanCoil: "F-2", attribute: "panStatic", value: -120, time });
    await observe({ id: "wrong", type: "inspection", fanCoil: "F-3", attribute: "panStatic", value: -1, time });
    await observe({ id: "back", type: "inspection", fanCoil: "F-3", withdraws: "wrong", time });
    await observe({ id: "c", type: "cleaned", pipe: "M", time });
    const { revision, audit } = await revise();
    expect(revision).toMatchObject({ number: 2, by: "surveyor", note: "measured: c, p" });
    const { network } = await stored.revisions.get(ORG, "measured", 2);
    const { nodes, pipes } = JSON.parse(network) as ReturnType<typeof riserOfThree>;
    expect(nodes.find(({ id }) => id === "F-2")?.panStatic).toBe(-120);
    expect(nodes.find(({ id }) => id === "F-3")?.panStatic).toBe(0);
    expect(pipes.find(({ id }) => id === "M")?.lastCleaned).toBe(time);
    expect(audit.revision).toBe(2);
    // a pan under suction without a trap is a fault that a closer look has brought
    const seal = (await stored.findings.list(ORG, "measured", "open", { after: null, limit: 1000 })).find(
      ({ rule, nodes: at, fanCoils }) => rule === "seal.missing" && [...at, ...fanCoils].includes("F-2"),
    );
    expect(seal).toMatchObject({ since: 2, cause: "survey" });
    // what is in it is not entered twice
    await expect(revise()).rejects.toMatchObject({ code: "conflict" });
    set("2026-07-03T12:00:00Z");
    await observe({ id: "bad", type: "inspection", node: "F-1", attribute: "panStatic", value: "a lot", time });
    await expect(revise()).rejects.toMatchObject({
      code: "invalid-body",
      errors: [{ pointer: "/observations/0/value", detail: expect.stringContaining("bad: ") }],
    });
    await expect(revise(["p", "nowhere"])).rejects.toMatchObject({ errors: [{ pointer: "/observations/1" }] });
    expect((await revise(["p"])).revision.number).toBe(3);
  });

  test("lists what to survey by floor", async () => {
    const document = riserOfThree();
    for (const node of document.nodes) delete node.panStatic;
    await building("survey", document);
    const { floors, asks } = await stored.questions.surveyList(ORG, "survey");
    expect(asks).toBeGreaterThanOrEqual(3);
    expect(floors.map(({ floor }) => floor).slice(0, 3)).toEqual(["L3", "L2", "L1"]);
  });
});
