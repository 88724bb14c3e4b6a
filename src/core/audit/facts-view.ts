import type { AirPartition, Backup, Facts, SealFact } from "../analysis/facts.js";
import { CLOSURE, RATE_BASIS } from "../analysis/facts.js";
import { type Compiled, ROLE } from "../graph/compiled.js";
import { sizeNameOf } from "../materials/materials.js";
import type { Profile } from "../profiles/profile.js";
import { naturalOrder } from "../quantity/natural-order.js";
import { sizeName } from "../quantity/sizes.js";
import type { Include } from "./answer.js";

/** Not computable and without meaning are null in the answer; −0 is 0. */
const num = (value: number): number | null => (Number.isFinite(value) ? value + 0 : null);

interface View {
  readonly net: Compiled;
  readonly facts: Facts;
  readonly profile: Profile;
}

/** The facts as lists under ids, in natural order, SI base units. Only what is asked for is made. */
export function factsView(view: View, words: ReadonlySet<Include>): Partial<Record<Include, unknown>> {
  const all: Partial<Record<Include, unknown>> = {};
  for (const word of Object.keys(MAKERS) as Include[]) if (words.has(word)) all[word] = MAKERS[word](view);
  return all;
}

const MAKERS: Readonly<Record<Include, (view: View) => unknown>> = {
  topology: ({ net, facts: { topology: t } }) => ({
    cycles: t.cycles.map((group) => group.map((i) => nodeId(net, i))),
    splits: t.splits.map((i) => nodeId(net, i)),
    deadLegs: t.deadLegs.map((p) => pipeId(net, p)),
    orphans: t.orphans.map((i) => nodeId(net, i)),
  }),
  fanCoils,
  pipes,
  nodes: ({ net, facts }) =>
    Array.from(net.nodes, ({ id }, i) => {
      const depth = facts.water.level[i] - net.z[i];
      return {
        id,
        elevation: num(net.z[i]),
        standingWaterLevel: num(facts.water.level[i]),
        standingDepth: num(depth > 1e-6 ? depth : depth <= 1e-6 ? 0 : NaN),
      };
    }),
  runs: ({ net, facts }) =>
    facts.fall.runs.map((run) => ({
      id: pipeId(net, run.pipes[run.pipes.length - 1]),
      pipes: [...run.pipes].sort((a, b) => a - b).map((p) => pipeId(net, p)),
      length: num(run.length),
      fall: num(run.fall),
      grade: num(run.grade),
      gradeLow: num(run.gradeLow),
      gradeHigh: num(run.gradeHigh),
    })),
  pools: ({ net, facts }) =>
    facts.water.pools.map((pool) => ({
      id: nodeId(net, pool.node),
      cause: pool.cause,
      level: num(pool.level),
      maxDepth: num(pool.maxDepth),
      volume: num(pool.volume),
      weir: pool.weir < 0 ? null : nodeId(net, pool.weir),
      nodes: pool.nodes.map((i) => nodeId(net, i)),
      pipes: pool.pipes.map((p) => pipeId(net, p)),
      class: pool.class,
      sealDepth: num(pool.sealDepth),
      airGap: num(pool.airGap),
      raiseBy: num(pool.raiseBy),
    })),
  seals: ({ net, facts }) =>
    facts.seals.list.map((seal) => sealView(net, facts, seal)).sort((a, b) => naturalOrder(a.id, b.id)),
  airSpaces: ({ net, facts }) => spaces(net, facts.air.best),
  airSpacesAtFlow: ({ net, facts }) => spaces(net, facts.air.atFlow),
  backups,
  devices: ({ net, facts }) =>
    net.model.devices
      .map(({ id }, d) => {
        const { sees, unseenCommonPipes } = facts.backups.watch(d);
        return {
          id,
          stops: Array.from(facts.circuits.devices[d].stops, (c) => nodeId(net, net.coils[c])),
          sees: num(sees),
          unseenCommonPipes: num(unseenCommonPipes),
        };
      })
      .sort((a, b) => naturalOrder(a.id, b.id)),
  circuits: ({ net, facts }) =>
    net.model.circuits
      .map(({ id }, i) => {
        const { anyDeviceStops, stopsWater, stopsFan } = facts.circuits.circuits[i];
        return { id, anyDeviceStops, stopsWater, stopsFan };
      })
      .sort((a, b) => naturalOrder(a.id, b.id)),
  paths,
};

