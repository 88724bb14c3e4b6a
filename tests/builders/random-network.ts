import * as fc from "fast-check";
import type { PlainDevice, PlainDocument, PlainNode, PlainPipe } from "../reference/plain-network.js";
import { boreOf } from "../reference/tables.js";

/** A small seeded generator (mulberry32): the same seed gives the same document on every machine. */
export class Dice {
  #state: number;
  constructor(seed: number) {
    this.#state = seed >>> 0;
  }
  /** in [0, 1) */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }
  chance(p: number): boolean {
    return this.next() < p;
  }
  whole(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1));
  }
  /** on a grid of a tenth of a millimetre, so that levels are either equal or clearly apart */
  metres(low: number, high: number): number {
    return Math.round((low + this.next() * (high - low)) * 1e4) / 1e4;
  }
  pick<T>(items: readonly T[]): T {
    return items[Math.floor(this.next() * items.length)];
  }
  weighted<T>(items: readonly (readonly [weight: number, item: T])[]): T {
    let rest = this.next() * items.reduce((total, [weight]) => total + weight, 0);
    for (const [weight, item] of items) {
      rest -= weight;
      if (rest < 0) return item;
    }
    return items[items.length - 1][1];
  }
}

export interface RandomOptions {
  /** about how many pipes */
  size: number;
  /** leaves out cycles, splits and parallel pipes */
  tree?: boolean;
  /** every static, bore, load and seal is known */
  known?: boolean;
  /** false: none; true: many */
  pumps?: boolean;
}

const METALS_AND_PLASTICS = ["pvc-sch40", "pvc-sch80", "copper-m", "copper-l"] as const;
/** What stops the water; in turn, so that the dice stay as they were. */
const BREAKS = ["Y", "R", "valve-and-fan", "equipment-controller", "chilled-water-valve", "supply"] as const;

class Builder {
  readonly dice: Dice;
  readonly options: RandomOptions;
  readonly nodes: PlainNode[] = [];
  readonly pipes: PlainPipe[] = [];
  readonly devices: PlainDevice[] = [];
  readonly circuits: Record<string, unknown>[] = [];
  /** nodes that further drains may enter */
  readonly open: PlainNode[] = [];
  #count = 0;

  constructor(seed: number, options: RandomOptions) {
    this.dice = new Dice(seed);
    this.options = options;
  }

  id(letter: string): string {
    const n = ++this.#count;
    return this.dice.weighted([
      [6, `${letter}${n}`],
      [2, `${letter}-${String(n).padStart(this.dice.whole(1, 4), "0")}`],
      [1, `L${this.dice.whole(1, 12)}/${letter}${n}`],
      [1, `${n}${letter.toLowerCase()}`],
      [0.3, `é${letter}${n}`],
    ]);
  }

  add(kind: string, elevation: number, own: Partial<PlainNode> = {}): PlainNode {
    const dice = this.dice;
    const node: PlainNode = { id: this.id(kind[0].toUpperCase()), kind, elevation, ...own };
    if (dice.chance(0.05)) node.fixed = true;
    if (dice.chance(0.04)) node.tolerance = dice.pick(["derived", 0.001, 0.004, 0] as const);
    this.nodes.push(node);
    return node;
  }

  /** size, material and bore of a new pipe */
  bore(): Pick<PlainPipe, "size" | "material" | "insideDiameter"> {
    const dice = this.dice;
    const unknown = !this.options.known;
    if (unknown && dice.chance(0.04)) return {};
    if (unknown && dice.chance(0.02)) return { size: 25 };
    if (dice.chance(0.06)) return { material: "pp-metric", size: dice.pick([32, 40, 50, 63, 75]) };
    if (dice.chance(0.05)) return { insideDiameter: dice.whole(150, 600) / 10 };
    const pipe: Pick<PlainPipe, "size" | "material" | "insideDiameter"> = {
      material: dice.pick(METALS_AND_PLASTICS),
      size: dice.weighted([
        [4, 20],
        [4, 25],
        [2, 32],
        [1, 40],
        [1, 50],
        [0.3, 80],
      ]),
    };
    if (dice.chance(0.05)) pipe.insideDiameter = dice.whole(160, 400) / 10;
    return pipe;
  }
  boreOf(pipe: Pick<PlainPipe, "size" | "material" | "insideDiameter">): number {
    const measured = pipe.insideDiameter === undefined ? null : pipe.insideDiameter / 1000;
    return boreOf(pipe.material ?? null, pipe.size ?? null, measured) ?? 0.02;
  }

