import { KIND, ROLE } from "../graph/compiled.js";
import { boreThatCarries } from "../physics/part-full-flow.js";
import { timeToFill } from "../physics/spill-level.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { EPSILON } from "../quantity/interval.js";
import type {
  AfterRun,
  Backup,
  BackupStories,
  BackupStory,
  BackupTimes,
  CapacityFacts,
  Containment,
  Counted,
  HeldWater,
  LoadFacts,
  SpillOpening,
  StoryGap,
  StoryStep,
  StoryStepKind,
} from "./facts.js";
import type { Pool } from "./pool-reader.js";
import { type PoolDevice, type PoolOpening, type RisingPool, risingPools, type StoryGround } from "./rising-pool.js";

interface Ground extends StoryGround {
  readonly load: LoadFacts;
  readonly capacity: CapacityFacts;
}

const UNTOLD: Counted = { least: NaN, most: NaN };
const NO_TIMES: BackupTimes = { firstTrip: UNTOLD, firstSpill: UNTOLD };
/** m above the level at which the water stands anyway: a device trips no lower, and so much is not looked for. */
const LEAST_TRIP = 0.001;
const TRIP_PRECISION = 0.0001;
/** Trips times vessels beyond which a rule gets no times: each trip asks every vessel for its level. */
const MOST_IN_A_RULE = 200_000;
/** The same of all the pools together whose room a rule asks for. */
const MOST_IN_ALL = 20_000_000;

