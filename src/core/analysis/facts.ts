import type { Interval } from "../quantity/interval.js";
import type { Geometry } from "./geometry.js";
import type { PoolReader } from "./pool-reader.js";
import type { SpillLevels } from "./spill-levels.js";

/**
 * What the analyses found. Indices are those of the compiled network (ranks in natural order); per-node, per-pipe and
 * per-coil arrays are flat (coil arrays by position in `compiled.coils`). SI base units, NaN = not computable or without
 * meaning. Best values (tolerance 0) unless a name ends in Low/High or the field is an Interval.
 */
export interface Facts {
  readonly geometry: Geometry;
  readonly water: StandingWater;
  readonly topology: Topology;
  readonly fall: FallFacts;
  readonly seals: SealFacts;
  readonly loads: LoadFacts;
  readonly capacity: CapacityFacts;
  readonly air: AirFacts;
  /** waterless or check-valve trap node → what pushes it against the flow */
  readonly reversePush: ReadonlyMap<number, ReversePush>;
  readonly circuits: CircuitFacts;
  /** by coil, then pipe */
  readonly secondLines: readonly SecondLine[];
  readonly outlets: OutletFacts;
  readonly lockedAir: LockedAirFacts;
  readonly backups: BackupFacts;
  readonly stories: BackupStories;
  readonly zones: ZoneFacts;
  readonly access: AccessFacts;
  readonly supports: SupportFacts;
  readonly sweating: SweatFacts;
}

/** A1 */
export interface Topology {
  /** node → the pipe of its main way (drain or a pump's discharge), -1 none */
  readonly next: Int32Array;
  /** node → its outlet node, -1 none or on/into a cycle */
  readonly outlet: Int32Array;
  /** node → boundary (outlet or pump) its water reaches first, -1 none */
  readonly boundary: Int32Array;
  /** pipe → number of coils whose path contains it */
  readonly coilsAbove: Int32Array;
  /** pipe → 1 where two or more coils' paths contain it */
  readonly common: Uint8Array;
  /** pipes of a coil's path along the flow, to its end. Walked on demand: kept paths would cost O(coils × depth) */
  readonly path: (coil: number) => Int32Array;
  /** coil → how many pipes of its path lie before the boundary (all of them where there is no pump) */
  readonly toBoundary: Int32Array;
  /** coil → joining point node, -1 none */
  readonly joiningPoint: Int32Array;
  /** trap nodes along a coil's path (coil by position) */
  readonly traps: (coil: number) => Int32Array;
  /** coil → its first trap node, -1 */
  readonly firstTrap: Int32Array;
  /** nodes that more than one drain leaves */
  readonly splits: readonly number[];
  readonly orphans: readonly number[];
  /** drain pipes that nothing feeds */
  readonly deadLegs: readonly number[];
  /** groups of nodes, as compiled.cycles */
  readonly cycles: readonly (readonly number[])[];
  /** node → 1 where it is on a cycle or drains only into one */
  readonly intoCycle: Uint8Array;
}

/** A1: the line from a pan's own second port, or from the auxiliary pan under a coil. */
export interface SecondLine {
  /** position in compiled.coils */
  readonly coil: number;
  readonly role: "secondary" | "auxiliary";
  /** its first pipe */
  readonly pipe: number;
  /** first node on its way that a coil's primary path passes before an outlet: it is not independent; -1 none */
  readonly meets: number;
  /** -1 none, or it runs in circles */
  readonly outlet: number;
  /** last node on its way, -1 where it runs in circles */
  readonly end: number;
}

/** How drains end. */
export interface OutletFacts {
  /** by node */
  readonly list: readonly OutletFact[];
  /** node → index into list, -1 */
  readonly at: Int32Array;
}

export interface OutletFact {
  readonly node: number;
  /** what ends there, vents and stubs left out */
  readonly pipes: readonly number[];
  /** m; the profile's least air gap for the largest of their bores, NaN where an unknown bore decides */
  readonly airGapNeeded: number;
  /** m; what it comes to whatever the unknown bores are */
  readonly airGapAtLeast: number;
  /** of those pipes */
  readonly unknownBores: readonly number[];
  /** m by which the water outside stands over its invert, negative below; NaN where no water level is given */
  readonly submergence: Interval;
  /** a coil's water comes to it with no pump between */
  readonly fed: boolean;
}

/** A2 */
export interface FallFacts {
  readonly fall: Float64Array;
  readonly run: Float64Array;
  readonly grade: Float64Array;
  /** 1 where |fall| ≥ run */
  readonly vertical: Uint8Array;
  /** the profile's least grade; NaN on pipes that it does not concern */
  readonly gradeMinimum: Float64Array;
  readonly runs: readonly Run[];
  /** pipe → index into runs, -1 */
  readonly runOf: Int32Array;
  readonly backFalls: readonly BackFall[];
  readonly coils: readonly CoilFall[];
}

