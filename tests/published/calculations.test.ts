// The check values of the physics, asked of the single calculations that a caller can ask.
import { describe, expect, it } from "vitest";
import { calculate } from "../../src/core/calculations/calculate.js";
import { CHECK_VALUES, type CheckValue } from "./check-values.js";

const GRAVITY = 9.80665;
const GPM = 6.30901964e-5;
const KILOGRAMS_AN_HOUR = 3600;

type Answer = Record<string, number | string | boolean | null> & {
  readonly continuous: Record<string, number>;
};
const answer = (name: string, inputs: object) => {
  const made = calculate(name, inputs);
  if (!made.ok) throw new Error(JSON.stringify(made.problems));
  return made.calculation;
};
const result = (name: string, inputs: object): Answer => answer(name, inputs).result as unknown as Answer;

/** Inputs of a row, by name, as numbers. */
type Inputs = (name: string) => number;

/** Any grade and roughness, where a row asks for geometry or critical flow alone. */
const ANY = { grade: 0.01, manningN: 0.01 } as const;

const filledTo = (i: Inputs) =>
  result("pipe-capacity", { insideDiameter: i("D_m"), fillRatio: i("y_m") / i("D_m"), ...ANY });
const byManning = (i: Inputs) =>
  result("pipe-capacity", { insideDiameter: i("D_m"), fillRatio: i("y_over_D"), grade: i("slope"), manningN: i("n") });
const ofFlow = (i: Inputs) =>
  result("pipe-capacity", { insideDiameter: i("D_m"), flow: i("Q_m3s"), grade: i("slope"), manningN: i("n") });
const trickle = (i: Inputs) =>
  answer("pipe-capacity", {
    insideDiameter: i("D_m"),
    flow: i("Q_m3s"),
    grade: i("slope"),
    roughness: 0,
    viscosity: i("nu_m2s"),
  });
const riser = (i: Inputs) => result("riser-capacity", { insideDiameter: `${i("d_in")} in`, flow: `${i("q_gpm")} gpm` });

/** A pan whose suction is that many meters of water. */
const suction = (head: number) => ({
  panStatic: -head * 1000 * GRAVITY,
  waterDensity: 1000,
});
const draws = (head: number, more: object = {}) =>
  result("trap", { ...suction(head), fanPosition: "draw-through", ...more });
const legs = (i: Inputs) => ({ inletArea: i("A_in"), outletArea: i("A_out") });

const lockedAir = (row: CheckValue, head: number, spill = 1) =>
  result("air-lock", { ...suction(head), sealDepths: row.inputs.seals_m, toOutlet: 0, toSpill: spill });

const sag = (i: Inputs, more: object = {}) =>
  result("support-sag", {
    outsideDiameter: i("OD_m"),
    wall: i("wall_m"),
    density: i("rho_pipe"),
    modulus: i("E_Pa"),
    waterDensity: i("rho_water"),
    ...more,
  });
const spanned = (i: Inputs) => sag(i, { span: i("span_m"), fill: i("fill") });

const coldPipe = (i: Inputs, thickness = 0) =>
  result("surface-condensation", {
    air: { dryBulb: i("t_air_C"), relativeHumidity: i("rh") },
    pipeTemperature: i("t_pipe_C"),
    outsideDiameter: `${i("od_mm")} mm`,
    conductivity: i("k"),
    filmCoefficient: i("h"),
    thickness,
    margin: 0,
  });
const air = (i: Inputs) => result("moist-air", { dryBulb: i("t_C"), relativeHumidity: i("rh"), pressure: i("p_Pa") });

const volume = (insideDiameter: number, length: number, grade: number, levelAboveLowInvert: number) =>
  result("pipe-volume", { insideDiameter, length, grade, levelAboveLowInvert }).volume as number;

/** Depth over bore and flow over full flow at which a pipe carries most, searched by asking for one depth after another. */
const greatest = (): { readonly fill: number; readonly ratio: number } => {
  const flow = (fillRatio: number) =>
    result("pipe-capacity", { insideDiameter: 0.05, fillRatio, ...ANY }).flow as number;
  let [low, high] = [0.8, 1];
  while (high - low > 1e-7) {
    const third = (high - low) / 3;
    if (flow(low + third) < flow(high - third)) low += third;
    else high -= third;
  }
  return { fill: low, ratio: flow(low) / flow(1) };
};

