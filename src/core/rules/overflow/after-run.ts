import { BACKUP_OUTCOME, type StoryGap } from "../../analysis/facts.js";
import { limitOf } from "../../profiles/profile.js";
import { boreSettle } from "../air-readings.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { indexed } from "../indexed.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import { familyOf, settleOnce } from "../overflow-devices.js";
import {
  type Case,
  defineRule,
  type Evidence,
  type Outcome,
  PASS,
  type RemedyStep,
  type Settle,
  TOLD,
} from "../rule.js";

const [CONTAINED] = BACKUP_OUTCOME.keys();

/** A blockage that devices contain, and the water that still comes once the last of them has tripped. */
interface AfterTrip {
  readonly pipe: number;
  /** devices that had to trip, in their order */
  readonly devices: readonly number[];
  /** coils that have been stopped and go on dripping */
  readonly coils: number;
  /** m³ that still come */
  readonly volume: number;
  /** m³ of room, NaN unknown */
  readonly least: number;
  readonly most: number;
  readonly outcome: Outcome;
  readonly gaps: readonly StoryGap[];
  /** so much stands in the pool that a rule does not add it up */
  readonly isTooLarge: boolean;
}

/** Drains whose blockage devices contain: of those in line with the same coils and the same spill the uppermost, which has least room. */
const containedDrains = ({ net, facts }: Case): number[] => {
  const { outcome, firstSpill } = facts.backups;
  const { coilsAbove, next } = facts.topology;
  const follows = new Uint8Array(net.pipeCount);
  for (let pipe = 0; pipe < net.pipeCount; pipe++) {
    const below = outcome[pipe] === CONTAINED ? next[net.to[pipe]] : -1;
    if (below >= 0 && coilsAbove[below] === coilsAbove[pipe] && firstSpill[below] === firstSpill[pipe])
      follows[below] = 1;
  }
  const pipes: number[] = [];
  for (let pipe = 0; pipe < net.pipeCount; pipe++)
    if (outcome[pipe] === CONTAINED && follows[pipe] === 0) pipes.push(pipe);
  return pipes;
};

/** Coil (position) → devices in its own pan that stop it. */
const stoppingInPan = ({ net, facts }: Case): ReadonlyMap<number, readonly number[]> => {
  const of = new Map<number, number[]>();
  for (const [device, { at, seat }] of net.model.devices.entries()) {
    const coil = net.coilAt[net.nodeRank[at]];
    if (coil < 0 || seat === "auxiliary-pan" || !facts.circuits.devices[device].stops.includes(coil)) continue;
    const known = of.get(coil);
    if (known === undefined) of.set(coil, [device]);
    else known.push(device);
  }
  return of;
};

/** The devices that had to trip until nothing came any more. */
const needed = ({ net, facts }: Case, pipe: number): number[] => {
  const running = new Set(facts.backups.pools.feeding(net.from[pipe]));
  const devices: number[] = [];
  for (const { device } of facts.backups.ofPipe(pipe)!.trips) {
    let isNeeded = false;
    for (const coil of facts.circuits.devices[device].stops) isNeeded = running.delete(coil) || isNeeded;
    if (isNeeded) devices.push(device);
    if (running.size === 0) break;
  }
  return devices;
};

/** null: what comes out first is told of or does no harm, and asks for no room. */
const read = (c: Case, pipe: number): AfterTrip | null => {
  const { facts, profile } = c;
  const after = facts.stories.afterStop(pipe);
  const coils = after?.afterRun?.coils ?? facts.backups.fanCoilsFeeding[pipe];
  const volume = coils * limitOf(profile, "overflow.afterRun").value;
  if (after === null) {
    const devices = [facts.backups.pools.firstTrip(pipe)];
    return { pipe, devices, coils, volume, least: NaN, most: NaN, outcome: "undetermined", gaps: [], isTooLarge: true };
  }
  if (facts.backups.ofPipe(pipe)!.openings.every(({ told, harmless }) => told || harmless)) return null;
  // Where the water that the fans held up spills as they stop, there is no room left for more.
  const none = after.spills ? 0 : NaN;
  const { least, most } = after.afterRun?.room ?? { least: none, most: none };
  return {
    pipe,
    devices: needed(c, pipe),
    coils,
    volume,
    least,
    most,
    outcome: volume <= least ? "pass" : volume > most ? "fail" : "undetermined",
    gaps: after.gaps,
    isTooLarge: false,
  };
};

