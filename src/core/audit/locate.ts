import { analyse } from "../analysis/analyse.js";
import type { Facts } from "../analysis/facts.js";
import {
  LIKE_METRES,
  type Location,
  locate as locating,
  type Sighting,
  type Suspect,
  WRONG,
} from "../analysis/locating.js";
import { compile } from "../graph/compile.js";
import { type Compiled, KIND } from "../graph/compiled.js";
import type { Problem } from "../network/model.js";
import { type RawObservation, readObservations } from "../network/observations.js";
import { readNetwork } from "../network/read.js";
import { resolveProfile } from "../profiles/resolve-profile.js";
import { formatProbability } from "../quantity/format.js";
import type { Speaker } from "../quantity/speaker.js";
import { cautionsFor } from "./cautions.js";
import { speakerFor } from "./speaker.js";
import { type WorkPoints, workPoints } from "./work-points.js";

/** What stops water at one place, if it is the one blockage that explains what was observed. */
export interface BlockageCandidate {
  readonly pipe: string | null;
  readonly node: string | null;
  readonly kind: "pipe" | "pan-outlet" | "trap" | "pump" | "receptor";
  /** probability; all of them sum to 1 */
  readonly weight: number;
  /** index into `classes` */
  readonly class: number;
  /** positions of the observations that it leaves unexplained */
  readonly unexplained: readonly number[];
  readonly zone: "private" | "common" | null;
  readonly owner: string | null;
}

export interface BlockageClass {
  readonly weight: number;
  /** pipes and nodes that no observation can tell apart */
  readonly members: readonly string[];
  /** pans and openings that their blockage makes wet */
  readonly wets: readonly string[];
}

/** Where to work from and whom to stop, for a candidate of the likeliest class. */
export interface BlockageWork extends WorkPoints {
  readonly candidate: string;
}

export interface Blockage {
  readonly format: 1;
  readonly network: { readonly id: string; readonly name: string | null };
  /** located: one class leads; cannot-tell: two are about as likely and no check separates them; nothing-reported: no water was seen */
  readonly state: "located" | "cannot-tell" | "nothing-reported";
  /** sentences for people */
  readonly message: readonly string[];
  /** what each observation was taken to say */
  readonly observations: readonly {
    readonly node: string | null;
    readonly says: "wet" | "dry" | "nothing" | "withdrawn";
  }[];
  readonly candidates: readonly BlockageCandidate[];
  readonly classes: readonly BlockageClass[];
  /** pairs of classes that explain more than one alone; empty where one explains all but one */
  readonly twoBlockages: readonly { readonly classes: readonly number[]; readonly unexplained: readonly number[] }[];
  readonly nextCheck: {
    readonly node: string;
    readonly dwelling: string | null;
    /** bits now, and to be expected after the check */
    readonly entropy: number;
    readonly expectedEntropy: number;
  } | null;
  readonly work: readonly BlockageWork[];
  /** no blockage at all: one dwelling alone reports water and its pan is dry */
  readonly sweating: { readonly dwelling: string } | null;
  readonly assumptions: readonly { readonly name: string; readonly value: number; readonly unit: string }[];
  readonly cautions: readonly string[];
}

export type BlockageResult =
  | { readonly ok: true; readonly blockage: Blockage }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/** How many members of the likeliest class are told how to be worked on. */
const WORK_LISTED = 10;

/**
 * Locates a blockage from what was observed. Pure: how long ago something was cleaned is counted to `at`.
 * @param network a network document (parsed JSON)
 * @param observations a list of observations (parsed JSON)
 * @param at RFC 3339 time; default: that of the latest observation
 * @param cleaned ids of pipes with the time of a later cleaning than the document knows of
 * @returns candidates with their probabilities, or every problem with a pointer under /network, /observations or /at
 */
