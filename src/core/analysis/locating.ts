import { rowLength } from "../graph/compile.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { BackupFacts, Facts } from "./facts.js";
import { hostOf } from "./trip-cover.js";

/** An observation that says whether water stands, or stood, at a pan or another opening. */
export interface Sighting {
  readonly node: number;
  readonly wet: boolean;
}

/** One thing that may be blocked: a drain, or a pan outlet, trap, pump or receptor (then `pipe` is -1). */
export interface Suspect {
  readonly pipe: number;
  readonly node: number;
  /** pans and openings that its blockage makes wet, ascending */
  readonly wet: readonly number[];
  /** its first spill cannot be told, so that no sighting above it speaks for or against it */
  readonly vague: boolean;
  /** index into `classes` */
  readonly group: number;
  /** posterior probability; all of them sum to 1 */
  readonly weight: number;
  /** sightings (by position) that it leaves unexplained */
  readonly unexplained: readonly number[];
}

/** Suspects that no sighting can tell apart. */
export interface SuspectClass {
  readonly members: readonly Suspect[];
  readonly weight: number;
}

export interface Location {
  /** by weight, then natural order */
  readonly suspects: readonly Suspect[];
  readonly classes: readonly SuspectClass[];
  /** where no single blockage explains all but one of the sightings: pairs that leave the fewest, the likeliest first */
  readonly pairs: readonly { readonly classes: readonly [number, number]; readonly unexplained: readonly number[] }[];
  /** the pan or opening to look at next, and what that lowers the expected entropy to; null: none tells anything */
  readonly nextCheck: { readonly node: number; readonly expectedEntropy: number } | null;
  /** bits, of the weights of the classes */
  readonly entropy: number;
  /** the first two classes are about as likely, and no check tells them apart */
  readonly cannotTell: boolean;
}

/** Each sighting is wrong with this probability, whatever the others say. An assumption. */
export const WRONG = 0.1;
/** m above its first spill that a blockage may still wet something. */
const ABOVE_SPILL = 0.01;
const CLOSE_CALL = 1.5;
const YEAR = 365.25 * 86_400_000;
const REFERENCE_BORE = 0.02;
/**
 * What blocks besides pipes, as metres of a 20 mm pipe at a good fall. Assumptions: slime gathers where water stands (traps,
 * sumps) and where it slows down (outlets of pans, receptors).
 */
export const LIKE_METRES = { panOutlet: 1, trap: 2, pump: 2, receptor: 1 } as const;
const PAIRS_LISTED = 5;
const PAIRS_FROM = 200;

/**
 * Where one full blockage explains what was seen.
 * @param at ms since 1970: how long ago a pipe was cleaned is counted to then; NaN: nobody knows
 */
export function locate(net: Compiled, facts: Facts, sightings: readonly Sighting[], at: number): Location {
  const { found, priors } = suspects(net, facts, at);
  const seenAt = sightings.map(({ node }) => node);
  const wetAt = found.map(({ wet }) => new Set(wet));
  const belowOf = found.map((suspect, i) => ({ suspect, agrees: explains(net, facts, suspect, wetAt[i]) }));
  const likely = belowOf.map(({ agrees }, i) =>
    sightings.reduce((product, sighting) => {
      const agreed = agrees(sighting);
      return product * (agreed === null ? 0.5 : agreed ? 1 - WRONG : WRONG);
    }, priors[i]),
  );
  const sum = likely.reduce((a, b) => a + b, 0);
  const drafts = found.map((suspect, i) => ({
    ...suspect,
    weight: sum > 0 ? likely[i] / sum : 0,
    unexplained: sightings.flatMap((sighting, k) => (belowOf[i].agrees(sighting) === false ? [k] : [])),
    order: i,
  }));

  // Suspects that wet the same places are one class; the vague ones above the same places as well.
  const byKey = new Map<string, (typeof drafts)[number][]>();
  for (const draft of drafts) {
    const key = draft.vague ? `vague ${draft.pipe} ${draft.node}` : draft.wet.join();
    const members = byKey.get(key);
    if (members) members.push(draft);
    else byKey.set(key, [draft]);
  }
  const groups = [...byKey.values()]
    .map((members) => ({
      members: members.sort((a, b) => b.weight - a.weight || a.order - b.order),
      weight: members.reduce((a, b) => a + b.weight, 0),
    }))
    .sort((a, b) => b.weight - a.weight || a.members[0].order - b.members[0].order);
  const classes: SuspectClass[] = groups.map(({ members, weight }, group) => ({
    weight,
    members: members.map(({ order: _, ...suspect }): Suspect => ({ ...suspect, group })),
  }));
  const entropy = -classes.reduce((h, { weight }) => h + xlog(weight), 0);
  const seen = new Set(seenAt);
  const nextCheck = bestCheck(net, classes, entropy, seen);
  return {
    suspects: classes
      .flatMap(({ members }) => members)
      .map((suspect, i) => ({ suspect, i }))
      .sort((a, b) => b.suspect.weight - a.suspect.weight || a.i - b.i)
      .map(({ suspect }) => suspect),
    classes,
    pairs: pairsFor(classes, sightings),
    nextCheck,
    entropy,
    cannotTell:
      classes.length > 1 &&
      classes[0].weight <= CLOSE_CALL * classes[1].weight &&
      !canTellApart(net, classes[0].members[0], classes[1].members[0], seen),
  };
}

