import { type Element, type NetworkDocument, toMillimetre } from "./network-document.js";
import { seeded } from "./seeded.js";

/** What can be wrong with one dwelling's coil, branch or vent. */
export const UNIT_FAULTS = [
  "no-trap",
  "no-branch-vent",
  "capped-vent",
  "low-vent",
  "flat-branch",
  "back-fall",
  "sealing-sag",
  "second-trap",
  "reduction",
  "large-outlet",
  "vent-before-trap",
  "open-second-port",
  "no-outlet",
] as const;
export type UnitFault = (typeof UNIT_FAULTS)[number];

export interface TowerOptions {
  readonly id: string;
  readonly name: string;
  /** storeys with dwellings, above a ground floor that holds the sloping mains */
  readonly storeys: number;
  /** risers; each serves one dwelling of two coils on every storey */
  readonly risers: number;
  readonly seed: number;
  /** share of the coils that get a fault, 0 … 1 */
  readonly faultShare?: number;
  readonly stage?: "design" | "as-built";
  /** metres */
  readonly surveyTolerance?: number;
  /** five coils of the ground floor: reading room, gymnasium, lobby */
  readonly amenities?: boolean;
}

const TON = 3516.8528420667;
const GROUND_HEIGHT = 4.5;
const STOREY_HEIGHT = 3.2;
/** Level of the lowest riser foot's connection above the outlet end of its main, and what a main may carry. */
const MAIN_HEAD = 3.75;
const MOST_TONS_ON_A_MAIN = 160;

/**
 * Nominal sizes for connected tons, the larger of two tables: the code's (20, 40, 90, 125, 250 t) and the far more cautious
 * good-practice one of a published design guide (2, 5, 30, 50, 160, 300, 430 t). The second governs throughout.
 */
const SIZES: readonly (readonly [tons: number, size: number])[] = [
  [2, 20],
  [5, 25],
  [30, 32],
  [50, 40],
  [160, 50],
  [300, 80],
  [430, 100],
];
const sizeFor = (watts: number): number => (SIZES.find(([tons]) => watts <= tons * TON) ?? [0, 150])[1];

const two = (n: number): string => String(n).padStart(2, "0");
export const floorLevel = (storey: number): number =>
  storey === 0 ? 0 : toMillimetre(GROUND_HEIGHT + (storey - 1) * STOREY_HEIGHT);

/**
 * A tower whose two-coil dwellings stand on risers, the risers' feet joined by sloping mains to floor sinks. Five nodes and
 * pipes per coil: coil, trap, vented tee, vent, wye. Without faults nothing in it should fail. The same options give the
 * same document.
 */
export const tower = (options: TowerOptions): NetworkDocument => {
  const random = seeded(options.seed);
  const surveyed = options.stage === "as-built";
  const document: NetworkDocument = {
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
      pressure: 101325,
      ...(options.surveyTolerance === undefined ? {} : { surveyTolerance: options.surveyTolerance }),
    },
    nodes: [],
    pipes: [],
    overflowDevices: [],
    circuits: [],
  };
  const { nodes, pipes } = document;
  for (let storey = 1; storey <= options.storeys; storey++) {
    document.floors.push({ id: `L${storey}`, name: `Level ${storey}`, elevation: floorLevel(storey) });
    for (let riser = 1; riser <= options.risers; riser++) document.owners.push({ id: dwellingOf(storey, riser) });
  }
  const feet: { riser: number; load: number; addLateral: (end: string, level: number) => void }[] = [];
  for (let riser = 1; riser <= options.risers; riser++) {
    let load = 0;
    let above: { id: string; level: number; pipe: string } | null = null;
    const joinRiser = (wye: string, level: number, pipe: string) => {
      if (above !== null) pipes.push(riserPipe(above.pipe, above.id, wye, above.level - level, load));
      above = { id: wye, level, pipe };
    };
    for (let storey = options.storeys; storey >= 1; storey--) {
      for (const letter of ["A", "B"] as const) {
        const unit = addUnit(document, {
          riser,
          storey,
          letter,
          random,
          surveyed,
          faultShare: options.faultShare ?? 0,
        });
        const top = storey === options.storeys && letter === "A";
        nodes.push({
          id: unit.wye,
          kind: "junction",
          fitting: "wye",
          elevation: unit.wyeLevel,
          floor: `L${storey}`,
          zone: "common",
          owner: "association",
          accessible: true,
          ...(top
            ? { vent: { top: toMillimetre(floorLevel(options.storeys) + STOREY_HEIGHT + 0.5), size: 32 } }
            : letter === "B" && storey % 4 === 0
              ? { cleanout: { opening: 80, capped: true } }
              : {}),
        });
        joinRiser(unit.wye, unit.wyeLevel, `R-${unit.name}`);
        load += unit.coolingCapacity;
      }
    }
    const last = above as unknown as { id: string; level: number; pipe: string };
    const total = load;
    feet.push({
      riser,
      load: total,
      addLateral: (foot, level) => pipes.push(riserPipe(last.pipe, last.id, foot, last.level - level, total)),
    });
  }
  for (const group of mainsOf(feet)) addMain(document, group, options.amenities === true);
  return document;
};

