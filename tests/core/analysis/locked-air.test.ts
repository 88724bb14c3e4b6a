import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { audit } from "../../../src/core/index.js";

// Expected heads come from the hydrostatics of the case (10 °C water: 999.702 kg/m³) and from a filling simulated below.

const RHO_G = 999.702 * 9.80665;
const ATMOSPHERE = 101_325;

interface Case {
  /** m, of the seals behind the first */
  seals: readonly number[];
  /** m, of the pockets before them */
  lengths?: readonly number[];
  /** m of water, negative: fan pressure */
  suction?: number;
  /** m */
  bore?: number;
  /** m over the pan outlet; the first weir lies as far below it as `drop` says */
  rim?: number;
  trip?: number;
  drop?: number;
  more?: Record<string, unknown>;
}

/** A pan, its trap, and further traps in line 0.2 m below one another, each with a pocket of air before it. */
const inLine = ({ seals, lengths = [], suction = 0, bore = 0.0261, rim, trip, drop = 0, more = {} }: Case) => {
  const pipe = (id: string, from: string, to: string, length: number) => ({
    id,
    from,
    to,
    length,
    insideDiameter: bore * 1000,
  });
  return {
    format: 1,
    id: "locked-air",
    units: "si",
    profile: "imc",
    stage: "design",
    nodes: [
      {
        id: "C",
        kind: "fan-coil",
        elevation: 3,
        panStatic: -suction * RHO_G,
        pan: rim === undefined ? {} : { rimHeight: rim * 1000 },
        coolingCapacity: 5,
      },
      { id: "T0", kind: "trap", elevation: 3 - drop, sealDepth: 60 },
      ...seals.map((seal, i) => ({
        id: `T${i + 1}`,
        kind: "trap",
        elevation: 3 - drop - 0.2 * (i + 1),
        sealDepth: seal * 1000,
        inletDrop: 190,
      })),
      { id: "O", kind: "outlet", elevation: 1, discharge: "floor-sink", connection: "air-gap" },
    ],
    pipes: [
      pipe("P0", "C", "T0", 0.2),
      ...seals.map((_, i) => pipe(`P${i + 1}`, `T${i}`, `T${i + 1}`, lengths[i] ?? 1)),
      pipe("PO", `T${seals.length}`, "O", 4),
    ],
    overflowDevices:
      trip === undefined ? [] : [{ id: "S", at: "C", type: "float-switch", tripHeight: trip * 1000, circuit: "K" }],
    circuits: trip === undefined ? [] : [{ id: "K", breaks: "supply", stops: ["C"] }],
    ...more,
  };
};

interface LockedAir {
  needed: number | null;
  neededCompressible: number | null;
  toOutlet: number | null;
  toTrip: number | null;
  toSpill: number | null;
  outcome: string | null;
  standing: number | null;
}

const auditOf = (document: unknown) => {
  const result = audit(document, { include: ["fanCoils"] });
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.audit;
};
const lockedAir = (document: unknown): LockedAir | null => {
  const coils = auditOf(document).facts?.fanCoils as readonly { lockedAir: LockedAir | null }[];
  return coils[0].lockedAir;
};

