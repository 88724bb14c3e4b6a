import type { Backup } from "../../analysis/facts.js";
import type { Audited } from "../../audit/run.js";
import { speakerFor } from "../../audit/speaker.js";
import { ROLE } from "../../graph/compiled.js";
import { plain } from "../plain.js";
import { anchorOf, type Index } from "./marks.js";

/** One thing that stops water: a drain, or a pan outlet, trap, pump or receptor by its node. */
export type Blocked = { readonly pipe: string } | { readonly node: string };

/** What stands out from the rest: one coil's way out, what fills if something blocks, or what one finding speaks of. */
export type Highlight = { readonly fanCoil: string } | { readonly blocked: Blocked } | { readonly finding: string };

/** What of the picture stands out, and a sentence that says so. */
export interface Emphasis {
  readonly nodes: ReadonlySet<number>;
  readonly pipes: ReadonlySet<number>;
  /** null where no blockage is drawn */
  readonly flood: Flood | null;
  readonly words: string;
}

/** What one blockage fills up to the level at which it first comes out. */
export interface Flood {
  readonly blockedNode: number;
  readonly blockedPipe: number;
  readonly nodes: ReadonlySet<number>;
  readonly pipes: ReadonlySet<number>;
  /** NaN where it cannot be told */
  readonly level: number;
  /** nodes at which it comes out */
  readonly spills: ReadonlySet<number>;
  /** devices that trip before it does */
  readonly trips: ReadonlySet<number>;
  readonly words: string;
}

/** @throws RangeError where the network or its audit has no such id */
export function emphasisOf(audited: Audited, index: Index, highlight: Highlight): Emphasis {
  const { net, facts, audit } = audited;
  if ("fanCoil" in highlight) {
    const coil = coilOf(audited, index, highlight.fanCoil);
    const pipes = facts.topology.path(net.coilAt[coil]);
    const nodes = new Set([coil]);
    for (const p of pipes) nodes.add(net.to[p]);
    return {
      nodes,
      pipes: new Set(pipes),
      flood: null,
      words: `The way out of ${plain(highlight.fanCoil)} is marked.`,
    };
  }
  if ("blocked" in highlight) {
    const flood = floodOf(audited, index, highlight.blocked);
    return { nodes: flood.nodes, pipes: flood.pipes, flood, words: flood.words };
  }
  const finding = audit.findings.find(({ id }) => id === highlight.finding);
  if (finding === undefined) throw unknown("finding", highlight.finding);
  const { fanCoils, nodes, pipes } = finding.subject;
  const anchor = anchorOf(net, index, finding);
  const known = (ids: readonly string[], map: ReadonlyMap<string, number>) =>
    ids.flatMap((id) => {
      const found = map.get(id);
      return found === undefined ? [] : [found];
    });
  return {
    nodes: new Set([...known([...fanCoils, ...nodes], index.node), ...(anchor.node < 0 ? [] : [anchor.node])]),
    pipes: new Set([...known(pipes, index.pipe), ...(anchor.pipe < 0 ? [] : [anchor.pipe])]),
    flood: null,
    words: `What finding ${audit.findings.indexOf(finding) + 1} speaks of is marked.`,
  };
}

/** The node of a fan coil. @throws RangeError where the network has none of that id */
export function coilOf({ net }: Audited, index: Index, id: string): number {
  const coil = index.node.get(id);
  if (coil === undefined || net.coilAt[coil] < 0) throw unknown("fan coil", id);
  return coil;
}

export const unknown = (what: string, id: string): RangeError =>
  new RangeError(`the network has no ${what} ${JSON.stringify(id.slice(0, 64))}`);

const OUTCOMES: Readonly<Record<Backup["outcome"], string>> = {
  contained: "That stops all of it.",
  told: "There it is seen, and does no harm.",
  harmless: "There it does no harm.",
  uncontained: "Nothing stops all of it by then.",
  undetermined: "Where it comes out first cannot be told: a level is not known.",
};

/** @throws RangeError on an unknown id */
export function floodOf(audited: Audited, index: Index, blocked: Blocked): Flood {
  const { net, facts, profile } = audited;
  const { backups } = facts;
  const blockedPipe = "pipe" in blocked ? (index.pipe.get(blocked.pipe) ?? -1) : -1;
  const blockedNode = "node" in blocked ? (index.node.get(blocked.node) ?? -1) : -1;
  if (blockedPipe < 0 && blockedNode < 0)
    throw "pipe" in blocked ? unknown("pipe", blocked.pipe) : unknown("node", blocked.node);
  const id = "pipe" in blocked ? blocked.pipe : blocked.node;
  const backup = blockedPipe >= 0 ? backups.ofPipe(blockedPipe) : backups.ofNode(blockedNode);
  const pool =
    backup === null
      ? null
      : blockedPipe >= 0
        ? backups.pools.poolOfPipe(blockedPipe)
        : backups.pools.poolOfNode(blockedNode);
  if (backup === null || pool === null)
    return {
      blockedNode,
      blockedPipe,
      nodes: new Set(),
      pipes: new Set(),
      level: Number.NaN,
      spills: new Set(),
      trips: new Set(),
      words: `No fan coil drains through ${plain(id)}: nothing would back up behind it.`,
    };
  const level = backup.firstSpill;
  const { nodes, pipes } = filled(audited, pool, level);
  const speak = speakerFor(net, profile);
  const coils = backup.fanCoilsFeeding === 1 ? "one coil feeds" : `${backup.fanCoilsFeeding} coils feed`;
  const out = backup.openings.map(({ node }) => plain(speak.node(node)));
  const where =
    Number.isNaN(level) || out.length === 0
      ? ""
      : ` Water comes out first at ${speak.list(out, 3)}, at ${speak.elevation(level)}.`;
  const trips = backup.trips.map(({ device }) => plain(speak.device(device)));
  const tripped =
    trips.length === 0 ? "" : ` Before that ${speak.list(trips, 3)} ${trips.length === 1 ? "trips" : "trip"}.`;
  return {
    blockedNode,
    blockedPipe,
    nodes,
    pipes,
    level,
    spills: new Set(backup.openings.map(({ node }) => node)),
    trips: new Set(backup.trips.map(({ device }) => device)),
    words: `If ${plain(id)} is blocked: ${coils} it.${where}${tripped} ${OUTCOMES[backup.outcome]}`,
  };
}

/** What lies below the level of a pool, from where it is dammed up against the flow. */
function filled(
  { net }: Audited,
  { feet, bare }: { readonly feet: readonly number[]; readonly bare: readonly number[] },
  level: number,
): { nodes: Set<number>; pipes: Set<number> } {
  const nodes = new Set([...feet, ...bare].filter((node) => net.z[node] <= level));
  const pipes = new Set<number>();
  const still = new Set(bare);
  for (const node of nodes) {
    if (still.has(node)) continue;
    for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
      const p = net.ends.list[k] >> 1;
      const entering = (net.ends.list[k] & 1) === 1;
      const upright = net.role[p] === ROLE.vent || net.role[p] === ROLE.access;
      if (entering === upright || net.role[p] === ROLE.pressure) continue;
      const [near, far, other] = entering
        ? [net.toInvert[p], net.fromInvert[p], net.from[p]]
        : [net.fromInvert[p], net.toInvert[p], net.to[p]];
      if (Math.min(near, far) >= level) continue;
      pipes.add(p);
      if (far < level && net.z[other] < level) nodes.add(other);
    }
  }
  return { nodes, pipes };
}
