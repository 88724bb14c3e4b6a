import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { catalogue } from "../../../src/core/rules/catalogue.js";
import { FIXTURES, fixtureFiles } from "./truth-table.js";

const RULES = fileURLToPath(new URL("../../../src/core/rules/", import.meta.url));
const GROUPS = [
  "path",
  "fall",
  "air",
  "seal",
  "size",
  "overflow",
  "backup",
  "outlet",
  "support",
  "sweat",
  "freeze",
  "access",
  "install",
  "pump",
];

const folders = (path: string): string[] =>
  readdirSync(path, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name);

const ids = catalogue.map((rule) => rule.id);

describe("the catalogue", () => {
  it("holds exactly the rules that have a file, each named after its id", () => {
    const files = folders(RULES).flatMap((group) =>
      readdirSync(`${RULES}${group}`).map((file) => `${group}.${file.replace(/\.ts$/, "")}`),
    );
    expect([...ids].sort()).toEqual(files.sort());
  });

  it("holds exactly the rules that have fixtures", () => {
    expect(folders(FIXTURES).sort()).toEqual([...ids].sort());
    for (const id of ids) expect(fixtureFiles(id).length, id).toBeGreaterThan(1);
  });

  it("holds each id once, and groups in their order", () => {
    expect(new Set(ids).size).toBe(ids.length);
    const places = ids.map((id) => GROUPS.indexOf(id.split(".")[0]));
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  it.each(catalogue.map((rule) => [rule.id, rule] as const))("%s is described", (_, rule) => {
    expect(rule.question).toMatch(/\?$/);
    for (const text of [rule.title, rule.why, rule.notApplicable, rule.remedy]) expect(text.length).toBeGreaterThan(10);
    expect(rule.sources.length).toBeGreaterThan(0);
    expect(rule.needs.length).toBeGreaterThan(0);
  });
});

/** The table of rules: severity, kind and first stage are part of what is promised. */
const PROMISED = `
path.no-outlet critical condition design
path.cycle critical condition design
path.split major condition design
path.dead-leg advice condition design
fall.reverse major condition design
fall.below-minimum major condition design
fall.below-recommended advice condition design
fall.pan-to-trap major condition design
fall.budget major condition design
fall.standing-water major condition design
fall.shallow-pool advice condition as-built
fall.entry advice condition design
air.trapped major condition design
air.lock-head critical condition design
air.branch-vent minor condition design
air.main-vent minor condition design
air.vent-before-trap major condition design
air.vent-capped minor condition as-built
air.vent-one-way major condition design
air.vent-drains-back minor condition design
air.vent-below-rim major condition design
air.bypass major condition design
air.secondary-open minor condition as-built
air.closed-by-flow major condition design
seal.missing critical condition design
seal.missing-pressure major condition design
seal.shared major condition design
seal.double major condition design
seal.unintended major condition design
seal.depth critical condition design
seal.drop critical condition design
seal.depth-margin minor condition design
seal.drop-margin minor condition design
seal.step minor condition design
seal.device major condition design
seal.priming minor record as-built
seal.dry-out advice contingency design
size.code-table major condition design
size.hydraulic major condition design
size.practice advice condition design
size.reduction major condition design
size.pan-outlet major condition design
size.riser-base advice condition design
overflow.unprotected major condition design
overflow.parallel critical condition design
overflow.stops-water major condition design
overflow.conductor minor condition design
overflow.trip-above-spill critical condition design
overflow.alarm-only major condition design
overflow.auxiliary-pan major condition design
overflow.secondary-independent major condition design
overflow.secondary-visible minor condition design
overflow.secondary-size major condition design
overflow.not-working critical record in-service
overflow.after-run major contingency design
overflow.short-cycle minor contingency design
backup.uncontained major contingency design
backup.main-watch advice contingency design
outlet.direct critical condition design
outlet.air-gap major condition design
outlet.place major condition design
outlet.submerged major condition as-built
outlet.trapped-receptor major condition design
outlet.receptor minor contingency design
support.spacing minor condition design
support.sag minor condition design
support.hose minor condition design
sweat.uninsulated minor condition design
sweat.thin minor condition design
freeze.exposed minor condition design
access.cleanout major condition design
access.uncapped major record as-built
access.blocked minor record as-built
access.through-private advice condition design
install.port minor condition as-built
install.joint minor record as-built
install.material major condition design
install.foreign major record in-service
pump.interlock major condition design
pump.check-valve minor condition design
pump.capacity major condition design
pump.overflow major contingency design
`
  .trim()
  .split("\n")
  .map((line) => line.split(" "));

describe("severity, kind and stage of each rule", () => {
  it("are as promised", () => {
    expect(catalogue.map((rule) => [rule.id, rule.severity, rule.kind, rule.stage])).toEqual(PROMISED);
  });
});