const nodeId = (net: Compiled, i: number): string => net.nodes[i].id;
const pipeId = (net: Compiled, p: number): string => net.pipes[p].id;
const orNull = (net: Compiled, i: number): string | null => (i < 0 ? null : nodeId(net, i));

function fanCoils({ net, facts }: View) {
  const { topology, fall, loads, seals } = facts;
  return Array.from(net.coils, (node, c) => {
    const own = fall.coils[c];
    const lost = topology.intoCycle[node] === 1;
    return {
      id: nodeId(net, node),
      outlet: orNull(net, topology.outlet[node]),
      pathPipes: Array.from(topology.path(c), (p) => pipeId(net, p)),
      pathLength: num(own.pathLength),
      hops: own.hops,
      fall: num(own.fall),
      meanGrade: num(own.meanGrade),
      leastGrade: num(own.leastGrade),
      fallBudget: lost ? null : num(own.fallBudget),
      fallBudgetToJoiningPoint: num(own.fallBudgetToJoiningPoint),
      stretches: own.reached
        ? own.stretches.map((s) => ({ from: nodeId(net, s.from), to: nodeId(net, s.to), budget: num(s.budget.best) }))
        : null,
      shortfall: num(own.shortfall),
      joiningPoint: orNull(net, topology.joiningPoint[c]),
      leastVentTop: num(seals.leastVentTop[c]),
      condensateRate: num(loads.rate[c]),
      coolingCapacity: num(loads.capacity[c]),
      rateBasis: RATE_BASIS[loads.basis[c]] ?? null,
      traps: Array.from(topology.traps(c), (i) => nodeId(net, i)),
      sealsOnPath: seals.countOnPath[c],
      lockedAir: lockedAirView(facts, c),
    };
  });
}

function lockedAirView(facts: Facts, coil: number) {
  const locked = facts.lockedAir.best.ofCoil.get(coil);
  if (locked === undefined) return null;
  return {
    needed: num(locked.needed.best),
    neededCompressible: num(locked.neededCompressible),
    toOutlet: num(locked.toOutlet),
    toTrip: num(locked.toTrip),
    toSpill: num(locked.toSpill),
    outcome: locked.outcome,
    standing: num(locked.standing),
  };
}

function pipes({ net, facts, profile }: View) {
  const { topology, fall, loads, capacity, water } = facts;
  return net.pipes.map((pipe, p) => {
    const named = (size: number) => (size === 0 ? null : sizeNameOf(size, pipe.material, profile.sizeSystem));
    const nominal = (size: number) => (size === 0 ? null : sizeName(size, profile.sizeSystem));
    const role = net.role[p];
    const upright = role === ROLE.vent || role === ROLE.access;
    const outlet = upright || topology.intoCycle[net.from[p]] ? -1 : topology.outlet[net.to[p]];
    return {
      id: pipe.id,
      fall: num(fall.fall[p]),
      run: num(fall.run[p]),
      grade: num(fall.grade[p]),
      isVertical: role === ROLE.pressure ? null : fall.vertical[p] === 1,
      isCommon: topology.common[p] === 1,
      fanCoilsAbove: topology.coilsAbove[p],
      connectedCapacity: num(loads.connected[p]),
      designFlow: num(loads.designFlow[p]),
      insideDiameter: num(capacity.bore[p]),
      gradeMinimum: num(fall.gradeMinimum[p]),
      gradeMargin: num(fall.grade[p] - fall.gradeMinimum[p]),
      capacity: num(capacity.capacity[p]),
      utilisation: num(capacity.utilisation[p]),
      flowDepth: num(capacity.flowDepth[p]),
      fillRatio: num(capacity.fillRatio[p]),
      velocity: num(capacity.velocity[p]),
      froude: num(capacity.froude[p]),
      codeSize: nominal(capacity.codeSize[p]),
      hydraulicSize: named(capacity.hydraulicSize[p]),
      requiredSize: nominal(capacity.requiredSize[p]),
      upstreamStandingDepth: num(water.fromDepth[p]),
      downstreamStandingDepth: num(water.toDepth[p]),
      sealedByStandingWater: sealedBy(facts, p),
      outlet: orNull(net, outlet),
    };
  });
}

/** null where an unknown bore or level decides */
function sealedBy({ water }: Facts, p: number): boolean | null {
  const bits = water.fromClosure[p] | water.toClosure[p];
  if (bits & CLOSURE.best) return true;
  if (Number.isNaN(water.fromLevel[p]) || Number.isNaN(water.toLevel[p])) return null;
  const wet = water.fromDepth[p] > 0 || water.toDepth[p] > 0;
  return wet && bits & CLOSURE.unknownBore ? null : false;
}