export interface Run {
  /** along the flow */
  readonly pipes: readonly number[];
  readonly length: number;
  readonly fall: number;
  readonly grade: number;
  readonly gradeLow: number;
  readonly gradeHigh: number;
  /** every pipe states its grade */
  readonly stated: boolean;
}

/** A chain of consecutive rising drains. */
export interface BackFall {
  /** along the flow, the last is the most downstream */
  readonly pipes: readonly number[];
  /** m; half-width = sum of the tolerances of its two ends */
  readonly height: number;
  readonly halfWidth: number;
}

export interface CoilFall {
  readonly pathLength: number;
  readonly hops: number;
  readonly fall: number;
  readonly meanGrade: number;
  readonly leastGrade: number;
  readonly fallBudget: number;
  readonly fallBudgetToJoiningPoint: number;
  /** its path falls to an outlet or a pump; where not, no budget has a meaning */
  readonly reached: boolean;
  /** `pipes` = [first, last) positions on the path; the budget's tolerance is that of the part's two ends */
  readonly stretches: readonly { from: number; to: number; budget: Interval; first: number; last: number }[];
  /** NaN where the static or the boundary is unknown */
  readonly shortfall: number;
  /** nodes between which the shortfall lies, -1 where none lacks */
  readonly shortfallFrom: number;
  readonly shortfallTo: number;
}

/** A3. Levels of an end are NaN where no water level is computable (cycle) or the pipe takes no part. */
export interface StandingWater {
  /** node → standing-water level with the fan off */
  readonly level: Float64Array;
  readonly levelLow: Float64Array;
  readonly levelHigh: Float64Array;
  /** drain pipe → weir (highest of its two inverts and the level below), NaN */
  readonly weir: Float64Array;
  readonly fromLevel: Float64Array;
  readonly toLevel: Float64Array;
  readonly fromDepth: Float64Array;
  readonly toDepth: Float64Array;
  readonly fromDepthLow: Float64Array;
  readonly fromDepthHigh: Float64Array;
  readonly toDepthLow: Float64Array;
  readonly toDepthHigh: Float64Array;
  /** crown at the ends (A4), NaN where the bore is unknown */
  readonly fromCrown: Float64Array;
  readonly toCrown: Float64Array;
  /** CLOSURE of each end: see below */
  readonly fromClosure: Uint8Array;
  readonly toClosure: Uint8Array;
  readonly pools: readonly Pool[];
  /** places that are dry at best values but would hold a pool at the wettest end of the tolerance */
  readonly possiblePools: readonly PossiblePool[];
  /** pipe end (pipe*2 from, pipe*2+1 to) → pool index, -1 */
  readonly poolOfEnd: Int32Array;
  /** node → pool index, -1 */
  readonly poolOfNode: Int32Array;
}

/** Bits: 1 closed at best values, 2 closed at the wettest end of the tolerance, 4 closed at the driest end, 8 bore unknown (doubtful). */
export const CLOSURE = { best: 1, wettest: 2, driest: 4, unknownBore: 8 } as const;

export interface PossiblePool {
  readonly node: number;
  readonly pipes: readonly number[];
  readonly maxDepthHigh: number;
  /** null where an unknown bore decides */
  readonly classWettest: "shallow" | "deep" | "sealing" | null;
}

export interface Pool {
  /** lowest wet node; the pool's id */
  readonly node: number;
  readonly cause: "submerged-outlet" | "high-weir" | "low-point" | "reverse-grade";
  readonly level: number;
  readonly maxDepth: number;
  readonly maxDepthLow: number;
  readonly maxDepthHigh: number;
  /** m³; NaN where a bore is unknown */
  readonly volume: number;
  /** node that holds the water, -1 */
  readonly weir: number;
  readonly nodes: readonly number[];
  readonly pipes: readonly number[];
  /** null where an unknown bore decides */
  readonly class: "shallow" | "deep" | "sealing" | null;
  /** what the class is at the driest and the wettest end of the tolerance; "none": no pool at all there */
  readonly classDriest: "none" | "shallow" | "deep" | "sealing" | null;
  readonly classWettest: "none" | "shallow" | "deep" | "sealing" | null;
  /** NaN where it seals nothing */
  readonly sealDepth: number;
  /** NaN where it seals */
  readonly airGap: number;
  /** m by which its lowest node must rise for the water to leave; NaN where raising it is no cure */
  readonly raiseBy: number;
  /** the pipes of the pool that rise */
  readonly risingPipes: readonly number[];
}

