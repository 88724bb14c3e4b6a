/** What follows if one drain blocks, a second time: every pool is flooded on its own, node by node. */
import type { PlainCircuits } from "./circuits.js";
import { naturalOrder } from "./natural-order.js";
import type { PlainDevice, ReadNetwork, ReadNode, ReadPipe } from "./plain-network.js";

type Maybe = number | null;
const EPSILON = 1e-6;

/** What the other analyses of the reference know. */
export interface BackupGround {
  readonly network: ReadNetwork;
  readonly circuits: PlainCircuits;
  readonly coilsThrough: (pipe: ReadPipe) => readonly ReadNode[];
  readonly intoCycle: (node: string) => boolean;
  readonly weirOf: (pipe: ReadPipe) => Maybe;
  /** the pipe by which water leaves a node, over second lines too */
  readonly waterWay: (node: string) => ReadPipe | null;
  readonly flowOf: (pipe: ReadPipe) => Maybe;
  readonly rateOf: (coil: ReadNode) => Maybe;
  /** m above its invert at which a cleanout is open */
  readonly openingHeight: (cleanout: ReadNode) => Maybe;
  /** Pa → m of water */
  readonly head: (pressure: number) => number;
}

interface Opening {
  readonly node: string;
  /** of the pool */
  readonly level: number;
  /** its own */
  readonly elevation: number;
  readonly told: boolean;
  readonly harmless: boolean;
}

interface BackupRow {
  readonly pipe: string;
  readonly firstSpill: {
    elevation: number;
    openings: { node: string; elevation: number; dwelling: string | null }[];
  } | null;
  readonly inflow: Maybe;
  readonly inflowAfterTrips: Maybe;
  readonly trips: { device: string; level: number }[];
  readonly outcome: string | null;
  readonly fanCoilsFeeding: number;
}

