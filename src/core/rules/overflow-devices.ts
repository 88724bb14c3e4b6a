import { holds } from "../analysis/ascending.js";
import { indexed } from "./indexed.js";
import type { Case, Family, RemedyStep, Settle } from "./rule.js";

/** A node that several coils' water passes. */
const SHARED = -2;

/** Node → the one coil (position) whose own branch or second line it is on; -1 none, SHARED several second lines. */
const ownerOf = ({ net, facts }: Case): Int32Array => {
  const owner = new Int32Array(net.nodeCount).fill(-1);
  const { next, joiningPoint } = facts.topology;
  for (let coil = 0; coil < net.coils.length; coil++)
    for (let node = net.coils[coil]; node !== joiningPoint[coil] && owner[node] < 0; ) {
      owner[node] = coil;
      if (next[node] < 0) break;
      node = net.to[next[node]];
    }
  for (const { coil, pipe, meets } of facts.secondLines)
    for (let node = net.to[pipe]; node !== meets && owner[node] !== coil && owner[node] !== SHARED; ) {
      owner[node] = owner[node] === -1 ? coil : SHARED;
      if (next[node] < 0) break;
      node = net.to[next[node]];
    }
  return owner;
};

/** Device → the coil (position) whose own pan, drain or auxiliary pan it watches; -1 several coils' or nobody's. */
export const coilOfDevice = indexed((c): Int32Array => {
  const { net } = c;
  let owner: Int32Array | null = null;
  return Int32Array.from(net.model.devices, ({ at }) => {
    const node = net.nodeRank[at];
    if (net.coilAt[node] >= 0) return net.coilAt[node];
    owner ??= ownerOf(c);
    return Math.max(-1, owner[node]);
  });
});

/** Coil (position) → the devices (indices in the model's list) that watch its own pan, drain or auxiliary pan. */
export const coilDevices = indexed((c): readonly (readonly number[])[] => {
  const of: number[][] = Array.from(c.net.coils, () => []);
  for (const [device, coil] of coilOfDevice(c).entries()) if (coil >= 0) of[coil].push(device);
  return of;
});

/** In the pipe, not in a pan. */
export const isInLine = ({ net }: Case, device: number): boolean => {
  const { at, seat } = net.model.devices[device];
  return seat === "drain-line" || (seat !== "auxiliary-pan" && net.coilAt[net.nodeRank[at]] < 0);
};

/** What a device does to a coil when it trips alone. */
export interface Effect {
  /** null: cannot be told */
  readonly stops: boolean | null;
  readonly why: "stops" | "not-working" | "unwired" | "several-needed" | "water-goes-on" | "other-coils" | "unknown";
  /** where it cannot be told, what would settle it */
  readonly settledBy: readonly Settle[];
}

const known = (why: Exclude<Effect["why"], "unknown">): Effect => ({ stops: why === "stops", why, settledBy: [] });

export const effectOn = (c: Case, device: number, coil: number): Effect => {
  const { model } = c.net;
  const { devices, circuits } = c.facts.circuits;
  const { circuit } = model.devices[device];
  if (!devices[device].works) return known("not-working");
  if (circuit === null) return known("unwired");
  if (holds(devices[device].stops, coil)) return known("stops");
  const { anyDeviceStops, stopsWater, coils } = circuits[circuit];
  if (anyDeviceStops === false) return known("several-needed");
  if (stopsWater === false) return known("water-goes-on");
  const { stops, pointer } = model.circuits[circuit];
  if (stops !== null && !holds(coils, coil)) return known("other-coils");
  const settledBy: Settle[] = [];
  if (anyDeviceStops === null) settledBy.push(settleArrangement(c, circuit));
  if (stopsWater === null) settledBy.push({ pointer: `${pointer}/breaks` });
  if (stops === null) settledBy.push({ pointer: `${pointer}/stops` });
  // all upstream of another of its devices, not of this one
  return settledBy.length === 0 ? known("other-coils") : { stops: null, why: "unknown", settledBy };
};

/** What tells whether any one device of a circuit is enough. */
export const settleArrangement = ({ net }: Case, circuit: number): Settle => {
  const { devices, pointer } = net.model.circuits[circuit];
  return isMixed(net.model.devices, devices)
    ? {
        pointer: `${pointer}/devices`,
        decision: "How normally closed and normally open contacts act together in this circuit: trip each one alone.",
      }
    : { pointer: `${pointer}/arrangement` };
};

const isMixed = (all: Case["net"]["model"]["devices"], members: readonly number[]): boolean =>
  members.some((d) => all[d].contact !== all[members[0]].contact);

/** What several devices wait for, each thing once. */
export const settleOnce = (settles: readonly Settle[]): Settle[] => [
  ...new Map(settles.map((settle) => [`${settle.pointer} ${settle.decision}`, settle])).values(),
];

/** Missing as long as a figure is; a decision alone is a matter of method. */
export const familyOf = (settledBy: readonly Settle[]): Family =>
  settledBy.every(({ decision }) => decision !== undefined) ? "method" : "missing";

/** Contacts wired so that any one of them is enough. */
export const wireForOne = ({ net }: Case, circuit: number): RemedyStep => {
  const { devices } = net.model.circuits[circuit];
  return {
    action: "rewire",
    on: { circuit },
    what: net.model.devices[devices[0]].contact === "nc" ? "series" : "parallel",
  };
};

/** A circuit that ends water and suction of its coils (by position). */
export const wireToStop = ({ net }: Case, circuit: number, coils: Iterable<number>): RemedyStep => {
  const kinds = new Set(Array.from(coils, (coil) => net.nodes[net.coils[coil]].coil!.cooling));
  const [only] = kinds.size === 1 ? kinds : [null];
  const what =
    only === "chilled-water"
      ? "the feed of the chilled-water valve and of the fan"
      : only === "direct-expansion"
        ? "R"
        : "the feed of what makes the water and of the fan";
  return { action: "rewire", on: { circuit }, what };
};