export function locateBlockage(
  network: unknown,
  observations: unknown,
  at?: unknown,
  cleaned: ReadonlyMap<string, string> = new Map(),
): BlockageResult {
  const read = readNetwork(network);
  const seen = readObservations(observations);
  const problems: Problem[] = [];
  let total = 0;
  const tell = (under: string, list: readonly Problem[], count: number) => {
    problems.push(...list.map((p) => ({ ...p, pointer: `${under}${p.pointer}` })));
    total += count;
  };
  if (!read.ok) tell("/network", read.problems, read.total);
  if (!seen.ok) tell("/observations", seen.problems, seen.total);
  const until = at === undefined ? null : typeof at === "string" ? Date.parse(at) : Number.NaN;
  if (Number.isNaN(until))
    tell(
      "/at",
      [{ pointer: "", code: "bad-date", detail: "no time with its zone", hint: 'write "2026-07-14T09:30:00Z"' }],
      1,
    );
  if (!read.ok || !seen.ok || total > 0) return { ok: false, problems: problems.slice(0, 100), total };

  const { model } = read;
  const resolved = resolveProfile(model.profile.base, model.profile.overrides, model.units);
  if (!resolved.ok) {
    const list = resolved.problems.map((p) => ({ ...p, pointer: `/network/profile${p.pointer}` }));
    return { ok: false, problems: list, total: list.length };
  }
  const net = withCleanings(compile(model), cleaned);
  const placed = placesOf(net, seen.observations);
  if (placed.problems.length > 0) {
    tell("/observations", placed.problems, placed.problems.length);
    return { ok: false, problems: problems.slice(0, 100), total };
  }
  const facts = analyse(net, resolved.profile);
  const latest = Math.max(...seen.observations.map(({ time }) => Date.parse(time)));
  const says = sayings(seen.observations, until ?? latest);
  const heard: (Sighting & { readonly position: number })[] = [];
  says.forEach((word, position) => {
    const node = placed.nodes[position];
    if (word === "wet" || word === "dry") heard.push({ node, wet: word === "wet", position });
  });
  const location = locating(net, facts, heard, until ?? (Number.isFinite(latest) ? latest : Number.NaN));
  const state = !heard.some(({ wet }) => wet) ? "nothing-reported" : location.cannotTell ? "cannot-tell" : "located";
  const positions = (indices: readonly number[]) => indices.map((i) => heard[i].position);
  const sweating = sweatingAlone(net, seen.observations, says, placed.nodes);
  const work = state === "nothing-reported" ? [] : workOn(net, facts, location);
  return {
    ok: true,
    blockage: {
      format: 1,
      network: { id: model.id, name: model.name },
      state,
      message: tellOf(net, facts, location, state, sweating, speakerFor(net, resolved.profile)),
      observations: says.map((word, i) => ({ node: net.nodes[placed.nodes[i]].id, says: word })),
      candidates: location.suspects.map((suspect) => candidateOf(net, facts, suspect, positions)),
      classes: location.classes.map(({ weight, members }) => ({
        weight,
        members: members.map((member) => nameOf(net, member)),
        wets: members[0].wet.map((node) => net.nodes[node].id),
      })),
      twoBlockages: location.pairs.map(({ classes, unexplained }) => ({
        classes,
        unexplained: positions(unexplained),
      })),
      nextCheck:
        location.nextCheck === null
          ? null
          : {
              node: net.nodes[location.nextCheck.node].id,
              dwelling: dwellingOf(net, location.nextCheck.node),
              entropy: location.entropy,
              expectedEntropy: location.nextCheck.expectedEntropy,
            },
      work,
      sweating: sweating === null ? null : { dwelling: sweating },
      assumptions: [
        { name: "an observation is wrong", value: WRONG, unit: "probability" },
        { name: "a pan outlet blocks like so much 20 mm pipe", value: LIKE_METRES.panOutlet, unit: "m" },
        { name: "a trap blocks like so much 20 mm pipe", value: LIKE_METRES.trap, unit: "m" },
        { name: "a pump fails like so much 20 mm pipe", value: LIKE_METRES.pump, unit: "m" },
        { name: "a receptor blocks like so much 20 mm pipe", value: LIKE_METRES.receptor, unit: "m" },
      ],
      cautions: cautionsFor(net),
    },
  };
}

const withCleanings = (net: Compiled, cleaned: ReadonlyMap<string, string>): Compiled =>
  cleaned.size === 0
    ? net
    : { ...net, pipes: net.pipes.map((pipe) => ({ ...pipe, lastCleaned: cleaned.get(pipe.id) ?? pipe.lastCleaned })) };

/** The node of each observation: of a pipe the one that it leaves. */
function placesOf(net: Compiled, seen: readonly RawObservation[]): { nodes: number[]; problems: Problem[] } {
  const nodeAt = new Map(net.nodes.map(({ id }, i) => [id, i]));
  const pipeAt = new Map(net.pipes.map(({ id }, p) => [id, p]));
  const problems: Problem[] = [];
  const nodes = seen.map((each, i) => {
    const unknown = (field: string, detail: string, hint: string) => {
      problems.push({ pointer: `/${i}/${field}`, code: "unknown-reference", detail, hint });
      return -1;
    };
    if (each.pipe !== undefined) {
      const p = pipeAt.get(each.pipe);
      return p === undefined
        ? unknown("pipe", "the network has no such pipe", "name a pipe of the network")
        : net.from[p];
    }
    const field = each.node === undefined ? "fanCoil" : "node";
    const node = nodeAt.get(each.node ?? each.fanCoil ?? "");
    if (node === undefined) return unknown(field, "the network has no such node", "name a node of the network");
    if (field === "fanCoil" && net.kind[node] !== KIND.coil)
      return unknown(field, "it is no fan coil", "name it as node");
    return node;
  });
  return { nodes, problems };
}

/** What each observation says to the question; what was taken back, and what is later than asked for, says nothing. */
function sayings(seen: readonly RawObservation[], until: number): ("wet" | "dry" | "nothing" | "withdrawn")[] {
  const gone = new Set(seen.map(({ withdraws }) => withdraws));
  return seen.map(({ id, type, time, withdraws }) => {
    if (id !== undefined && gone.has(id)) return "withdrawn";
    if (withdraws !== undefined || Date.parse(time) > until) return "nothing";
    if (type === "switch-trip" || type === "water-seen") return "wet";
    return type === "drains-freely" ? "dry" : "nothing";
  });
}

