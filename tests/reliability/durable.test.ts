import { expect, test } from "vitest";
import { diskFull, flushed, readTrace } from "./durable.js";
import { QUICK } from "./quick.js";

test("what is acknowledged was flushed before", async () => {
  const row = await flushed("embedded", QUICK);
  if (row.passed === null) console.warn(row.notes[0]);
  else expect(row).toMatchObject({ passed: true, notes: [] });
}, 180_000);

test("a full disk stops writing and not reading", async () => {
  const row = await diskFull("embedded", QUICK);
  if (row.passed === null) console.warn(row.notes[0]);
  else expect(row).toMatchObject({ passed: true, notes: [] });
}, 180_000);

// as strace writes it
const INSERT = `7 1.0 recvfrom(9<socket:[1]>, "P\\0\\0\\1\\313\\0insert into \\"observation\\" (", 8192, 0, NULL, NULL) = 700`;
const COMMIT = `7 1.1 recvfrom(9<socket:[1]>, "Q\\0\\0\\0\\vcommit\\0", 8192, 0, NULL, NULL) = 12`;
const TOLD = `7 1.3 sendto(9<socket:[1]>, "C\\0\\0\\0\\vCOMMIT\\0Z\\0\\0\\0\\5I", 18, 0, NULL, 0) = 18`;
const LOG = "/cluster/pg_wal/000000010000000000000001";

test.each([
  ["in the same process", [INSERT, COMMIT, `7 1.2 fdatasync(5<${LOG}>) = 0`, TOLD], 1],
  [
    "by another process",
    [INSERT, COMMIT, `8 1.2 fsync(5<${LOG}> <unfinished ...>`, "8 1.25 <... fsync resumed>) = 0", TOLD],
    1,
  ],
  ["not at all", [INSERT, COMMIT, TOLD], 0],
  ["before the commit", [INSERT, `7 1.05 fdatasync(5<${LOG}>) = 0`, COMMIT, TOLD], 0],
  ["after the acknowledgement", [INSERT, COMMIT, TOLD, `7 1.4 fdatasync(5<${LOG}>) = 0`], 0],
  [
    "too late to count",
    [INSERT, `8 1.05 fdatasync(5<${LOG}> <unfinished ...>`, COMMIT, "8 1.2 <... fdatasync resumed>) = 0", TOLD],
    0,
  ],
  ["another file", [INSERT, COMMIT, "7 1.2 fdatasync(5</cluster/base/1/2>) = 0", TOLD], 0],
  ["in vain", [INSERT, COMMIT, `7 1.2 fdatasync(5<${LOG}>) = -1 EIO (Input/output error)`, TOLD], 0],
])("a trace tells whether the log was flushed: %s", (_, lines, flushedThen) => {
  expect(readTrace(lines.join("\n"))).toEqual({ committed: 1, flushed: flushedThen });
});