describe("head over locked air (sum of the seals' heads and the suction; gravity pipeline air-lock factsheet, hydrostatics)", () => {
  it.each([
    ["A080", [0.05], 0, 0.05],
    ["A081", [0.05, 0.03], 0.025, 0.105],
    ["A082", [0.1], 0, 0.1],
  ])("check value %s: seals %j m, suction %f m: %f m", (_row, seals, suction, head) => {
    expect(lockedAir(inLine({ seals, suction }))?.needed).toBeCloseTo(head, 10);
  });

  it.each([
    ["A083", 0.1, "drains-standing"],
    ["A084", 0.06, "overflows"],
  ])("check value %s: one seal of 50 mm and 25 mm of suction against a rim at %f m: %s", (_row, rim, outcome) => {
    const found = lockedAir(inLine({ seals: [0.05], suction: 0.025, rim }));
    expect(found?.outcome).toBe(outcome);
    expect(found?.needed).toBeCloseTo(0.075, 10);
    expect(found?.toSpill).toBeCloseTo(rim, 10);
  });

  it.each([
    ["A085", 1, 0.045612695],
    ["A086", 10, 0.02546177],
  ])("check value %s: a pocket of %f m before a seal of 50 mm, squeezed: %f m", (_row, length, head) => {
    const found = lockedAir(inLine({ seals: [0.05], lengths: [length] }));
    // the value is for water of 998.2 kg/m³; a network's weighs 0.15 % more
    expect(Math.abs((found?.neededCompressible ?? Number.NaN) / head - 1)).toBeLessThan(1e-3);
    expect(found?.needed).toBeCloseTo(0.05, 10);
  });

  it("fan pressure does not help, since the fan may be off", () => {
    expect(lockedAir(inLine({ seals: [0.05], suction: -0.03 }))?.needed).toBeCloseTo(0.05, 10);
  });

  it("a seal of unknown depth or an unknown static leaves the head unknown, and what it is held against known", () => {
    const document = inLine({ seals: [0.05], rim: 0.04 });
    for (const [index, field] of [
      [0, "panStatic"],
      [2, "sealDepth"],
    ] as const) {
      const nodes = structuredClone(document.nodes) as Record<string, unknown>[];
      delete nodes[index][field];
      const found = lockedAir({ ...document, nodes });
      expect(found).toMatchObject({ needed: null, neededCompressible: null, outcome: null, standing: null });
      expect(found?.toSpill).toBeCloseTo(0.04, 10);
    }
  });

  it("a waterless seal or check valve counts by the head that opens it: 400 Pa are 40.80 mm", () => {
    for (const sealType of ["waterless", "check-valve"]) {
      const document = inLine({ seals: [0.05] });
      const nodes = document.nodes.map((node) =>
        node.id === "T1" ? { id: "T1", kind: "trap", elevation: 2.8, inletDrop: 190, sealType, opensAt: 400 } : node,
      );
      expect(lockedAir({ ...document, nodes })?.needed).toBeCloseTo(400 / RHO_G, 10);
    }
  });

  it("the site's own pressure squeezes, and where none is stated the standard atmosphere is an assumption", () => {
    const high = inLine({ seals: [0.05], more: { site: { pressure: 70_000 } } });
    const sea = inLine({ seals: [0.05] });
    expect(lockedAir(high)?.neededCompressible).toBeLessThan(lockedAir(sea)?.neededCompressible ?? 0);
    const assumed = (document: unknown) =>
      auditOf(document).assumptions.filter(({ name }) => name === "atmospheric pressure");
    expect(assumed(sea)).toMatchObject([{ value: 101_325, unit: "Pa", appliesTo: ["C"] }]);
    expect(assumed(high)).toEqual([]);
  });

  it("is null where nothing is locked, and where the second seal holds no water", () => {
    const document = inLine({ seals: [0.05] });
    const withNode = (id: string, own: Record<string, unknown>) => ({
      ...document,
      nodes: document.nodes.map((node) => (node.id === id ? { ...node, ...own } : node)),
    });
    expect(lockedAir(document)).not.toBeNull();
    expect(lockedAir(withNode("T1", { primed: false }))).toBeNull();
    expect(lockedAir(withNode("T0", { primed: false }))).toBeNull();
    expect(lockedAir(inLine({ seals: [] }))).toBeNull();
  });
});

describe("outcomes, in their order", () => {
  // one seal of 50 mm behind the first, no suction: 50 mm needed above the first weir
  it.each([
    ["an outlet 50 mm above the weir", { drop: 0.05, rim: 0.03, trip: 0.02 }, "drains-dry", 0],
    ["an outlet 49 mm above it", { drop: 0.049, rim: 0.03, trip: 0.02 }, "drains-standing", 0.001],
    ["a switch just at the needed level", { drop: 0.02, rim: 0.04, trip: 0.03 }, "drains-standing", 0.03],
    ["a switch 1 mm below it", { drop: 0.02, rim: 0.04, trip: 0.029 }, "trips", null],
    ["a switch at the rim's own level", { drop: 0.02, rim: 0.025, trip: 0.025 }, "trips", null],
    ["a switch above the rim", { drop: 0.02, rim: 0.025, trip: 0.026 }, "overflows", null],
    ["a rim just at the needed level", { drop: 0.02, rim: 0.03 }, "drains-standing", 0.03],
    ["no known rim, and a switch below", { drop: 0.02, trip: 0.02 }, "trips", null],
    ["no known rim, and a switch above", { drop: 0.02, trip: 0.031 }, null, null],
    ["no known rim", { drop: 0.02 }, null, null],
    ["no known rim, but an outlet high enough", { drop: 0.06 }, "drains-dry", 0],
  ])("%s", (_what, own, outcome, standing) => {
    const found = lockedAir(inLine({ seals: [0.05], ...own }));
    expect(found?.outcome).toBe(outcome);
    if (standing === null) expect(found?.standing).toBeNull();
    else expect(found?.standing).toBeCloseTo(standing, 9);
  });

  it("an open second port below the rim spills first", () => {
    const document = inLine({ seals: [0.05], drop: 0.02, rim: 0.04 });
    const withPort = (secondary: Record<string, unknown>) => ({
      ...document,
      nodes: document.nodes.map((node) => (node.id === "C" ? { ...node, pan: { rimHeight: 40, secondary } } : node)),
    });
    expect(lockedAir(withPort({ height: 25, is: "open" }))).toMatchObject({ outcome: "overflows" });
    expect(lockedAir(withPort({ height: 25, is: "plugged" }))).toMatchObject({ outcome: "drains-standing" });
    expect(lockedAir(withPort({ is: "open" }))).toMatchObject({ toSpill: null, outcome: null });
  });

  it("a device that does not work, or stops another coil, is no switch", () => {
    const document = inLine({ seals: [0.05], drop: 0.02, rim: 0.04, trip: 0.01 });
    const [device] = document.overflowDevices;
    expect(lockedAir(document)?.outcome).toBe("trips");
    expect(lockedAir({ ...document, overflowDevices: [{ ...device, state: "jumpered" }] })).toMatchObject({
      toTrip: null,
      outcome: "drains-standing",
    });
    expect(lockedAir({ ...document, circuits: [{ id: "K", breaks: "alarm-only", stops: ["C"] }] })).toMatchObject({
      toTrip: null,
      outcome: "drains-standing",
    });
  });
});

