import { nominalSize, sizeAdvice } from "./sizes.js";
import type { QuantityKind } from "./speaker.js";
import type { UnitSystem } from "./unit-system.js";

/**
 * A unit: SI = (value × times + plus) ÷ over. Two whole factors where one decimal factor would round (25.4 mm to the
 * inch is 254 ÷ 10 000), so that `1 in` and `25.4 mm` are the same number.
 */
interface Unit {
  /** as it is printed and suggested */
  readonly name: string;
  readonly times: number;
  readonly over: number;
  readonly plus: number;
  /** how people write it; case, spaces and full stops do not matter */
  readonly spellings: readonly string[];
}

const unit = (name: string, times: number, over: number, spellings: readonly string[] = []): Unit => ({
  name,
  times,
  over,
  plus: 0,
  spellings,
});

const mm = unit("mm", 1, 1000, ["millimeter", "millimeters", "millimetre", "millimetres"]);
const cm = unit("cm", 1, 100);
const m = unit("m", 1, 1, ["meter", "meters", "metre", "metres"]);
const inch = unit("in", 254, 10_000, ["inch", "inches", '"']);
const ft = unit("ft", 3048, 10_000, ["foot", "feet", "'"]);
const lengths = [
  m,
  mm,
  cm,
  unit("km", 1000, 1),
  unit("um", 1, 1e6, ["micron", "µm"]),
  inch,
  ft,
  unit("yd", 9144, 10_000),
];

// A conventional inch of water is 25.4 mm of 9.80665 Pa each.
const pa = unit("Pa", 1, 1, ["N/m2"]);
const inH2O = unit("inH2O", 24_908_891, 100_000, ["inwc", "inwg", "iwc", "inwater", '"wc', '"wg', '"h2o']);
const inHg = unit("inHg", 3_386_388_640_341, 1e9, ["inmercury", '"hg']);
const psi = unit("psi", 6_894_757_293_168, 1e9, ["psig", "psia", "lbf/in2"]);
const pressures = [
  pa,
  unit("kPa", 1000, 1),
  unit("hPa", 100, 1, ["mbar"]),
  unit("bar", 100_000, 1),
  unit("MPa", 1e6, 1),
  inH2O,
  unit("mmH2O", 980_665, 100_000, ["mmwc", "mmwg", "mmwater"]),
  unit("cmH2O", 980_665, 10_000, ["cmwc"]),
  unit("mH2O", 980_665, 100),
  unit("ftH2O", 298_906_692, 100_000, ["ftwc"]),
  psi,
  inHg,
  unit("mmHg", 133_322_387_415, 1e9, ["torr"]),
  unit("atm", 101_325, 1),
];

const BTU = 1055.05585262; // J, International Table
const kW = unit("kW", 1000, 1);
const ton = unit("ton", 12_000 * BTU, 3600, ["tons", "tonofrefrigeration", "tonsofrefrigeration", "tr", "rt", "tonr"]);
const powers = [
  kW,
  unit("W", 1, 1, ["watt", "watts"]),
  unit("MW", 1e6, 1),
  ton,
  unit("Btu/h", BTU, 3600, ["btuh", "btuperhour"]),
  unit("MBH", 1000 * BTU, 3600, ["kbtu/h", "kbtuh"]),
  unit("kcal/h", 1163, 1000),
];

const GALLON = 3_785_411_784; // ÷ 1e12 m³
const litres = ["liter", "liters", "litre", "litres"];
const perHour = unit(
  "L/h",
  1,
  3_600_000,
  litres.map((word) => `${word}/h`),
);
const gph = unit("gal/h", GALLON, 3600e12, ["gph", "usgal/h", "usgph", "gallon/h", "gallons/h"]);
const cfm = unit("ft3/min", 28_316_846_592, 60e12, ["cfm", "cuft/min"]);
const m3h = unit("m3/h", 1, 3600, ["cmh"]);
const flows = [
  perHour,
  unit("L/min", 1, 60_000, ["lpm"]),
  unit("L/s", 1, 1000, ["lps"]),
  unit("L/day", 1, 86_400_000, ["l/d"]),
  unit("mL/h", 1, 3.6e9),
  unit("mL/min", 1, 6e7),
  unit("mL/s", 1, 1e6),
  m3h,
  unit("m3/min", 1, 60),
  unit("m3/s", 1, 1),
  gph,
  unit("gal/min", GALLON, 60e12, ["gpm", "usgal/min", "usgpm", "gallon/min", "gallons/min"]),
  unit("gal/day", GALLON, 86_400e12, ["gpd", "gal/d"]),
  unit("UK gal/h", 454_609, 3600e8, ["ukgph", "impgal/h"]),
  unit("pt/h", GALLON, 28_800e12, ["pint/h", "pints/h"]),
  cfm,
  unit("ft3/h", 28_316_846_592, 3600e12, ["cfh"]),
  unit("ft3/s", 28_316_846_592, 1e12, ["cfs"]),
];

