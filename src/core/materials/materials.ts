import { outsideDiameterName, sizeName } from "../quantity/sizes.js";
import type { SourceId } from "../sources/sources.js";
import {
  castIron,
  copperDwv,
  copperK,
  copperL,
  copperM,
  cpvc,
  drainWasteVent,
  metric,
  type PipeSize,
  schedule40,
  schedule80,
  sdr9,
  steel40,
} from "./size-tables.js";

/** How sure a table is; `memory` must be checked against the standard before anybody relies on it. */
export type MaterialConfidence = "high" | "medium" | "memory";

/** One figure of a material, SI base units; NaN where nobody says, and then without source and confidence. */
export interface MaterialFigure {
  readonly value: number;
  readonly source: SourceId | null;
  readonly confidence: MaterialConfidence | null;
}

/** How stiff a material is, in bending, when it is loaded for a short time and when it is loaded for years. */
export interface Stiffness {
  /** modulus of elasticity at `temperature`, Pa */
  readonly modulus: MaterialFigure;
  /** °C at which `modulus` holds; cooler pipe is taken as just as stiff */
  readonly temperature: number;
  /** share of the modulus that is left in warmer pipe, by rising temperature in °C, linear between; none: not known */
  readonly warmer: {
    readonly shares: readonly (readonly [celsius: number, share: number])[];
    readonly source: SourceId | null;
    readonly confidence: MaterialConfidence | null;
  };
  /** apparent modulus at `temperature` after a load of so many years, Pa */
  readonly creep: readonly (MaterialFigure & { readonly years: number })[];
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
  /** why other published tables of bores differ from this one */
  readonly boreNote: string | null;
  readonly source: SourceId | null;
  readonly confidence: MaterialConfidence | null;
  readonly stiffness: Stiffness;
  /** kg/m³ */
  readonly density: MaterialFigure;
  /** thermal conductivity of the wall, W/(m·K) */
  readonly conductivity: MaterialFigure;
  /** ascending */
  readonly sizes: readonly PipeSize[];
}

const mean = {
  boreBasis: "outside diameter less twice the mean wall (least wall and half its tolerance)",
  boreNote:
    "The wall may be 12 % (at least 0.020 in) thicker than the least that the standard allows. Tables that print the outside diameter less twice the least wall are 0.3 to 1.3 mm wider than pipe as it is made; others print an average of what was measured.",
} as const;
const tube = {
  boreBasis: "published bore",
  boreNote: "Trade tables round the bore and hand misprints on; the outside diameter less twice the wall governs.",
} as const;
const nominalWall = {
  boreBasis: "outside diameter less twice the nominal wall",
  boreNote: "The wall that is made is a little thicker than the nominal one, and the bore a little narrower.",
} as const;
const noTable = { boreBasis: null, boreNote: null, source: null, confidence: null, sizes: [] } as const;

const plasticN = { manningN: 0.009, manningSource: "manning", manningConfidence: "high" } as const;
const copperN = { manningN: 0.011, manningSource: "manning", manningConfidence: "high" } as const;
const nominal = { sizedBy: "nominal" } as const;
const outside = { sizedBy: "outside-diameter" } as const;

const known = <V extends number, S extends SourceId, C extends MaterialConfidence>(
  value: V,
  source: S,
  confidence: C,
) => ({ value, source, confidence });
const unknown: MaterialFigure = { value: Number.NaN, source: null, confidence: null };
const ROOM = 23;
const warmerUnknown = { shares: [], source: null, confidence: null } as const;
/** The modulus of metals falls by less than 2 % up to 60 °C. */
const asStiffWarm = { shares: [[60, 1]], source: "metal-data", confidence: "memory" } as const;
const noStiffness: Stiffness = { modulus: unknown, temperature: ROOM, warmer: warmerUnknown, creep: [] };

