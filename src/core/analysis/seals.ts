import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { FanCoil } from "../network/model.js";
import { boreArea } from "../physics/circle.js";
import { headOf, pressureOf } from "../physics/constants.js";
import { breakingHead, outletLegFall, panStanding, primingVolume } from "../physics/trap-statics.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { atMost } from "../quantity/interval.js";
import { CLOSURE, type SealFact, type SealFacts, type StandingWater, type Topology } from "./facts.js";
import type { Geometry } from "./geometry.js";
import { alongMainWays, upToPumps } from "./topology.js";
import { pressureAt, waterTrapNeed } from "./trap-need.js";

const SECONDS_PER_DAY = 86_400;
/** Evaporation of an idle seal, m a day: the fastest and the slowest that published figures and diffusion allow. */
const FASTEST = 0.004;
const SLOWEST = 0.0003;

/** A trap holds a seal unless it is known to be empty or to have no depth. */
export function isSealed(net: Compiled, node: number): boolean {
  const trap = net.nodes[node].trap;
  if (trap === null) return false;
  return trap.sealType !== "water" || (trap.primed !== false && trap.sealDepth !== 0);
}

/** Statics of every trap and of every sag that seals, and which of them lie on each coil's way. */
export function seals(
  net: Compiled,
  profile: Profile,
  shape: Geometry,
  water: StandingWater,
  ways: Topology,
): SealFacts {
  const coilsOfTrap = new Map<number, number[]>();
  ways.firstTrap.forEach((trap, c) => {
    // Fall and air end at a pump: a trap behind it seals nothing of the pan before it.
    if (trap < 0 || ways.boundary[trap] !== ways.boundary[net.coils[c]]) return;
    const list = coilsOfTrap.get(trap);
    if (list) list.push(c);
    else coilsOfTrap.set(trap, [c]);
  });

  const list: SealFact[] = [];
  const ofTrap = new Int32Array(net.nodeCount).fill(-1);
  const ofPool = new Int32Array(water.pools.length).fill(-1);
  for (let node = 0; node < net.nodeCount; node++) {
    if (net.kind[node] !== KIND.trap) continue;
    ofTrap[node] = list.length;
    list.push(trapFact(net, profile, shape, node, coilsOfTrap.get(node) ?? [], ways));
  }
  // A path crosses a pool where one of its own pipes has a closed end in it.
  const crossing = (p: number): number[] => {
    const found: number[] = [];
    for (const end of [2 * p, 2 * p + 1]) {
      const bits = (end & 1 ? water.toClosure : water.fromClosure)[p];
      const pool = water.poolOfEnd[end];
      if (bits & CLOSURE.best && pool >= 0 && ofPool[pool] >= 0 && !found.includes(ofPool[pool]))
        found.push(ofPool[pool]);
    }
    return found;
  };
  water.pools.forEach((pool, i) => {
    if (pool.class !== "sealing") return;
    ofPool[i] = list.length;
    list.push(poolFact(pool.sealDepth, pool.level, i, []));
  });

  // Air and standing water end at a pump, and so do the seals that matter to a coil above it. Each node knows where on
  // its way the next seal stands, so that no path is walked where nothing seals.
  const doubtful = doubtfulEnds(net, water);
  const nextSeal = new Int32Array(net.nodeCount).fill(-1);
  const doubtAhead = new Uint8Array(net.nodeCount);
  const falling = upToPumps(net, ways.next);
  for (const node of alongMainWays(net, falling)) {
    const p = falling[node];
    if (p < 0 || (net.role[p] !== ROLE.drain && net.role[p] !== ROLE.pressure)) continue;
    const below = net.to[p];
    const isEnd = net.kind[below] === KIND.outlet || net.kind[below] === KIND.pump;
    const seals = crossing(p).length > 0 || (ofTrap[below] >= 0 && list[ofTrap[below]].sealed);
    nextSeal[node] = seals ? node : isEnd ? -1 : nextSeal[below];
    doubtAhead[node] = doubtful?.[p] === 1 || (!isEnd && doubtAhead[below] === 1) ? 1 : 0;
  }
  const gather = (p: number, met: Set<number>) => {
    for (const seal of crossing(p)) met.add(seal);
    const trap = ofTrap[net.to[p]];
    if (trap >= 0 && list[trap].sealed) met.add(trap);
  };
  const onPath = (c: number): Int32Array => {
    const met = new Set<number>();
    const coil = net.coils[c];
    if (ways.intoCycle[coil]) for (const p of ways.path(c).subarray(0, ways.toBoundary[c])) gather(p, met);
    else
      for (let at = nextSeal[coil]; at >= 0; ) {
        const p = ways.next[at];
        gather(p, met);
        const below = net.to[p];
        at = net.kind[below] === KIND.outlet || net.kind[below] === KIND.pump ? -1 : nextSeal[below];
      }
    return Int32Array.from(met);
  };
  const count = net.coils.length;
  const countOnPath = new Int32Array(count);
  const doubtfulOnPath = new Uint8Array(count);
  const coilsOfPool = new Map<number, number[]>();
  for (let c = 0; c < count; c++) {
    const seals = onPath(c);
    countOnPath[c] = seals.length;
    for (const seal of seals) {
      if (list[seal].pool < 0) continue;
      const coils = coilsOfPool.get(seal);
      if (coils) coils.push(c);
      else coilsOfPool.set(seal, [c]);
    }
    const coil = net.coils[c];
    doubtfulOnPath[c] = ways.intoCycle[coil]
      ? doubtful !== null && ways.path(c).some((p) => doubtful[p] === 1)
        ? 1
        : 0
      : doubtAhead[coil];
  }
  for (const [seal, coils] of coilsOfPool)
    list[seal] = poolFact(list[seal].sealDepth, list[seal].weirElevation, list[seal].pool, coils);

  const dropNeededAt = new Float64Array(count);
  const sealNeededAt = new Float64Array(count);
  for (let c = 0; c < count; c++) {
    const need = waterTrapNeed(net.nodes[net.coils[c]].coil!, profile);
    dropNeededAt[c] = need.drop;
    sealNeededAt[c] = need.seal;
  }
  const { leastVentTop, lowestTrip } = ventTops(net, profile);
  return {
    list,
    ofTrap,
    ofPool,
    onPath,
    countOnPath,
    doubtfulOnPath,
    dropNeededAt,
    sealNeededAt,
    leastVentTop,
    lowestTrip,
  };
}