const degC: Unit = { name: "degC", times: 1, over: 1, plus: 0, spellings: ["c", "celsius", "degcelsius"] };
const degF: Unit = { name: "degF", times: 5, over: 9, plus: -160, spellings: ["f", "fahrenheit", "degfahrenheit"] };
const kelvin: Unit = { name: "K", times: 1, over: 1, plus: -273.15, spellings: ["kelvin"] };

const m2 = unit("m2", 1, 1, ["sqm"]);
const ft2 = unit("ft2", 9_290_304, 1e8, ["sqft"]);
const areas = [m2, unit("cm2", 1, 1e4), unit("mm2", 1, 1e6), ft2, unit("in2", 64_516, 1e8, ["sqin"])];

const litre = unit("L", 1, 1000, litres);
const gallon = unit("gal", GALLON, 1e12, ["usgal", "gallon", "gallons"]);
const volumes = [
  litre,
  unit("mL", 1, 1e6, ["cc", "cm3"]),
  unit("m3", 1, 1),
  gallon,
  unit("UK gal", 454_609, 1e8, ["impgal"]),
  unit("qt", GALLON, 4e12, ["quart", "quarts"]),
  unit("pt", GALLON, 8e12, ["pint", "pints"]),
  unit("fl oz", GALLON, 128e12),
  unit("in3", 16_387_064, 1e12, ["cuin"]),
  unit("ft3", 28_316_846_592, 1e12, ["cuft"]),
];

// Btu·in/(h·ft²·°F) and Btu/(h·ft·°F) of the International Table Btu
const wmk = unit("W/(m.K)", 1, 1, ["w/mk", "w/mc", "w/mdegc"]);
const btuInch = unit("Btu.in/(h.ft2.degF)", 0.1442278889, 1, [
  "btuin/hft2f",
  "btu-in/hft2f",
  "btu-in/h-ft2-f",
  "btuin/hsqftf",
  "btuin/hsqftdegf",
]);
const conductivities = [wmk, btuInch, unit("Btu/(h.ft.degF)", 1.730734666, 1, ["btu/hftf"])];

const percent = unit("%", 1, 100, ["percent", "pct"]);
const grades = [
  percent,
  unit("mm/m", 1, 1000),
  unit("cm/m", 1, 100),
  unit("m/m", 1, 1),
  unit("in/ft", 1, 12, [
    "inperft",
    "inchperfoot",
    "inchesperfoot",
    "inperfoot",
    "inch/foot",
    '"/ft',
    "\"/'",
    '"perft',
    '"perfoot',
  ]),
  unit("ft/ft", 1, 1),
  unit("permille", 1, 1000, ["‰"]),
];
const degree = unit("deg", 1, 1, ["degree", "degrees"]);
const angles = [degree, unit("rad", 180 / Math.PI, 1, ["radian", "radians"])];

