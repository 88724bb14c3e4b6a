import type { QuantityKind } from "../quantity/speaker.js";
import type { SourceId } from "../sources/sources.js";

/** How sure the handbook is of a figure. `memory` must be checked against an official copy before anybody relies on it. */
export type Confidence = "high" | "medium" | "low" | "memory" | "common-practice" | "derived" | "assumption" | "firm";

/** One figure of a profile. SI base. */
export interface Limit {
  readonly name: string;
  readonly value: number;
  readonly kind: QuantityKind;
  readonly source: SourceId;
  readonly confidence: Confidence;
  /** the firm's own figure replaces the profile's */
  readonly overridden?: true;
}

/** A row of a sizing table: connected cooling capacity in W up to and including `upTo` needs nominal size `size` (DN number). */
export interface SizeRow {
  readonly upTo: number;
  readonly size: number;
}
export interface SizeTable {
  readonly rows: readonly SizeRow[];
  readonly source: SourceId;
  readonly confidence: Confidence;
}

/** Numeric limits by name (4-rules.md, Profiles). */
export type LimitName =
  | "fall.minimumGrade"
  | "fall.recommendedGrade"
  | "fall.minimumRunJudged"
  | "fall.backFallIgnored"
  | "fall.poolShallow" /* fraction of the bore */
  | "fall.poolShallowSmallBore" /* m, in bores of 25 mm and less */
  | "capacity.maximumFill"
  | "capacity.riserFraction"
  | "capacity.manningN"
  | "load.ratePerCapacity" /* m³/s per W */
  | "trap.drawThroughMargin"
  | "trap.blowThroughMargin"
  | "trap.evaporation" /* m/s */
  | "size.minimum" /* DN number */
  | "outlet.airGapFactor" /* times the bore */
  | "outlet.airGapMinimum"
  | "overflow.afterRun" /* m³ per stopped coil */
  | "access.reach"
  | "access.reachTurn" /* degrees */
  | "access.maximumLength"
  | "access.maximumTurn" /* degrees */;

export interface Profile {
  readonly id: string;
  readonly title: string;
  readonly edition: string;
  /** names of the limits that the document overrides */
  readonly overridden: readonly string[];
  readonly limits: ReadonlyMap<LimitName, Limit>;
  /** null: the profile names none */
  readonly codeTable: SizeTable | null;
  readonly aboveTable: "hydraulic" | "undetermined";
  readonly practiceTable: SizeTable | null;
  readonly sizeBasis: "pipe-size" | "inside-diameter";
  readonly ventRule: "trip" | "rim" | "spill-at-vent";
  /** its code spaces cleanouts along level drains (access.maximumLength, access.maximumTurn); else reach alone decides */
  readonly cleanoutSpacing: boolean;
  /** how sizes are printed */
  readonly sizeSystem: "nps" | "dn";
  /** a profile may change a rule's severity or switch it off */
  readonly severities: ReadonlyMap<string, "critical" | "major" | "minor" | "advice" | "off">;
}

export const limitOf = (profile: Profile, name: LimitName): Limit => {
  const limit = profile.limits.get(name);
  if (limit === undefined) throw new Error(`profile ${profile.id} has no limit ${name}`);
  return limit;
};