function sealView(net: Compiled, facts: Facts, seal: SealFact) {
  const days = seal.daysToOpen;
  return {
    id: seal.pool >= 0 ? `pool:${nodeId(net, facts.water.pools[seal.pool].node)}` : nodeId(net, seal.trap),
    kind: seal.kind,
    fanCoils: seal.coils.map((c) => nodeId(net, net.coils[c])),
    sealDepth: num(seal.sealDepth),
    weirElevation: num(seal.weirElevation),
    drop: num(seal.drop),
    staticPressure: num(seal.staticPressure),
    head: num(seal.head),
    panStanding: num(seal.panStanding),
    dropMargin: num(seal.dropMargin),
    sealMarginStart: num(seal.sealMarginStart),
    dropNeeded: num(seal.dropNeeded),
    sealNeeded: num(seal.sealNeeded),
    drainsUpTo: num(seal.drainsUpTo),
    holdsAtStart: num(seal.holdsAtStart),
    blowsOutAt: num(seal.blowsOutAt),
    primingVolume: num(seal.primingVolume),
    daysToOpen: days === null ? null : { low: num(days.low), best: num(days.best), high: num(days.high) },
  };
}

function spaces(net: Compiled, partition: AirPartition) {
  return partition.spaces.map((space) => ({
    id: nodeId(net, space.nodes[0] ?? space.traps[0]),
    kind: space.kind,
    onPath: space.onPath,
    openings: space.openings.map((i) => nodeId(net, i)),
    pans: space.pans.map((i) => nodeId(net, i)),
    nodes: space.nodes.map((i) => nodeId(net, i)),
    pipes: space.pipes.map((p) => pipeId(net, p)),
    traps: space.traps.map((i) => nodeId(net, i)),
    volume: num(space.volume),
  }));
}

/** Every drain below a coil; on a loop nothing but its id and its coils has a meaning. */
function backups({ net, facts }: View) {
  const list = [];
  for (let p = 0; p < net.pipeCount; p++) {
    if (net.role[p] !== ROLE.drain || facts.topology.coilsAbove[p] === 0) continue;
    const backup = facts.backups.ofPipe(p);
    list.push({ pipe: pipeId(net, p), ...backupView(net, backup, facts.topology.coilsAbove[p]) });
  }
  return list;
}

function backupView(net: Compiled, backup: Backup | null, fanCoilsFeeding: number) {
  const known = backup !== null && !Number.isNaN(backup.firstSpill);
  return {
    firstSpill: known
      ? {
          elevation: num(backup.firstSpill),
          openings: backup.openings.map(({ node, elevation }) => ({
            node: nodeId(net, node),
            elevation: num(elevation),
            dwelling: dwellingAt(net, node),
          })),
        }
      : null,
    inflow: num(backup?.inflow ?? NaN),
    inflowAfterTrips: num(backup?.inflowAfterTrips ?? NaN),
    trips: (backup?.trips ?? []).map(({ device, level }) => ({
      device: net.model.devices[device].id,
      level: num(level),
    })),
    outcome: backup?.outcome ?? null,
    fanCoilsFeeding,
  };
}

/** Who is under the water that spills at a node; what a receptor spills may reach somebody else. */
const dwellingAt = (net: Compiled, node: number): string | null =>
  net.nodes[node].outlet?.receptor?.dwelling ?? net.nodes[node].dwelling;

function paths({ net, facts }: View) {
  const { topology, water } = facts;
  return Array.from(net.coils, (coil, c) => {
    let distance = 0;
    const points = [];
    for (const p of topology.path(c)) {
      points.push({
        node: nodeId(net, net.from[p]),
        pipe: pipeId(net, p),
        distance,
        invert: num(net.fromInvert[p]),
        crown: num(water.fromCrown[p]),
        standingLevel: num(water.fromLevel[p]),
      });
      distance += net.length[p];
      points.push({
        node: nodeId(net, net.to[p]),
        pipe: pipeId(net, p),
        distance,
        invert: num(net.toInvert[p]),
        crown: num(water.toCrown[p]),
        standingLevel: num(water.toLevel[p]),
      });
    }
    return { fanCoil: nodeId(net, coil), points };
  });
}
