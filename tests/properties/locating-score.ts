// How well a blockage is located: random towers, a blockage drawn by the prior, and visits that each tell the truth nine
// times in ten. Towers, physics, prior and posterior are written here once more, on plain trees, without the library.
import { analyse } from "../../src/core/analysis/analyse.js";
import { locate, type Sighting, type SuspectClass } from "../../src/core/analysis/locating.js";
import { compile } from "../../src/core/graph/compile.js";
import { readNetwork } from "../../src/core/network/read.js";
import { profileById } from "../../src/core/profiles/profiles.js";
import { seeded } from "../builders/seeded.js";

/** What the towers and everything that happens in them are drawn from. */
export const SEED = 20261125;
/** As many as the figures of docs/locating.md are from. */
export const TOWERS = 13;
/** In each tower. */
export const BLOCKAGES = 40;
const G = 9.80665;
const DENSITY = 999.702;
const WRONG = 0.1;

/** A pipe of the tree, known by the node that it leaves. */
interface Limb {
  readonly node: string;
  readonly below: Limb | null;
  readonly above: Limb[];
  readonly pipe: string;
  readonly length: number;
  readonly grade: number;
  readonly bore: number;
  readonly cleaned: number | null;
  readonly kind: "fan-coil" | "trap" | "junction";
  /** pool levels at which the pan here spills, and its switch trips */
  readonly spill: number;
  readonly trip: number;
}

interface Tower {
  readonly document: Record<string, unknown>;
  readonly limbs: readonly Limb[];
}

const DAY = 86_400_000;
const NOW = Date.UTC(2026, 6, 1);

