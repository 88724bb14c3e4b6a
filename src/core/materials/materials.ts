import { dnOfInches, sizeName } from "../quantity/sizes.js";
import type { SourceId } from "../sources/sources.js";

/** How sure a table is; `memory` must be checked against the standard before anybody relies on it. */
export type MaterialConfidence = "high" | "medium" | "memory";

/** One size of a material. m; NaN where the table does not say. */
export interface PipeSize {
  /** DN number; of metric plastics the outside diameter in mm */
  readonly size: number;
  readonly name: string;
  readonly outsideDiameter: number;
  /** least wall of standards in inches, nominal wall of metric ones */
  readonly wall: number;
  /** mean bore: what hydraulics use */
  readonly bore: number;
}

export interface MaterialInfo {
  readonly id: MaterialId;
  readonly title: string;
  /** what `size` means */
  readonly sizedBy: "nominal" | "outside-diameter";
  /** Manning's n of the clean pipe */
  readonly manningN: number;
  readonly manningSource: SourceId;
  readonly manningConfidence: MaterialConfidence;
  /** how the bores were made; null where no table of bores is at hand, so that only a stated insideDiameter serves */
  readonly boreBasis: string | null;
  readonly source: SourceId | null;
  readonly confidence: MaterialConfidence | null;
  /** ascending */
  readonly sizes: readonly PipeSize[];
}

type Row = readonly [size: string, ...figures: number[]];

const INCH = 0.0254;
const inchesOf = (name: string): number =>
  name.split("-").reduce((sum, part) => {
    const [top, over] = part.split("/");
    return sum + Number(top) / Number(over ?? 1);
  }, 0);

/**
 * Mean bore of pipe made to a least wall: OD − 2 t_mean, the tolerance of the wall being −0/+12 % but not less than
 * +0.020 in, so that t_mean = t_min + max(0.12 t_min, 0.020 in)/2. Inches.
 */
const meanBore = (outside: number, leastWall: number): number =>
  outside - 2 * leastWall - Math.max(0.12 * leastWall, 0.02);

/** Rows of outside diameter and least wall in inches. */
const byLeastWall = (rows: readonly Row[]): PipeSize[] =>
  rows.map(([name, outside, wall]) => {
    const size = dnOfInches(inchesOf(name));
    const bore = meanBore(outside!, wall!);
    return {
      size,
      name: sizeName(size, "nps"),
      outsideDiameter: outside! * INCH,
      wall: wall! * INCH,
      bore: bore * INCH,
    };
  });

/** Rows of the bore in inches; copper tube is 1/8 in over its nominal size outside. */
const copper = (rows: readonly Row[]): PipeSize[] =>
  rows.map(([name, bore]) => {
    const inches = inchesOf(name);
    const size = dnOfInches(inches);
    const outside = inches + 0.125;
    return {
      size,
      name: sizeName(size, "nps"),
      outsideDiameter: outside * INCH,
      wall: ((outside - bore!) / 2) * INCH,
      bore: bore! * INCH,
    };
  });

/** Rows of outside diameter and wall in mm. */
const metric = (rows: readonly (readonly [number, number])[]): PipeSize[] =>
  rows.map(([outside, wall]) => ({
    size: outside,
    name: `${outside} mm`,
    outsideDiameter: outside / 1000,
    wall: wall / 1000,
    bore: (outside - 2 * wall) / 1000,
  }));

