// Health depends on the set of observations and the asked-for time alone: whatever order they come in, however late, and
// in whatever zone they are written.
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { placesOf } from "../../src/core/audit/places.js";
import { cleaningsAt, type HealthInputs, healthFrom, outlookOf, signsOf, stateFrom } from "../../src/service/health.js";
import type { Observation, StoredFinding, Waiver } from "../../src/service/shelves.js";
import { propertyRuns } from "./runs.js";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const START = Date.parse("2026-03-01T00:00:00Z");

const read = placesOf(
  JSON.parse(readFileSync(new URL("../../fixtures/buildings/three-coils.json", import.meta.url), "utf8")),
);
if (!read.ok) throw new Error("the fixture is no network");
const { places } = read;
const ELEMENTS = [...places.nodes.map(({ id }) => id), "gone"];
const TYPES = ["water-seen", "switch-trip", "slow-drain", "cleaned", "drains-freely", "flow-test"];
/** With their summer time and without, east and west, and a quarter of an hour askew. */
const OFFSETS = ["Z", "+01:00", "-05:00", "+05:45", "+14:00"];

/** An instant as somebody writes it whose clock stands at an offset from UTC. */
const written = (at: number, offset: string): string => {
  if (offset === "Z") return new Date(at).toISOString();
  const [hours = 0, minutes = 0] = offset.slice(1).split(":").map(Number);
  const ahead = (offset.startsWith("-") ? -1 : 1) * (hours * HOUR + minutes * 60_000);
  return `${new Date(at + ahead).toISOString().slice(0, -1)}${offset}`;
};

/** Hours since the start in which things happen, so that several happen at once. */
const hour = fc.integer({ min: 0, max: 60 });
const observation = fc.record({
  type: fc.constantFrom(...TYPES),
  hour,
  element: fc.constantFrom(...ELEMENTS),
  offset: fc.constantFrom(...OFFSETS),
  late: fc.integer({ min: -26, max: 500 }),
  withdraws: fc.option(fc.nat(), { freq: 5, nil: null }),
});
const finding = fc.record({
  severity: fc.constantFrom("critical", "major", "minor", "advice"),
  kind: fc.constantFrom("condition", "contingency", "record"),
  state: fc.constantFrom("open", "cleared", "lost-sight"),
  earlier: fc.boolean(),
  waived: fc.option(fc.tuple(hour, hour), { freq: 2, nil: null }),
});

interface Drawn {
  readonly observations: readonly Observation[];
  readonly findings: readonly StoredFinding[];
  readonly waivers: readonly Waiver[];
}
const drawn = fc
  .record({ seen: fc.array(observation, { maxLength: 24 }), found: fc.array(finding, { maxLength: 6 }) })
  .map(({ seen, found }): Drawn => {
    const observations = seen.map((each, i): Observation => {
      const time = START + each.hour * HOUR;
      const timeText = written(time, each.offset);
      // what takes another back is itself never taken back
      const target = each.withdraws === null || i === 0 ? null : each.withdraws % i;
      const withdraws = target === null || seen[target]?.withdraws !== null ? null : `o${target}`;
      return {
        building: "elm",
        id: `o${i}`,
        type: each.type,
        time: new Date(timeText),
        timeText,
        receivedAt: new Date(time + each.late * HOUR),
        node: each.element,
        pipe: null,
        fanCoil: null,
        attribute: null,
        value: null,
        source: "somebody",
        text: null,
        withdraws,
      };
    });
    const findings = found.map(
      ({ severity, kind, state, earlier }, i) =>
        ({
          building: "elm",
          id: `f${i}`,
          rule: "fall.reverse",
          severity,
          kind,
          state,
          since: state === "open" && earlier ? 3 : 1,
          changed: state === "open" ? (earlier ? 3 : 1) : 2,
          cause: "building",
          earlier: state === "open" ? (earlier ? [[1, 2]] : []) : [[1, 2]],
          message: `fault ${i}`,
          fanCoils: [],
          nodes: [ELEMENTS[i % places.nodes.length]],
          pipes: [],
        }) as StoredFinding,
    );
    const waivers = found.flatMap(({ waived }, i): Waiver[] =>
      waived === null
        ? []
        : [
            {
              building: "elm",
              finding: `f${i}`,
              by: "somebody",
              reason: "so",
              until: waived[1] <= waived[0] ? null : new Date(START + waived[1] * HOUR),
              createdAt: new Date(START + waived[0] * HOUR),
            },
          ],
    );
    return { observations, findings, waivers };
  });

