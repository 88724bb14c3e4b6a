import { describe, expect, test } from "vitest";
import { analyse } from "../../../src/core/analysis/analyse.js";
import type { Facts } from "../../../src/core/analysis/facts.js";
import { compile } from "../../../src/core/graph/compile.js";
import type { Compiled } from "../../../src/core/graph/compiled.js";
import { readNetwork } from "../../../src/core/network/read.js";
import { resolveProfile } from "../../../src/core/profiles/resolve-profile.js";

// Expected values come from a circuit diagram: contacts are edges of a graph, a device that trips moves its contact, and
// the unit runs or stops by whether the terminals are still joined. What stands still follows from what hangs on the
// conductor that is broken. Nothing here knows the words "one is enough".

type Stage = "design" | "as-built" | "in-service";
type Json = Record<string, unknown>;

const read = (document: unknown, profile: string): { net: Compiled; facts: Facts } => {
  const model = readNetwork(document);
  if (!model.ok) throw new Error(JSON.stringify(model.problems));
  const resolved = resolveProfile(profile, {}, "si");
  if (!resolved.ok) throw new Error("no profile");
  const net = compile(model.model);
  return { net, facts: analyse(net, resolved.profile) };
};

const coil = (id: string, elevation = 3, more: Json = {}): Json => ({ id, kind: "fan-coil", elevation, ...more });
const pipe = (from: string, to: string, length: number): Json => ({ id: `${from}>${to}`, from, to, length, size: 20 });

/** Two coils on drains of their own. */
const twoCoils = (overflowDevices: Json[], circuits: Json[], more: Json = {}): Json => ({
  format: 1,
  id: "circuit",
  units: "si",
  profile: "imc",
  stage: "design",
  nodes: [
    coil("A", 3, more),
    coil("B", 3, more),
    { id: "OA", kind: "outlet", elevation: 2 },
    { id: "OB", kind: "outlet", elevation: 2 },
  ],
  pipes: [pipe("A", "OA", 2), pipe("B", "OB", 2)],
  overflowDevices,
  circuits,
});

// --- the diagram

type Contact = "nc" | "no";
type State = "working" | "jumpered" | "failed" | "untested" | undefined;
type Arrangement = "series" | "parallel";

/** Joins what is connected. */
class Terminals {
  private readonly parent: number[];
  constructor(count: number) {
    this.parent = Array.from({ length: count }, (_, i) => i);
  }
  private root(i: number): number {
    let at = i;
    while (this.parent[at] !== at) at = this.parent[at]!;
    return at;
  }
  join(a: number, b: number): void {
    this.parent[this.root(a)] = this.root(b);
  }
  joined(a: number, b: number): boolean {
    return this.root(a) === this.root(b);
  }
}

/** Whether current passes from the first terminal to the last. */
const made = (closed: readonly boolean[], arrangement: Arrangement): boolean => {
  const last = arrangement === "series" ? closed.length : 1;
  const terminals = new Terminals(last + 1);
  closed.forEach((isClosed, i) => {
    if (!isClosed) return;
    if (arrangement === "series") terminals.join(i, i + 1);
    else terminals.join(0, 1);
  });
  return terminals.joined(0, last);
};

/** A float moves its contact unless somebody bridged or disconnected it, or it sticks. */
const follows = (state: State): boolean => state === "working" || state === "untested" || state === undefined;

/** Does the unit stop when the devices of `tripped` have water? nc contacts feed it, no contacts energize its stop. */
const isStopped = (
  contact: Contact,
  states: readonly State[],
  arrangement: Arrangement,
  tripped: (i: number) => boolean,
): boolean => {
  const closed = states.map((state, i) => (tripped(i) && follows(state) ? contact === "no" : contact === "nc"));
  return contact === "nc" ? !made(closed, arrangement) : made(closed, arrangement);
};

const STATES: readonly State[] = ["working", "jumpered", "failed", "untested", undefined];

const combinations = <T>(of: readonly T[], count: number): T[][] =>
  count === 0 ? [[]] : combinations(of, count - 1).flatMap((rest) => of.map((one) => [...rest, one]));

/** All states where few devices can have them all; the whole row of one state and one odd one out where there are four. */
const stateRows = (count: number): State[][] =>
  count < 4
    ? combinations(STATES, count)
    : STATES.flatMap((most) =>
        STATES.flatMap((odd) =>
          Array.from({ length: count }, (_, at) => Array.from({ length: count }, (_, i) => (i === at ? odd : most))),
        ),
      );

const device = (i: number, contact: Contact | undefined, state: State, more: Json = {}): Json => ({
  id: `S${i}`,
  at: "A",
  type: "float-switch",
  ...(contact === undefined ? {} : { contact }),
  ...(state === undefined ? {} : { state }),
  circuit: "C",
  ...more,
});