/** Risers with a branch for each coil, and a collector at the foot to one floor sink. */
function makeTower(random: () => number): Tower {
  const pick = <T>(items: readonly T[]): T => items[Math.floor(random() * items.length)];
  const nodes: Record<string, unknown>[] = [];
  const pipes: Record<string, unknown>[] = [];
  const devices: Record<string, unknown>[] = [];
  const circuits: Record<string, unknown>[] = [];
  const limbs: Limb[] = [];
  const round = (x: number) => Math.round(x * 1e4) / 1e4;
  const join = (
    node: string,
    z: number,
    below: { node: string; z: number; limb: Limb | null },
    own: {
      kind: Limb["kind"];
      bore: number;
      length: number;
      vertical?: boolean;
      pan?: { rim: number; trip: number | null; suction: number };
    },
  ): { node: string; z: number; limb: Limb } => {
    const fall = z - below.z;
    const run = Math.sqrt(Math.max(0, own.length ** 2 - fall ** 2));
    const cleanedYears = random() < 0.4 ? Math.floor(random() * 5) + 0.5 : null;
    const cleaned =
      cleanedYears === null ? null : new Date(NOW - cleanedYears * 365.25 * DAY).toISOString().slice(0, 10);
    const lift = own.pan ? own.pan.suction / (DENSITY * G) : 0;
    const limb: Limb = {
      node,
      below: below.limb,
      above: [],
      pipe: `P-${node}`,
      length: own.length,
      grade: own.vertical || Math.abs(fall) >= run ? Number.POSITIVE_INFINITY : fall / run,
      bore: own.bore / 1000,
      cleaned: cleaned === null ? null : Date.parse(cleaned),
      kind: own.kind,
      spill: own.pan ? z + own.pan.rim - lift : Number.NaN,
      trip: own.pan?.trip ? z + own.pan.trip - lift : Number.NaN,
    };
    below.limb?.above.push(limb);
    limbs.push(limb);
    pipes.push({
      id: limb.pipe,
      from: node,
      to: below.node,
      length: own.length,
      insideDiameter: own.bore,
      ...(cleaned === null ? {} : { lastCleaned: cleaned }),
    });
    return { node, z, limb };
  };
  const floors = 3 + Math.floor(random() * 8);
  const risers = 1 + Math.floor(random() * 4);
  const outlet = { node: "OUT", z: 0, limb: null };
  nodes.push({ id: "OUT", kind: "outlet", elevation: 0, discharge: "floor-sink", connection: "air-gap", airGap: 50 });
  let foot: { node: string; z: number; limb: Limb | null } = outlet;
  for (let r = 1; r <= risers; r++) {
    const step = 4 + random() * 8;
    const z = round(foot.z + step * pick([0.008, 0.012, 0.02]));
    const base = `R${r}-00`;
    nodes.push({ id: base, kind: "junction", elevation: z });
    foot = join(base, z, foot, { kind: "junction", bore: pick([35, 41]), length: round(Math.hypot(step, z - foot.z)) });
    let stack: typeof foot = foot;
    for (let f = 1; f <= floors; f++) {
      const level = round(z + 0.4 + 3 * f);
      const at = `R${r}-${f}`;
      nodes.push({ id: at, kind: "junction", elevation: level });
      const rise = round(level - stack.z);
      stack = join(at, level, stack, { kind: "junction", bore: pick([26, 35]), length: rise, vertical: true });
      for (let c = 1; c <= 1 + Math.floor(random() * 2); c++) {
        const id = `${r}-${f}-${c}`;
        const far = 2 + random() * 6;
        const weir = round(level + far * pick([0.006, 0.012, 0.021]));
        const suction = pick([0, 60, 150, 250]);
        const rim = pick([0.025, 0.03, 0.04]);
        const trip = random() < 0.6 ? round(rim - 0.008) : null;
        const panLevel = round(weir + 0.09);
        nodes.push({ id: `T-${id}`, kind: "trap", elevation: weir, sealDepth: 60 });
        nodes.push({
          id: `F-${id}`,
          kind: "fan-coil",
          elevation: panLevel,
          panStatic: suction === 0 ? 0 : -suction,
          condensateRate: 1,
          pan: { rimHeight: rim * 1000 },
        });
        const trap = join(`T-${id}`, weir, stack, {
          kind: "trap",
          bore: 20.4,
          length: round(Math.hypot(far, weir - level)),
        });
        join(`F-${id}`, panLevel, trap, {
          kind: "fan-coil",
          bore: 20.4,
          length: 0.2,
          pan: { rim, trip, suction },
        });
        if (trip !== null) {
          devices.push({
            id: `S-${id}`,
            at: `F-${id}`,
            type: "float-switch",
            seat: "primary-pan",
            tripHeight: trip * 1000,
            circuit: `C-${id}`,
          });
          circuits.push({ id: `C-${id}`, breaks: "R", stops: [`F-${id}`] });
        }
      }
    }
  }
  const document = {
    format: 1,
    id: "tower",
    units: "si",
    profile: "metric",
    stage: "design",
    nodes,
    pipes,
    overflowDevices: devices,
    circuits,
  };
  return { document, limbs };
}

/** What may be blocked in a tower, by the limb whose water it stops. */
interface Culprit {
  readonly limb: Limb;
  readonly isNode: boolean;
  readonly prior: number;
  readonly wet: ReadonlySet<string>;
}

function culpritsOf(tower: Tower): Culprit[] {
  const pansAbove = (limb: Limb): Limb[] => (limb.kind === "fan-coil" ? [limb] : limb.above.flatMap(pansAbove));
  return tower.limbs.flatMap((limb): Culprit[] => {
    const pans = pansAbove(limb);
    if (pans.length === 0) return [];
    const first = Math.min(...pans.map(({ spill }) => spill));
    const wet = new Set(
      pans.filter(({ spill, trip }) => spill <= first + 0.01 || trip <= first + 0.01).map(({ node }) => node),
    );
    const years = limb.cleaned === null ? 0 : (NOW - limb.cleaned) / (365.25 * DAY);
    const common = (0.02 / limb.bore) * (1 + years);
    const flat = limb.grade >= 0.02 ? 1 : limb.grade >= 0.01 ? 2 : limb.grade > 0 ? 3 : 5;
    const pipe = { limb, isNode: false, prior: limb.length * flat * common, wet };
    const like = limb.kind === "fan-coil" ? 1 : limb.kind === "trap" ? 2 : 0;
    return like === 0 ? [pipe] : [pipe, { limb, isNode: true, prior: like * common, wet }];
  });
}

