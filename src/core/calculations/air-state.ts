import { STANDARD_PRESSURE } from "../physics/constants.js";
import {
  type AirStateInput,
  humidityRatioOf,
  MOIST_AIR_VALIDITY,
  saturatedHumidityRatio,
  saturationPressure,
} from "../physics/moist-air.js";
import { type FigureKind, type FigureSpec, figure, line, otherwise, type Sheet } from "./calculation.js";

const { least, greatest } = MOIST_AIR_VALIDITY.temperature;

interface Part {
  readonly kind: FigureKind;
  readonly symbol: string;
  readonly least: number;
  readonly greatest: number;
  readonly meaning: string;
}

const part = (kind: FigureKind, symbol: string, from: number, to: number, meaning: string): Part => ({
  kind,
  symbol,
  least: from,
  greatest: to,
  meaning,
});

/** The parts of an air state: its dry bulb, and exactly one of the others. */
export const AIR_PARTS = {
  dryBulb: part("temperature", "t", least, greatest, "Dry bulb."),
  relativeHumidity: part("ratio", "φ", 0, 1, "Relative humidity."),
  wetBulb: part("temperature", "tw", least, greatest, "Thermodynamic wet bulb."),
  dewPoint: part("temperature", "td", least, greatest, "Dew point."),
  humidityRatio: part("humidity-ratio", "W", 0, 10, "Water for a mass of dry air."),
} as const;

export type AirPart = keyof typeof AIR_PARTS;
export const AIR_PART_NAMES = Object.keys(AIR_PARTS) as AirPart[];
export const HUMIDITIES = AIR_PART_NAMES.filter((name) => name !== "dryBulb");

/** Atmospheric pressure of the calculations with air. */
export const pressure = otherwise(
  figure("pressure", "p", [10_000, 200_000], "Atmospheric pressure at the site."),
  STANDARD_PRESSURE,
  "standard atmosphere at sea level",
  "ashrae-fundamentals-1",
);

export interface AirFlaw {
  readonly part: AirPart;
  readonly detail: string;
  readonly hint: string;
}

/** Why a state whose parts are each in range cannot be at this pressure; null where it can. */
export const airFlaw = (air: AirStateInput, atmosphere: number): AirFlaw | null => {
  const { dryBulb, wetBulb, dewPoint, relativeHumidity, humidityRatio } = air;
  if (wetBulb != null && wetBulb > dryBulb)
    return { part: "wetBulb", detail: "a wet bulb above the dry bulb", hint: "air is never more than saturated" };
  if (dewPoint != null && dewPoint > dryBulb)
    return { part: "dewPoint", detail: "a dew point above the dry bulb", hint: "air is never more than saturated" };
  const ratio = humidityRatioOf(air, atmosphere);
  if (Number.isNaN(ratio) || ratio > AIR_PARTS.humidityRatio.greatest) {
    if (wetBulb != null && saturationPressure(wetBulb) < atmosphere)
      return {
        part: "wetBulb",
        detail: "a wet bulb so far below the dry bulb that the air would hold less than no water",
        hint: "check both temperatures and their units",
      };
    const said = HUMIDITIES.find((name) => air[name] != null) ?? "dryBulb";
    return {
      part: relativeHumidity != null ? "relativeHumidity" : said,
      detail: "a vapor pressure that reaches the pressure of the atmosphere, where water boils",
      hint: "check the temperature and the pressure",
    };
  }
  const most = saturatedHumidityRatio(dryBulb, atmosphere);
  if (humidityRatio != null && ratio > most * (1 + 1e-9))
    return {
      part: "humidityRatio",
      detail: "more water than air of this temperature can hold as vapor",
      hint: `at most ${most.toPrecision(4)} kg/kg`,
    };
  return null;
};

/** Lines of the working for an air state, their names starting with `prefix`, their symbols ending in `suffix`. */
export const airFigures = (prefix: string, suffix: string, whose: string): Readonly<Record<string, FigureSpec>> => ({
  [`${prefix}SaturationTemperature`]: line(
    "temperature",
    `ts${suffix}`,
    `Temperature by which the humidity of ${whose} is told: dry bulb, wet bulb or dew point.`,
  ),
  [`${prefix}AbsoluteTemperature`]: line("absolute-temperature", `T${suffix}`, "The same above absolute zero."),
  [`${prefix}SaturationPressure`]: line("pressure", `ps${suffix}`, "Saturation pressure there."),
  [`${prefix}SaturatedRatio`]: line("humidity-ratio", `Ws${suffix}`, "Humidity ratio of saturated air there."),
  [`${prefix}HumidityRatio`]: line("humidity-ratio", `W${suffix}`, `Humidity ratio of ${whose}.`),
});

const OVER_ICE =
  "exp(−5674.5359 ÷ T + 6.3925247 − 0.009677843 T + 6.2215701e-7 T² + 2.0747825e-9 T³ − 9.484024e-13 T^4 + 4.1635019 ln(T))";
const OVER_WATER =
  "exp(−5800.2206 ÷ T + 1.3914993 − 0.048640239 T + 4.1764768e-5 T² − 1.4452093e-8 T³ + 6.5459673 ln(T))";

/** The formula of the saturation pressure at a temperature, of the symbol of the absolute one. */
export const saturationFormula = (celsius: number, symbol: string): string =>
  (celsius <= 0.01 ? OVER_ICE : OVER_WATER).replace(/T/g, symbol);

/** Writes down how the humidity ratio of an air state is found, and gives it. */
export const humidityLines = (
  sheet: Sheet,
  prefix: string,
  suffix: string,
  air: AirStateInput,
  atmosphere: number,
): number => {
  const ratio = humidityRatioOf(air, atmosphere);
  // a humidity ratio that is given needs no finding
  if (air.humidityRatio != null) return ratio;
  const [name, celsius] =
    air.wetBulb != null
      ? [`tw${suffix}`, air.wetBulb]
      : air.dewPoint != null
        ? [`td${suffix}`, air.dewPoint]
        : [`t${suffix}`, air.dryBulb];
  sheet.line(`${prefix}SaturationTemperature`, name, celsius);
  sheet.line(`${prefix}AbsoluteTemperature`, `ts${suffix} + 273.15`, celsius + 273.15);
  sheet.line(`${prefix}SaturationPressure`, saturationFormula(celsius, `T${suffix}`), saturationPressure(celsius));
  const saturated = `0.621945 ps${suffix} ÷ (p − ps${suffix})`;
  if (air.relativeHumidity != null)
    return sheet.line(
      `${prefix}HumidityRatio`,
      `0.621945 φ${suffix} ps${suffix} ÷ (p − φ${suffix} ps${suffix})`,
      ratio,
    );
  if (air.dewPoint != null) return sheet.line(`${prefix}HumidityRatio`, saturated, ratio);
  sheet.line(`${prefix}SaturatedRatio`, saturated, saturatedHumidityRatio(celsius, atmosphere));
  const [t, tw, ws] = [`t${suffix}`, `tw${suffix}`, `Ws${suffix}`];
  return sheet.line(
    `${prefix}HumidityRatio`,
    celsius >= 0
      ? `((2501 − 2.326 ${tw}) ${ws} − 1.006 (${t} − ${tw})) ÷ (2501 + 1.86 ${t} − 4.186 ${tw})`
      : `((2830 − 0.24 ${tw}) ${ws} − 1.006 (${t} − ${tw})) ÷ (2830 + 1.86 ${t} − 2.1 ${tw})`,
    ratio,
  );
};