const schedule40 = byLeastWall([
  ["1/2", 0.84, 0.109],
  ["3/4", 1.05, 0.113],
  ["1", 1.315, 0.133],
  ["1-1/4", 1.66, 0.14],
  ["1-1/2", 1.9, 0.145],
  ["2", 2.375, 0.154],
  ["2-1/2", 2.875, 0.203],
  ["3", 3.5, 0.216],
  ["4", 4.5, 0.237],
  ["5", 5.563, 0.258],
  ["6", 6.625, 0.28],
]);
const schedule80 = byLeastWall([
  ["1/2", 0.84, 0.147],
  ["3/4", 1.05, 0.154],
  ["1", 1.315, 0.179],
  ["1-1/4", 1.66, 0.191],
  ["1-1/2", 1.9, 0.2],
  ["2", 2.375, 0.218],
  ["2-1/2", 2.875, 0.276],
  ["3", 3.5, 0.3],
  ["4", 4.5, 0.337],
  ["5", 5.563, 0.375],
  ["6", 6.625, 0.432],
]);
const drainWasteVent = schedule40.filter(({ size }) => size >= 32);
const cpvc = byLeastWall([
  ["1/2", 0.625, 0.068],
  ["3/4", 0.875, 0.08],
  ["1", 1.125, 0.102],
  ["1-1/4", 1.375, 0.125],
  ["1-1/2", 1.625, 0.148],
  ["2", 2.125, 0.193],
]);
const copperL = copper([
  ["1/2", 0.545],
  ["3/4", 0.785],
  ["1", 1.025],
  ["1-1/4", 1.265],
  ["1-1/2", 1.505],
  ["2", 1.985],
  ["2-1/2", 2.465],
  ["3", 2.945],
  ["4", 3.905],
  ["5", 4.875],
  ["6", 5.845],
]);
const copperM = copper([
  ["1/2", 0.569],
  ["3/4", 0.811],
  ["1", 1.055],
  ["1-1/4", 1.291],
  ["1-1/2", 1.527],
  ["2", 2.009],
  ["2-1/2", 2.495],
  ["3", 2.981],
  ["4", 3.935],
  ["5", 4.907],
  ["6", 5.881],
]);
const copperDwv = copper([
  ["1-1/4", 1.295],
  ["1-1/2", 1.541],
  ["2", 2.041],
  ["3", 3.035],
  ["4", 4.009],
  ["5", 4.981],
  ["6", 5.959],
]);

const MEAN = "outside diameter less twice the mean wall (least wall and half its tolerance)";
const TUBE = "published bore";
const NOMINAL_WALL = "outside diameter less twice the nominal wall";

const plasticN = { manningN: 0.009, manningSource: "manning", manningConfidence: "high" } as const;
const copperN = { manningN: 0.011, manningSource: "manning", manningConfidence: "high" } as const;
const nominal = { sizedBy: "nominal" } as const;
const outside = { sizedBy: "outside-diameter" } as const;
const noTable = { boreBasis: null, source: null, confidence: null, sizes: [] } as const;

