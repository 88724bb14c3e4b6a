import type { Backup, Facts, SpillOpening } from "../analysis/facts.js";
import { joinsPool } from "../analysis/least-above.js";
import { hostOf } from "../analysis/trip-cover.js";
import { type Compiled, KIND, ROLE } from "../graph/compiled.js";
import type { Problem } from "../network/model.js";
import { EPSILON } from "../quantity/interval.js";
import type { Speaker } from "../quantity/speaker.js";
import { cautionsFor } from "./cautions.js";
import { readCase, unknownId } from "./read-case.js";
import { speakerFor } from "./speaker.js";
import { coilsFeeding, type WorkPoints, workPoints } from "./work-points.js";

/** Blockages that come out at the same openings of a dwelling, are fed by the same coils and are one owner's. */
export interface DwellingFlood {
  /** pipes, pan outlets, traps, pumps and receptors (by the id of their node), along the flow */
  readonly blocked: readonly { readonly pipe: string | null; readonly node: string | null }[];
  /** contained: the switches stop all of it first; undetermined: it cannot be told whether they do */
  readonly outcome: "contained" | "uncontained" | "undetermined";
  /** whose pipe, and whom to call; null: nobody is named */
  readonly zone: "private" | "common" | null;
  readonly owner: string | null;
  /** where it comes out here, and where else at the same time */
  readonly openings: readonly DwellingOpening[];
  readonly alsoAt: readonly DwellingOpening[];
  /** who makes the water, and whose of it still comes once every switch has tripped that trips before it spills */
  readonly madeBy: readonly {
    readonly dwelling: string | null;
    readonly fanCoils: readonly string[];
    readonly stillRunning: readonly string[];
  }[];
  /** where it comes out next if these openings are closed or rise; null: nowhere that is known */
  readonly next: (DwellingOpening & { readonly higherBy: number }) | null;
  /** m³/s */
  readonly inflow: number | null;
  readonly inflowAfterTrips: number | null;
  /** devices that trip before, in that order */
  readonly trips: readonly string[];
  readonly work: WorkPoints;
}

export interface DwellingOpening {
  readonly node: string;
  readonly dwelling: string | null;
  /** m: pool level at which it spills */
  readonly level: number | null;
}

/** A place that the dwelling's own coils can flood. */
export interface DwellingReach {
  readonly node: string;
  readonly dwelling: string | null;
  /** which of its coils, and what must be blocked for it */
  readonly fanCoils: readonly string[];
  readonly blocked: readonly string[];
}

/** What concerns one dwelling: who floods it, whom it floods, and whom to call. */
export interface DwellingReport {
  readonly format: 1;
  readonly network: { readonly id: string; readonly name: string | null };
  readonly dwelling: string;
  readonly fanCoils: readonly {
    readonly id: string;
    readonly floor: string | null;
    readonly inService: boolean;
    /** m³/s */
    readonly condensateRate: number | null;
    /** owners of the drains on its way, in their order; null: nobody is named */
    readonly owners: readonly (string | null)[];
  }[];
  readonly floodedBy: readonly DwellingFlood[];
  /** the same, where the switches stop the water first */
  readonly caught: readonly DwellingFlood[];
  readonly floods: readonly DwellingReach[];
  /** sentences for people */
  readonly message: readonly string[];
  readonly cautions: readonly string[];
}

export type DwellingResult =
  | { readonly ok: true; readonly report: DwellingReport }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * What concerns one dwelling of a network. Pure.
 * @param network a network document (parsed JSON) @param dwelling its id, as fan coils serve it or nodes are in it
 * @returns the report, or every problem with a pointer under /network or at /dwelling
 */