const RANK: Readonly<Record<Outcome, number>> = { fail: 2, undetermined: 1, pass: 0 };
const isWorse = (a: AfterTrip, b: AfterTrip): boolean =>
  RANK[a.outcome] !== RANK[b.outcome]
    ? RANK[a.outcome] > RANK[b.outcome]
    : !(a.least - a.volume >= b.least - b.volume) && !Number.isNaN(b.least);

/** Device → the blockages at which it is the last to trip, the worst first; none: its own pan alone has room. */
const afterTrips = indexed((c): ReadonlyMap<number, readonly AfterTrip[]> => {
  const { net, facts, profile } = c;
  const perCoil = limitOf(profile, "overflow.afterRun").value;
  const ofPan = stoppingInPan(c);
  const of = new Map<number, AfterTrip[]>();
  const listOf = (device: number): AfterTrip[] => {
    const known = of.get(device) ?? [];
    of.set(device, known);
    return known;
  };
  for (const pipe of containedDrains(c)) {
    if (facts.topology.coilsAbove[pipe] === 1 && !c.wantPasses) {
      // Most branches need no closer look: their coil's own pan takes that little.
      const [coil] = facts.backups.pools.feeding(net.from[pipe]);
      const { area } = net.nodes[net.coils[coil]].coil!.pan;
      const device = (ofPan.get(coil) ?? []).find((each) => {
        const room = (area ?? 0) * (facts.backups.firstSpill[pipe] - (net.model.devices[each].tripLevel ?? Infinity));
        return room >= perCoil;
      });
      if (device !== undefined) {
        listOf(device);
        continue;
      }
    }
    const found = read(c, pipe);
    const last = found?.devices.at(-1);
    // One in an auxiliary pan trips once the rim spills: what still comes is caught in that pan.
    if (found === null || last === undefined || net.model.devices[last].seat === "auxiliary-pan") continue;
    const known = listOf(last);
    if (known.length > 0 && isWorse(found, known[0])) known.unshift(found);
    else known.push(found);
  }
  return of;
});

const settleGap = (c: Case, { kind, node, pipe }: StoryGap): Settle => {
  if (kind === "bore") return boreSettle(c, pipe);
  const { pointer } = c.net.nodes[node];
  return { pointer: `${pointer}/${kind === "pan-area" ? "pan/area" : kind === "sump" ? "sump/volume" : "receptor"}` };
};

const settleOf = (c: Case, device: number): Settle[] => {
  const [worst] = afterTrips(c).get(device)!;
  const open = afterTrips(c)
    .get(device)!
    .filter(({ outcome }) => outcome === "undetermined");
  const settledBy = settleOnce(open.flatMap(({ gaps }) => gaps.map((gap) => settleGap(c, gap))));
  if (settledBy.length > 0) return settledBy;
  const decision = worst.isTooLarge
    ? "How much room there is: ask what follows in time if this drain blocks, which no rule adds up for so large a pool."
    : "Whether the air in branches without a vent gives way as the water rises: pour water in and see.";
  return [{ pointer: c.net.pipes[worst.pipe].pointer, decision }];
};

const devicesThatContain = (c: Case): Iterable<number> => [...afterTrips(c).keys()].sort((a, b) => a - b);

/** What many wait for is asked for once: the areas of a building's pans, its bores. */
const waiting = waitingFor(devicesThatContain, (c, device) => {
  const [worst] = afterTrips(c).get(device)!;
  if (worst?.outcome !== "undetermined") return null;
  return [...new Set(worst.gaps.map(({ kind }) => kind))].sort().join(" ") || `drain ${worst.pipe}`;
});

/** What would leave room for what still comes. */
const remedyFor = (c: Case, { pipe, devices }: AfterTrip): RemedyStep | null => {
  const { net, facts } = c;
  const containment = facts.stories.containmentOf(pipe);
  if (containment === null || Number.isNaN(containment.highestTrip)) return null;
  const { node, highestTrip, devices: early } = containment;
  const what = net.pipes[pipe].id;
  const contains = { drains: 1, of: 1 };
  const [device] = devices;
  if (devices.length === 1 && !early.includes(device)) {
    // At a running pan under suction the switch sees the water that much higher.
    const lift = net.model.devices[device].tripLevel! - facts.backups.tripLevel[device];
    const level = highestTrip + lift;
    if (level > net.z[net.nodeRank[net.model.devices[device].at]])
      return { action: "set-device", on: { device }, amount: level, kind: "elevation" };
  }
  return early.length > 0
    ? { action: "interlock-device", on: { device: early[0] }, what, contains }
    : { action: "watch-drain", on: { node }, amount: highestTrip, kind: "elevation", what, contains };
};