/** One blockage in time, as the circuits say it goes: fans stop where they say so, and run on where they do not. */
export function backupStories(ground: Ground, profile: Profile): BackupStories {
  const { net, ways, backups } = ground;
  const perCoil = limitOf(profile, "overflow.afterRun").value;
  let spent = 0;
  let made: ReturnType<typeof risingPools> | null = null;
  const rising: ReturnType<typeof risingPools> = (...of) => {
    made ??= risingPools(ground);
    return made(...of);
  };

  const tell = (pool: Pool, backup: Backup): BackupStory => {
    const risen = rising(pool, backup.firstSpill, true);
    const coils = backups.pools.feeding(pool.at);
    const all = flood(pool, risen, coils, false);
    const vented = risen.isCertain ? all : flood(pool, risen, coils, true);
    const steps = bothWays(all, vented);
    const afterRun = afterRunOf(risen, coils, perCoil, all, vented);
    return {
      backup,
      coils,
      pipe: pool.pipe,
      at: pool.at,
      start: risen.start,
      steps,
      times: timesOf(steps),
      held: risen.held(all.level, all.stopped),
      spilling: all.end === "spills" || all.end === "carried-off" ? all.inflow : 0,
      afterRun,
      containment: backup.outcome === "uncontained" ? containmentOf(pool, risen, backup, coils) : null,
      boreLeft: pool.pipe < 0 ? NaN : boreLeft(ground, pool.pipe),
      gaps: gapsOf(ground, pool, risen, backup, coils, all),
    };
  };

  const ofPipe = (pipe: number): BackupStory | null => {
    const backup = backups.ofPipe(pipe);
    return backup === null ? null : tell(backups.pools.poolOfPipe(pipe), backup);
  };
  return {
    ofPipe,
    ofNode: (node) => {
      const pool = backups.pools.poolOfNode(node);
      if (pool !== null) return tell(pool, backups.ofNode(node)!);
      const { coil, trap, pump, outlet } = net.nodes[node];
      const p = ways.next[node];
      const isEnd = coil !== null || trap !== null || pump !== null || outlet !== null;
      return isEnd || p < 0 || net.role[p] !== ROLE.drain ? null : ofPipe(p);
    },
    timesOf: (pipe) => {
      const backup = backups.ofPipe(pipe);
      if (backup === null || Number.isNaN(backup.firstSpill) || net.kind[net.from[pipe]] === KIND.pump) return NO_TIMES;
      const pool = backups.pools.poolOfPipe(pipe);
      const risen = rising(pool, backup.firstSpill, false);
      if (risen.devices.length * risen.vessels > MOST_IN_A_RULE) return NO_TIMES;
      const coils = backups.pools.feeding(pool.at);
      const all = flood(pool, risen, coils, false);
      const vented = risen.isCertain ? all : flood(pool, risen, coils, true);
      const steps = bothWays(all, vented);
      return timesOf(steps);
    },
    afterStop: (pipe) => {
      if (spent > MOST_IN_ALL) return null;
      const { firstSpill } = backups;
      if (Number.isNaN(firstSpill[pipe])) return null;
      const pool = backups.pools.poolOfPipe(pipe);
      const risen = rising(pool, firstSpill[pipe], true);
      const cost = (1 + risen.devices.length) * risen.vessels;
      spent += cost;
      if (cost > MOST_IN_A_RULE) return null;
      const coils = backups.pools.feeding(pool.at);
      const all = flood(pool, risen, coils, false);
      const vented = risen.isCertain ? all : flood(pool, risen, coils, true);
      const afterRun = afterRunOf(risen, coils, perCoil, all, vented);
      const isVague = afterRun === null || Number.isNaN(afterRun.room.least) || Number.isNaN(afterRun.room.most);
      return {
        afterRun,
        spills: [all, vented].every(({ end, bounded }) => end === "spills" && !bounded),
        gaps: isVague ? sizeGaps(risen.held(topOf(risen, all.stopped), all.stopped)) : [],
      };
    },
    containmentOf: (pipe) => {
      const backup = backups.ofPipe(pipe);
      if (backup === null || Number.isNaN(backup.firstSpill)) return null;
      const pool = backups.pools.poolOfPipe(pipe);
      return containmentOf(pool, rising(pool, backup.firstSpill, true), backup, backups.pools.feeding(pool.at));
    },
  };

  /**
   * A further device that stops every coil: the highest level at which it may trip, found by trying, so that everything
   * stands below every opening whether the fans then run on or stop, counting only what surely holds water.
   */
  function containmentOf(
    pool: Pool,
    risen: RisingPool,
    { firstSpill }: Backup,
    coils: readonly number[],
  ): Containment | null {
    let isVague = false;
    const contains = (level: number): boolean =>
      [true, false].every((stopsFan) => {
        const more: PoolDevice = { device: -1, level, stoppedLevel: level, coil: -1, stops: coils, stopsFan };
        const tried = { ...risen, devices: [...risen.devices, more] };
        const vented = flood(pool, tried, coils, true);
        const afterRun = afterRunOf(tried, coils, perCoil, vented, vented);
        isVague ||= vented.bounded;
        return (
          vented.end === "stands" && !vented.bounded && afterRun !== null && afterRun.volume <= afterRun.room.least
        );
      });
    let low = risen.start + LEAST_TRIP;
    let highestTrip = NaN;
    if (low <= firstSpill && contains(low)) {
      highestTrip = low;
      for (let high = firstSpill; high - low > TRIP_PRECISION; ) {
        const level = (low + high) / 2;
        if (contains(level)) low = highestTrip = level;
        else high = level;
      }
    } else if (isVague) return null;
    return {
      node: pool.at,
      highestTrip,
      stops: coils,
      devices: risen.devices.filter(({ level }) => level <= highestTrip).map(({ device }) => device),
    };
  }

  /** The pool as it rises, with (`vented`) or without the volumes that air may keep. */
  function flood(pool: Pool, risen: RisingPool, coils: readonly number[], vented: boolean): Flood {
    const stopped = new Set<number>();
    const running = new Set(pool.stops ? [] : coils);
    const waiting = new Set(risen.devices);
    const steps: OneWay[] = [];
    let joined = 0;
    let level = risen.start;
    let volume = 0;
    let time = 0;
    let vague = risen.isVague(level, stopped);
    /** the level is no more than a bound */
    let bounded = false;
    let inflow = inflowOf();
    const openAt = (opening: PoolOpening) =>
      opening.coil >= 0 && stopped.has(opening.coil) ? opening.stoppedLevel : opening.level;
    const tripAt = (device: PoolDevice) =>
      device.coil >= 0 && stopped.has(device.coil) ? device.stoppedLevel : device.level;

    function inflowOf(): number {
      if (running.size === coils.length) return pool.inflow;
      let sum = 0;
      for (const c of running) sum += ground.load.rate[c];
      return sum;
    }
    const add = (kind: StoryStepKind, key: number, more: Partial<OneWay> = {}) =>
      void steps.push({
        kind,
        key,
        level: bounded ? NaN : level,
        time,
        volume,
        vague,
        inflow,
        device: -1,
        coils: [],
        openings: [],
        surge: 0,
        ...more,
      });
    const rise = (to: number) => {
      if (!(to > level)) return;
      const needed = risen.volume(to, stopped, vented) - volume;
      if (needed > 0) {
        time += Number.isNaN(inflow) ? NaN : timeToFill(needed, inflow);
        volume += needed;
      }
      level = to;
      bounded = false;
      vague ||= risen.isVague(level, stopped);
    };
    /** Fans stop: what they held up runs back, and the water finds one level. */
    const stopFans = (off: readonly number[]) => {
      const moved = off.filter((c) => !stopped.has(c) && risen.lift(c) > EPSILON);
      const unknown = risen.vagueSurge(level, moved);
      for (const c of off) stopped.add(c);
      if (moved.length === 0) return;
      const top = risen.openings.reduce((lowest, opening) => Math.min(lowest, openAt(opening)), Infinity);
      const before = level;
      level = levelFor(risen, volume, level, top, stopped, vented);
      if (unknown > 0) {
        // A pan of unknown size may be so large that all comes to its level.
        level = Math.max(level, Math.min(top, before + unknown));
        volume = Math.max(volume, risen.volume(level, stopped, vented));
        bounded = true;
      }
      vague ||= risen.isVague(level, stopped);
      add("fans-stop", moved[0], { coils: moved });
    };

    for (;;) {
      let device: PoolDevice | null = null;
      for (const each of waiting) if (device === null || comesBefore(each, device)) device = each;
      let open: PoolOpening | null = null;
      for (const each of risen.openings) if (open === null || openAt(each) < openAt(open)) open = each;
      const trips = device === null ? Infinity : tripAt(device);
      const opens = open === null ? Infinity : openAt(open);
      const joins = risen.joins[joined]?.level ?? Infinity;
      const next = Math.min(trips, opens, joins);
      if (next === Infinity) return finish("open");
      if (inflow === 0 && next > level + EPSILON) return finish("stands");
      if (joins <= trips && joins <= opens) {
        rise(joins);
        add("joins", risen.joins[joined].coil, { coils: [risen.joins[joined].coil] });
        joined++;
        continue;
      }
      if (device !== null && trips <= opens + EPSILON) {
        rise(trips);
        waiting.delete(device);
        const { stops, stopsFan } = device;
        const ended = Array.from(stops).filter((c) => running.delete(c));
        inflow = inflowOf();
        add("trips", device.device, { device: device.device, coils: ended });
        if (stopsFan === true) stopFans(Array.from(stops));
        continue;
      }
      rise(opens);
      const near = Math.max(net.model.site.surveyTolerance, EPSILON);
      const openings = risen.openings.filter((each) => openAt(each) <= opens + near);
      if (openings.some((each) => each.unknown && openAt(each) < opens + EPSILON)) return finish("open", openings);
      const surge = Math.max(0, volume - risen.volume(level, stopped, vented));
      return finish(openings.every(({ told }) => told) ? "carried-off" : "spills", openings, surge);
    }

    function comesBefore(a: PoolDevice, b: PoolDevice): boolean {
      return tripAt(a) < tripAt(b) || (tripAt(a) === tripAt(b) && a.device < b.device);
    }
    function finish(end: Flood["end"], openings: readonly PoolOpening[] = [], surge = 0): Flood {
      // Of what spills within the survey's tolerance nobody knows which is first; what is of unknown height is no opening yet.
      const listed = end === "open" ? openings.filter(({ unknown }) => unknown) : openings.filter((o) => !o.unknown);
      add(end, 0, { openings: listed.map(asOpening), surge });
      return { steps, end, level, stopped, volume, inflow, running, vague, bounded };
    }
  }
}

