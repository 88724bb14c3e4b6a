import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, it } from "vitest";
import { analyse } from "../../src/core/analysis/analyse.js";
import type { BackupStory, Facts } from "../../src/core/analysis/facts.js";
import { compile } from "../../src/core/graph/compile.js";
import type { Compiled } from "../../src/core/graph/compiled.js";
import { backup, backupSchema } from "../../src/core/index.js";
import { readNetwork } from "../../src/core/network/read.js";
import { resolveProfile } from "../../src/core/profiles/resolve-profile.js";
import { randomDocument } from "../builders/random-network.js";
import { withProtection } from "../builders/random-protection.js";
import { BLOCKED, randomRiser } from "../builders/random-riser.js";
import { type FloodEvent, flood } from "../reference/flooding.js";
import type { PlainDocument } from "../reference/plain-network.js";
import { propertyRuns } from "./runs.js";

/**
 * Stories of blockages against a second program that cuts pipes into pieces and raises the level step by step. Volumes and
 * times agree within a thousandth. Beside each test stands the fault that was planted once to see it fail.
 */
const RUNS = propertyRuns(40);
/**
 * In riser 461 a pan's switch trips before the spill though the pan hangs above it: its fan lifts the water there. In riser
 * 555 one trips only where unvented branches stay empty.
 */
const TELLING = [461, 555].filter((seed) => seed > RUNS);

const factsOf = (document: PlainDocument): { net: Compiled; facts: Facts } => {
  const read = readNetwork(document);
  if (!read.ok) throw new Error(JSON.stringify(read.problems.slice(0, 3)));
  const profile = resolveProfile(read.model.profile.base, read.model.profile.overrides, "si");
  if (!profile.ok) throw new Error("no profile");
  const net = compile(read.model);
  return { net, facts: analyse(net, profile.profile) };
};
const told = (document: PlainDocument): { net: Compiled; facts: Facts; story: BackupStory } => {
  const { net, facts } = factsOf(document);
  const story = facts.stories.ofPipe(net.pipes.findIndex(({ id }) => id === BLOCKED));
  if (story === null) throw new Error("nothing backs up");
  return { net, facts, story };
};

const WORDS = { trips: "trip", "fans-stop": "fans", spills: "spill", stands: "stands" } as const;

/** The story as the reference tells one, with one of its two ways of counting. */
const asEvents = ({ net, story }: ReturnType<typeof told>, way: "least" | "most"): FloodEvent[] =>
  story.steps
    .filter(({ kind, where }) => kind in WORDS && (where === "either" || (where === "full") === (way === "most")))
    .map(({ kind, level, time, volume, device, coils, openings }) => ({
      what: WORDS[kind as keyof typeof WORDS],
      ids:
        kind === "trips"
          ? [net.model.devices[device].id]
          : kind === "fans-stop"
            ? coils.map((c) => net.nodes[net.coils[c]].id)
            : openings.map(({ node }) => net.nodes[node].id),
      level,
      seconds: time[way],
      volume: volume[way],
    }));