/** A tower of about so many coils: 25 storeys of two-coil dwellings, as many risers as it takes. */
export const towerOfCoils = (coils: number, seed: number, faultShare = 0.05): NetworkDocument =>
  tower({
    id: `reedlight-${coils}`,
    name: `Reedlight, ${coils} coils`,
    storeys: 25,
    risers: Math.max(1, Math.round(coils / 50)),
    seed,
    faultShare,
  });

const dwellingOf = (storey: number, riser: number): string => `${two(storey)}${two(riser)}`;

const riserPipe = (id: string, from: string, to: string, height: number, load: number): Element => ({
  id,
  from,
  to,
  size: sizeFor(load),
  material: "pvc-sch40",
  length: toMillimetre(height),
  space: "shaft",
  zone: "common",
  owner: "association",
  supportSpacing: 3,
  insulation: { thickness: 13, conductivity: 0.036 },
});

const branchPipe = (
  id: string,
  from: string,
  to: string,
  length: number,
  dwelling: string,
  more: object = {},
): Element => ({
  id,
  from,
  to,
  size: 20,
  material: "pvc-sch40",
  length: toMillimetre(length),
  zone: "private",
  owner: dwelling,
  supportSpacing: 0.9,
  insulation: { thickness: 13, conductivity: 0.036 },
  ...more,
});

const mainPipe = (id: string, from: string, to: string, length: number, load: number, more: object = {}): Element => ({
  id,
  from,
  to,
  size: sizeFor(load),
  material: "pvc-sch40",
  length: toMillimetre(length),
  zone: "common",
  owner: "association",
  supportSpacing: 1.2,
  insulation: { thickness: 13, conductivity: 0.036 },
  ...more,
});

interface Place {
  readonly riser: number;
  readonly storey: number;
  readonly letter: "A" | "B";
  readonly random: () => number;
  readonly surveyed: boolean;
  readonly faultShare: number;
}

/** Cooling capacities (W) of living rooms and bedrooms. */
const CAPACITIES = { A: [5000, 5300, 6200], B: [3200, 3500, 4100] } as const;