/** A6 and the seals that coils' paths cross. */
export interface SealFacts {
  readonly list: readonly SealFact[];
  /** trap node → index into list, -1 */
  readonly ofTrap: Int32Array;
  /** pool → index into list, -1 */
  readonly ofPool: Int32Array;
  /** indices into list of sealed traps and sealing pools along a coil's path (coil by position), each once, along the flow */
  readonly onPath: (coil: number) => Int32Array;
  /** coil → length of onPath(coil) */
  readonly countOnPath: Int32Array;
  /** coil → 1 where a doubtful closure (tolerance or unknown bore) lies on its path */
  readonly doubtfulOnPath: Uint8Array;
  /** coil → drop and seal that a water trap at this coil needs (A6, with the margins), whether it has one or not; NaN static unknown */
  readonly dropNeededAt: Float64Array;
  readonly sealNeededAt: Float64Array;
  /** coil → elevation that a vent top must pass, NaN unknown or not asked by the profile */
  readonly leastVentTop: Float64Array;
  /** coil → lowest trip level of a working device at its pan, NaN none or unknown */
  readonly lowestTrip: Float64Array;
}

export interface SealFact {
  readonly kind: "trap" | "unintended";
  /** trap node or -1 */
  readonly trap: number;
  /** pool index or -1 */
  readonly pool: number;
  /** sealed traps only: the seal exists (A4) */
  readonly sealed: boolean;
  /** positions in compiled.coils of the coils whose first trap it is with no pump between, or whose path crosses the pool */
  readonly coils: readonly number[];
  /** the coil that governs (position), -1 */
  readonly governing: number;
  readonly sealDepth: number;
  readonly weirElevation: number;
  readonly drop: number;
  /** half-width of drop */
  readonly dropTolerance: number;
  readonly staticPressure: number;
  readonly head: number;
  readonly panStanding: number;
  readonly dropMargin: number;
  readonly sealMarginStart: number;
  readonly dropNeeded: number;
  readonly sealNeeded: number;
  readonly drainsUpTo: number;
  readonly holdsAtStart: number;
  readonly blowsOutAt: number;
  readonly primingVolume: number;
  readonly daysToOpen: { readonly low: number; readonly best: number; readonly high: number } | null;
  /** seal that the fan alone takes: the fall of the outlet leg at start, or the head of the fan's pressure */
  readonly sealToHold: number;
  /** drop at which the fan alone lets the water leave, with the head that opens a waterless seal or check valve */
  readonly dropToDrain: number;
  /** seal to build: sealNeeded, and with unequal legs the fall of the outlet leg and half the margin */
  readonly sealToBuild: number;
  /** lowest inlet invert above the weir; NaN where nobody states the inlet's level */
  readonly step: number;
  /** half-width of step */
  readonly stepTolerance: number;
  readonly outletBore: number;
  /** pipes whose bore stands for a leg that states none: the inlet's, the outlet's; -1 where it states one */
  readonly inletPipe: number;
  readonly outletPipe: number;
}

/** What pushes a waterless trap or check valve against the flow. Pa; NaN unknown. */
export interface ReversePush {
  /** the fan of its own coil that sucks on it, 0 where it does not */
  readonly suction: number;
  /** depth of the water that stands on its outlet side with the fans off, m, and what it weighs */
  readonly standing: Interval;
  readonly water: Interval;
  /** the strongest fan that blows into the air on its outlet side; low and high over the doubtful closures */
  readonly fan: Interval;
  /** coil (position) of that fan, -1 none */
  readonly blower: number;
  /** coils (positions) whose unknown static decides */
  readonly unknown: readonly number[];
  readonly total: Interval;
}

/** A7 */
export interface LoadFacts {
  /** coil → m³/s, NaN */
  readonly rate: Float64Array;
  /** coil → W, NaN */
  readonly capacity: Float64Array;
  /** coil → RATE_BASIS index, 255 none */
  readonly basis: Uint8Array;
  /** pipe → m³/s, NaN; NaN on pipes that carry no primary condensate */
  readonly designFlow: Float64Array;
  /** pipe → W, NaN */
  readonly connected: Float64Array;
}
export const RATE_BASIS = ["stated", "air-states", "capacity", "rule-of-thumb"] as const;

/** A8. Sizes are nominal (DN number, or outside diameter for metric plastics), 0 = null. */
export interface CapacityFacts {
  readonly bore: Float64Array;
  readonly capacity: Float64Array;
  readonly utilisation: Float64Array;
  readonly flowDepth: Float64Array;
  readonly fillRatio: Float64Array;
  readonly velocity: Float64Array;
  readonly froude: Float64Array;
  readonly codeSize: Uint16Array;
  readonly hydraulicSize: Uint16Array;
  readonly requiredSize: Uint16Array;
  /** 1 where the connected tonnage is above the code table's last row */
  readonly aboveTable: Uint8Array;
  readonly riserBases: readonly RiserBase[];
}

