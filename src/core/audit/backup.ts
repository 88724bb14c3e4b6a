import type { BackupStory, Counted, Facts, HeldWater, StoryGap, StoryStep, StoryStepKind } from "../analysis/facts.js";
import { type Compiled, KIND } from "../graph/compiled.js";
import type { Problem } from "../network/model.js";
import { ProblemList, step as pointerStep, quoted } from "../network/problems.js";
import { writtenAt } from "../network/written-at.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { settleOpening } from "../rules/spill-opening.js";
import { gapWords, messageOf, stepWords } from "./backup-words.js";
import { cautionsFor } from "./cautions.js";
import { readCase } from "./read-case.js";
import { speakerFor } from "./speaker.js";
import { type WorkPoints, workPoints } from "./work-points.js";

/**
 * Minutes counted both ways: `soonest` as if the branches whose air cannot leave held nothing, and whatever nobody gave the
 * size of neither; `latest` with everything full. null: cannot be told, or it does not come to it.
 */
export interface Minutes {
  readonly soonest: number | null;
  readonly latest: number | null;
}

/** m³, likewise. */
export interface Volume {
  readonly least: number | null;
  readonly most: number | null;
}

export interface BackupOpening {
  readonly node: string;
  /** of the opening itself */
  readonly elevation: number;
  readonly dwelling: string | null;
  /** another way carries the water off, or somebody sees it */
  readonly told: boolean;
  readonly harmless: boolean;
}

/** One thing that happens as the water rises. */
export interface BackupEvent {
  readonly event: StoryStepKind;
  /** a sentence for people */
  readonly text: string;
  readonly minutes: Minutes;
  /** of the rising water once it has happened, m of the datum */
  readonly level: number | null;
  /** m³ that have come since the blockage */
  readonly volume: Volume;
  /** m³/s that come from here on */
  readonly inflow: number | null;
  readonly device: string | null;
  readonly fanCoils: readonly string[];
  readonly openings: readonly BackupOpening[];
  /** m³ that run out at once */
  readonly surge: number;
}

export interface BackupAnswer {
  readonly format: 1;
  readonly network: { readonly id: string; readonly name: string | null };
  readonly blocked: {
    readonly pipe: string | null;
    readonly node: string | null;
    readonly kind: "pipe" | "pan-outlet" | "trap" | "pump" | "receptor" | "node";
    readonly zone: "private" | "common" | null;
    readonly owner: string | null;
  };
  /** as the audit has it; null: nothing backs up, or round a loop nobody can tell */
  readonly outcome: BackupStory["backup"]["outcome"] | null;
  /** sentences for people */
  readonly message: readonly string[];
  /** the coils whose water comes that way */
  readonly fanCoilsFeeding: readonly string[];
  /** m³/s */
  readonly inflow: number | null;
  readonly inflowAfterTrips: number | null;
  /** where and how high the water stands at first */
  readonly start: { readonly node: string; readonly level: number } | null;
  readonly firstTrip: { readonly device: string; readonly minutes: Minutes } | null;
  /** as the audit has it, with every fan running on; minutes null where everything is stopped before */
  readonly firstSpill: {
    readonly elevation: number;
    readonly openings: readonly BackupOpening[];
    readonly minutes: Minutes;
    /** that run out then, until somebody comes */
    readonly litersPerHour: number | null;
  } | null;
  readonly story: readonly BackupEvent[];
  /** what holds the water at the end, m³ more than before; volume null: of a size that nobody gave */
  readonly held: readonly {
    readonly kind: HeldWater["kind"];
    readonly pipe: string | null;
    readonly node: string | null;
    readonly volume: number | null;
    readonly airtight: boolean;
  }[];
  /** what the stopped coils still make, against the room below the first spill; null where none was stopped in time */
  readonly afterRun: {
    readonly perFanCoil: number;
    readonly volume: number;
    readonly room: Volume;
    readonly level: number | null;
    readonly fits: boolean | null;
  } | null;
  /** one more device that would contain it; null where it is contained, told of, harmless or undetermined */
  readonly wouldContain: {
    readonly node: string;
    /** highest level of the rising water at which it may trip; null: none is low enough for what still comes */
    readonly highestTrip: number | null;
    readonly stops: readonly string[];
    /** devices that trip low enough already: their circuits would have to stop all of these */
    readonly devices: readonly string[];
  } | null;
  /** a blocked pipe that closes slowly: the bore at which it only just carries its design flow */
  readonly partial: { readonly pipe: string; readonly insideDiameter: number; readonly boreLeft: number } | null;
  /** what is not known, and the places in the document that would settle it */
  readonly undetermined: readonly { readonly what: string; readonly settledBy: readonly string[] }[];
  readonly assumptions: readonly { readonly name: string; readonly value: number; readonly unit: string }[];
  readonly work: WorkPoints;
  readonly cautions: readonly string[];
}

