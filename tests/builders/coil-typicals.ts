import type { Element, Typical } from "./network-document.js";

/** What can be wrong with one dwelling's coil, branch or vent. */
export const UNIT_FAULTS = [
  "no-trap",
  "no-branch-vent",
  "capped-vent",
  "low-vent",
  "flat-branch",
  "back-fall",
  "sealing-sag",
  "second-trap",
  "reduction",
  "large-outlet",
  "vent-before-trap",
  "open-second-port",
  "no-outlet",
] as const;
export type UnitFault = (typeof UNIT_FAULTS)[number];

/** Each dwelling has a coil over its living room and one over its bedroom. */
export type Room = "living" | "bedroom";

/** A dwelling's coils by room: capacities (W), pan above the floor, and the fall from the vented tee to the riser's wye (m). */
export const ROOMS = {
  living: { capacities: [5000, 5300, 6200], above: 2.8, branchFall: 0.086, shortest: 2.4 },
  bedroom: { capacities: [3200, 3500, 4100], above: 2.62, branchFall: 0.076, shortest: 2 },
} as const;

/** Levels below the pan's outlet, m. */
export const WEIR = -0.059;
export const TEE = -0.067;

const trap = (surveyed: boolean): Element => ({
  id: "trap",
  kind: "trap",
  elevation: WEIR,
  sealDepth: 50,
  inletDrop: 45,
  removable: true,
  ...(surveyed ? { primed: true } : {}),
});

const drain = (id: string, from: string, to: string, length: number): Element => ({
  id,
  from,
  to,
  size: 20,
  material: "pvc-sch40",
  length,
  supportSpacing: 0.9,
  insulation: { thickness: 13, conductivity: 0.036 },
});

/** A switch in the pan, 25 mm above its outlet, that closes the chilled-water valve and stops the fan. */
const panSwitch = (surveyed: boolean): Pick<Typical, "overflowDevices" | "circuits"> => ({
  overflowDevices: [
    {
      id: "switch",
      at: "coil",
      type: "float-switch",
      seat: "primary-pan",
      tripHeight: 25,
      contact: "nc",
      latches: true,
      ...(surveyed ? { state: "working" } : {}),
      circuit: "circuit",
    },
  ],
  circuits: [{ id: "circuit", arrangement: "series", breaks: "valve-and-fan", stops: ["coil"] }],
});

const coil = (surveyed: boolean, fields: object): Element => ({
  id: "coil",
  kind: "fan-coil",
  elevation: 0,
  cooling: "chilled-water",
  fanPosition: "draw-through",
  connectedPort: "primary",
  location: "ceiling",
  filterAccessClear: true,
  ...fields,
  ...(surveyed ? { connection: { threadSealant: "non-hardening", cemented: false, handTight: true } } : {}),
});

/**
 * A dwelling's coil with its trap, its vented tee and the branch to its joint `main`. Levels are above the pan's outlet.
 * Capacity, static pressure and the branch's length are each placement's own.
 */
export const dwellingCoil = (room: Room, surveyed: boolean): Typical => ({
  name: `${room === "living" ? "Living room" : "Bedroom"} coil`,
  joints: ["main"],
  nodes: [
    coil(surveyed, {
      unitType: "ducted",
      sensibleHeatRatio: 0.74,
      pan: {
        rimHeight: 50,
        area: 0.36,
        outletSize: 20,
        outletMaterial: "pvc-sch40",
        secondary: { height: 40, is: "plugged" },
      },
      ...(room === "living" ? { trapRequirement: { drop: 40, sealDepth: 38 } } : {}),
    }),
    trap(surveyed),
    { id: "tee", kind: "point", elevation: TEE, vent: { top: 0.2, size: 20 } },
  ],
  pipes: [
    drain("piece", "coil", "trap", 0.4),
    drain("arm", "trap", "tee", 0.3),
    drain("branch", "tee", "main", ROOMS[room].shortest),
  ],
  ...panSwitch(surveyed),
});

/** A cassette of the ground floor with trap, vented tee and branch. */
export const cassette = (surveyed: boolean): Typical => {
  const trapless = traplessCassette(surveyed);
  return {
    ...trapless,
    name: "Ground floor coil",
    nodes: [
      ...trapless.nodes,
      trap(surveyed),
      { id: "tee", kind: "point", elevation: TEE, vent: { top: 0.2, size: "3/4 in" } },
    ],
    pipes: [drain("piece", "coil", "trap", 0.4), drain("arm", "trap", "tee", 0.3), drain("branch", "tee", "main", 2)],
  };
};

/** A cassette at room pressure, whose drain needs no trap. */
export const traplessCassette = (surveyed: boolean): Typical => ({
  name: "Ground floor coil without a trap",
  joints: ["main"],
  nodes: [
    coil(surveyed, {
      unitType: "cassette",
      sensibleHeatRatio: 0.72,
      panStatic: 0,
      pan: { rimHeight: 50, area: 0.3, outletSize: "3/4 in", outletMaterial: "pvc-sch40", secondary: { is: "none" } },
    }),
  ],
  pipes: [drain("branch", "coil", "main", 2)],
  ...panSwitch(surveyed),
});

/** Nominal size of most of a riser; its top and its foot differ. */
export const USUAL_RISER_SIZE = 32;

/** Where a level switch of a common drain trips, over the invert, mm. */
const DRAIN_TRIP = 60;