interface Data {
  readonly outcome: Outcome;
  readonly device: number;
  /** further devices of which the same cannot be told */
  readonly others: number;
  readonly pipe: number;
  readonly coils: number;
  readonly volume: number;
  readonly least: number;
  readonly most: number;
}

export const overflowAfterRun = defineRule<Data>({
  id: "overflow.after-run",
  title: "Switch without room for the water that still comes",
  question: "Is there room below the first spill for the water that still comes after the stop?",
  why: "A wet coil goes on dripping, and the valve takes its time. Where one switch stops forty coils, what they still give runs to the one place where the pool stands highest.",
  severity: "major",
  kind: "contingency",
  stage: "design",
  needs: [
    "overflowDevices.tripHeight",
    "overflowDevices.tripElevation",
    "nodes.pan.area",
    "nodes.pan.rimHeight",
    "pipes.insideDiameter",
    "circuits.stops",
  ],
  limits: ["overflow.afterRun"],
  notApplicable: "No overflow device contains a blockage that would do harm.",
  remedy: "Set the switch lower, or fit one that stops the coils earlier.",
  sources: ["hydrostatics", "assumption", "derived"],
  anchor: "device",
  subjects: devicesThatContain,
  judge(c, device) {
    const { net, profile } = c;
    const found = afterTrips(c).get(device)!;
    const [worst] = found;
    const outcome = worst?.outcome ?? "pass";
    if (outcome === "pass" && (!c.wantPasses || worst === undefined)) return PASS;
    const group = waiting(c).get(device);
    if (group !== undefined && group.first !== device) return TOLD;
    const settledBy = group === undefined ? [] : settleAll(c, group, settleOf);
    const { pipe, coils, volume, least, most } = worst;
    const limit = limitOf(profile, "overflow.afterRun");
    const { pointer } = net.model.devices[device];
    const evidence: Evidence[] = [
      plainEvidence("stoppedCoils", "count", { low: coils, best: coils, high: coils }, [pointer]),
    ];
    if (!Number.isNaN(least))
      evidence.push(
        evidenceOf(
          "room",
          "volume",
          judgeFigure({ low: least, best: least, high: most }, volume, "at-least"),
          { name: "stillToCome", source: limit.source },
          [pointer, net.pipes[pipe].pointer],
        ),
      );
    const failing = found.filter((each) => each.outcome === "fail");
    const steps = failing.map((each) => remedyFor(c, each)).filter((step) => step !== null);
    const at = net.nodeRank[net.model.devices[device].at];
    return {
      outcome,
      ...(outcome === "undetermined" ? { family: familyOf(settledBy), settledBy } : {}),
      data: { outcome, device, others: (group?.all.length ?? 1) - 1, pipe, coils, volume, least, most },
      anchor: device,
      subject: {
        ...(net.coilAt[at] >= 0 ? { fanCoils: [at] } : { nodes: [at] }),
        pipes: (outcome === "pass" ? found : found.filter((each) => each.outcome === outcome)).map((each) => each.pipe),
      },
      evidence,
      remedy: outcome === "fail" ? lowestOfEach(steps) : undefined,
    };
  },
  say: ({ outcome, device, others, pipe, coils, volume, least, most }, speak) => {
    const whose = coils === 1 ? "the coil above has" : `the ${coils} coils above have`;
    const still = speak.figure(volume, "volume", "up");
    const blocked = `If ${speak.pipe(pipe)} blocks, ${whose} stopped when ${speak.device(device)} trips`;
    if (outcome === "pass")
      return `${blocked}, and there is room for the ${still} that may still come: ${speak.figure(least, "volume", "down")}.`;
    if (outcome === "fail") {
      const { figure, limit } = speak.against(most, volume, "volume");
      return `${blocked}, and ${limit} may still come: there is room for ${figure} below the first spill.`;
    }
    const more = others === 0 ? "" : ` The same holds of ${others} more level switch${others === 1 ? "" : "es"}.`;
    return `${blocked}. Whether there is room below the first spill for the ${still} that may still come cannot be told.${more}`;
  },
});

/** Of several steps on one thing the one that suffices for all. */
function lowestOfEach(steps: readonly RemedyStep[]): RemedyStep[] {
  const of = new Map<string, RemedyStep>();
  for (const step of steps) {
    const key = `${step.action} ${step.on.device ?? step.on.node} ${step.what ?? ""}`;
    const known = of.get(key);
    if (known === undefined || (step.amount ?? 0) < (known.amount ?? 0)) of.set(key, step);
  }
  return [...of.values()];
}