export function dwellingReport(network: unknown, dwelling: string): DwellingResult {
  const read = readCase(network);
  if (!read.ok) {
    const problems = read.problems.map((p) => ({ ...p, pointer: `/network${p.pointer}` }));
    return { ok: false, problems, total: read.total };
  }
  const { net, facts, profile } = read;
  const nodes = net.nodes.flatMap((_, n) => (dwellingAt(net, n) === dwelling ? [n] : []));
  const coils = Array.from(net.coils).filter((n) => homeOf(net, n) === dwelling);
  if (nodes.length === 0 && coils.length === 0)
    return { ok: false, problems: [unknownId("dwelling", "dwelling", dwelling)], total: 1 };
  const floods = floodsAt(net, facts, new Set(nodes));
  const floodedBy = floods.filter(({ outcome }) => outcome !== "contained");
  const reach = reachOf(net, facts, coils);
  return {
    ok: true,
    report: {
      format: 1,
      network: { id: net.model.id, name: net.model.name },
      dwelling,
      fanCoils: coils.map((n) => ({
        id: net.nodes[n].id,
        floor: net.nodes[n].floor,
        inService: net.nodes[n].coil!.inService,
        condensateRate: finite(facts.loads.rate[net.coilAt[n]]),
        owners: ownersAlong(net, facts, n),
      })),
      floodedBy,
      caught: floods.filter(({ outcome }) => outcome === "contained"),
      floods: reach,
      message: tellOf(dwelling, floodedBy, reach, speakerFor(net, profile)),
      cautions: cautionsFor(net),
    },
  };
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value + 0 : null);

/** Which dwelling is under the water that appears at a node. */
const dwellingAt = (net: Compiled, node: number): string | null => {
  const { outlet, dwelling, coil } = net.nodes[node];
  return outlet?.receptor?.dwelling ?? dwelling ?? coil?.serves ?? null;
};

/** Whose a coil is. */
const homeOf = (net: Compiled, node: number): string | null => net.nodes[node].coil?.serves ?? net.nodes[node].dwelling;

function ownersAlong(net: Compiled, { topology, zones }: Facts, coil: number): (string | null)[] {
  const owners: (string | null)[] = [];
  for (const p of topology.path(net.coilAt[coil])) {
    const { owner } = zones.pipe[p];
    if (owners.length === 0 || owners[owners.length - 1] !== owner) owners.push(owner);
  }
  return owners;
}

/** A pipe, or a node (then `pipe` is -1), that may be blocked. */
interface Blocked {
  readonly pipe: number;
  readonly node: number;
}

/** Nodes that block: pan outlets, traps, pumps, and receptors that have a drain of their own. */
const blocks = (net: Compiled, n: number): boolean =>
  net.kind[n] === KIND.coil ||
  net.kind[n] === KIND.trap ||
  net.kind[n] === KIND.pump ||
  (net.kind[n] === KIND.outlet && net.nodes[n].outlet!.receptor !== null);

/** Everything on the way of a node's water that may be blocked, along the flow. */
function* wayOf(net: Compiled, { topology }: Facts, node: number): Generator<Blocked> {
  const met = new Set<number>();
  for (let n = node; !met.has(n); ) {
    met.add(n);
    if (blocks(net, n)) yield { pipe: -1, node: n };
    const p = topology.next[n];
    if (p < 0) return;
    if (net.kind[n] !== KIND.pump && net.role[p] === ROLE.drain) yield { pipe: p, node: -1 };
    n = net.to[p];
  }
}

const backupOf = ({ backups }: Facts, { pipe, node }: Blocked): Backup | null =>
  pipe >= 0 ? backups.ofPipe(pipe) : backups.ofNode(node);

const spills = ({ told, harmless }: SpillOpening): boolean => !told && !harmless;

const nameOf = (net: Compiled, { pipe, node }: Blocked): string =>
  pipe >= 0 ? net.pipes[pipe].id : net.nodes[node].id;