describe("one blockage in time", { timeout: 600_000 }, () => {
  // planted: pans that join before the pool passes their traps; suction left out of the volumes
  it("is as a fine integration tells it, whether unvented branches fill or not", () => {
    const seen = new Map<string, number>();
    let apart = 0;
    for (const seed of [...Array.from({ length: RUNS }, (_, i) => i + 1), ...TELLING]) {
      const document = randomRiser(seed);
      const answer = told(document);
      for (const way of ["most", "least"] as const) {
        const reference = flood(document, BLOCKED, way === "least");
        const product = asEvents(answer, way);
        const name = `randomRiser(${seed}) ${way}`;
        expect(
          product.map(({ what, ids }) => `${what} ${ids.join()}`),
          name,
        ).toEqual(reference.map(({ what, ids }) => `${what} ${ids.join()}`));
        for (const [i, { what, level, seconds, volume }] of reference.entries()) {
          seen.set(what, (seen.get(what) ?? 0) + 1);
          if (way === "most") expect(Math.abs(product[i].level - level), `${name} ${what}`).toBeLessThan(2e-5);
          expect(Math.abs(product[i].volume - volume), `${name} ${what}`).toBeLessThan(1e-3 * volume + 1e-7);
          expect(Math.abs(product[i].seconds - seconds), `${name} ${what}`).toBeLessThan(1e-3 * seconds + 0.1);
        }
      }
      const { least, most } = answer.story.steps[answer.story.steps.length - 1].time;
      if (most > least * 1.005) apart++;
      for (const { where } of answer.story.steps) if (where !== "either") seen.set(where, (seen.get(where) ?? 0) + 1);
    }
    for (const what of ["trip", "fans", "spill", "stands"])
      expect(seen.get(what) ?? 0, what).toBeGreaterThan(RUNS / 10);
    expect(seen.get("empty") ?? 0).toBeGreaterThan(0);
    expect(apart).toBeGreaterThan(RUNS / 10);
  });

  // planted: the times of one way of counting for both
  it("tells a rule the same times", () => {
    let known = 0;
    for (let seed = 1; seed <= RUNS; seed++) {
      const { net, facts, story } = told(randomRiser(seed));
      const times = facts.stories.timesOf(net.pipes.findIndex(({ id }) => id === BLOCKED));
      expect(times, `randomRiser(${seed})`).toEqual(story.times);
      if (times.firstTrip.most > 0) known++;
    }
    expect(known).toBeGreaterThan(RUNS / 4);
  });

  // planted: the water that stopped coils still make left out
  it("would be contained by the device that it proposes, whether the fans stop or run on, and by none much higher", () => {
    let asked = 0;
    let higher = 0;
    for (let seed = 1; seed <= RUNS; seed++) {
      const document = randomRiser(seed);
      const { net, story } = told(document);
      if (story.containment === null || Number.isNaN(story.containment.highestTrip)) continue;
      asked++;
      const { node, highestTrip, stops } = story.containment;
      const holds = (tripElevation: number): boolean =>
        ["R", "Y"].every((breaks) => {
          const device = { id: "NEW", at: net.nodes[node].id, type: "float-switch", seat: "main", state: "working" };
          const circuit = { id: "NEW", breaks, stops: stops.map((c) => net.nodes[net.coils[c]].id) };
          const { story: after } = told({
            ...document,
            overflowDevices: [...document.overflowDevices!, { ...device, tripElevation, circuit: "NEW" }],
            circuits: [...document.circuits!, circuit],
          });
          return after.steps[after.steps.length - 1].kind === "stands" && after.afterRun?.fits === true;
        });
      expect(holds(highestTrip), `randomRiser(${seed})`).toBe(true);
      // a millimetre more and some water that still comes, or a fan that stops, finds an opening, or it trips after the spill
      const { firstSpill } = story.backup;
      if (highestTrip > firstSpill - 0.0002) expect(highestTrip).toBeLessThanOrEqual(firstSpill);
      else if (holds(highestTrip + 0.001)) throw new Error(`randomRiser(${seed}) holds higher up`);
      else higher++;
    }
    expect(asked).toBeGreaterThan(RUNS / 5);
    expect(higher).toBeGreaterThan(asked / 2);
  });

  // planted: the two ways of counting changed about; the reason left out where no way out is known
  it("is told of any pipe and any node of any network, in figures that agree with each other", () => {
    const validate = new Ajv2020({ strict: true, strictTypes: false }).compile(backupSchema());
    const seen = new Set<string>();
    for (let seed = 1; seed <= RUNS; seed++) {
      const document = withProtection(randomDocument(seed, 1 + (seed % 16)), seed);
      const { net } = factsOf(document);
      for (const blocked of [
        ...net.pipes.map(({ id }) => ({ pipe: id })),
        ...net.nodes.map(({ id }) => ({ node: id })),
      ]) {
        const told = backup(document, blocked);
        const at = `${seed} ${JSON.stringify(blocked)}`;
        if (!told.ok) throw new Error(`${at}: ${JSON.stringify(told.problems)}`);
        const { story, outcome, inflow, firstSpill, fanCoilsFeeding } = told.backup;
        expect(validate(JSON.parse(JSON.stringify(told.backup))) ? [] : validate.errors, at).toEqual([]);
        if (outcome === null) {
          expect([story, fanCoilsFeeding], at).toEqual([[], []]);
          continue;
        }
        const end = story[story.length - 1];
        seen.add(`${outcome} ${end.event}`);
        expect(["spills", "carried-off", "stands", "open"], at).toContain(end.event);
        let [time, most] = [0, 0];
        for (const { minutes, volume } of story) {
          // what may fill leaves the water longer on its way, and nothing happens before what came before it
          if (minutes.soonest !== null && minutes.latest !== null)
            expect(minutes.soonest, at).toBeLessThanOrEqual(minutes.latest * (1 + 1e-9) + 1e-9);
          expect(minutes.latest ?? time, at).toBeGreaterThanOrEqual(time - 1e-9);
          expect(volume.most ?? most, at).toBeGreaterThanOrEqual(most - 1e-12);
          [time, most] = [minutes.latest ?? time, volume.most ?? most];
        }
        if (end.event === "spills" && inflow !== null && end.inflow !== null) {
          expect(end.inflow, at).toBeLessThanOrEqual(inflow * (1 + 1e-9));
          if (firstSpill !== null) expect(firstSpill.litersPerHour, at).toBeCloseTo(end.inflow * 3.6e6, 6);
        }
        if (outcome === "undetermined") expect(told.backup.undetermined.length, at).toBeGreaterThan(0);
      }
    }
    for (const what of ["contained stands", "uncontained spills", "told carried-off", "undetermined open"])
      expect(seen).toContain(what);
  });
});