const velocities = [
  unit("m/s", 1, 1),
  unit("ft/s", 3048, 10_000, ["fps"]),
  unit("ft/min", 3048, 600_000, ["fpm"]),
  unit("mm/s", 1, 1000),
  unit("mm/day", 1, 86_400_000),
];
const durations = [
  unit("s", 1, 1, ["sec", "second", "seconds"]),
  unit("min", 60, 1, ["minute", "minutes"]),
  unit("h", 3600, 1, ["hr", "hour", "hours"]),
  unit("day", 86_400, 1, ["d", "days"]),
  unit("week", 604_800, 1, ["weeks"]),
];
// L/h per kW is 1/3.6e9 m³/s per W; a rule of thumb is written as a flow per capacity
const perKilowatt = unit("L/h per kW", 1, 3.6e9, ["l/h/kw"]);
const perTon = unit("gal/h per ton", 3785.411784, 12_000e6 * BTU, ["gphperton", "gal/h/ton", "gph/ton"]);
const ratesPerCapacity = [
  perKilowatt,
  perTon,
  unit("gpm per ton", 3785.411784 * 60, 12_000e6 * BTU, ["gal/minperton", "gal/min/ton", "gpm/ton"]),
];
const one = unit("", 1, 1);

const POUND = 45_359_237; // ÷ 1e8 kg
const CUBIC_FOOT = 28_316_846_592; // ÷ 1e12 m³
const kgm3 = unit("kg/m3", 1, 1);
const lbft3 = unit("lb/ft3", POUND * 1e4, CUBIC_FOOT, ["pcf", "lb/cuft"]);
const densities = [kgm3, unit("g/cm3", 1000, 1, ["g/ml", "kg/l"]), lbft3];
const m2s = unit("m2/s", 1, 1);
const ft2s = unit("ft2/s", 9_290_304, 1e8);
const viscosities = [m2s, unit("mm2/s", 1, 1e6, ["cst"]), unit("St", 1, 1e4), ft2s];
const wm2k = unit("W/(m2.K)", 1, 1, ["w/m2c", "w/m2degc"]);
const btuFilm = unit("Btu/(h.ft2.degF)", 5.678263341, 1, ["btu/hft2f", "btu/hsqftf", "btu/h-ft2-f"]);
const moduli = [...pressures, unit("GPa", 1e9, 1), unit("N/mm2", 1e6, 1), unit("ksi", 6_894_757_293_168, 1e6)];
const jkg = unit("J/kg", 1, 1);
const btuPound = unit("Btu/lb", 2326, 1);
const specificEnergies = [jkg, unit("kJ/kg", 1000, 1), unit("MJ/kg", 1e6, 1), btuPound];
const m3kg = unit("m3/kg", 1, 1);
const ft3lb = unit("ft3/lb", CUBIC_FOOT, POUND * 1e4, ["cuft/lb"]);
const kgkg = unit("kg/kg", 1, 1, ["lb/lb"]);
const grains = unit("gr/lb", 1, 7000, ["grains/lb", "grain/lb"]);
const kgs = unit("kg/s", 1, 1);
const lbh = unit("lb/h", POUND, 3600e8, ["lbs/h"]);
const massFlows = [
  kgs,
  unit("kg/h", 1, 3600),
  unit("kg/min", 1, 60),
  unit("g/s", 1, 1000),
  lbh,
  unit("lb/min", POUND, 60e8),
  unit("lb/s", POUND, 1e8),
];
const kelvins = unit("K", 1, 1, ["kelvin", "degc", "c"]);
const fahrenheits = unit("degF", 5, 9, ["f"]);
const rankines = unit("degR", 5, 9, ["r"]);
const newtons = unit("N/m", 1, 1);
const poundsForce = unit("lbf/ft", 44_482_216_152_605, 3_048_000_000_000, ["lb/ft"]);
const m4 = unit("m4", 1, 1);
const in4 = unit("in4", 4_162_314_256, 1e16);

interface KindOfUnit {
  /** what people call the quantity */
  readonly called: string;
  readonly si: Unit;
  readonly us: Unit;
  readonly units: readonly Unit[];
  /** two or three units to suggest */
  readonly suggest: string;
}

