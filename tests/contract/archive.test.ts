// The whole store, and one building, out and in again, on each server.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { archiveStore, restoreStore } from "../../src/service/archive.js";
import { makeAuditor } from "../../src/service/auditor.js";
import type { Store } from "../../src/service/shelves.js";
import { makeStored, type Stored } from "../../src/service/stored.js";
import { riserOfThree } from "../builders/riser-of-three.js";
import { engines } from "./engines.js";

const NOW = new Date("2026-07-14T09:30:00.123Z");
const encode = (value: unknown) => new TextEncoder().encode(typeof value === "string" ? value : JSON.stringify(value));
async function* chunks(text: string, size = 1000): AsyncGenerator<Uint8Array> {
  const bytes = encode(text);
  for (let at = 0; at < bytes.length; at += size) yield bytes.slice(at, at + size);
}
/** An archive with one of its lines changed. */
const edited = (lines: readonly string[], at: number, from: string | RegExp, to: string) => {
  const line = lines.at(at)!;
  expect(line).toMatch(from);
  return lines.map((each) => (each === line ? each.replace(from, to) : each)).join("\n");
};

describe.each(engines)("archives on the $name server", (engine) => {
  const opened: (() => Promise<void>)[] = [];
  const auditor = makeAuditor({ threads: 1 });
  const fresh = async () => {
    const { store, remove } = await engine.open();
    opened.push(remove);
    let n = 0;
    return {
      store,
      stored: makeStored(
        store,
        auditor,
        () => NOW,
        () => `o${n++}`,
      ),
    };
  };
  let store: Store;
  let stored: Stored;
  /** of those that keep nothing one will do for all */
  let empty: Awaited<ReturnType<typeof fresh>>;
  const archived = async (from: Store) => {
    const lines: string[] = [];
    await archiveStore(from, NOW, async (line) => void lines.push(line));
    return lines;
  };
  const exported = async (id: string, from = stored) => {
    const lines: string[] = [];
    await from.transfers.export("alder", id, async (line) => void lines.push(line));
    return lines;
  };

  beforeAll(async () => {
    ({ store, stored } = await fresh());
    empty = await fresh();
    const key = {
      organization: "alder",
      id: "k1",
      role: "admin" as const,
      label: "“é”\n",
      createdAt: NOW,
      expiresAt: null,
    };
    await store.keys.add(key, "digest-1");
    for (const organization of ["alder", "birch"]) {
      const words = { name: `Elm of ${organization} “é”`, timeZone: "Europe/Lisbon", tags: ["x"], cleaningDays: 90 };
      await stored.buildings.put(organization, "elm", words, null);
      const document = riserOfThree();
      await stored.revisions.add(organization, "elm", encode(document), "k");
      const coil = document.nodes.find(({ id }) => id === "F-2");
      if (coil !== undefined) coil.panStatic = -150;
      await stored.revisions.add(organization, "elm", encode({ network: document, note: "second" }), "k");
      const [first] = await stored.findings.list(organization, "elm", "open", { after: null, limit: 1 });
      await stored.findings.waive(organization, "elm", first.id, { by: "J", reason: "r", until: null }, null);
      for (const [id, type] of [
        ["w", "water-seen"],
        ["f", "flow-test"],
      ] as const)
        await stored.observations.add(organization, "elm", {
          id,
          type,
          node: "F-1",
          time: "2026-07-14T10:00:00+02:00",
          value: { litres: 5.5, seconds: 90 },
          source: "tenant",
        });
    }
  }, 60_000);
  afterAll(async () => {
    await auditor.close();
    for (const remove of opened) await remove();
  });

  test("the whole store comes out, goes in, and comes out the same", async () => {
    const lines = await archived(store);
    const tables = new Set(lines.slice(1, -1).map((line) => /"table":"(\w+)"/.exec(line)?.[1]));
    expect([...tables]).toEqual(["key", "building", "revision", "audit", "finding", "waiver", "observation"]);
    const other = await fresh();
    await restoreStore(other.store, chunks(lines.join("\n")));
    expect(await archived(other.store)).toEqual(lines);
    // and works on as before
    expect(await other.store.keys.find("digest-1")).toMatchObject({ organization: "alder", label: "“é”\n" });
    for (const at of [null, new Date("2027-01-01T00:00:00Z")])
      expect(await other.stored.health.whole("birch", "elm", at)).toEqual(
        await stored.health.whole("birch", "elm", at),
      );
    expect(await other.stored.revisions.get("alder", "elm", 1)).toEqual(await stored.revisions.get("alder", "elm", 1));
    await expect(restoreStore(other.store, chunks(lines.join("\n")))).rejects.toThrow("holds rows already");
  });

  test("is as of one moment, whatever is written meanwhile", async () => {
    const before = await archived(store);
    const lines: string[] = [];
    await archiveStore(store, NOW, async (line) => {
      // while it is written, something comes that sorts last
      if (lines.length === 1)
        await stored.observations.add("birch", "elm", {
          id: "z",
          type: "cleaned",
          pipe: "M",
          time: "2026-07-14T09:00:00Z",
          source: "x",
        });
      lines.push(line);
    });
    expect(lines).toEqual(before);
    expect((await archived(store)).length).toBe(before.length + 1);
  });

  const damages: readonly [string, (lines: string[]) => string, RegExp][] = [
    ["nothing", () => "", /is empty/],
    ["something else", () => '{"format":1}', /no archive/],
    ["one that was cut short", (lines) => lines.slice(0, -1).join("\n"), /cut short/],
    ["one that was cut in a line", (lines) => lines.join("\n").slice(0, -9), /something was changed/],
    ["one without a row", (lines) => lines.filter((_, i) => i !== 3).join("\n"), /something was changed|does not fit/],
    ["a changed word", (lines) => edited(lines, -2, /"source" ?: ?"x"/, '"source":"y"'), /something was changed/],
    ["a row too many", (lines) => [...lines, lines[1]].join("\n"), /comes after the end/],
    [
      "a value that does not fit",
      (lines) => edited(lines, 2, /"version" ?: ?\d+/, '"version":"x"'),
      /Line 3: .*does not fit/,
    ],
    ["a column that is not there", (lines) => edited(lines, 2, /"version"/, '"versions"'), /has no "versions"/],
    ["a table that is not there", (lines) => edited(lines, 2, /"building"/, '"buildings"'), /no table "buildings"/],
  ];
  test.each(damages)("is not restored from %s, and nothing is kept", async (_, damage, message) => {
    const lines = await archived(store);
    await expect(restoreStore(empty.store, chunks(damage(lines)))).rejects.toThrow(message);
    expect(await archived(empty.store)).toHaveLength(2);
  });

  test("a building is carried to another store, under another id and to another organization", async () => {
    const lines = await exported("elm");
    expect(lines.some((line) => line.includes('"organization"'))).toBe(false);
    const other = await fresh();
    const building = await other.stored.transfers.import("cedar", "oak", chunks(lines.join("\n"), 77));
    expect(building).toMatchObject({ id: "oak", name: "Elm of alder “é”", revision: 2, cleaningDays: 90 });
    for (const at of [null, new Date("2026-07-14T08:00:00Z"), new Date("2027-01-01T00:00:00Z")]) {
      const there = await other.stored.health.whole("cedar", "oak", at);
      const here = await stored.health.whole("alder", "elm", at);
      expect({ ...there, next: [] }).toEqual({ ...here, next: [] });
    }
    const again: string[] = [];
    await other.stored.transfers.export("cedar", "oak", async (line) => void again.push(line));
    expect(again).toEqual(lines);
    // it lives on there
    const next = await other.stored.revisions.add("cedar", "oak", encode(riserOfThree()), "k");
    expect(next.revision.number).toBe(3);
    expect((await other.stored.questions.dwelling("cedar", "oak", "0101", null)).dwelling).toBe("0101");

    const taken = other.stored.transfers.import("cedar", "oak", chunks(lines.join("\n")));
    await expect(taken).rejects.toMatchObject({ code: "conflict" });
    await expect(stored.transfers.export("cedar", "elm", async () => {})).rejects.toMatchObject({ code: "not-found" });
  });

  test("a building is not imported from what was changed, and nothing is kept", async () => {
    const lines = await exported("elm");
    const tries: readonly [string, RegExp][] = [
      [lines.slice(0, -1).join("\n"), /cut short/],
      [(await archived(store)).join("\n"), /whole store/],
      [lines.filter((line) => !line.startsWith('{"table":"building"')).join("\n"), /one building is wanted/],
      [edited(lines, 3, /three-stories/, "four-stories"), /another digest/],
      [edited(lines, 3, /\\"units\\": ?\\"si\\"/, '\\"units\\":\\"xx\\"'), /does not read/],
      [edited(lines, -2, /"type" ?: ?"[\w-]+"/, '"organization":"birch"'), /something was changed|does not fit/],
    ];
    for (const [text, message] of tries)
      await expect(empty.stored.transfers.import("cedar", "oak", chunks(text))).rejects.toThrow(message);
    expect(await archived(empty.store)).toHaveLength(2);
  });
});