/** Pipes with an end whose closure the tolerance or an unknown bore leaves open; null: none. */
function doubtfulEnds(net: Compiled, water: StandingWater): Uint8Array | null {
  let any = false;
  const doubt = new Uint8Array(net.pipeCount);
  const isDoubtful = (bits: number) => ((bits & CLOSURE.wettest) !== 0) !== ((bits & CLOSURE.driest) !== 0);
  for (let p = 0; p < net.pipeCount; p++) {
    if (!isDoubtful(water.fromClosure[p]) && !isDoubtful(water.toClosure[p])) continue;
    doubt[p] = 1;
    any = true;
  }
  return any ? doubt : null;
}

const NOTHING = {
  drop: NaN,
  dropTolerance: 0,
  staticPressure: NaN,
  head: NaN,
  panStanding: NaN,
  dropMargin: NaN,
  sealMarginStart: NaN,
  dropNeeded: NaN,
  sealNeeded: NaN,
  drainsUpTo: NaN,
  holdsAtStart: NaN,
  blowsOutAt: NaN,
  primingVolume: NaN,
  daysToOpen: null,
  sealToHold: NaN,
  dropToDrain: NaN,
  sealToBuild: NaN,
  step: NaN,
  stepTolerance: 0,
  outletBore: NaN,
  inletPipe: -1,
  outletPipe: -1,
} as const;

