import { type Element, type NetworkDocument, toMillimetre } from "./network-document.js";
import { tower } from "./tower.js";

/** The scenario's tower: 12 storeys of dwellings above a ground floor, four risers, 96 + 5 coils. */
const REEDLIGHT = { storeys: 12, risers: 4, seed: 20261, amenities: true } as const;

export const designTower = (): NetworkDocument =>
  tower({ ...REEDLIGHT, id: "reedlight-tower", name: "Reedlight Tower, Quillmere" });

/** The same tower as a surveyor found it: 27 faults, each told in `tower-as-surveyed.plants.json`. */
export const surveyedTower = (): NetworkDocument => {
  const document = tower({
    ...REEDLIGHT,
    id: "reedlight-tower",
    name: "Reedlight Tower, Quillmere, as surveyed",
    stage: "as-built",
    surveyTolerance: 0.002,
  });
  const site = new Site(document);
  for (const plant of plants) plant(site);
  return document;
};

/** Edits by id, in the words of somebody who rebuilds a drain. */
class Site {
  constructor(readonly document: NetworkDocument) {}

  node(id: string): Element {
    return found(this.document.nodes, id);
  }
  pipe(id: string): Element {
    return found(this.document.pipes, id);
  }
  set(element: Element, fields: Record<string, unknown>): void {
    for (const [name, value] of Object.entries(fields)) {
      if (value === undefined) delete element[name];
      else element[name] = value;
    }
  }
  level(id: string): number {
    const { elevation } = this.node(id);
    if (typeof elevation === "number") return elevation;
    const { floor, above } = elevation as { floor: string; above: number };
    return (found(this.document.floors, floor).elevation as number) + above;
  }
  /** A further node, placed in the list after `after`, with what stands around it taken from there. */
  addNode(after: string, node: Element): void {
    const index = this.document.nodes.findIndex(({ id }) => id === after);
    const { floor, dwelling, zone, owner } = this.document.nodes[index]!;
    this.document.nodes.splice(index + 1, 0, { ...node, floor, dwelling, zone, owner });
  }
  /** A further pipe like `like`. */
  addPipe(like: string, pipe: Element): void {
    const index = this.document.pipes.findIndex(({ id }) => id === like);
    const { toInvert: _to, fromInvert: _from, ...rest } = this.document.pipes[index]!;
    this.document.pipes.splice(index + 1, 0, { ...rest, ...pipe });
  }
  remove(id: string): void {
    const { nodes, pipes } = this.document;
    const list = nodes.some((node) => node.id === id) ? nodes : pipes;
    list.splice(
      list.findIndex((element) => element.id === id),
      1,
    );
  }
}

const found = (elements: readonly Element[], id: string): Element => {
  const element = elements.find((candidate) => candidate.id === id);
  if (element === undefined) throw new Error(`the tower has no ${id}`);
  return element;
};

