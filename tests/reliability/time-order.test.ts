import { expect, test } from "vitest";
import { QUICK } from "./quick.js";
import { timeOrder } from "./time-order.js";

test("health depends on which observations there are and on the time asked for, and on nothing else", async () => {
  expect(await timeOrder(QUICK)).toMatchObject({ passed: true, notes: [] });
}, 180_000);
