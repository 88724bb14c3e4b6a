import {
  cleanManningN,
  MATERIAL_IDS,
  type MaterialId,
  sizeNameOf,
  sizesOf,
  bore as tableBore,
} from "../materials/materials.js";
import { nominalClass } from "../materials/nominal-class.js";
import { flowArea, hydraulicRadius, wettedAngle } from "../physics/circle.js";
import { manningFlow } from "../physics/part-full-flow.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { profileById, profiles } from "../profiles/profiles.js";
import { sizeByTable } from "../profiles/size-by-table.js";
import { sizeName } from "../quantity/sizes.js";
import { defineCalculation, figure, line, optional, otherwiseBy, type Sheet, word } from "./calculation.js";

/** The hydraulics of the least size of a material that carries a flow; null where none does. */
const leastSize = (
  sheet: Sheet,
  material: MaterialId,
  carries: (bore: number) => number,
  {
    flow,
    fill,
    grade,
    n,
  }: { readonly flow: number; readonly fill: number; readonly grade: number; readonly n: number },
): number | null => {
  const sizes = sizesOf(material);
  sheet.line("sizesInTable", String(sizes.length), sizes.length);
  const place = sizes.findIndex((size) => flow <= carries(tableBore(material, size)) * (1 + 1e-9));
  if (place < 0) return null;
  const bore = tableBore(material, sizes[place]);
  sheet.line("bore", String(bore), bore);
  sheet.line("depth", "f D", fill * bore);
  sheet.line("wettedAngle", "2 acos(1 − 2 y ÷ D)", wettedAngle(bore, fill * bore));
  sheet.line("area", "D² (θ − sin(θ)) ÷ 8", flowArea(bore, fill * bore));
  sheet.line("hydraulicRadius", "2 A ÷ (D θ)", hydraulicRadius(bore, fill * bore));
  const capacity = sheet.line("capacity", "A R^(2/3) √(S) ÷ n", manningFlow(bore, fill * bore, grade, n));
  if (capacity > 0) sheet.line("utilization", "Q ÷ Q_cap", flow / capacity);
  if (place > 0) {
    const smaller = tableBore(material, sizes[place - 1]);
    sheet.line("smallerBore", String(smaller), smaller);
    sheet.line("smallerCapacity", "Q_cap (D_b ÷ D)^(8/3)", carries(smaller));
  }
  return sizes[place];
};

const tableRows = (profile: Profile) => profile.codeTable?.rows ?? [];

