// Three dwellings, one above the other, on one riser and one main: small enough to follow by hand.
//
//   F-3 (0301, pan at 9.00) --B-3--> J-3
//                                     | R-3
//   F-2 (0201, pan at 6.00) --B-2--> J-2
//                                     | R-2
//   F-1 (0101, pan at 3.00) --B-1--> J-1
//                                     | R-1
//                                     B --M--> OUT (0.40)
//
// Pans are 50 mm deep, at rest, without traps. Each has a switch 40 mm up that stops its own coil alone.

const STORIES = [3, 2, 1];

export const riserOfThree = () => ({
  format: 1,
  id: "three-stories",
  name: "Three Stories",
  units: "si",
  profile: "imc",
  stage: "in-service",
  floors: STORIES.map((n) => ({ id: `L${n}`, name: `Level ${n}`, elevation: 3 * n - 2.5 })),
  owners: [{ id: "association" }],
  site: { humid: true, freezes: false, idleDays: 100, surveyTolerance: 0 },
  nodes: [
    ...STORIES.flatMap((n): Record<string, unknown>[] => [
      {
        id: `F-${n}`,
        kind: "fan-coil",
        floor: `L${n}`,
        elevation: 3 * n,
        serves: `0${n}01`,
        dwelling: `0${n}01`,
        condensateRate: n,
        panStatic: 0,
        fanPosition: "draw-through",
        pan: { rimHeight: 50, outletSize: 20, secondary: { is: "plugged", height: 45 } },
        connectedPort: "primary",
      },
      { id: `J-${n}`, kind: "junction", floor: `L${n}`, elevation: 3 * n - 0.06, zone: "common", owner: "association" },
    ]),
    {
      id: "B",
      kind: "bend",
      angle: 90,
      elevation: 0.5,
      zone: "common",
      owner: "association",
      cleanout: { opening: 80, capped: true },
    } as Record<string, unknown>,
    { id: "OUT", kind: "outlet", elevation: 0.4, discharge: "floor-sink", connection: "air-gap", airGap: 50 },
  ] as Record<string, unknown>[],
  pipes: [
    ...STORIES.flatMap((n): Record<string, unknown>[] => [
      { id: `B-${n}`, from: `F-${n}`, to: `J-${n}`, length: 3, size: 20, material: "pvc-sch40" },
      {
        id: `R-${n}`,
        from: `J-${n}`,
        to: n === 1 ? "B" : `J-${n - 1}`,
        length: n === 1 ? 2.44 : 3,
        size: 32,
        material: "pvc-sch40",
        zone: "common",
        owner: "association",
        space: "shaft",
      },
    ]),
    {
      id: "M",
      from: "B",
      to: "OUT",
      length: 5,
      size: 32,
      material: "pvc-sch40",
      zone: "common",
      owner: "association",
    },
  ] as Record<string, unknown>[],
  overflowDevices: STORIES.map(
    (n): Record<string, unknown> => ({
      id: `SW-${n}`,
      at: `F-${n}`,
      type: "float-switch",
      seat: "primary-pan",
      tripHeight: 40,
      contact: "nc",
      state: "working",
      latches: true,
      circuit: `C-${n}`,
    }),
  ),
  circuits: STORIES.map(
    (n): Record<string, unknown> => ({
      id: `C-${n}`,
      devices: [`SW-${n}`],
      breaks: "R",
      stops: [`F-${n}`],
    }),
  ),
});
