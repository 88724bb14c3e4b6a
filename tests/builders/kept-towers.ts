// Buildings as a manager keeps them, over HTTP: one of two revisions with findings, a waiver and what was seen; one that is new.
import { readFileSync } from "node:fs";
import type { StoredApp } from "./stored-app.js";

const fixture = (name: string): string =>
  readFileSync(new URL(`../../fixtures/buildings/${name}.json`, import.meta.url), "utf8");

/** @param now what the service's clock says @param key of role write or admin */
export const keepTowers = async ({ ask }: Pick<StoredApp, "ask">, now: Date, key: string): Promise<void> => {
  const sent = async (request: string, body: unknown, headers: Record<string, string> = {}) => {
    const reply = await ask(request, { body, key, headers });
    if (reply.status >= 300) throw new Error(`${request}: ${reply.status} ${reply.text.slice(0, 500)}`);
    return reply;
  };
  await sent("PUT /v1/buildings/reedlight", {
    name: "Reedlight Tower",
    timeZone: "Europe/Lisbon",
    tags: ["harbor", "towers"],
  });
  await sent("POST /v1/buildings/reedlight/revisions", {
    network: JSON.parse(fixture("tower-design")),
    by: "Quillmere drawing office",
    note: "as drawn for tender",
  });
  await sent("POST /v1/buildings/reedlight/revisions", {
    network: JSON.parse(fixture("tower-as-surveyed")),
    by: "Quillmere survey",
    note: "after the survey of all twelve floors",
  });
  const { json } = await ask("GET /v1/buildings/reedlight/findings?limit=1000", { key });
  const finding = (json.items as { id: string; severity: string }[]).find(({ severity }) => severity === "minor")!;
  await sent(`PUT /v1/buildings/reedlight/findings/${encodeURIComponent(finding.id)}/waiver`, {
    by: "Association",
    reason: "to be mended with the ceiling in spring",
    until: new Date(now.getTime() + 90 * 86_400_000).toISOString(),
  });
  const ago = (hours: number): string => new Date(now.getTime() - hours * 3_600_000).toISOString();
  for (const seen of [
    { type: "slow-drain", node: "0301-A/coil", time: ago(50), source: "dwelling 0301", text: "gurgles in the evening" },
    { type: "water-seen", node: "0202-B/coil", time: ago(5), source: "dwelling 0202", text: "a wet ceiling" },
    { type: "switch-trip", node: "0302-B/coil", time: ago(3), source: "building system" },
  ])
    await sent("POST /v1/buildings/reedlight/observations", seen);
  await sent("PUT /v1/buildings/boathouse", { name: "Reedlight Boathouse", timeZone: "Europe/Lisbon" });
  await sent("POST /v1/buildings/boathouse/revisions", JSON.parse(fixture("three-coils")));
  await sent("PUT /v1/buildings/new", { name: "Quillmere Sheds", timeZone: "Europe/Lisbon" });
};
