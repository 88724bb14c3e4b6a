import type { Store } from "../service/shelves.js";
import type { Surroundings } from "./surroundings.js";

/** Lines go to a file or to another program: a whole store is nothing to look at. */
const checkOutput = (around: Surroundings): void => {
  if (around.stdout.isTTY) throw new Error("send the archive to a file: drainward … > store.ndjson");
};

const lineTo = (around: Surroundings) => (line: string) => around.stdout.write(`${line}\n`);

const bytesOf = (file: string | undefined, around: Surroundings): AsyncIterable<Uint8Array> => {
  if (file !== undefined && file !== "-") return around.open(file);
  if (around.stdin.isTTY) throw new Error("name the archive, or send it to standard input");
  return around.stdin;
};

/** Writes the whole store to standard output while others work on it. */
export const archive = async (store: Store, around: Surroundings): Promise<void> => {
  checkOutput(around);
  const { archiveStore } = await import("../service/archive.js");
  await archiveStore(store, new Date(), lineTo(around));
  await around.stderr.write("The archive is whole: its last line says so.\n");
};

/** Takes an archive back into an empty store. */
export const restore = async (store: Store, file: string | undefined, around: Surroundings): Promise<void> => {
  const { restoreStore } = await import("../service/archive.js");
  await restoreStore(store, bytesOf(file, around));
  await around.stderr.write("Restored, and read again the same.\n");
};

/** Writes one building with its history to standard output. */
export const exportBuilding = async (
  store: Store,
  organization: string,
  building: string,
  around: Surroundings,
): Promise<void> => {
  checkOutput(around);
  await withTransfers(store, (transfers) => transfers.export(organization, building, lineTo(around)));
};

/** Makes a building of what was exported. */
export const importBuilding = async (
  store: Store,
  organization: string,
  building: string,
  file: string | undefined,
  around: Surroundings,
): Promise<void> => {
  const { revision } = await withTransfers(store, (transfers) =>
    transfers.import(organization, building, bytesOf(file, around)),
  );
  await around.stderr.write(
    `Building ${building} of ${organization} is there, with ${revision} revision${revision === 1 ? "" : "s"}.\n`,
  );
};

type Transfers = import("../service/archive.js").Transfers;

const withTransfers = async <T>(store: Store, work: (transfers: Transfers) => Promise<T>): Promise<T> => {
  const [{ makeTransfers }, { makeAuditor }] = await Promise.all([
    import("../service/archive.js"),
    import("../service/auditor.js"),
  ]);
  const auditor = makeAuditor({ threads: 1 });
  try {
    return await work(makeTransfers(store, auditor, () => new Date()));
  } finally {
    await auditor.close();
  }
};
