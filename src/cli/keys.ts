import type { Keys, NewKey } from "../service/keys.js";
import type { Key, Store } from "../service/shelves.js";
import type { Surroundings } from "./surroundings.js";

/**
 * Does something with the store, and leaves it. `complain` ends the run where the store cannot be had, or says no.
 */
export const withStore = async (
  around: Surroundings,
  complain: (message: string) => never,
  work: (store: Store) => Promise<void>,
): Promise<void> => {
  let store: Store | undefined;
  let fault: string | null = null;
  try {
    store = await around.openStore();
    if (store.available) await work(store);
    else fault = "the database does not answer";
  } catch (error) {
    fault = error instanceof Error ? error.message : String(error);
  } finally {
    await store?.close();
  }
  if (fault !== null) complain(`error: ${fault}`);
};

/** Makes a key. The secret goes to standard output, by itself and this once; what to know about it to standard error. */
export const makeKey = async (keys: Keys, wanted: NewKey, around: Surroundings): Promise<void> => {
  const isFirst = !(await keys.exist());
  const { key, secret } = await keys.make(wanted);
  const until = key.expiresAt === null ? "" : `, until ${key.expiresAt.toISOString()}`;
  await around.stderr.write(
    `Key ${key.id} of ${key.organization}, role ${key.role}${until}. It is shown this once: keep it like a password.\n`,
  );
  if (isFirst) await around.stderr.write("From now on nobody comes in without a key, not even from this machine.\n");
  await around.stdout.write(`${secret}\n`);
};

const COLUMNS = ["id", "organization", "role", "label", "made", "state"] as const;

/** Prints the keys; never what they are. */
export const listKeys = async (
  keys: Keys,
  organization: string | null,
  format: "text" | "json",
  around: Surroundings,
): Promise<void> => {
  const all = await keys.list(organization);
  if (format === "json") {
    await around.stdout.write(`${JSON.stringify({ items: all, next: null }, null, 2)}\n`);
    return;
  }
  if (all.length === 0) {
    await around.stdout.write("There are no keys.\n");
    return;
  }
  const { plain } = await around.core();
  const rows = [COLUMNS, ...all.map((key) => rowOf(key, keys.now()).map(plain))];
  const widths = COLUMNS.map((_, i) => Math.max(...rows.map((row) => row[i]!.length)));
  const lines = rows.map((row) =>
    row
      .map((cell, i) => cell.padEnd(widths[i]!))
      .join("  ")
      .trimEnd(),
  );
  await around.stdout.write(`${lines.join("\n")}\n`);
};

const rowOf = (key: Key, now: Date): readonly string[] => {
  const { id, organization, role, label, createdAt, expiresAt, revokedAt } = key;
  const state =
    revokedAt !== null
      ? `revoked ${day(revokedAt)}`
      : expiresAt === null
        ? "good"
        : expiresAt > now
          ? `good until ${day(expiresAt)}`
          : `expired ${day(expiresAt)}`;
  return [id, organization, role, label, day(createdAt), state];
};

const day = (time: Date): string => time.toISOString().slice(0, 10);