/** One coil with its trap, vented tee and branch down to the riser's wye. */
const addUnit = (document: NetworkDocument, place: Place) => {
  const { nodes, pipes } = document;
  const { random, letter, storey } = place;
  const dwelling = dwellingOf(storey, place.riser);
  const name = `${dwelling}-${letter}`;
  const floor = `L${storey}`;
  const [coil, trap, tee, wye] = [`FC-${name}`, `T-${name}`, `J-${name}`, `W-${name}`];
  const coolingCapacity = CAPACITIES[letter][Math.floor(random() * 3)]!;
  const panStatic = -(60 + 10 * Math.floor(random() * 10));
  const stated = random();
  const draw = random();
  const fault =
    draw < place.faultShare ? UNIT_FAULTS[Math.floor((draw / place.faultShare) * UNIT_FAULTS.length)]! : null;
  const abovefloor = letter === "A" ? 2.8 : 2.62;
  const pan = toMillimetre(floorLevel(storey) + abovefloor);
  const at = { floor, dwelling, zone: "private", owner: dwelling };
  nodes.push({
    id: coil,
    kind: "fan-coil",
    elevation: { floor, above: abovefloor },
    ...at,
    unitType: "ducted",
    cooling: "chilled-water",
    serves: dwelling,
    // one coil in eight states its capacity in tons, one in eight its peak rate, as schedules do
    coolingCapacity:
      stated < 0.125 ? `${Math.round((coolingCapacity / TON) * 1000) / 1000} ton` : coolingCapacity / 1000,
    sensibleHeatRatio: 0.74,
    ...(stated > 0.875 ? { condensateRate: Math.round(coolingCapacity * 0.0004 * 100) / 100 } : {}),
    fanPosition: "draw-through",
    panStatic,
    pan: {
      rimHeight: 50,
      area: 0.28,
      outletSize: fault === "large-outlet" ? 25 : 20,
      outletMaterial: "pvc-sch40",
      secondary: { height: 40, is: fault === "open-second-port" ? "open" : "plugged" },
    },
    connectedPort: "primary",
    location: "ceiling",
    filterAccessClear: true,
    ...(letter === "A" ? { trapRequirement: { drop: 40, sealDepth: 38 } } : {}),
    ...(place.surveyed ? { connection: { threadSealant: "non-hardening", cemented: false, handTight: true } } : {}),
  });
  document.overflowDevices.push({
    id: `FS-${name}`,
    at: coil,
    type: "float-switch",
    seat: "primary-pan",
    tripHeight: 25,
    contact: "nc",
    ...(place.surveyed ? { state: "working" } : {}),
    circuit: `C-${name}`,
  });
  document.circuits.push({ id: `C-${name}`, arrangement: "series", breaks: "valve-and-fan", stops: [coil] });

  const length = toMillimetre((letter === "A" ? 2.4 : 2) + 0.2 * ((storey + place.riser) % 5));
  const weir = toMillimetre(pan - 0.059);
  const teeLevel = toMillimetre(pan - 0.067);
  const wyeLevel = toMillimetre(teeLevel - toMillimetre(0.027 * length));
  const trapFields = { sealDepth: 50, inletDrop: 45, removable: true, ...(place.surveyed ? { primed: true } : {}) };
  const vent = {
    top: toMillimetre(pan + (fault === "low-vent" ? 0.01 : 0.2)),
    size: 20,
    ...(fault === "capped-vent" ? { capped: true } : {}),
  };
  const addPoint = (id: string, elevation: number, more: object = {}) => {
    nodes.push({ id, kind: "point", elevation: toMillimetre(elevation), ...at, ...more });
    return id;
  };
  const branch = (id: string, from: string, to: string, long: number, more: object = {}) =>
    pipes.push(branchPipe(id, from, to, long, dwelling, more));

  // pan to tee
  if (fault === "no-trap") {
    branch(`P-${name}1`, coil, tee, 0.7);
  } else {
    nodes.push({ id: trap, kind: "trap", elevation: weir, ...at, ...trapFields });
    if (fault === "vent-before-trap") {
      const early = addPoint(`V-${name}`, pan - 0.007, { vent: { top: toMillimetre(pan + 0.2), size: 20 } });
      branch(`P-${name}0`, coil, early, 0.2);
      branch(`P-${name}1`, early, trap, 0.2);
    } else {
      branch(`P-${name}1`, coil, trap, 0.4, fault === "reduction" ? { size: 25 } : {});
    }
    if (fault === "sealing-sag") {
      const sag = addPoint(`K-${name}`, teeLevel - 0.032);
      branch(`P-${name}2`, trap, sag, 0.6);
      branch(`P-${name}2b`, sag, tee, 0.6);
    } else if (fault === "second-trap") {
      // lower than the first by its own step: what is left of the fall then stands in the last piece to the riser
      const second = `T2-${name}`;
      const inlet = toMillimetre(weir - 0.015);
      nodes.push({
        id: second,
        kind: "trap",
        elevation: toMillimetre(inlet - 0.015),
        ...at,
        ...trapFields,
        inletDrop: 15,
      });
      branch(`P-${name}2`, trap, second, 0.5);
      branch(`P-${name}2b`, second, tee, 0.3);
    } else {
      branch(`P-${name}2`, trap, tee, 0.3, fault === "reduction" ? { size: 25 } : {});
    }
  }
  const lowered = fault === "second-trap" ? 0.03 : 0;
  addPoint(tee, teeLevel - lowered, fault === "no-branch-vent" ? {} : { vent });

  // tee to riser
  if (fault === "no-outlet") {
    branch(`P-${name}3`, tee, addPoint(`E-${name}`, wyeLevel), length);
  } else if (fault === "flat-branch") {
    const drop = addPoint(`K-${name}`, teeLevel - 0.005);
    branch(`P-${name}3`, tee, drop, length);
    branch(`P-${name}4`, drop, wye, toMillimetre(teeLevel - 0.005 - wyeLevel));
  } else if (fault === "back-fall") {
    const low = addPoint(`K-${name}`, wyeLevel - 0.012);
    branch(`P-${name}3`, tee, low, length - 1);
    branch(`P-${name}4`, low, wye, 1);
  } else {
    branch(`P-${name}3`, tee, wye, length);
  }
  return { name, wye, wyeLevel, coolingCapacity };
};

