import { KIND } from "../graph/compiled.js";
import type { Problem } from "../network/model.js";
import { cautionsFor } from "./cautions.js";
import { readCase, unknownId } from "./read-case.js";
import { speakerFor } from "./speaker.js";
import { coilsFeeding, nodesAbove, type WorkPoints, workPoints } from "./work-points.js";

/** What to stop so that no water comes while a pipe is open, and where to work on it from. */
export interface Isolation extends WorkPoints {
  readonly format: 1;
  readonly network: { readonly id: string; readonly name: string | null };
  readonly pipe: string;
  readonly zone: "private" | "common" | null;
  readonly owner: string | null;
  /** the fan coils to stop, with whom to tell */
  readonly fanCoils: readonly {
    readonly id: string;
    readonly dwelling: string | null;
    readonly floor: string | null;
  }[];
  /** pumps above, which bring what has gathered in their sumps */
  readonly pumps: readonly string[];
  /** nodes above where something else discharges */
  readonly foreign: readonly { readonly node: string; readonly what: string }[];
  /** sentences for people */
  readonly message: readonly string[];
  readonly cautions: readonly string[];
}

export type IsolationResult =
  | { readonly ok: true; readonly isolation: Isolation }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * The isolation list of a pipe. Pure.
 * @param network a network document (parsed JSON) @param pipe id of one of its pipes
 * @returns the list, or every problem with a pointer under /network or at /pipe
 */
export function isolation(network: unknown, pipe: string): IsolationResult {
  const read = readCase(network);
  if (!read.ok) {
    const problems = read.problems.map((p) => ({ ...p, pointer: `/network${p.pointer}` }));
    return { ok: false, problems, total: read.total };
  }
  const { net, facts, profile } = read;
  const p = net.pipes.findIndex(({ id }) => id === pipe);
  if (p < 0) return { ok: false, problems: [unknownId("pipe", "pipe", pipe)], total: 1 };
  const speak = speakerFor(net, profile);
  const top = net.from[p];
  const points = workPoints(net, facts)(top, net.to[p]);
  const coils = coilsFeeding(net, facts, top).map((n) => net.nodes[n]);
  const above = [...nodesAbove(net, facts, top)].sort((a, b) => a - b);
  const pumps = above.filter((n) => net.kind[n] === KIND.pump);
  const foreign = above.flatMap((n) => {
    const other = net.nodes[n].foreignDischarge;
    return other === null ? [] : [{ n, what: other.what }];
  });
  const { zone, owner } = facts.zones.pipe[p];
  const from = [
    points.upstream === null ? null : `from above at ${points.upstream}`,
    points.downstream === null ? null : `from below at ${points.downstream}`,
  ].filter((each) => each !== null);
  const whose = zone === null ? "" : ` It is ${zone}${owner === null ? "" : ` (${owner})`}.`;
  return {
    ok: true,
    isolation: {
      format: 1,
      network: { id: net.model.id, name: net.model.name },
      pipe,
      zone,
      owner,
      ...points,
      fanCoils: coils.map(({ id, dwelling, coil, floor }) => ({ id, dwelling: coil!.serves ?? dwelling, floor })),
      pumps: pumps.map((n) => net.nodes[n].id),
      foreign: foreign.map(({ n, what }) => ({ node: net.nodes[n].id, what })),
      message: [
        `${
          coils.length === 0
            ? `No fan coil in service drains through ${pipe}.`
            : `Stop ${speak.list(points.isolate, 12)} before ${pipe} is opened: no other fan coil drains through it.`
        }${whose}`,
        ...(pumps.length === 0 ? [] : [`Stop the pump at ${speak.list(pumps.map(speak.node), 6)} as well.`]),
        ...foreign.map(({ n, what }) => `${what} discharges at ${speak.node(n)}: shut it off as well.`),
        from.length === 0
          ? `No point to work from is known: ${pipe} must be cut or taken apart.`
          : `Work ${from.join(", or ")}.`,
      ],
      cautions: cautionsFor(net),
    },
  };
}