export const backupsOf = (ground: BackupGround): { backups: BackupRow[]; devices: Record<string, unknown>[] } => {
  const { network, circuits, coilsThrough, intoCycle, weirOf, waterWay, flowOf, rateOf, openingHeight, head } = ground;
  const { node, pipes, devices } = network;
  const near = Math.max(network.surveyTolerance, EPSILON);
  const [byFrom, byTo] = [new Map<string, ReadPipe[]>(), new Map<string, ReadPipe[]>()];
  for (const p of pipes) {
    byFrom.set(p.from, [...(byFrom.get(p.from) ?? []), p]);
    byTo.set(p.to, [...(byTo.get(p.to) ?? []), p]);
  }
  const leaving = (id: string, ...roles: string[]): ReadPipe[] =>
    (byFrom.get(id) ?? []).filter((p) => roles.includes(p.role));
  const flood = (starts: readonly string[], step: (id: string) => string[]): Set<string> => {
    const met = new Set(starts);
    for (const id of met) for (const next of step(id)) met.add(next);
    return met;
  };
  const leadsOut = (start: string): boolean =>
    [...flood([start], (id) => leaving(id, "drain", "pressure", "secondary", "auxiliary").map((p) => p.to))].some(
      (id) => node.get(id)!.kind === "outlet",
    );
  /** suction lifts the water of a pan whose fan runs */
  const lift = ({ source }: ReadNode): number =>
    source.inService === false ? 0 : head(Math.min(0, source.panStatic ?? 0));

  /** everything from which water would have to run through `blocked`, and what stands up from it */
  const heldBehind = (blocked: ReadPipe): Set<string> => {
    const isPump = (id: string): boolean => node.get(id)!.kind === "pump";
    return flood(isPump(blocked.from) ? [] : [blocked.from], (id) => [
      ...(byTo.get(id) ?? []).filter((p) => p.role === "drain" && !isPump(p.from)).map((p) => p.from),
      ...leaving(id, "vent", "access").map((p) => p.to),
    ]);
  };

  /** null: at an unknown height above its node */
  const ownOpening = (n: ReadNode): { level: number; elevation: number } | null | undefined => {
    const { source } = n;
    if (n.kind === "fan-coil") {
      const port = source.pan?.secondary;
      const heights = [source.pan?.rimHeight, ...(port?.is === "open" ? [port.height] : [])];
      // whoever knows the port needs no rim, which lies above it
      const known = port?.is === "open" && port.height === undefined ? [] : heights.filter((h) => h !== undefined);
      if (known.length === 0) return null;
      const elevation = n.z + Math.min(...known) / 1000;
      return { level: elevation + lift(n), elevation };
    }
    if (n.kind === "vent")
      return source.capped === true || source.opening === "admittance-valve"
        ? undefined
        : { level: n.z, elevation: n.z };
    if (n.kind === "cleanout" && source.capped === false) {
      const height = openingHeight(n);
      return height === null ? null : { level: n.z + height, elevation: n.z + height };
    }
    return undefined;
  };
  /** where a second line ends: at a node that drains leave, or at its last */
  const endOf = (line: ReadPipe): string => {
    let at = line.to;
    const met = new Set([at]);
    while (leaving(at, "drain").length === 0) {
      const way = waterWay(at);
      if (way === null || met.has(way.to)) break;
      at = way.to;
      met.add(at);
    }
    return at;
  };
  const escapesBy = (line: ReadPipe, held: ReadonlySet<string>): boolean => {
    const end = endOf(line);
    return leadsOut(end) && !(held.has(end) && leaving(end, "drain").length > 0);
  };
  const isTold = (coil: ReadNode, held: ReadonlySet<string>): boolean => {
    const pan = coil.source.auxiliaryPan;
    const lines = leaving(coil.id, "auxiliary");
    if (pan?.present === false) return false;
    return lines.length > 0 ? lines.some((line) => escapesBy(line, held)) : pan?.drain === "piped";
  };
  const isShut = (coil: ReadNode): boolean =>
    ["plugged", "switch", "none"].includes(coil.source.pan?.secondary?.is ?? "");

  const tripLevel = (device: PlainDevice): Maybe => {
    const n = node.get(device.at)!;
    if (n.kind === "fan-coil" && device.seat === "auxiliary-pan") return ownOpening(n)?.level ?? null;
    const stated = statedTrip(device);
    return stated === null ? null : stated + (n.kind === "fan-coil" ? lift(n) : 0);
  };
  const statedTrip = ({ at, tripElevation, tripHeight }: PlainDevice): Maybe =>
    tripElevation ?? (tripHeight === undefined ? null : node.get(at)!.z + tripHeight / 1000);

  const listed = pipes.filter((p) => p.role === "drain" && coilsThrough(p).length > 0);
  const held = new Map(listed.map((p) => [p.id, heldBehind(p)] as const));
  const rowOf = (blocked: ReadPipe): BackupRow => {
    const feeding = coilsThrough(blocked);
    const row = {
      pipe: blocked.id,
      firstSpill: null,
      inflow: null,
      inflowAfterTrips: null,
      trips: [],
      fanCoilsFeeding: feeding.length,
    };
    if (intoCycle(blocked.from)) return { ...row, outcome: null };
    const inflow = flowOf(blocked);
    const pool = held.get(blocked.id)!;
    const openings: Opening[] = [];
    const hidden: number[] = [];
    for (const id of pool) {
      const n = node.get(id)!;
      const harmless = n.source.spillHarmless === true;
      const own = ownOpening(n);
      if (own === null) hidden.push(n.z);
      else if (own !== undefined)
        openings.push({ node: id, ...own, told: n.kind === "fan-coil" && isTold(n, pool), harmless });
      for (const line of n.kind === "fan-coil" && !isShut(n) ? leaving(id, "secondary") : [])
        if (escapesBy(line, pool))
          openings.push({
            node: id,
            level: line.fromInvert + lift(n),
            elevation: line.fromInvert,
            told: true,
            harmless,
          });
      for (const other of leaving(id, "drain")) {
        const weir = weirOf(other);
        if (other !== blocked && !pool.has(other.to) && weir !== null && leadsOut(other.to))
          openings.push({ node: id, level: weir, elevation: weir, told: true, harmless });
      }
    }
    const spill = Math.min(...openings.map(({ level }) => level));
    if (spill === Number.POSITIVE_INFINITY || hidden.some((z) => z < spill - EPSILON))
      return { ...row, inflow, outcome: "undetermined" };
    const first = openings
      .filter(({ level }) => level <= spill + near)
      .sort((a, b) => naturalOrder(a.node, b.node) || a.level - b.level);

    const inside = devices.filter((device) => circuits.works(device) && pool.has(device.at));
    const trips = inside
      .map((device) => ({ device, level: tripLevel(device) }))
      .filter(
        (trip): trip is { device: PlainDevice; level: number } => trip.level !== null && trip.level <= spill + EPSILON,
      )
      .sort((a, b) =>
        Math.abs(a.level - b.level) > 1e-9 ? a.level - b.level : naturalOrder(a.device.id, b.device.id),
      );
    const running = (tripped: readonly PlainDevice[]): ReadNode[] => {
      const stopped = tripped.flatMap(circuits.stops);
      return feeding.filter(({ id }) => !stopped.includes(id));
    };
    const unstopped = running(trips.map(({ device }) => device));
    const vents = openings.filter(({ node: id }) => ["vent", "cleanout"].includes(node.get(id)!.kind));
    let spillsAfter = false;
    for (const [i, { device }] of trips.entries()) {
      if (running(trips.slice(0, i).map((trip) => trip.device)).length === 0) break;
      const stated = statedTrip(device);
      const inPan = node.get(device.at)!.kind === "fan-coil" && device.seat !== "auxiliary-pan";
      if (inPan && stated !== null && vents.some((vent) => vent.level < stated - EPSILON)) spillsAfter = true;
    }
    const perhaps = inside.filter((device) => tripLevel(device) === null);
    let outcome = "uncontained";
    if (unstopped.length === 0 && !spillsAfter) outcome = "contained";
    else if (first.every(({ told }) => told)) outcome = "told";
    else if (first.every(({ told, harmless }) => told || harmless)) outcome = "harmless";
    else if (unstopped.length > 0 && running([...trips.map(({ device }) => device), ...perhaps]).length === 0)
      outcome = "undetermined";
    const rates = unstopped.map(rateOf);
    return {
      ...row,
      firstSpill: {
        elevation: spill,
        openings: first.map(({ node: id, elevation }) => ({
          node: id,
          elevation,
          dwelling: node.get(id)!.source.dwelling ?? null,
        })),
      },
      inflow,
      inflowAfterTrips: rates.includes(null) ? null : (rates as number[]).reduce((a, b) => a + b, 0),
      trips: trips.map(({ device, level }) => ({ device: device.id, level })),
      outcome,
    };
  };

  const backups = listed.map(rowOf);
  const judged = listed.filter((_, i) => backups[i].outcome !== null);
  const spillOf = new Map(backups.map(({ pipe, firstSpill }) => [pipe, firstSpill?.elevation ?? null] as const));
  return {
    backups,
    devices: devices
      .map((device) => {
        const level = tripLevel(device);
        const seen = judged.filter((p) => {
          const spill = spillOf.get(p.id)!;
          if (!circuits.works(device) || level === null || spill === null) return false;
          return held.get(p.id)!.has(device.at) && level <= spill + EPSILON;
        });
        const isCommon = (p: ReadPipe): boolean => coilsThrough(p).length > 1;
        const isUnknown = circuits.works(device) && level === null;
        return {
          id: device.id,
          stops: circuits.stops(device),
          sees: isUnknown ? null : seen.length,
          unseenCommonPipes: isUnknown ? null : judged.filter(isCommon).length - seen.filter(isCommon).length,
        };
      })
      .sort((a, b) => naturalOrder(a.id, b.id)),
  };
};
