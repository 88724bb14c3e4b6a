import { STANDARD_PRESSURE } from "./constants.js";

/**
 * Moist air by the ideal-gas forms of ASHRAE Fundamentals 2017, chapter 1 (equation numbers of that chapter).
 * Temperatures in °C, pressures in Pa absolute, humidity ratio in kg of vapor per kg of dry air, enthalpy in J per kg
 * of dry air, specific volume in m³ per kg of dry air. Saturation W lies 0.45 % below real-gas tables.
 */

/** °C within which the saturation equation is fitted. */
export const MOIST_AIR_VALIDITY = { temperature: { least: -100, greatest: 200 } } as const;

const VAPOR_RATIO = 0.621945;
const TRIPLE_POINT = 0.01;

const within = (celsius: number): boolean =>
  celsius >= MOIST_AIR_VALIDITY.temperature.least && celsius <= MOIST_AIR_VALIDITY.temperature.greatest;

const logSaturationPressure = (celsius: number): number => {
  const t = celsius + 273.15;
  if (celsius <= TRIPLE_POINT)
    return (
      -5.6745359e3 / t +
      6.3925247 -
      9.677843e-3 * t +
      6.2215701e-7 * t * t +
      2.0747825e-9 * t ** 3 -
      9.484024e-13 * t ** 4 +
      4.1635019 * Math.log(t)
    );
  return (
    -5.8002206e3 / t +
    1.3914993 -
    4.8640239e-2 * t +
    4.1764768e-5 * t * t -
    1.4452093e-8 * t ** 3 +
    6.5459673 * Math.log(t)
  );
};

/**
 * Saturation pressure over ice or water (equations 5 and 6).
 * @param celsius −100 … 200
 * @returns Pa; NaN outside that range
 */
export const saturationPressure = (celsius: number): number =>
  within(celsius) ? Math.exp(logSaturationPressure(celsius)) : Number.NaN;

/** Humidity ratio of a vapor pressure, 0.621945 p_w/(p − p_w) (equation 20); NaN where p_w is not below p. */
export const humidityRatioOfVapor = (vaporPressure: number, pressure: number): number =>
  vaporPressure >= 0 && vaporPressure < pressure
    ? (VAPOR_RATIO * vaporPressure) / (pressure - vaporPressure)
    : Number.NaN;

/** Vapor pressure of a humidity ratio, p W/(0.621945 + W). */
export const vaporPressure = (humidityRatio: number, pressure: number): number =>
  (pressure * humidityRatio) / (VAPOR_RATIO + humidityRatio);

/** Humidity ratio of saturated air. */
export const saturatedHumidityRatio = (celsius: number, pressure: number): number =>
  humidityRatioOfVapor(saturationPressure(celsius), pressure);

/** Humidity ratio of air at a relative humidity 0 … 1; NaN outside. */
export const humidityRatioOfRelativeHumidity = (dryBulb: number, relativeHumidity: number, pressure: number): number =>
  relativeHumidity >= 0 && relativeHumidity <= 1
    ? humidityRatioOfVapor(relativeHumidity * saturationPressure(dryBulb), pressure)
    : Number.NaN;

/** Humidity ratio of air with a dew point at or below its dry bulb; NaN above. */
export const humidityRatioOfDewPoint = (dryBulb: number, dewPoint: number, pressure: number): number =>
  dewPoint <= dryBulb ? saturatedHumidityRatio(dewPoint, pressure) : Number.NaN;

/**
 * Humidity ratio of air with a thermodynamic wet bulb at or below its dry bulb (equations 33 and 35).
 * @returns NaN above the dry bulb, or where the air would hold less than no water
 */
export const humidityRatioOfWetBulb = (dryBulb: number, wetBulb: number, pressure: number): number => {
  if (!(wetBulb <= dryBulb)) return Number.NaN;
  const ratio = wetBulbBalance(dryBulb, wetBulb, pressure);
  return ratio >= 0 ? ratio : Number.NaN;
};

const wetBulbBalance = (dryBulb: number, wetBulb: number, pressure: number): number => {
  const saturated = saturatedHumidityRatio(wetBulb, pressure);
  return wetBulb >= 0
    ? ((2501 - 2.326 * wetBulb) * saturated - 1.006 * (dryBulb - wetBulb)) / (2501 + 1.86 * dryBulb - 4.186 * wetBulb)
    : ((2830 - 0.24 * wetBulb) * saturated - 1.006 * (dryBulb - wetBulb)) / (2830 + 1.86 * dryBulb - 2.1 * wetBulb);
};

/** Relative humidity, the vapor pressure over that of saturation. */
export const relativeHumidity = (dryBulb: number, humidityRatio: number, pressure: number): number =>
  vaporPressure(humidityRatio, pressure) / saturationPressure(dryBulb);