type End = "spills" | "carried-off" | "stands" | "open";

/** A story told with one way of counting. */
interface Flood {
  readonly steps: readonly OneWay[];
  readonly end: End;
  readonly level: number;
  readonly stopped: ReadonlySet<number>;
  readonly volume: number;
  readonly inflow: number;
  readonly running: ReadonlySet<number>;
  readonly vague: boolean;
  readonly bounded: boolean;
}

interface OneWay extends Omit<StoryStep, "time" | "volume" | "where"> {
  /** of what happens: the coil or device */
  readonly key: number;
  readonly time: number;
  readonly volume: number;
  readonly vague: boolean;
}

const asOpening = ({ node, level, elevation, told, harmless }: PoolOpening): SpillOpening => ({
  node,
  level,
  elevation,
  told,
  harmless,
});

/** The level at which the pool holds a volume, up to `top`. Volume grows with level. */
function levelFor(
  risen: RisingPool,
  volume: number,
  from: number,
  top: number,
  stopped: ReadonlySet<number>,
  vented: boolean,
): number {
  const excess = (level: number) => risen.volume(level, stopped, vented) - volume;
  let low = from;
  let high = top;
  if (high === Infinity) {
    high = from + 1;
    for (let k = 0; k < 20 && excess(high) < 0; k++) high += 2 ** k;
  }
  let above = excess(high);
  if (above <= 0) return high;
  let below = excess(low);
  if (below >= 0) return low;
  // Between the chord and the middle: kinks where vessels begin and end slow the chord alone down.
  for (let k = 0; k < 100 && high - low > 1e-10; k++) {
    const chord = low - (below * (high - low)) / (above - below);
    const at = k % 3 === 2 ? (low + high) / 2 : Math.min(Math.max(chord, low), high);
    const value = excess(at);
    if (value === 0) return at;
    if (value < 0) {
      low = at;
      below = value;
    } else {
      high = at;
      above = value;
    }
    if (Math.abs(value) < 1e-13) return at;
  }
  return (low + high) / 2;
}