const keyOf = (wet: Iterable<string>): string => [...wet].sort().join();

/** Classes of culprits by what they wet, with their posterior under visits that are wrong one time in ten. */
function exactRanking(culprits: readonly Culprit[], visits: ReadonlyMap<string, boolean>): string[] {
  const weights = new Map<string, number>();
  for (const { prior, wet } of culprits) {
    let weight = prior;
    for (const [node, isWet] of visits) weight *= wet.has(node) === isWet ? 1 - WRONG : WRONG;
    weights.set(keyOf(wet), (weights.get(keyOf(wet)) ?? 0) + weight);
  }
  return [...weights].sort((a, b) => b[1] - a[1]).map(([key]) => key);
}

/**
 * The obvious guesses: the first pipe down the ways that all wet coils have in common, then those below it. By what they
 * wet; what wets the same is guessed once.
 */
function lowestCommon(tower: Tower, culprits: readonly Culprit[], visits: ReadonlyMap<string, boolean>): string[] {
  const ways = tower.limbs
    .filter(({ node }) => visits.get(node) === true)
    .map((limb) => {
      const way: Limb[] = [];
      for (let at: Limb | null = limb; at !== null; at = at.below) way.push(at);
      return way;
    });
  if (ways.length === 0) return [];
  const common = ways[0].filter((limb) => ways.every((way) => way.includes(limb)));
  return [...new Set(common.map((limb) => keyOf(culprits.find((culprit) => culprit.limb === limb)!.wet)))];
}

function draw<T extends { readonly prior: number }>(items: readonly T[], random: () => number): T {
  let rest = random() * items.reduce((sum, { prior }) => sum + prior, 0);
  for (const item of items) {
    rest -= item.prior;
    if (rest < 0) return item;
  }
  return items[items.length - 1];
}

export interface LocatingScore {
  readonly towers: number;
  readonly blockages: number;
  /** shares of the blockages whose class came first, or among the first three */
  readonly first: number;
  readonly three: number;
  readonly exactFirst: number;
  readonly exactThree: number;
  readonly baselineFirst: number;
  readonly baselineThree: number;
  /** from one true report on: visits until the true class leads, and shares in which it never does */
  readonly visits: { readonly proposed: number; readonly random: number };
  readonly lost: { readonly proposed: number; readonly random: number };
}

/**
 * Blockages drawn by the prior in random towers. Six pans in ten are visited, each visit tells the truth nine times in ten.
 * Where no check is proposed any more, the visits go on at random, and where the true class never leads all of them count.
 */
