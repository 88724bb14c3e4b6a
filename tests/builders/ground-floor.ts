import { type Element, type NetworkDocument, type Placement, toMillimetre, twoDigits } from "./network-document.js";
import { sizeFor, TON } from "./pipe-sizes.js";

/** A riser's foot and the load (W) that comes down it. */
interface Foot {
  readonly riser: number;
  readonly load: number;
}

/** Level of the lowest riser foot's connection above the outlet end of its main, and what a main may carry. */
const MAIN_HEAD = 3.75;
const MOST_TONS_ON_A_MAIN = 160;
const MAIN_GRADE = 0.024;
const MAIN_STEP = 5;
/** Height above the invert of a 2 in main at which laterals enter it. */
const ENTRY = 0.035;

const COMMON = { zone: "common", owner: "association" };
const HERE = { floor: "G", ...COMMON };

/** Adds the mains under the risers, and the coils of the ground floor. Returns the level of each riser's foot. */
export const addGroundFloor = (
  document: NetworkDocument & { placements: Placement[] },
  feet: readonly Foot[],
  amenities: boolean,
): Map<number, number> => {
  const levels = new Map<number, number>();
  for (const group of mainsOf(feet)) addMain(document, group, amenities, levels);
  if (amenities) addReadingRoom(document);
  return levels;
};

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

const mainPipe = (id: string, from: string, to: string, length: number, load: number, more: object = {}): Element => ({
  id,
  from,
  to,
  size: sizeFor(load),
  material: "pvc-sch40",
  length: toMillimetre(length),
  ...COMMON,
  supportSpacing: 1.2,
  insulation: { thickness: 13, conductivity: 0.036 },
  ...more,
});

/**
 * The main of one group: it starts at the foot of the first riser, takes the others' laterals into its crown every 10 m, has
 * a cleanout half-way between, and falls plumb from its end to a floor sink.
 */
const addMain = (
  document: NetworkDocument & { placements: Placement[] },
  group: readonly Foot[],
  amenities: boolean,
  levels: Map<number, number>,
): void => {
  const { nodes, pipes } = document;
  let level = MAIN_HEAD;
  let load = 0;
  let end = "";
  const extend = (id: string, length: number, node: Record<string, unknown>) => {
    const next = toMillimetre(level - MAIN_GRADE * length);
    pipes.push(mainPipe(`M-${end}`, end, id, length, load));
    nodes.push({ id, elevation: next, ...HERE, ...node });
    level = next;
    end = id;
  };
  const junction = { kind: "junction", fitting: "wye", accessible: true };
  group.forEach((foot, index) => {
    const number = twoDigits(foot.riser);
    const last = index === group.length - 1;
    const bend = `B-${number}`;
    if (index === 0) {
      end = bend;
      nodes.push({ id: bend, kind: "bend", angle: 90, elevation: level, ...HERE });
      levels.set(foot.riser, level);
    } else {
      extend(`M-${number}`, MAIN_STEP, junction);
      const bendLevel = toMillimetre(level + ENTRY + 0.032);
      nodes.push({ id: bend, kind: "bend", angle: 90, elevation: bendLevel, ...HERE });
      levels.set(foot.riser, bendLevel);
      pipes.push(mainPipe(`L-${number}`, bend, end, 1.2, foot.load, { toInvert: toMillimetre(level + ENTRY) }));
    }
    load += foot.load;
    const cleanout = { kind: "cleanout", opening: 80, capped: true, accessible: true };
    if (amenities && index === 0) {
      extend("M-GYM", 3, junction);
      load += addGymnasium(document, level);
      extend(`MC-${number}`, MAIN_STEP - 3, cleanout);
    } else if (amenities && last) {
      extend("M-LOBBY", 3, junction);
      load += addLobby(document, level);
      extend(`MC-${number}`, MAIN_STEP - 3, cleanout);
    } else {
      extend(`MC-${number}`, MAIN_STEP, cleanout);
    }
  });
  const first = twoDigits(group[0]!.riser);
  const head = `MD-${first}`;
  extend(head, 1.5, { kind: "bend", angle: 90 });
  const sink = `O-${first}`;
  pipes.push(mainPipe(`M-${head}`, head, sink, toMillimetre(level - 0.2), load, { supportSpacing: 1.5 }));
  nodes.push(floorSink(sink));
};

