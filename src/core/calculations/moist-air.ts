import { type AirStateInput, moistAir, vaporPressure } from "../physics/moist-air.js";
import {
  AIR_PART_NAMES,
  AIR_PARTS,
  airFigures,
  airFlaw,
  HUMIDITIES,
  humidityLines,
  pressure,
  saturationFormula,
} from "./air-state.js";
import { airState, defineCalculation, figure, line, optional, result } from "./calculation.js";

const part = (name: keyof typeof AIR_PARTS) => {
  const { kind, symbol, least, greatest, meaning } = AIR_PARTS[name];
  return optional(figure(kind, symbol, [least, greatest], meaning));
};

export const moistAirState = defineCalculation({
  id: "moist-air",
  title: "State of moist air",
  question: "What are the other properties of air of which the dry bulb and one humidity are known?",
  inputs: {
    dryBulb: part("dryBulb"),
    relativeHumidity: part("relativeHumidity"),
    wetBulb: part("wetBulb"),
    dewPoint: part("dewPoint"),
    humidityRatio: part("humidityRatio"),
    air: optional(airState("", "The same as one object, as the other calculations take it.")),
    pressure,
  },
  choices: [
    [
      { needs: ["dryBulb", "relativeHumidity"] },
      { needs: ["dryBulb", "wetBulb"] },
      { needs: ["dryBulb", "dewPoint"] },
      { needs: ["dryBulb", "humidityRatio"] },
      { needs: ["air"] },
    ],
  ],
  figures: {
    ...airFigures("air", "", "the air"),
    vaporPressure: line("pressure", "pw", "Partial pressure of the vapor."),
    dryBulbAbsolute: line("absolute-temperature", "Ta", "Dry bulb above absolute zero."),
  },
  results: {
    humidityRatio: result("humidity-ratio", "W", "Water for a mass of dry air."),
    dewPoint: result("temperature", "td", "Dew point.", "for air drier than a dew point of −100 °C"),
    wetBulb: result("temperature", "tw", "Thermodynamic wet bulb."),
    relativeHumidity: result("ratio", "φ", "Relative humidity."),
    enthalpy: result("specific-energy", "h", "Enthalpy for a mass of dry air, 0 for dry air at 0 °C."),
    specificVolume: result("specific-volume", "v", "Volume for a mass of dry air."),
    saturationPressure: result("pressure", "pws", "Saturation pressure at the dry bulb."),
  },
  formula:
    "W = 0.621945 pw ÷ (p − pw), pw = φ pws(t); ps(td) = pw; h = 1006 t + W (2 501 000 + 1860 t) J/kg; v = 287.042 (t + 273.15) (1 + 1.607858 W) ÷ p; the wet bulb balances W = ((2501 − 2.326 tw) Ws − 1.006 (t − tw)) ÷ (2501 + 1.86 t − 4.186 tw).",
  sources: ["ashrae-fundamentals-1"],
  validity: [
    {
      figure: "wetBulb",
      least: 0,
      condition: "The wet bulb is above freezing; below, it is that of ice, which a wetted thermometer may not show.",
      source: "ashrae-fundamentals-1",
    },
  ],
  premises: ["A mixture of ideal gases; saturated humidity ratios lie 0.45 % below real-gas tables."],
  example: { dryBulb: "24 degC", relativeHumidity: "50 %" },
  check(given, tell) {
    if (given.air !== null || given.pressure === undefined) return;
    const { dryBulb } = given;
    const wrong = AIR_PART_NAMES.some((name) => given[name] === undefined);
    const stated = HUMIDITIES.filter((name) => given[name] !== null);
    if (dryBulb == null || wrong || stated.length !== 1) return;
    const flaw = airFlaw({ ...given, dryBulb }, given.pressure);
    if (flaw !== null) tell(`/${flaw.part}`, "impossible-air", flaw.detail, flaw.hint);
  },
  work(given, sheet) {
    const { pressure: atmosphere } = given;
    const air: AirStateInput = given.air ?? { ...given, dryBulb: given.dryBulb! };
    const state = moistAir(air, atmosphere);
    humidityLines(sheet, "air", "", air, atmosphere);
    const humidityRatio = sheet.line("humidityRatio", "W", state.humidityRatio);
    sheet.line("vaporPressure", "p W ÷ (0.621945 + W)", vaporPressure(humidityRatio, atmosphere));
    sheet.line("dryBulbAbsolute", "t + 273.15", air.dryBulb + 273.15);
    const saturated = sheet.line("saturationPressure", saturationFormula(air.dryBulb, "Ta"), state.saturationPressure);
    return {
      humidityRatio,
      dewPoint: Number.isNaN(state.dewPoint) ? null : sheet.line("dewPoint", "such that ps(td) = pw", state.dewPoint),
      wetBulb: sheet.line(
        "wetBulb",
        state.wetBulb >= 0
          ? "such that W = ((2501 − 2.326 tw) Ws(tw) − 1.006 (t − tw)) ÷ (2501 + 1.86 t − 4.186 tw)"
          : "such that W = ((2830 − 0.24 tw) Ws(tw) − 1.006 (t − tw)) ÷ (2830 + 1.86 t − 2.1 tw)",
        state.wetBulb,
      ),
      relativeHumidity: sheet.line("relativeHumidity", "pw ÷ pws", state.relativeHumidity),
      enthalpy: sheet.line("enthalpy", "1000 (1.006 t + W (2501 + 1.86 t))", state.enthalpy),
      specificVolume: sheet.line("specificVolume", "287.042 (t + 273.15) (1 + 1.607858 W) ÷ p", state.specificVolume),
      saturationPressure: saturated,
    };
  },
});