const KINDS: Readonly<Record<QuantityKind, KindOfUnit>> = {
  length: { called: "length", si: m, us: ft, units: lengths, suggest: "m, mm, ft or in" },
  elevation: { called: "elevation", si: m, us: ft, units: lengths, suggest: "m, mm, ft or in" },
  dimension: { called: "length", si: mm, us: inch, units: lengths, suggest: "mm, in, m or ft" },
  size: { called: "nominal pipe size", si: one, us: one, units: [], suggest: '"DN 20" or "3/4 in"' },
  "gauge-pressure": { called: "pressure", si: pa, us: inH2O, units: pressures, suggest: "Pa or inH2O" },
  pressure: { called: "pressure", si: pa, us: inHg, units: pressures, suggest: "Pa, kPa or inHg" },
  "cooling-capacity": { called: "cooling capacity", si: kW, us: ton, units: powers, suggest: "kW, ton or Btu/h" },
  flow: { called: "flow", si: perHour, us: gph, units: flows, suggest: "L/h, gal/h or gpm" },
  airflow: { called: "flow", si: m3h, us: cfm, units: flows, suggest: "m3/h or ft3/min" },
  temperature: { called: "temperature", si: degC, us: degF, units: [degC, degF, kelvin], suggest: "degC or degF" },
  area: { called: "area", si: m2, us: ft2, units: areas, suggest: "m2 or ft2" },
  volume: { called: "volume", si: litre, us: gallon, units: volumes, suggest: "L or gal" },
  conductivity: {
    called: "thermal conductivity",
    si: wmk,
    us: btuInch,
    units: conductivities,
    suggest: "W/(m.K) or Btu.in/(h.ft2.degF)",
  },
  grade: {
    called: "grade",
    si: unit("", 1, 1),
    us: unit("in/ft", 1, 12),
    units: grades,
    suggest: "%, mm/m, 1:100 or in/ft",
  },
  ratio: { called: "ratio", si: one, us: one, units: [percent], suggest: "a number from 0 to 1, or %" },
  angle: { called: "angle", si: degree, us: degree, units: angles, suggest: "deg" },
  velocity: { called: "velocity", si: velocities[0]!, us: velocities[1]!, units: velocities, suggest: "m/s or ft/s" },
  "flow-per-capacity": {
    called: "rate of condensate for a cooling capacity",
    si: perKilowatt,
    us: perTon,
    units: ratesPerCapacity,
    suggest: "L/h per kW or gal/h per ton",
  },
  duration: { called: "duration", si: durations[0]!, us: durations[0]!, units: durations, suggest: "min, h or days" },
  count: { called: "number", si: one, us: one, units: [], suggest: "a bare number" },
  density: { called: "density", si: kgm3, us: lbft3, units: densities, suggest: "kg/m3 or lb/ft3" },
  viscosity: {
    called: "kinematic viscosity",
    si: m2s,
    us: ft2s,
    units: viscosities,
    suggest: "m2/s, mm2/s or ft2/s",
  },
  "film-coefficient": {
    called: "film coefficient",
    si: wm2k,
    us: btuFilm,
    units: [wm2k, btuFilm],
    suggest: "W/(m2.K) or Btu/(h.ft2.degF)",
  },
  modulus: { called: "modulus of elasticity", si: pa, us: psi, units: moduli, suggest: "GPa, MPa or psi" },
  "specific-energy": {
    called: "energy for a mass",
    si: jkg,
    us: btuPound,
    units: specificEnergies,
    suggest: "kJ/kg or Btu/lb",
  },
  "specific-volume": {
    called: "specific volume",
    si: m3kg,
    us: ft3lb,
    units: [m3kg, ft3lb],
    suggest: "m3/kg or ft3/lb",
  },
  "humidity-ratio": {
    called: "humidity ratio",
    si: kgkg,
    us: grains,
    units: [kgkg, unit("g/kg", 1, 1000), grains],
    suggest: "g/kg or gr/lb",
  },
  "mass-flow": { called: "mass flow", si: kgs, us: lbh, units: massFlows, suggest: "kg/h or lb/h" },
  "temperature-difference": {
    called: "temperature difference",
    si: kelvins,
    us: fahrenheits,
    units: [kelvins, fahrenheits],
    suggest: "K or degF",
  },
  "absolute-temperature": {
    called: "absolute temperature",
    si: kelvins,
    us: rankines,
    units: [unit("K", 1, 1, ["kelvin"]), rankines],
    suggest: "K or degR",
  },
  "weight-per-length": {
    called: "weight for a length",
    si: newtons,
    us: poundsForce,
    units: [newtons, poundsForce],
    suggest: "N/m or lbf/ft",
  },
  "second-moment": {
    called: "second moment of area",
    si: m4,
    us: in4,
    units: [m4, unit("mm4", 1, 1e12), unit("cm4", 1, 1e8), in4],
    suggest: "mm4 or in4",
  },
};

