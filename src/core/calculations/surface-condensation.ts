import { STANDARD_PRESSURE } from "../physics/constants.js";
import { dewPoint, vaporPressure } from "../physics/moist-air.js";
import { type ColdPipe, surfaceTemperature, thicknessAgainstCondensation } from "../physics/surface-condensation.js";
import { imc } from "../profiles/imc.js";
import { limitOf } from "../profiles/profile.js";
import { airFigures, humidityLines } from "./air-state.js";
import { airState, defineCalculation, figure, line, otherwise, result } from "./calculation.js";

/** What an audit assumes as well; the profiles do not differ in it. */
const [CONDUCTIVITY, FILM, FOIL, MARGIN] = (
  ["sweat.conductivity", "sweat.filmCoefficient", "sweat.filmCoefficientFoil", "sweat.margin"] as const
).map((name) => limitOf(imc, name));

export const surfaceCondensation = defineCalculation({
  id: "surface-condensation",
  title: "Condensation on a cold pipe",
  question:
    "Does the surface of a cold pipe stay above the dew point of the air around it, and how thick must its insulation be?",
  inputs: {
    air: airState("_a", "Air around the pipe."),
    pipeTemperature: figure(
      "temperature",
      "t_p",
      [-100, 200],
      "Temperature of the surface under the insulation, in practice that of the water.",
    ),
    outsideDiameter: figure("dimension", "D_o", [1e-4, 2], "Diameter of that surface: the pipe's outside diameter."),
    conductivity: otherwise(
      figure("conductivity", "k", [1e-4, 1000], "Thermal conductivity of the insulation."),
      CONDUCTIVITY.value,
      "elastomeric foam",
      CONDUCTIVITY.source,
    ),
    filmCoefficient: otherwise(
      figure("film-coefficient", "h", [0.01, 1000], "Heat transfer from the surface to the air."),
      FILM.value,
      `a dull surface indoors; ${FOIL.value} W/(m²·K) for a facing of bright metal`,
      FILM.source,
    ),
    thickness: otherwise(
      figure("dimension", "b", [0, 2], "Thickness of the insulation."),
      0,
      "a bare pipe",
      "assumption",
    ),
    margin: otherwise(
      figure("temperature-difference", "m", [0, 100], "Margin over the dew point."),
      MARGIN.value,
      "margin of practice",
      MARGIN.source,
    ),
  },
  figures: {
    ...airFigures("air", "_a", "the air"),
    pressure: line("pressure", "p", "Atmospheric pressure: the standard atmosphere."),
    vaporPressure: line("pressure", "pw", "Partial pressure of the vapor."),
    leastSurface: line("temperature", "t_min", "Least temperature of the surface: dew point and margin."),
    insideRadius: line("dimension", "r_i", "Radius under the insulation."),
    outsideRadius: line("dimension", "r_o", "Radius of the surface."),
    layer: line("ratio", "B", "Resistance of the insulation over that of the film."),
    headroom: line("temperature-difference", "Δ_a", "Air over the least temperature of the surface."),
    coldness: line("temperature-difference", "Δ_p", "Air over pipe."),
    needed: line("dimension", "c", "Insulation needed, as r_o ln(r_o ÷ r_i)."),
  },
  results: {
    dewPoint: result("temperature", "t_d", "Dew point of the air.", "for air drier than a dew point of −100 °C"),
    surfaceTemperature: result("temperature", "t_s", "Temperature of the surface at the thickness given."),
    thicknessNeeded: result(
      "dimension",
      "b_n",
      "Least thickness at which the surface stays at dew point and margin; 0 where the bare pipe does.",
      "where no thickness does, the air being too near saturation",
    ),
  },
  formula:
    "t_s = t_a − (t_a − t_p) ÷ (1 + B), B = r_o h ln(r_o ÷ r_i) ÷ k. Needed: r_o ln(r_o ÷ r_i) = (k ÷ h) (t_min − t_p) ÷ (t_a − t_min), t_min = t_d + m.",
  sources: ["iso-12241", "ashrae-fundamentals-1", "insulation-association"],
  validity: [
    {
      figure: "headroom",
      least: 0.1,
      condition:
        "The air is at least 0.1 K warmer than dew point and margin; nearer to saturation, no thickness can be relied on.",
      source: "assumption",
    },
    {
      figure: "coldness",
      least: 0,
      condition: "The pipe is not warmer than the air.",
      source: "iso-12241",
    },
    {
      figure: "pipeTemperature",
      least: 0,
      condition: "The pipe is not below freezing, where frost forms.",
      source: "derived",
    },
    {
      figure: "filmCoefficient",
      least: 4,
      greatest: 10,
      condition: "The film coefficient is that of still air indoors.",
      source: "iso-12241",
    },
  ],
  premises: [
    "Steady, one layer, unbroken at hangers and joints, closed to vapor.",
    "The film inside and the pipe's wall are neglected, which errs on the safe side.",
    "An air state by wet bulb or humidity ratio is read at 101 325 Pa.",
  ],
  example: {
    air: { dryBulb: "27 degC", relativeHumidity: "70 %" },
    pipeTemperature: "7 degC",
    outsideDiameter: "1.05 in",
    thickness: "13 mm",
  },
  work(given, sheet) {
    const { air, pipeTemperature, outsideDiameter, thickness, margin } = given;
    sheet.line("pressure", String(STANDARD_PRESSURE), STANDARD_PRESSURE);
    const ratio = humidityLines(sheet, "air", "_a", air, STANDARD_PRESSURE);
    sheet.line("vaporPressure", "p W_a ÷ (0.621945 + W_a)", vaporPressure(ratio, STANDARD_PRESSURE));
    const found = Math.min(dewPoint(ratio, STANDARD_PRESSURE), air.dryBulb);
    const pipe: ColdPipe = {
      airTemperature: air.dryBulb,
      pipeTemperature,
      diameter: outsideDiameter,
      conductivity: given.conductivity,
      filmCoefficient: given.filmCoefficient,
    };
    sheet.line("coldness", "t_a − t_p", air.dryBulb - pipeTemperature);
    const radius = sheet.line("insideRadius", "D_o ÷ 2", outsideDiameter / 2);
    const outside = sheet.line("outsideRadius", "r_i + b", radius + thickness);
    sheet.line(
      "layer",
      "r_o h ln(r_o ÷ r_i) ÷ k",
      (outside * given.filmCoefficient * Math.log(outside / radius)) / given.conductivity,
    );
    const surface = sheet.line(
      "surfaceTemperature",
      "t_a − (t_a − t_p) ÷ (1 + B)",
      surfaceTemperature(pipe, thickness),
    );
    // air without a dew point condenses on nothing
    if (Number.isNaN(found))
      return {
        dewPoint: null,
        surfaceTemperature: surface,
        thicknessNeeded: sheet.line("thicknessNeeded", "0", 0),
      };
    const dew = sheet.line("dewPoint", "such that ps(t_d) = pw", found);
    const least = sheet.line("leastSurface", "t_d + m", dew + margin);
    const needed = thicknessAgainstCondensation(pipe, least);
    const isBare = needed === 0;
    if (!isBare) sheet.line("headroom", "t_a − t_min", air.dryBulb - least);
    const can = Number.isFinite(needed);
    if (!isBare && can)
      sheet.line(
        "needed",
        "k (t_min − t_p) ÷ (h Δ_a)",
        (given.conductivity * (least - pipeTemperature)) / (given.filmCoefficient * (air.dryBulb - least)),
      );
    return {
      dewPoint: dew,
      surfaceTemperature: surface,
      thicknessNeeded: can
        ? sheet.line("thicknessNeeded", isBare ? "0" : "such that (r_i + b_n) ln((r_i + b_n) ÷ r_i) = c", needed)
        : null,
    };
  },
});