interface Foot {
  readonly riser: number;
  readonly load: number;
  readonly addLateral: (foot: string, level: number) => void;
}

/** Risers share a main until its good-practice size would pass 2 in. */
const mainsOf = (feet: readonly Foot[]): Foot[][] => {
  const groups: Foot[][] = [];
  let load = Number.POSITIVE_INFINITY;
  for (const foot of feet) {
    load += foot.load;
    if (load > MOST_TONS_ON_A_MAIN * TON) {
      groups.push([]);
      load = foot.load;
    }
    groups[groups.length - 1]!.push(foot);
  }
  return groups;
};

const MAIN_GRADE = 0.024;
const MAIN_STEP = 5;

/**
 * The main of one group: it starts at the foot of the first riser, takes the others' laterals into its crown every 10 m, has
 * a cleanout half-way between, and falls plumb from its end to a floor sink.
 */
const addMain = (document: NetworkDocument, group: readonly Foot[], amenities: boolean): void => {
  const { nodes, pipes } = document;
  const common = { floor: "G", zone: "common", owner: "association" };
  let level = MAIN_HEAD;
  let load = 0;
  let end = "";
  const extend = (id: string, length: number, node: Record<string, unknown>) => {
    const next = toMillimetre(level - MAIN_GRADE * length);
    pipes.push(mainPipe(`M-${end}`, end, id, length, load));
    nodes.push({ id, elevation: next, ...common, ...node });
    level = next;
    end = id;
  };
  const junction = { kind: "junction", fitting: "wye", accessible: true };
  group.forEach((foot, index) => {
    const number = two(foot.riser);
    const last = index === group.length - 1;
    if (index === 0) {
      end = `B-${number}`;
      nodes.push({ id: end, kind: "bend", angle: 90, elevation: level, ...common });
      foot.addLateral(end, level);
    } else {
      extend(`M-${number}`, MAIN_STEP, junction);
      const bend = `B-${number}`;
      const bendLevel = toMillimetre(level + 0.035 + 0.032);
      nodes.push({ id: bend, kind: "bend", angle: 90, elevation: bendLevel, ...common });
      foot.addLateral(bend, bendLevel);
      pipes.push(mainPipe(`L-${number}`, bend, end, 1.2, foot.load, { toInvert: toMillimetre(level + 0.035) }));
    }
    load += foot.load;
    if (amenities && index === 0) {
      extend("M-GYM", 3, junction);
      load += addGymnasium(document, level);
      extend(`MC-${number}`, MAIN_STEP - 3, { kind: "cleanout", opening: 80, capped: true, accessible: true });
    } else if (amenities && last) {
      extend("M-LOBBY", 3, junction);
      load += addLobby(document, level);
      extend(`MC-${number}`, MAIN_STEP - 3, { kind: "cleanout", opening: 80, capped: true, accessible: true });
    } else {
      extend(`MC-${number}`, MAIN_STEP, { kind: "cleanout", opening: 80, capped: true, accessible: true });
    }
  });
  const first = two(group[0]!.riser);
  const head = `MD-${first}`;
  extend(head, 1.5, { kind: "bend", angle: 90 });
  const sink = `O-${first}`;
  pipes.push(mainPipe(`M-${head}`, head, sink, toMillimetre(level - 0.2), load, { supportSpacing: 1.5 }));
  nodes.push(floorSink(sink));
  if (amenities) addReadingRoom(document);
};