const floorSink = (id: string): Element => ({
  id,
  kind: "outlet",
  elevation: 0.2,
  ...HERE,
  accessible: true,
  discharge: "floor-sink",
  connection: "air-gap",
  airGap: 200,
  receptor: { rim: 0, trapped: true, accessible: true, spillHarmless: true },
});

/** Places a coil of the ground floor with its pan's outlet at a level. */
const placeCoil = (
  document: { placements: Placement[] },
  typical: "cassette" | "cassette-without-trap",
  id: string,
  level: number,
  main: { node: string; above: number },
  coil: Record<string, unknown>,
  length: number,
): void => {
  document.placements.push({
    typical,
    id,
    at: { floor: "G", above: level },
    ...COMMON,
    joins: { main },
    set: { coil, branch: { length } },
  });
};

/** Two cassettes (pans at room pressure), each with its trap and vent, joined and led into the crown of the main. */
const addGymnasium = (document: NetworkDocument & { placements: Placement[] }, main: number): number => {
  const join = toMillimetre(main + ENTRY + 0.104);
  const entry = { node: "J-GYM", above: 0.02 };
  const pan = (fall: number): number => toMillimetre(join + entry.above + fall + 0.067);
  placeCoil(document, "cassette", "G1", pan(0.054), entry, { coolingCapacity: 3.5 }, 2);
  placeCoil(document, "cassette", "G2", pan(0.067), entry, { coolingCapacity: 3.5 }, 2.5);
  document.nodes.push({ id: "J-GYM", kind: "junction", fitting: "wye", elevation: join, ...HERE });
  document.pipes.push(mainPipe("P-GYM", "J-GYM", "M-GYM", 2, 7000, { toInvert: toMillimetre(main + ENTRY) }));
  return 7000;
};

/** One blow-through air handler with its trap and vent, led into the crown of the main. */
const addLobby = (document: { placements: Placement[] }, main: number): number => {
  const fan = { unitType: "air-handler", fanPosition: "blow-through", panStatic: 120, pan: { area: 0.9 } };
  const pan = toMillimetre(main + ENTRY + 0.081 + 0.067);
  placeCoil(document, "cassette", "G5", pan, { node: "M-LOBBY", above: ENTRY }, { coolingCapacity: 6.5, ...fan }, 3);
  return 6500;
};

/** Two cassettes at room pressure, without traps, on a drain of their own with its own vent to a mop sink. */
const addReadingRoom = (document: NetworkDocument & { placements: Placement[] }): void => {
  const entry = { node: "J-READ", above: 0.02 };
  placeCoil(document, "cassette-without-trap", "G3", 3.274, entry, { coolingCapacity: 4.2 }, 2);
  placeCoil(document, "cassette-without-trap", "G4", 3.301, entry, { coolingCapacity: 4.2 }, 3);
  document.nodes.push(
    { id: "J-READ", kind: "junction", fitting: "wye", elevation: 3.2, ...HERE, vent: { top: 3.6, size: "1 in" } },
    { id: "D-READ", kind: "bend", angle: 90, elevation: 3.092, ...HERE },
    {
      ...floorSink("O-READ"),
      elevation: 0.75,
      discharge: "mop-sink",
      receptor: { rim: 0.6, trapped: true, accessible: true, spillHarmless: true },
      airGap: 150,
    },
  );
  document.pipes.push(
    mainPipe("P-READ1", "J-READ", "D-READ", 4, 8400),
    mainPipe("P-READ2", "D-READ", "O-READ", 2.342, 8400, { supportSpacing: 1.5 }),
  );
};