export type BackupResult =
  | { readonly ok: true; readonly backup: BackupAnswer }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * Tells in time what follows if one pipe or node blocks: how the water rises, what trips and stops, where it comes out and
 * when, and what would contain it. Pure.
 * @param network a network document (parsed JSON)
 * @param blocked `{ pipe: id }` or `{ node: id }`: a pan outlet (its coil), trap, pump, receptor (its outlet) or any other node
 * @returns the story, or every problem with a pointer under /network or /blocked
 */
export function backup(network: unknown, blocked: unknown): BackupResult {
  const read = readCase(network);
  const problems = new ProblemList();
  const asked = readBlocked(blocked, problems);
  if (!read.ok) {
    const list = read.problems.map((p) => ({ ...p, pointer: `/network${p.pointer}` }));
    return { ok: false, problems: [...list, ...problems.listed].slice(0, 100), total: read.total + problems.total };
  }
  const { net, facts, profile } = read;
  const place = asked === null ? -1 : placeOf(net, asked, problems);
  if (asked === null || place < 0) return { ok: false, problems: problems.listed, total: problems.total };
  return { ok: true, backup: answer(net, facts, profile, asked.field, place) };
}

interface Asked {
  readonly field: "pipe" | "node";
  readonly id: string;
}

const WANTED = 'write { "pipe": "…" } or { "node": "…" }';

/** What blocks, as somebody names it; null and problems under /blocked where it is not named. */
export function readBlocked(blocked: unknown, problems: ProblemList): Asked | null {
  if (typeof blocked !== "object" || blocked === null || Array.isArray(blocked)) {
    problems.add("/blocked", "wrong-type", "an object is wanted", WANTED);
    return null;
  }
  const given = Object.entries(blocked);
  const known = given.filter(([field]) => field === "pipe" || field === "node");
  for (const [field] of given) {
    if (field === "pipe" || field === "node") continue;
    const near = problems.nearest(field, ["pipe", "node"]);
    problems.add(
      `/blocked${pointerStep(field)}`,
      "unknown-field",
      `unknown field ${quoted(field)}`,
      near === undefined ? WANTED : `did you mean "${near}"?`,
    );
  }
  if (known.length === 0 && given.length === 0) problems.add("/blocked", "missing-field", "nothing is named", WANTED);
  if (known.length > 1) problems.add("/blocked/node", "two-forms", "a pipe and a node are named", WANTED);
  for (const [field, id] of known)
    if (typeof id !== "string") problems.add(`/blocked/${field}`, "wrong-type", "an id is wanted", WANTED);
  if (problems.total > 0 || known.length !== 1) return null;
  return { field: known[0][0] as "pipe" | "node", id: known[0][1] };
}

