import { describe, expect, it } from "vitest";
import { audit } from "../../src/core/audit/run.js";
import { Dice, type RandomOptions, randomDocument } from "../builders/random-network.js";
import type { PlainDocument } from "../reference/plain-network.js";
import { type PlainOutcome, sealOutcomes } from "../reference/seal-outcomes.js";
import { changed } from "./changes.js";
import { propertyRuns } from "./runs.js";

/**
 * What the rules of the traps say, on random networks, against the plain reference: outcome by rule and trap.
 * Seen to fail on: the margin of a seal halved again; the tolerance of a drop left out; a trap behind a pump judged; a
 * fan's blast counted through a seal.
 */
const RULES = ["depth", "drop", "depth-margin", "drop-margin", "step", "device", "priming", "dry-out"];

const said = (document: PlainDocument): Map<string, PlainOutcome> => {
  const result = audit(document, { include: ["passes"] });
  if (!result.ok) throw new Error(JSON.stringify(result.problems.slice(0, 3)));
  const outcomes = new Map<string, PlainOutcome>();
  for (const { id, rule, outcome } of result.audit.findings)
    if (RULES.includes(rule.replace("seal.", "")))
      outcomes.set(`${rule} ${decodeURIComponent(id.slice(id.indexOf(":") + 1))}`, outcome);
  return outcomes;
};

/** Gives a network the figures that random networks leave out. */
const furnished = (seed: number, size: number, options: Omit<RandomOptions, "size">): PlainDocument => {
  const dice = new Dice(seed ^ 0x2545f491);
  return changed(randomDocument(seed, size, options), (copy) => {
    copy.site = { ...copy.site };
    const idle = dice.pick([undefined, 0, 5, 20, 150, 400]);
    if (idle !== undefined) copy.site.idleDays = idle;
    for (const node of copy.nodes) if (node.kind === "fan-coil" && dice.chance(0.05)) node.internalPump = { lift: 0.5 };
  });
};

const differing = (document: PlainDocument, rules: readonly string[], tally: Map<string, number>): string[] => {
  const [expected, actual] = [sealOutcomes(document), said(document)];
  const found: string[] = [];
  for (const key of new Set([...expected.keys(), ...actual.keys()])) {
    const rule = key.slice("seal.".length, key.indexOf(" "));
    if (!rules.includes(rule)) continue;
    const outcome = expected.get(key) ?? "nothing";
    tally.set(`${rule} ${outcome}`, (tally.get(`${rule} ${outcome}`) ?? 0) + 1);
    if (outcome !== (actual.get(key) ?? "nothing"))
      found.push(`${key}: reference ${outcome}, product ${actual.get(key) ?? "nothing"}`);
  }
  return found;
};

const RUNS = propertyRuns(150);

describe("the rules of the traps agree with the plain reference", () => {
  it(`on ${RUNS} random networks`, { timeout: 600_000 }, () => {
    const tally = new Map<string, number>();
    const found: string[] = [];
    const rules = RULES.filter((rule) => rule !== "device");
    for (let seed = 1; seed <= RUNS && found.length < 20; seed++)
      for (const line of differing(furnished(seed, 1 + (seed % 60), {}), rules, tally)) found.push(`${seed}: ${line}`);
    expect(found).toEqual([]);
    for (const rule of rules)
      for (const outcome of ["pass", "fail", "undetermined"])
        expect(tally.get(`${rule} ${outcome}`) ?? 0, `${rule} ${outcome}`).toBeGreaterThan(0);
  });

  it(`on waterless traps and check valves of ${RUNS} random networks in which nothing is doubtful`, {
    timeout: 600_000,
  }, () => {
    const tally = new Map<string, number>();
    const found: string[] = [];
    for (let seed = 1; seed <= RUNS && found.length < 20; seed++) {
      const document = changed(furnished(seed, 1 + (seed % 60), { known: true }), (copy) => {
        copy.site = { ...copy.site, surveyTolerance: 0 };
        for (const node of copy.nodes) delete node.tolerance;
      });
      for (const line of differing(document, ["device"], tally)) found.push(`${seed}: ${line}`);
    }
    expect(found).toEqual([]);
    for (const outcome of ["pass", "fail", "undetermined"])
      expect(tally.get(`device ${outcome}`) ?? 0, outcome).toBeGreaterThan(0);
  });
});
