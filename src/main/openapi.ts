// Writes openapi/openapi.json from the routes, or with --check says whether it is current.
import { readFile, writeFile } from "node:fs/promises";
import { makeApp } from "../http/app.js";
import { makeAuditor } from "../service/auditor.js";

const file = new URL("../../openapi/openapi.json", import.meta.url);

/** Keys in a fixed order, so that only what changed differs. Lists keep theirs: it is part of the meaning. */
const ordered = (value: unknown): unknown => {
  if (Array.isArray(value)) return value.map(ordered);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, inner]) => [key, ordered(inner)]),
  );
};

const app = await makeApp({ auditor: makeAuditor() });
await app.ready();
const current = `${JSON.stringify(ordered(app.swagger()), null, 2)}\n`;
await app.close();

if (!process.argv.includes("--check")) {
  await writeFile(file, current);
} else if ((await readFile(file, "utf8").catch(() => "")) !== current) {
  console.error("openapi/openapi.json is not what the routes say: run `npm run openapi` and commit it");
  process.exitCode = 1;
}