/** PVC: class value of the modulus; what heat and time leave of it. Pressure derating factors are no measure of stiffness. */
const pvc = {
  stiffness: {
    modulus: known(2.76e9, "pvc-handbook", "memory"),
    temperature: ROOM,
    warmer: {
      shares: [
        [32, 0.93],
        [38, 0.88],
        [43, 0.84],
        [49, 0.79],
        [54, 0.75],
        [60, 0.7],
      ],
      source: "pvc-handbook",
      confidence: "memory",
    },
    creep: [{ years: 50, ...known(0.97e9, "bridge-code-pvc", "memory") }],
  },
  density: known(1400, "pipe-data-sheets", "high"),
  conductivity: known(0.147, "pipe-data-sheets", "high"),
} as const;
const cpvcWall = {
  stiffness: noStiffness,
  density: unknown,
  conductivity: known(0.137, "memory", "memory"),
} as const;
const copperWall = {
  stiffness: {
    modulus: known(117e9, "metal-data", "memory"),
    temperature: ROOM,
    warmer: asStiffWarm,
    creep: [],
  },
  density: known(8940, "metal-data", "memory"),
  conductivity: known(380, "iso-10456", "memory"),
} as const;
const steelWall = {
  stiffness: {
    modulus: known(200e9, "metal-data", "memory"),
    temperature: ROOM,
    warmer: asStiffWarm,
    creep: [],
  },
  density: known(7800, "iso-10456", "memory"),
  conductivity: known(50, "iso-10456", "memory"),
} as const;
/** Gray iron: the least modulus of its classes. */
const ironWall = {
  stiffness: { modulus: known(66e9, "metal-data", "memory"), temperature: ROOM, warmer: asStiffWarm, creep: [] },
  density: known(7500, "iso-10456", "memory"),
  conductivity: known(50, "iso-10456", "memory"),
} as const;
/** High-density polyethylene: it creeps from the first hour on. The modulus is that after half an hour. */
const pe = {
  stiffness: {
    modulus: known(565e6, "pe-handbook", "high"),
    temperature: ROOM,
    warmer: warmerUnknown,
    creep: [
      { years: 1, ...known(276e6, "pe-handbook", "high") },
      { years: 50, ...known(200e6, "pe-handbook", "high") },
    ],
  },
  density: known(980, "iso-10456", "memory"),
  conductivity: known(0.5, "iso-10456", "memory"),
} as const;
const pp = {
  stiffness: noStiffness,
  density: known(910, "iso-10456", "memory"),
  conductivity: known(0.22, "iso-10456", "memory"),
} as const;
const unknownWall = { stiffness: noStiffness, density: unknown, conductivity: unknown } as const;