/**
 * Steps as they come where everything fills, each with its time and volume where the airtight branches do not; what happens
 * only there stands before the step that follows it there.
 */
function bothWays(all: Flood, vented: Flood): StoryStep[] {
  const nameOf = ({ kind, key }: OneWay) => `${kind} ${key}`;
  const places = new Map(vented.steps.map((step, i) => [nameOf(step), i]));
  const common = new Set(all.steps.map(nameOf));
  const steps: StoryStep[] = [];
  let told = 0;
  const tellEmpty = (upTo: number) => {
    for (; told < upTo; told++) {
      if (common.has(nameOf(vented.steps[told]))) continue;
      const { key: _, vague: __, time, volume, ...rest } = vented.steps[told];
      steps.push({ ...rest, time: { least: time, most: NaN }, volume: { least: volume, most: NaN }, where: "empty" });
    }
  };
  for (const step of all.steps) {
    const { key: _, vague, time, volume, ...rest } = step;
    const place = places.get(nameOf(step));
    if (place !== undefined) tellEmpty(place);
    const least = place === undefined ? null : vented.steps[place];
    steps.push({
      ...rest,
      time: { least: least?.time ?? NaN, most: vague ? NaN : time },
      volume: { least: least?.volume ?? NaN, most: vague ? NaN : volume },
      where: least === null ? "full" : "either",
    });
  }
  tellEmpty(vented.steps.length);
  return steps;
}

function timesOf(steps: readonly StoryStep[]): BackupTimes {
  const timeOf = (...kinds: StoryStepKind[]): Counted => {
    const those = steps.filter(({ kind }) => kinds.includes(kind));
    return (those.find(({ where }) => where !== "empty") ?? those[0])?.time ?? UNTOLD;
  };
  return {
    firstTrip: timeOf("trips"),
    firstSpill: timeOf("spills", "carried-off"),
  };
}