function floodsAt(net: Compiled, facts: Facts, here: ReadonlySet<number>): DwellingFlood[] {
  const pointsOf = workPoints(net, facts);
  const candidates = new Map<string, Blocked>();
  for (const node of here)
    for (const blocked of wayOf(net, facts, hostOf(net, node)))
      candidates.set(`${blocked.pipe >= 0 ? "p" : "n"} ${nameOf(net, blocked)}`, blocked);
  const floods = new Map<string, { flood: DwellingFlood; blocked: DwellingFlood["blocked"][number][] }>();
  for (const blocked of candidates.values()) {
    const backup = backupOf(facts, blocked);
    if (backup === null) continue;
    const { outcome } = backup;
    if (outcome === "told" || outcome === "harmless") continue;
    const at = Number.isNaN(backup.firstSpill)
      ? backup.unknownSpills.filter((node) => here.has(node))
      : backup.openings.filter((opening) => spills(opening) && here.has(opening.node)).map(({ node }) => node);
    if (at.length === 0) continue;
    const { zone, owner } = blocked.pipe >= 0 ? facts.zones.pipe[blocked.pipe] : facts.zones.node[blocked.node];
    const top = blocked.pipe >= 0 ? net.from[blocked.pipe] : blocked.node;
    const spilled = Number.isNaN(backup.firstSpill) ? backup.unknownSpills : backup.openings.map(({ node }) => node);
    const key = JSON.stringify([outcome, zone, owner, spilled, backup.fanCoilsFeeding, backup.trips]);
    const name = {
      pipe: blocked.pipe >= 0 ? net.pipes[blocked.pipe].id : null,
      node: blocked.pipe >= 0 ? null : net.nodes[blocked.node].id,
    };
    const known = floods.get(key);
    if (known !== undefined) {
      known.blocked.push(name);
      continue;
    }
    const levelOf = new Map(backup.openings.map(({ node, level }) => [node, level]));
    const opening = (node: number): DwellingOpening => ({
      node: net.nodes[node].id,
      dwelling: dwellingAt(net, node),
      level: finite(levelOf.get(node) ?? Number.NaN),
    });
    const list = [name];
    floods.set(key, {
      blocked: list,
      flood: {
        blocked: list,
        outcome,
        zone,
        owner,
        openings: at.map(opening),
        alsoAt: spilled.filter((node) => !here.has(node)).map(opening),
        madeBy: madeBy(net, facts, backup, top),
        next: nextAbove(net, facts, backup, top),
        inflow: finite(backup.inflow),
        inflowAfterTrips: finite(backup.inflowAfterTrips),
        trips: backup.trips.map(({ device }) => net.model.devices[device].id),
        work: pointsOf(top, blocked.pipe >= 0 ? net.to[blocked.pipe] : blocked.node),
      },
    });
  }
  return [...floods.values()].map(({ flood }) => flood);
}

/** In service, the coils whose water feeds a blockage, by the dwelling that they serve. */
function madeBy(net: Compiled, facts: Facts, { unstopped }: Backup, top: number): DwellingFlood["madeBy"] {
  const running = new Set(unstopped);
  const homes = new Map<string | null, { fanCoils: string[]; stillRunning: string[] }>();
  for (const n of coilsFeeding(net, facts, top)) {
    const home = homeOf(net, n);
    let made = homes.get(home);
    if (made === undefined) {
      made = { fanCoils: [], stillRunning: [] };
      homes.set(home, made);
    }
    made.fanCoils.push(net.nodes[n].id);
    if (running.has(net.coilAt[n])) made.stillRunning.push(net.nodes[n].id);
  }
  return [...homes].map(([dwelling, coils]) => ({ dwelling, ...coils }));
}