/** The foot of a riser: the vertical pipe, the sloping pipes within ten bores after it, and what is wrong there. */
export interface RiserBase {
  readonly riser: number;
  readonly node: number;
  readonly pipes: readonly number[];
  /** nodes within ten bores at which another drain enters */
  readonly entries: readonly number[];
  /** distance from the foot to the first such entry, NaN none */
  readonly firstEntry: number;
  readonly needed: number;
  /** pipes within ten bores that are level, rising or over capacity */
  readonly poor: readonly number[];
  /** some figure is unknown and nothing else fails */
  readonly unknown: boolean;
}

/** A4: the same partition four ways. Where nothing is doubtful closed and open are the same object as best. */
export interface AirFacts {
  readonly best: AirPartition;
  readonly closed: AirPartition;
  readonly open: AirPartition;
  readonly atFlow: AirPartition;
  readonly atFlowClosed: AirPartition;
  readonly atFlowOpen: AirPartition;
}

export interface AirPartition {
  readonly spaces: readonly AirSpace[];
  /** node → space index, -1 none; for a sealed trap its inlet side */
  readonly ofNode: Int32Array;
  /** sealed trap node → space index of its outlet side, -1; equal to ofNode on other nodes */
  readonly ofOutletSide: Int32Array;
  /** pipe → space index, -1 */
  readonly ofPipe: Int32Array;
}

export interface AirSpace {
  readonly kind: "open" | "pan-side" | "shared-pans" | "bypass" | "trapped";
  readonly onPath: boolean;
  /** nodes */
  readonly openings: readonly number[];
  /** coil nodes under pressure or of unknown static */
  readonly pans: readonly number[];
  readonly nodes: readonly number[];
  readonly pipes: readonly number[];
  readonly traps: readonly number[];
  readonly volume: number;
}

/** A13: what the overflow circuits do when one device alone trips. */
export interface CircuitFacts {
  /** by index in model.devices */
  readonly devices: readonly DeviceFact[];
  /** by index in model.circuits */
  readonly circuits: readonly CircuitFact[];
  /**
   * coil → lowest known trip elevation of a working device at its own pan (not in an auxiliary pan, not a main's) that
   * stops this very coil when it trips alone, m; NaN where there is none, or none of known level
   */
  readonly stoppingTrip: Float64Array;
  /** coil → 1 where the level of such a device is unknown: the lowest trip may lie below `stoppingTrip` */
  readonly stoppingTripUnknown: Uint8Array;
}

export interface DeviceFact {
  /** its state is neither jumpered nor failed */
  readonly works: boolean;
  /** coils (positions, ascending) that stop making water when it trips alone; none where that cannot be told */
  readonly stops: Int32Array;
  /** coils whose suction ends as well; null where the circuit does not say what the fan does */
  readonly stopsFan: boolean | null;
}

/** A yes or no of which null is: cannot be told. */
export interface CircuitFact {
  /** coils (positions, ascending) that it is wired to stop, whatever its devices do */
  readonly coils: Int32Array;
  /** any one working device opens it */
  readonly anyDeviceStops: boolean | null;
  /** opened, its coils make no more water */
  readonly stopsWater: boolean | null;
  /** opened, their fans stop */
  readonly stopsFan: boolean | null;
}

/** A5, for each reading of the doubtful closures (AirFacts); where nothing is doubtful all three are one object. */
export interface LockedAirFacts {
  readonly best: LockedAirReading;
  readonly closed: LockedAirReading;
  readonly open: LockedAirReading;
}

export interface LockedAirReading {
  /** trapped spaces that coils' paths leave through a seal, by their anchor */
  readonly spaces: readonly LockedSpace[];
  /** coil (by position) → what its water must push on before its first outlet or pump; no entry where that is nothing */
  readonly ofCoil: ReadonlyMap<number, LockedAir>;
}

export interface LockedSpace {
  /** index into the spaces of that reading's partition */
  readonly space: number;
  /** its first node; without one, its first trap */
  readonly anchor: number;
  /** positions of the coils whose path leaves it through a seal, ascending */
  readonly coils: readonly number[];
  /** what closes it on the downstream side: indices into seals.list */
  readonly seals: readonly number[];
}

