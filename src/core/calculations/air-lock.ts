import { headOverCompressibleAir, headOverLockedAir } from "../physics/air-lock.js";
import { boreArea } from "../physics/circle.js";
import { headOf, STANDARD_PRESSURE } from "../physics/constants.js";
import { atMost } from "../quantity/interval.js";
import { defineCalculation, figure, figures, line, optional, otherwise, result } from "./calculation.js";
import { LIQUID_WATER, waterDensity } from "./water.js";

const OUTCOMES = ["drains-dry", "trips", "overflows", "drains-standing"] as const;

export const airLock = defineCalculation({
  id: "air-lock",
  title: "Head over locked air",
  question: "How high must water stand over a pan's first weir to push on air that is held between seals?",
  inputs: {
    sealDepths: figures(
      "dimension",
      "S",
      [0, 2],
      "Depth of the seal after each body of locked air on the way, in the direction of flow.",
    ),
    panStatic: otherwise(
      figure("gauge-pressure", "p", [-100_000, 100_000], "Gauge pressure at the pan; negative under suction."),
      0,
      "a pan at atmosphere",
      "assumption",
    ),
    toOutlet: figure("dimension", "z_o", [-10, 100], "Invert of the pan outlet above the first weir."),
    toTrip: optional(
      figure("dimension", "z_t", [-10, 100], "Lowest level above the first weir at which a switch stops the coil."),
    ),
    toSpill: figure("dimension", "z_s", [-10, 100], "Level above the first weir at which the pan spills."),
    gasLength: optional(
      figure(
        "length",
        "L",
        [0, 10_000],
        "Length of the air before each seal, as volume of air over the area of the water's surface.",
      ),
    ),
    insideDiameter: optional(figure("dimension", "D", [1e-5, 2], "Bore of pipe and seal.")),
    waterDensity,
  },
  figures: {
    suctionHead: line(
      "dimension",
      "H",
      "Head of the pan's suction; fan pressure does not help, since the fan may be off.",
    ),
    sealSum: line("dimension", "S_sum", "All seals together."),
    atmosphericHead: line("length", "c", "Head of the standard atmosphere, 101 325 Pa."),
    gasVolume: line("volume", "V_0", "Volume of the air before each seal."),
    backHead: line("dimension", "h", "Head with which a seal presses back on air that gives way."),
  },
  results: {
    needed: result(
      "dimension",
      "N",
      "Level above the first weir that the water needs: rigid air, worst order of filling.",
    ),
    neededCompressible: result(
      "dimension",
      "N_c",
      "The milder level where the air gives way at constant temperature.",
      "where no gasLength is given",
    ),
    outcome: {
      type: "word",
      words: OUTCOMES,
      meaning:
        "`drains-dry`: the level needed is not above the outlet; `trips`: the switch stops the coil first; `overflows`: the pan spills first; `drains-standing`: it drains with water in the pan.",
      orNull: null,
    },
  },
  formula:
    "N = max(0, −p) ÷ (ρ g) + Σ S. With air that gives way each seal presses back S − y only, p_atm L ÷ (L − y) − p_atm = ρ g (S − y). g = 9.80665 m/s².",
  sources: ["air-in-pipes", "hydrostatics"],
  validity: [
    {
      figure: "insideDiameter",
      least: 0.01,
      condition: "The bore is wide enough that a bubble enters a seal without a capillary head of its own.",
      source: "derived",
    },
    LIQUID_WATER,
  ],
  premises: [
    "Every seal fills after the air before it is closed in: the worst order, since no drawing tells the order.",
    "No opening between the seals; one that stays open to the atmosphere takes its seal out of the sum.",
    "The air is closed in at 101 325 Pa and keeps its temperature; one kelvin of warming adds up to 35 mm of water.",
  ],
  example: {
    sealDepths: ["50 mm", "30 mm"],
    panStatic: "-250 Pa",
    toOutlet: "60 mm",
    toTrip: "85 mm",
    toSpill: "100 mm",
    gasLength: "2 m",
    insideDiameter: "26.1 mm",
  },
  work(given, sheet) {
    const { sealDepths, panStatic, toOutlet, toTrip, toSpill, gasLength, waterDensity: density } = given;
    const suction = sheet.line("suctionHead", "max(0, −p) ÷ (ρ g)", headOf(Math.max(0, -panStatic), density));
    sheet.line("sealSum", sealDepths.map((_, i) => `S_${i + 1}`).join(" + ") || "0", headOverLockedAir(0, sealDepths));
    const needed = sheet.line("needed", "H + S_sum", headOverLockedAir(suction, sealDepths));
    let neededCompressible: number | null = null;
    if (gasLength !== null) {
      if (given.insideDiameter !== null)
        sheet.line("gasVolume", "π D² L ÷ 4", boreArea(given.insideDiameter) * gasLength);
      sheet.line("atmosphericHead", "101325 ÷ (ρ g)", headOf(STANDARD_PRESSURE, density));
      const heads = sealDepths.map((seal, i) => {
        const s = `S_${i + 1}`;
        return sheet.line(
          "backHead",
          `${s} − 2 ${s} L ÷ (${s} + L + c + √((${s} + L + c)² − 4 ${s} L))`,
          headOverCompressibleAir(seal, gasLength, density, STANDARD_PRESSURE),
          i + 1,
        );
      });
      neededCompressible = sheet.line(
        "neededCompressible",
        ["H", ...heads.map((_, i) => `h_${i + 1}`)].join(" + "),
        headOverLockedAir(suction, heads),
      );
    }
    const trips = toTrip !== null && !atMost(needed, toTrip) && atMost(toTrip, toSpill);
    return {
      needed,
      neededCompressible,
      outcome: atMost(needed, toOutlet)
        ? "drains-dry"
        : trips
          ? "trips"
          : atMost(needed, toSpill)
            ? "drains-standing"
            : "overflows",
    };
  },
});