/** Revisions at the start, after ten hours and after twenty. */
const REVISED = [0, 10, 20].map((h) => new Date(START + h * HOUR));
const inputsOf = (own: Drawn): HealthInputs => ({
  places,
  building: { id: "elm", createdAt: new Date(START - HOUR) },
  revised: REVISED,
  judged: REVISED.map((from, i) => ({ from, verdict: i === 1 ? "undetermined" : "faulty", exposure: "contained" })),
  ...own,
  cleaningDays: 1,
  timeZone: "Europe/Lisbon",
});
const healthAt = (own: Drawn, at: number) => healthFrom(signsOf(inputsOf(own)), new Date(at));
const INSTANTS = [-1, 0, 5, 10, 15.5, 20, 24, 36, 48, 60, 90].map((h) => START + h * HOUR);

/** The nodes that the water of a node passes, followed by hand. */
const wayOf = (element: string): string[] => {
  const way = [element];
  for (;;) {
    const next = places.nodes.find(({ id }) => id === way[way.length - 1])?.next;
    const pipe = places.pipes.find(({ id }) => id === next);
    if (pipe === undefined) return way;
    if (!way.includes(pipe.from)) way.push(pipe.from);
    way.push(pipe.to);
  }
};

/** Health worked out for one instant by itself, from the words of its definition. */
const plainly = ({ observations, findings, waivers }: Drawn, at: number) => {
  const known = observations.filter(({ time }) => time.getTime() <= at);
  const stands = known.filter(
    ({ id, withdraws }) => withdraws === null && !known.some((other) => other.withdraws === id),
  );
  const refs = new Map<string, string>();
  for (const seen of stands) {
    const state = seen.type === "slow-drain" ? "watch" : "act";
    if (!["water-seen", "switch-trip", "slow-drain"].includes(seen.type)) continue;
    const way = wayOf(seen.node ?? "");
    const coilAt = (id: string | null) => places.nodes.find((node) => node.id === id)?.fanCoil ?? null;
    const settled = stands.some(
      ({ type, time, node }) =>
        time > seen.time &&
        way.includes(node ?? "") &&
        (type === "cleaned" ||
          (type === "drains-freely" &&
            (node === seen.node || (coilAt(node) !== null && coilAt(node) === coilAt(seen.node))))),
    );
    if (!settled) refs.set(seen.id, state);
  }
  const revision = REVISED.filter((made) => made.getTime() <= at).length;
  for (const { id, severity, kind, state, since } of findings) {
    if (severity === "advice" || kind === "contingency") continue;
    const isOpen = state === "open" ? (since === 3 ? revision === 1 || revision === 3 : revision >= 1) : revision === 1;
    const waived = waivers.some(
      ({ finding, createdAt, until }) =>
        finding === id && createdAt.getTime() <= at && (until === null || until.getTime() > at),
    );
    if (isOpen && !waived) refs.set(id, severity === "minor" ? "watch" : "act");
  }
  for (const { riser } of cleaningsAt(inputsOf({ observations: [], findings, waivers }), new Date(at))) {
    const cleaned = stands.filter(({ type, node }) => {
      const next = places.nodes.find(({ id }) => id === node)?.next;
      const pipe = places.pipes.find(({ id }) => id === next);
      return type === "cleaned" && pipe?.common === true && pipe.riser === riser;
    });
    const last = cleaned.length === 0 ? START : Math.max(...cleaned.map(({ time }) => time.getTime()));
    if (last + DAY <= at) refs.set(riser ?? "mains", "watch");
  }
  const states = [...refs.values()];
  const state = states.includes("act")
    ? "act"
    : states.includes("watch")
      ? "watch"
      : revision === 0 || revision === 2
        ? "unknown"
        : "good";
  return { state, refs: state === "unknown" ? [revision === 0 ? "network" : "verdict"] : [...refs.keys()].sort() };
};

