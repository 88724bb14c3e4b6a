import { boreArea, flowArea, hydraulicRadius, topWidth, wettedAngle, wettedPerimeter } from "../physics/circle.js";
import {
  colebrookWhiteVelocity,
  criticalDepth,
  frictionGreatestFlow,
  frictionNormalDepth,
  froudeNumber,
  fullFlow,
  LAMINAR_REYNOLDS,
  laminarVelocity,
  MANNING_VALIDITY,
  manningVelocity,
  normalDepth,
  OVER_CAPACITY_RATIO,
  reynoldsNumber,
} from "../physics/part-full-flow.js";
import { kinematicViscosity } from "../physics/water.js";
import { defineCalculation, figure, line, optional, result, type Sheet } from "./calculation.js";

/** How the pipe resists: by Manning's n, or by roughness and viscosity. */
interface Resistance {
  /** V of a depth, and the lines that lead to it */
  readonly velocity: (sheet: Sheet, depth: number) => number;
  /** depth of a flow, the lower one; NaN where no depth carries it */
  readonly depth: (flow: number) => number;
  /** Q_max */
  readonly greatest: (sheet: Sheet) => number;
  /** how the depth of a flow is found */
  readonly balance: string;
}

const byManning = (diameter: number, grade: number, n: number): Resistance => ({
  velocity: (sheet, depth) => sheet.line("velocity", "R^(2/3) √(S) ÷ n", manningVelocity(diameter, depth, grade, n)),
  depth: (flow) => normalDepth(diameter, grade, n, flow),
  greatest: (sheet) => {
    const full = sheet.line("fullFlow", "π D² (D ÷ 4)^(2/3) √(S) ÷ (4 n)", fullFlow(diameter, grade, n));
    return sheet.line("greatestFlow", `${OVER_CAPACITY_RATIO} Q_full`, OVER_CAPACITY_RATIO * full);
  },
  balance: "such that Q = A R^(2/3) √(S) ÷ n, the lower depth",
});

const byFriction = (diameter: number, grade: number, roughness: number, viscosity: number): Resistance => ({
  velocity: (sheet, depth) => {
    const hydraulic = 4 * hydraulicRadius(diameter, depth);
    sheet.line("hydraulicDiameter", "4 R", hydraulic);
    const laminar = sheet.line(
      "laminarVelocity",
      "2 g Dh² S ÷ (64 ν)",
      laminarVelocity(diameter, depth, grade, viscosity),
    );
    const reynolds = sheet.line("laminarReynolds", "Dh V_lam ÷ ν", reynoldsNumber(diameter, depth, laminar, viscosity));
    if (reynolds < LAMINAR_REYNOLDS) {
      sheet.line("laminarFill", "y ÷ D", depth / diameter);
      return sheet.line("velocity", "V_lam", laminar);
    }
    const turbulent = sheet.line(
      "turbulentVelocity",
      "max(0, −2 √(2 g Dh S) log₁₀(k ÷ (3.71 Dh) + 2.51 ν ÷ (Dh √(2 g Dh S))))",
      colebrookWhiteVelocity(diameter, depth, grade, roughness, viscosity),
    );
    sheet.line("relativeRoughness", "k ÷ Dh", roughness / hydraulic);
    const velocity = sheet.line("velocity", "min(V_lam, V_turb)", Math.min(laminar, turbulent));
    sheet.line("turbulentReynolds", "Dh V ÷ ν", reynoldsNumber(diameter, depth, velocity, viscosity));
    return velocity;
  },
  depth: (flow) => frictionNormalDepth(diameter, grade, roughness, viscosity, flow),
  greatest: (sheet) =>
    sheet.line(
      "greatestFlow",
      "such that no depth carries more",
      frictionGreatestFlow(diameter, grade, roughness, viscosity),
    ),
  balance: "such that Q = A V, the least depth",
});

