/** One blocked drain in time, a second time: pipes cut into short pieces, the level raised in small steps. */
import { bisect, DENSITY, GRAVITY } from "./arithmetic.js";
import { readCircuits } from "./circuits.js";
import { type PlainDocument, type ReadNode, type ReadPipe, readPlain } from "./plain-network.js";
import { boreOf } from "./tables.js";

/** A tree of drains without pumps, second lines and standing pools, every figure known, rates stated. */
export interface FloodEvent {
  readonly what: "trip" | "fans" | "spill" | "stands";
  /** the device, or what spills */
  readonly ids: readonly string[];
  readonly level: number;
  readonly seconds: number;
  /** m³ that have come */
  readonly volume: number;
}

const PIECES = 250;
/** m */
const STEP = 1e-3;

/** area of the segment of a circle below a depth */
const wetted = (bore: number, depth: number): number => {
  const r = bore / 2;
  if (depth <= 0) return 0;
  if (depth >= bore) return Math.PI * r * r;
  const up = r - depth;
  return r * r * Math.acos(Math.max(-1, Math.min(1, up / r))) - up * Math.sqrt(Math.max(0, r * r - up * up));
};

/** Water in a pipe below a level: sections across its axis, one in the middle of each short piece. */
export const cutUp = (bore: number, length: number, low: number, high: number, level: number): number => {
  const rise = high - low;
  const run = Math.sqrt(Math.max(0, length * length - rise * rise));
  if (run < 1e-6) return Math.PI * (bore / 2) ** 2 * Math.min(length, Math.max(0, level - low));
  if (level <= low) return 0;
  if (level >= high + bore) return wetted(bore, bore) * length;
  let sum = 0;
  for (let i = 0; i < PIECES; i++) {
    const invert = low + (rise * (i + 0.5)) / PIECES;
    sum += (wetted(bore, ((level - invert) * length) / run) * length) / PIECES;
  }
  return sum;
};

