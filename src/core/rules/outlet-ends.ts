import type { OutletFact } from "../analysis/facts.js";
import type { Outlet } from "../network/model.js";
import { connectionRuling, type Discharge, type Ruling } from "../profiles/outlets.js";
import type { Case, RemedyStep, Settle } from "./rule.js";

/** What a drain ends at, in words. */
export const PLACE_WORDS: Readonly<Record<Discharge, string>> = {
  "floor-sink": "a floor sink",
  "floor-drain": "a floor drain",
  standpipe: "a standpipe",
  "hub-drain": "a hub drain",
  "trench-drain": "a trench drain",
  "mop-sink": "a mop sink",
  "laundry-tray": "a laundry tray",
  tundish: "a tundish",
  gully: "a gully",
  "storm-drain": "a storm drain",
  "sanitary-drain": "a sanitary drain",
  drywell: "a dry well",
  "exterior-grade": "open ground",
  "roof-surface": "a roof",
  "public-way": "a public way",
  "fixture-tailpiece": "the tailpiece of a fixture",
  "conspicuous-point": "a conspicuous point",
  "recovery-tank": "a recovery tank",
};

/** Where nothing has a rim to keep a gap from, and no trap. */
const IN_THE_OPEN: ReadonlySet<Discharge> = new Set([
  "exterior-grade",
  "roof-surface",
  "public-way",
  "conspicuous-point",
]);

/** Receptors whose own drain is part of the sanitary plumbing. */
const SANITARY_RECEPTORS: ReadonlySet<Discharge> = new Set([
  "floor-sink",
  "floor-drain",
  "standpipe",
  "hub-drain",
  "trench-drain",
  "mop-sink",
  "laundry-tray",
  "tundish",
  "gully",
]);

export const outletAt = ({ net }: Case, node: number): Outlet => net.nodes[node].outlet!;

export const factOf = ({ facts: { outlets } }: Case, node: number): OutletFact => outlets.list[outlets.at[node]];

export const endsInTheOpen = ({ discharge }: Outlet): boolean => discharge !== null && IN_THE_OPEN.has(discharge);

/**
 * Whether the pipe's end joins the sanitary plumbing, or may: at a drain or tailpiece of it however it is joined, at a
 * receptor unless it is known to end over or in it. null: nobody says what it ends at.
 */
export const joinsSanitary = ({ discharge, connection }: Outlet): boolean | null => {
  if (discharge === "sanitary-drain" || discharge === "fixture-tailpiece") return true;
  if (connection === "air-gap" || connection === "air-break") return false;
  return discharge === null ? null : SANITARY_RECEPTORS.has(discharge);
};

/** What the profile says of how an outlet is connected; null where nobody says how. */
export const rulingOf = ({ profile }: Case, { connection, discharge }: Outlet): Ruling | null =>
  connection === null ? null : connectionRuling(profile.outletConnections, connection, discharge);

/** A gap over the receptor's rim, as wide as the profile asks; where a bore is unknown, as it asks at least. */
export const openGap = (c: Case, node: number): RemedyStep[] => {
  const { airGapNeeded, airGapAtLeast } = factOf(c, node);
  const amount = Number.isNaN(airGapNeeded) ? airGapAtLeast : airGapNeeded;
  return [{ action: "set-air-gap", on: { node }, amount, kind: "dimension" }];
};

/** Fields of an outlet that nobody gave. */
export const lackingAt = (
  { net }: Case,
  node: number,
  ...fields: readonly ("discharge" | "connection" | "airGap")[]
): Settle[] => {
  const { outlet, pointer } = net.nodes[node];
  return fields.filter((field) => outlet![field] === null).map((field) => ({ pointer: `${pointer}/${field}` }));
};
