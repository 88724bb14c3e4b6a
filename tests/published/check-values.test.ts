import { describe, expect, it } from "vitest";
import { headOverCompressibleAir, headOverLockedAir, isAirLocked } from "../../src/core/physics/air-lock.js";
import { flowArea, hydraulicRadius } from "../../src/core/physics/circle.js";
import { condensateOfAir, condensateOfCapacity } from "../../src/core/physics/condensate.js";
import { GRAVITY, headOf } from "../../src/core/physics/constants.js";
import { evaporationRate, timeToEvaporate } from "../../src/core/physics/evaporation.js";
import {
  dewPoint,
  enthalpy,
  humidityRatioOfRelativeHumidity,
  specificVolume,
  standardPressureAt,
  wetBulb,
} from "../../src/core/physics/moist-air.js";
import {
  colebrookWhiteVelocity,
  criticalDepth,
  DEPTH_RATIO_OF_GREATEST_FLOW,
  frictionNormalDepth,
  frictionVelocity,
  froudeNumber,
  GREATEST_FLOW_RATIO,
  manningFlow,
  manningVelocity,
  normalDepth,
  reynoldsNumber,
} from "../../src/core/physics/part-full-flow.js";
import { riserFlow, terminalLength, terminalVelocity } from "../../src/core/physics/riser-flow.js";
import { deflection, leastGradeBetweenSupports, longestSpan, type Span } from "../../src/core/physics/sag.js";
import { highestTrip, spillLevel, timeToFill } from "../../src/core/physics/spill-level.js";
import { surfaceTemperature, thicknessAgainstCondensation } from "../../src/core/physics/surface-condensation.js";
import { sagAirGap, sagSeal, volumeBelowLevel } from "../../src/core/physics/tilted-volume.js";
import {
  breakingHead,
  columnPeriod,
  dropForSuction,
  outletLegFall,
  panStanding,
  sealForPressure,
  sealForSlowStart,
  sealLeftAtStart,
  surgeVolume,
} from "../../src/core/physics/trap-statics.js";
import { latentHeat, waterDensity, waterViscosity } from "../../src/core/physics/water.js";
import { parseQuantity } from "../../src/core/quantity/units.js";
import { CHECK_VALUES, type CheckValue } from "./check-values.js";

const GPM = 6.30901964e-5;
const DAY = 86_400;

type Result = number | string | boolean;
/** Inputs of a row, by name, as numbers. */
type Inputs = (name: string) => number;

const parsed = (kind: Parameters<typeof parseQuantity>[0], text: string): number => {
  const quantity = parseQuantity(kind, text, "si");
  if (!quantity.ok) throw new Error(quantity.detail);
  return quantity.value;
};

const span = (i: Inputs, fill = 1): Span => ({
  outsideDiameter: i("OD_m"),
  wall: i("wall_m"),
  pipeDensity: i("rho_pipe"),
  waterDensity: i("rho_water"),
  fill,
  modulus: i("E_Pa"),
});

const tilted = (bore: number, length: number, tangent: number, level: number): number =>
  volumeBelowLevel({
    insideDiameter: bore,
    length,
    rise: (length * tangent) / Math.hypot(1, tangent),
    levelAboveLowInvert: level,
  });

const humidity = (i: Inputs): number => humidityRatioOfRelativeHumidity(i("t_C"), i("rh"), i("p_Pa"));

const openings = (row: CheckValue): (readonly [id: string, level: number])[] =>
  Object.entries(row.inputs).map(([id, pair]) => {
    const [rim, pressure] = pair as readonly [number, number];
    return [id, spillLevel(rim, pressure, 998.2)];
  });

const coldPipe = (i: Inputs) => ({
  airTemperature: i("t_air_C"),
  pipeTemperature: i("t_pipe_C"),
  diameter: i("od_mm") / 1000,
  conductivity: i("k"),
  filmCoefficient: i("h"),
});
const airDewPoint = (celsius: number, rh: number): number =>
  dewPoint(humidityRatioOfRelativeHumidity(celsius, rh, 101_325), 101_325);