  /** height of a drain's upper end above its lower, and its length */
  slope(bore: number): { fall: number; length: number } {
    const dice = this.dice;
    const run = dice.metres(0.05, 6);
    const sloping = (fall: number): { fall: number; length: number } => ({
      fall,
      length: Math.sqrt(run * run + fall * fall),
    });
    const grade = (low: number, high: number): number => Math.round(run * dice.metres(low, high) * 1e4) / 1e4;
    const drop = dice.metres(0.05, 3);
    return dice.weighted<() => { fall: number; length: number }>([
      [8, () => sloping(grade(0.005, 0.03))],
      [1.5, () => sloping(0)],
      [2, () => sloping(-dice.metres(0.001, 0.05))],
      [0.4, () => sloping(-0.003)],
      [0.3, () => sloping(-0.006)],
      [0.3, () => sloping(-bore / 4)],
      [0.5, () => sloping(-bore)],
      [0.3, () => sloping(run / 100)],
      [2.5, () => ({ fall: drop, length: drop })],
      [0.4, () => ({ fall: drop, length: Math.round(drop * 1.2 * 1e4) / 1e4 })],
      [0.4, () => ({ fall: drop, length: drop * Math.SQRT2 })],
      [0.3, () => ({ fall: drop, length: drop * 1.45 })],
      [0.2, () => ({ fall: -dice.metres(0.05, 0.4), length: 0.4 })],
    ])();
  }

  connect(from: PlainNode, to: PlainNode, own: Partial<PlainPipe> = {}): PlainPipe {
    const step = to.kind === "trap" && (own.role ?? "drain") === "drain" ? (to.inletDrop ?? 0) / 1000 : 0;
    const low = own.toInvert ?? to.elevation + step;
    const high = own.fromInvert ?? from.elevation;
    const height = high - low;
    const run = this.dice.metres(0.05, 4);
    const pipe: PlainPipe = {
      id: this.id("P"),
      from: from.id,
      to: to.id,
      length: Math.sqrt(run * run + height * height),
      ...this.bore(),
      ...own,
    };
    this.pipes.push(pipe);
    return pipe;
  }

  /** a drain into `below` from a new node of this kind */
  upstream(below: PlainNode, kind: string, own: Partial<PlainNode> = {}): PlainNode {
    const dice = this.dice;
    const bore = this.bore();
    const d = this.boreOf(bore);
    const { fall, length } = this.slope(d);
    const step = below.kind === "trap" ? (below.inletDrop ?? 0) / 1000 : 0;
    let low = below.elevation + step;
    const pipe: Partial<PlainPipe> = { ...bore, length };
    if (below.inletDrop === undefined && below.kind !== "outlet" && dice.chance(0.12)) {
      // into the crown of the pipe that leaves, or anywhere above its invert
      low = below.elevation + dice.pick([d, dice.metres(0.001, 0.02), dice.metres(0.02, 0.2)]);
      pipe.toInvert = low;
    }
    const node = this.add(kind, low + fall, own);
    if (kind !== "fan-coil" && dice.chance(0.03)) {
      // leaves the node below or above its own level, the pipe as long as its ends want it
      pipe.fromInvert = node.elevation + dice.pick([-0.01, 0.01, 0.005]);
      pipe.length = Math.sqrt(length * length + 0.25);
    }
    this.connect(node, below, pipe);
    return node;
  }