/** Spelling without case, spaces, full stops, brackets and dots: one key for the many ways to write a unit. */
const keyOf = (spelling: string): string =>
  spelling
    .toLowerCase()
    .replace(/[\s.()^*·⋅]/g, "")
    .replace(/°|º/g, "deg")
    .replace(/hr(?=$|[^a-z]|ft)/g, "h")
    .replace(/hour(?=$|[^s])/g, "h")
    .replace(/minute$/, "min");

const byKey: ReadonlyMap<QuantityKind, ReadonlyMap<string, Unit>> = new Map(
  (Object.keys(KINDS) as QuantityKind[]).map((kind) => [
    kind,
    new Map(
      KINDS[kind].units.flatMap((each) =>
        [each.name, ...each.spellings].map((word): [string, Unit] => [keyOf(word), each]),
      ),
    ),
  ]),
);

/** Written otherwise than in lower case these mean something else (mega, not milli). */
const lookUp = (kind: QuantityKind, spelling: string): Unit | undefined => {
  if (/^m(Pa|W)$/.test(spelling)) return undefined;
  return byKey.get(kind)?.get(keyOf(spelling));
};

const convert = (value: number, by: Unit): number => {
  const si = (value * by.times + by.plus) / by.over;
  return si === 0 ? 0 : si;
};

/**
 * A bare number of the document's unit system in SI base units (temperatures in °C, sizes as DN numbers). The fast way:
 * nothing is allocated.
 * @returns NaN for a number that is no nominal size; not finite where `value` is not
 */
export const toSi = (kind: QuantityKind, value: number, system: UnitSystem): number => {
  if (kind === "size") return nominalSize(value, system);
  const { si, us } = KINDS[kind];
  return convert(value, system === "us" ? us : si);
};

/** SI base units as a bare number of the unit system; the inverse of `toSi`. A size without NPS twin gives NaN in `us`. */
export const fromSi = (kind: QuantityKind, value: number, system: UnitSystem): number => {
  const by = system === "us" ? KINDS[kind].us : KINDS[kind].si;
  return (value * by.over - by.plus) / by.times;
};

/** The unit that a bare number of this kind has, as it is printed: `mm`, `inH2O`, `` for a ratio. */
export const unitName = (kind: QuantityKind, system: UnitSystem): string => KINDS[kind][system].name;

export type ParsedQuantity =
  | { readonly ok: true; readonly value: number }
  | { readonly ok: false; readonly detail: string; readonly hint: string };

/** Longer strings are no quantity. */
export const MAX_QUANTITY_LENGTH = 64;

const refuse = (detail: string, hint: string): ParsedQuantity => ({ ok: false, detail, hint });

const VULGAR: ReadonlyMap<string, string> = new Map([
  ["¼", "1/4"],
  ["½", "1/2"],
  ["¾", "3/4"],
  ["⅛", "1/8"],
  ["⅜", "3/8"],
  ["⅝", "5/8"],
  ["⅞", "7/8"],
  ["⅓", "1/3"],
  ["⅔", "2/3"],
  ["⅕", "1/5"],
  ["⅖", "2/5"],
  ["⅗", "3/5"],
  ["⅘", "4/5"],
  ["⅙", "1/6"],
  ["⅚", "5/6"],
  ["⅒", "1/10"],
]);

/** Typographic signs to the plain ones: minus, fractions, primes, superscripts, spaces that do not break. */
const plain = (text: string): string => {
  let ascii = true;
  for (let i = 0; i < text.length; i += 1)
    if (text.charCodeAt(i) > 126) {
      ascii = false;
      break;
    }
  if (ascii) return text.replace(/''/g, '"').trim();
  return text
    .replace(
      /(\d?)\s*([¼½¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚⅒])/g,
      (_, whole: string, sign: string) => `${whole === "" ? "" : `${whole} `}${VULGAR.get(sign) ?? sign}`,
    )
    .normalize("NFKC")
    .replace(/[−‐‑‒–]/g, "-")
    .replace(/⁄|∕/g, "/")
    .replace(/′′|''|[″”“]/g, '"')
    .replace(/[′’‘]/g, "'")
    .replace(/\s+/g, " ")
    .trim();
};

