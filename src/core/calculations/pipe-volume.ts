import { boreArea, flowArea, wettedAngle } from "../physics/circle.js";
import { segmentIntegral, volumeBelowLevel } from "../physics/tilted-volume.js";
import { defineCalculation, figure, flag, line, optional, result, type Sheet } from "./calculation.js";

/** F of a depth across the axis, by the case that it falls into. */
const integralLine = (sheet: Sheet, end: "low" | "high", diameter: number, depth: number): void => {
  const [h, u] = end === "low" ? ["h_0", "u_0"] : ["h_1", "u_1"];
  const value = segmentIntegral(diameter, depth);
  if (depth <= 0) sheet.line(`${end}Integral`, "0", value);
  else if (depth >= diameter) sheet.line(`${end}Integral`, `π D³ ÷ 8 + π D² (${h} − D) ÷ 4`, value);
  else {
    sheet.line(`${end}Offset`, `1 − 2 ${h} ÷ D`, 1 - (2 * depth) / diameter);
    sheet.line(`${end}Integral`, `D³ (√(1 − ${u}²) − ${u} acos(${u}) − (1 − ${u}²)^(3/2) ÷ 3) ÷ 8`, value);
  }
};

export const pipeVolume = defineCalculation({
  id: "pipe-volume",
  title: "Water in a pipe below a level",
  question: "How much water does a straight pipe hold below a level?",
  inputs: {
    insideDiameter: figure("dimension", "D", [1e-5, 2], "Bore of the pipe."),
    length: figure("length", "L", [0, 20_000], "Length along the axis."),
    grade: optional(figure("grade", "S", [0, 1000], "Rise over run from the lower end; 0 for a level pipe.")),
    vertical: optional(flag("Whether the pipe stands upright.")),
    levelAboveLowInvert: figure(
      "dimension",
      "z",
      [-10_000, 10_000],
      "Level of the water above the invert of the lower end.",
    ),
  },
  choices: [[{ needs: ["grade"] }, { needs: ["vertical"] }]],
  figures: {
    cosine: line("ratio", "c", "Cosine of the slope angle."),
    rise: line("length", "e", "Height of the upper end's invert over the lower end's."),
    lowDepth: line("dimension", "h_0", "Depth across the axis at the lower end."),
    highDepth: line("dimension", "h_1", "Depth across the axis at the upper end."),
    lowOffset: line("ratio", "u_0", "1 − 2 h_0 ÷ D."),
    highOffset: line("ratio", "u_1", "1 − 2 h_1 ÷ D."),
    lowIntegral: line("volume", "F_0", "Wetted area summed over the depth at the lower end."),
    highIntegral: line("volume", "F_1", "Wetted area summed over the depth at the upper end."),
    depth: line("dimension", "y", "Depth in the level pipe."),
    wettedAngle: line("ratio", "θ", "Central angle of the wetted arc, rad."),
    area: line("area", "A", "Area of the water."),
    height: line("length", "y", "Height of the water in the riser."),
    whole: line("volume", "V_all", "Volume of the whole pipe."),
  },
  results: { volume: result("volume", "V", "Water in the pipe below the level.") },
  formula:
    "V = (F(h_0) − F(h_1)) ÷ S, h_0 = z ÷ cos, h_1 = h_0 − L S; F(h) = r³ (w − u acos u − w³ ÷ 3) with u = 1 − h ÷ r and w = √(1 − u²), 0 below the invert, π r³ + π r² (h − D) above the crown. Level: V = A L. Upright: V = π D² ÷ 4 times the height of water.",
  sources: ["derived"],
  validity: [],
  premises: ["A straight pipe of one bore with square-cut ends, still water, all air free to leave."],
  example: { insideDiameter: "26.1 mm", length: "6 m", grade: "1 %", levelAboveLowInvert: "30 mm" },
  work(given, sheet) {
    const { insideDiameter, length, grade, levelAboveLowInvert: level } = given;
    const whole = boreArea(insideDiameter) * length;
    if (grade === null) {
      const volume = volumeBelowLevel({ insideDiameter, length, rise: length, levelAboveLowInvert: level });
      sheet.line("height", "min(max(0, z), L)", Math.min(Math.max(0, level), length));
      sheet.line("whole", "π D² L ÷ 4", whole);
      return { volume: sheet.line("volume", "π D² y ÷ 4", volume) };
    }
    const cosine = 1 / Math.hypot(1, grade);
    const rise = length * grade * cosine;
    const volume = volumeBelowLevel({ insideDiameter, length, rise, levelAboveLowInvert: level });
    if (grade === 0) {
      const depth = sheet.line("depth", "min(max(0, z), D)", Math.min(Math.max(0, level), insideDiameter));
      sheet.line("wettedAngle", "2 acos(1 − 2 y ÷ D)", wettedAngle(insideDiameter, depth));
      sheet.line("area", "D² (θ − sin(θ)) ÷ 8", flowArea(insideDiameter, depth));
      sheet.line("whole", "π D² L ÷ 4", whole);
      return { volume: sheet.line("volume", "A L", volume) };
    }
    sheet.line("cosine", "1 ÷ √(1 + S²)", cosine);
    sheet.line("rise", "L S c", rise);
    const low = sheet.line("lowDepth", "z ÷ c", level / cosine);
    const high = sheet.line("highDepth", "h_0 − L S", low - length * grade);
    integralLine(sheet, "low", insideDiameter, low);
    integralLine(sheet, "high", insideDiameter, high);
    sheet.line("whole", "π D² L ÷ 4", whole);
    return { volume: sheet.line("volume", "(F_0 − F_1) ÷ S", volume) };
  },
});
