import { expect, test } from "vitest";
import { away, embeddedAway } from "./away.js";
import { ENGINES, QUICK } from "./quick.js";

test("an embedded server that goes away comes back, and meanwhile the service says so", async () => {
  for (const row of await embeddedAway(QUICK)) expect(row).toMatchObject({ passed: true, notes: [] });
}, 180_000);

test.skipIf(!ENGINES.includes("external"))(
  "a database that goes away in any way is told of, and worked with again when it is back",
  async () => {
    for (const row of await away(QUICK)) expect(row).toMatchObject({ passed: true, notes: [] });
  },
  240_000,
);
