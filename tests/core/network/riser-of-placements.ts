/** A riser with a junction on each floor, and one typical coil that is placed on them. */
export const riser = (placements: unknown[]): Record<string, unknown> => ({
  format: 1,
  id: "weir-lane",
  units: "si",
  profile: "imc",
  stage: "design",
  floors: [
    { id: "L2", elevation: 3 },
    { id: "L3", elevation: 6 },
    { id: "L4", elevation: 9 },
  ],
  nodes: [
    { id: "R-L4", kind: "junction", elevation: { floor: "L4", above: 2.5 } },
    { id: "R-L3", kind: "junction", elevation: { floor: "L3", above: 2.5 } },
    { id: "R-L2", kind: "junction", elevation: { floor: "L2", above: 2.5 } },
    { id: "O", kind: "outlet", elevation: 0.2 },
  ],
  pipes: [
    { id: "R4", from: "R-L4", to: "R-L3", size: 40, length: 3 },
    { id: "R3", from: "R-L3", to: "R-L2", size: 40, length: 3 },
    { id: "R2", from: "R-L2", to: "O", size: 40, length: 5.3 },
  ],
  typicals: {
    unit: {
      name: "One coil",
      joints: ["main"],
      nodes: [
        { id: "coil", kind: "fan-coil", elevation: 0.1, coolingCapacity: 3.5, x: 1, y: 2 },
        { id: "trap", kind: "trap", elevation: { node: "coil", above: -0.08 }, sealDepth: 50, vent: { top: "400 mm" } },
      ],
      pipes: [
        { id: "a", from: "coil", to: "trap", size: 20, length: 0.4 },
        { id: "b", from: "trap", to: "main", size: 20, length: 2 },
      ],
      overflowDevices: [{ id: "switch", at: "coil", type: "float-switch", tripElevation: 0.13, circuit: "loop" }],
      circuits: [{ id: "loop", breaks: "R", stops: ["coil"] }],
    },
  },
  placements,
});
/** The coil on the top floor. */
export const one = { typical: "unit", id: "A", at: { floor: "L4", above: 2.6 }, joins: { main: "R-L4" } };
