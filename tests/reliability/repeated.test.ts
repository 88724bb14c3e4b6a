import { expect, test } from "vitest";
import { ENGINES, QUICK } from "./quick.js";
import { repeated } from "./repeated.js";

const engine = ENGINES.at(-1)!;

test(`no update is lost and nothing done twice where a fifth of the answers get lost (${engine})`, async () => {
  expect(await repeated(engine, QUICK)).toMatchObject({ passed: true, notes: [] });
}, 180_000);