/** Heads in m of water above the coil's first weir, NaN unknown. */
export interface LockedAir {
  /** the trapped spaces, along the flow: indices into that reading's partition */
  readonly spaces: readonly number[];
  /** the seal behind which each of them is left: indices into seals.list, -1 where that is water only by the tolerance */
  readonly seals: readonly number[];
  /** with rigid air, at the tolerance of what stands in the way */
  readonly needed: Interval;
  /** with the air squeezed at constant temperature, each pocket by its own seal */
  readonly neededCompressible: number;
  readonly toOutlet: number;
  readonly toTrip: number;
  readonly toSpill: number;
  /** half-width of the latter three */
  readonly levelTolerance: number;
  /** null: cannot be told */
  readonly outcome: "drains-dry" | "drains-standing" | "trips" | "overflows" | null;
  /** m of water that stays in the pan; NaN where it does not come to rest */
  readonly standing: number;
}

/**
 * A9: what follows if one thing blocks. For every drain below a coil (on a coil's path) the figures stand in flat arrays,
 * NaN on all others; the sets behind them are made on demand. Levels are those of the rising pool: at a running pan under
 * suction the pool stands lower than the water in the pan by the head of the suction.
 */
export interface BackupFacts {
  /** node → pool level at which its own opening (a pan's rim or lower open port, a vent, a cleanout) spills; NaN none or unknown */
  readonly spillLevel: Float64Array;
  /** device → pool level at which it trips; NaN unknown */
  readonly tripLevel: Float64Array;
  /** pipe → pool level of the first spill; NaN where that cannot be told */
  readonly firstSpill: Float64Array;
  /** pipe → index into BACKUP_OUTCOME, 255 where no backup is judged */
  readonly outcome: Uint8Array;
  /** pipe → m³/s that feed the pool */
  readonly inflow: Float64Array;
  /** pipe → m³/s that still come when every device at or below the first spill has tripped; NaN without a first spill */
  readonly inflowAfterTrips: Float64Array;
  /** pipe → coils above, those that pump their water into it included */
  readonly fanCoilsFeeding: Int32Array;
  /**
   * pipe → where nothing contains its blockage, the most downstream drain whose blockage spills at the same openings and
   * leaves the same coils running; -1 elsewhere
   */
  readonly sameSpill: Int32Array;
  /** risers and mains with a blockage that nothing contains or that cannot be judged, by their most downstream drain */
  readonly lines: () => readonly BackupLine[];
  /** the least set of overflow devices and interlocks that contains blockages of these drains, of new devices alone where `isNew`; none where there is no way */
  readonly containing: (drains: readonly number[], isNew?: boolean) => ContainingMeasure[];
  /** everything of one blocked drain; null where no backup is judged */
  readonly ofPipe: (pipe: number) => Backup | null;
  /** a stopped pan outlet (fan coil), trap, pump or receptor (outlet); null for other nodes and on loops */
  readonly ofNode: (node: number) => Backup | null;
  /** what dams up behind a blockage, and where it can leave: for the story of one */
  readonly pools: PoolReader;
  readonly spill: SpillLevels;
  /** what a device (by index in model.devices) sees of blockages further down */
  readonly watch: (device: number) => WatchFact;
  /** what the level switches of each main see together, by the outlet or pump that it leads to */
  readonly mainWatches: () => MainWatch[];
}

export const BACKUP_OUTCOME = ["contained", "told", "harmless", "uncontained", "undetermined"] as const;
export type BackupOutcome = (typeof BACKUP_OUTCOME)[number];

/** One full blockage. */
export interface Backup {
  /** NaN where it cannot be told */
  readonly firstSpill: number;
  /** what spills within the survey tolerance of the first, by node */
  readonly openings: readonly SpillOpening[];
  /** by level, then device */
  readonly trips: readonly { readonly device: number; readonly level: number }[];
  readonly inflow: number;
  readonly inflowAfterTrips: number;
  readonly fanCoilsFeeding: number;
  /** coils (positions, ascending) that feed it and that no trip stops; all of them without a first spill */
  readonly unstopped: readonly number[];
  readonly outcome: BackupOutcome;
  /** where undetermined: nodes of unknown spill level and devices of unknown trip level that decide it */
  readonly unknownSpills: readonly number[];
  readonly unknownTrips: readonly number[];
}

export interface SpillOpening {
  /** the pan, vent, cleanout or receptor; for another drain that carries the water off, the node that it leaves */
  readonly node: number;
  /** pool level at which it spills */
  readonly level: number;
  /** of the opening itself: rim, port, top or weir */
  readonly elevation: number;
  /** the water is told of (a second line, a drained auxiliary pan, another drain) and does not spill */
  readonly told: boolean;
  readonly harmless: boolean;
}

/**
 * A riser: a chain of common drains that single coils' branches join. A main: what carries the water of two such chains or
 * more. Both end at an outlet or pump.
 */