/** Room for what the stopped coils still make, where nothing else comes any more. */
function afterRunOf(
  risen: RisingPool,
  coils: readonly number[],
  perCoil: number,
  all: Flood,
  vented: Flood,
): AfterRun | null {
  const count = coils.length - all.running.size;
  if (all.end !== "stands" || vented.end !== "stands" || count === 0) return null;
  const volume = perCoil * count;
  const roomIn = (flood: Flood, alone: boolean): number => {
    const top = topOf(risen, flood.stopped);
    return Math.max(0, risen.volume(top, flood.stopped, alone) - flood.volume);
  };
  const least = vented.bounded ? NaN : roomIn(vented, true);
  const isVague = all.vague || risen.isVague(topOf(risen, all.stopped), all.stopped);
  const most = isVague ? NaN : roomIn(all, false);
  const fits = volume <= least ? true : volume > most ? false : null;
  return {
    perCoil,
    coils: count,
    volume,
    room: { least, most },
    level:
      fits === true && !isVague
        ? levelFor(risen, all.volume + volume, all.level, topOf(risen, all.stopped), all.stopped, false)
        : NaN,
    fits,
  };
}

/** Level of the first spill with these fans stopped. */
const topOf = ({ openings }: RisingPool, stopped: ReadonlySet<number>): number =>
  openings.reduce(
    (lowest, { coil, level, stoppedLevel }) => Math.min(lowest, coil >= 0 && stopped.has(coil) ? stoppedLevel : level),
    Infinity,
  );

/** Where its capacity is known and more than it must carry: the bore that just carries it. */
function boreLeft({ capacity, load }: Ground, pipe: number): number {
  const most = capacity.capacity[pipe];
  const flow = load.designFlow[pipe];
  return most > 0 && flow <= most ? boreThatCarries(capacity.bore[pipe], most, flow) : NaN;
}

/** What holds water and is of unknown size. */
const sizeGaps = (held: readonly HeldWater[]): StoryGap[] =>
  held
    .filter(({ volume }) => Number.isNaN(volume))
    .map(({ kind, pipe, node }) => ({
      kind: pipe >= 0 ? "bore" : kind === "pan" ? "pan-area" : kind === "sump" ? "sump" : "receptor",
      node: pipe >= 0 ? -1 : node,
      pipe,
      device: -1,
    }));

/** What the story stops short of, or takes for granted, because nobody gave it. */
function gapsOf(
  { net, load, circuits }: Ground,
  pool: Pool,
  risen: RisingPool,
  backup: Backup,
  coils: readonly number[],
  { level, stopped, steps }: Flood,
): StoryGap[] {
  const gaps: StoryGap[] = [];
  const gap = (kind: StoryGap["kind"], on: Partial<Omit<StoryGap, "kind">>) =>
    void gaps.push({ kind, node: -1, pipe: -1, device: -1, ...on });
  gaps.push(...sizeGaps(risen.held(level, stopped)));
  for (const c of coils) if (Number.isNaN(load.rate[c])) gap("rate", { node: net.coils[c] });
  const open = steps[steps.length - 1];
  const unknown = new Set(backup.unknownSpills);
  if (open.kind === "open") for (const { node } of open.openings) unknown.add(node);
  if (open.kind === "open" && unknown.size === 0) gap("way-out", { node: pool.at });
  for (const node of [...unknown].sort((a, b) => a - b)) gap("opening", { node });
  for (const device of backup.unknownTrips) gap("trip", { device });
  for (const { device } of risen.devices.filter((each) => each.level <= level + EPSILON)) {
    const { circuit } = net.model.devices[device];
    if (circuit === null) continue;
    const { anyDeviceStops, stopsWater } = circuits.circuits[circuit];
    if (anyDeviceStops === null || stopsWater === null) gap("wiring", { device });
    else if (anyDeviceStops && stopsWater && circuits.devices[device].stopsFan === null) gap("fan", { device });
  }
  for (const c of risen.reached) {
    const { inService, panStatic } = net.nodes[net.coils[c]].coil!;
    if (inService && panStatic === null) gap("static", { node: net.coils[c] });
  }
  return gaps;
}