/** How our formulas answer each quantity of the table. */
const answers: Readonly<Record<string, (i: Inputs, row: CheckValue) => Result>> = {
  "flow area of part-full circle": (i) => flowArea(i("D_m"), i("y_m")),
  "hydraulic radius of part-full circle": (i) => hydraulicRadius(i("D_m"), i("y_m")),
  "Manning flow": (i) => manningFlow(i("D_m"), i("y_over_D") * i("D_m"), i("slope"), i("n")),
  "Manning velocity": (i) => manningVelocity(i("D_m"), i("y_over_D") * i("D_m"), i("slope"), i("n")),
  "normal depth (Manning)": (i) => {
    const depth = normalDepth(i("D_m"), i("slope"), i("n"), i("Q_m3s"));
    return Number.isNaN(depth) ? "over-capacity" : depth;
  },
  "critical depth": (i) => criticalDepth(i("D_m"), i("Q_m3s")),
  "Froude number at normal depth": (i) =>
    froudeNumber(i("D_m"), normalDepth(i("D_m"), i("slope"), i("n"), i("Q_m3s")), i("Q_m3s")),
  "y/D of maximum Manning flow (constant n)": () => DEPTH_RATIO_OF_GREATEST_FLOW,
  "Qmax/Qfull": () => GREATEST_FLOW_RATIO,
  "part-full flow, Colebrook-White": (i) =>
    flowArea(i("D_m"), i("y_over_D") * i("D_m")) *
    colebrookWhiteVelocity(i("D_m"), i("y_over_D") * i("D_m"), i("slope"), i("k_m"), i("nu_m2s")),
  "normal depth, laminar trickle (f=64/Re)": (i) =>
    frictionNormalDepth(i("D_m"), i("slope"), 0, i("nu_m2s"), i("Q_m3s")),
  "Reynolds number (Dh=4R) of that flow": (i) => {
    const depth = frictionNormalDepth(i("D_m"), i("slope"), 0, i("nu_m2s"), i("Q_m3s"));
    return reynoldsNumber(i("D_m"), depth, frictionVelocity(i("D_m"), depth, i("slope"), 0, i("nu_m2s")), i("nu_m2s"));
  },
  "stack capacity": (i) => riserFlow(i("d_in") * 0.0254, i("r")) / GPM,
  "terminal velocity": (i) => terminalVelocity(i("d_in") * 0.0254, i("q_gpm") * GPM) / 0.3048,
  "terminal length": (i) => terminalLength(i("vt_fps") * 0.3048) / 0.3048,
  "level difference across trap": (i) => headOf(i("dp_Pa"), i("rho")),
  "fall of outlet leg when suction is applied to a rest-full trap": (i) =>
    outletLegFall(i("H_m"), i("A_in"), i("A_out")),
  "suction head that breaks a seal with no make-up water": (i) => breakingHead(i("seal_m"), i("A_in"), i("A_out")),
  "draw-through: min drop pan outlet -> outlet weir": (i) => dropForSuction(i("H_m"), i("margin_m")),
  "draw-through: min seal, equal legs": (i) => sealForSlowStart(i("H_m"), 1, 1, i("margin_m")),
  "blow-through: min seal": (i) => sealForPressure(i("H_m"), i("margin_m")),
  "draw-through: seal left in outlet leg after evaporation loss, fan started, equal legs": (i) =>
    sealLeftAtStart(i("seal_m"), i("evap_loss_m"), i("H_m"), 1, 1),
  "pan level above trap weir needed, blow-through pan (negative suction head), unvented downstream seals": (i, row) =>
    headOverLockedAir(i("H_suction_m"), row.inputs.seals_m as number[]),
  "U-tube natural period, frictionless, equal legs": (i) => columnPeriod(i("column_length_m"), GRAVITY),
  "evaporation rate through still-air leg (Stefan)": (i) =>
    evaporationRate(i("t_C"), i("rh"), i("delta_m"), i("p_Pa")) * 1000 * DAY,
  "dry-out time one open leg": (i) => timeToEvaporate(i("t_C"), i("rh"), i("delta0_m"), i("loss_m"), 101_325) / DAY,
  "standing water depth in draw-through pan, fan on": (i) => panStanding(i("H_m"), i("drop_pan_outlet_to_weir_m")),
  "surge volume released when that fan stops": (i) => surgeVolume(i("H_m"), i("drop_m"), i("A_pan_m2")),
  "which opening spills first on a rising level pool (z rim m, local gauge Pa)": (_, row) =>
    openings(row).reduce((first, next) => (next[1] < first[1] ? next : first))[0],
  "pool level at first spill (outlet at atmospheric)": (_, row) => Math.min(...openings(row).map(([, level]) => level)),
  "pan water level above trap outlet weir needed to push flow through unvented downstream seals (rigid gas)": (
    i,
    row,
  ) => headOverLockedAir(i("H_suction_m"), row.inputs.seals_m as number[]),
  "air-locked? (spill level below required level)": (i, row) =>
    isAirLocked(i("z_spill_m"), i("z_weir_m"), i("H_suction_m"), row.inputs.seals_m as number[]),
  "pocket back-pressure head with isothermal compressibility": (i) =>
    headOverCompressibleAir(i("seal_m"), i("gas_length_m"), i("rho"), i("patm_Pa")),
  "seal depth of a sag": (i) => sagSeal(i("sag_m"), i("bore_m")),
  "air gap left over standing water in a sag": (i) => sagAirGap(i("sag_m"), i("bore_m")),
  "standing water in a V sag": (i) =>
    [i("L1_m"), i("L2_m")].reduce(
      (sum, length) => sum + tilted(i("bore_m"), length, i("sag_m") / length, i("sag_m")),
      0,
    ),
  "volume in sloping pipe below level": (i) => tilted(i("D_m"), i("L_m"), i("slope_tan"), i("z_above_low_invert_m")),
  "volume in riser": (i) =>
    volumeBelowLevel({
      insideDiameter: i("D_m"),
      length: 3 * i("height_m"),
      rise: 3 * i("height_m"),
      levelAboveLowInvert: i("height_m"),
    }),
  "time to spill": (i) => timeToFill(i("V_m3"), i("q_m3s")),
  "midspan deflection, simple span": (i) => deflection(span(i, i("fill")), i("span_m"), "simple"),
  "midspan deflection, fixed-ended span": (i) => deflection(span(i, i("fill")), i("span_m"), "continuous"),
  "minimum installed fall so that no local reverse fall, simple span": (i) =>
    leastGradeBetweenSupports(span(i, i("fill")), i("span_m"), "simple"),
  "minimum installed fall so that no local reverse fall, fixed-ended span": (i) =>
    leastGradeBetweenSupports(span(i, i("fill")), i("span_m"), "continuous"),
  "maximum simple span for fall": (i) => longestSpan(span(i), i("slope"), "simple"),
  "dew point": (i, row) =>
    "t_air_C" in row.inputs ? airDewPoint(i("t_air_C"), i("rh")) : dewPoint(humidity(i), i("p_Pa")),
  "min insulation thickness, no margin": (i) =>
    1000 * thicknessAgainstCondensation(coldPipe(i), airDewPoint(i("t_air_C"), i("rh"))),
  "surface temperature with 13 mm": (i) => surfaceTemperature(coldPipe(i), i("thickness_mm") / 1000),
  "humidity ratio": humidity,
  "wet bulb": (i) => wetBulb(i("t_C"), humidity(i), i("p_Pa")),
  enthalpy: (i) => enthalpy(i("t_C"), humidity(i)) / 1000,
  "specific volume": (i) => specificVolume(i("t_C"), humidity(i), i("p_Pa")),
  "condensate rate from air states": (i) =>
    3600 *
    condensateOfAir(
      i("V_m3s"),
      { dryBulb: i("t1_C"), relativeHumidity: i("rh1") },
      { dryBulb: i("t2_C"), relativeHumidity: i("rh2") },
      i("p_Pa"),
    ),
  "condensate from total capacity and SHR": (i) =>
    3600 * condensateOfCapacity(i("Q_kW") * 1000, i("SHR"), i("hfg_kJkg") * 1000),
  "standard pressure": (i) => standardPressureAt(i("alt_m")),
  "water density 0.1 MPa": (i) => waterDensity(i("t_C")),
  "water dynamic viscosity": (i) => waterViscosity(i("t_C")),
  "latent heat": (i) => latentHeat(i("t_C")) / 1000,
  "time to overflow": (i) =>
    timeToFill(i("L_m") * i("W_m") * (i("h_to_m") - i("h_from_m")), i("q_kgph") / i("rho") / 3600),
  "highest float trip level above pan floor": (i) =>
    highestTrip(i("h_rim_m"), i("V_after_trip_m3"), i("L_m") * i("W_m")),
  "US gpm to m3/s": (i) => parsed("flow", `${i("gpm")} gpm`),
  "in w.c. (conventional) to Pa": (i) => parsed("gauge-pressure", `${i("inwc")} inH2O`),
  "refrigeration ton to W": (i) => parsed("cooling-capacity", `${i("ton")} ton`),
};