export interface BackupLine {
  /** its most downstream drain */
  readonly pipe: number;
  readonly isMain: boolean;
  /**
   * Drains whose blockage nothing contains, those together that spill at the same openings and leave the same coils running,
   * told at the most downstream of them. Worst first: by whose rooms they wet, then by what keeps coming.
   */
  readonly uncontained: readonly { readonly pipe: number; readonly pipes: readonly number[] }[];
  /** drains whose backup cannot be judged, the most downstream first */
  readonly undetermined: readonly number[];
}

/** What contains blockages of some drains: a device, old or new, that stops every coil above the last of them. */
export interface ContainingMeasure {
  /** an overflow device to be wired to stop more; -1: a new one */
  readonly device: number;
  /** where a new one goes */
  readonly node: number;
  /** highest level at which a new one may trip */
  readonly level: number;
  /** drain above which every coil must stop */
  readonly stopsAbove: number;
  /** drains whose blockage it contains */
  readonly pipes: readonly number[];
}

/** A9 in time, on request: what follows minute by minute if one thing blocks. */
export interface BackupStories {
  /** of a blocked drain; null where no backup is judged */
  readonly ofPipe: (pipe: number) => BackupStory | null;
  /** of a blocked node: a pan outlet, a trap, a pump, a receptor, or any other from where its main way is taken as blocked */
  readonly ofNode: (node: number) => BackupStory | null;
  /** of a blocked drain, the few figures that a rule asks for */
  readonly timesOf: (pipe: number) => BackupTimes;
  /**
   * of a blocked drain: the room for what still comes; null where its first spill is unknown, or that would cost too much:
   * the pool alone, or all that were asked for before it
   */
  readonly afterStop: (pipe: number) => AfterStop | null;
  /** of a blocked drain: the device that would contain it with room for what still comes; null where that cannot be told */
  readonly containmentOf: (pipe: number) => Containment | null;
}

/**
 * A figure counted both ways: `least` without the branches whose air cannot leave (what is not known counts as nothing),
 * `most` with all of them full. NaN: cannot be told.
 */
export interface Counted {
  readonly least: number;
  readonly most: number;
}

/** s from the blockage with the design flow of every coil above; NaN also where it does not come to it. */
export interface BackupTimes {
  readonly firstTrip: Counted;
  readonly firstSpill: Counted;
}

/** How it ends once overflow devices have stopped what feeds a pool, as far as a rule asks. */
export interface AfterStop {
  /** null where not every coil comes to a stop, or that cannot be told */
  readonly afterRun: AfterRun | null;
  /** it spills before they have, in time */
  readonly spills: boolean;
  /** what of the room up to the first spill is of unknown size; none where the room is known */
  readonly gaps: readonly StoryGap[];
}

export type StoryStepKind =
  /** water stands from here on before a coil's pan, which went on draining until now */
  | "joins"
  | "trips"
  /** the water that suction held up in pans runs back */
  | "fans-stop"
  /** water leaves the system */
  | "spills"
  /** another way carries it off, or tells of it */
  | "carried-off"
  /** nothing comes any more */
  | "stands"
  /** it cannot be told any further */
  | "open";

export interface StoryStep {
  readonly kind: StoryStepKind;
  /** pool level once it has happened, NaN where it cannot be told */
  readonly level: number;
  readonly time: Counted;
  /** m³ that have come in (what ran out already included) */
  readonly volume: Counted;
  /** m³/s that come in from here on */
  readonly inflow: number;
  /** index in model.devices, -1 */
  readonly device: number;
  /** coils (positions) that join, that stop, or whose fans do */
  readonly coils: readonly number[];
  /** what spills, carries off, or is of unknown height */
  readonly openings: readonly SpillOpening[];
  /** m³ that run out at once */
  readonly surge: number;
  /** counted which way it comes to it: with the branches whose air cannot leave full, with them empty, or either */
  readonly where: "either" | "full" | "empty";
}

/** What holds the water at the end of a story, m³ more than before it. */
export interface HeldWater {
  readonly kind: "pipe" | "riser" | "vent" | "pan" | "sump" | "receptor";
  /** -1 for what is no pipe */
  readonly pipe: number;
  readonly node: number;
  /** NaN where nobody gave what it takes */
  readonly volume: number;
  /** no air can leave it: it may hold as good as nothing */
  readonly airtight: boolean;
}

/** The water that stopped coils still make. */
export interface AfterRun {
  readonly perCoil: number;
  readonly coils: number;
  readonly volume: number;
  /** m³ up to the first spill */
  readonly room: Counted;
  /** pool level once it has come, NaN where it spills or cannot be told */
  readonly level: number;
  /** null: cannot be told */
  readonly fits: boolean | null;
}

