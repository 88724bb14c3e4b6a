// A year of one tower over HTTP, on each server: what the tour of docs/a-year.md tells, and that it tells it still.
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type StoredApp, storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";
import { aYear, type Year } from "./a-year.js";

describe.each(engines)("a year on the $name server", (engine) => {
  let service: StoredApp;
  let year: Year;
  let clock = new Date();
  beforeAll(async () => {
    service = await storedApp(engine, { now: () => clock });
    year = await aYear({
      ask: service.ask,
      setClock: (now) => {
        clock = now;
      },
    });
  }, 300_000);
  afterAll(() => service.close());

  test("health goes as what happened says, each state from its own instant on", () => {
    // by the definition of drain health, worked out by hand from what the tour reports
    const expected = [
      ["2026-01-01T00:00:00.000Z", "unknown"], // no network yet
      ["2026-01-12T10:00:00.000Z", "act"], // faults that are critical
      ["2026-04-20T15:00:00.000Z", "good"], // all put right
      ["2026-05-04T16:00:00.000Z", "act"], // a switch does not stop its coil: nothing protects it
      ["2026-05-06T11:00:00.000Z", "good"], // replaced
      ["2026-07-13T17:00:00.000Z", "watch"], // a slow drain
      ["2026-07-14T14:00:00.000Z", "act"], // a trip, then water
      ["2026-07-14T19:00:00.000Z", "watch"], // cleaned; the bridged switch leaves the riser exposed
      ["2026-07-15T11:00:00.000Z", "good"], // the bridge is gone
      ["2027-01-12T10:00:00.000Z", "watch"], // a year since the first revision: what is common is due
      ["2027-01-18T16:00:00.000Z", "good"], // cleaned
    ];
    const states = year.turns.filter(({ state }, i) => state !== year.turns[i - 1]?.state);
    expect(states.map(({ at, state }) => [at, state])).toEqual(expected);
  });

  test("every reason is one that was given", () => {
    const reasonsAt = (at: string) => year.turns.find((turn) => turn.at === at)?.reasons;
    expect(reasonsAt("2026-05-04T16:00:00.000Z")).toEqual(["overflow.unprotected~f:0502-A%2Fcoil", "exposure"]);
    expect(reasonsAt("2026-07-14T14:50:00.000Z")).toEqual(["trip", "water", "riser-wet", "slow"]);
    expect(reasonsAt("2026-07-14T19:00:00.000Z")).toEqual(["exposure"]);
    // the riser that was cleaned in July is not due in January
    expect(reasonsAt("2027-01-12T10:00:00.000Z")).toEqual(["B-02", "B-03", "B-04", "O-01", "O-READ", "mains"]);
    // let be until the refit
    expect(reasonsAt("2026-02-03T11:00:00.000Z")).toContain("outlet.direct~n:O-S");
    expect(reasonsAt("2026-03-09T15:00:00.000Z")).not.toContain("outlet.direct~n:O-S");
    for (const { state, reasons } of year.turns) expect(reasons.length === 0).toBe(state === "good");
  });

  test("revisions tell the faults and who brought them about", () => {
    expect(year.revisions).toEqual([
      { number: 1, verdict: "faulty", exposure: "exposed" },
      { number: 2, verdict: "faulty", exposure: "exposed" },
      { number: 3, verdict: "faulty", exposure: "exposed" },
      { number: 4, verdict: "no-fault-found", exposure: "contained" },
      { number: 5, verdict: "faulty", exposure: "exposed" },
      { number: 6, verdict: "no-fault-found", exposure: "contained" },
      { number: 7, verdict: "no-fault-found", exposure: "exposed" },
      { number: 8, verdict: "no-fault-found", exposure: "contained" },
    ]);
    expect(year.causes).toEqual({ "support.spacing~p:PD-1101": "survey", "fall.reverse~p:0401-B%2Farm-2": "building" });
  });

  test("the blockage is where the story puts it, and the coils that feed it are stopped", () => {
    // one wet pan alone is its own branch's; water in the riser beside it makes it the riser's
    expect(year.located).toEqual(["0201-B/branch", "R1-02/lower"]);
    // two coils on each of the storeys 2 to 12 drain through that pipe
    const above = Array.from({ length: 11 }, (_, i) => String(i + 2).padStart(2, "0"));
    expect(year.stopped).toEqual(above.flatMap((storey) => [`${storey}01-A/coil`, `${storey}01-B/coil`]));
  });

  test("carried out, removed and brought in again it is the same building", async () => {
    const told = async () => {
      const paths = [
        "health/history?from=2026-01-01T00:00:00Z&limit=1000",
        "findings?limit=1000",
        "revisions",
        "cleanings",
      ];
      const replies = await Promise.all(paths.map((path) => service.ask(`GET /v1/buildings/reedlight/${path}`)));
      expect(replies.map(({ status }) => status)).toEqual(paths.map(() => 200));
      return replies.map(({ json }) => json);
    };
    const before = await told();
    await service.ask("DELETE /v1/buildings/reedlight", { headers: { "if-match": "*" } });
    expect((await service.ask("GET /v1/buildings/reedlight")).status).toBe(404);
    const headers = { "content-type": "application/x-ndjson" };
    const made = await service.ask("POST /v1/buildings/reedlight/import", { body: year.carried, headers });
    expect(made.status).toBe(201);
    expect(await told()).toEqual(before);
  });

  test("docs/a-year.md is current (npm run docs writes it)", () => {
    expect(readFileSync(new URL("../../docs/a-year.md", import.meta.url), "utf8")).toBe(year.page);
  });
});
