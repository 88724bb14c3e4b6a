import { expect, test } from "vitest";
import { migrated } from "./migrated.js";
import { ENGINES, QUICK } from "./quick.js";

const engine = ENGINES.at(-1)!;

test(`migrations cut off at any statement leave all or nothing, and a newer database is let be (${engine})`, async () => {
  expect(await migrated(engine, QUICK)).toMatchObject({ passed: true, notes: [] });
}, 180_000);
