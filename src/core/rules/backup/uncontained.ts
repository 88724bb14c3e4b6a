import { BACKUP_OUTCOME, type Backup, type BackupLine, type Counted } from "../../analysis/facts.js";
import { exact } from "../../quantity/interval.js";
import {
  type Running,
  runningOn,
  type SpillPlaces,
  sayPlaces,
  sayRunning,
  sayTime,
  settleLevels,
  spillEvidence,
  spillPlaces,
  timeEvidence,
} from "../first-spill.js";
import { indexed } from "../indexed.js";
import { plainEvidence } from "../judge-figure.js";
import { settleOnce } from "../overflow-devices.js";
import { type Case, defineRule, type Finding, type Outcome, PASS, type RemedyStep, type Settle } from "../rule.js";

/** Of a riser or main whose backups cannot be judged, so many drains say what they wait for: mostly it is the same. */
const MOST_ASKED = 64;

interface Data {
  readonly outcome: Outcome;
  readonly family: "missing" | "method" | null;
  readonly pipe: number;
  readonly backup: Backup["outcome"];
  readonly places: SpillPlaces;
  readonly running: Running;
  /** s to the first spill */
  readonly time: Counted;
  readonly isRiser: boolean;
  /** further drains of the riser or main of which the same is to be said */
  readonly others: readonly number[];
}

const UNTOLD: Counted = { least: Number.NaN, most: Number.NaN };

/** A chain of common drains is called a riser where most of them stand. */
const isUpright = ({ facts }: Case, pipes: readonly number[]): boolean =>
  2 * pipes.filter((pipe) => facts.fall.vertical[pipe] === 1).length > pipes.length;

const openingsOf = ({ net }: Case, { openings }: Backup) => ({
  fanCoils: openings.map(({ node }) => node).filter((node) => net.coilAt[node] >= 0),
  nodes: openings.map(({ node }) => node).filter((node) => net.coilAt[node] < 0),
});

const failing = (c: Case, { pipe: line, isMain, uncontained }: BackupLine): Finding<Data> => {
  const { net, facts } = c;
  const [worst] = uncontained;
  const backup = facts.backups.ofPipe(worst.pipe)!;
  const pipes = uncontained.flatMap((each) => each.pipes);
  const { firstSpill: time } = facts.stories.timesOf(worst.pipe);
  const from = [net.pipes[worst.pipe].pointer];
  const drains = plainEvidence("uncontainedDrains", "count", exact(pipes.length), [net.pipes[line].pointer]);
  return {
    outcome: "fail",
    data: {
      outcome: "fail",
      family: null,
      pipe: worst.pipe,
      backup: backup.outcome,
      places: spillPlaces(c, backup),
      running: runningOn(backup),
      time,
      isRiser: !isMain && isUpright(c, pipes),
      others: [...uncontained.slice(1).map(({ pipe }) => pipe), ...uncontained.flatMap((each) => upper(each))],
    },
    anchor: lowest(c, uncontained),
    subject: { ...openingsOf(c, backup), pipes },
    evidence: [...spillEvidence(c, backup, from), ...timeEvidence(time, from), drains],
    remedy: measures(c, pipes),
  };
};

const upper = ({ pipe, pipes }: BackupLine["uncontained"][number]): number[] => pipes.filter((each) => each !== pipe);

/** The most downstream of them all. */
const lowest = ({ net, facts }: Case, uncontained: BackupLine["uncontained"]): number => {
  const all = new Set(uncontained.map(({ pipe }) => pipe));
  const { next } = facts.topology;
  const met = new Set<number>();
  let found = uncontained[0].pipe;
  for (let pipe = found; pipe >= 0 && !met.has(pipe); pipe = next[net.to[pipe]]) {
    met.add(pipe);
    if (all.has(pipe)) found = pipe;
  }
  return found;
};

/** What contains them, with how many each measure takes out of the exposure. */
const measures = (c: Case, pipes: readonly number[]): RemedyStep[] =>
  c.facts.backups
    .containing(pipes)
    .sort((a, b) => b.pipes.length - a.pipes.length)
    .map(({ device, node, level, stopsAbove, pipes: contained }) => {
      const what = c.net.pipes[stopsAbove].id;
      const contains = { drains: contained.length, of: pipes.length };
      return device >= 0
        ? { action: "interlock-device", on: { device }, what, contains }
        : { action: "watch-drain", on: { node }, amount: level, kind: "elevation", what, contains };
    });