const dwellingOf = (net: Compiled, node: number): string | null =>
  net.nodes[node].dwelling ?? net.nodes[node].coil?.serves ?? null;

/** Water at one dwelling alone, no switch tripped, and its own pan drains: a cold pipe may drip where none is blocked. */
function sweatingAlone(
  net: Compiled,
  seen: readonly RawObservation[],
  says: readonly string[],
  nodes: readonly number[],
): string | null {
  const wet = nodes.filter((_, i) => says[i] === "wet");
  const homes = new Set(wet.map((node) => dwellingOf(net, node)));
  const [home] = homes;
  if (homes.size !== 1 || home === undefined || home === null) return null;
  if (seen.some(({ type }, i) => type === "switch-trip" && says[i] === "wet")) return null;
  return nodes.some((node, i) => says[i] === "dry" && net.kind[node] === KIND.coil && dwellingOf(net, node) === home)
    ? home
    : null;
}

const nameOf = (net: Compiled, { pipe, node }: Suspect): string =>
  pipe >= 0 ? net.pipes[pipe].id : net.nodes[node].id;

function candidateOf(
  net: Compiled,
  { zones }: Facts,
  suspect: Suspect,
  positions: (indices: readonly number[]) => number[],
): BlockageCandidate {
  const { pipe, node, weight, group, unexplained } = suspect;
  const { zone, owner } = pipe >= 0 ? zones.pipe[pipe] : zones.node[node];
  return {
    pipe: pipe >= 0 ? net.pipes[pipe].id : null,
    node: pipe >= 0 ? null : net.nodes[node].id,
    kind: kindOf(net, suspect),
    weight,
    class: group,
    unexplained: positions(unexplained),
    zone,
    owner,
  };
}

function kindOf(net: Compiled, { pipe, node }: Suspect): BlockageCandidate["kind"] {
  if (pipe >= 0) return "pipe";
  switch (net.kind[node]) {
    case KIND.coil:
      return "pan-outlet";
    case KIND.trap:
      return "trap";
    case KIND.pump:
      return "pump";
    default:
      return "receptor";
  }
}

/** For the likeliest class: the nearest point to work from on either side, and the coils whose water comes that way. */
function workOn(net: Compiled, facts: Facts, { classes }: Location): BlockageWork[] {
  const pointsOf = workPoints(net, facts);
  return (classes[0]?.members ?? []).slice(0, WORK_LISTED).map((member) => {
    const top = member.pipe >= 0 ? net.from[member.pipe] : member.node;
    const foot = member.pipe >= 0 ? net.to[member.pipe] : member.node;
    return { candidate: nameOf(net, member), ...pointsOf(top, foot) };
  });
}

const KIND_WORDS = {
  pipe: "the pipe",
  "pan-outlet": "the pan outlet of",
  trap: "the trap",
  pump: "the pump",
  receptor: "the receptor at",
} as const;

function tellOf(
  net: Compiled,
  facts: Facts,
  location: Location,
  state: Blockage["state"],
  sweating: string | null,
  speak: Speaker,
): string[] {
  const { classes, nextCheck, pairs } = location;
  const sentences: string[] = [];
  const namesOf = (group: number) => {
    const { members } = classes[group];
    const first = members[0];
    const more = members.length > 1 ? ` or ${members.length - 1} more that no observation tells apart from it` : "";
    return `${KIND_WORDS[kindOf(net, first)]} ${nameOf(net, first)}${more}`;
  };
  if (state === "nothing-reported")
    sentences.push(
      "No water was reported, so nothing points to a blockage: the weights are what is likely beforehand.",
    );
  else if (state === "cannot-tell")
    sentences.push(
      `It cannot be told whether ${namesOf(0)} is blocked (${formatProbability(classes[0].weight)}), or ${namesOf(1)} (${formatProbability(classes[1].weight)}): no check tells them apart.`,
    );
  else if (classes.length > 0) {
    const first = classes[0].members[0];
    const { zone, owner } = first.pipe >= 0 ? facts.zones.pipe[first.pipe] : facts.zones.node[first.node];
    const whose = zone === null ? "" : ` It is ${zone}${owner === null ? "" : ` (${owner})`}.`;
    sentences.push(`Most likely blocked is ${namesOf(0)}, ${formatProbability(classes[0].weight)}.${whose}`);
    const missed = first.unexplained.length;
    if (missed > 0) sentences.push(`It leaves ${missed} of the observations unexplained.`);
  }
  if (pairs.length > 0) {
    const [a, b] = pairs[0].classes;
    sentences.push(`One blockage alone does not explain what was seen; two would: ${namesOf(a)}, and ${namesOf(b)}.`);
  }
  if (sweating !== null)
    sentences.push(
      `Only ${sweating} reports water, and its pan drains: look for a cold pipe or duct that drips there before opening any drain.`,
    );
  if (nextCheck !== null && state !== "nothing-reported")
    sentences.push(`Look next at ${speak.node(nextCheck.node)}: whether water stands there tells the most.`);
  return sentences;
}