  coilFields(): Partial<PlainNode> {
    const dice = this.dice;
    const known = this.options.known === true;
    const own: Partial<PlainNode> = {};
    const statics = dice.weighted([
      [4, -dice.whole(20, 400)],
      [2, dice.whole(10, 300)],
      [1, dice.pick([0, 3, -3, 5, -5])],
      [known ? 0 : 1, undefined],
    ]);
    if (statics !== undefined) {
      own.panStatic = statics;
      if (Math.abs(statics) > 5 && dice.chance(0.5)) own.fanPosition = statics < 0 ? "draw-through" : "blow-through";
    }
    const capacity = dice.whole(10, 120) / 10;
    dice.weighted<() => void>([
      [3, () => Object.assign(own, { coolingCapacity: capacity, sensibleHeatRatio: dice.whole(60, 95) / 100 })],
      [2, () => Object.assign(own, { coolingCapacity: capacity })],
      [2, () => Object.assign(own, { coolingCapacity: capacity, condensateRate: Math.floor(capacity * 10) / 10 })],
      [0.3, () => Object.assign(own, { coolingCapacity: capacity * 100, sensibleHeatRatio: 0.7 })],
      [
        1,
        () =>
          Object.assign(own, {
            coolingCapacity: capacity,
            airflow: dice.whole(300, 3000),
            enteringAir: dice.pick([
              { dryBulb: 26, relativeHumidity: 0.6 },
              { dryBulb: 27, wetBulb: 19.5 },
              { dryBulb: 25, dewPoint: 15 },
              { dryBulb: 28, humidityRatio: 0.0135 },
            ]),
            leavingAir: dice.pick([
              { dryBulb: 13, relativeHumidity: 0.95 },
              { dryBulb: 26, relativeHumidity: 0.9 },
              { dryBulb: 12, wetBulb: 11.5 },
            ]),
          }),
      ],
      [known ? 0 : 0.5, () => Object.assign(own, { condensateRate: dice.whole(5, 80) / 10 })],
      [known ? 0 : 0.4, () => undefined],
    ])();
    if (dice.chance(0.05)) own.inService = false;
    if (dice.chance(0.7)) {
      own.pan = {};
      if (dice.chance(0.8)) own.pan.rimHeight = dice.whole(15, 60);
      if (dice.chance(known ? 1 : 0.8)) own.pan.outletSize = dice.pick([15, 20, 25]);
      if (dice.chance(0.4))
        own.pan.secondary = { height: dice.whole(8, 14), is: dice.pick(["plugged", "open", "switch", "none"]) };
    }
    if (dice.chance(0.15)) own.trapRequirement = { drop: dice.whole(20, 90), sealDepth: dice.whole(20, 90) };
    return own;
  }

  trapFields(): Partial<PlainNode> {
    const dice = this.dice;
    const known = this.options.known === true;
    const own: Partial<PlainNode> = {};
    const kind = dice.weighted([
      [8, "water"],
      [1, "waterless"],
      [1, "check-valve"],
    ]);
    if (kind !== "water") {
      own.sealType = kind;
      if (known || dice.chance(0.8)) own.opensAt = dice.whole(20, 300);
      if (dice.chance(0.5)) own.holds = dice.whole(100, 1000);
    } else {
      if (known || dice.chance(0.9)) own.sealDepth = dice.chance(0.04) ? 0 : dice.whole(15, 110);
      const primed = dice.weighted([
        [5, undefined],
        [3, true],
        [1, false],
      ]);
      if (primed !== undefined) own.primed = primed;
      if (dice.chance(0.2)) own.inletLegSize = dice.whole(16, 40);
      if (dice.chance(0.2)) own.outletLegSize = dice.whole(16, 40);
    }
    if (dice.chance(0.5)) own.inletDrop = dice.whole(0, 120);
    return own;
  }

  /** a coil, or several, or a trap before it, all draining into `below` */
  unit(below: PlainNode): void {
    const dice = this.dice;
    const coil = (at: PlainNode): PlainNode => {
      const made = this.upstream(at, "fan-coil", this.coilFields());
      this.devicesAt(made);
      if (dice.chance(0.08)) this.secondary(made);
      if (dice.chance(0.04)) this.auxiliary(made);
      return made;
    };
    const trap = (at: PlainNode): PlainNode => this.upstream(at, "trap", this.trapFields());
    dice.weighted<() => void>([
      [6, () => coil(trap(below))],
      [2, () => coil(this.upstream(trap(this.upstream(below, "point")), dice.pick(["bend", "point"])))],
      [1, () => coil(below)],
      [
        0.7,
        () => {
          const shared = trap(below);
          coil(shared);
          coil(shared);
        },
      ],
      [0.6, () => coil(trap(trap(below)))],
      [0.6, () => coil(trap(this.upstream(trap(below), "junction")))],
    ])();
  }

  devicesAt(coil: PlainNode): void {
    const dice = this.dice;
    if (!dice.chance(0.3)) return;
    const circuit = this.id("C");
    const device: PlainDevice = {
      id: this.id("S"),
      at: coil.id,
      type: "float-switch",
      seat: dice.pick(["primary-pan", "secondary-port", "auxiliary-pan"]),
      state: dice.pick(["working", "working", "jumpered", "untested"]),
      circuit,
    };
    if (dice.chance(0.8)) device.tripHeight = dice.whole(5, 40);
    this.devices.push(device);
    const breaks = BREAKS[this.circuits.length % BREAKS.length];
    this.circuits.push({ id: circuit, devices: [device.id], breaks, stops: [coil.id] });
  }