const table = [
  {
    id: "pvc-sch40",
    title: "PVC pipe, Schedule 40",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-d1785",
    confidence: "high",
    ...pvc,
    sizes: schedule40,
  },
  {
    id: "pvc-sch80",
    title: "PVC pipe, Schedule 80",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-d1785",
    confidence: "high",
    ...pvc,
    sizes: schedule80,
  },
  {
    id: "pvc-dwv",
    title: "PVC drain, waste and vent pipe, Schedule 40",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-d2665",
    confidence: "high",
    ...pvc,
    sizes: drainWasteVent,
  },
  {
    id: "cpvc-cts",
    title: "CPVC tube in copper tube sizes, SDR 11",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-d2846",
    confidence: "medium",
    ...cpvcWall,
    sizes: cpvc,
  },
  {
    id: "copper-k",
    title: "Copper tube, type K (walls from memory)",
    ...nominal,
    ...copperN,
    ...tube,
    source: "astm-b88",
    confidence: "memory",
    ...copperWall,
    sizes: copperK,
  },
  {
    id: "copper-l",
    title: "Copper tube, type L",
    ...nominal,
    ...copperN,
    ...tube,
    source: "astm-b88",
    confidence: "high",
    ...copperWall,
    sizes: copperL,
  },
  {
    id: "copper-m",
    title: "Copper tube, type M (5 and 6 in from memory)",
    ...nominal,
    ...copperN,
    ...tube,
    source: "astm-b88",
    confidence: "medium",
    ...copperWall,
    sizes: copperM,
  },
  {
    id: "copper-dwv",
    title: "Copper drainage tube, DWV",
    ...nominal,
    ...copperN,
    ...tube,
    source: "astm-b306",
    confidence: "high",
    ...copperWall,
    sizes: copperDwv,
  },
  {
    id: "abs-dwv",
    title: "ABS drain, waste and vent pipe, Schedule 40",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-d2661",
    confidence: "medium",
    ...unknownWall,
    sizes: drainWasteVent,
  },
  {
    id: "cast-iron",
    title: "Cast iron soil pipe, service weight",
    ...nominal,
    manningN: 0.012,
    manningSource: "manning",
    manningConfidence: "high",
    boreBasis: "published bore",
    boreNote: "Castings vary by a millimetre and more; hubless pipe has the same bores in other outside diameters.",
    source: "astm-a74",
    confidence: "memory",
    ...ironWall,
    sizes: castIron,
  },
  {
    id: "steel-galv",
    title: "Galvanized steel pipe, Schedule 40",
    ...nominal,
    manningN: 0.016,
    manningSource: "manning",
    manningConfidence: "high",
    ...nominalWall,
    boreNote: "Zinc and rust take a little of the bore; the wall may be 12.5 % thinner than nominal.",
    source: "astm-a53",
    confidence: "memory",
    ...steelWall,
    sizes: steel40,
  },
  {
    id: "pex",
    title: "Crosslinked polyethylene tube (PEX) in copper tube sizes, SDR 9",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-f876",
    confidence: "memory",
    ...unknownWall,
    sizes: sdr9,
  },
  {
    id: "pe-rt",
    title: "Polyethylene tube of raised temperature resistance (PE-RT) in copper tube sizes, SDR 9",
    ...nominal,
    ...plasticN,
    ...mean,
    source: "astm-f2769",
    confidence: "memory",
    ...unknownWall,
    sizes: sdr9,
  },
  { id: "pvdf", title: "Polyvinylidene fluoride (PVDF)", ...nominal, ...plasticN, ...noTable, ...unknownWall },
  {
    id: "pvc-u-metric",
    title: "PVC-U soil and waste pipe, metric",
    ...outside,
    ...plasticN,
    ...nominalWall,
    source: "en-1329-1",
    confidence: "memory",
    ...pvc,
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
    ...nominalWall,
    source: "en-1451-1",
    confidence: "memory",
    ...pp,
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
    ...nominalWall,
    source: "en-1519-1",
    confidence: "memory",
    ...pe,
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
  { id: "hose-smooth", title: "Flexible hose, smooth inside", ...nominal, ...plasticN, ...noTable, ...unknownWall },
  {
    id: "hose-corrugated",
    title: "Flexible hose, corrugated inside",
    ...nominal,
    manningN: 0.02,
    manningSource: "memory",
    manningConfidence: "memory",
    ...noTable,
    ...unknownWall,
  },
] as const satisfies readonly (Omit<MaterialInfo, "id"> & { readonly id: string })[];

export type MaterialId = (typeof table)[number]["id"];

/** Every material, in the order of the register. */
export const materials: readonly MaterialInfo[] = table;

export const MATERIAL_IDS: readonly MaterialId[] = table.map(({ id }) => id);

const byId: ReadonlyMap<string, MaterialInfo> = new Map(materials.map((each) => [each.id, each]));
const bySize: ReadonlyMap<string, ReadonlyMap<number, PipeSize>> = new Map(
  materials.map((each) => [each.id, new Map(each.sizes.map((row) => [row.size, row]))]),
);

/** The material of an id; undefined for an unknown one. */
export const materialById = (id: string): MaterialInfo | undefined => byId.get(id);

/** Outside diameter, wall and bore of a size; undefined where the material's table does not have it. */
export const pipeSize = (material: string, size: number): PipeSize | undefined => bySize.get(material)?.get(size);

/**
 * Mean bore of a pipe.
 * @param material id @param size DN number, or outside diameter in mm of a metric plastic
 * @returns m; NaN where no table has it (then only a measured insideDiameter serves)
 */
export const bore = (material: string, size: number): number => pipeSize(material, size)?.bore ?? Number.NaN;

/**
 * Modulus of elasticity of a material at a temperature in °C, for loads of short duration: that at room temperature and
 * below it, above it the share that is left, linear between the figures.
 * @returns Pa; NaN where the material's stiffness at that temperature is not known
 */
export const modulusAt = (material: string, celsius: number): number => {
  const stiffness = byId.get(material)?.stiffness;
  if (stiffness === undefined || Number.isNaN(celsius)) return Number.NaN;
  let [cooler, more] = [stiffness.temperature, 1];
  if (celsius <= cooler) return stiffness.modulus.value;
  for (const [warmer, share] of stiffness.warmer.shares) {
    if (celsius <= warmer)
      return stiffness.modulus.value * (more + ((share - more) * (celsius - cooler)) / (warmer - cooler));
    [cooler, more] = [warmer, share];
  }
  return Number.NaN;
};

/** Apparent modulus at room temperature under a load of fifty years, Pa; NaN where it is not known. */
export const lastingModulus = (material: string): number => {
  const stiffness = byId.get(material)?.stiffness;
  if (stiffness === undefined) return Number.NaN;
  return stiffness.creep.find(({ years }) => years === 50)?.value ?? Number.NaN;
};

const FLEXIBLE: ReadonlySet<string> = new Set(["hose-smooth", "hose-corrugated"]);

/** True of hoses, which keep no line of their own. */
export const isHose = (material: string): boolean => FLEXIBLE.has(material);

const METALS: ReadonlySet<string> = new Set([
  "copper-k",
  "copper-l",
  "copper-m",
  "copper-dwv",
  "cast-iron",
  "steel-galv",
]);

/** True of every material that is no metal. */
export const isPlastic = (material: string): boolean => !METALS.has(material);

const sizes: ReadonlyMap<string, readonly number[]> = new Map(
  materials.map((each) => [each.id, each.sizes.map(({ size }) => size)]),
);

/** Sizes that the material's table has, ascending; none where it has no table. */
export const sizesOf = (material: string): readonly number[] => sizes.get(material) ?? [];

/** True where the size is an outside diameter in mm; false where the material is not known (null). */
export const isMetricPlastic = (material: string | null): boolean =>
  material !== null && byId.get(material)?.sizedBy === "outside-diameter";

/** A pipe's own DN; NaN where none is known, or its number is an outside diameter. */
export const ownNominal = ({
  size,
  material,
}: {
  readonly size: number | null;
  readonly material: string | null;
}): number => (size === null || isMetricPlastic(material) ? Number.NaN : size);

/** Prints a size as its material counts it: outside diameter of metric plastics, else nominal. @param material null: not known */
export const sizeNameOf = (size: number, material: string | null, names: "nps" | "dn"): string =>
  isMetricPlastic(material) ? outsideDiameterName(size) : sizeName(size, names);

/** Manning's n of the clean pipe; NaN for an unknown material. */
export const cleanManningN = (material: string): number => byId.get(material)?.manningN ?? Number.NaN;
