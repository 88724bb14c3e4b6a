import { type Store, StoreUnavailable } from "./shelves.js";

const away = async (): Promise<never> => {
  throw new StoreUnavailable("there is no store");
};

/** Where nothing is stored: documents are audited, everything kept is away. */
export const noStore: Store = {
  within: away,
  asOfNow: away,
  archive: {
    read: away,
    restore: away,
    digest: () => {
      throw new Error("there is no store");
    },
  },
  keys: { find: async () => null, exist: async () => false, add: away, list: away, revoke: away },
  available: false,
  close: async () => {},
};