/** A switch in a common drain that stops every coil above it before a pan spills. */
export const drainSwitch = (at: string, surveyed: boolean): Pick<Typical, "overflowDevices" | "circuits"> => ({
  overflowDevices: [
    {
      id: `${at}-level`,
      at,
      type: "float-switch",
      seat: "main",
      tripHeight: DRAIN_TRIP,
      contact: "nc",
      latches: true,
      ...(surveyed ? { state: "working" } : {}),
      circuit: `${at}-stop`,
    },
  ],
  circuits: [{ id: `${at}-stop`, arrangement: "series", breaks: "valve-and-fan", stops: "all-upstream" }],
});

/**
 * One storey of a riser: the wyes of both coils, the pipe between them, and the pipe to the next storey's. Where it is watched,
 * each wye has a level switch.
 */
export const riserStorey = (height: number, surveyed: boolean, watched: boolean): Typical => {
  const wye = (room: Room): Element => ({
    id: `wye-${LETTER[room]}`,
    kind: "junction",
    fitting: "wye",
    elevation: wyeAbove(room),
    accessible: true,
  });
  const pipe = (id: string, from: string, to: string, length: number): Element => ({
    id,
    from,
    to,
    size: USUAL_RISER_SIZE,
    material: "pvc-sch40",
    length: millimetres(length),
    space: "shaft",
    supportSpacing: 3,
    insulation: { thickness: 13, conductivity: 0.036 },
  });
  const between = wyeAbove("living") - wyeAbove("bedroom");
  const switches = watched ? ["wye-A", "wye-B"].map((at) => drainSwitch(at, surveyed)) : [];
  return {
    name: "Riser through one storey",
    joints: ["below"],
    nodes: [wye("living"), wye("bedroom")],
    pipes: [pipe("upper", "wye-A", "wye-B", between), pipe("lower", "wye-B", "below", height - between)],
    ...(watched
      ? {
          overflowDevices: switches.flatMap(({ overflowDevices }) => overflowDevices!),
          circuits: switches.flatMap(({ circuits }) => circuits!),
        }
      : {}),
  };
};

/** What a room's coil is called in ids. */
export const LETTER = { living: "A", bedroom: "B" } as const;

const millimetres = (metres: number): number => Math.round(metres * 1000) / 1000;
/** Level of a room's wye above the floor. */
export const wyeAbove = (room: Room): number => millimetres(ROOMS[room].above + TEE - ROOMS[room].branchFall);

/** The same coil with something wrong. */
export const faultyCoil = (room: Room, surveyed: boolean, fault: UnitFault): Typical => {
  const typical = dwellingCoil(room, surveyed);
  const { branchFall } = ROOMS[room];
  const part = (id: string): Element => [...typical.nodes, ...typical.pipes].find((each) => each.id === id)!;
  const addPoint = (id: string, elevation: number, more: object = {}): void => {
    typical.nodes.push({ id, kind: "point", elevation: millimetres(elevation), ...more });
  };
  const long = part("branch").length as number;
  /** The branch ends at a further node, and goes on from there. */
  const splitBranch = (at: string, before: number, after: number): void => {
    Object.assign(part("branch"), { to: at, length: millimetres(before) });
    typical.pipes.push(drain("rest", at, "main", millimetres(after)));
  };
  switch (fault) {
    case "no-trap":
      typical.nodes = typical.nodes.filter(({ id }) => id !== "trap");
      typical.pipes = typical.pipes.filter(({ id }) => id !== "arm");
      Object.assign(part("piece"), { to: "tee", length: 0.7 });
      break;
    case "no-branch-vent":
      delete part("tee").vent;
      break;
    case "capped-vent":
      part("tee").vent = { ...(part("tee").vent as object), capped: true };
      break;
    case "low-vent":
      part("tee").vent = { ...(part("tee").vent as object), top: 0.01 };
      break;
    case "flat-branch":
      addPoint("drop", TEE - 0.005);
      splitBranch("drop", long, branchFall - 0.005);
      break;
    case "back-fall":
      addPoint("low", TEE - branchFall - 0.012);
      splitBranch("low", long - 1, 1);
      break;
    case "sealing-sag":
      addPoint("sag", TEE - 0.032);
      Object.assign(part("arm"), { to: "sag", length: 0.6 });
      typical.pipes.push(drain("arm-2", "sag", "tee", 0.6));
      break;
    case "second-trap":
      // lower than the first by its own step: what is left of the fall then stands in the branch
      typical.nodes.push({ ...trap(surveyed), id: "trap-2", elevation: millimetres(WEIR - 0.03), inletDrop: 15 });
      Object.assign(part("arm"), { to: "trap-2", length: 0.5 });
      typical.pipes.push(drain("arm-2", "trap-2", "tee", 0.3));
      part("tee").elevation = millimetres(TEE - 0.03);
      break;
    case "reduction":
      for (const id of ["piece", "arm"]) part(id).size = 25;
      break;
    case "large-outlet":
      part("coil").pan = { ...(part("coil").pan as object), outletSize: 25 };
      break;
    case "vent-before-trap":
      addPoint("early", -0.007, { vent: { top: 0.2, size: 20 } });
      Object.assign(part("piece"), { to: "early", length: 0.2 });
      typical.pipes.push(drain("piece-2", "early", "trap", 0.2));
      break;
    case "open-second-port":
      part("coil").pan = { ...(part("coil").pan as object), secondary: { height: 40, is: "open" } };
      break;
    case "no-outlet":
      addPoint("end", TEE - branchFall);
      part("branch").to = "end";
      delete typical.joints;
      break;
  }
  return { ...typical, name: `${typical.name}: ${fault.replaceAll("-", " ")}` };
};