const NUMBER = String.raw`(?:\d+[ -]\d+\/\d+|\d+\/\d+|(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)`;
const WHOLE = new RegExp(`^([+-]?) ?(${NUMBER})(.*)$`, "s");
const FEET_AND_INCHES = new RegExp(
  String.raw`^([+-]?) ?(\d+) ?(?:ft|feet|foot|')[ -]*(${NUMBER}) ?(?:in|inch|inches|")\.?$`,
  "i",
);
const ONE_IN = new RegExp(String.raw`^(${NUMBER}) ?(?::|(?:in|to) )\s*(${NUMBER})$`, "i");
const RISE_PER_RUN = new RegExp(`^([+-]?${NUMBER}) ?([a-z"']+) ?(?:/|per|in|for each) ?(${NUMBER}) ?([a-z'"]+)$`, "i");
const DN = new RegExp(`^dn ?[-/]? ?(${NUMBER})(?: ?mm)?$`, "i");
const NPS = new RegExp(`^nps ?(${NUMBER}) ?(?:in|inch|inches|")?$`, "i");

/** A decimal, a fraction or a mixed number; NaN where the denominator is 0. */
const numberOf = (text: string): number => {
  const slash = text.indexOf("/");
  if (slash < 0) return Number(text);
  const gap = text.search(/[ -]/);
  const over = Number(text.slice(slash + 1));
  if (over === 0) return Number.NaN;
  const top = Number(text.slice(gap < 0 ? 0 : gap + 1, slash));
  // one rounding only: 1-1/4 is 5/4
  return gap < 0 ? top / over : (Number(text.slice(0, gap)) * over + top) / over;
};

const finite = (kind: QuantityKind, si: number): ParsedQuantity => {
  if (!Number.isFinite(si)) return refuse("not a finite number", `write a finite ${KINDS[kind].called}`);
  if (kind === "temperature" && si < -273.15)
    return refuse("a temperature below absolute zero", "check the sign and the unit");
  return { ok: true, value: si };
};

const sizeOf = (value: number, system: UnitSystem, written: string): ParsedQuantity => {
  const dn = nominalSize(value, system);
  if (Number.isNaN(dn)) return refuse(`${written} is no nominal pipe size`, sizeAdvice(value, system));
  return { ok: true, value: dn };
};

const parseSize = (text: string, system: UnitSystem): ParsedQuantity => {
  const dn = DN.exec(text);
  if (dn !== null) return sizeOf(numberOf(dn[1]!), "si", text);
  const nps = NPS.exec(text);
  if (nps !== null) return sizeOf(numberOf(nps[1]!), "us", text);
  const parts = WHOLE.exec(text);
  if (parts === null || parts[1] === "-")
    return refuse(`"${text}" is no nominal pipe size`, 'write "DN 20" or "3/4 in"');
  const value = numberOf(parts[2]!);
  if (!Number.isFinite(value)) return refuse("not a finite number", 'write "DN 20" or "3/4 in"');
  const spelling = parts[3]!.trim();
  if (spelling === "") {
    // only the trade's inch sizes are fractions
    if (parts[2]!.includes("/")) return sizeOf(value, "us", text);
    return refuse(
      `"${text}" has no unit`,
      `write the number ${value} without quotes (${system === "us" ? "inches" : "DN"}), or "DN 20" or "3/4 in"`,
    );
  }
  const by = lookUp("dimension", spelling);
  if (by === inch) return sizeOf(value, "us", text);
  if (by !== undefined) return sizeOf(Math.round(convert(value, by) * 1e9) / 1e6, "si", text);
  return unitDoesNotFit("size", spelling);
};

