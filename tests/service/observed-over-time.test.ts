// Observations as they come from the field: ahead of the clock and behind it, twice, and in any order.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, expect, test } from "vitest";
import { makeAuditor } from "../../src/service/auditor.js";
import { makeHealth } from "../../src/service/building-health.js";
import { makeBuildings } from "../../src/service/buildings.js";
import { makeObservations } from "../../src/service/observations.js";
import { makeRevisions } from "../../src/service/revisions.js";
import type { Store } from "../../src/service/shelves.js";
import { engines } from "../contract/engines.js";

const NETWORK = readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8");
const ORG = "alder";
const NOW = new Date("2026-07-14T12:00:00Z");
const HOUR = 3_600_000;

let store: Store;
let remove: () => Promise<void>;
const auditor = makeAuditor({ threads: 1 });
let clock = NOW;
const now = () => clock;
const observations = () => makeObservations(store, now, () => "made-here");
const health = () => makeHealth(store, now);

beforeAll(async () => {
  ({ store, remove } = await engines[0].open());
}, 60_000);
afterAll(async () => {
  await auditor.close();
  await remove();
});

const stored = async (id: string) => {
  clock = new Date("2026-01-01T00:00:00Z");
  await makeBuildings(store, now).put(
    ORG,
    id,
    { name: id, timeZone: "Pacific/Apia", tags: [], cleaningDays: null },
    null,
  );
  await makeRevisions(store, auditor, now).add(ORG, id, new TextEncoder().encode(NETWORK), "k");
  clock = NOW;
};
const at = (hours: number, offset = "Z") => {
  const shift = offset === "Z" ? 0 : Number(offset.slice(0, 3)) * HOUR;
  return `${new Date(NOW.getTime() + hours * HOUR + shift).toISOString().slice(0, -1)}${offset}`;
};

test("a clock may be as far ahead as zones are apart, and no further", async () => {
  await stored("ahead");
  const send = (id: string, time: string) =>
    observations().add(ORG, "ahead", { id, type: "water-seen", node: "FC-1", time, source: "x" });
  const edge = NOW.getTime() + 26 * HOUR;
  expect((await send("edge", new Date(edge).toISOString())).made).toBe(true);
  await expect(send("over", new Date(edge + 1).toISOString())).rejects.toMatchObject({
    code: "invalid-body",
    errors: [{ pointer: "/time" }],
  });
  // behind, it may be as far as it likes
  expect((await send("old", "2019-02-28T23:59:59-11:00")).made).toBe(true);
  // what is ahead speaks when its time has come
  const refs = async (when: Date) => (await health().whole(ORG, "ahead", when)).reasons.map(({ ref }) => ref);
  expect(await refs(NOW)).not.toContain("edge");
  expect(await refs(new Date(edge - 1))).not.toContain("edge");
  expect(await refs(new Date(edge))).toContain("edge");
});

test("the same observations in another order, twice, and through other zones leave the same health", async () => {
  const told = [
    { id: "w1", type: "water-seen", node: "FC-1", hours: -30 },
    { id: "w2", type: "water-seen", node: "FC-2", hours: -20 },
    { id: "c1", type: "cleaned", node: "M-3", hours: -10 },
    { id: "s1", type: "slow-drain", node: "FC-3", hours: -5 },
    { id: "t1", type: "switch-trip", node: "FC-3", hours: -4 },
    { id: "t0", type: "switch-trip", node: "FC-3", hours: -3, withdraws: "t1" },
    { id: "d1", type: "drains-freely", fanCoil: "FC-3", hours: 20 },
  ] as const;
  const orders = [
    ["Z", [0, 1, 2, 3, 4, 5, 6]],
    ["+14:00", [6, 4, 5, 3, 2, 1, 0]],
    ["-11:00", [2, 2, 0, 6, 4, 4, 5, 1, 3, 5, 0]],
  ] as const;
  const instants = [-31, -25, -15, -8, -4.5, -3.5, -1, 0, 19, 21, 24 * 400].map(
    (h) => new Date(NOW.getTime() + h * HOUR),
  );
  const series = [];
  for (const [i, [offset, order]] of orders.entries()) {
    const id = `order-${i}`;
    await stored(id);
    for (const k of order) {
      const { hours, ...own } = told[k];
      await observations().add(ORG, id, { ...own, time: at(hours, offset), source: "x" });
    }
    series.push(await health().series(ORG, id, instants));
    // one instant asked for alone is told alike, from what is kept or worked out anew
    for (const when of instants) expect(await health().whole(ORG, id, when)).toEqual(series[i].shift());
    series[i] = await health().series(ORG, id, instants);
  }
  expect(series[1]).toEqual(series[0]);
  expect(series[2]).toEqual(series[0]);
  const observed = series[0].map(({ reasons }) =>
    reasons.filter(({ kind }) => kind === "observation").map(({ ref }) => ref),
  );
  expect(observed).toEqual([[], ["w1"], ["w1", "w2"], [], ["s1"], ["t1", "s1"], ["s1"], ["s1"], ["s1"], [], []]);
});

test("what took another back is not taken back itself", async () => {
  await stored("back");
  const send = (id: string, withdraws?: string) =>
    observations().add(ORG, "back", { id, type: "water-seen", node: "FC-1", time: at(-1), source: "x", withdraws });
  await send("a");
  await send("b", "a");
  await expect(send("c", "b")).rejects.toMatchObject({ errors: [{ pointer: "/withdraws" }] });
});

test("a cleaning interval is that of the building, and says why it matters", async () => {
  await stored("cleaned");
  const find = async () => (await health().cleanings(ORG, "cleaned", null)).find(({ riser }) => riser === null);
  expect(await find()).toMatchObject({ every: 365, by: "first-revision", overdue: false });
  await observations().add(ORG, "cleaned", { id: "c", type: "cleaned", node: "M-2", time: at(-48), source: "x" });
  expect(await find()).toMatchObject({ by: "observation", last: "2026-07-12T12:00:00.000Z", overdue: false });
  const buildings = makeBuildings(store, now);
  const words = { name: "x", timeZone: "Pacific/Apia", tags: [], cleaningDays: 1 };
  const changed = await buildings.put(ORG, "cleaned", words, "*");
  expect(changed.building.cleaningDays).toBe(1);
  expect(await find()).toMatchObject({ every: 1, due: "2026-07-13T12:00:00.000Z", overdue: true });
  const { reasons } = await health().whole(ORG, "cleaned", null);
  // noon of the 13th is one in the morning of the 14th in Apia
  expect(reasons.find(({ ref }) => ref === "mains")?.text).toMatch(/was due 2026-07-14 \(it is .*\)\.$/);
});