/**
 * Dew point, by inverting the saturation pressure.
 * @returns °C; NaN for dry air, which has none, and outside −100 … 200 °C
 */
export const dewPoint = (humidityRatio: number, pressure: number): number => {
  const target = Math.log(vaporPressure(humidityRatio, pressure));
  let low: number = MOIST_AIR_VALIDITY.temperature.least;
  let high: number = MOIST_AIR_VALIDITY.temperature.greatest;
  if (!(target >= logSaturationPressure(low) && target <= logSaturationPressure(high))) return Number.NaN;
  while (high - low > 1e-11) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) break;
    if (logSaturationPressure(middle) < target) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
};

/**
 * Thermodynamic wet bulb, by bisection between dew point and dry bulb.
 * @returns °C; NaN where the air holds more than saturation or is dry beyond the equation
 */
export const wetBulb = (dryBulb: number, humidityRatio: number, pressure: number): number => {
  let high = dryBulb;
  let low: number = humidityRatio > 0 ? dewPoint(humidityRatio, pressure) : MOIST_AIR_VALIDITY.temperature.least;
  if (Number.isNaN(low)) low = MOIST_AIR_VALIDITY.temperature.least;
  if (!(humidityRatio >= 0) || humidityRatio > saturatedHumidityRatio(dryBulb, pressure) * (1 + 1e-9))
    return Number.NaN;
  while (high - low > 1e-11) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) break;
    if (wetBulbBalance(dryBulb, middle, pressure) < humidityRatio) low = middle;
    else high = middle;
  }
  return Math.min(dryBulb, (low + high) / 2);
};

/** Enthalpy, 1.006 t + W (2501 + 1.86 t) kJ/kg (equation 30), in J per kg of dry air. */
export const enthalpy = (dryBulb: number, humidityRatio: number): number =>
  1000 * (1.006 * dryBulb + humidityRatio * (2501 + 1.86 * dryBulb));

/** Specific volume, 287.042 T (1 + 1.607858 W)/p (equation 26), m³ per kg of dry air. */
export const specificVolume = (dryBulb: number, humidityRatio: number, pressure: number): number =>
  (287.042 * (dryBulb + 273.15) * (1 + 1.607858 * humidityRatio)) / pressure;

/** Pressure of the standard atmosphere, 101325 (1 − 2.25577e-5 z)^5.2559 (equation 3), Pa. `altitude` −5000 … 11 000 m. */
export const standardPressureAt = (altitude: number): number =>
  STANDARD_PRESSURE * (1 - 2.25577e-5 * altitude) ** 5.2559;

/** Air by its dry bulb and exactly one other figure; the others null or absent. */
export interface AirStateInput {
  readonly dryBulb: number;
  readonly relativeHumidity?: number | null;
  readonly wetBulb?: number | null;
  readonly dewPoint?: number | null;
  readonly humidityRatio?: number | null;
}

/**
 * Humidity ratio of an air state given in any of its forms.
 * @returns kg/kg; NaN where no form is given or the state is impossible (wet bulb above dry bulb …)
 */
export const humidityRatioOf = (air: AirStateInput, pressure: number): number => {
  if (air.humidityRatio != null) return air.humidityRatio >= 0 ? air.humidityRatio : Number.NaN;
  if (air.relativeHumidity != null) return humidityRatioOfRelativeHumidity(air.dryBulb, air.relativeHumidity, pressure);
  if (air.wetBulb != null) return humidityRatioOfWetBulb(air.dryBulb, air.wetBulb, pressure);
  if (air.dewPoint != null) return humidityRatioOfDewPoint(air.dryBulb, air.dewPoint, pressure);
  return Number.NaN;
};

export interface MoistAir {
  readonly humidityRatio: number;
  readonly dewPoint: number;
  readonly wetBulb: number;
  readonly relativeHumidity: number;
  readonly enthalpy: number;
  readonly specificVolume: number;
  readonly saturationPressure: number;
}

/** Everything about an air state; NaN throughout where the state is impossible. */
export const moistAir = (air: AirStateInput, pressure: number): MoistAir => {
  const ratio = humidityRatioOf(air, pressure);
  return {
    humidityRatio: ratio,
    // at saturation the two agree but for the last digit
    dewPoint: Math.min(air.dryBulb, dewPoint(ratio, pressure)),
    wetBulb: wetBulb(air.dryBulb, ratio, pressure),
    relativeHumidity: relativeHumidity(air.dryBulb, ratio, pressure),
    enthalpy: enthalpy(air.dryBulb, ratio),
    specificVolume: specificVolume(air.dryBulb, ratio, pressure),
    saturationPressure: saturationPressure(air.dryBulb),
  };
};