const unitDoesNotFit = (kind: QuantityKind, spelling: string): ParsedQuantity => {
  const wanted = KINDS[kind];
  const shown = spelling.length > 24 ? `${spelling.slice(0, 24)}…` : spelling;
  const others = new Set(
    (Object.keys(KINDS) as QuantityKind[])
      .filter((other) => lookUp(other, spelling) !== undefined)
      .map((other) => KINDS[other].called),
  );
  others.delete(wanted.called);
  const what =
    others.size === 0 ? `"${shown}" is no unit known here` : `"${shown}" is a unit of ${[...others].join(" or ")}`;
  return refuse(`${what}; a ${wanted.called} is wanted`, `use ${wanted.suggest}`);
};

const parseGrade = (text: string): ParsedQuantity | undefined => {
  const ratio = ONE_IN.exec(text);
  if (ratio !== null) return finite("grade", numberOf(ratio[1]!) / numberOf(ratio[2]!));
  const rise = RISE_PER_RUN.exec(text);
  if (rise !== null) {
    const up = lookUp("length", rise[2]!);
    const along = lookUp("length", rise[4]!);
    const sign = rise[1]!.startsWith("-") ? -1 : 1;
    if (up !== undefined && along !== undefined)
      return finite(
        "grade",
        (sign * numberOf(rise[1]!.replace(/^[+-]/, "")) * up.times * along.over) /
          (up.over * along.times * numberOf(rise[3]!)),
      );
  }
  return undefined;
};

/**
 * A quantity as a document writes it: a bare number of the unit system, or a string with its unit in either system.
 * @param kind what the figure is
 * @param value the number or string; strings of at most 64 characters
 * @param system what a bare number means
 * @returns SI base units (temperature °C, angle degrees, size DN number), or why not and what to write instead
 */
export const parseQuantity = (kind: QuantityKind, value: number | string, system: UnitSystem): ParsedQuantity => {
  if (typeof value === "number") {
    if (kind === "size")
      return Number.isFinite(value)
        ? sizeOf(value, system, system === "us" ? `${value} in` : `DN ${value}`)
        : refuse("not a finite number", 'write "DN 20" or "3/4 in"');
    return finite(kind, toSi(kind, value, system));
  }
  const wanted = KINDS[kind];
  if (value.length > MAX_QUANTITY_LENGTH)
    return refuse(
      `longer than ${MAX_QUANTITY_LENGTH} characters`,
      `a ${wanted.called} such as a number with ${wanted.suggest}`,
    );
  const text = plain(value);
  if (text === "") return refuse("empty", `write a number with ${wanted.suggest}`);
  if (kind === "size") return parseSize(text, system);
  if (kind === "grade") {
    const grade = parseGrade(text);
    if (grade !== undefined) return grade;
  }
  if (kind === "length" || kind === "elevation" || kind === "dimension") {
    const both = FEET_AND_INCHES.exec(text);
    if (both !== null) {
      const si = ((Number(both[2]) * 12 + numberOf(both[3]!)) * 254) / 10_000;
      return finite(kind, both[1] === "-" && si !== 0 ? -si : si);
    }
  }
  const parts = WHOLE.exec(text);
  if (parts === null)
    return refuse(`"${text.slice(0, 24)}" does not start with a number`, `write a number with ${wanted.suggest}`);
  const rest = parts[3]!;
  if (/^[ ,_']\d/.test(rest))
    return refuse("a separator inside a number", "write a decimal point, and nothing between thousands");
  const amount = numberOf(parts[2]!);
  if (!Number.isFinite(amount)) return refuse("not a finite number", `write a finite ${wanted.called}`);
  const signed = parts[1] === "-" ? -amount : amount;
  const spelling = rest.trim();
  if (spelling === "") {
    if (kind === "ratio" || kind === "count") return finite(kind, signed === 0 ? 0 : signed);
    return refuse(
      `"${text}" has no unit`,
      `write the number without quotes (the document's own unit), or add ${wanted.suggest}`,
    );
  }
  if (kind === "grade") {
    const angle = lookUp("angle", spelling);
    if (angle !== undefined) return finite(kind, Math.tan((convert(signed, angle) * Math.PI) / 180));
  }
  const by = lookUp(kind, spelling);
  if (by === undefined) return unitDoesNotFit(kind, spelling);
  return finite(kind, convert(signed, by));
};
