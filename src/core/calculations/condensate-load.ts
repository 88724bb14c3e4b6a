import { condensateOfCapacity } from "../physics/condensate.js";
import { LATENT_HEAT, WATER_DENSITY } from "../physics/constants.js";
import { dewPoint, specificVolume } from "../physics/moist-air.js";
import { airFigures, humidityLines, pressure } from "./air-state.js";
import { airState, defineCalculation, figure, line, optional, otherwise, result } from "./calculation.js";

export const condensateLoad = defineCalculation({
  id: "condensate-load",
  title: "Condensate that a cooling coil makes",
  question: "How much water does the coil make, by its capacity and sensible heat ratio, or by its air?",
  inputs: {
    coolingCapacity: optional(figure("cooling-capacity", "Q", [0, 1e8], "Total cooling capacity.")),
    sensibleHeatRatio: optional(figure("ratio", "SHR", [0, 1], "Sensible share of the total capacity.")),
    latentHeat: otherwise(
      figure("specific-energy", "h_fg", [1_500_000, 3_000_000], "Enthalpy of vaporization at the coil's surface."),
      LATENT_HEAT,
      "water at 10 °C",
      "iapws-if97",
    ),
    airflow: optional(figure("airflow", "V", [0, 10_000], "Airflow, measured at the entering state.")),
    enteringAir: optional(airState("_1", "Air entering the coil.")),
    leavingAir: optional(airState("_2", "Air leaving the coil, mixed with what passed it by.")),
    pressure,
  },
  choices: [
    [
      { needs: ["coolingCapacity", "sensibleHeatRatio"], may: ["latentHeat"] },
      { needs: ["airflow", "enteringAir", "leavingAir"], may: ["pressure"] },
    ],
  ],
  figures: {
    latentCapacity: line("cooling-capacity", "Q_l", "Capacity that condenses water."),
    ...airFigures("entering", "_1", "the entering air"),
    ...airFigures("leaving", "_2", "the leaving air"),
    enteringVolume: line("specific-volume", "v_1", "Volume of the entering air for a mass of dry air."),
    dryAirFlow: line("mass-flow", "m_da", "Flow of dry air."),
    humidityDrop: line("humidity-ratio", "ΔW", "Water that leaves the air, for a mass of dry air."),
    leavingDewPoint: line("temperature", "td_l", "Dew point of the leaving air."),
    waterDensity: line("density", "ρ", "Density of the condensate: water at 10 °C."),
  },
  results: {
    massFlow: result("mass-flow", "m_w", "Condensate by mass."),
    volumeFlow: result("flow", "V_w", "Condensate by volume."),
  },
  formula:
    "By capacity: m_w = Q (1 − SHR) ÷ h_fg. By air: m_w = V ÷ v_1 (W_1 − W_2), 0 where the air gains water. V_w = m_w ÷ ρ.",
  sources: ["condensate-equation", "ashrae-fundamentals-1", "iapws-if97"],
  validity: [
    {
      figure: "latentHeat",
      least: 2_357_000,
      greatest: 2_501_000,
      condition: "The enthalpy of vaporization is that of water from 0 to 60 °C.",
      source: "iapws-if97",
    },
    {
      figure: "humidityDrop",
      least: 0,
      condition: "The air loses water; where it gains, no condensate forms and the load is 0.",
      source: "ashrae-fundamentals-1",
    },
    {
      figure: "leavingDewPoint",
      least: 0,
      condition: "The leaving air's dew point is not below freezing: the coil makes water and not frost.",
      source: "derived",
    },
  ],
  premises: [
    "The capacity is the one at the design condition; at part load the sensible heat ratio differs.",
    "The leaving state is that of the mixed air, not the coil's surface.",
    "Moist air as a mixture of ideal gases; saturated humidity ratios lie 0.45 % below real-gas tables.",
  ],
  example: { coolingCapacity: "1 ton", sensibleHeatRatio: 0.75 },
  work(given, sheet) {
    const { coolingCapacity, sensibleHeatRatio, airflow, enteringAir, leavingAir } = given;
    let mass: number;
    if (coolingCapacity !== null && sensibleHeatRatio !== null) {
      sheet.line("latentCapacity", "Q (1 − SHR)", coolingCapacity * (1 - sensibleHeatRatio));
      mass = sheet.line(
        "massFlow",
        "Q_l ÷ h_fg",
        condensateOfCapacity(coolingCapacity, sensibleHeatRatio, given.latentHeat),
      );
    } else {
      const [entering, leaving] = [enteringAir!, leavingAir!];
      const before = humidityLines(sheet, "entering", "_1", entering, given.pressure);
      const after = humidityLines(sheet, "leaving", "_2", leaving, given.pressure);
      const volume = sheet.line(
        "enteringVolume",
        "287.042 (t_1 + 273.15) (1 + 1.607858 W_1) ÷ p",
        specificVolume(entering.dryBulb, before, given.pressure),
      );
      const dryAir = sheet.line("dryAirFlow", "V ÷ v_1", airflow! / volume);
      const drop = sheet.line("humidityDrop", "W_1 − W_2", before - after);
      const dew = dewPoint(after, given.pressure);
      // dry air has none
      if (!Number.isNaN(dew))
        sheet.line("leavingDewPoint", "such that ps(td_l) = p W_2 ÷ (0.621945 + W_2)", Math.min(dew, leaving.dryBulb));
      mass = sheet.line("massFlow", "m_da max(0, ΔW)", dryAir * Math.max(0, drop));
    }
    const density = sheet.line("waterDensity", "999.702", WATER_DENSITY);
    return { massFlow: mass, volumeFlow: sheet.line("volumeFlow", "m_w ÷ ρ", mass / density) };
  },
});