const idsOf = (net: Compiled, positions: Int32Array): string[] =>
  Array.from(positions, (position) => net.nodes[net.coils[position]].id);

describe.each([1, 2, 3, 4])("%i contacts", (count) => {
  const kinds: readonly (readonly [Contact, Arrangement])[] = [
    ["nc", "series"],
    ["nc", "parallel"],
    ["no", "series"],
    ["no", "parallel"],
  ];
  test.each(kinds)("%s in %s", (contact, arrangement) => {
    const rows = stateRows(count);
    for (const [row, states] of rows.entries()) {
      const { net, facts } = read(
        twoCoils(
          states.map((state, i) => device(i, contact, state)),
          [{ id: "C", arrangement, breaks: "valve-and-fan", stops: ["A", "B"] }],
        ),
        row % 2 === 0 ? "imc" : "upc",
      );
      const { circuits, devices } = facts.circuits;
      // the wiring as such: every float follows
      const sound = states.map((): State => "working");
      expect(circuits[0].anyDeviceStops).toBe(
        sound.every((_, i) => isStopped(contact, sound, arrangement, (j) => j === i)),
      );
      states.forEach((state, i) => {
        const stops = isStopped(contact, states, arrangement, (j) => j === i);
        expect(devices[i].works).toBe(follows(state));
        expect(idsOf(net, devices[i].stops), `${states.join()} ${i}`).toEqual(stops ? ["A", "B"] : []);
        expect(devices[i].stopsFan).toBe(stops);
      });
    }
  });

  test("no arrangement stated", () => {
    for (const contact of ["nc", "no"] as const) {
      const { net, facts } = read(
        twoCoils(
          Array.from({ length: count }, (_, i) => device(i, contact, "working")),
          [{ id: "C", breaks: "R", stops: ["A"] }],
        ),
        "imc",
      );
      // one contact is its own whole diagram, whichever way it is drawn; of several nobody can tell
      const asSeries = isStopped(contact, ["working"], "series", () => true);
      expect(asSeries).toBe(isStopped(contact, ["working"], "parallel", () => true));
      expect(facts.circuits.circuits[0].anyDeviceStops).toBe(count === 1 ? asSeries : null);
      for (const fact of facts.circuits.devices) {
        expect(idsOf(net, fact.stops)).toEqual(count === 1 ? ["A"] : []);
        expect(fact.stopsFan).toBe(count === 1 ? true : null);
      }
    }
  });

  test.runIf(count > 1)("mixed contacts cannot be told", () => {
    for (const arrangement of ["series", "parallel", undefined] as const)
      for (let odd = 0; odd < count; odd++) {
        const { facts } = read(
          twoCoils(
            Array.from({ length: count }, (_, i) => device(i, i === odd ? "no" : "nc", "working")),
            [{ id: "C", ...(arrangement ? { arrangement } : {}), breaks: "R", stops: ["A"] }],
          ),
          "imc",
        );
        expect(facts.circuits.circuits[0].anyDeviceStops).toBe(null);
        for (const fact of facts.circuits.devices) {
          expect(fact.stops).toHaveLength(0);
          expect(fact.stopsFan).toBe(null);
        }
      }
  });
});

test("a contact that nobody describes is normally closed", () => {
  const { facts } = read(
    twoCoils(
      [device(0, undefined, "working"), device(1, "nc", "working")],
      [{ id: "C", arrangement: "series", breaks: "R", stops: ["A"] }],
    ),
    "imc",
  );
  expect(facts.circuits.circuits[0].anyDeviceStops).toBe(
    isStopped("nc", ["working", "working"], "series", (i) => i === 0),
  );
});

// --- what hangs on which conductor

/** supply feeds the control circuit R; R feeds Y (compressor or valve: the cold) and G (the fan). */
const FED_BY: Readonly<Record<string, string | null>> = {
  supply: null,
  R: "supply",
  Y: "R",
  G: "R",
  cold: "Y",
  fan: "G",
};
const CUT: Readonly<Record<string, readonly string[]>> = {
  R: ["R"],
  Y: ["Y"],
  "chilled-water-valve": ["cold"],
  "valve-and-fan": ["cold", "fan"],
  supply: ["supply"],
  "building-system": [],
  "alarm-only": [],
};
const isLive = (load: string, cut: readonly string[]): boolean => {
  for (let at: string | null = load; at !== null; at = FED_BY[at]!) if (cut.includes(at)) return false;
  return true;
};
/** A coil makes water while something cold flows through it, fan or no fan; a pan is under suction while its fan turns. */
const byDiagram = (breaks: string | undefined): { stopsWater: boolean | null; stopsFan: boolean | null } => {
  if (breaks === undefined) return { stopsWater: null, stopsFan: null };
  // the unit's own controller ends the cooling; whether it lets the fan run on is its maker's affair
  if (breaks === "equipment-controller") return { stopsWater: true, stopsFan: null };
  const cut = CUT[breaks]!;
  return { stopsWater: !isLive("cold", cut), stopsFan: !isLive("fan", cut) };
};