const plants: readonly ((site: Site) => void)[] = [
  // back-fall: the last metre of the branch rises 12 mm into the riser
  (site) => {
    const wye = site.level("W-0901-A");
    site.addNode("J-0901-A", { id: "K-0901-A", kind: "point", elevation: toMillimetre(wye - 0.012) });
    site.set(site.pipe("P-0901-A3"), { to: "K-0901-A", length: 2 });
    site.addPipe("P-0901-A3", { id: "P-0901-A4", from: "K-0901-A", to: "W-0901-A", length: 1 });
  },
  // flat branch: 13 mm over 2.7 m, then a drop into the riser
  (site) => {
    const tee = site.level("J-0802-B");
    const wye = site.level("W-0802-B");
    site.addNode("J-0802-B", { id: "K-0802-B", kind: "bend", angle: 90, elevation: toMillimetre(tee - 0.005) });
    site.set(site.pipe("P-0802-B3"), { to: "K-0802-B", length: 2.4 });
    site.addPipe("P-0802-B3", {
      id: "P-0802-B4",
      from: "K-0802-B",
      to: "W-0802-B",
      length: toMillimetre(tee - 0.005 - wye),
    });
  },
  // a coupling cut in 14 mm too high: water stands before its lip
  (site) => {
    const wye = site.level("W-0704-A");
    site.addNode("J-0704-A", { id: "K-0704-A", kind: "point", elevation: toMillimetre(wye + 0.02) });
    site.set(site.pipe("P-0704-A3"), { to: "K-0704-A", length: 1.4 });
    site.addPipe("P-0704-A3", {
      id: "P-0704-A4",
      from: "K-0704-A",
      to: "W-0704-A",
      length: 1,
      fromInvert: { node: "K-0704-A", above: 0.014 },
    });
  },
  // trap hung with its weir 4 mm above the pan outlet
  (site) => {
    const pan = site.level("FC-0604-A");
    site.set(site.node("T-0604-A"), { elevation: toMillimetre(pan + 0.004), inletDrop: undefined });
    site.set(site.pipe("P-0604-A1"), { toInvert: toMillimetre(pan - 0.012) });
    site.set(site.node("J-0604-A"), { elevation: toMillimetre(pan - 0.006) });
  },
  // sag of 32 mm between the trap and the vented tee
  (site) => {
    const tee = site.level("J-0401-B");
    site.addNode("T-0401-B", { id: "K-0401-B", kind: "point", elevation: toMillimetre(tee - 0.032) });
    site.set(site.pipe("P-0401-B2"), { to: "K-0401-B", length: 0.3 });
    site.addPipe("P-0401-B2", { id: "P-0401-B2b", from: "K-0401-B", to: "J-0401-B", length: 0.3 });
  },
  // a second trap in the same branch
  (site) => {
    const wye = site.level("W-0602-A");
    const trap = site.node("T-0602-A");
    site.set(site.node("J-0602-A"), { elevation: toMillimetre(wye + 0.02) });
    site.addNode("T-0602-A", {
      id: "T2-0602-A",
      kind: "trap",
      elevation: toMillimetre(wye + 0.028),
      sealDepth: trap.sealDepth,
      inletDrop: 45,
      removable: true,
      primed: true,
    });
    site.set(site.pipe("P-0602-A2"), { to: "T2-0602-A", length: 0.5 });
    site.addPipe("P-0602-A2", { id: "P-0602-A2b", from: "T2-0602-A", to: "J-0602-A", length: 0.3 });
    site.set(site.pipe("P-0602-A3"), { length: 0.7 });
  },
  // no trap under a fan that sucks
  (site) => {
    site.remove("T-1003-A");
    site.remove("P-1003-A2");
    site.set(site.pipe("P-1003-A1"), { to: "J-1003-A", length: 0.7 });
  },
  // no trap under a fan that blows
  (site) => {
    site.remove("T-G5");
    site.remove("P-G52");
    site.set(site.pipe("P-G51"), { to: "J-G5", length: 0.7 });
  },
  // the gymnasium's two cassettes on one trap
  (site) => {
    for (const id of ["T-G1", "T-G2", "J-G1", "J-G2", "P-G12", "P-G13", "P-G22", "P-G23"]) site.remove(id);
    // the main's wye stands 6 mm below the foot of riser 1, the drain enters 30 mm above it and falls 43 mm
    const vented = toMillimetre(site.level("B-01") - 0.006 + 0.03 + 0.043);
    const weir = toMillimetre(vented + 0.008);
    const inlet = toMillimetre(weir + 0.045 + 0.015);
    // the pans stand at room pressure, so a vent on their side of the trap does no harm
    site.set(site.node("J-GYM"), { elevation: inlet, vent: { top: toMillimetre(vented + 0.35), size: "3/4 in" } });
    site.set(site.pipe("P-G11"), { to: "J-GYM", length: 2, toInvert: toMillimetre(inlet + 0.008) });
    site.set(site.pipe("P-G21"), { to: "J-GYM", length: 2.5, toInvert: toMillimetre(inlet + 0.008) });
    site.addNode("J-GYM", {
      id: "T-GYM",
      kind: "trap",
      elevation: weir,
      sealDepth: 50,
      inletDrop: 45,
      removable: true,
      primed: true,
    });
    site.addNode("T-GYM", {
      id: "V-GYM",
      kind: "point",
      elevation: vented,
      vent: { top: toMillimetre(vented + 0.35), size: "3/4 in" },
    });
    const last = site.pipe("P-GYM");
    const { toInvert } = last;
    site.set(last, { from: "V-GYM", length: 1.6, toInvert });
    site.addPipe("P-G21", { id: "P-GYM1", from: "J-GYM", to: "T-GYM", length: 0.4 });
    site.addPipe("P-GYM1", { id: "P-GYM2", from: "T-GYM", to: "V-GYM", length: 0.3 });
  },
  // no vent on the branch
  (site) => site.set(site.node("J-1104-B"), { vent: undefined }),
  // vent capped
  (site) => site.set(site.node("J-0304-A"), { vent: { ...(site.node("J-0304-A").vent as object), capped: true } }),
  // vent cut off 15 mm below the level at which the pan's switch trips
  (site) => site.set(site.node("J-0203-B"), { vent: { top: toMillimetre(site.level("FC-0203-B") + 0.01), size: 20 } }),
  // open vent on the pan's side of the trap
  (site) => {
    const pan = site.level("FC-0902-B");
    site.addNode("FC-0902-B", {
      id: "V-0902-B",
      kind: "point",
      elevation: toMillimetre(pan - 0.007),
      vent: { top: toMillimetre(pan + 0.2), size: 20 },
    });
    site.set(site.pipe("P-0902-B1"), { from: "V-0902-B", length: 0.2 });
    site.addPipe("P-0902-B1", { id: "P-0902-B0", from: "FC-0902-B", to: "V-0902-B", length: 0.2 });
  },
  // plug of the pan's second port missing
  (site) => {
    const { pan } = site.node("FC-0501-B");
    site.set(site.node("FC-0501-B"), { pan: { ...(pan as object), secondary: { height: 40, is: "open" } } });
  },
  // vent led over a beam and down again by 2.5 mm, found with a spirit level
  (site) => {
    const pan = site.level("FC-0703-B");
    site.set(site.node("J-0703-B"), { vent: undefined });
    const vented = { size: 20, material: "pvc-sch40", role: "vent", zone: "private", owner: "0703" };
    site.addNode("J-0703-B", { id: "X1-0703-B", kind: "point", elevation: toMillimetre(pan + 0.15), tolerance: 0 });
    site.addNode("X1-0703-B", { id: "X2-0703-B", kind: "point", elevation: pan + 0.1475, tolerance: 0 });
    site.addNode("X2-0703-B", { id: "X3-0703-B", kind: "vent", elevation: toMillimetre(pan + 0.25) });
    site.document.pipes.push(
      { id: "X-0703-B1", from: "J-0703-B", to: "X1-0703-B", length: 0.217, ...vented },
      { id: "X-0703-B2", from: "X1-0703-B", to: "X2-0703-B", length: 0.8, ...vented },
      { id: "X-0703-B3", from: "X2-0703-B", to: "X3-0703-B", length: 0.1025, ...vented },
    );
  },
  // reading room: the shared drain never got its vent
  (site) => site.set(site.node("J-READ"), { vent: undefined }),
  // riser 2 rebuilt in 3/4 in below level 2
  (site) => {
    for (const id of ["R-0202-A", "R-0202-B", "R-0102-A", "R-0102-B"]) site.set(site.pipe(id), { size: 20 });
  },
  // branch begun in 1 in, finished in 3/4 in
  (site) => {
    for (const id of ["P-0803-B1", "P-0803-B2"]) site.set(site.pipe(id), { size: 25 });
  },
  // unit with a 1 in outlet on a 3/4 in drain
  (site) => {
    const { pan } = site.node("FC-0204-A");
    site.set(site.node("FC-0204-A"), { pan: { ...(pan as object), outletSize: 25 } });
  },
  // a second way out of the main, to a drain in the floor
  (site) => {
    const from = site.level("MC-03");
    site.document.pipes.push({
      id: "S-1",
      from: "MC-03",
      to: "O-S",
      size: 50,
      material: "pvc-sch40",
      length: toMillimetre(from - 0.2),
      zone: "common",
      owner: "association",
      space: "shaft",
    });
    site.document.nodes.push({
      id: "O-S",
      kind: "outlet",
      elevation: 0.2,
      floor: "G",
      zone: "common",
      owner: "association",
      accessible: true,
      discharge: "floor-drain",
      connection: "air-gap",
      airGap: 200,
      receptor: { rim: 0, trapped: true, accessible: true, spillHarmless: true },
    });
  },
  // stub of a coil that was taken away
  (site) => {
    const wye = site.level("W-1101-B");
    site.addNode("W-1101-B", { id: "D-1101", kind: "point", elevation: toMillimetre(wye + 0.045) });
    site.document.pipes.push({
      id: "PD-1101",
      from: "D-1101",
      to: "W-1101-B",
      size: 20,
      material: "pvc-sch40",
      length: 1.5,
      zone: "private",
      owner: "1101",
    });
  },
  // branch that ends above the ceiling
  (site) => {
    site.addNode("J-0503-A", { id: "E-0503-A", kind: "point", elevation: site.level("W-0503-A") });
    site.set(site.pipe("P-0503-A3"), { to: "E-0503-A" });
  },
  // sleeve through a beam, too high for what must fall before it
  (site) => {
    const pan = site.level("FC-1101-A");
    site.set(site.node("FC-1101-A"), { panStatic: -150 });
    site.set(site.node("T-1101-A"), { elevation: toMillimetre(pan - 0.021), inletDrop: 9 });
    site.set(site.pipe("P-1101-A1"), { length: 0.4 });
    site.set(site.node("J-1101-A"), { elevation: toMillimetre(pan - 0.029) });
    site.addNode("J-1101-A", { id: "K-1101-A", kind: "point", elevation: toMillimetre(pan - 0.04), fixed: true });
    site.set(site.pipe("P-1101-A3"), { to: "K-1101-A", length: 0.4 });
    site.addPipe("P-1101-A3", { id: "P-1101-A4", from: "K-1101-A", to: "W-1101-A", length: 2 });
  },
  // lip of 8 mm in the main
  (site) => site.set(site.pipe("M-MC-02"), { fromInvert: { node: "MC-02", above: 0.008 } }),
  // riser 4 led into the main at its invert
  (site) => site.set(site.pipe("L-04"), { toInvert: undefined }),
  // level piece between pan and trap
  (site) => {
    const pan = site.level("FC-0704-B");
    site.set(site.node("FC-0704-B"), { tolerance: 0 });
    site.set(site.node("T-0704-B"), { elevation: toMillimetre(pan - 0.045), tolerance: 0 });
  },
  // the gymnasium's drain joins 0.25 m after the foot of riser 1
  (site) => {
    const foot = site.level("B-01");
    site.set(site.pipe("M-B-01"), { length: 0.25 });
    site.set(site.pipe("M-M-GYM"), { length: 4.75 });
    site.set(site.node("M-GYM"), { elevation: toMillimetre(foot - 0.006) });
    site.set(site.pipe("P-GYM"), { toInvert: toMillimetre(foot - 0.006 + 0.03) });
  },
];