  secondary(coil: PlainNode): void {
    const dice = this.dice;
    const height = dice.whole(8, 14);
    coil.pan = { ...coil.pan, secondary: { height, is: "piped" } };
    const start = { role: "secondary", fromInvert: coil.elevation + height / 1000 };
    if (dice.chance(0.2)) {
      this.connect(coil, dice.pick(this.open), start);
      return;
    }
    const end = this.add("outlet", dice.metres(coil.elevation - 2, coil.elevation), { discharge: "conspicuous-point" });
    if (dice.chance(0.5)) {
      const middle = this.add("point", dice.metres(end.elevation - 0.02, coil.elevation + 0.02));
      this.connect(coil, middle, start);
      this.connect(middle, end, { role: "secondary" });
    } else this.connect(coil, end, start);
  }

  auxiliary(coil: PlainNode): void {
    const floor = this.dice.metres(coil.elevation - 0.2, coil.elevation - 0.05);
    Object.assign(coil, { auxiliaryPan: { present: true, floor, depth: 50, drain: "piped" } });
    const end = this.add("outlet", this.dice.metres(floor - 1.5, floor));
    this.connect(coil, end, { role: "auxiliary", fromInvert: floor });
  }

  stub(node: PlainNode): void {
    const dice = this.dice;
    if (["outlet", "vent", "pump"].includes(node.kind)) return;
    const word = dice.pick(["open", "open", "screened", "admittance-valve"]);
    dice.weighted<() => void>([
      [
        3,
        () => {
          node.vent = { top: node.elevation + dice.metres(0.01, 1), opening: word, capped: dice.chance(0.2) };
          if (dice.chance(0.3)) node.vent.size = dice.pick([20, 25]);
        },
      ],
      [
        2,
        () => {
          node.cleanout = dice.chance(0.7) ? { opening: dice.whole(20, 150) } : {};
          if (dice.chance(0.6)) node.cleanout.capped = dice.chance(0.5);
        },
      ],
      [
        2,
        () => {
          // a vent run of two pipes, level or with a fall of its own on the way
          const middle = this.add("bend", node.elevation + dice.metres(0.01, 0.4));
          const top = this.add("vent", middle.elevation + dice.metres(0, 0.5), { opening: word });
          if (dice.chance(0.3)) top.capped = dice.chance(0.5);
          this.connect(node, middle, { role: "vent", ...this.plumb(middle.elevation - node.elevation) });
          this.connect(middle, top, { role: "vent" });
        },
      ],
    ])();
  }
  plumb(height: number): Partial<PlainPipe> {
    return this.dice.chance(0.5) && height > 0.005 ? { length: height } : {};
  }

  pump(below: PlainNode): void {
    const dice = this.dice;
    const lift = below.elevation + dice.metres(0.2, 1.5);
    const pump = this.add("pump", dice.metres(below.elevation - 2, below.elevation + 1), { liftTo: lift });
    if (dice.chance(0.5)) pump.sump = { startLevel: dice.metres(pump.elevation - 0.05, pump.elevation + 0.08) };
    const fall = this.add("point", lift);
    this.connect(pump, fall, { role: "pressure", size: 20, material: "copper-l" });
    this.connect(fall, below);
    this.open.push(this.upstream(pump, "junction"));
  }

