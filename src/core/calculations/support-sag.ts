import {
  deflection,
  leastGradeBetweenSupports,
  longestSpan,
  type Span,
  secondMoment,
  weightPerLength,
} from "../physics/sag.js";
import { defineCalculation, figure, line, optional, otherwise, result } from "./calculation.js";
import { LIQUID_WATER, waterDensity } from "./water.js";

export const supportSag = defineCalculation({
  id: "support-sag",
  title: "Sag of a pipe between supports",
  question: "How far does a pipe hang between its supports, and which grade survives that?",
  inputs: {
    outsideDiameter: figure("dimension", "D_o", [1e-4, 2], "Outside diameter."),
    wall: figure("dimension", "t", [1e-6, 1], "Wall; the least wall is the safe one."),
    density: figure("density", "ρ_p", [1, 30_000], "Density of the pipe's material."),
    modulus: figure("modulus", "E", [1e6, 1e12], "Modulus of elasticity at the temperature and time in question."),
    span: figure("length", "L", [1e-3, 1000], "Distance of the supports."),
    fill: otherwise(
      figure("ratio", "f", [0, 1], "Share of the bore that is water."),
      1,
      "full of water, as in a backup",
      "assumption",
    ),
    grade: optional(figure("grade", "S", [0, 1000], "Installed grade.")),
    waterDensity,
  },
  figures: {
    insideDiameter: line("dimension", "D_i", "Bore."),
    weight: line("weight-per-length", "w", "Weight for a length of pipe and water."),
    secondMoment: line("second-moment", "I", "Second moment of area of the pipe's wall."),
    slenderness: line("ratio", "λ", "Span over outside diameter."),
  },
  results: {
    deflection: result("dimension", "δ", "Deflection at mid-span, each span for itself."),
    endSlope: result("ratio", "β", "Slope of the pipe at its supports, each span for itself."),
    minimumGrade: result("grade", "S_min", "Least grade at which the pipe nowhere rises, each span for itself."),
    maximumSpan: result(
      "length",
      "L_max",
      "Longest span at which the grade survives, each span for itself.",
      "where no grade is given",
    ),
    continuous: {
      type: "group",
      meaning: "The same for an inner span of a long continuous line, fixed at both ends.",
      results: {
        deflection: result("dimension", "δ_c", "Deflection at mid-span."),
        minimumGrade: result("grade", "S_c", "Least grade at which the pipe nowhere rises."),
        maximumSpan: result("length", "L_c", "Longest span at which the grade survives.", "where no grade is given"),
      },
    },
  },
  formula:
    "w = g (π (D_o² − D_i²) ρ_p ÷ 4 + f π D_i² ρ ÷ 4), I = π (D_o⁴ − D_i⁴) ÷ 64. Simple spans: δ = 5 w L⁴ ÷ (384 E I), least grade = end slope = w L³ ÷ (24 E I). Continuous: δ = w L⁴ ÷ (384 E I), least grade √3 w L³ ÷ (216 E I). g = 9.80665 m/s².",
  sources: ["beam-tables", "derived"],
  validity: [
    {
      figure: "endSlope",
      greatest: 0.1,
      condition: "The slopes are small, as the theory of bending takes them.",
      source: "beam-tables",
    },
    {
      figure: "slenderness",
      least: 10,
      condition: "The span is long against the pipe, so that bending governs and not shear.",
      source: "beam-tables",
    },
    LIQUID_WATER,
  ],
  premises: [
    "The modulus is that of the pipe's temperature and of the time under load; plastics creep.",
    "Straight pipe, level supports on the grade, no load but pipe and water. The truth lies between simple spans and a continuous line; end spans and joints are near the former.",
  ],
  example: {
    outsideDiameter: "1.05 in",
    wall: "0.113 in",
    density: 1400,
    modulus: "2.76 GPa",
    span: "4 ft",
    grade: "1/8 in/ft",
  },
  check({ outsideDiameter, wall }, tell) {
    if (outsideDiameter !== undefined && wall !== undefined && 2 * wall > outsideDiameter)
      tell("/wall", "wall-too-thick", "a wall thicker than half the outside diameter", "check both and their units");
  },
  work(given, sheet) {
    const { outsideDiameter, wall, span: length, grade } = given;
    const span: Span = {
      outsideDiameter,
      wall,
      pipeDensity: given.density,
      waterDensity: given.waterDensity,
      fill: given.fill,
      modulus: given.modulus,
    };
    sheet.line("insideDiameter", "D_o − 2 t", outsideDiameter - 2 * wall);
    sheet.line("weight", "g (π (D_o² − D_i²) ρ_p ÷ 4 + f π D_i² ρ ÷ 4)", weightPerLength(span));
    sheet.line("secondMoment", "π (D_o^4 − D_i^4) ÷ 64", secondMoment(outsideDiameter, wall));
    sheet.line("slenderness", "L ÷ D_o", length / outsideDiameter);
    const endSlope = leastGradeBetweenSupports(span, length, "simple");
    return {
      deflection: sheet.line("deflection", "5 w L^4 ÷ (384 E I)", deflection(span, length, "simple")),
      endSlope: sheet.line("endSlope", "w L³ ÷ (24 E I)", endSlope),
      minimumGrade: sheet.line("minimumGrade", "β", endSlope),
      maximumSpan:
        grade === null ? null : sheet.line("maximumSpan", "(24 E I S ÷ w)^(1/3)", longestSpan(span, grade, "simple")),
      continuous: {
        deflection: sheet.line("continuous.deflection", "w L^4 ÷ (384 E I)", deflection(span, length, "continuous")),
        minimumGrade: sheet.line(
          "continuous.minimumGrade",
          "√(3) w L³ ÷ (216 E I)",
          leastGradeBetweenSupports(span, length, "continuous"),
        ),
        maximumSpan:
          grade === null
            ? null
            : sheet.line(
                "continuous.maximumSpan",
                "(216 E I S ÷ (√(3) w))^(1/3)",
                longestSpan(span, grade, "continuous"),
              ),
      },
    };
  },
});
