import type { QuantityKind } from "../quantity/speaker.js";
import type { SourceId } from "../sources/sources.js";
import type { EditionNote } from "./edition-notes.js";
import type { MaterialList } from "./material-lists.js";
import type { OutletConnections, OutletPlaces } from "./outlets.js";
import type { SpacingTables } from "./support-spacing.js";

/** How sure one may be of a figure. `memory` must be checked against an official copy before anybody relies on it. */
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

/** A bore of `bore` m or more stands for the nominal size `size` (DN number). By falling size. */
export interface EquivalentTable {
  readonly rows: readonly { readonly size: number; readonly bore: number }[];
  readonly source: SourceId;
  readonly confidence: Confidence;
}

/** What may stand between a blocked drain and the damage below, one for each coil. */
export const OVERFLOW_METHODS = [
  "level-device",
  "secondary-drain",
  "auxiliary-pan-drained",
  "auxiliary-pan-device",
] as const;
export type OverflowMethod = (typeof OVERFLOW_METHODS)[number];

/** A method of protection that a profile accepts. */
export interface AcceptedMethod {
  readonly method: OverflowMethod;
  /** editions that list it */
  readonly edition: string;
  readonly source: SourceId;
  readonly confidence: Confidence;
}

/** Numeric limits by name. */
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
  | "overflow.auxiliaryPanDepth"
  | "overflow.auxiliaryPanOverhang" /* larger than the unit by, in length and in width */
  | "overflow.secondarySize" /* DN number */
  | "overflow.afterRun" /* m³ per stopped coil */
  | "access.reach"
  | "access.reachTurn" /* degrees */
  | "access.maximumLength"
  | "access.maximumTurn" /* degrees */
  | "support.ceilingTemperature" /* °C */
  | "sweat.waterTemperature" /* °C */
  | "sweat.filmCoefficient"
  | "sweat.filmCoefficientFoil" /* under a bright metal face */
  | "sweat.conductivity" /* of insulation */
  | "sweat.margin" /* K */;

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
  /** days; the firm's own idle season, for a site that states none. null: no profile has one, seasons are the site's */
  readonly idleDays: number | null;
  /** its code spaces cleanouts along level drains (access.maximumLength, access.maximumTurn); else reach alone decides */
  readonly cleanoutSpacing: boolean;
  /** how far apart supports may be, by material; none: the profile's texts do not name the material */
  readonly supportSpacing: SpacingTables;
  /** bores from which a pipe without a nominal size of its own stands for one */
  readonly nominalEquivalents: EquivalentTable;
  readonly overflowMethods: readonly AcceptedMethod[];
  /** whether a level device in the drain line counts as one: always, or only where the coil has a second drain or pan */
  readonly inLineDevice: "accepted" | "beside-second-line";
  /** what the code lets overflow wet without asking for protection */
  readonly overflowExemption: "none" | "lay-in-tiles";
  /** where a drain may end */
  readonly outletPlaces: OutletPlaces;
  /** and how it may end there */
  readonly outletConnections: OutletConnections;
  /** drain materials by edition; the first list is judged by. Empty: the profile lists none */
  readonly materialLists: readonly MaterialList[];
  readonly editionNotes: readonly EditionNote[];
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