describe("health over time", { timeout: 300_000 }, () => {
  const runs = { numRuns: propertyRuns(300) };

  it("is what its definition says for each instant by itself", () => {
    const met = new Set<string>();
    fc.assert(
      fc.property(drawn, (own) => {
        for (const at of INSTANTS) {
          const { state, reasons } = healthAt(own, at);
          met.add(state);
          expect({ state, refs: reasons.map(({ ref }) => ref).sort() }).toEqual(plainly(own, at));
        }
      }),
      runs,
    );
    expect([...met].sort()).toEqual(["act", "good", "unknown", "watch"]);
  });

  it("does not change with the order in which things come, nor with when they arrive", () => {
    fc.assert(
      fc.property(drawn, fc.infiniteStream(fc.nat()), (own, random) => {
        const shuffled = <T>(list: readonly T[]): T[] =>
          list
            .map((item) => [random.next().value as number, item] as const)
            .sort(([a], [b]) => a - b)
            .map(([, item]) => item);
        const other: Drawn = {
          observations: shuffled(own.observations).map((seen) => ({ ...seen, receivedAt: new Date(START) })),
          findings: shuffled(own.findings),
          waivers: shuffled(own.waivers),
        };
        for (const at of INSTANTS) expect(healthAt(other, at)).toEqual(healthAt(own, at));
      }),
      runs,
    );
  });

  it("does not change with the zones in which times are written", () => {
    fc.assert(
      fc.property(drawn, fc.constantFrom(...OFFSETS), (own, offset) => {
        const observations = own.observations.map((seen) => {
          const timeText = written(seen.time.getTime(), offset);
          return { ...seen, timeText, time: new Date(timeText) };
        });
        for (const at of INSTANTS) expect(healthAt({ ...own, observations }, at)).toEqual(healthAt(own, at));
      }),
      runs,
    );
  });

  it("does not change for what was known already when something later is added", () => {
    fc.assert(
      fc.property(drawn, (own) => {
        for (const at of INSTANTS) {
          const observations = own.observations.filter(({ time }) => time.getTime() <= at);
          expect(healthAt({ ...own, observations }, at)).toEqual(healthAt(own, at));
        }
      }),
      runs,
    );
  });

  it("is told from what is kept of an earlier time, and its state from the outlook alone", () => {
    fc.assert(
      fc.property(drawn, fc.constantFrom(...INSTANTS), (own, asOf) => {
        const kept = signsOf(inputsOf(own)).filter(({ until }) => until > asOf);
        const outlook = JSON.parse(JSON.stringify(outlookOf(kept))) as ReturnType<typeof outlookOf>;
        for (const at of INSTANTS) {
          if (at < asOf) continue;
          const full = healthAt(own, at);
          expect(healthFrom(JSON.parse(JSON.stringify(kept)), new Date(at))).toEqual(full);
          expect(stateFrom(outlook, new Date(at))).toBe(full.state);
        }
      }),
      runs,
    );
  });

  it("goes by the instant where the clocks are put back and an hour comes twice", () => {
    // Lisbon, 2026-10-25: 01:50 of summer time is 00:50 UTC, and 01:10 of winter time, twenty minutes later, 01:10 UTC
    const seen = (id: string, type: string, timeText: string): Observation => ({
      building: "elm",
      id,
      type,
      time: new Date(timeText),
      timeText,
      receivedAt: new Date(timeText),
      node: places.nodes[0]?.id ?? "",
      pipe: null,
      fanCoil: null,
      attribute: null,
      value: null,
      source: "somebody",
      text: null,
      withdraws: null,
    });
    const water = seen("w", "water-seen", "2026-10-25T01:50:00+01:00");
    const cleaned = seen("c", "cleaned", "2026-10-25T01:10:00+00:00");
    const at = Date.parse("2026-10-25T02:00:00Z");
    const refsOf = (observations: readonly Observation[]) =>
      healthAt({ observations, findings: [], waivers: [] }, at).reasons.map(({ ref }) => ref);
    expect(refsOf([water])).toContain("w");
    expect(refsOf([cleaned, water])).not.toContain("w");
    // the other way round by the wall clock alone: cleaned first, then seen
    const earlier = seen("c", "cleaned", "2026-10-25T01:10:00+01:00");
    expect(refsOf([earlier, water])).toContain("w");
  });

  it("names the day of the building where a cleaning is due about midnight", () => {
    const dayIn = (timeZone: string) => {
      const inputs = { ...inputsOf({ observations: [], findings: [], waivers: [] }), timeZone };
      const { reasons } = healthFrom(signsOf(inputs), new Date(START + 2 * DAY));
      return reasons.find(({ kind }) => kind === "overdue")?.text;
    };
    expect(dayIn("Europe/Lisbon")).toContain("was due 2026-03-02");
    expect(dayIn("America/Bogota")).toContain("was due 2026-03-01");
  });
});
