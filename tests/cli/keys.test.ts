// Keys on the command line, on a real store.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { run } from "../../src/cli/run.js";
import { makeKeys } from "../../src/service/keys.js";
import { noStore } from "../../src/service/no-store.js";
import type { Store } from "../../src/service/shelves.js";
import { engines } from "../contract/engines.js";
import { scene } from "./fakes.js";

let store: Store;
let remove: () => Promise<void>;
beforeAll(async () => {
  const opened = await engines[0]!.open();
  // the command line leaves the store that it opened; this one is used again
  store = { ...opened.store, available: true, close: async () => {} };
  remove = opened.remove;
}, 60_000);
afterAll(() => remove());

const type = async (line: string, on: Store | undefined = store) => {
  const { around, stdout, stderr } = scene({ store: on });
  const status = await run(line.split(" "), around);
  return { status, out: stdout.text, err: stderr.text };
};
const keys = () => makeKeys(store, () => new Date());

describe("a key", () => {
  test("is shown once, by itself on standard output, and kept as a hash alone", async () => {
    expect((await type("keys list")).out).toBe("There are no keys.\n");
    const made = await type("keys make --organization alder --role write --expires 2999-01-01");
    expect(made.status).toBe(0);
    expect(made.out).toMatch(/^drainward_[\w-]{43}\n$/);
    expect(made.err).toContain("From now on nobody comes in without a key");
    const secret = made.out.trim();
    expect(made.err).not.toContain(secret);
    expect(await keys().whose(secret)).toMatchObject({ organization: "alder", role: "write" });
    const listed = (await type("keys list --format json")).out + (await type("keys list")).out;
    expect(listed).toContain("alder write");
    expect(listed).not.toContain(secret.slice("drainward_".length));
    expect(listed).not.toContain("digest");
  });

  test("is listed for its organization, and revoked by its id, once", async () => {
    const made = await type("keys make --organisation=birch --role read");
    expect(made.err).not.toContain("From now on");
    const id = /Key (\S+) of birch/.exec(made.err)![1]!;
    expect((await type("keys list --organization birch")).out.split("\n")).toHaveLength(3);
    expect((await type(`keys revoke ${id}`)).status).toBe(0);
    expect(await keys().whose(made.out.trim())).toBeNull();
    const again = await type(`keys revoke ${id}`);
    expect([again.status, again.err]).toEqual([2, expect.stringContaining(id)]);
    expect((await type("keys list --organization birch")).out).toContain("revoked");
  });

  test("opens nothing once its time has passed", async () => {
    const made = await type("keys make --organization alder --role read --expires 2020-01-01");
    expect(await keys().whose(made.out.trim())).toBeNull();
    expect((await type("keys list")).out).toContain("expired 2020-01-01");
  });
});

test("what is wrong is said, and nothing is made", async () => {
  const before = await keys().list(null);
  for (const [line, words] of [
    ["keys make --role read", "--organization"],
    ["keys make --organization alder", "--role"],
    ["keys make --organization alder --role owner", "read, write, admin"],
    ["keys make --organization a/b --role read", "letters, digits"],
    ["keys make --organization alder --role read --expires soon", "2027-01-31"],
    ["keys revoke k-none", "there is no key 'k-none'"],
  ] as const) {
    const { status, out, err } = await type(line);
    expect([line, status, out, err]).toEqual([line, 2, "", expect.stringContaining(words)]);
  }
  expect(await keys().list(null)).toEqual(before);
});

test("a store that is away, or cannot be had, is said so", async () => {
  expect(await type("migrate", noStore)).toEqual({ status: 2, out: "", err: "error: the database does not answer\n" });
  expect((await type("migrate")).out).toBe("The tables are up to date.\n");
  const { around, stderr } = scene();
  expect([await run(["migrate"], around), stderr.text]).toEqual([2, "error: no store here\n"]);
});