/** One more overflow device that would contain a blockage. */
export interface Containment {
  /** where the pool begins to rise, and the device sits */
  readonly node: number;
  /** highest pool level at which it may trip so that what still comes stays below every opening; NaN: none is low enough */
  readonly highestTrip: number;
  /** coils (positions) that it must stop */
  readonly stops: readonly number[];
  /** working devices that trip low enough already, and whose circuits would have to stop all of those */
  readonly devices: readonly number[];
}

/** What is not known: kinds say what it bears upon. */
export interface StoryGap {
  readonly kind:
    | "way-out"
    | "pan-area"
    | "bore"
    | "sump"
    | "receptor"
    | "rate"
    | "opening"
    | "trip"
    | "wiring"
    | "fan"
    | "static";
  readonly node: number;
  readonly pipe: number;
  readonly device: number;
}

export interface BackupStory {
  readonly backup: Backup;
  /** coils (positions, ascending) whose water comes */
  readonly coils: readonly number[];
  /** the drain that is blocked, -1 where a pan outlet, trap, pump or receptor is */
  readonly pipe: number;
  /** the node from which the pool rises, and its level there */
  readonly at: number;
  readonly start: number;
  readonly steps: readonly StoryStep[];
  readonly times: BackupTimes;
  readonly held: readonly HeldWater[];
  /** m³/s that run out at the end; 0 where nothing does */
  readonly spilling: number;
  /** null where no coil was stopped, or water runs out all the same */
  readonly afterRun: AfterRun | null;
  /** null where the blockage is contained, told of or harmless, or that cannot be told */
  readonly containment: Containment | null;
  /** of a blocked drain: bore at which its capacity is down to the design flow, m; NaN where it has none or none is known */
  readonly boreLeft: number;
  readonly gaps: readonly StoryGap[];
}

/** What one overflow device sees of blockages further down. */
export interface WatchFact {
  /** it watches more than one coil's water: seated in a main, or at a node of a common drain */
  readonly isMain: boolean;
  /** drains whose blockage it sees at or before the first spill; NaN where its trip level is unknown */
  readonly sees: number;
  /** common drains whose blockage it does not see */
  readonly unseenCommonPipes: number;
}

/** What the level switches of a main see together of its common drains. */
export interface MainWatch {
  /** outlet or pump */
  readonly end: number;
  /** main-level devices (by index in model.devices), those that do not work included */
  readonly devices: readonly number[];
  /** how many common drains lead to that end whose blockage would do harm without being told of */
  readonly common: number;
  /** of these, drains behind which something spills before any of the devices trips */
  readonly unseen: readonly number[];
  /** drains of which that cannot be told */
  readonly open: readonly number[];
}

/** Who looks after what: as stated, else by whose coils drain through it. */
export interface ZoneFacts {
  readonly node: readonly ZoneFact[];
  readonly pipe: readonly ZoneFact[];
  /** the document states a zone or an owner somewhere */
  readonly given: boolean;
}

export interface ZoneFact {
  readonly zone: "private" | "common" | null;
  /** an owner's or a dwelling's id: whose leave it takes; null: not known, or common of nobody in particular */
  readonly owner: string | null;
  /** by the document's own zone, owner or dwelling; else derived from the coils that drain through it */
  readonly stated: boolean;
}

/** A14: where drains can be worked from, and what a cleaning tool reaches from there. */
export interface AccessFacts {
  /** ascending by node, one a node; those with `accessible` false are none */
  readonly points: readonly AccessPoint[];
  readonly lines: readonly DrainLine[];
  /** pipe → index into lines, -1 where it is no drain */
  readonly lineOf: Int32Array;
  /** from every point, by the profile's reach */
  readonly any: Readings<Reach>;
  /** from the points that no private dwelling holds; null where the document says nothing of zones */
  readonly common: Readings<Reach> | null;
  /** down from every point, by the spacing of cleanouts that the profile's code asks of level drains; null: it asks none */
  readonly spaced: Readings<Reach> | null;
  /** pipe → 1 where that spacing is asked of it: sloping, and not above the lowest floor */
  readonly isSpaced: Uint8Array;
  /** what of those drains of a line that are asked for tools do not reach; null: nothing */
  readonly gap: (line: number, reach: Reach, asked: (pipe: number) => boolean) => AccessGap | null;
  /**
   * Where further points would let those drains of a line be reached whole (what is unknown counting against). Each is set
   * in one of them, as far down as it still reaches back to what is not reached; new points on neighboring lines are not
   * counted on. None where no sober number of them would do.
   */
  readonly places: (line: number, reach: Reach, asked: (pipe: number) => boolean) => AccessPlace[];
  /** bends whose angle nobody gave and no plan coordinates tell */
  readonly unknownBends: readonly number[];
}