type Draft = Pick<Suspect, "pipe" | "node" | "wet" | "vague">;

/** Everything that can block, with the places that it wets and its prior. */
function suspects(net: Compiled, facts: Facts, at: number): { found: Draft[]; priors: number[] } {
  const { backups, topology } = facts;
  const wetOf: (number[] | undefined)[] = [];
  const works = feeding(net, facts);
  // From each place that can be wet down its way: the pipes whose first spill is high enough to wet it.
  const levels = wetLevels(net, backups);
  for (let node = 0; node < net.nodeCount; node++) {
    const host = Number.isNaN(levels[node]) ? -1 : hostOf(net, node);
    // round a loop there is no first spill
    if (host < 0 || topology.intoCycle[host]) continue;
    for (let n = host; net.kind[n] !== KIND.pump; ) {
      const p = topology.next[n];
      if (p < 0 || net.role[p] !== ROLE.drain) break;
      if (levels[node] <= backups.firstSpill[p] + ABOVE_SPILL && works[p] > 0) {
        const wet = wetOf[p];
        if (wet) wet.push(node);
        else wetOf[p] = [node];
      }
      n = net.to[p];
    }
  }
  const found: Draft[] = [];
  const priors: number[] = [];
  for (let p = 0; p < net.pipeCount; p++) {
    const backup = backups.outcome[p] !== 255;
    if (!backup || net.kind[net.from[p]] === KIND.pump) continue;
    found.push({ pipe: p, node: -1, wet: wetOf[p] ?? [], vague: works[p] > 0 && Number.isNaN(backups.firstSpill[p]) });
    priors.push(priorOfPipe(net, facts, p, at));
  }
  for (let node = 0; node < net.nodeCount; node++) {
    const like = likeMetres(net, facts, node);
    if (like === 0) continue;
    const backup = backups.ofNode(node);
    if (backup === null) continue;
    const feeds = works[nearPipe(net, facts, node)] > 0 || (net.coilAt[node] >= 0 && net.nodes[node].coil!.inService);
    found.push({
      pipe: -1,
      node,
      wet: feeds ? wetAbove(net, facts, levels, node, backup.firstSpill) : [],
      vague: feeds && Number.isNaN(backup.firstSpill),
    });
    priors.push(
      like * boreFactor(facts, nearPipe(net, facts, node)) * cleanedFactor(net, nearPipe(net, facts, node), at),
    );
  }
  return { found, priors };
}

/** Pool level from which a pan or another opening is wet: it spills or its switch trips. NaN: never, or unknown. */
function wetLevels(net: Compiled, backups: BackupFacts): Float64Array {
  const levels = Float64Array.from(backups.spillLevel);
  net.model.devices.forEach((device, d) => {
    const node = net.nodeRank[device.at];
    const trip = backups.tripLevel[d];
    if (!Number.isNaN(trip) && !(levels[node] <= trip)) levels[node] = trip;
  });
  return levels;
}

