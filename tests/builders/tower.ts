import {
  cassette,
  drainSwitch,
  dwellingCoil,
  faultyCoil,
  LETTER,
  ROOMS,
  type Room,
  riserStorey,
  traplessCassette,
  UNIT_FAULTS,
  type UnitFault,
  USUAL_RISER_SIZE,
  wyeAbove,
} from "./coil-typicals.js";
import { addGroundFloor } from "./ground-floor.js";
import {
  type NetworkDocument,
  type Placement,
  type Typical,
  toMillimetre,
  twoDigits,
  writtenOut,
} from "./network-document.js";
import { sizeFor, TON } from "./pipe-sizes.js";
import { seeded } from "./seeded.js";

export interface TowerOptions {
  readonly id: string;
  readonly name: string;
  /** storeys with dwellings, above a ground floor that holds the sloping mains */
  readonly storeys: number;
  /** risers; each serves one dwelling of two coils on every storey */
  readonly risers: number;
  readonly seed: number;
  /** all dwellings on a riser are alike, as designers draw them; else each draws its own coils and lengths */
  readonly alike?: boolean;
  /** share of the coils that get a fault, 0 … 1 */
  readonly faultShare?: number;
  readonly stage?: "design" | "as-built";
  /** metres */
  readonly surveyTolerance?: number;
  /** five coils of the ground floor: reading room, gymnasium, lobby */
  readonly amenities?: boolean;
  /** every common drain has level switches that stop what drains into it; else each pan's switch stops its own coil alone */
  readonly watched?: boolean;
}

const GROUND_HEIGHT = 4.5;
const STOREY_HEIGHT = 3.2;

export const floorLevel = (storey: number): number =>
  storey === 0 ? 0 : toMillimetre(GROUND_HEIGHT + (storey - 1) * STOREY_HEIGHT);

/**
 * A tower whose two-coil dwellings stand on risers, the risers' feet joined by sloping mains to floor sinks. The coils and
 * the riser's storeys are placements of typicals; five nodes and pipes per coil: coil, trap, vented tee, vent, wye. Without
 * faults nothing in it should fail. The same options give the same document.
 */
export const tower = (options: TowerOptions): NetworkDocument => {
  const surveyed = options.stage === "as-built";
  const document: NetworkDocument & { typicals: Record<string, Typical>; placements: Placement[] } = {
    format: 1,
    id: options.id,
    name: options.name,
    units: "si",
    profile: "imc",
    stage: options.stage ?? "design",
    floors: [{ id: "G", name: "Ground floor", elevation: 0 }],
    owners: [{ id: "association" }],
    site: {
      humid: true,
      freezes: false,
      idleDays: 0,
      indoorAir: { dryBulb: 24, relativeHumidity: 0.55 },
      ceilingAir: { dryBulb: 27, relativeHumidity: 0.6 },
      shaftAir: { dryBulb: 26, relativeHumidity: 0.55 },
      pressure: 101325,
      ...(options.surveyTolerance === undefined ? {} : { surveyTolerance: options.surveyTolerance }),
    },
    typicals: {
      living: dwellingCoil("living", surveyed),
      bedroom: dwellingCoil("bedroom", surveyed),
      "riser-storey": riserStorey(STOREY_HEIGHT, surveyed, options.watched === true),
      ...(options.amenities
        ? { cassette: cassette(surveyed), "cassette-without-trap": traplessCassette(surveyed) }
        : {}),
    },
    placements: [],
    nodes: [],
    pipes: [],
    overflowDevices: [],
    circuits: [],
  };
  for (let storey = 1; storey <= options.storeys; storey++) {
    document.floors.push({ id: twoDigits(storey), name: `Level ${storey}`, elevation: floorLevel(storey) });
    for (let riser = 1; riser <= options.risers; riser++)
      document.owners.push({ id: `${twoDigits(storey)}${twoDigits(riser)}` });
  }
  const drawn = draw(options);
  placeCoils(document, drawn, surveyed);
  const feet = Array.from({ length: options.risers }, (_, index) => index + 1).map((riser) => ({
    riser,
    load: drawn.filter((unit) => unit.riser === riser).reduce((sum, unit) => sum + unit.watts, 0),
  }));
  const footLevels = addGroundFloor(document, feet, options.amenities === true);
  if (options.watched) watchMains(document, surveyed);
  for (const riser of footLevels.keys()) placeRiser(document, options.storeys, riser, drawn, footLevels.get(riser)!);
  return document;
};

/** A tower of about so many coils, without shorthand: 25 storeys of two-coil dwellings, as many risers as it takes. */
export const towerOfCoils = (coils: number, seed: number, faultShare = 0.05): NetworkDocument =>
  writtenOut(
    tower({
      id: `reedlight-${coils}`,
      name: `Reedlight, ${coils} coils`,
      storeys: 25,
      risers: Math.max(1, Math.round(coils / 50)),
      seed,
      faultShare,
    }),
  );

/** A level switch where each pipe of the mains begins, but at the feet of risers, whose own see what backs up into them. */
const watchMains = (document: NetworkDocument, surveyed: boolean): void => {
  for (const { from } of document.pipes) {
    if (/^B-/.test(from as string)) continue;
    const { overflowDevices, circuits } = drainSwitch(from as string, surveyed);
    document.overflowDevices.push(...overflowDevices!);
    document.circuits.push(...circuits!);
  }
};

