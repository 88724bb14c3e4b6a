import { createHash, randomBytes } from "node:crypto";
import type { Key, Role, Store } from "./shelves.js";

export interface NewKey {
  readonly organization: string;
  readonly role: Role;
  /** who holds it, for the list of keys and for what is written down as made by it */
  readonly label: string;
  /** null: for ever */
  readonly expiresAt: Date | null;
}

/** What is kept of a secret. It is long and random, so one plain hash is as good as a slow one. */
const digestOf = (secret: string): string => createHash("sha256").update(secret).digest("hex");

export const makeKeys = (store: Store, now: () => Date) => ({
  now,

  /** The secret is given out here and never again. */
  async make(wanted: NewKey): Promise<{ readonly key: Key; readonly secret: string }> {
    const secret = `drainward_${randomBytes(32).toString("base64url")}`;
    const key = { ...wanted, id: `k-${randomBytes(6).toString("hex")}`, createdAt: now() };
    await store.keys.add(key, digestOf(secret));
    return { key: { ...key, revokedAt: null }, secret };
  },

  /** @param organization null: of all */
  list: (organization: string | null): Promise<readonly Key[]> => store.keys.list(organization),

  /** @returns the key that no longer opens anything; null: there is none with this id that did */
  async revoke(id: string): Promise<Key | null> {
    const key = (await store.keys.list(null)).find((each) => each.id === id && each.revokedAt === null);
    if (key === undefined) return null;
    const at = now();
    return (await store.keys.revoke(key.organization, id, at)) ? { ...key, revokedAt: at } : null;
  },

  /** Whether any was ever made: from then on nobody comes in without one. */
  exist: (): Promise<boolean> => store.keys.exist(),

  /** Whose secret it is; null: nobody's, or no longer. */
  async whose(secret: string): Promise<Key | null> {
    const key = await store.keys.find(digestOf(secret));
    if (key === null || key.revokedAt !== null) return null;
    return key.expiresAt === null || key.expiresAt > now() ? key : null;
  },
});
export type Keys = ReturnType<typeof makeKeys>;