/**
 * A filling, drop by drop. Water drips into the pan; what stands above the first weir by more than the suction and the
 * first pocket's pressure runs over it into the dip of the next seal, and so on. The dips begin dry (or full); each
 * pocket closes when water fills the dip behind it, and is squeezed at constant temperature from then on.
 * @returns level in the pan above the first weir when the first drop leaves the last seal, or NaN where the rim is met
 */
const simulate = (
  seals: readonly number[],
  lengths: readonly number[],
  { suction = 0, rim = Number.POSITIVE_INFINITY, full = false } = {},
): number => {
  // all per area of the bore; the pan is ten times as wide
  const drop = 2e-5;
  const panArea = 10;
  const water = seals.map((seal) => (full ? 2 * seal : 0));
  const gas = seals.map(() => 0);
  /** pressure heads of the pockets for the water in the dips, from the last upward; the atmosphere is 0 */
  const balance = (): void => {
    for (let k = seals.length - 1; k >= 0; k--) {
      const beyond = gas[k + 1] ?? 0;
      const squeezed = (rise: number): number =>
        (ATMOSPHERE * lengths[k]) / (lengths[k] - rise) / RHO_G - ATMOSPHERE / RHO_G;
      // the rise on the air's side at which both legs and both pressures balance; what passes the weir runs on
      const rest = full ? seals[k] : 0;
      let [low, high] = [-seals[k], Math.min(lengths[k], 2 * seals[k])];
      for (let i = 0; i < 60; i++) {
        const rise = (low + high) / 2;
        const outlet = Math.min(seals[k], water[k] - rise);
        if (outlet - rise + beyond > squeezed(rise - rest)) low = rise;
        else high = rise;
      }
      gas[k] = squeezed((low + high) / 2 - rest);
      const over = water[k] - (low + high) / 2 - seals[k];
      if (over > 1e-9) {
        water[k] -= over;
        if (k + 1 < seals.length) water[k + 1] += over;
        else flowing = true;
      }
    }
  };
  let flowing = false;
  let pan = 0;
  for (let drops = 0; drops < 5e6; drops++) {
    pan += drop / panArea;
    if (pan > rim) return Number.NaN;
    if (pan <= suction + gas[0]) continue;
    pan -= drop / panArea;
    water[0] += drop;
    balance();
    if (flowing) return pan;
  }
  throw new Error("the pan never filled");
};

describe("against a simulated filling", () => {
  it("26.1 mm bore, seal 50 mm, pocket 1 m, dry start: flow begins with the pan 45.6 mm over the weir", () => {
    const simulated = simulate([0.05], [1]);
    expect(simulated).toBeCloseTo(0.0456, 4);
    expect(lockedAir(inLine({ seals: [0.05], lengths: [1] }))?.neededCompressible).toBeCloseTo(simulated, 4);
  });

  it("with the rim 40 mm over the weir it spills; where the seal is full before the pocket closes it flows at once", () => {
    expect(simulate([0.05], [1], { rim: 0.04 })).toBeNaN();
    expect(lockedAir(inLine({ seals: [0.05], lengths: [1], rim: 0.04 }))?.outcome).toBe("overflows");
    expect(simulate([0.05], [1], { full: true })).toBeLessThan(1e-4);
  });

  it("one pocket: the milder figure is what the filling comes to, and the rigid one bounds it", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 10, max: 80 }),
        fc.integer({ min: 3, max: 80 }),
        fc.integer({ min: 0, max: 30 }),
        (seal, length, suction) => {
          const own = { seals: [seal / 1000], lengths: [length / 10], suction: suction / 1000 };
          const found = lockedAir(inLine(own));
          const simulated = simulate(own.seals, own.lengths, { suction: own.suction });
          expect(Math.abs((found?.neededCompressible ?? 0) - simulated)).toBeLessThan(1e-4);
          expect(found?.needed).toBeGreaterThan(simulated - 1e-5);
        },
      ),
      { numRuns: 15, seed: 20261125 },
    );
  });

  it("two pockets in series: the milder figure bounds the filling, and the rigid one both", () => {
    fc.assert(
      fc.property(
        fc.tuple(fc.integer({ min: 10, max: 60 }), fc.integer({ min: 10, max: 60 })),
        fc.tuple(fc.integer({ min: 3, max: 40 }), fc.integer({ min: 3, max: 40 })),
        (seals, lengths) => {
          const own = { seals: seals.map((mm) => mm / 1000), lengths: lengths.map((dm) => dm / 10) };
          const found = lockedAir(inLine(own));
          const simulated = simulate(own.seals, own.lengths);
          expect(found?.neededCompressible).toBeGreaterThan(simulated - 1e-4);
          expect(found?.needed).toBeGreaterThan(found?.neededCompressible ?? Number.NaN);
        },
      ),
      { numRuns: 10, seed: 20261125 },
    );
  });
});