/** How the calculations answer each quantity of the table. */
const answers: Readonly<Record<string, (i: Inputs, row: CheckValue) => unknown>> = {
  "flow area of part-full circle": (i) => filledTo(i).area,
  "hydraulic radius of part-full circle": (i) => filledTo(i).hydraulicRadius,
  "Manning flow": (i) => byManning(i).flow,
  "Manning velocity": (i) => byManning(i).velocity,
  "normal depth (Manning)": (i) => (ofFlow(i).overCapacity ? "over-capacity" : ofFlow(i).depth),
  "critical depth": (i) =>
    result("pipe-capacity", { insideDiameter: i("D_m"), flow: i("Q_m3s"), ...ANY }).criticalDepth,
  "Froude number at normal depth": (i) => ofFlow(i).froude,
  "y/D of maximum Manning flow (constant n)": () => greatest().fill,
  "Qmax/Qfull": () => greatest().ratio,
  "part-full flow, Colebrook-White": (i) =>
    result("pipe-capacity", {
      insideDiameter: i("D_m"),
      fillRatio: i("y_over_D"),
      grade: i("slope"),
      roughness: i("k_m"),
      viscosity: i("nu_m2s"),
    }).flow,
  "normal depth, laminar trickle (f=64/Re)": (i) => trickle(i).result.depth,
  "Reynolds number (Dh=4R) of that flow": (i) =>
    trickle(i).working.find(({ name }) => name === "laminarReynolds")?.value,
  "stack capacity": (i) =>
    (result("riser-capacity", { insideDiameter: `${i("d_in")} in`, fraction: i("r") }).flow as number) / GPM,
  "terminal velocity": (i) => (riser(i).terminalVelocity as number) / 0.3048,
  // the flow at which a 2 in riser has that velocity, V = 3.0 (q/d)^0.4
  "terminal length": (i) =>
    (riser((name) => (name === "d_in" ? 2 : 2 * (i("vt_fps") / 3) ** 2.5)).terminalLength as number) / 0.3048,
  "level difference across trap": (i) =>
    result("trap", { panStatic: -i("dp_Pa"), fanPosition: "draw-through", waterDensity: i("rho") }).head,
  "fall of outlet leg when suction is applied to a rest-full trap": (i) => draws(i("H_m"), legs(i)).outletLegFall,
  "suction head that breaks a seal with no make-up water": (i) =>
    draws(0.01, { ...legs(i), sealDepth: i("seal_m") }).breakingHead,
  "draw-through: min drop pan outlet -> outlet weir": (i) => draws(i("H_m"), { margin: i("margin_m") }).dropNeeded,
  // the fall and a margin; the calculation's own sealNeeded is half of the drop
  "draw-through: min seal, equal legs": (i) => (draws(i("H_m")).outletLegFall as number) + i("margin_m"),
  "blow-through: min seal": (i) =>
    result("trap", {
      panStatic: i("H_m") * 1000 * GRAVITY,
      waterDensity: 1000,
      fanPosition: "blow-through",
      margin: i("margin_m"),
    }).sealNeeded,
  "draw-through: seal left in outlet leg after evaporation loss, fan started, equal legs": (i) =>
    i("seal_m") - i("evap_loss_m") - (draws(i("H_m")).outletLegFall as number),
  "standing water depth in draw-through pan, fan on": (i) =>
    draws(i("H_m"), { drop: i("drop_pan_outlet_to_weir_m") }).panStanding,
  "surge volume released when that fan stops": (i) =>
    i("A_pan_m2") * (draws(i("H_m"), { drop: i("drop_m") }).panStanding as number),
  "pan water level above trap outlet weir needed to push flow through unvented downstream seals (rigid gas)": (
    i,
    row,
  ) => lockedAir(row, i("H_suction_m")).needed,
  "air-locked? (spill level below required level)": (i, row) =>
    lockedAir(row, i("H_suction_m"), i("z_spill_m") - i("z_weir_m")).outcome === "overflows",
  "pocket back-pressure head with isothermal compressibility": (i) =>
    result("air-lock", {
      sealDepths: [i("seal_m")],
      toOutlet: 0,
      toSpill: 1,
      gasLength: i("gas_length_m"),
      insideDiameter: i("D_m"),
      waterDensity: i("rho"),
    }).neededCompressible,
  "standing water in a V sag": (i) =>
    volume(i("bore_m"), i("L1_m"), i("sag_m") / i("L1_m"), i("sag_m")) +
    volume(i("bore_m"), i("L2_m"), i("sag_m") / i("L2_m"), i("sag_m")),
  "volume in sloping pipe below level": (i) => volume(i("D_m"), i("L_m"), i("slope_tan"), i("z_above_low_invert_m")),
  "volume in riser": (i) =>
    result("pipe-volume", {
      insideDiameter: i("D_m"),
      length: 10,
      vertical: true,
      levelAboveLowInvert: i("height_m"),
    }).volume,
  "midspan deflection, simple span": (i) => spanned(i).deflection,
  "midspan deflection, fixed-ended span": (i) => spanned(i).continuous.deflection,
  "minimum installed fall so that no local reverse fall, simple span": (i) => {
    expect(spanned(i).endSlope).toBe(spanned(i).minimumGrade);
    return spanned(i).minimumGrade;
  },
  "minimum installed fall so that no local reverse fall, fixed-ended span": (i) => spanned(i).continuous.minimumGrade,
  "maximum simple span for fall": (i) => sag(i, { span: 1, grade: i("slope") }).maximumSpan,
  "dew point": (i, row) =>
    "t_air_C" in row.inputs
      ? result("moist-air", { dryBulb: i("t_air_C"), relativeHumidity: i("rh") }).dewPoint
      : air(i).dewPoint,
  "min insulation thickness, no margin": (i) => 1000 * (coldPipe(i).thicknessNeeded as number),
  "surface temperature with 13 mm": (i) => coldPipe(i, i("thickness_mm") / 1000).surfaceTemperature,
  "humidity ratio": (i) => air(i).humidityRatio,
  "wet bulb": (i) => air(i).wetBulb,
  enthalpy: (i) => (air(i).enthalpy as number) / 1000,
  "specific volume": (i) => air(i).specificVolume,
  "condensate rate from air states": (i) =>
    KILOGRAMS_AN_HOUR *
    (result("condensate-load", {
      airflow: i("V_m3s"),
      enteringAir: { dryBulb: i("t1_C"), relativeHumidity: i("rh1") },
      leavingAir: { dryBulb: i("t2_C"), relativeHumidity: i("rh2") },
      pressure: i("p_Pa"),
    }).massFlow as number),
  "condensate from total capacity and SHR": (i) =>
    KILOGRAMS_AN_HOUR *
    (result("condensate-load", {
      coolingCapacity: i("Q_kW") * 1000,
      sensibleHeatRatio: i("SHR"),
      latentHeat: `${i("hfg_kJkg")} kJ/kg`,
    }).massFlow as number),
  "US gpm to m3/s": (i) => answer("riser-capacity", { insideDiameter: 0.1, flow: `${i("gpm")} gpm` }).inputs.flow,
  "in w.c. (conventional) to Pa": (i) =>
    answer("trap", { panStatic: `${i("inwc")} inH2O`, fanPosition: "blow-through" }).inputs.panStatic,
  "refrigeration ton to W": (i) =>
    answer("condensate-load", { coolingCapacity: `${i("ton")} ton`, sensibleHeatRatio: 1 }).inputs.coolingCapacity,
};