const poolFact = (sealDepth: number, level: number, pool: number, coils: readonly number[]): SealFact => ({
  ...NOTHING,
  kind: "unintended",
  trap: -1,
  pool,
  sealed: true,
  coils,
  governing: -1,
  sealDepth,
  weirElevation: level,
});

function trapFact(
  net: Compiled,
  profile: Profile,
  shape: Geometry,
  node: number,
  coils: readonly number[],
  ways: Topology,
): SealFact {
  const trap = net.nodes[node].trap!;
  const isWater = trap.sealType === "water";
  const seal = isWater ? (trap.sealDepth ?? NaN) : NaN;
  const coilOf = (c: number) => net.nodes[net.coils[c]].coil!;
  // The hardest-worked coil governs; where one static is unknown nobody can tell which that is.
  const known = coils.every((c) => coilOf(c).panStatic !== null);
  let governing = coils.length === 1 ? coils[0] : -1;
  if (coils.length > 1 && known)
    governing = coils.reduce((a, b) =>
      atMost(Math.abs(coilOf(b).panStatic!), Math.abs(coilOf(a).panStatic!)) ? a : b,
    );
  const p = governing < 0 ? NaN : (coilOf(governing).panStatic ?? NaN);
  const pressure = governing < 0 ? "unknown" : pressureAt(coilOf(governing));
  const h = headOf(Math.abs(p));
  const pan = governing < 0 ? -1 : net.coils[governing];
  const drop = pan < 0 ? NaN : net.z[pan] - net.z[node];

  const legs = legsOf(net, shape, node, governing, ways);
  const areaIn = boreArea(legs.inletBore);
  const areaOut = boreArea(legs.outletBore);
  const suction = pressure === "suction";
  const pushed = pressure === "pressure";
  const opening = isWater ? 0 : headOf(trap.opensAt ?? NaN);
  const need = governing < 0 ? null : waterTrapNeed(coilOf(governing), profile);
  const sealNeeded = isWater && need !== null && (suction || pushed) ? need.seal : NaN;
  const sealToHold = !isWater ? NaN : suction ? outletLegFall(h, areaIn, areaOut) : pushed ? h : NaN;
  const reserve = limitOf(profile, "trap.drawThroughMargin").value / 2;
  let dropToDrain = NaN;
  if (isWater && pressure !== "unknown") dropToDrain = suction ? h : pushed ? -h : 0;
  if (!isWater && governing >= 0) dropToDrain = suctionHead(coilOf(governing)) + opening;
  let dropNeeded = NaN;
  if (need !== null && isWater && (suction || pushed)) dropNeeded = need.drop;
  if (need !== null && !isWater && (suction || pushed))
    dropNeeded = Math.max(dropToDrain, coilOf(governing).trapRequirement?.drop ?? 0);
  return {
    kind: "trap",
    trap: node,
    pool: -1,
    sealed: isSealed(net, node),
    coils,
    governing,
    sealDepth: seal,
    weirElevation: net.z[node],
    drop,
    dropTolerance: pan < 0 ? 0 : net.tolerance[pan] + net.tolerance[node],
    staticPressure: p,
    head: h,
    // A seal that must be pushed open holds its own head back as well.
    panStanding: pressure === "unknown" ? NaN : suction ? panStanding(h + opening, drop) : 0,
    dropMargin: suction ? drop - h : NaN,
    sealMarginStart: seal - sealToHold,
    dropNeeded,
    sealNeeded,
    drainsUpTo: suction ? pressureOf(drop) : NaN,
    holdsAtStart: suction ? pressureOf(breakingHead(seal, areaIn, areaOut)) : NaN,
    blowsOutAt: pushed ? pressureOf(seal) : NaN,
    primingVolume: isWater ? primingVolume(seal, legs.inletBore, legs.outletBore) : NaN,
    daysToOpen: Number.isNaN(seal) ? null : daysToOpen(seal, profile),
    sealToHold,
    dropToDrain,
    sealToBuild: suction && sealToHold + reserve > sealNeeded ? sealToHold + reserve : sealNeeded,
    step: legs.step,
    stepTolerance: legs.stepTolerance,
    outletBore: legs.outletBore,
    inletPipe: legs.inletPipe,
    outletPipe: legs.outletPipe,
  };
}