/** Pipe → coils in service whose water it carries. */
function feeding(net: Compiled, { topology }: Facts): Int32Array {
  const count = new Int32Array(net.pipeCount);
  for (const coil of net.coils) {
    if (!net.nodes[coil].coil!.inService || topology.intoCycle[coil]) continue;
    for (let n = coil; ; ) {
      const p = topology.next[n];
      if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) break;
      count[p]++;
      n = net.to[p];
    }
  }
  return count;
}

/** Of a blocked node: the places above it, itself included, that its pool wets. */
function wetAbove(net: Compiled, facts: Facts, levels: Float64Array, node: number, firstSpill: number): number[] {
  const wet: number[] = [];
  const met = new Set([node]);
  for (const n of met) {
    if (levels[n] <= firstSpill + ABOVE_SPILL) wet.push(n);
    for (let k = net.ends.start[n]; k < net.ends.start[n + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const incoming = (net.ends.list[k] & 1) === 1;
      const rises = net.role[p] === ROLE.vent || net.role[p] === ROLE.access;
      if (rises && !incoming) met.add(net.to[p]);
      if (!rises && incoming && facts.topology.next[net.from[p]] === p && net.kind[net.from[p]] !== KIND.pump)
        met.add(net.from[p]);
    }
  }
  return wet.sort((a, b) => a - b);
}

function likeMetres(net: Compiled, { topology }: Facts, node: number): number {
  switch (net.kind[node]) {
    case KIND.coil:
      return topology.next[node] < 0 ? 0 : LIKE_METRES.panOutlet;
    case KIND.trap:
      return LIKE_METRES.trap;
    case KIND.pump:
      return LIKE_METRES.pump;
    case KIND.outlet:
      // what ends in the open air has nothing below that could stop it
      return net.nodes[node].outlet!.receptor === null || rowLength(net.drainsIn, node) === 0
        ? 0
        : LIKE_METRES.receptor;
    default:
      return 0;
  }
}

/** The pipe whose bore and cleaning speak for a node: the one that leaves it, else the first that enters. */
const nearPipe = (net: Compiled, { topology }: Facts, node: number): number =>
  topology.next[node] >= 0 ? topology.next[node] : net.drainsIn.list[net.drainsIn.start[node]];

function priorOfPipe(net: Compiled, facts: Facts, p: number, at: number): number {
  const grade = facts.fall.vertical[p] ? Infinity : facts.fall.grade[p];
  const flat = grade >= 0.02 ? 1 : grade >= 0.01 ? 2 : grade > 0 ? 3 : 5;
  const pooled = facts.water.poolOfEnd[2 * p] >= 0 || facts.water.poolOfEnd[2 * p + 1] >= 0 ? 2 : 1;
  return net.length[p] * flat * pooled * boreFactor(facts, p) * cleanedFactor(net, p, at);
}

const boreFactor = ({ capacity }: Facts, p: number): number =>
  Number.isNaN(capacity.bore[p]) ? 1 : REFERENCE_BORE / capacity.bore[p];

/** 1 + years since it was cleaned; 1 where nobody knows. */
function cleanedFactor(net: Compiled, p: number, at: number): number {
  const years = (at - Date.parse(net.pipes[p].lastCleaned ?? "")) / YEAR;
  return Number.isNaN(years) ? 1 : 1 + Math.max(0, years);
}

/** Whether a suspect agrees with a sighting; null: it says nothing about that place. */
function explains(net: Compiled, facts: Facts, suspect: Draft, wet: ReadonlySet<number>) {
  if (!suspect.vague) return ({ node, wet: isWet }: Sighting): boolean | null => wet.has(node) === isWet;
  const top = suspect.pipe >= 0 ? net.from[suspect.pipe] : suspect.node;
  const drainsThrough = (node: number): boolean => {
    const met = new Set<number>();
    for (let n = hostOf(net, node); !met.has(n); ) {
      if (n === top) return true;
      met.add(n);
      const p = facts.topology.next[n];
      if (p < 0) return false;
      n = net.to[p];
    }
    return false;
  };
  return ({ node, wet: isWet }: Sighting): boolean | null => (drainsThrough(node) ? null : !isWet);
}

const xlog = (x: number): number => (x > 0 ? x * Math.log2(x) : 0);

const canBeSeen = (net: Compiled, node: number): boolean => net.nodes[node].accessible !== false;

/** The place whose being wet or dry, read with the same probability of error, leaves the least to be expected. */
function bestCheck(net: Compiled, classes: readonly SuspectClass[], entropy: number, seen: ReadonlySet<number>) {
  // of the classes that wet a place: their weight, and Σ w log w
  const weight = new Map<number, number>();
  const logs = new Map<number, number>();
  let all = 0;
  for (const { weight: w, members } of classes) {
    all += xlog(w);
    for (const node of members[0].wet) {
      if (seen.has(node) || !canBeSeen(net, node)) continue;
      weight.set(node, (weight.get(node) ?? 0) + w);
      logs.set(node, (logs.get(node) ?? 0) + xlog(w));
    }
  }
  /** Σ w log w and Σ w of weights scaled by `a` where wet and `b` where dry: entropy times its probability. */
  const left = (w: number, wl: number, a: number, b: number): number => {
    const z = a * w + b * (1 - w);
    const s = a * (wl + w * Math.log2(a)) + b * (all - wl + (1 - w) * Math.log2(b));
    return z > 0 ? z * Math.log2(z) - s : 0;
  };
  let best: Location["nextCheck"] = null;
  for (const node of [...weight.keys()].sort((a, b) => a - b)) {
    const w = Math.min(1, weight.get(node)!);
    const wl = logs.get(node)!;
    const expectedEntropy = left(w, wl, 1 - WRONG, WRONG) + left(w, wl, WRONG, 1 - WRONG);
    if (entropy - expectedEntropy > 1e-9 && (best === null || expectedEntropy < best.expectedEntropy - 1e-12))
      best = { node, expectedEntropy };
  }
  return best;
}

function canTellApart(net: Compiled, a: Suspect, b: Suspect, seen: ReadonlySet<number>): boolean {
  const inB = new Set(b.wet);
  const inA = new Set(a.wet);
  const differ = [...a.wet.filter((node) => !inB.has(node)), ...b.wet.filter((node) => !inA.has(node))];
  return differ.some((node) => !seen.has(node) && canBeSeen(net, node));
}

/** Two blockages at once, asked only where one alone leaves two or more sightings unexplained. */
function pairsFor(classes: readonly SuspectClass[], sightings: readonly Sighting[]): Location["pairs"] {
  const best = Math.min(...classes.map(({ members }) => members[0].unexplained.length));
  if (best < 2 || classes.length < 2) return [];
  const few = classes.slice(0, PAIRS_FROM).filter(({ members }) => !members[0].vague);
  const wet = few.map(({ members }) => new Set(members[0].wet));
  const pairs: { classes: readonly [number, number]; unexplained: number[]; weight: number }[] = [];
  for (let i = 0; i < few.length; i++)
    for (let j = i + 1; j < few.length; j++) {
      const unexplained = sightings.flatMap(({ node, wet: isWet }, k) =>
        (wet[i].has(node) || wet[j].has(node)) === isWet ? [] : [k],
      );
      if (unexplained.length >= best) continue;
      const [a, b] = [few[i].members[0].group, few[j].members[0].group];
      // what each would weigh had nothing been seen tells which pair is likelier
      const prior = (w: SuspectClass) => {
        const missed = w.members[0].unexplained.length;
        return w.weight / ((1 - WRONG) ** (sightings.length - missed) * WRONG ** missed);
      };
      pairs.push({ classes: [a, b], unexplained, weight: prior(few[i]) * prior(few[j]) });
    }
  return pairs
    .sort((x, y) => x.unexplained.length - y.unexplained.length || y.weight - x.weight)
    .slice(0, PAIRS_LISTED)
    .map(({ classes: both, unexplained }) => ({ classes: both, unexplained }));
}