export const pipeSize = defineCalculation({
  id: "pipe-size",
  title: "Size of a condensate drain",
  question: "Which size do the code's table and hydraulics ask for?",
  inputs: {
    connectedCapacity: optional(
      figure("cooling-capacity", "C", [0, 1e9], "Cooling capacity of all coils that drain into the pipe."),
    ),
    flow: otherwiseBy(
      figure("flow", "Q", [0, 10], "Flow to be carried."),
      "the profile's rule of thumb times connectedCapacity",
      "three-pints-per-hour",
    ),
    grade: figure("grade", "S", [0, 1000], "Fall over run in the direction of flow."),
    material: word(MATERIAL_IDS, "Material of the pipe, which gives its table of bores."),
    profile: word(
      profiles.map(({ id }) => id),
      "Code profile: its table, greatest fill, least Manning's n.",
    ),
  },
  figures: {
    ratePerCapacity: line("flow-per-capacity", "q", "Rule of thumb of the profile."),
    designFlow: line("flow", "Q", "Flow to be carried."),
    fill: line("ratio", "f", "Greatest depth over bore of the profile."),
    profileN: line("ratio", "n_p", "Least Manning's n of the profile."),
    materialN: line("ratio", "n_m", "Manning's n of the clean pipe."),
    manningN: line("ratio", "n", "Manning's n taken."),
    sizesInTable: line("count", "N", "Sizes in the material's table of bores."),
    bore: line("dimension", "D", "Mean bore of the hydraulic size."),
    depth: line("dimension", "y", "Greatest depth in it."),
    wettedAngle: line("ratio", "θ", "Central angle of the wetted arc, rad."),
    area: line("area", "A", "Area of the water."),
    hydraulicRadius: line("dimension", "R", "Area over wetted perimeter."),
    capacity: line("flow", "Q_cap", "What it carries at that depth."),
    utilization: line("ratio", "u", "Flow over capacity."),
    smallerBore: line("dimension", "D_b", "Bore of the next smaller size."),
    smallerCapacity: line("flow", "Q_b", "What that would carry."),
    lastRow: line("cooling-capacity", "C_last", "Last row of the code's table."),
    tableShare: line("ratio", "c", "Connected capacity over the last row of the code's table."),
    requiredNumber: line("count", "N_req", "DN of the required size."),
    leastNumber: line("count", "N_least", "DN of the profile's least size."),
    sizeReserve: line("count", "N_over", "Required size over the least size, DN."),
  },
  results: {
    codeSize: {
      type: "size",
      meaning: "Nominal size of the code's table.",
      orNull: "where connectedCapacity is not given or 0, the profile has no table, or the table ends below it",
    },
    hydraulicSize: {
      type: "size",
      meaning: "Least size of the material that carries the flow at the profile's greatest fill.",
      orNull: "where no size in the material's table does",
    },
    requiredSize: {
      type: "size",
      meaning:
        "The larger of both as a nominal size; a metric plastic stands for the nominal size that its bore reaches.",
      orNull: "where hydraulics give none, or the capacity is beyond the table of a profile that leaves it open",
    },
  },
  formula:
    "codeSize: row of the table whose upper bound first reaches C. hydraulicSize: least size with Q ≤ A R^(2/3) √S ÷ n at the greatest fill f, n = max(n_p, n_m). requiredSize: the larger.",
  sources: ["imc-table-307.2.2", "upc-814.3", "manning", "manning-condensate-n"],
  validity: [
    {
      figure: "tableShare",
      greatest: 1,
      condition: "The code's table reaches to the connected capacity; beyond, it says nothing.",
      source: "imc-table-307.2.2",
    },
    {
      figure: "sizesInTable",
      least: 1,
      condition: "A table of bores of the material is at hand.",
      source: "derived",
    },
    {
      figure: "sizeReserve",
      least: 0,
      condition: "The size is not below the least that the profile allows any condensate drain.",
      source: "imc-307.2.2",
    },
    {
      figure: "grade",
      least: 1e-9,
      condition: "The pipe falls.",
      source: "imc-307.2.1",
    },
    {
      figure: "grade",
      greatest: 0.04,
      condition: "The cosine of the slope may be neglected (under 0.1 %).",
      source: "derived",
    },
  ],
  premises: [
    "A sloping pipe; risers are sized by the flow down a riser.",
    "No pan outlet and no drain upstream is larger: a drain never gets smaller downstream.",
    "Uniform, turbulent flow; a trickle of a few liters an hour runs deeper than Manning's n says, which no size hinges on.",
  ],
  example: { connectedCapacity: "30 ton", grade: "1/8 in/ft", material: "pvc-sch40", profile: "imc" },
  check({ connectedCapacity, flow }, tell) {
    if (connectedCapacity === null && flow === null)
      tell("", "missing-field", "neither connectedCapacity nor flow is given", "give one of them, or both");
  },
  work(given, sheet) {
    const { connectedCapacity, grade } = given;
    const material = given.material;
    const profile = profileById(given.profile)!;
    const [fill, leastN, thumb, least] = (
      ["capacity.maximumFill", "capacity.manningN", "load.ratePerCapacity", "size.minimum"] as const
    ).map((name) => limitOf(profile, name));

    const rows = tableRows(profile);
    const last = rows.at(-1);
    let codeSize: number | null = null;
    if (connectedCapacity === null) {
      if (last !== undefined)
        sheet.assume(
          "codeTable",
          null,
          "connectedCapacity is not given, so the code's table is not asked",
          "assumption",
        );
    } else if (last !== undefined) {
      sheet.line("lastRow", String(last.upTo), last.upTo);
      sheet.line("tableShare", "C ÷ C_last", connectedCapacity / last.upTo);
      const size = sizeByTable(profile.codeTable!, connectedCapacity);
      codeSize = size > 0 ? size : null;
    }
    const beyondTable = connectedCapacity !== null && connectedCapacity > 0 && last !== undefined && codeSize === null;

    let flow = given.flow;
    if (flow === null) {
      const rate = sheet.line("ratePerCapacity", String(thumb.value), thumb.value);
      flow = sheet.line("designFlow", "q C", rate * connectedCapacity!);
      sheet.assume("flow", flow, "the profile's rule of thumb for the connected capacity", thumb.source);
    } else sheet.line("designFlow", "Q", flow);
    sheet.line("fill", String(fill.value), fill.value);
    sheet.line("profileN", String(leastN.value), leastN.value);
    const clean = sheet.line("materialN", String(cleanManningN(material)), cleanManningN(material));
    const n = sheet.line("manningN", "max(n_p, n_m)", Math.max(leastN.value, clean));
    const hydraulicSize = leastSize(sheet, material, (bore) => manningFlow(bore, fill.value * bore, grade, n), {
      flow,
      fill: fill.value,
      grade,
      n,
    });

    const byFlow =
      hydraulicSize === null
        ? Number.NaN
        : nominalClass(material, hydraulicSize, tableBore(material, hydraulicSize), profile.nominalEquivalents.rows);
    const isOpen = beyondTable && profile.aboveTable === "undetermined";
    const required = isOpen ? Number.NaN : Math.max(codeSize ?? 0, byFlow);
    if (!Number.isNaN(required)) {
      sheet.line("requiredNumber", String(required), required);
      sheet.line("leastNumber", String(least.value), least.value);
      sheet.line("sizeReserve", "N_req − N_least", required - least.value);
    }
    const named = (size: number): string => sizeNameOf(size, material, profile.sizeSystem);
    return {
      codeSize: codeSize === null ? null : sizeName(codeSize, profile.sizeSystem),
      hydraulicSize: hydraulicSize === null ? null : named(hydraulicSize),
      requiredSize: Number.isNaN(required) ? null : sizeName(required, profile.sizeSystem),
    };
  },
});