/**
 * `sure`: whatever nobody gave counts against (an unknown bend as 90°, an outlet of unknown connection as no free end, a
 * vent of unknown size as too narrow, a point of unknown zone as private); `possible`: it counts in favor. One object
 * where nothing is unknown.
 */
export interface Readings<T> {
  readonly sure: T;
  readonly possible: T;
}

export interface AccessPoint {
  readonly node: number;
  readonly kind: "cleanout" | "vent" | "removable" | "pan-outlet" | "free-end";
  /** false: an outlet whose connection nobody gave */
  readonly certain: boolean;
}

/** What of a line no tool reaches; distance and turn tell why, at its first stretch. */
export interface AccessGap {
  /** along the flow, those that hold some of it */
  readonly pipes: readonly number[];
  /** m, in all */
  readonly length: number;
  /** node of the nearest point, -1: no tool comes near it */
  readonly point: number;
  /** m from there to its far end; where tools come to both its ends, to the middle between them; NaN without a point */
  readonly distance: number;
  /** degrees that a tool from there has turned, or would have, when it comes to it */
  readonly turn: number;
}

/** A place in a pipe, `at` metres below its upper end. */
export interface AccessPlace {
  readonly pipe: number;
  readonly at: number;
}

/** Drains in line, from a coil, trap, pump, dead end or joint to the next trap, pump, outlet or the joint with a larger line. */
export interface DrainLine {
  /** along the flow */
  readonly pipes: readonly number[];
  readonly length: number;
}

/**
 * What a tool reaches. An end is pipe·2 for the upper (`from`), pipe·2 + 1 for the lower (`to`); a tool enters a pipe at
 * an end and goes on to the other.
 */
export interface Reach {
  /** limits: m and degrees */
  readonly length: number;
  readonly turn: number;
  /** tools go with the flow only */
  readonly onlyDownstream: boolean;
  /** end → node of the nearest point from which a tool comes so far, -1 none */
  readonly point: Int32Array;
  /** end → length and turns from that point to this end, NaN none */
  readonly lengthTo: Float64Array;
  readonly turnTo: Float64Array;
  /** pipe → 1 where tools from its two ends together reach all of it */
  readonly whole: Uint8Array;
  /** nodes passed from the point to an end, both counted */
  readonly route: (end: number) => number[];
}

/** A11: sag between supports, computed once for all pipes of a sort. */
export interface SupportFacts {
  /** pipe → HANGS */
  readonly hangs: Uint8Array;
  /** pipe → index into spans; -1 where it keeps no line of its own between supports, or their spacing is not given */
  readonly ofPipe: Int32Array;
  readonly spans: readonly SpanFact[];
}

/** Whether a pipe lies on supports that keep its fall: it slopes and carries water, in no slab and not in the ground. */
export const HANGS = { not: 0, itself: 1, flexible: 2 } as const;

/** Each span for itself, which is the most that it sags, and an inner span of a continuous line, which is the least. */
export interface SagBounds {
  readonly simple: number;
  readonly continuous: number;
}

/** NaN where the pipe's size or the stiffness of its material is not known. */
export interface SpanFact {
  /** m between supports; 0 carried all along */
  readonly spacing: number;
  /** °C, of the space */
  readonly temperature: number;
  /** Pa, at that temperature */
  readonly modulus: number;
  /** m, at mid-span, full of water */
  readonly deflection: SagBounds;
  /** least installed grade at which the pipe nowhere rises between supports */
  readonly leastGrade: SagBounds;
  /** the same after a load of fifty years at room temperature */
  readonly lastingLeastGrade: SagBounds;
  /** longest spacing, m, at which simple spans keep a grade; NaN where there is none */
  readonly spacingFor: (grade: number) => number;
}

/** A12: sweating, computed once for all pipes of a sort. */
export interface SweatFacts {
  /** pipe → index into surfaces; -1 where it carries no cold water, or lies outdoors, in a slab or in the ground */
  readonly ofPipe: Int32Array;
  readonly surfaces: readonly SurfaceFact[];
}

/** °C; NaN where the air, the pipe's size or a conductivity is not known. */
export interface SurfaceFact {
  readonly airTemperature: number;
  /** −Infinity of dry air */
  readonly dewPoint: number;
  /** dew point and margin: what a surface must reach */
  readonly needed: number;
  readonly waterTemperature: number;
  /** m of insulation; 0 bare, NaN not given */
  readonly thickness: number;
  /** surface of the bare pipe, its wall counted */
  readonly bare: number;
  /** surface of the insulation as stated */
  readonly insulated: number;
  /** m; 0 where none is needed, Infinity where none suffices */
  readonly leastThickness: number;
}