/** Index of the pipe or node that is named; -1 and a problem where there is none. */
export function placeOf(net: Compiled, { field, id }: Asked, problems: ProblemList): number {
  const [list, others] = field === "pipe" ? [net.pipes, net.nodes] : [net.nodes, net.pipes];
  const found = list.findIndex((each) => each.id === id);
  if (found >= 0) return found;
  const other = field === "pipe" ? "node" : "pipe";
  const near = problems.nearest(
    id,
    list.map((each) => each.id),
  );
  problems.add(
    `/blocked/${field}`,
    "unknown-reference",
    `the network has no ${field} ${quoted(id)}`,
    others.some((each) => each.id === id)
      ? `it is a ${other}: write { "${other}": … }`
      : near === undefined
        ? `name a ${field} of the network`
        : `did you mean ${quoted(near)}?`,
  );
  return -1;
}

function answer(net: Compiled, facts: Facts, profile: Profile, field: "pipe" | "node", place: number): BackupAnswer {
  const isPipe = field === "pipe";
  const story = isPipe ? facts.stories.ofPipe(place) : facts.stories.ofNode(place);
  const { zone, owner } = (isPipe ? facts.zones.pipe : facts.zones.node)[place];
  const speak = speakerFor(net, profile);
  const kind = isPipe ? "pipe" : kindOf(net, place);
  const told = { story, net, facts, speak, kind, pipe: isPipe ? place : -1, node: isPipe ? -1 : place } as const;
  const idOf = (node: number) => net.nodes[node].id;
  const coilsOf = (positions: readonly number[]) => positions.map((c) => idOf(net.coils[c]));
  const top = isPipe ? net.from[place] : place;
  const openingsOf = (list: StoryStep["openings"]): BackupOpening[] =>
    list.map(({ node, elevation, told: isTold, harmless }) => ({
      node: idOf(node),
      elevation,
      dwelling: net.nodes[node].outlet?.receptor?.dwelling ?? net.nodes[node].dwelling,
      told: isTold,
      harmless,
    }));
  const isUnknown = story?.backup === undefined || Number.isNaN(story.backup.firstSpill);
  const trips = (story?.steps ?? []).filter(({ kind: each }) => each === "trips");
  const firstTrip = trips.find(({ where }) => where !== "empty") ?? trips[0];
  const perFanCoil = limitOf(profile, "overflow.afterRun").value;
  return {
    format: 1,
    network: { id: net.model.id, name: net.model.name },
    blocked: {
      pipe: isPipe ? net.pipes[place].id : null,
      node: isPipe ? null : idOf(place),
      kind,
      zone,
      owner,
    },
    outcome: story?.backup.outcome ?? null,
    message: messageOf(told),
    fanCoilsFeeding: story === null ? [] : coilsOf(story.coils),
    inflow: orNull(story?.backup.inflow),
    inflowAfterTrips: orNull(story?.backup.inflowAfterTrips),
    start: story === null ? null : { node: idOf(story.at), level: story.start },
    firstTrip:
      firstTrip === undefined
        ? null
        : { device: net.model.devices[firstTrip.device].id, minutes: minutesOf(firstTrip.time) },
    firstSpill:
      story === null || isUnknown
        ? null
        : {
            elevation: story.backup.firstSpill,
            openings: openingsOf(story.backup.openings),
            minutes: minutesOf(story.times.firstSpill),
            litersPerHour: orNull(story.spilling * LITERS_PER_HOUR),
          },
    story: (story?.steps ?? []).map((each, i, all) => ({
      event: each.kind,
      text: stepWords(told, each, levelBefore(all, i) ?? story?.start ?? NaN),
      minutes: minutesOf(each.time),
      level: orNull(each.level),
      volume: volumeOf(each.volume),
      inflow: orNull(each.inflow),
      device: each.device < 0 ? null : net.model.devices[each.device].id,
      fanCoils: coilsOf(each.coils),
      openings: openingsOf(each.openings),
      surge: each.surge,
    })),
    held: (story?.held ?? []).map((each) => ({
      kind: each.kind,
      pipe: each.pipe < 0 ? null : net.pipes[each.pipe].id,
      node: each.node < 0 ? null : idOf(each.node),
      volume: orNull(each.volume),
      airtight: each.airtight,
    })),
    afterRun:
      story?.afterRun == null
        ? null
        : {
            perFanCoil: story.afterRun.perCoil,
            volume: story.afterRun.volume,
            room: volumeOf(story.afterRun.room),
            level: orNull(story.afterRun.level),
            fits: story.afterRun.fits,
          },
    wouldContain:
      story?.containment == null
        ? null
        : {
            node: idOf(story.containment.node),
            highestTrip: orNull(story.containment.highestTrip),
            stops: coilsOf(story.containment.stops),
            devices: story.containment.devices.map((d) => net.model.devices[d].id),
          },
    partial:
      story === null || Number.isNaN(story.boreLeft)
        ? null
        : { pipe: net.pipes[story.pipe].id, insideDiameter: facts.geometry.bore[story.pipe], boreLeft: story.boreLeft },
    undetermined: (story?.gaps ?? []).map((gap) => ({
      what: gapWords(told, gap),
      settledBy: pointersOf(net, facts, profile, gap).map((pointer) => writtenAt(net.model, pointer)),
    })),
    assumptions: [
      { name: "water that a stopped coil still makes", value: perFanCoil, unit: "m³" },
      ...((story?.gaps ?? []).some((gap) => gap.kind === "static")
        ? [{ name: "pressure at a pan of unknown static", value: 0, unit: "Pa" }]
        : []),
    ],
    work: workPoints(net, facts)(top, isPipe ? net.to[place] : place),
    cautions: cautionsFor(net),
  };
}

