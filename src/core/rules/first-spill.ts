import type { Backup, Counted } from "../analysis/facts.js";
import { exact } from "../quantity/interval.js";
import type { Speaker } from "../quantity/speaker.js";
import { plainEvidence } from "./judge-figure.js";
import type { Case, Evidence, Settle } from "./rule.js";
import { settleOpening } from "./spill-opening.js";

/** Where the water of a blockage may come out first: any one of these, nobody knows which. */
export interface SpillPlaces {
  /** whose rooms lie under the openings, each once, in natural order of the openings */
  readonly dwellings: readonly string[];
  /** openings of which nobody says whose rooms lie below */
  readonly nodes: readonly number[];
}

export const spillPlaces = ({ net }: Case, { openings }: Backup): SpillPlaces => {
  const dwellings = new Set<string>();
  const nodes = new Set<number>();
  for (const { node } of openings) {
    const { outlet, dwelling } = net.nodes[node];
    const below = outlet?.receptor?.dwelling ?? dwelling;
    if (below === null) nodes.add(node);
    else dwellings.add(below);
  }
  return { dwellings: [...dwellings], nodes: [...nodes] };
};

const MOST_NAMED = 4;

/** `at 0301 or 0302`: of several places none is named alone, since it may be any of them. */
export const sayPlaces = ({ dwellings, nodes }: SpillPlaces, speak: Speaker): string => {
  const all = [...dwellings, ...nodes.map((node) => speak.node(node))];
  const more = all.length - MOST_NAMED;
  if (more > 0) return `at ${all.slice(0, MOST_NAMED).join(", ")} or one of ${more} more`;
  return `at ${all.length === 1 ? all[0] : `${all.slice(0, -1).join(", ")} or ${all[all.length - 1]}`}`;
};

/** ` after about 71 min`, from the blockage at peak flow; empty where it cannot be told. */
export const sayTime = ({ least, most }: Counted, speak: Speaker): string => {
  if (Number.isNaN(least)) return "";
  const soonest = speak.figure(least, "duration", "down");
  if (Number.isNaN(most)) return ` after ${soonest} or more`;
  const latest = speak.figure(most, "duration", "down");
  return soonest === latest ? ` after about ${soonest}` : ` after ${soonest} to ${latest}`;
};

/** The soonest stands for the best: it is what there is to act in. */
export const timeEvidence = ({ least, most }: Counted, from: readonly string[]): Evidence[] =>
  Number.isNaN(least)
    ? []
    : [plainEvidence("timeToFirstSpill", "duration", { low: least, best: least, high: most }, from)];

/** What goes on feeding the pool once every switch that can has tripped. */
export interface Running {
  readonly coils: number;
  readonly unstopped: number;
  /** some device trips at or below the first spill */
  readonly trips: boolean;
  /** m³/s, NaN unknown */
  readonly flow: number;
}

export const runningOn = ({ fanCoilsFeeding, unstopped, trips, inflowAfterTrips }: Backup): Running => ({
  coils: fanCoilsFeeding,
  unstopped: unstopped.length,
  trips: trips.length > 0,
  flow: inflowAfterTrips,
});

export const sayRunning = ({ coils, unstopped, trips, flow }: Running, speak: Speaker): string => {
  const whose = coils === 1 ? "the coil above" : `the ${coils} coils above`;
  const litres = Number.isNaN(flow) ? "" : `, and ${speak.figure(flow, "flow", "up")} keep coming`;
  if (unstopped === 0)
    return `level switches stop ${whose}, but with the fans off the water stands higher than before and runs out all the same`;
  if (unstopped < coils) return `level switches stop ${coils - unstopped} of ${whose}${litres}`;
  return trips
    ? `the level switches that trip by then stop none of ${whose}${litres}`
    : `no level switch trips by then that would stop ${whose}${litres}`;
};

/** Whose rooms, how much goes on, and for how many coils: the figures by which blockages are ranked. */
export const spillEvidence = (c: Case, backup: Backup, from: readonly string[]): Evidence[] => {
  const { firstSpill, inflow, inflowAfterTrips, unstopped } = backup;
  const { dwellings, nodes } = spillPlaces(c, backup);
  const evidence: Evidence[] = [
    plainEvidence("firstSpill", "elevation", exact(firstSpill), [
      ...new Set(backup.openings.map(({ node }) => c.net.nodes[node].pointer)),
    ]),
    plainEvidence("dwellings", "count", exact(dwellings.length), from),
    plainEvidence("openings", "count", exact(dwellings.length + nodes.length), from),
    plainEvidence("unstoppedCoils", "count", exact(unstopped.length), from),
  ];
  if (!Number.isNaN(inflow)) evidence.push(plainEvidence("inflow", "flow", exact(inflow), from));
  if (!Number.isNaN(inflowAfterTrips))
    evidence.push({
      ...plainEvidence("inflowAfterTrips", "flow", exact(inflowAfterTrips), from),
      limit: { name: "none goes on", value: 0, source: "derived" },
      margin: 0 - inflowAfterTrips,
    });
  return evidence;
};

/** What nobody gave of the levels at which something spills or trips. */
export const settleLevels = (c: Case, { unknownSpills, unknownTrips }: Backup): Settle[] => [
  ...unknownSpills.map((node) => settleOpening(c, node)),
  ...unknownTrips.map((device) => ({ pointer: `${c.net.model.devices[device].pointer}/tripHeight` })),
];