const table = [
  {
    id: "pvc-sch40",
    title: "PVC pipe, Schedule 40",
    ...nominal,
    ...plasticN,
    boreBasis: MEAN,
    source: "astm-d1785",
    confidence: "high",
    sizes: schedule40,
  },
  {
    id: "pvc-sch80",
    title: "PVC pipe, Schedule 80",
    ...nominal,
    ...plasticN,
    boreBasis: MEAN,
    source: "astm-d1785",
    confidence: "high",
    sizes: schedule80,
  },
  {
    id: "pvc-dwv",
    title: "PVC drain, waste and vent pipe, Schedule 40",
    ...nominal,
    ...plasticN,
    boreBasis: MEAN,
    source: "astm-d2665",
    confidence: "high",
    sizes: drainWasteVent,
  },
  {
    id: "cpvc-cts",
    title: "CPVC tube in copper tube sizes, SDR 11",
    ...nominal,
    ...plasticN,
    boreBasis: MEAN,
    source: "astm-d2846",
    confidence: "medium",
    sizes: cpvc,
  },
  { id: "copper-k", title: "Copper tube, type K", ...nominal, ...copperN, ...noTable },
  {
    id: "copper-l",
    title: "Copper tube, type L",
    ...nominal,
    ...copperN,
    boreBasis: TUBE,
    source: "astm-b88",
    confidence: "high",
    sizes: copperL,
  },
  {
    id: "copper-m",
    title: "Copper tube, type M (5 and 6 in from memory)",
    ...nominal,
    ...copperN,
    boreBasis: TUBE,
    source: "astm-b88",
    confidence: "medium",
    sizes: copperM,
  },
  {
    id: "copper-dwv",
    title: "Copper drainage tube, DWV",
    ...nominal,
    ...copperN,
    boreBasis: TUBE,
    source: "astm-b306",
    confidence: "high",
    sizes: copperDwv,
  },
  {
    id: "abs-dwv",
    title: "ABS drain, waste and vent pipe, Schedule 40",
    ...nominal,
    ...plasticN,
    boreBasis: MEAN,
    source: "astm-d2661",
    confidence: "medium",
    sizes: drainWasteVent,
  },
  {
    id: "cast-iron",
    title: "Cast iron",
    ...nominal,
    manningN: 0.012,
    manningSource: "manning",
    manningConfidence: "high",
    ...noTable,
  },
  {
    id: "steel-galv",
    title: "Galvanized steel",
    ...nominal,
    manningN: 0.016,
    manningSource: "manning",
    manningConfidence: "high",
    ...noTable,
  },
  { id: "pex", title: "Crosslinked polyethylene (PEX)", ...nominal, ...plasticN, ...noTable },
  { id: "pe-rt", title: "Polyethylene of raised temperature resistance (PE-RT)", ...nominal, ...plasticN, ...noTable },
  { id: "pvdf", title: "Polyvinylidene fluoride (PVDF)", ...nominal, ...plasticN, ...noTable },
  {
    id: "pvc-u-metric",
    title: "PVC-U soil and waste pipe, metric",
    ...outside,
    ...plasticN,
    boreBasis: NOMINAL_WALL,
    source: "en-1329-1",
    confidence: "memory",
    sizes: metric([
      [32, 3],
      [40, 3],
      [50, 3],
      [63, 3],
      [75, 3],
      [90, 3],
      [110, 3.2],
    ]),
  },
  {
    id: "pp-metric",
    title: "Polypropylene soil and waste pipe, metric, S20",
    ...outside,
    ...plasticN,
    boreBasis: NOMINAL_WALL,
    source: "en-1451-1",
    confidence: "memory",
    sizes: metric([
      [32, 1.8],
      [40, 1.8],
      [50, 1.8],
      [63, 1.8],
      [75, 1.9],
      [90, 2.2],
      [110, 2.7],
    ]),
  },
  {
    id: "pe-metric",
    title: "Polyethylene soil and waste pipe, metric, S12.5",
    ...outside,
    ...plasticN,
    boreBasis: NOMINAL_WALL,
    source: "en-1519-1",
    confidence: "memory",
    sizes: metric([
      [32, 3],
      [40, 3],
      [50, 3],
      [56, 3],
      [63, 3],
      [75, 3],
      [90, 3.5],
      [110, 4.2],
    ]),
  },
  { id: "hose-smooth", title: "Flexible hose, smooth inside", ...nominal, ...plasticN, ...noTable },
  {
    id: "hose-corrugated",
    title: "Flexible hose, corrugated inside",
    ...nominal,
    manningN: 0.02,
    manningSource: "memory",
    manningConfidence: "memory",
    ...noTable,
  },
] as const satisfies readonly (Omit<MaterialInfo, "id"> & { readonly id: string })[];

export type MaterialId = (typeof table)[number]["id"];

/** Every material, in the order of the register. */
export const materials: readonly MaterialInfo[] = table;

export const MATERIAL_IDS: readonly MaterialId[] = table.map(({ id }) => id);

const byId: ReadonlyMap<string, MaterialInfo> = new Map(materials.map((each) => [each.id, each]));
const bores: ReadonlyMap<string, ReadonlyMap<number, number>> = new Map(
  materials.map((each) => [each.id, new Map(each.sizes.map(({ size, bore: inside }) => [size, inside]))]),
);

/** The material of an id; undefined for an unknown one. */
export const materialById = (id: string): MaterialInfo | undefined => byId.get(id);

/**
 * Mean bore of a pipe.
 * @param material id @param size DN number, or outside diameter in mm of a metric plastic
 * @returns m; NaN where no table has it (then only a measured insideDiameter serves)
 */
export const bore = (material: string, size: number): number => bores.get(material)?.get(size) ?? Number.NaN;

const sizes: ReadonlyMap<string, readonly number[]> = new Map(
  materials.map((each) => [each.id, each.sizes.map(({ size }) => size)]),
);

/** Sizes that the material's table has, ascending; none where it has no table. */
export const sizesOf = (material: string): readonly number[] => sizes.get(material) ?? [];

/** True where the size is an outside diameter in mm. */
export const isMetricPlastic = (material: string): boolean => byId.get(material)?.sizedBy === "outside-diameter";

/** Manning's n of the clean pipe; NaN for an unknown material. */
export const cleanManningN = (material: string): number => byId.get(material)?.manningN ?? Number.NaN;