/** Half of the last digit that the table prints: rounded to eight figures (a last zero is not printed), where some rows ask for more. */
const lastDigit = (expected: number): number => {
  if (expected === 0) return 0;
  const [digits = "", exponent = "0"] = expected.toExponential().split("e");
  const figures = digits.replace(/[^0-9]/g, "").length;
  return figures < 7 ? 0 : 0.5 * 10 ** (Number(exponent) - figures + 1);
};

describe("check values of the physics", () => {
  it("has every row from A001 to A161 once", () => {
    expect(CHECK_VALUES.map(({ id }) => id)).toEqual(
      Array.from({ length: 161 }, (_, index) => `A${String(index + 1).padStart(3, "0")}`),
    );
  });

  it.each(
    CHECK_VALUES.map((row) => {
      const how = row.tolerance === null ? "exactly" : `within ${row.tolerance.join(" ")}`;
      const said = `${row.id} ${row.quantity} ${JSON.stringify(row.inputs)} ${how} [${row.source}; confidence ${row.confidence}]`;
      return [said, row] as const;
    }),
  )("%s", (_name, row) => {
    const answer = answers[row.quantity];
    expect(answer, `no formula answers "${row.quantity}"`).toBeDefined();
    const inputs: Inputs = (name) => {
      const value = row.inputs[name];
      if (typeof value !== "number") throw new Error(`${row.id} has no number ${name}`);
      return value;
    };
    const result = answer!(inputs, row);
    const said = `${row.id}: ${row.how} [${row.source}; confidence ${row.confidence}], ${row.unit}`;
    if (row.tolerance === null || typeof row.expected !== "number") {
      expect(result, said).toBe(row.expected);
      return;
    }
    const [kind, size] = row.tolerance;
    const allowed = Math.max(kind === "rel" ? size * Math.abs(row.expected) : size, lastDigit(row.expected));
    expect(Math.abs((result as number) - row.expected), `${said}: ${result}`).toBeLessThanOrEqual(allowed);
  });
});
