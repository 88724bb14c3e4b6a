import {
  filmThickness,
  RISER_VALIDITY,
  riserFlow,
  riserFraction,
  terminalLength,
  terminalVelocity,
} from "../physics/riser-flow.js";
import { defineCalculation, figure, line, optional, result } from "./calculation.js";

export const riserCapacity = defineCalculation({
  id: "riser-capacity",
  title: "Flow down a riser",
  question: "How much water falls down a riser that it fills to a fraction, or how full does a flow make it?",
  inputs: {
    insideDiameter: figure("dimension", "D", [1e-5, 2], "Bore of the riser."),
    fraction: optional(figure("ratio", "r", [0, 1], "Share of the bore's area that is water.")),
    flow: optional(figure("flow", "Q", [0, 10], "Flow down the riser.")),
  },
  choices: [[{ needs: ["fraction"] }, { needs: ["flow"] }]],
  figures: { filledFraction: line("ratio", "r", "Share of the bore's area that is water.") },
  results: {
    flow: result("flow", "Q", "Flow down the riser."),
    terminalVelocity: result("velocity", "V_t", "Velocity that the water settles at."),
    terminalLength: result("length", "L_t", "Height of fall in which it does so."),
    film: result("dimension", "t", "Thickness of the ring of water; the whole radius where the bore is full."),
  },
  formula:
    "Q = 31.46179 r^(5/3) D^(8/3) m³/s (27.8 gpm for inches); V_t = 3.0 (Q ÷ D)^0.4 ft/s for gpm and inches; L_t = 0.052 V_t² ft; t = (D ÷ 2) (1 − √(1 − r)).",
  sources: ["nbs-monograph-31"],
  validity: [
    {
      figure: "filledFraction",
      ...RISER_VALIDITY.fraction,
      condition:
        "The law was found between a quarter and a third full; emptier risers carry a laminar film, fuller ones lose their core of air.",
      source: "nbs-monograph-31",
    },
    {
      figure: "insideDiameter",
      ...RISER_VALIDITY.testedBore,
      condition: "The law was found on stacks of 3 to 6 in; other bores extrapolate.",
      source: "nbs-monograph-31",
    },
  ],
  premises: ["The water clings to the wall around a core of air that is open at both ends."],
  example: { insideDiameter: "2 in", fraction: 0.25 },
  work({ insideDiameter, fraction, flow }, sheet) {
    let share: number;
    let water: number;
    if (fraction !== null) {
      share = sheet.line("filledFraction", "r", fraction);
      water = sheet.line("flow", "31.46179 r^(5/3) D^(8/3)", riserFlow(insideDiameter, share));
    } else {
      water = sheet.line("flow", "Q", flow!);
      share = sheet.line("filledFraction", "(Q ÷ (31.46179 D^(8/3)))^(3/5)", riserFraction(insideDiameter, water));
    }
    const velocity = sheet.line(
      "terminalVelocity",
      "3 × 0.3048 (0.0254 Q ÷ (6.30901964e-5 D))^0.4",
      terminalVelocity(insideDiameter, water),
    );
    return {
      flow: water,
      terminalVelocity: velocity,
      terminalLength: sheet.line("terminalLength", "0.052 V_t² ÷ 0.3048", terminalLength(velocity)),
      film: sheet.line("film", share >= 1 ? "D ÷ 2" : "D (1 − √(1 − r)) ÷ 2", filmThickness(insideDiameter, share)),
    };
  },
});
