/** A document of plain JSON values that may be changed at will. */
export interface Loose {
  [key: string]: unknown;
  units: string;
  stage: string;
  floors: Record<string, unknown>[];
  owners: Record<string, unknown>[];
  site: Record<string, unknown>;
  nodes: Record<string, unknown>[];
  pipes: Record<string, unknown>[];
  overflowDevices: Record<string, unknown>[];
  circuits: Record<string, unknown>[];
}

/** Where things stand in `soundDocument`, for pointers. */
export const AT = {
  coil: 0,
  trap: 1,
  junction: 2,
  vent: 3,
  cleanout: 4,
  pump: 5,
  outlet: 6,
  reducer: 7,
  bend: 8,
} as const;
export const PIPE = {
  coilTrap: 0,
  trapJunction: 1,
  junctionReducer: 2,
  vent: 3,
  cleanout: 4,
  bendPump: 5,
  lift: 6,
  reducerBend: 7,
} as const;

/**
 * A sound document in SI with one node of nearly each kind: coil → trap → junction (with a vent and a cleanout) →
 * reducer → bend → pump → outlet. Levels to the millimetre, design stage.
 */
export const soundDocument = (): Loose => ({
  format: 1,
  id: "quill-row",
  name: "Quill Row",
  units: "si",
  profile: "imc",
  stage: "design",
  floors: [
    { id: "L1", name: "Level 1", elevation: 0 },
    { id: "L2", elevation: 3.2 },
  ],
  owners: [{ id: "house" }, { id: "0201", name: "Flat 0201" }],
  site: { humid: true, freezes: false, idleDays: 150, indoorAir: { dryBulb: 24, relativeHumidity: 0.55 } },
  nodes: [
    {
      id: "F-1",
      kind: "fan-coil",
      elevation: { floor: "L2", above: 2.6 },
      floor: "L2",
      owner: "0201",
      coolingCapacity: 3.5,
      condensateRate: 1.2,
      fanPosition: "draw-through",
      panStatic: -120,
      pan: { rimHeight: 45, outletSize: 20, secondary: { height: 19, is: "switch" } },
    },
    { id: "T-1", kind: "trap", elevation: 5.72, sealDepth: 50, inletDrop: 25 },
    { id: "J-1", kind: "junction", elevation: 5.7 },
    { id: "V-1", kind: "vent", elevation: 6.1 },
    { id: "C-1", kind: "cleanout", elevation: 5.7, opening: 80 },
    { id: "PU-1", kind: "pump", elevation: 5.5, liftTo: 6.5 },
    { id: "O-1", kind: "outlet", elevation: 6.4 },
    { id: "R-1", kind: "reducer", elevation: 5.68 },
    { id: "B-1", kind: "bend", elevation: 5.6, angle: 90 },
  ],
  pipes: [
    { id: "P-1", from: "F-1", to: "T-1", size: 20, material: "pvc-sch40", length: 0.5 },
    { id: "P-2", from: "T-1", to: "J-1", size: 20, material: "pvc-sch40", length: 1 },
    { id: "P-3", from: "J-1", to: "R-1", size: 20, material: "pvc-sch40", length: 1 },
    { id: "P-4", from: "J-1", to: "V-1", size: 20, role: "vent", length: 0.4 },
    { id: "P-5", from: "C-1", to: "J-1", size: 20, length: 0.3 },
    { id: "P-6", from: "B-1", to: "PU-1", size: 25, length: 2 },
    { id: "P-7", from: "PU-1", to: "O-1", size: 15, role: "pressure", length: 2 },
    { id: "P-8", from: "R-1", to: "B-1", size: 25, length: 2 },
  ],
  overflowDevices: [
    { id: "S-1", at: "F-1", type: "float-switch", seat: "secondary-port", tripHeight: 19, circuit: "CI-1" },
    { id: "S-2", at: "J-1", type: "water-sensor", tripElevation: 5.75 },
  ],
  circuits: [{ id: "CI-1", devices: ["S-1"], breaks: "R", stops: ["F-1"] }],
});
