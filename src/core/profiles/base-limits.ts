import { toSi } from "../quantity/units.js";
import type { EquivalentTable, Limit, LimitName, SizeTable } from "./profile.js";

type Figure = Omit<Limit, "name" | "overridden">;

const drawThrough: Figure = { value: 0.0254, kind: "dimension", source: "trap-manuals", confidence: "high" };

/** Figures that every profile starts from; a profile replaces what its own texts say otherwise. */
const base: Readonly<Record<LimitName, Figure>> = {
  "fall.minimumGrade": { value: 0.01, kind: "grade", source: "imc-307.2.1", confidence: "high" },
  "fall.recommendedGrade": { value: 1 / 48, kind: "grade", source: "common-practice", confidence: "common-practice" },
  "fall.minimumRunJudged": { value: 0.5, kind: "length", source: "assumption", confidence: "assumption" },
  "fall.backFallIgnored": { value: 0.003, kind: "dimension", source: "derived", confidence: "derived" },
  "fall.poolShallow": { value: 0.25, kind: "ratio", source: "common-practice", confidence: "common-practice" },
  "fall.poolShallowSmallBore": {
    value: 0.006,
    kind: "dimension",
    source: "common-practice",
    confidence: "common-practice",
  },
  "capacity.maximumFill": { value: 0.75, kind: "ratio", source: "upc-814.3", confidence: "memory" },
  "capacity.riserFraction": { value: 7 / 24, kind: "ratio", source: "nspc-13.6.1", confidence: "high" },
  "capacity.manningN": { value: 0.012, kind: "ratio", source: "manning-condensate-n", confidence: "medium" },
  "load.ratePerCapacity": {
    value: toSi("flow-per-capacity", 0.375, "us"),
    kind: "flow-per-capacity",
    source: "three-pints-per-hour",
    confidence: "medium",
  },
  "trap.drawThroughMargin": drawThrough,
  "trap.blowThroughMargin": { ...drawThrough, value: 0.0127 },
  "trap.evaporation": {
    value: toSi("velocity", 0.001 / 86_400, "si"),
    kind: "velocity",
    source: "derived",
    confidence: "derived",
  },
  "size.minimum": { value: 20, kind: "size", source: "imc-307.2.2", confidence: "high" },
  "outlet.airGapFactor": { value: 2, kind: "ratio", source: "ipc-802", confidence: "high" },
  "outlet.airGapMinimum": { value: 0.0254, kind: "dimension", source: "ipc-802", confidence: "high" },
  // The metric figures of the codes' own text, a hair below 1.5 in and 3 in: a pan made to either passes.
  "overflow.auxiliaryPanDepth": { value: 0.038, kind: "dimension", source: "irc-m1411.3", confidence: "high" },
  "overflow.auxiliaryPanOverhang": { value: 0.076, kind: "dimension", source: "irc-m1411.3", confidence: "high" },
  "overflow.secondarySize": { value: 20, kind: "size", source: "irc-m1411.3", confidence: "high" },
  "overflow.afterRun": { value: 0.0005, kind: "volume", source: "assumption", confidence: "assumption" },
  "access.reach": { value: 15, kind: "length", source: "assumption", confidence: "assumption" },
  "access.reachTurn": { value: 270, kind: "angle", source: "assumption", confidence: "assumption" },
  "access.maximumLength": { value: 30.48, kind: "length", source: "upc-707.4", confidence: "high" },
  "access.maximumTurn": { value: 135, kind: "angle", source: "upc-707.4", confidence: "high" },
  "support.ceilingTemperature": { value: 38, kind: "temperature", source: "assumption", confidence: "assumption" },
  "sweat.waterTemperature": { value: 13, kind: "temperature", source: "assumption", confidence: "assumption" },
  "sweat.filmCoefficient": { value: 9, kind: "film-coefficient", source: "iso-12241", confidence: "assumption" },
  "sweat.filmCoefficientFoil": { value: 5, kind: "film-coefficient", source: "iso-12241", confidence: "assumption" },
  "sweat.conductivity": { value: 0.036, kind: "conductivity", source: "astm-c534", confidence: "assumption" },
  "sweat.margin": {
    value: 0.5,
    kind: "temperature-difference",
    source: "common-practice",
    confidence: "common-practice",
  },
};

/** The limits of a profile: the base figures with its own in their place. */
export const limitsWith = (own: Readonly<Partial<Record<LimitName, Figure>>>): ReadonlyMap<LimitName, Limit> =>
  new Map(
    (Object.keys(base) as LimitName[]).map((name): [LimitName, Limit] => [
      name,
      { name, ...(own[name] ?? base[name]) },
    ]),
  );

/** A bore that measures the size's own DN number in millimetres. */
export const EQUIVALENTS: EquivalentTable = {
  rows: [50, 40, 32, 25, 20].map((size) => ({ size, bore: size / 1000 })),
  source: "assumption",
  confidence: "assumption",
};

const rows = (tons: readonly (readonly [number, number])[]): SizeTable["rows"] =>
  tons.map(([upTo, size]) => ({ upTo: toSi("cooling-capacity", upTo, "us"), size }));

/** Combined drains by tons of refrigeration: both code families ask for the same five steps. */
export const CODE_ROWS = rows([
  [20, 20],
  [40, 25],
  [90, 32],
  [125, 40],
  [250, 50],
]);

/** Good-practice sizes of a published design guide, more generous than the codes where pipes are small. */
export const PRACTICE_TABLE: SizeTable = {
  rows: rows([
    [2, 20],
    [5, 25],
    [30, 32],
    [50, 40],
    [160, 50],
    [300, 80],
    [430, 100],
  ]),
  source: "design-guide-condensate",
  confidence: "medium",
};