const BREAKS = [...Object.keys(CUT), "equipment-controller", undefined];
const ON_TRIP: readonly (Json | undefined)[] = [
  undefined,
  {},
  ...[true, false].map((makesWater) => ({ makesWater })),
  ...["stops", "runs"].map((fan) => ({ fan })),
  ...[true, false].flatMap((makesWater) => ["stops", "runs"].map((fan) => ({ makesWater, fan }))),
];

describe.each(["chilled-water", "direct-expansion", undefined])("a coil with cooling %s", (cooling) => {
  describe.each(["design", "as-built", "in-service"] as const)("in stage %s", (stage: Stage) => {
    test.each(BREAKS)("whose circuit breaks %s", (breaks) => {
      for (const onTrip of ON_TRIP) {
        const { net, facts } = read(
          {
            ...twoCoils(
              [device(0, "nc", "working")],
              [{ id: "C", ...(breaks ? { breaks } : {}), ...(onTrip ? { onTrip } : {}), stops: ["B"] }],
              cooling ? { cooling } : {},
            ),
            stage,
          },
          "upc",
        );
        const diagram = byDiagram(breaks);
        const stopsWater = onTrip?.makesWater === undefined ? diagram.stopsWater : !onTrip.makesWater;
        const stopsFan = onTrip?.fan === undefined ? diagram.stopsFan : onTrip.fan === "stops";
        const [fact] = facts.circuits.circuits;
        expect(idsOf(net, fact.coils)).toEqual(["B"]);
        expect({ stopsWater: fact.stopsWater, stopsFan: fact.stopsFan }).toEqual({ stopsWater, stopsFan });
        expect(idsOf(net, facts.circuits.devices[0].stops)).toEqual(stopsWater === true ? ["B"] : []);
        expect(facts.circuits.devices[0].stopsFan).toBe(stopsFan);
      }
    });
  });
});

test("without a circuit, or in one that stops no coil, nothing stops", () => {
  const unwired = read(twoCoils([device(0, "nc", "working", { circuit: undefined })], []), "imc").facts.circuits;
  expect(unwired.devices[0]).toEqual({ works: true, stops: new Int32Array(0), stopsFan: false });
  const idle = read(twoCoils([device(0, "nc", "working")], [{ id: "C", breaks: "R" }]), "imc").facts.circuits;
  expect(idle.devices[0].stops).toHaveLength(0);
  const empty = read(twoCoils([], [{ id: "C", breaks: "R", arrangement: "series", stops: ["A"] }]), "imc").facts
    .circuits;
  expect(empty.circuits[0]).toMatchObject({ anyDeviceStops: null, stopsWater: true, stopsFan: true });
});

// --- all upstream

/** Three coils: A and B meet at J, C joins at K, and a pump lifts it all to the outlet. */
const branched = (overflowDevices: Json[], circuits: Json[]): Json => ({
  ...twoCoils(overflowDevices, circuits),
  nodes: [
    coil("A", 9),
    coil("B", 9),
    coil("C", 9),
    { id: "J", kind: "junction", elevation: 8 },
    { id: "K", kind: "junction", elevation: 7 },
    { id: "P", kind: "pump", elevation: 6, liftTo: 8 },
    { id: "O", kind: "outlet", elevation: 7.5 },
    { id: "D", kind: "cleanout", elevation: 9 },
  ],
  pipes: [
    pipe("A", "J", 3),
    pipe("B", "J", 3),
    pipe("J", "K", 3),
    pipe("C", "K", 3),
    pipe("K", "P", 3),
    { ...pipe("P", "O", 3), role: "pressure" },
    { ...pipe("D", "K", 3), role: "access" },
  ],
});

test("all-upstream: the coils whose path contains the device's node", () => {
  const above: Readonly<Record<string, readonly string[]>> = {
    A: ["A"],
    J: ["A", "B"],
    K: ["A", "B", "C"],
    P: ["A", "B", "C"],
    O: ["A", "B", "C"],
    D: [],
  };
  const names = Object.keys(above).sort();
  const { net, facts } = read(
    branched(
      names.map((at) => ({ id: `S${at}`, at, type: "float-switch", seat: "main" })),
      [...names.map((at) => ({ id: `C${at}`, devices: [`S${at}`], breaks: "supply", stops: "all-upstream" }))],
    ),
    "imc",
  );
  for (const [i, at] of names.entries()) {
    expect(idsOf(net, facts.circuits.devices[i].stops), at).toEqual(above[at]);
    expect(idsOf(net, facts.circuits.circuits[i].coils), at).toEqual(above[at]);
  }
  // two devices of one circuit: each stops what is above itself, the circuit is wired to both
  const shared = read(
    branched(
      ["C", "J"].map((at) => ({ id: `S${at}`, at, type: "float-switch", contact: "no" })),
      [{ id: "X", devices: ["SC", "SJ"], arrangement: "parallel", breaks: "R", stops: "all-upstream" }],
    ),
    "imc",
  );
  expect(shared.facts.circuits.devices.map(({ stops }) => idsOf(shared.net, stops))).toEqual([["C"], ["A", "B"]]);
  expect(idsOf(shared.net, shared.facts.circuits.circuits[0].coils)).toEqual(["A", "B", "C"]);
});