/** The fan's suction on a pan as a head of water; 0 where it blows, NaN where nobody knows. */
const suctionHead = (coil: FanCoil): number => {
  const pressure = pressureAt(coil);
  if (pressure === "unknown") return coil.fanPosition === "blow-through" ? 0 : NaN;
  return pressure === "suction" ? headOf(-coil.panStatic!) : 0;
};

/** A firm's own rate beyond the published ones widens their interval. */
function daysToOpen(seal: number, profile: Profile) {
  const rate = limitOf(profile, "trap.evaporation").value * SECONDS_PER_DAY;
  return { low: seal / Math.max(rate, FASTEST), best: seal / rate, high: seal / Math.min(rate, SLOWEST) };
}

/** Bores of the legs at the moving surfaces: as stated, else of the pipe that enters (on the governing coil's path) and leaves. */
function legsOf(net: Compiled, shape: Geometry, node: number, governing: number, ways: Topology) {
  const trap = net.nodes[node].trap!;
  const entering = net.drainsIn.list.subarray(net.drainsIn.start[node], net.drainsIn.start[node + 1]);
  let enters = entering[0] ?? -1;
  if (governing >= 0 && entering.length > 1) enters = ways.path(governing).find((p) => net.to[p] === node) ?? enters;
  const next = ways.next[node];
  const leaves = next >= 0 && net.role[next] === ROLE.drain ? next : -1;
  const boreOf = (pipe: number) => (pipe < 0 ? NaN : shape.bore[pipe]);

  let step = trap.inletDrop ?? NaN;
  let stepTolerance = 0;
  if (trap.inletDrop === null && entering.length > 0 && entering.every((p) => net.toOwn[p] === 1)) {
    // Two levels measured at one node, each as uncertain as the node.
    step = Math.min(...Array.from(entering, (p) => net.toInvert[p])) - net.z[node];
    stepTolerance = 2 * net.tolerance[node];
  }
  return {
    inletBore: trap.inletLegSize ?? boreOf(enters),
    outletBore: trap.outletLegSize ?? boreOf(leaves),
    inletPipe: trap.inletLegSize === null ? enters : -1,
    outletPipe: trap.outletLegSize === null ? leaves : -1,
    step,
    stepTolerance,
  };
}

/** For each coil the level that a vent top on its branch must pass: its lowest working switch, else its rim. */
function ventTops(net: Compiled, profile: Profile) {
  const count = net.coils.length;
  const lowestTrip = new Float64Array(count).fill(NaN);
  const unknownTrip = new Uint8Array(count);
  for (const device of net.model.devices) {
    const c = net.coilAt[net.nodeRank[device.at]];
    if (c < 0 || device.seat === "auxiliary-pan" || device.seat === "main") continue;
    if (device.state === "jumpered" || device.state === "failed") continue;
    if (device.tripLevel === null) unknownTrip[c] = 1;
    else if (!(lowestTrip[c] <= device.tripLevel)) lowestTrip[c] = device.tripLevel;
  }
  const leastVentTop = new Float64Array(count).fill(NaN);
  for (let c = 0; c < count; c++) {
    if (unknownTrip[c]) lowestTrip[c] = NaN;
    const coil = net.nodes[net.coils[c]].coil!;
    if (profile.ventRule === "spill-at-vent" || coil.panStatic === null) continue;
    const rim = net.z[net.coils[c]] + (coil.pan.rimHeight ?? NaN);
    const watched = profile.ventRule === "trip" && (unknownTrip[c] === 1 || !Number.isNaN(lowestTrip[c]));
    leastVentTop[c] = (watched ? lowestTrip[c] : rim) + headOf(Math.max(0, coil.panStatic));
  }
  return { leastVentTop, lowestTrip };
}
