import { type Element, type NetworkDocument, type Placement, type Typical, toMillimetre } from "./network-document.js";
import { tower } from "./tower.js";

/** The scenario's tower: 12 storeys of dwellings above a ground floor, four risers, 96 + 5 coils. */
const REEDLIGHT = {
  id: "reedlight-tower",
  storeys: 12,
  risers: 4,
  seed: 20261,
  alike: true,
  amenities: true,
  watched: true,
} as const;

export const designTower = (): NetworkDocument => tower({ ...REEDLIGHT, name: "Reedlight Tower, Quillmere" });

/** The same tower as it stands once everything is put right, surveyed. */
export const refittedTower = (): NetworkDocument => standing("Reedlight Tower, Quillmere, refitted");

const standing = (name: string): NetworkDocument =>
  tower({ ...REEDLIGHT, name, stage: "as-built", surveyTolerance: 0.002 });

/** The same tower as a surveyor found it: every fault of it told in `tower-as-surveyed.plants.json`. */
export const surveyedTower = (): NetworkDocument => {
  const document = standing("Reedlight Tower, Quillmere, as surveyed");
  const site = new Site(document);
  for (const plant of plants) plant(site);
  return document;
};

/** Edits by id, in the words of somebody who rebuilds a drain. A unit is a coil's placement, such as `0901-A`. */
class Site {
  readonly typicals: Record<string, Typical>;
  readonly placements: Placement[];

  constructor(readonly document: NetworkDocument) {
    this.typicals = document.typicals!;
    this.placements = document.placements!;
  }

  node(id: string): Element {
    return found(this.document.nodes, id);
  }
  pipe(id: string): Element {
    return found(this.document.pipes, id);
  }
  /** A unit's placement; it is taken out of those that are placed alike. */
  unit(id: string): Placement {
    const known = this.placements.find((placement) => placement.id === id);
    if (known !== undefined) return known;
    for (const [index, group] of this.placements.entries()) {
      const floor = group.repeat?.floors.find((each) => group.id.replaceAll("{floor}", each) === id);
      if (floor === undefined) continue;
      group.repeat!.floors = group.repeat!.floors.filter((each) => each !== floor);
      const { repeat: _, ...alone } = JSON.parse(JSON.stringify(group).replaceAll("{floor}", floor)) as Placement;
      this.placements.splice(index + 1, 0, alone);
      return alone;
    }
    throw new Error(`the tower has no unit ${id}`);
  }
  /** Gives parts of a unit other fields than the typical's; null takes one away. */
  set(id: string, settings: Record<string, Record<string, unknown>>): void {
    const unit = this.unit(id);
    unit.set ??= {};
    for (const [part, fields] of Object.entries(settings)) unit.set[part] = { ...unit.set[part], ...fields };
  }
  /** Makes a unit one of a kind of its own. */
  rebuild(id: string, typical: string, name: string, edit: (built: Typical) => void): void {
    const unit = this.unit(id);
    const built = structuredClone(this.typicals[unit.typical]!);
    edit(built);
    built.name = name;
    this.typicals[typical] = built;
    unit.typical = typical;
  }
  /** What a unit's branch joins. */
  mainOf(id: string): string {
    return this.unit(id).joins!.main as string;
  }
  /**
   * Ends a unit's branch at a node of the document's own, `<unit>/<name>`, from where a pipe `<unit>/rest` goes on to what the
   * branch joined.
   */
  branchVia(id: string, name: string, node: Record<string, unknown>, rest: Record<string, unknown> | null): void {
    const unit = this.unit(id);
    const main = this.mainOf(id);
    const via = `${id}/${name}`;
    const { floor } = unit.at as { floor: string };
    const { dwelling, zone, owner } = unit;
    unit.joins = { main: via };
    this.document.nodes.push({ id: via, kind: "point", floor, dwelling, zone, owner, ...node });
    if (rest !== null)
      this.document.pipes.push({ id: `${id}/rest`, from: via, to: main, ...PIECE, zone, owner, ...rest });
  }
}