export function locatingScore(towers: number): LocatingScore {
  const random = seeded(SEED);
  const score = { drawn: 0, first: 0, three: 0, exactFirst: 0, exactThree: 0, baselineFirst: 0, baselineThree: 0 };
  const visits = { runs: 0, proposed: 0, random: 0, proposedLost: 0, randomLost: 0 };

  for (let t = 0; t < towers; t++) {
    const tower = makeTower(random);
    const culprits = culpritsOf(tower);
    const read = readNetwork(tower.document);
    if (!read.ok) throw new Error(JSON.stringify(read.problems.slice(0, 3)));
    const net = compile(read.model);
    const facts = analyse(net, profileById("metric")!);
    const indexOf = new Map(net.nodes.map(({ id }, i) => [id, i]));
    const pans = tower.limbs.filter(({ kind }) => kind === "fan-coil").map(({ node }) => node);
    const ask = (seen: ReadonlyMap<string, boolean>) => {
      const sightings: Sighting[] = [...seen].map(([node, wet]) => ({ node: indexOf.get(node)!, wet }));
      return locate(net, facts, sightings, NOW);
    };
    const keyOfClass = ({ members }: SuspectClass) => keyOf(members[0].wet.map((i) => net.nodes[i].id));
    const answerOf = (culprit: Culprit, node: string) => culprit.wet.has(node) !== random() < WRONG;
    const anyOf = (left: readonly string[]): string | null =>
      left.length === 0 ? null : left[Math.floor(random() * left.length)];

    for (let b = 0; b < BLOCKAGES; b++) {
      const culprit = draw(culprits, random);
      const truth = keyOf(culprit.wet);
      const seen = new Map<string, boolean>();
      for (const node of pans) if (random() < 0.6) seen.set(node, answerOf(culprit, node));
      const found = ask(seen).classes.map(keyOfClass);
      const exact = exactRanking(culprits, seen);
      const guesses = lowestCommon(tower, culprits, seen);
      score.drawn++;
      if (found[0] === truth) score.first++;
      if (found.slice(0, 3).includes(truth)) score.three++;
      if (exact[0] === truth) score.exactFirst++;
      if (exact.slice(0, 3).includes(truth)) score.exactThree++;
      if (guesses[0] === truth) score.baselineFirst++;
      if (guesses.slice(0, 3).includes(truth)) score.baselineThree++;

      if (b % 2 === 1) continue;
      const [reporter] = culprit.wet;
      const visitsUntilFound = (
        next: (told: ReadonlyMap<string, boolean>, left: readonly string[]) => string | null,
      ) => {
        const told = new Map([[reporter, true]]);
        for (let n = 0; ; n++) {
          if (keyOfClass(ask(told).classes[0]) === truth) return { n, isLost: false };
          const node = next(
            told,
            pans.filter((each) => !told.has(each)),
          );
          if (node === null) return { n, isLost: true };
          told.set(node, answerOf(culprit, node));
        }
      };
      const proposed = visitsUntilFound((told, left) => {
        const check = ask(told).nextCheck;
        return check === null ? anyOf(left) : net.nodes[check.node].id;
      });
      const atRandom = visitsUntilFound((_, left) => anyOf(left));
      visits.runs++;
      visits.proposed += proposed.n;
      visits.random += atRandom.n;
      if (proposed.isLost) visits.proposedLost++;
      if (atRandom.isLost) visits.randomLost++;
    }
  }
  return {
    towers,
    blockages: score.drawn,
    first: score.first / score.drawn,
    three: score.three / score.drawn,
    exactFirst: score.exactFirst / score.drawn,
    exactThree: score.exactThree / score.drawn,
    baselineFirst: score.baselineFirst / score.drawn,
    baselineThree: score.baselineThree / score.drawn,
    visits: { proposed: visits.proposed / visits.runs, random: visits.random / visits.runs },
    lost: { proposed: visits.proposedLost / visits.runs, random: visits.randomLost / visits.runs },
  };
}

/** The score as docs/locating.md has it, Markdown. */
export function locatingFigures(score: LocatingScore): string {
  const share = (part: number) => `${(100 * part).toFixed(1)} %`;
  const count = (visits: number) => visits.toFixed(2);
  return [
    `Seed ${SEED}: ${score.blockages} blockages in ${score.towers} towers.`,
    "",
    "| | blocked class ranked first | among the first three |",
    "|---|---|---|",
    `| located | ${share(score.first)} | ${share(score.three)} |`,
    `| exact posterior | ${share(score.exactFirst)} | ${share(score.exactThree)} |`,
    `| lowest common pipe of the wet coils, then on down | ${share(score.baselineFirst)} | ${share(score.baselineThree)} |`,
    "",
    "| from one true report on | visits until the blocked class leads, mean | it never leads |",
    "|---|---|---|",
    `| the check proposed each time | ${count(score.visits.proposed)} | ${share(score.lost.proposed)} |`,
    `| in random order | ${count(score.visits.random)} | ${share(score.lost.random)} |`,
  ].join("\n");
}