/** The opening of the same pool that is the next to spill, above those that spill first. */
function nextAbove(net: Compiled, facts: Facts, { firstSpill }: Backup, top: number): DwellingFlood["next"] {
  const { spillLevel } = facts.backups;
  const first = firstSpill + Math.max(net.model.site.surveyTolerance, EPSILON);
  let next = -1;
  const pool = new Set([top]);
  for (const n of pool) {
    if (spillLevel[n] > first && !(next >= 0 && spillLevel[next] <= spillLevel[n])) next = n;
    for (let k = net.ends.start[n]; k < net.ends.start[n + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const enters = (net.ends.list[k] & 1) === 1;
      const rises = net.role[p] === ROLE.vent || net.role[p] === ROLE.access;
      if (enters && net.role[p] === ROLE.drain && joinsPool(net, p)) pool.add(net.from[p]);
      if (!enters && rises) pool.add(net.to[p]);
    }
  }
  if (next < 0) return null;
  const level = spillLevel[next];
  return { node: net.nodes[next].id, dwelling: dwellingAt(net, next), level, higherBy: level - firstSpill };
}

/** Where the water of coils comes out that no switch stops in time, whatever is blocked on its way. */
function reachOf(net: Compiled, facts: Facts, coils: readonly number[]): DwellingReach[] {
  const reach = new Map<number, { fanCoils: Set<string>; blocked: Set<string> }>();
  for (const coil of coils) {
    if (!net.nodes[coil].coil!.inService) continue;
    for (const blocked of wayOf(net, facts, coil)) {
      const backup = backupOf(facts, blocked);
      if (backup?.outcome !== "uncontained" || !backup.unstopped.includes(net.coilAt[coil])) continue;
      for (const { node } of backup.openings.filter(spills)) {
        const known = reach.get(node) ?? { fanCoils: new Set(), blocked: new Set() };
        known.fanCoils.add(net.nodes[coil].id);
        known.blocked.add(nameOf(net, blocked));
        reach.set(node, known);
      }
    }
  }
  return [...reach]
    .sort(([a], [b]) => a - b)
    .map(([node, { fanCoils, blocked }]) => ({
      node: net.nodes[node].id,
      dwelling: dwellingAt(net, node),
      fanCoils: [...fanCoils],
      blocked: [...blocked],
    }));
}

/** `a`, `a or b`, `a, b, c or another of 5` */
const anyOf = (parts: readonly string[], most: number): string =>
  parts.length > most
    ? `${parts.slice(0, most).join(", ")} or another of ${parts.length}`
    : [parts.slice(0, -1).join(", "), parts[parts.length - 1]].filter((part) => part !== "").join(" or ");

function tellOf(
  dwelling: string,
  floodedBy: readonly DwellingFlood[],
  reach: readonly DwellingReach[],
  speak: Speaker,
): string[] {
  const named = (blocked: DwellingFlood["blocked"]) =>
    anyOf(
      blocked.map(({ pipe, node }) => pipe ?? node!),
      4,
    );
  const sentences = floodedBy.map(({ blocked, outcome, zone, owner, openings, madeBy, next }) => {
    const where = speak.list(
      openings.map(({ node }) => node),
      3,
    );
    const whose = zone === null ? "" : ` It is ${zone}${owner === null ? ", of nobody named" : ` (${owner})`}.`;
    if (outcome === "undetermined" && openings.every(({ level }) => level === null))
      return `If ${named(blocked)} blocks, whether water comes out at ${where} cannot be told.${whose}`;
    const homes = madeBy.filter(({ fanCoils, stillRunning }) =>
      outcome === "undetermined" ? fanCoils.length > 0 : stillRunning.length > 0,
    );
    const others = homes.flatMap(({ dwelling: home }) => (home === dwelling || home === null ? [] : [home]));
    const source =
      others.length > 0 ? ` with the water of ${speak.list(others, 4)}` : homes.length > 0 ? " with its own water" : "";
    const after =
      next === null
        ? ""
        : ` Next is ${next.node}${next.dwelling === null || next.dwelling === dwelling ? "" : ` in ${next.dwelling}`}, ${speak.figure(next.higherBy, next.higherBy < 1 ? "dimension" : "length")} higher.`;
    return `If ${named(blocked)} blocks, water comes out at ${where}${source}.${whose}${after}`;
  });
  if (floodedBy.length === 0) sentences.push(`No blockage that nothing stops comes out first in ${dwelling}.`);
  const others = [...new Set(reach.map(({ dwelling: home }) => home))].filter((home) => home !== dwelling);
  const elsewhere = others.map((home) => home ?? "a place in no dwelling");
  if (others.length > 0) sentences.push(`Its own coils can flood ${speak.list(elsewhere, 6)}.`);
  return sentences;
}