const floorSink = (id: string): Element => ({
  id,
  kind: "outlet",
  elevation: 0.2,
  floor: "G",
  zone: "common",
  owner: "association",
  accessible: true,
  discharge: "floor-sink",
  connection: "air-gap",
  airGap: 200,
  receptor: { rim: 0, trapped: true, accessible: true, spillHarmless: true },
});

const groundCoil = (
  document: NetworkDocument,
  id: string,
  elevation: number,
  kilowatts: number,
  more: object,
): void => {
  document.nodes.push({
    id,
    kind: "fan-coil",
    elevation,
    floor: "G",
    zone: "common",
    owner: "association",
    unitType: "cassette",
    cooling: "chilled-water",
    coolingCapacity: kilowatts,
    sensibleHeatRatio: 0.72,
    pan: { rimHeight: 50, area: 0.3, outletSize: "3/4 in", outletMaterial: "pvc-sch40", secondary: { is: "none" } },
    connectedPort: "primary",
    location: "ceiling",
    filterAccessClear: true,
    ...(document.stage === "as-built"
      ? { connection: { threadSealant: "non-hardening", cemented: false, handTight: true } }
      : {}),
    ...more,
  });
  const name = id.slice("FC-".length);
  document.overflowDevices.push({
    id: `FS-${name}`,
    at: id,
    type: "float-switch",
    seat: "primary-pan",
    tripHeight: 25,
    contact: "nc",
    ...(document.stage === "as-built" ? { state: "working" } : {}),
    circuit: `C-${name}`,
  });
  document.circuits.push({ id: `C-${name}`, arrangement: "series", breaks: "valve-and-fan", stops: [id] });
};

const primed = (document: NetworkDocument): object => (document.stage === "as-built" ? { primed: true } : {});

/** Two cassettes (pans at room pressure), each with its trap and vent, joined and led into the crown of the main. */
const addGymnasium = (document: NetworkDocument, main: number): number => {
  const common = { floor: "G", zone: "common", owner: "association" };
  const { nodes, pipes } = document;
  const join = toMillimetre(main + 0.035 + 0.104);
  const levels = { G1: toMillimetre(join + 0.02 + 0.054 + 0.067), G2: toMillimetre(join + 0.02 + 0.067 + 0.067) };
  for (const [name, length] of [
    ["G1", 2],
    ["G2", 2.5],
  ] as const) {
    const pan = levels[name];
    groundCoil(document, `FC-${name}`, pan, 3.5, { fanPosition: "draw-through", panStatic: 0 });
    nodes.push({
      id: `T-${name}`,
      kind: "trap",
      elevation: toMillimetre(pan - 0.059),
      ...common,
      sealDepth: 50,
      inletDrop: 45,
      removable: true,
      ...primed(document),
    });
    nodes.push({
      id: `J-${name}`,
      kind: "point",
      elevation: toMillimetre(pan - 0.067),
      ...common,
      vent: { top: toMillimetre(pan + 0.15), size: "3/4 in" },
    });
    pipes.push(mainPipe(`P-${name}1`, `FC-${name}`, `T-${name}`, 0.4, 3500, { supportSpacing: 0.9 }));
    pipes.push(mainPipe(`P-${name}2`, `T-${name}`, `J-${name}`, 0.3, 3500, { supportSpacing: 0.9 }));
    pipes.push(
      mainPipe(`P-${name}3`, `J-${name}`, "J-GYM", length, 3500, {
        toInvert: toMillimetre(join + 0.02),
        supportSpacing: 0.9,
      }),
    );
  }
  nodes.push({ id: "J-GYM", kind: "junction", fitting: "wye", elevation: join, ...common });
  pipes.push(mainPipe("P-GYM", "J-GYM", "M-GYM", 2, 7000, { toInvert: toMillimetre(main + 0.035) }));
  return 7000;
};