export const flood = (document: PlainDocument, blocked: string, airLeaves: boolean): FloodEvent[] => {
  const network = readPlain(document);
  const { node, pipes, devices } = network;
  const at = (id: string): ReadNode => node.get(id)!;
  const drains = pipes.filter((p) => p.role === "drain");
  const next = (id: string): ReadPipe | undefined => drains.find((p) => p.from === id);
  const wayOf = (id: string): string[] => {
    const way = [id];
    for (let p = next(id); p !== undefined; p = next(p.to)) way.push(p.to);
    return way;
  };
  const coils = network.nodes.filter(({ kind }) => kind === "fan-coil");
  const passed = new Map(coils.map(({ id }) => [id, new Set(wayOf(id))]));
  const circuits = readCircuits(network, passed);
  const foot = pipes.find(({ id }) => id === blocked)!.from;

  // the pool: everything from which water comes by, and what stands up from it
  const held = new Set([foot]);
  for (let grown = true; grown; ) {
    grown = false;
    for (const p of pipes) {
      const [inner, outer] = p.role === "drain" ? [p.to, p.from] : [p.from, p.to];
      if (held.has(inner) && !held.has(outer) && p.id !== blocked) {
        held.add(outer);
        grown = true;
      }
    }
  }
  const feeding = coils.filter(({ id }) => held.has(id));
  const lift = ({ source }: ReadNode): number => Math.max(0, -(source.panStatic ?? 0) / (DENSITY * GRAVITY));
  const trapOf = (coil: ReadNode): ReadNode | undefined =>
    wayOf(coil.id)
      .map(at)
      .find(({ kind }) => kind === "trap");
  /** coil → its own piece before the trap */
  const pieces = new Map(
    coils.map((coil) => {
      const trap = trapOf(coil);
      const own: string[] = [];
      for (let p = trap && next(coil.id); p !== undefined && p.from !== trap!.id; p = next(p.to)) own.push(p.id);
      return [coil.id, own] as const;
    }),
  );
  const coilOf = (pipe: ReadPipe): ReadNode | undefined => coils.find(({ id }) => pieces.get(id)!.includes(pipe.id));

  // can the air leave? upward to an opening, or anywhere along one coil's branch
  const isVent = (id: string): boolean => at(id).kind === "vent" && at(id).source.capped !== true;
  const upFrom = (id: string): boolean => {
    if (isVent(id) || at(id).kind === "fan-coil") return true;
    if (pipes.some((p) => p.role === "vent" && p.from === id && isVent(p.to))) return true;
    return at(id).kind !== "trap" && drains.some((p) => p.to === id && upFrom(p.from));
  };
  const through = (pipe: ReadPipe): number => coils.filter(({ id }) => passed.get(id)!.has(pipe.from)).length;
  const branchVented = (pipe: ReadPipe): boolean => {
    for (let p: ReadPipe | undefined = pipe; p !== undefined && through(p) < 2; p = next(p.to)) {
      const below = next(p.to);
      if (below !== undefined && through(below) < 2 && upFrom(p.to)) return true;
    }
    return false;
  };
  const airtight = (pipe: ReadPipe): boolean =>
    pipe.role === "drain" ? !upFrom(pipe.from) && !(through(pipe) < 2 && branchVented(pipe)) : !isVent(pipe.to);

  const off = new Set<string>();
  const running = new Set(feeding.map(({ id }) => id));
  /** level before the trap of a coil */
  const panLevel = (coil: ReadNode, level: number): number => {
    const trap = trapOf(coil);
    const behind = trap === undefined || !held.has(trap.id) ? level : Math.max(level, trap.z);
    return behind + (off.has(coil.id) ? 0 : lift(coil));
  };
  const inPipe = (p: ReadPipe, level: number): number => {
    const bore = boreOf(p.material, p.size, p.insideDiameter)!;
    return cutUp(bore, p.length, Math.min(p.fromInvert, p.toInvert), Math.max(p.fromInvert, p.toInvert), level);
  };
  const poolPipes = pipes.filter(
    (p) =>
      p.id !== blocked && held.has(p.role === "drain" ? p.to : p.from) && (!airLeaves || coilOf(p) || !airtight(p)),
  );
  const volume = (level: number): number => {
    let sum = 0;
    for (const p of poolPipes) {
      const coil = coilOf(p);
      sum += inPipe(p, coil === undefined ? level : panLevel(coil, level));
    }
    for (const coil of feeding) sum += (coil.source.pan?.area ?? 0) * Math.max(0, panLevel(coil, level) - coil.z);
    return sum;
  };

  interface Threshold {
    readonly what: "trip" | "spill";
    readonly id: string;
    readonly level: number;
  }
  const tripped = new Set<string>();
  const thresholds = (): Threshold[] => [
    ...devices
      .filter((d) => held.has(d.at) && circuits.works(d) && !tripped.has(d.id))
      .map((d): Threshold => {
        const n = at(d.at);
        const own = d.tripElevation ?? n.z + d.tripHeight! / 1000;
        return { what: "trip", id: d.id, level: own - (n.kind === "fan-coil" && !off.has(n.id) ? lift(n) : 0) };
      }),
    ...feeding.map((coil): Threshold => {
      const rim = coil.z + coil.source.pan!.rimHeight! / 1000;
      return { what: "spill", id: coil.id, level: rim - (off.has(coil.id) ? 0 : lift(coil)) };
    }),
    ...[...held].filter(isVent).map((id): Threshold => ({ what: "spill", id, level: at(id).z })),
  ];

  const events: FloodEvent[] = [];
  const rate = (): number => [...running].reduce((sum, id) => sum + at(id).source.condensateRate! / 3.6e6, 0);
  // a blockage before a trap that is not part of the pool: its own fan lifts all of it
  let level = at(foot).z;
  let seconds = 0;
  let come = 0;
  const before = volume(level);
  for (;;) {
    const all = thresholds().sort((a, b) => a.level - b.level || (a.what === "trip" ? -1 : 1));
    const spill = all.find(({ what }) => what === "spill")!;
    const first = all.find(({ what, level: l }) => what === "trip" && l <= spill.level + 1e-6) ?? spill;
    const q = rate();
    if (q === 0 && first.level > level + 1e-6) {
      events.push({ what: "stands", ids: [], level, seconds, volume: come });
      return events;
    }
    if (first.level > level + STEP) {
      const added = volume(level + STEP) - before - come;
      come += added;
      seconds += added / q;
      level += STEP;
      continue;
    }
    if (first.level > level) {
      const added = volume(first.level) - before - come;
      come += added;
      seconds += q === 0 ? 0 : added / q;
      level = first.level;
    }
    if (first.what === "spill") {
      events.push({ what: "spill", ids: [first.id], level, seconds, volume: come });
      return events;
    }
    tripped.add(first.id);
    const device = devices.find(({ id }) => id === first.id)!;
    const stopped = circuits.stops(device);
    for (const id of stopped) running.delete(id);
    events.push({ what: "trip", ids: [first.id], level, seconds, volume: come });
    const circuit = circuits.facts.find(({ id }) => id === device.circuit);
    if (circuit?.stopsFan !== true) continue;
    const fans = stopped.filter((id) => !off.has(id) && held.has(id) && lift(at(id)) > 1e-6);
    for (const id of stopped) off.add(id);
    if (fans.length === 0) continue;
    const top = Math.min(
      ...thresholds()
        .filter(({ what }) => what === "spill")
        .map((each) => each.level),
    );
    const over = (l: number): boolean => volume(l) - before > come;
    level = over(top) ? bisect(level, top, over) : top;
    events.push({ what: "fans", ids: fans, level, seconds, volume: come });
  }
};
