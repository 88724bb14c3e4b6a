import { MATERIAL_IDS, type MaterialId } from "../materials/materials.js";
import { toSi } from "../quantity/units.js";
import type { SourceId } from "../sources/sources.js";
import type { Confidence } from "./profile.js";

/** How far apart the supports of one material may be, for sizes up to one. m; NaN where the text does not say. */
export interface SpacingRow {
  /** largest nominal size (DN number) of the row; Infinity: every larger one */
  readonly upTo: number;
  /** between supports of a sloping pipe */
  readonly spacing: number;
  /** between supports of an upright pipe */
  readonly upright: number;
  readonly source: SourceId;
  readonly confidence: Confidence;
}

/** Rows by rising size, the last without end. */
export type SpacingTable = readonly SpacingRow[];
export type SpacingTables = ReadonlyMap<string, SpacingTable>;

const feet = (figure: number): number => toSi("length", figure, "us");
/** 2 ft 8 in */
const THIRTY_TWO_INCHES = toSi("dimension", 32, "us");
const EVERY = Number.POSITIVE_INFINITY;
const PVC = ["pvc-sch40", "pvc-sch80", "pvc-dwv", "pvc-u-metric"] as const;
const COPPER = ["copper-k", "copper-l", "copper-m", "copper-dwv"] as const;

type Row = readonly [upTo: number, spacing: number, upright: number, confidence?: Confidence, source?: SourceId];

/** Tables for several materials each; rows without source or confidence have those given first. */
const tables = (
  source: SourceId,
  confidence: Confidence,
  groups: readonly (readonly [of: readonly MaterialId[], rows: readonly Row[]])[],
): SpacingTables =>
  new Map(
    groups.flatMap(([of, rows]) => {
      const table = rows.map(
        ([upTo, spacing, upright, sure, from]): SpacingRow => ({
          upTo,
          spacing,
          upright,
          source: from ?? source,
          confidence: sure ?? confidence,
        }),
      );
      return of.map((material): [string, SpacingTable] => [material, table]);
    }),
  );

/** Where the International Mechanical Code's own table was not seen, its residential twin's stands. */
export const IMC_SPACING = tables("imc-305.4", "high", [
  [PVC, [[EVERY, feet(4), feet(10)]]],
  [["abs-dwv"], [[EVERY, feet(4), feet(10), "high", "irc-p2605.1"]]],
  [
    ["cpvc-cts"],
    [
      [25, feet(3), feet(10)],
      [EVERY, feet(4), feet(10)],
    ],
  ],
  [
    COPPER,
    [
      [32, feet(6), feet(10)],
      [EVERY, feet(10), feet(10)],
    ],
  ],
  [
    ["pex"],
    [
      [25, THIRTY_TWO_INCHES, feet(10)],
      [EVERY, feet(4), feet(10), "medium", "irc-p2605.1"],
    ],
  ],
  [["cast-iron"], [[EVERY, feet(5), feet(15), "high", "irc-p2605.1"]]],
  [["steel-galv"], [[EVERY, feet(12), feet(15), "memory"]]],
  [
    ["pp-metric"],
    [
      [25, THIRTY_TWO_INCHES, Number.NaN, "medium", "irc-p2605.1"],
      [EVERY, feet(4), Number.NaN, "medium", "irc-p2605.1"],
    ],
  ],
]);

/** Uniform Plumbing Code 313.3 as one state adopted it. */
export const UPC_SPACING = tables("mn-4714.0313", "high", [
  [["pvc-sch40", "pvc-dwv", "abs-dwv"], [[EVERY, feet(4), Number.NaN]]],
  [["pvc-sch80", "pvc-u-metric"], [[EVERY, feet(4), Number.NaN, "medium"]]],
  [
    ["cpvc-cts"],
    [
      [25, feet(3), Number.NaN],
      [EVERY, feet(4), Number.NaN],
    ],
  ],
  [
    COPPER,
    [
      [40, feet(6), feet(10)],
      [EVERY, feet(10), feet(10)],
    ],
  ],
  [
    ["pex"],
    [
      [25, THIRTY_TWO_INCHES, Number.NaN],
      [EVERY, feet(4), Number.NaN],
    ],
  ],
  [["cast-iron"], [[EVERY, feet(5), feet(15)]]],
  [
    ["steel-galv"],
    [
      [20, feet(10), feet(25)],
      [EVERY, feet(12), feet(25)],
    ],
  ],
]);

/** The wider of the hangers that an installation manual asks for on plastic; the closer of usual brackets on metal. */
export const METRIC_SPACING = tables("metric-practice", "common-practice", [
  [[...PVC, "abs-dwv", "cpvc-cts"], [[EVERY, 1, 2, "common-practice", "vrf-manual"]]],
  [[...COPPER, "cast-iron", "steel-galv"], [[EVERY, 1.5, Number.NaN]]],
]);

/** Materials that a table of spacings may be stated for: all that keep a line of their own. */
export const SPACED_MATERIALS: readonly MaterialId[] = MATERIAL_IDS.filter((id) => !id.startsWith("hose-"));

/**
 * The row for a size.
 * @param size DN number; NaN where it is not known: then only a table of one row has an answer
 * @returns undefined where the table does not tell
 */
export const spacingRow = (table: SpacingTable, size: number): SpacingRow | undefined =>
  table.length === 1 ? table[0] : table.find(({ upTo }) => size <= upTo);