// --- at which level a coil's own switch stops it

describe("the lowest trip that stops the coil at whose pan it is", () => {
  const trip = (devices: Json[], circuits: Json[]): [number, number] => {
    const { net, facts } = read(twoCoils(devices, circuits), "imc");
    const a = net.coilAt[net.nodes.findIndex(({ id }) => id === "A")];
    return [facts.circuits.stoppingTrip[a], facts.circuits.stoppingTripUnknown[a]];
  };
  const own = { id: "C", arrangement: "series", breaks: "R", stops: ["A"] };
  const at = (i: number, tripHeight: number | undefined, more: Json = {}): Json =>
    device(i, "nc", "working", { ...(tripHeight === undefined ? {} : { tripHeight }), ...more });

  // pan outlet at 3.000 m; heights in mm above it
  test.each<[string, Json[], Json[], number, number]>([
    ["no device", [], [own], Number.NaN, 0],
    ["one", [at(0, 30)], [own], 3.03, 0],
    ["the lower of two", [at(0, 40), at(1, 25, { seat: "drain-line" })], [own], 3.025, 0],
    ["a stated level", [at(0, undefined, { tripElevation: 3.041, seat: "secondary-port" })], [own], 3.041, 0],
    ["an untested one counts as working", [at(0, 30, { state: "untested" })], [own], 3.03, 0],
    ["a jumpered one does not", [at(0, 20, { state: "jumpered" }), at(1, 30)], [own], 3.03, 0],
    ["a failed one does not", [at(0, 20, { state: "failed" })], [own], Number.NaN, 0],
    ["not one in the auxiliary pan", [at(0, 20, { seat: "auxiliary-pan" }), at(1, 30)], [own], 3.03, 0],
    ["not a main's", [at(0, 20, { seat: "main" })], [own], Number.NaN, 0],
    ["not one in another pan", [at(0, 20, { at: "B" })], [own], Number.NaN, 0],
    ["not one that stops only another coil", [at(0, 20)], [{ ...own, stops: ["B"] }], Number.NaN, 0],
    ["one that stops several", [at(0, 20)], [{ ...own, stops: ["B", "A"] }], 3.02, 0],
    ["all upstream includes its own", [at(0, 20)], [{ ...own, stops: "all-upstream" }], 3.02, 0],
    ["not one that only tells", [at(0, 20)], [{ ...own, breaks: "alarm-only" }], Number.NaN, 0],
    ["not two side by side", [at(0, 20), at(1, 30)], [{ ...own, arrangement: "parallel" }], Number.NaN, 0],
    ["an unknown level alone", [at(0, undefined)], [own], Number.NaN, 1],
    ["an unknown level beside a known one", [at(0, undefined), at(1, 30)], [own], 3.03, 1],
    ["an unknown level of one that stops nothing", [at(0, undefined, { state: "failed" }), at(1, 30)], [own], 3.03, 0],
  ])("%s", (_, devices, circuits, level, unknown) => {
    const [found, flag] = trip(devices, circuits);
    if (Number.isNaN(level)) expect(found).toBeNaN();
    else expect(found).toBeCloseTo(level, 12);
    expect(flag).toBe(unknown);
  });
});

test("of nine coils, those that the common circuit lists have a switch that stops them", () => {
  const names = [..."ABCDEFGHI"];
  for (let listed = 1; listed < 2 ** names.length; listed += 5) {
    const stops = names.filter((_, i) => (listed >> i) & 1);
    const { net, facts } = read(
      {
        ...twoCoils(
          names.map((at, i) => device(i, "nc", "working", { at, tripHeight: 30 })),
          [{ id: "C", arrangement: "series", breaks: "R", stops }],
        ),
        nodes: [...names.map((id) => coil(id)), { id: "O", kind: "outlet", elevation: 2 }],
        pipes: names.map((id) => pipe(id, "O", 2)),
      },
      "imc",
    );
    const stopped = names.filter((_, i) => facts.circuits.stoppingTrip[i] > 0);
    expect(stopped).toEqual(stops);
    expect(idsOf(net, facts.circuits.circuits[0].coils)).toEqual(stops);
  }
});
