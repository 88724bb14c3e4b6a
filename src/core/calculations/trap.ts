import { headOf, PAN_AT_ATMOSPHERE } from "../physics/constants.js";
import {
  breakingHead,
  dropForSuction,
  outletLegFall,
  panStanding,
  sealByHalfDrop,
  sealForPressure,
} from "../physics/trap-statics.js";
import { imc } from "../profiles/imc.js";
import { limitOf } from "../profiles/profile.js";
import { defineCalculation, figure, line, optional, otherwiseBy, result, word } from "./calculation.js";
import { LIQUID_WATER, waterDensity } from "./water.js";

/** Margins of practice; the profiles do not differ in them. */
const MARGIN = {
  "draw-through": limitOf(imc, "trap.drawThroughMargin"),
  "blow-through": limitOf(imc, "trap.blowThroughMargin"),
} as const;

/** The same figure with the other sign, as the caller writes it. */
const otherSign = (raw: unknown): string => {
  if (typeof raw === "number") return `${-raw}`;
  const [, sign, rest] = /^\s*([-−‐‑‒–+]?)\s*(.*)$/su.exec(String(raw)) ?? [];
  return JSON.stringify(sign === "" || sign === "+" ? `-${rest}` : rest);
};

export const trap = defineCalculation({
  id: "trap",
  title: "Water seal of a fan coil",
  question: "How far must the pan outlet stand over the trap's weir, and how deep must its seal be, against the fan?",
  inputs: {
    panStatic: figure(
      "gauge-pressure",
      "p",
      [-100_000, 100_000],
      "Gauge pressure at the pan with the fan at its highest speed and the filter at its final resistance; negative under suction.",
    ),
    fanPosition: word(["draw-through", "blow-through"], "Whether the fan stands after the coil or before it."),
    sealDepth: optional(figure("dimension", "S", [0, 2], "Depth of the seal, weir to crown of the dip.")),
    drop: optional(figure("dimension", "d", [-2, 2], "Invert of the pan outlet above the trap's outlet weir.")),
    inletArea: optional(figure("area", "A_in", [1e-9, 1000], "Area of the water surface in the inlet leg.")),
    outletArea: optional(figure("area", "A_out", [1e-9, 1000], "Area of the water surface in the outlet leg.")),
    margin: otherwiseBy(
      figure("dimension", "m", [0, 1], "Margin of practice on drop and seal."),
      "25.4 mm (1 in) where the fan draws, 12.7 mm (1/2 in) where it blows",
      MARGIN["draw-through"].source,
    ),
    waterDensity,
  },
  figures: {
    fanPressure: line("gauge-pressure", "Δp", "Size of the pan's pressure."),
    inletShare: line("ratio", "a", "Share of the inlet leg in the area of both legs."),
    sealReserve: line("dimension", "s", "Seal needed beyond the fall of the outlet leg at start."),
  },
  results: {
    head: result("dimension", "H", "Head of water of the pan's pressure."),
    dropNeeded: result("dimension", "d_n", "Drop needed from pan outlet to weir."),
    sealNeeded: result("dimension", "S_n", "Seal needed."),
    outletLegFall: result(
      "dimension",
      "x",
      "Fall of the outlet leg when the fan starts on a full trap at rest; 0 under fan pressure, which pushes water over the weir.",
    ),
    breakingHead: result(
      "dimension",
      "H_b",
      "Head at which the seal breaks: under suction with no water to feed it, under fan pressure the seal itself.",
      "where no sealDepth is given",
    ),
    panStanding: result(
      "dimension",
      "h_p",
      "Water that stands in the pan while the fan runs; 0 under fan pressure.",
      "where no drop is given for a pan under suction",
    ),
  },
  formula:
    "H = |p| ÷ (ρ g). Under suction: drop H + m, seal half of that drop; outlet leg falls x = H A_in ÷ (A_in + A_out), seal breaks at S (1 + A_out ÷ A_in), pan holds max(0, H − d). Under fan pressure: drop m, seal H + m, seal breaks at S. g = 9.80665 m/s².",
  sources: ["hydrostatics", "trap-manuals"],
  validity: [
    {
      figure: "fanPressure",
      least: PAN_AT_ATMOSPHERE,
      condition: "The pan is not at atmosphere, where no seal against the fan is called for.",
      source: "assumption",
    },
    {
      figure: "sealReserve",
      least: 0,
      condition:
        "Half of the drop covers the fall of the outlet leg. Where the inlet leg is much the wider, it does not: take at least the fall and a margin.",
      source: "hydrostatics",
    },
    LIQUID_WATER,
  ],
  premises: [
    "The fan takes longer than about a second to come up; a sudden start can double the fall of the outlet leg.",
    "Friction of the draining water is neglected (under 1 mm in a clean trap).",
    "A manufacturer's stated drop or seal governs where it is greater.",
  ],
  example: { panStatic: "-250 Pa", fanPosition: "draw-through", sealDepth: "30 mm", drop: "2 in" },
  check({ panStatic, fanPosition, inletArea, outletArea }, tell, raw) {
    const draws = fanPosition === "draw-through";
    if (panStatic !== undefined && fanPosition !== undefined && (draws ? panStatic > 0 : panStatic < 0))
      tell(
        "/panStatic",
        "static-contradicts-fan",
        draws
          ? "a positive static on a draw-through unit, whose pan is under suction"
          : "a negative static on a blow-through unit, whose pan is under the fan's pressure",
        `write ${otherSign(raw.panStatic)} for a pan under ${draws ? "suction" : "fan pressure"}`,
      );
    // null: not given; undefined: given wrongly, which is told already
    if ((inletArea === null) !== (outletArea === null) && inletArea !== undefined && outletArea !== undefined)
      tell(
        inletArea === null ? "/inletArea" : "/outletArea",
        "missing-field",
        "the area of one leg alone says nothing",
        "give inletArea and outletArea, or neither where the legs are equal",
      );
  },
  work(given, sheet) {
    const { panStatic, fanPosition, sealDepth, drop, waterDensity: density } = given;
    const draws = fanPosition === "draw-through";
    const margin = given.margin ?? MARGIN[fanPosition].value;
    if (given.margin === null)
      sheet.assume("margin", margin, `margin of practice, ${fanPosition}`, MARGIN[fanPosition].source);
    const size = sheet.line("fanPressure", "|p|", Math.abs(panStatic));
    const head = sheet.line("head", "Δp ÷ (ρ g)", headOf(size, density));
    if (!draws) {
      return {
        head,
        dropNeeded: sheet.line("dropNeeded", "m", margin),
        sealNeeded: sheet.line("sealNeeded", "H + m", sealForPressure(head, margin)),
        outletLegFall: sheet.line("outletLegFall", "0", 0),
        breakingHead: sealDepth === null ? null : sheet.line("breakingHead", "S", sealDepth),
        panStanding: sheet.line("panStanding", "0", 0),
      };
    }
    const dropNeeded = sheet.line("dropNeeded", "H + m", dropForSuction(head, margin));
    const sealNeeded = sheet.line("sealNeeded", "d_n ÷ 2", sealByHalfDrop(dropNeeded));
    const [inlet, outlet] = [given.inletArea ?? 1, given.outletArea ?? 1];
    if (given.inletArea === null) sheet.assume("legs", null, "inlet and outlet leg equally wide", "assumption");
    sheet.line(
      "inletShare",
      given.inletArea === null ? "1 ÷ 2" : "A_in ÷ (A_in + A_out)",
      outletLegFall(1, inlet, outlet),
    );
    const fall = sheet.line("outletLegFall", "H a", outletLegFall(head, inlet, outlet));
    sheet.line("sealReserve", "S_n − x", sealNeeded - fall);
    return {
      head,
      dropNeeded,
      sealNeeded,
      outletLegFall: fall,
      breakingHead:
        sealDepth === null ? null : sheet.line("breakingHead", "S ÷ a", breakingHead(sealDepth, inlet, outlet)),
      panStanding: drop === null ? null : sheet.line("panStanding", "max(0, H − d)", panStanding(head, drop)),
    };
  },
});