export const pipeCapacity = defineCalculation({
  id: "pipe-capacity",
  title: "Part-full flow in a sloping pipe",
  question: "How much does a pipe carry at a depth, or how deep and how fast does a flow run in it?",
  inputs: {
    insideDiameter: figure("dimension", "D", [1e-5, 2], "Bore of the pipe."),
    grade: figure("grade", "S", [0, 1000], "Fall over run in the direction of flow."),
    fillRatio: optional(figure("ratio", "f", [0, 1], "Depth of the water over the bore.")),
    flow: optional(figure("flow", "Q", [0, 10], "Flow to be carried.")),
    manningN: optional(figure("ratio", "n", [0.001, 1], "Manning's roughness, s/m^(1/3).")),
    roughness: optional(figure("dimension", "k", [0, 1], "Equivalent sand roughness; 0 for a smooth wall.")),
    viscosity: optional(figure("viscosity", "ν", [1e-8, 1e-2], "Kinematic viscosity of the water.")),
  },
  choices: [
    [{ needs: ["fillRatio"] }, { needs: ["flow"] }],
    [{ needs: ["manningN"] }, { needs: ["roughness", "viscosity"] }],
  ],
  figures: {
    filled: line("ratio", "f", "Depth of the water over the bore."),
    wettedAngle: line("ratio", "θ", "Central angle of the wetted arc, rad."),
    wettedPerimeter: line("dimension", "P", "Wetted perimeter."),
    topWidth: line("dimension", "T", "Width of the water's surface."),
    fullFlow: line("flow", "Q_full", "Flow of the full bore."),
    greatestFlow: line("flow", "Q_max", "Greatest flow that any depth carries."),
    utilization: line("ratio", "u", "Flow over the greatest flow."),
    hydraulicDiameter: line("dimension", "Dh", "Hydraulic diameter."),
    laminarVelocity: line("velocity", "V_lam", "Velocity if the flow is laminar."),
    laminarReynolds: line("ratio", "Re_lam", "Reynolds number if the flow is laminar."),
    laminarFill: line("ratio", "f_lam", "Depth over bore of the laminar flow."),
    turbulentVelocity: line("velocity", "V_turb", "Velocity if the flow is turbulent."),
    turbulentReynolds: line("ratio", "Re", "Reynolds number of the turbulent flow."),
    relativeRoughness: line("ratio", "k_r", "Roughness over hydraulic diameter."),
    waterViscosity: line("viscosity", "ν_w", "Kinematic viscosity of water at 10 °C."),
    reynolds: line("ratio", "Re_w", "Reynolds number of water at 10 °C."),
  },
  results: {
    area: result("area", "A", "Area of the water."),
    hydraulicRadius: result("dimension", "R", "Area over wetted perimeter."),
    flow: result("flow", "Q", "Flow."),
    velocity: result("velocity", "V", "Mean velocity."),
    depth: result("dimension", "y", "Depth above the invert; the bore where the pipe is over capacity."),
    criticalDepth: result("dimension", "y_c", "Critical depth of the flow."),
    froude: result("ratio", "Fr", "Froude number.", "for a dry or a full pipe, which has no free surface"),
    overCapacity: {
      type: "flag",
      meaning: "Whether the flow is more than any depth carries; the pipe then runs full.",
      orNull: null,
    },
  },
  formula:
    "Q = A V, A = D² (θ − sin θ) ÷ 8, R = A ÷ P. By Manning V = R^(2/3) √S ÷ n; by friction V = −2 √(2 g Dh S) log₁₀(k ÷ (3.71 Dh) + 2.51 ν ÷ (Dh √(2 g Dh S))) with Dh = 4 R, below Re 2300 V = 2 g Dh² S ÷ (64 ν). Of two depths the lower. Fr = V ÷ √(g A ÷ T), critical depth Q² T = g A³. g = 9.80665 m/s².",
  sources: ["manning", "colebrook-white", "open-channel-circle"],
  validity: [
    {
      figure: "utilization",
      greatest: 1,
      condition: "Some depth carries the flow.",
      source: "manning",
    },
    {
      figure: "filled",
      greatest: MANNING_VALIDITY.greatestDesignFill,
      condition: "The pipe keeps its air path; fuller, it may flip to full bore at any time.",
      source: "manning",
    },
    {
      figure: "reynolds",
      least: MANNING_VALIDITY.leastReynolds,
      condition: "Manning's n holds in turbulent flow; below, the water runs deeper and slower than this.",
      source: "manning",
    },
    {
      figure: "turbulentReynolds",
      least: MANNING_VALIDITY.leastReynolds,
      condition: "The flow is past the transition from laminar to turbulent, where no formula is sure.",
      source: "colebrook-white",
    },
    {
      figure: "relativeRoughness",
      greatest: 0.05,
      condition: "The wall's roughness is small against the section.",
      source: "colebrook-white",
    },
    {
      figure: "laminarFill",
      greatest: 0.5,
      condition: "Laminar flow with a free surface follows f = 64/Re within 3 % up to half full.",
      source: "derived",
    },
    {
      figure: "depth",
      least: 0.0027,
      condition: "The water is deeper than the capillary length; a shallower trickle runs as rivulets.",
      source: "derived",
    },
    {
      figure: "grade",
      greatest: 0.04,
      condition: "The cosine of the slope may be neglected (under 0.1 %).",
      source: "derived",
    },
  ],
  premises: ["Uniform, steady flow in a straight pipe of one bore and one grade, its air open to the atmosphere."],
  example: { insideDiameter: "2 in", grade: "1/4 in/ft", fillRatio: 0.5, manningN: 0.015 },
  work(given, sheet) {
    const { insideDiameter: diameter, grade } = given;
    const resistance =
      given.manningN !== null
        ? byManning(diameter, grade, given.manningN)
        : byFriction(diameter, grade, given.roughness!, given.viscosity!);
    const greatest = resistance.greatest(sheet);
    const asked = given.flow;
    let depth: number;
    let overCapacity = false;
    if (asked === null) {
      sheet.line("filled", "f", given.fillRatio!);
      depth = sheet.line("depth", "f D", given.fillRatio! * diameter);
    } else {
      sheet.line("flow", "Q", asked);
      overCapacity = asked > greatest;
      const found = asked === 0 ? 0 : overCapacity ? Number.NaN : resistance.depth(asked);
      // within a rounding of the greatest flow no depth may be found
      overCapacity ||= Number.isNaN(found);
      depth = overCapacity ? sheet.line("depth", "D", diameter) : sheet.line("depth", resistance.balance, found);
      sheet.line("filled", "y ÷ D", depth / diameter);
      const utilization = asked / greatest;
      if (Number.isFinite(utilization)) sheet.line("utilization", "Q ÷ Q_max", utilization);
    }
    sheet.line("wettedAngle", "2 acos(1 − 2 y ÷ D)", wettedAngle(diameter, depth));
    const area = sheet.line("area", "D² (θ − sin(θ)) ÷ 8", flowArea(diameter, depth));
    sheet.line("wettedPerimeter", "D θ ÷ 2", wettedPerimeter(diameter, depth));
    const radius = sheet.line("hydraulicRadius", depth > 0 ? "A ÷ P" : "0", hydraulicRadius(diameter, depth));
    let velocity: number;
    let flow: number;
    if (overCapacity) {
      flow = asked!;
      velocity = sheet.line("velocity", "Q ÷ A", flow / boreArea(diameter));
    } else {
      velocity = depth > 0 ? resistance.velocity(sheet, depth) : sheet.line("velocity", "0", 0);
      flow = asked ?? sheet.line("flow", "A V", area * velocity);
    }
    if (given.manningN !== null && depth > 0) {
      const viscosity = sheet.line("waterViscosity", String(kinematicViscosity(10)), kinematicViscosity(10));
      sheet.line("reynolds", "4 R V ÷ ν_w", reynoldsNumber(diameter, depth, velocity, viscosity));
    }
    const critical = sheet.line("criticalDepth", "such that Q² T = g A³", criticalDepth(diameter, flow));
    // a film so thin that its area is no number is dry
    const froude = froudeNumber(diameter, depth, flow);
    const hasSurface = Number.isFinite(froude);
    if (hasSurface) sheet.line("topWidth", "D sin(θ ÷ 2)", topWidth(diameter, depth));
    return {
      area,
      hydraulicRadius: radius,
      flow,
      velocity,
      depth,
      criticalDepth: critical,
      froude: hasSurface ? sheet.line("froude", "V ÷ √(g A ÷ T)", froude) : null,
      overCapacity,
    };
  },
});