/** One blow-through air handler with its trap and vent, led into the crown of the main. */
const addLobby = (document: NetworkDocument, main: number): number => {
  const common = { floor: "G", zone: "common", owner: "association" };
  const { nodes, pipes } = document;
  const pan = toMillimetre(main + 0.035 + 0.081 + 0.067);
  groundCoil(document, "FC-G5", pan, 6.5, { unitType: "air-handler", fanPosition: "blow-through", panStatic: 120 });
  nodes.push({
    id: "T-G5",
    kind: "trap",
    elevation: toMillimetre(pan - 0.059),
    ...common,
    sealDepth: 50,
    inletDrop: 45,
    removable: true,
    ...primed(document),
  });
  nodes.push({
    id: "J-G5",
    kind: "point",
    elevation: toMillimetre(pan - 0.067),
    ...common,
    vent: { top: toMillimetre(pan + 0.2), size: "3/4 in" },
  });
  pipes.push(mainPipe("P-G51", "FC-G5", "T-G5", 0.4, 6500, { supportSpacing: 0.9 }));
  pipes.push(mainPipe("P-G52", "T-G5", "J-G5", 0.3, 6500, { supportSpacing: 0.9 }));
  pipes.push(
    mainPipe("P-G53", "J-G5", "M-LOBBY", 3, 6500, { toInvert: toMillimetre(main + 0.035), supportSpacing: 0.9 }),
  );
  return 6500;
};

/** Two cassettes at room pressure, without traps, on a drain of their own with its own vent to a mop sink. */
const addReadingRoom = (document: NetworkDocument): void => {
  const common = { floor: "G", zone: "common", owner: "association" };
  const { nodes, pipes } = document;
  groundCoil(document, "FC-G3", 3.274, 4.2, { fanPosition: "draw-through", panStatic: 0 });
  groundCoil(document, "FC-G4", 3.301, 4.2, { fanPosition: "draw-through", panStatic: 0 });
  nodes.push({
    id: "J-READ",
    kind: "junction",
    fitting: "wye",
    elevation: 3.2,
    ...common,
    vent: { top: 3.6, size: "1 in" },
  });
  pipes.push(mainPipe("P-G31", "FC-G3", "J-READ", 2, 4200, { toInvert: 3.22, supportSpacing: 0.9 }));
  pipes.push(mainPipe("P-G41", "FC-G4", "J-READ", 3, 4200, { toInvert: 3.22, supportSpacing: 0.9 }));
  nodes.push({ id: "D-READ", kind: "bend", angle: 90, elevation: 3.092, ...common });
  pipes.push(mainPipe("P-READ1", "J-READ", "D-READ", 4, 8400));
  nodes.push({
    ...floorSink("O-READ"),
    elevation: 0.75,
    discharge: "mop-sink",
    receptor: { rim: 0.6, trapped: true, accessible: true, spillHarmless: true },
    airGap: 150,
  });
  pipes.push(mainPipe("P-READ2", "D-READ", "O-READ", 2.342, 8400, { supportSpacing: 1.5 }));
};