/** Level that the step before left, of those that happen where this one does; undefined: it is the first. */
const levelBefore = (steps: readonly StoryStep[], i: number): number | undefined =>
  steps
    .slice(0, i)
    .findLast(({ where }) => where === "either" || steps[i].where === "either" || where === steps[i].where)?.level;

const LITERS_PER_HOUR = 3_600_000;

const orNull = (value: number | undefined): number | null =>
  value === undefined || !Number.isFinite(value) ? null : value + 0;
const minutesOf = ({ least, most }: Counted): Minutes => ({ soonest: orNull(least / 60), latest: orNull(most / 60) });
const volumeOf = ({ least, most }: Counted): Volume => ({ least: orNull(least), most: orNull(most) });

function kindOf(net: Compiled, node: number): BackupAnswer["blocked"]["kind"] {
  switch (net.kind[node]) {
    case KIND.coil:
      return "pan-outlet";
    case KIND.trap:
      return "trap";
    case KIND.pump:
      return "pump";
    case KIND.outlet:
      return "receptor";
    default:
      return "node";
  }
}

/** Where in the document a figure is missing. */
function pointersOf(net: Compiled, facts: Facts, profile: Profile, { kind, node, pipe, device }: StoryGap): string[] {
  switch (kind) {
    case "pan-area":
      return [`${net.nodes[node].pointer}/pan/area`];
    case "bore":
      return [`${net.pipes[pipe].pointer}/insideDiameter`];
    case "sump": {
      const { startLevel, rim, volume } = net.nodes[node].pump?.sump ?? { startLevel: null, rim: null, volume: null };
      const missing = Object.entries({ startLevel, rim, volume }).filter(([, value]) => value === null);
      return missing.map(([field]) => `${net.nodes[node].pointer}/sump/${field}`);
    }
    case "receptor":
    case "way-out":
      return [];
    case "rate":
      return [`${net.nodes[node].pointer}/condensateRate`];
    case "opening":
      return [settleOpening({ net, facts, profile, wantPasses: false }, node).pointer];
    case "trip":
      return [`${net.model.devices[device].pointer}/tripHeight`];
    case "static":
      return [`${net.nodes[node].pointer}/panStatic`];
    case "wiring": {
      const { pointer, arrangement } = net.model.circuits[net.model.devices[device].circuit!];
      const { anyDeviceStops } = facts.circuits.circuits[net.model.devices[device].circuit!];
      return [`${pointer}/${anyDeviceStops === null && arrangement === null ? "arrangement" : "breaks"}`];
    }
    case "fan":
      return [`${net.model.circuits[net.model.devices[device].circuit!].pointer}/onTrip/fan`];
  }
}