const PIECE = {
  size: 20,
  material: "pvc-sch40",
  supportSpacing: 0.9,
  insulation: { thickness: 13, conductivity: 0.036 },
};

const found = <T extends { id: string }>(elements: readonly T[], id: string): T => {
  const element = elements.find((candidate) => candidate.id === id);
  if (element === undefined) throw new Error(`the tower has no ${id}`);
  return element;
};

const plants: readonly ((site: Site) => void)[] = [
  // back-fall: the last metre of the branch rises 12 mm into the riser
  (site) => {
    site.set("0901-A", { branch: { length: 1.6 } });
    site.branchVia("0901-A", "low", { elevation: { node: site.mainOf("0901-A"), above: -0.012 } }, { length: 1 });
  },
  // flat branch: 13 mm over 2.7 m, then a drop into the riser
  (site) =>
    site.branchVia(
      "0802-B",
      "drop",
      { kind: "bend", angle: 90, elevation: { node: "0802-B/tee", above: -0.005 } },
      { length: 0.071 },
    ),
  // a coupling cut in 14 mm too high: water stands before its lip
  (site) => {
    site.set("0704-A", { branch: { length: 2.2 } });
    site.branchVia(
      "0704-A",
      "coupling",
      { elevation: { node: site.mainOf("0704-A"), above: 0.02 } },
      { length: 1, fromInvert: { node: "0704-A/coupling", above: 0.014 } },
    );
  },
  // trap hung with its weir 4 mm above the pan outlet
  (site) =>
    site.set("0604-A", {
      trap: { elevation: 0.004, inletDrop: null },
      piece: { toInvert: -0.012 },
      tee: { elevation: -0.006 },
    }),
  // sag of 32 mm between the trap and the vented tee
  (site) =>
    site.rebuild("0401-B", "bedroom-sagging", "Bedroom coil, its drain sagging behind the trap", (built) => {
      const arm = found(built.pipes, "arm");
      built.nodes.push({ id: "sag", kind: "point", elevation: -0.099 });
      built.pipes.push({ ...arm, id: "arm-2", from: "sag" });
      arm.to = "sag";
    }),
  // a second trap in the same branch
  (site) => {
    site.rebuild("0602-A", "living-two-traps", "Living room coil with two traps", (built) => {
      const trap = found(built.nodes, "trap");
      const arm = found(built.pipes, "arm");
      built.nodes.push({ ...trap, id: "trap-2", elevation: -0.125 });
      built.pipes.push({ ...arm, id: "arm-2", from: "trap-2" });
      Object.assign(arm, { to: "trap-2", length: 0.5 });
      found(built.nodes, "tee").elevation = -0.133;
    });
    site.set("0602-A", { branch: { length: 0.7 } });
  },
  // no trap under a fan that sucks
  (site) =>
    site.rebuild("1003-A", "living-without-trap", "Living room coil without a trap", (built) => {
      built.nodes = built.nodes.filter(({ id }) => id !== "trap");
      built.pipes = built.pipes.filter(({ id }) => id !== "arm");
      Object.assign(found(built.pipes, "piece"), { to: "tee", length: 0.7 });
    }),
  // no trap under a fan that blows
  (site) => {
    const lobby = site.unit("G5");
    const { floor, above } = lobby.at as { floor: string; above: number };
    const { zone, owner } = lobby;
    const tee = toMillimetre(above - 0.067);
    site.document.nodes.push({
      id: "G5/tee",
      kind: "point",
      elevation: tee,
      floor,
      zone,
      owner,
      vent: { top: toMillimetre(tee + 0.267), size: "3/4 in" },
    });
    const { node, above: entry } = lobby.joins!.main as { node: string; above: number };
    const toInvert = { node, above: entry };
    site.document.pipes.push({ id: "G5/rest", from: "G5/tee", to: node, ...PIECE, zone, owner, length: 3, toInvert });
    lobby.typical = "cassette-without-trap";
    lobby.joins = { main: "G5/tee" };
    site.set("G5", { branch: { length: 0.7 } });
  },
  // the gymnasium's two cassettes on one trap
  (site) => {
    const { zone, owner, floor } = site.node("J-GYM");
    // the main's wye stands 6 mm below the foot of riser 1, the drain enters 30 mm above it and falls 43 mm
    const vented = toMillimetre((site.node("B-01").elevation as number) - 0.006 + 0.03 + 0.043);
    const weir = toMillimetre(vented + 0.008);
    const inlet = toMillimetre(weir + 0.045 + 0.015);
    for (const id of ["G1", "G2"]) {
      const unit = site.unit(id);
      unit.typical = "cassette-without-trap";
      unit.joins = { main: { node: "J-GYM", above: 0.008 } };
    }
    const vent = { top: toMillimetre(vented + 0.35), size: "3/4 in" };
    // the pans stand at room pressure, so a vent on their side of the trap does no harm
    Object.assign(site.node("J-GYM"), { elevation: inlet, vent });
    const last = site.pipe("P-GYM");
    const { insulation, supportSpacing, size, material } = last;
    const piece = { size, material, zone, owner, supportSpacing, insulation };
    site.document.nodes.push(
      { id: "T-GYM", kind: "trap", elevation: weir, floor, zone, owner, ...TRAP },
      { id: "V-GYM", kind: "point", elevation: vented, floor, zone, owner, vent },
    );
    site.document.pipes.push(
      { id: "P-GYM1", from: "J-GYM", to: "T-GYM", length: 0.4, ...piece },
      { id: "P-GYM2", from: "T-GYM", to: "V-GYM", length: 0.3, ...piece },
    );
    Object.assign(last, { from: "V-GYM", length: 1.6 });
  },
  // no vent on the branch
  (site) => site.set("1104-B", { tee: { vent: null } }),
  // vent capped
  (site) => site.set("0304-A", { tee: { vent: { capped: true } } }),
  // vent cut off 15 mm below the level at which the pan's switch trips
  (site) => site.set("0203-B", { tee: { vent: { top: 0.01 } } }),
  // open vent on the pan's side of the trap
  (site) =>
    site.rebuild("0902-B", "bedroom-vented-pan", "Bedroom coil with a vent on the pan's side of its trap", (built) => {
      const piece = found(built.pipes, "piece");
      built.nodes.push({ id: "early", kind: "point", elevation: -0.007, vent: { top: 0.2, size: 20 } });
      built.pipes.push({ ...piece, id: "piece-2", from: "early", length: 0.2 });
      Object.assign(piece, { to: "early", length: 0.2 });
    }),
  // plug of the pan's second port missing
  (site) => site.set("0501-B", { coil: { pan: { secondary: { is: "open" } } } }),
  // vent led over a beam and down again by 2.5 mm, found with a spirit level
  (site) => {
    const { dwelling, zone, owner } = site.unit("0703-B");
    site.set("0703-B", { tee: { vent: null } });
    const above = (height: number) => ({ node: "0703-B/coil", above: height });
    const here = { floor: "07", dwelling, zone, owner };
    const vent = { size: 20, material: "pvc-sch40", role: "vent", zone, owner };
    site.document.nodes.push(
      { id: "0703-B/beam-1", kind: "point", elevation: above(0.15), tolerance: 0, ...here },
      { id: "0703-B/beam-2", kind: "point", elevation: above(0.1475), tolerance: 0, ...here },
      { id: "0703-B/vent", kind: "vent", elevation: above(0.25), ...here },
    );
    site.document.pipes.push(
      { id: "0703-B/vent-1", from: "0703-B/tee", to: "0703-B/beam-1", length: 0.217, ...vent },
      { id: "0703-B/vent-2", from: "0703-B/beam-1", to: "0703-B/beam-2", length: 0.8, ...vent },
      { id: "0703-B/vent-3", from: "0703-B/beam-2", to: "0703-B/vent", length: 0.1025, ...vent },
    );
  },
  // reading room: the shared drain never got its vent
  (site) => {
    delete site.node("J-READ").vent;
  },
  // riser 2 rebuilt in 3/4 in below level 2
  (site) => {
    for (const id of ["R2-02", "R2-01"]) site.set(id, { upper: { size: 20 }, lower: { size: 20 } });
  },
  // branch begun in 1 in, finished in 3/4 in
  (site) => site.set("0803-B", { piece: { size: 25 }, arm: { size: 25 } }),
  // unit with a 1 in outlet on a 3/4 in drain
  (site) => site.set("0204-A", { coil: { pan: { outletSize: 25 } } }),
  // a second way out of the main, to a drain in the floor
  (site) => {
    const { elevation, floor, zone, owner } = site.node("MC-03");
    site.document.pipes.push({
      id: "S-1",
      from: "MC-03",
      to: "O-S",
      size: 50,
      material: "pvc-sch40",
      length: toMillimetre((elevation as number) - 0.2),
      zone,
      owner,
      space: "shaft",
    });
    site.document.nodes.push({
      id: "O-S",
      kind: "outlet",
      elevation: 0.2,
      floor,
      zone,
      owner,
      accessible: true,
      discharge: "floor-drain",
      // and joined to its pipe instead of led over it
      connection: "direct",
      receptor: { rim: 0, trapped: true, accessible: true, spillHarmless: true },
    });
  },
  // the floor sink was replaced by a higher one, and boxed in
  (site) => {
    Object.assign(site.node("O-01"), {
      airGap: 90,
      receptor: { rim: 0.11, trapped: true, accessible: false, spillHarmless: true },
    });
  },
  // reading room: the mop sink has silted up, and the drain, lengthened into it, ends in its water
  (site) => {
    const sink = site.node("O-READ");
    delete sink.airGap;
    Object.assign(sink, { elevation: 0.57, connection: "air-break", waterLevel: 0.59 });
    site.pipe("P-READ2").length = 2.522;
  },
  // stub of a coil that was taken away
  (site) => {
    const wye = "R1-11/wye-B";
    const here = { zone: "private", owner: "1101" };
    site.document.nodes.push({
      id: "D-1101",
      kind: "point",
      elevation: { node: wye, above: 0.045 },
      floor: "11",
      dwelling: "1101",
      ...here,
    });
    site.document.pipes.push({
      id: "PD-1101",
      from: "D-1101",
      to: wye,
      size: 20,
      material: "pvc-sch40",
      length: 1.5,
      ...here,
    });
  },
  // branch that ends above the ceiling
  (site) => site.branchVia("0503-A", "end", { elevation: { node: site.mainOf("0503-A"), above: 0 } }, null),
  // sleeve through a beam, too high for what must fall before it
  (site) => {
    site.set("1101-A", {
      coil: { panStatic: -150 },
      trap: { elevation: -0.021, inletDrop: 9 },
      tee: { elevation: -0.029 },
      branch: { length: 0.4 },
    });
    site.branchVia(
      "1101-A",
      "sleeve",
      { elevation: { node: "1101-A/coil", above: -0.04 }, fixed: true },
      { length: 2.2 },
    );
  },
  // lip of 8 mm in the main
  (site) => Object.assign(site.pipe("M-MC-02"), { fromInvert: { node: "MC-02", above: 0.008 } }),
  // riser 4 led into the main at its invert
  (site) => {
    delete site.pipe("L-04").toInvert;
  },
  // level piece between pan and trap
  (site) => site.set("0704-B", { coil: { tolerance: 0 }, trap: { elevation: -0.045, tolerance: 0 } }),
  // the gymnasium's drain joins 0.25 m after the foot of riser 1
  (site) => {
    const foot = site.node("B-01").elevation as number;
    Object.assign(site.pipe("M-B-01"), { length: 0.25 });
    Object.assign(site.pipe("M-M-GYM"), { length: 4.75 });
    site.node("M-GYM").elevation = toMillimetre(foot - 0.006);
    site.pipe("P-GYM").toInvert = toMillimetre(foot - 0.006 + 0.03);
  },
  // nobody fitted a switch
  (site) =>
    site.rebuild("0603-B", "bedroom-without-switch", "Bedroom coil without a switch", (built) => {
      delete built.overflowDevices;
      delete built.circuits;
    }),
  // a second switch in the pan's upper port, its contact beside the first one's
  (site) =>
    site.rebuild("0402-B", "bedroom-two-switches", "Bedroom coil with two switches side by side", (built) => {
      const [first] = built.overflowDevices!;
      built.overflowDevices!.push({ ...first!, id: "port-switch", seat: "secondary-port", tripHeight: 40 });
      built.circuits![0]!.arrangement = "parallel";
      const pan = found(built.nodes, "coil").pan as object;
      found(built.nodes, "coil").pan = { ...pan, secondary: { height: 40, is: "switch" } };
    }),
  // the switch closes the valve and leaves the fan running
  (site) => site.set("0702-A", { circuit: { breaks: "chilled-water-valve" } }),
  // the switch reports to the building's system, which stops nothing
  (site) => site.set("1002-B", { circuit: { breaks: "building-system" } }),
  // the switch sits 4 mm above the pan's rim
  (site) => site.set("0502-A", { switch: { tripHeight: 54 } }),
  // a switch that resets by itself
  (site) => site.set("0202-B", { switch: { latches: false } }),
  // reading room: one coil has a compressor of its own, and its switch breaks Y
  (site) => site.set("G3", { coil: { cooling: "direct-expansion" }, circuit: { breaks: "Y" } }),
  // a pan of 30 mm under a coil
  (site) =>
    site.set("0801-B", {
      coil: { auxiliaryPan: { present: true, floor: -0.3, depth: 30, overhang: 80, drain: "none" } },
    }),
  // reading room: the pan under one coil drains through 1/2 in and the wall, over the walk outside
  (site) => {
    const drained = { present: true, floor: -0.05, depth: 40, overhang: 80, drain: "piped" };
    site.set("G4", { coil: { auxiliaryPan: drained } });
    const { floor, zone, owner } = site.node("J-READ");
    const { material, insulation } = PIECE;
    site.document.nodes.push({
      ...{ id: "O-PAN", kind: "outlet", elevation: 0.2, floor, zone, owner, accessible: true },
      discharge: "public-way",
    });
    site.document.pipes.push({
      ...{ id: "P-PAN", from: "G4/coil", to: "O-PAN", role: "auxiliary", size: 15, material, length: 5 },
      ...{ fromInvert: { node: "G4/coil", above: -0.05 }, insulation, supportSpacing: 0.9, zone, owner },
    });
  },
  // reading room: the pan under the other coil drains, by a hose on a rail, into the very drain that it should stand in for
  (site) => {
    const drained = { present: true, floor: -0.05, depth: 40, overhang: 80, drain: "piped" };
    site.set("G3", { coil: { auxiliaryPan: drained } });
    const { zone, owner } = site.node("J-READ");
    site.document.pipes.push({
      ...{ ...PIECE, id: "P-PAN3", from: "G3/coil", to: "J-READ", role: "auxiliary", length: 0.3, zone, owner },
      ...{ fromInvert: { node: "G3/coil", above: -0.05 }, toInvert: { node: "J-READ", above: 0.02 } },
      ...{ material: "hose-smooth", insideDiameter: 19, supportSpacing: 0 },
    });
  },
  // somebody bridged the level switch of riser 1 on level 10
  (site) => site.set("R1-10", { "wye-B-level": { state: "jumpered" } }),
  // a switch 1 mm below the rim of its pan
  (site) => site.set("1004-A", { switch: { tripHeight: 49 } }),
  // reading room: one coil lifts its water to the drain by a pump too small for it, and without a check valve
  (site) => site.set("G4", { coil: { internalPump: { lift: 1.2, capacity: 1.5, checkValve: false, switch: true } } }),
  // the coil without a switch has a pump without one
  (site) => site.set("0603-B", { coil: { internalPump: { lift: 0.6, capacity: 14, switch: false } } }),
];

const TRAP = { sealDepth: 50, inletDrop: 45, removable: true, primed: true };