/** Quantities that no single calculation gives. */
const UNASKED: ReadonlySet<string> = new Set([
  // here fan pressure does not help against locked air, since the fan may be off
  "pan level above trap weir needed, blow-through pan (negative suction head), unvented downstream seals",
  "U-tube natural period, frictionless, equal legs",
  "evaporation rate through still-air leg (Stefan)",
  "dry-out time one open leg",
  "which opening spills first on a rising level pool (z rim m, local gauge Pa)",
  "pool level at first spill (outlet at atmospheric)",
  "seal depth of a sag",
  "air gap left over standing water in a sag",
  "time to spill",
  "standard pressure",
  "water density 0.1 MPa",
  "water dynamic viscosity",
  "latent heat",
  "time to overflow",
  "highest float trip level above pan floor",
]);

/** Half of the last digit that the table prints. */
const lastDigit = (expected: number): number => {
  if (expected === 0) return 0;
  const [digits = "", exponent = "0"] = expected.toExponential().split("e");
  const figures = digits.replace(/[^0-9]/g, "").length;
  return figures < 7 ? 0 : 0.5 * 10 ** (Number(exponent) - figures + 1);
};

describe("check values, by the calculations", () => {
  it("each quantity is either asked of a calculation or named as one that none gives", () => {
    const quantities = new Set(CHECK_VALUES.map(({ quantity }) => quantity));
    expect([...Object.keys(answers), ...UNASKED].sort()).toEqual([...quantities].sort());
  });

  const asked = CHECK_VALUES.filter(({ quantity }) => !UNASKED.has(quantity));
  it.each(
    asked.map((row) => [`${row.id} ${row.quantity} ${JSON.stringify(row.inputs)} [${row.source}]`, row] as const),
  )("%s", (_said, row) => {
    const inputs: Inputs = (name) => {
      const value = row.inputs[name];
      if (typeof value !== "number") throw new Error(`${row.id} has no number ${name}`);
      return value;
    };
    const made = answers[row.quantity](inputs, row);
    if (row.tolerance === null || typeof row.expected !== "number") {
      expect(made).toBe(row.expected);
      return;
    }
    const [kind, size] = row.tolerance;
    const allowed = Math.max(kind === "rel" ? size * Math.abs(row.expected) : size, lastDigit(row.expected));
    expect(Math.abs((made as number) - row.expected), `${row.id}: ${made}`).toBeLessThanOrEqual(allowed);
  });
});
