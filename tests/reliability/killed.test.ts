import { expect, test } from "vitest";
import { killed } from "./killed.js";
import { ENGINES, QUICK } from "./quick.js";

test.each(ENGINES)(
  "nothing is lost, torn or doubled when a service on the %s server is killed",
  async (engine) => {
    expect(await killed(engine, QUICK)).toMatchObject({ passed: true, notes: [] });
  },
  180_000,
);