  build(): PlainDocument {
    const dice = this.dice;
    const { size, tree } = this.options;
    for (let i = 0; i <= Math.min(3, dice.whole(0, Math.ceil(size / 25))); i++) {
      const own: Partial<PlainNode> = { discharge: "floor-sink", connection: "air-gap" };
      const outlet = this.add("outlet", dice.metres(0, 1), own);
      if (dice.chance(0.25))
        outlet.waterLevel = dice.pick([outlet.elevation, dice.metres(outlet.elevation - 0.1, outlet.elevation + 0.15)]);
      this.open.push(outlet);
    }
    this.open.push(this.upstream(this.open[0], "junction"));
    this.unit(this.open[this.open.length - 1]);
    while (this.pipes.length < size) {
      const below = dice.chance(0.5) ? this.open[this.open.length - 1] : dice.pick(this.open);
      dice.weighted<() => void>([
        [4, () => this.unit(below)],
        [
          5,
          () => {
            const kind = dice.weighted([
              [4, "junction"],
              [3, "point"],
              [2, "bend"],
              [1, "reducer"],
              [0.5, "cleanout"],
            ]);
            const made = this.upstream(below, kind);
            if (kind === "cleanout" && dice.chance(0.7))
              Object.assign(made, { opening: dice.whole(20, 90), capped: dice.chance(0.5) });
            this.open.push(made);
          },
        ],
        [
          0.7,
          () => {
            let at = below;
            const bore = this.bore();
            for (let k = dice.whole(1, 4); k > 0; k--) {
              const next = this.add("junction", at.elevation + dice.metres(0.5, 3.2));
              const step = at.kind === "trap" ? (at.inletDrop ?? 0) / 1000 : 0;
              this.connect(next, at, { ...bore, length: next.elevation - at.elevation - step || 0.1 });
              at = next;
              this.open.push(at);
            }
          },
        ],
        [1.5, () => this.stub(dice.pick(this.nodes))],
        [0.2, () => this.add(dice.pick(["point", "junction", "bend"]), dice.metres(0, 3))],
        [0.3, () => this.open.push(this.upstream(this.add("junction", dice.metres(0, 2)), "point"))],
        [0.2, () => Object.assign(dice.pick(this.open), { future: true })],
        [this.options.pumps === undefined ? 0.3 : this.options.pumps ? 2 : 0, () => this.pump(below)],
        [tree ? 0 : 0.4, () => this.extra()],
      ])();
    }
    // the default opening is one bore: without one the stub would have no length
    for (const node of this.nodes) {
      const ofKnownBore = (pipe: PlainPipe): boolean =>
        boreOf(pipe.material ?? null, pipe.size ?? null, pipe.insideDiameter ?? null) !== null;
      const drains = this.pipes.filter((p) => (p.from === node.id || p.to === node.id) && p.role === undefined);
      if (node.cleanout && (drains.length === 0 || !drains.every(ofKnownBore))) node.cleanout.opening ??= 40;
    }
    const site: PlainDocument["site"] = {};
    if (dice.chance(0.4)) site.surveyTolerance = dice.pick([0, 0.002, 0.003, 0.01]);
    if (dice.chance(0.2)) site.pressure = dice.whole(80000, 103000);
    const document: PlainDocument = {
      format: 1,
      id: "random",
      units: "si",
      profile: dice.pick(["imc", "imc", "upc", "metric"]),
      stage: dice.pick(["design", "as-built", "in-service"] as const),
      site,
      nodes: this.shuffle(this.nodes),
      pipes: this.shuffle(this.pipes),
    };
    if (this.devices.length > 0) Object.assign(document, { overflowDevices: this.devices, circuits: this.circuits });
    return document;
  }

  /** a second drain out of a node: a split, a parallel pipe or a loop */
  extra(): void {
    const dice = this.dice;
    const kinds = ["junction", "point", "bend", "reducer"];
    const starts = this.nodes.filter((n) => kinds.includes(n.kind) && this.pipes.some((p) => p.from === n.id));
    const from = starts.length > 0 ? dice.pick(starts) : undefined;
    if (from === undefined) return;
    if (dice.chance(0.35)) {
      const isPump = (id: string): boolean => this.nodes.some((n) => n.id === id && n.kind === "pump");
      const twin = this.pipes.find((p) => p.from === from.id && (p.role ?? "drain") === "drain" && !isPump(p.to));
      if (twin !== undefined) this.pipes.push({ ...twin, id: this.id("P"), ...this.bore() });
      return;
    }
    const ends = this.open.filter((n) => n !== from && (kinds.includes(n.kind) || n.kind === "outlet"));
    const lower = dice.chance(0.7) ? ends.filter((n) => n.elevation < from.elevation) : ends;
    if (lower.length > 0) this.connect(from, dice.pick(lower));
  }

  shuffle<T>(items: readonly T[]): T[] {
    const list = [...items];
    for (let i = list.length - 1; i > 0; i--) {
      const j = this.dice.whole(0, i);
      [list[i], list[j]] = [list[j], list[i]];
    }
    return list;
  }
}

/** A well-formed document of about `size` pipes with every odd case of the analyses; the same seed gives the same one. */
export const randomDocument = (seed: number, size: number, options: Omit<RandomOptions, "size"> = {}): PlainDocument =>
  new Builder(seed, { ...options, size }).build();

/** The same for fast-check: shrinks the size, then the seed. */
export const networks = (options: Omit<RandomOptions, "size"> & { most?: number } = {}): fc.Arbitrary<PlainDocument> =>
  fc
    .record({ size: fc.integer({ min: 1, max: options.most ?? 60 }), seed: fc.integer({ min: 0, max: 0x7fffffff }) })
    .map(({ seed, size }) => randomDocument(seed, size, options));
