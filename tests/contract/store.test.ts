import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Observation, Store, StoredFinding } from "../../src/service/shelves.js";
import { engines } from "./engines.js";

const NOW = new Date("2026-07-14T09:30:00.000Z");

const observation = (id: string, time: string, own: Partial<Observation> = {}): Observation => ({
  building: "elm",
  id,
  type: "water-seen",
  time: new Date(time),
  timeText: time,
  receivedAt: NOW,
  node: "F-1",
  pipe: null,
  fanCoil: null,
  attribute: null,
  value: { litres: 5, seconds: 90 },
  source: "tenant",
  text: "Stain — “corridor” \u0000".replace("\u0000", ""),
  withdraws: null,
  ...own,
});

const finding = (id: string, own: Partial<StoredFinding> = {}): StoredFinding => ({
  building: "elm",
  id,
  rule: "fall.reverse",
  severity: "major",
  kind: "condition",
  state: "open",
  since: 1,
  changed: 1,
  cause: "building",
  earlier: [],
  message: "P-14 rises.",
  fanCoils: ["F-1"],
  nodes: [],
  pipes: ["P-14"],
  ...own,
});

describe.each(engines)("the store on the $name server", ({ open }) => {
  let store: Store;
  let remove: () => Promise<void>;
  beforeAll(async () => {
    ({ store, remove } = await open());
    await store.within("alder", async ({ buildings }) => {
      for (const id of ["elm", "fir", "oak"])
        await buildings.add({
          id,
          name: id,
          timeZone: "Europe/Lisbon",
          tags: ["x"],
          cleaningDays: null,
          createdAt: NOW,
        });
    });
  }, 60_000);
  afterAll(() => remove());

  test("pages through buildings in the order of their ids", async () => {
    const ids = (after: string | null) =>
      store.within("alder", async ({ buildings }) => (await buildings.list({ after, limit: 2 })).map(({ id }) => id));
    expect(await ids(null)).toEqual(["elm", "fir"]);
    expect(await ids("fir")).toEqual(["oak"]);
  });

  test("numbers revisions without gaps, whoever writes at once", async () => {
    const numbers = await Promise.all(
      Array.from({ length: 8 }, (_, i) =>
        store.within("alder", async ({ buildings, revisions }) => {
          await buildings.hold("oak");
          const { number } = await revisions.add({
            building: "oak",
            network: `{"n":${i}}`,
            places: "{}",
            digest: "d",
            createdAt: NOW,
            by: "k",
            note: null,
          });
          return number;
        }),
      ),
    );
    expect([...numbers].sort((a, b) => a - b)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect((await store.within("alder", ({ buildings }) => buildings.get("oak")))?.revision).toBe(8);
  });

  test("keeps nothing of a transaction that fails", async () => {
    await expect(
      store.within("alder", async ({ buildings }) => {
        await buildings.add({ id: "ash", name: "ash", timeZone: "UTC", tags: [], cleaningDays: 90, createdAt: NOW });
        throw new Error("in the middle");
      }),
    ).rejects.toThrow("in the middle");
    expect(await store.within("alder", ({ buildings }) => buildings.get("ash"))).toBeNull();
  });

  test("keeps nothing where a statement failed and the work went on", async () => {
    const ash = { id: "ash", name: "ash", timeZone: "UTC", tags: [], cleaningDays: 90, createdAt: NOW };
    const passedOver = store.within("alder", async ({ buildings, observations }) => {
      await buildings.add(ash);
      await observations.add([observation("x", "2026-07-14T08:00:00Z", { building: "nowhere" })]).catch(() => {});
    });
    await expect(passedOver).rejects.toThrow("nothing was kept");
    expect(await store.within("alder", ({ buildings }) => buildings.get("ash"))).toBeNull();
  });

  test("gives text, instants and figures back as they came", async () => {
    const seen = observation("o1", "2026-07-14T08:00:00.123Z");
    await store.within("alder", ({ observations }) => observations.add([seen]));
    expect(await store.within("alder", ({ observations }) => observations.get("elm", "o1"))).toEqual(seen);
  });

  test("lists observations by their time, then id, a page at a time", async () => {
    await store.within("alder", ({ observations }) =>
      observations.add([
        observation("b", "2026-07-15T08:00:00Z"),
        observation("a", "2026-07-15T08:00:00Z"),
        observation("c", "2026-07-13T08:00:00Z", { type: "cleaned" }),
      ]),
    );
    const list = (after: { time: Date; id: string } | null, types?: string[]) =>
      store.within("alder", async ({ observations }) =>
        (await observations.list("elm", { from: null, to: null, types }, { after, limit: 2 })).map(({ id }) => id),
      );
    expect(await list(null)).toEqual(["c", "o1"]);
    expect(await list({ time: new Date("2026-07-14T08:00:00.123Z"), id: "o1" })).toEqual(["a", "b"]);
    expect(await list(null, ["cleaned"])).toEqual(["c"]);
  });

  test("writes findings over those of the same id, and removes them", async () => {
    const get = (id: string) => store.within("alder", ({ findings }) => findings.get("elm", id));
    await store.within("alder", ({ findings }) => findings.put([finding("a"), finding("b")]));
    const cleared = finding("a", { state: "cleared", changed: 3, cause: "survey" });
    await store.within("alder", ({ findings }) => findings.put([cleared]));
    expect(await get("a")).toEqual({ ...cleared, earlier: [[1, 3]] });
    // found again, it keeps when it was open before
    const again = finding("a", { since: 5, changed: 5 });
    await store.within("alder", ({ findings }) => findings.put([again]));
    expect(await get("a")).toEqual({ ...again, earlier: [[1, 3]] });
    await store.within("alder", ({ findings }) => findings.remove("elm", ["a"]));
    expect(await get("a")).toBeNull();
    expect(await get("b")).toEqual(finding("b"));
  });

  test("remembers a repeated call until it is forgotten", async () => {
    const claim = (body: string, route = "POST /x") =>
      store.within("alder", ({ repeats }) => repeats.claim("key", route, body, NOW));
    const answer = { status: 201, headers: { location: "/x/1" }, body: "{}" };
    await store.within("alder", async ({ repeats }) => {
      expect(await repeats.claim("key", "POST /x", "one", NOW)).toEqual({ state: "new" });
      // meanwhile another connection asks
      expect(await claim("one")).toEqual({ state: "running" });
      await repeats.finish("key", answer);
    });
    expect(await claim("two")).toEqual({ state: "other-body" });
    expect(await claim("one", "POST /y")).toEqual({ state: "other-body" });
    expect(await claim("one")).toEqual({ state: "done", ...answer });
    await store.within("alder", ({ repeats }) => repeats.forgetBefore(new Date(NOW.getTime() + 1)));
    expect(await claim("two")).toEqual({ state: "new" });
  });

  describe("another organization", () => {
    test("sees nothing and may use the same ids", async () => {
      await store.within("birch", async ({ buildings, observations, findings }) => {
        expect(await buildings.list({ after: null, limit: 10 })).toEqual([]);
        expect(await observations.get("elm", "o1")).toBeNull();
        expect(await findings.list("elm", ["open"], { after: null, limit: 10 })).toEqual([]);
        await buildings.add({ id: "elm", name: "own", timeZone: "UTC", tags: [], cleaningDays: null, createdAt: NOW });
      });
      expect((await store.within("alder", ({ buildings }) => buildings.get("elm")))?.name).toBe("elm");
    });

    test("cannot hang anything on a building that is not its own", async () => {
      await expect(
        store.within("birch", ({ observations }) =>
          observations.add([observation("x", "2026-07-14T08:00:00Z", { building: "fir" })]),
        ),
      ).rejects.toThrow(/foreign key/);
    });
  });

  test("a building takes everything of it along when it goes", async () => {
    await store.within("alder", ({ buildings }) => buildings.remove("elm"));
    await store.within("alder", async ({ observations, findings, buildings }) => {
      expect(await buildings.get("elm")).toBeNull();
      expect(await observations.get("elm", "o1")).toBeNull();
      expect(await findings.get("elm", "b")).toBeNull();
    });
  });

  test("keys are found by their digest and can be revoked once", async () => {
    expect(await store.keys.exist()).toBe(false);
    const key = {
      organization: "alder",
      id: "k1",
      role: "write" as const,
      label: "front desk",
      createdAt: NOW,
      expiresAt: null,
    };
    await store.keys.add(key, "digest-1");
    expect(await store.keys.exist()).toBe(true);
    expect(await store.keys.find("digest-1")).toEqual({ ...key, revokedAt: null });
    expect(await store.keys.find("digest-2")).toBeNull();
    expect(await store.keys.revoke("birch", "k1", NOW)).toBe(false);
    expect(await store.keys.revoke("alder", "k1", NOW)).toBe(true);
    expect(await store.keys.revoke("alder", "k1", NOW)).toBe(false);
    expect((await store.keys.list("alder")).map(({ revokedAt }) => revokedAt)).toEqual([NOW]);
  });
});