const open = (c: Case, { isMain, undetermined }: BackupLine): Finding<Data> => {
  const { net, facts } = c;
  const [pipe, ...others] = undetermined;
  const asked = undetermined.slice(0, MOST_ASKED).map((each) => facts.backups.ofPipe(each)!);
  const missing = settleOnce(asked.flatMap((each) => settleLevels(c, each)));
  const nobody: Settle = {
    pointer: net.pipes[pipe].pointer,
    decision: "Where water comes out when this drain blocks: nothing above it that a pool could reach is open.",
  };
  const family = missing.length > 0 ? "missing" : "method";
  const [backup] = asked;
  return {
    outcome: "undetermined",
    family,
    settledBy: missing.length > 0 ? missing : [nobody],
    data: {
      outcome: "undetermined",
      family,
      pipe,
      backup: backup.outcome,
      places: spillPlaces(c, backup),
      running: runningOn(backup),
      time: UNTOLD,
      isRiser: !isMain && isUpright(c, undetermined),
      others,
    },
    anchor: pipe,
    subject: { ...openingsOf(c, backup), pipes: undetermined },
    evidence: Number.isNaN(backup.firstSpill) ? [] : spillEvidence(c, backup, [net.pipes[pipe].pointer]),
  };
};

/** Pipe → the finding of the riser or main that it belongs to. */
const findings = indexed((c): ReadonlyMap<number, Finding<Data>> => {
  const of = new Map<number, Finding<Data>>();
  for (const line of c.facts.backups.lines()) {
    if (line.uncontained.length > 0) {
      const finding = failing(c, line);
      for (const { pipes } of line.uncontained) for (const pipe of pipes) of.set(pipe, finding);
    }
    if (line.undetermined.length > 0) {
      const finding = open(c, line);
      for (const pipe of line.undetermined) of.set(pipe, finding);
    }
  }
  return of;
});

export const backupUncontained = defineRule<Data>({
  id: "backup.uncontained",
  title: "Blockage that nothing contains",
  question:
    "If a common drain blocks: where does water come out first, whose water is it, and does anything stop it before?",
  why: "Behind a blocked main the lowest pan above it floods with everybody's water. The switch in that pan stops its own coil, and the others go on filling it.",
  severity: "major",
  kind: "contingency",
  stage: "design",
  needs: [
    "nodes.elevation",
    "nodes.pan.rimHeight",
    "nodes.panStatic",
    "overflowDevices.tripHeight",
    "overflowDevices.tripElevation",
    "circuits.stops",
    "circuits.breaks",
    "nodes.spillHarmless",
    "nodes.dwelling",
    "nodes.pan.area",
    "pipes.insideDiameter",
  ],
  limits: [],
  notApplicable: "No drain is common to two coils.",
  remedy:
    "Fit level switches in the common drain, or wire those that trip in time, so that they stop every coil above the blockage.",
  sources: ["common-practice", "hydrostatics", "derived"],
  anchor: "pipe",
  mergesAlongFlow: false,
  *subjects({ net, facts }) {
    const { outcome } = facts.backups;
    for (let pipe = 0; pipe < net.pipeCount; pipe++)
      if (facts.topology.common[pipe] === 1 && outcome[pipe] < BACKUP_OUTCOME.length) yield pipe;
  },
  judge(c, pipe) {
    const { net, facts } = c;
    const outcome = BACKUP_OUTCOME[facts.backups.outcome[pipe]];
    if (outcome === "uncontained" || outcome === "undetermined") return findings(c).get(pipe)!;
    if (!c.wantPasses) return PASS;
    const backup = facts.backups.ofPipe(pipe)!;
    return {
      outcome: "pass",
      data: {
        outcome: "pass",
        family: null,
        pipe,
        backup: outcome,
        places: spillPlaces(c, backup),
        running: runningOn(backup),
        time: UNTOLD,
        isRiser: false,
        others: [],
      },
      anchor: pipe,
      subject: { ...openingsOf(c, backup), pipes: [pipe] },
      evidence: spillEvidence(c, backup, [net.pipes[pipe].pointer]),
    };
  },
  say: ({ outcome, family, pipe, backup, places, running, time, isRiser, others }, speak) => {
    const blocked = `If ${speak.pipe(pipe)} blocks`;
    const named = speak.list(
      others.map((each) => speak.pipe(each)),
      4,
    );
    const drains = `${others.length} more drain${others.length === 1 ? "" : "s"} of this ${isRiser ? "riser" : "main"}`;
    const isKnown = places.dwellings.length + places.nodes.length > 0;
    if (outcome === "pass")
      return backup === "contained"
        ? `${blocked}, level switches stop every coil above before water comes out ${sayPlaces(places, speak)}.`
        : `${blocked}, water comes out first ${sayPlaces(places, speak)}, where ${backup === "told" ? "it is seen and carried off" : "it does no harm"}.`;
    if (outcome === "fail") {
      const first = `${blocked}, water comes out first ${sayPlaces(places, speak)}${sayTime(time, speak)}: ${sayRunning(running, speak)}.`;
      return others.length === 0 ? first : `${first} Nothing contains a blockage of ${drains} either: ${named}.`;
    }
    const rest = others.length === 0 ? "" : ` The same holds of ${drains}: ${named}.`;
    if (family === "method")
      return `${blocked}, where water comes out cannot be told: nothing above it that a pool could reach is open.${rest}`;
    return isKnown
      ? `${blocked}, water comes out first ${sayPlaces(places, speak)}. Whether a level switch stops it by then is not known.${rest}`
      : `${blocked}, where water comes out first cannot be told: the level of an opening is not known.${rest}`;
  },
});