/** One dwelling's coil: what differs from its typical. */
interface Unit {
  readonly riser: number;
  readonly storey: number;
  readonly room: Room;
  readonly fault: UnitFault | null;
  readonly watts: number;
  /** fields of the coil */
  readonly coil: Readonly<Record<string, unknown>>;
  /** of the branch, m */
  readonly length: number;
}

/** The units of a tower, riser by riser from the top down. */
const draw = (options: TowerOptions): Unit[] => {
  const random = seeded(options.seed);
  const faultShare = options.faultShare ?? 0;
  const drawOne = (riser: number, storey: number, room: Room): Omit<Unit, "riser" | "storey" | "room"> => {
    const watts = ROOMS[room].capacities[Math.floor(random() * 3)]!;
    const panStatic = -(60 + 10 * Math.floor(random() * 10));
    const stated = random();
    const chance = random();
    return {
      watts,
      fault: chance < faultShare ? UNIT_FAULTS[Math.floor((chance / faultShare) * UNIT_FAULTS.length)]! : null,
      coil: {
        // one coil in eight states its capacity in tons, one in eight its peak rate, as schedules do
        coolingCapacity: stated < 0.125 ? `${Math.round((watts / TON) * 1000) / 1000} ton` : watts / 1000,
        ...(stated > 0.875 ? { condensateRate: Math.round(watts * 0.0004 * 100) / 100 } : {}),
        panStatic,
      },
      length: toMillimetre(ROOMS[room].shortest + 0.2 * ((storey + riser) % 5)),
    };
  };
  const units: Unit[] = [];
  for (let riser = 1; riser <= options.risers; riser++) {
    const stack = options.alike
      ? { living: drawOne(riser, 0, "living"), bedroom: drawOne(riser, 0, "bedroom") }
      : undefined;
    for (let storey = options.storeys; storey >= 1; storey--)
      for (const room of ["living", "bedroom"] as const)
        units.push({ riser, storey, room, ...(stack?.[room] ?? drawOne(riser, storey, room)) });
  }
  return units;
};

/** Places every unit, those of one riser that are alike together. */
const placeCoils = (
  document: { typicals: Record<string, Typical>; placements: Placement[] },
  units: readonly Unit[],
  surveyed: boolean,
): void => {
  const together = new Map<string, Placement & { repeat: { floors: string[] } }>();
  for (const { riser, storey, room, fault, coil, length } of units) {
    const typical = fault === null ? room : `${room}-${fault}`;
    if (fault !== null) document.typicals[typical] ??= faultyCoil(room, surveyed, fault);
    const key = JSON.stringify([riser, typical, coil, length]);
    const known = together.get(key);
    if (known !== undefined) {
      known.repeat.floors.push(twoDigits(storey));
      continue;
    }
    const made = {
      typical,
      id: `{floor}${twoDigits(riser)}-${LETTER[room]}`,
      at: { floor: "{floor}", above: ROOMS[room].above },
      dwelling: `{floor}${twoDigits(riser)}`,
      owner: `{floor}${twoDigits(riser)}`,
      zone: "private",
      ...(document.typicals[typical]!.joints === undefined
        ? {}
        : { joins: { main: `R${riser}-{floor}/wye-${LETTER[room]}` } }),
      set: { coil: { ...coil }, ...(fault === null ? { branch: { length } } : {}) },
      repeat: { floors: [twoDigits(storey)] },
    };
    together.set(key, made);
    document.placements.push(made);
  }
};

/** Places the storeys of a riser down to its foot; each sized for the coils above it. */
const placeRiser = (
  document: NetworkDocument & { placements: Placement[] },
  storeys: number,
  riser: number,
  units: readonly Unit[],
  foot: number,
): void => {
  let load = 0;
  for (let storey = storeys; storey >= 1; storey--) {
    const own = units.filter((unit) => unit.riser === riser && unit.storey === storey);
    const [upper, lower] = own.map(({ watts }) => {
      load += watts;
      return sizeFor(load);
    }) as [number, number];
    const last = storey === 1;
    const length = toMillimetre(floorLevel(1) + wyeAbove("bedroom") - foot);
    document.placements.push({
      typical: "riser-storey",
      id: `R${riser}-${twoDigits(storey)}`,
      at: { floor: twoDigits(storey), above: 0 },
      owner: "association",
      zone: "common",
      joins: { below: last ? `B-${twoDigits(riser)}` : `R${riser}-${twoDigits(storey - 1)}/wye-A` },
      set: {
        ...(storey === storeys ? { "wye-A": { vent: { top: STOREY_HEIGHT + 0.5, size: 32 } } } : {}),
        ...(storey % 4 === 0 ? { "wye-B": { cleanout: { opening: 80, capped: true } } } : {}),
        ...(upper === USUAL_RISER_SIZE ? {} : { upper: { size: upper } }),
        ...(lower === USUAL_RISER_SIZE && !last ? {} : { lower: { size: lower, ...(last ? { length } : {}) } }),
      },
    });
  }
};
