/**
 * The network document, format 1, as a schema: what fields exist, what each means and how much of each there may be.
 * Strict and bounded everywhere, and without anything that a JSON Schema cannot say (no refinement, transformation or
 * default), so that a validator compiled from the JSON Schema accepts exactly the same documents. What the fields say
 * together is judged in `read.ts`.
 */
import * as z from "zod";
import { CONNECTIONS, DISCHARGES } from "../profiles/outlets.js";

export const MAX_ID_LENGTH = 128;
export const MAX_QUANTITY_TEXT = 64;
/** Bounds of the lists. The service refuses by size long before; these bound what the library takes by itself. */
export const MAX_ELEMENTS = 2_000_000;
const MAX_FLOORS = 10_000;
const MAX_MEMBERS = 100_000;

export const NODE_KIND_NAMES = [
  "fan-coil",
  "trap",
  "junction",
  "bend",
  "reducer",
  "point",
  "vent",
  "cleanout",
  "pump",
  "outlet",
] as const;

export const ROLE_NAMES = ["drain", "vent", "secondary", "auxiliary", "pressure", "access"] as const;

export const MATERIAL_NAMES = [
  "pvc-sch40",
  "pvc-sch80",
  "pvc-dwv",
  "cpvc-cts",
  "copper-k",
  "copper-l",
  "copper-m",
  "copper-dwv",
  "abs-dwv",
  "cast-iron",
  "steel-galv",
  "pex",
  "pe-rt",
  "pvdf",
  "pvc-u-metric",
  "pp-metric",
  "pe-metric",
  "hose-smooth",
  "hose-corrugated",
] as const;

export const PROFILE_NAMES = ["imc", "upc", "metric"] as const;

// Ids are compared, listed and printed: no control or format characters (bidirectional overrides, zero-width marks), no
// lone surrogates, no line breaks, no blank at either end.
const ID = /^[^\p{Cc}\p{Cf}\p{Cs}\p{Z}](?:[^\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]{0,126}[^\p{Cc}\p{Cf}\p{Cs}\p{Z}])?$/u;
const LINE = /^[^\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]*$/u;
const NOTES = /^(?:[^\p{Cc}\p{Cs}\u202a-\u202e\u2066-\u2069]|[\t\n\r])*$/u;
const NETWORK_ID = /^[a-z0-9][a-z0-9._-]{0,127}$/;
const DATE = /^\d{4}-\d{2}-\d{2}(?:T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,9})?)?(?:Z|[+-]\d{2}:\d{2}))?$/;

export const id = (description: string, example: string) =>
  z
    .string()
    .regex(ID)
    .meta({ description, examples: [example], minLength: 1, maxLength: MAX_ID_LENGTH });
export const line = (description: string, example: string, max = 200) =>
  z
    .string()
    .max(max)
    .regex(LINE)
    .meta({ description, examples: [example] });
const flag = (description: string, example = true) => z.boolean().meta({ description, examples: [example] });
const typicalPart = () =>
  line(
    "Part of a typical detail that it was made from, `<typical>/<part>`; expansion writes it. Equal findings from one are one finding.",
    "two-bedroom/coil",
    3 * MAX_ID_LENGTH,
  );
export const word = <const T extends readonly [string, ...string[]]>(
  words: T,
  description: string,
  example: T[number],
) => z.enum(words).meta({ description, examples: [example] });
const number = (min: number, max: number, description: string, example: number) =>
  z
    .number()
    .min(min)
    .max(max)
    .meta({ description, examples: [example] });

const figure = (description: string, examples: readonly (number | string)[]) =>
  z.union([z.number(), z.string().max(MAX_QUANTITY_TEXT)]).meta({ description, examples: [...examples] });
/** A bare number in the document's unit system, or a string with its unit. */
const quantity = (description: string, si: string, us: string, ...examples: (number | string)[]) =>
  figure(`${description} A bare number is in ${si} (si) or ${us} (us).`, examples);

const lengthOf = (description: string, ...examples: (number | string)[]) =>
  quantity(description, "m", "ft", ...examples);
const dimensionOf = (description: string, ...examples: (number | string)[]) =>
  quantity(description, "mm", "in", ...examples);
const sizeOf = (description: string, ...examples: (number | string)[]) =>
  quantity(description, "DN", "NPS inches", ...examples);
const staticOf = (description: string, ...examples: (number | string)[]) =>
  quantity(description, "Pa", "inH2O", ...examples);
const flowOf = (description: string, ...examples: (number | string)[]) =>
  quantity(description, "L/h", "gal/h", ...examples);
const temperatureOf = (description: string, ...examples: (number | string)[]) =>
  quantity(description, "°C", "°F", ...examples);
const ratioOf = (description: string, ...examples: (number | string)[]) =>
  figure(`${description} A ratio from 0 to 1, or text with %.`, examples);

const above = lengthOf("Height above it, negative below.", 2.75);
const FloorLevel = z
  .strictObject({ floor: id("Id of the floor that the level is taken from.", "L4"), above })
  .meta({ description: "A level above or below a finished floor.", examples: [{ floor: "L4", above: 2.75 }] });
const NodeLevel = z
  .strictObject({ node: id("Id of the node that the level is taken from.", "M-04"), above })
  .meta({ description: "A level above or below another node.", examples: [{ node: "M-04", above: -0.06 }] });

/** A level of the document's datum, or relative to a floor or a node. */
const level = (description: string, ...examples: unknown[]) =>
  z.union([z.number(), z.string().max(MAX_QUANTITY_TEXT), FloorLevel, NodeLevel]).meta({
    description: `${description} A level of the document's datum (a bare number is in m (si) or ft (us)), or relative to a floor or another node.`,
    examples,
  });

const airState = (description: string) =>
  z
    .strictObject({
      dryBulb: temperatureOf("Dry-bulb temperature.", 24, "75 degF"),
      relativeHumidity: ratioOf("Relative humidity.", 0.55).optional(),
      wetBulb: temperatureOf("Wet-bulb temperature.", 17.9).optional(),
      dewPoint: temperatureOf("Dew-point temperature.", 14.4).optional(),
      humidityRatio: number(0, 1, "Humidity ratio, kg of water per kg of dry air.", 0.0103).optional(),
    })
    .meta({
      description: `${description} The dry bulb and exactly one of the other four.`,
      examples: [{ dryBulb: 24, relativeHumidity: 0.55 }],
    });

const zone = () => word(["private", "common"], "Who looks after it.", "common");
const owner = () => id("Id of the owner.", "association");
const material = (description: string) => word(MATERIAL_NAMES, description, "pvc-sch40");

const Floor = z
  .strictObject({
    id: id("Id of the floor.", "L4"),
    name: line("Name for people.", "Level 4").optional(),
    elevation: lengthOf("Finished floor level, in the document's datum.", 12.0),
  })
  .meta({ description: "A finished floor.", examples: [{ id: "L4", name: "Level 4", elevation: 12 }] });

const Owner = z
  .strictObject({ id: id("Id of the owner.", "association"), name: line("Name for people.", "Owners").optional() })
  .meta({ description: "Somebody who owns or looks after parts.", examples: [{ id: "association" }] });

const Site = z
  .strictObject({
    humid: flag("The outdoor air is humid for a good part of the year.").optional(),
    freezes: flag("Unheated places freeze.", false).optional(),
    idleDays: number(0, 3660, "Longest time in days without condensate (the dry or cool season).", 150).optional(),
    indoorAir: airState("Air of the conditioned rooms.").optional(),
    ceilingAir: airState("Air above the ceilings.").optional(),
    shaftAir: airState("Air in the shafts.").optional(),
    pressure: quantity("Atmospheric pressure at the site.", "Pa", "inHg", 101325).optional(),
    surveyTolerance: lengthOf(
      "Half-width of the interval in which each true elevation and invert lies. Absent: 0 in design, 3 mm later.",
      0.003,
      "1/8 in",
    ).optional(),
  })
  .meta({
    description: "What holds for the whole site. What is missing makes the rules that need it undetermined.",
    examples: [{ humid: true, freezes: false, idleDays: 150 }],
  });

const VentStub = z
  .strictObject({
    top: level("Level of the open end.", { floor: "L4", above: 3.1 }, { node: "J-4", above: 0.4 }),
    size: sizeOf("Nominal size. Absent: that of the drain.", 20, "3/4 in").optional(),
    opening: word(
      ["open", "screened", "admittance-valve"],
      "What closes the end. An admittance valve lets air in only. Absent: open.",
      "open",
    ).optional(),
    capped: flag("The end is capped. Absent: false.", false).optional(),
  })
  .meta({
    description: "A vent that rises plumb from this node, in one line: node and pipe `<node>/vent`.",
    examples: [{ top: { node: "J-4", above: 0.4 }, opening: "open" }],
  });

const CleanoutStub = z
  .strictObject({
    opening: dimensionOf("Height of its opening above the invert. Absent: one bore.", 80).optional(),
    size: sizeOf("Nominal size. Absent: that of the drain.", 20, "3/4 in").optional(),
    capped: flag("It is capped. Absent: true.", true).optional(),
  })
  .meta({
    description: "A cleanout that rises plumb from this node, in one line: node and pipe `<node>/cleanout`.",
    examples: [{ opening: 80, capped: true }],
  });

const placeFields = {
  floor: id("Id of the floor on which it is.", "L4").optional(),
  dwelling: id("The dwelling that is under the water if it appears here.", "0401").optional(),
  owner: owner().optional(),
  zone: zone().optional(),
  name: line("Name for people.", "Coil over the hall").optional(),
  x: lengthOf("Plan coordinate.", 12.4).optional(),
  y: lengthOf("Plan coordinate.", 3.1).optional(),
  tolerance: quantity(
    "Half-width of this level's interval instead of the site's, or `derived`: the node lies on the straight line between its neighbors and adds none.",
    "m",
    "ft",
    0.002,
    "derived",
  ).optional(),
  accessible: flag("It can be reached for work.").optional(),
  spillHarmless: flag("Spilling here does no harm. Absent: false.", false).optional(),
  fixed: flag("It cannot be re-hung (a sleeve, a slab, an existing main). Absent: false.", false).optional(),
  future: flag("A capped stub for later. Absent: false.", false).optional(),
  removable: flag("It comes apart by hand. Absent: false.", false).optional(),
  foreignDischarge: z
    .strictObject({
      what: line("What discharges here.", "Washing machine"),
      approved: flag("The authority having jurisdiction has approved it.", false).optional(),
    })
    .meta({
      description: "Something else than the condensate of a cooling coil that was found to discharge here.",
      examples: [{ what: "Washing machine", approved: false }],
    })
    .optional(),
  typical: typicalPart().optional(),
};
const stubFields = { cleanout: CleanoutStub.optional(), vent: VentStub.optional() };

const head = <const K extends (typeof NODE_KIND_NAMES)[number]>(kind: K, meaning: string) => ({
  id: id("Id of the node, unique among nodes.", "M-04"),
  kind: z.literal(kind).meta({ description: "What the node is.", examples: [kind] }),
  elevation: level(
    `${meaning} Left out only where a measured \`grade\` of a pipe fixes it.`,
    14.75,
    { floor: "L4", above: 2.75 },
    { node: "M-04", above: -0.06 },
  ).optional(),
  ...placeFields,
});

const Pan = z
  .strictObject({
    rimHeight: dimensionOf("Height of the pan's rim above the primary outlet invert.", 45).optional(),
    area: quantity("Area of the pan in plan.", "m²", "ft²", 0.6).optional(),
    outletSize: sizeOf("Nominal size of the primary outlet.", 20, "3/4 in").optional(),
    outletMaterial: material("Material of the outlet.").optional(),
    secondary: z
      .strictObject({
        height: dimensionOf("Height of its invert above the primary outlet invert.", 19).optional(),
        is: word(
          ["plugged", "open", "switch", "piped", "none"],
          "What is made of the second port; `none`: the pan has none.",
          "switch",
        ).optional(),
      })
      .meta({
        description: "The pan's second, higher port.",
        examples: [{ height: 19, is: "switch" }],
      })
      .optional(),
  })
  .meta({ description: "The drain pan.", examples: [{ rimHeight: 45, outletSize: 20 }] });

const AuxiliaryPan = z
  .strictObject({
    present: flag("There is an auxiliary pan under the unit.").optional(),
    floor: level("Level of the pan's floor.", { node: "F-0401", above: -0.2 }).optional(),
    depth: dimensionOf("Depth of the pan.", 50).optional(),
    overhang: dimensionOf("How far it reaches beyond the unit on each side.", 75).optional(),
    drain: word(["none", "piped"], "Whether it is drained.", "piped").optional(),
  })
  .meta({ description: "The auxiliary pan under the unit.", examples: [{ present: true, depth: 50, drain: "none" }] });

const FanCoilNode = z
  .strictObject({
    ...head("fan-coil", "Invert of the pan's primary outlet."),
    ...stubFields,
    unitType: word(
      ["ducted", "cassette", "wall", "heat-pump", "air-handler"],
      "What sort of unit it is.",
      "ducted",
    ).optional(),
    cooling: word(["chilled-water", "direct-expansion"], "What cools the coil.", "chilled-water").optional(),
    serves: id("The dwelling that it cools.", "0401").optional(),
    inService: flag("It runs. Absent: true.").optional(),
    coolingCapacity: quantity(
      "Total cooling capacity at design.",
      "kW",
      "tons of refrigeration",
      7.0,
      "2 ton",
    ).optional(),
    sensibleHeatRatio: ratioOf("Sensible share of the capacity.", 0.74).optional(),
    airflow: quantity("Air over the coil.", "m³/h", "ft³/min", 1200).optional(),
    enteringAir: airState("Air entering the coil.").optional(),
    leavingAir: airState("Air leaving the coil.").optional(),
    condensateRate: flowOf("Stated peak condensate.", 2.4, "0.6 gal/h").optional(),
    fanPosition: word(
      ["draw-through", "blow-through"],
      "Fan after the coil (pan under suction) or before it (pan under pressure).",
      "draw-through",
    ).optional(),
    panStatic: staticOf(
      "Gauge pressure at the pan with the fan at its highest speed and the filter at its final resistance; negative under suction.",
      -150,
      "-0.6 inH2O",
    ).optional(),
    pan: Pan.optional(),
    connectedPort: word(["primary", "secondary"], "The port that the drain is connected to.", "primary").optional(),
    location: word(
      ["ceiling", "closet", "attic", "rooftop", "mechanical-room"],
      "Where the unit stands or hangs.",
      "ceiling",
    ).optional(),
    auxiliaryPan: AuxiliaryPan.optional(),
    connection: z
      .strictObject({
        threadSealant: word(
          ["non-hardening", "hardening", "none"],
          "Sealant on the thread.",
          "non-hardening",
        ).optional(),
        cemented: flag("The connection is cemented.", false).optional(),
        handTight: flag("The fitting is hand-tight.").optional(),
      })
      .meta({ description: "How the drain is joined to the pan.", examples: [{ threadSealant: "non-hardening" }] })
      .optional(),
    trapRequirement: z
      .strictObject({
        drop: dimensionOf(
          "Height of the pan outlet over the trap's weir that the manufacturer asks for.",
          60,
        ).optional(),
        sealDepth: dimensionOf("Seal depth that the manufacturer asks for.", 50).optional(),
      })
      .meta({ description: "The manufacturer's own trap figures.", examples: [{ drop: 60, sealDepth: 50 }] })
      .optional(),
    internalPump: z
      .strictObject({
        lift: lengthOf("Lift of the pump.", 0.6).optional(),
        capacity: flowOf("Flow of the pump.", 14).optional(),
        checkValve: flag("A check valve stands in its discharge.").optional(),
        switch: flag("A high-level switch of the pump stops the unit.").optional(),
      })
      .meta({ description: "A condensate pump built into the unit.", examples: [{ lift: 0.6, capacity: 14 }] })
      .optional(),
    filterAccessClear: flag("Filter and service side are clear of pipes.").optional(),
  })
  .meta({
    description: "A coil with its drain pan.",
    examples: [{ id: "F-0401", kind: "fan-coil", elevation: 14.75, coolingCapacity: 7 }],
  });

const TrapNode = z
  .strictObject({
    ...head("trap", "Invert of its outlet weir."),
    ...stubFields,
    sealType: word(
      ["water", "waterless", "check-valve"],
      "What closes it; `waterless` is self-closing. Absent: water.",
      "water",
    ).optional(),
    sealDepth: dimensionOf("Weir to crown of the dip: the water that air must push out.", 50).optional(),
    inletDrop: dimensionOf(
      "Invert of the inlet above the weir; the pipe that enters ends there unless it has its own `toInvert`.",
      25,
    ).optional(),
    primed: flag("It is filled with water. Absent: true in design, later unknown.").optional(),
    inletLegSize: dimensionOf("Inside diameter of the inlet leg.", 21).optional(),
    outletLegSize: dimensionOf("Inside diameter of the outlet leg.", 21).optional(),
    opensAt: staticOf("Head of water at which a waterless seal or check valve opens.", 50).optional(),
    holds: staticOf("Pressure that a waterless seal or check valve holds in reverse.", 1000).optional(),
  })
  .meta({
    description: "A purpose-made seal.",
    examples: [{ id: "T-0401", kind: "trap", elevation: 14.67, sealDepth: 50 }],
  });

const JunctionNode = z
  .strictObject({
    ...head("junction", "Invert where the branches meet."),
    ...stubFields,
    fitting: word(["wye", "sanitary-tee", "tee", "cross"], "What fitting it is.", "wye").optional(),
  })
  .meta({ description: "Where branches meet.", examples: [{ id: "M-04", kind: "junction", elevation: 14.5 }] });

const BendNode = z
  .strictObject({
    ...head("bend", "Invert at the bend."),
    ...stubFields,
    angle: figure("Change of direction. A bare number is in degrees.", [90]).optional(),
  })
  .meta({ description: "A change of direction.", examples: [{ id: "B-1", kind: "bend", elevation: 14.5, angle: 90 }] });

const ReducerNode = z
  .strictObject({
    ...head("reducer", "Invert at the reducer."),
    ...stubFields,
    form: word(
      ["concentric", "flat-bottom", "flat-top"],
      "Which side runs through. Absent: flat-bottom.",
      "flat-bottom",
    ).optional(),
  })
  .meta({ description: "A change of size.", examples: [{ id: "R-1", kind: "reducer", elevation: 14.5 }] });

const PointNode = z.strictObject({ ...head("point", "Invert at the point."), ...stubFields }).meta({
  description: "A surveyed or drawn point on a run.",
  examples: [{ id: "P-1", kind: "point", elevation: 14.5 }],
});

const VentNode = z
  .strictObject({
    ...head("vent", "Level at which water would run out of it."),
    opening: word(
      ["open", "screened", "admittance-valve"],
      "What closes the end. An admittance valve lets air in only. Absent: open.",
      "open",
    ).optional(),
    capped: flag("The end is capped. Absent: false.", false).optional(),
  })
  .meta({ description: "An open end.", examples: [{ id: "V-1", kind: "vent", elevation: 15.2 }] });

const CleanoutNode = z
  .strictObject({
    ...head("cleanout", "Invert of the run there."),
    ...stubFields,
    opening: dimensionOf("Height of its opening above the invert. Absent: one bore.", 80).optional(),
    capped: flag("It is capped. Absent: true.").optional(),
  })
  .meta({
    description: "An access for cleaning, in the run or at its upper end.",
    examples: [{ id: "C-1", kind: "cleanout", elevation: 14.5, capped: true }],
  });

const PumpNode = z
  .strictObject({
    ...head("pump", "Invert of its inlet."),
    ...stubFields,
    liftTo: level("Level that it lifts to.", 16.2).optional(),
    capacity: flowOf("Flow at that lift.", 60).optional(),
    checkValve: flag("A check valve stands in its discharge.").optional(),
    interlocked: flag("A full sump stops the equipment that drains into it.").optional(),
    sump: z
      .strictObject({
        rim: level("Level of the sump's rim.", { node: "PU-1", above: 0.05 }).optional(),
        volume: quantity("Volume of the sump.", "L", "gal", 2).optional(),
        startLevel: level("Level at which it starts.", { node: "PU-1", above: -0.05 }).optional(),
        ventedTo: word(["room", "none"], "Where the sump breathes to.", "room").optional(),
      })
      .meta({ description: "The pump's sump.", examples: [{ volume: 2, ventedTo: "room" }] })
      .optional(),
  })
  .meta({ description: "A condensate pump.", examples: [{ id: "PU-1", kind: "pump", elevation: 2.1, capacity: 60 }] });

const OutletNode = z
  .strictObject({
    ...head("outlet", "Invert of the end of the pipe."),
    ...stubFields,
    discharge: word(DISCHARGES, "What it discharges to.", "floor-sink").optional(),
    connection: word(CONNECTIONS, "How it is connected.", "air-gap").optional(),
    airGap: dimensionOf("Height of the air gap.", 50).optional(),
    waterLevel: level("Level of standing water outside.", 0.1).optional(),
    receptor: z
      .strictObject({
        rim: level("Level of the receptor's rim.", { node: "O-1", above: -0.05 }).optional(),
        trapped: flag("The receptor has a trap of its own.").optional(),
        dwelling: id("The dwelling that it stands in.", "0101").optional(),
        spillHarmless: flag("Spilling there does no harm.", false).optional(),
        accessible: flag("It can be reached and seen.").optional(),
      })
      .meta({ description: "The receptor that it discharges to.", examples: [{ trapped: true, accessible: true }] })
      .optional(),
  })
  .meta({
    description: "Where a path ends.",
    examples: [{ id: "O-1", kind: "outlet", elevation: 0.3, discharge: "floor-sink", connection: "air-gap" }],
  });

export const NODE_OPTIONS = [
  FanCoilNode,
  TrapNode,
  JunctionNode,
  BendNode,
  ReducerNode,
  PointNode,
  VentNode,
  CleanoutNode,
  PumpNode,
  OutletNode,
] as const;

const Node = z.discriminatedUnion("kind", NODE_OPTIONS).meta({
  description: "A node of the network; `kind` says which fields it has.",
  examples: [{ id: "M-04", kind: "junction", elevation: 14.5 }],
});

const Pipe = z
  .strictObject({
    id: id("Id of the pipe, unique among pipes.", "P-14"),
    from: id("Id of the node that water is meant to leave (a vent pipe: the drain's node).", "T-0401"),
    to: id("Id of the node that water is meant to reach (a vent pipe: its open end).", "M-04"),
    size: sizeOf(
      "Nominal size; for the metric plastic materials the outside diameter in mm.",
      25,
      "1-1/4 in",
      "DN 32",
    ).optional(),
    material: material("What the pipe is made of.").optional(),
    insideDiameter: dimensionOf("Inside diameter where measured.", 26.1).optional(),
    length: lengthOf("Length along the pipe. Absent only where both ends have x and y.", 3.2).optional(),
    grade: quantity(
      "Measured grade, positive where it falls along the flow; fixes the end that has no elevation.",
      "a ratio",
      "in/ft",
      0.0104,
      "1/8 in/ft",
      "2 %",
    ).optional(),
    fromInvert: level("Level of the upper end where it is not that of its node.", {
      node: "M-04",
      above: 0.03,
    }).optional(),
    toInvert: level("Level of the lower end where it is not that of its node.", {
      node: "M-04",
      above: 0.03,
    }).optional(),
    role: word(
      ROLE_NAMES,
      "What the pipe is for: `secondary` leaves the pan's second port, `auxiliary` the auxiliary pan, `pressure` is a pump's discharge, `access` a stub to a cleanout. Absent: drain.",
      "drain",
    ).optional(),
    supportSpacing: lengthOf("Distance between supports; 0: carried all along.", 1.2).optional(),
    insulation: z
      .strictObject({
        thickness: dimensionOf("Thickness.", 13).optional(),
        conductivity: quantity("Thermal conductivity.", "W/(m·K)", "Btu·in/(h·ft²·°F)", 0.036).optional(),
        facing: line("Outer face.", "foil", 64).optional(),
      })
      .meta({
        description: "Insulation of the pipe. Absent: bare.",
        examples: [{ thickness: 13, conductivity: 0.036 }],
      })
      .optional(),
    space: word(
      ["conditioned", "ceiling", "shaft", "outdoors", "slab", "buried"],
      "The space that the pipe runs through; `slab`: cast in, `buried`: in the ground. Absent: ceiling.",
      "ceiling",
    ).optional(),
    zone: zone().optional(),
    owner: owner().optional(),
    flexible: flag(
      "It is a hose or another pipe that does not keep its line. Absent: true of hoses.",
      false,
    ).optional(),
    heatTraced: flag("It is kept from freezing by heat tracing. Absent: false.", false).optional(),
    lastCleaned: z
      .string()
      .max(40)
      .regex(DATE)
      .meta({ description: "Date of the last cleaning (RFC 3339).", examples: ["2026-03-14"] })
      .optional(),
    notes: z
      .string()
      .max(2000)
      .regex(NOTES)
      .meta({ description: "Remarks for people.", examples: ["Behind the pantry ceiling"] })
      .optional(),
    typical: typicalPart().optional(),
  })
  .meta({
    description: "A pipe between two nodes, drawn in the direction in which water is meant to flow.",
    examples: [{ id: "P-14", from: "T-0401", to: "M-04", size: 25, material: "pvc-sch40", length: 3.2 }],
  });

const OverflowDevice = z
  .strictObject({
    id: id("Id of the device, unique among devices.", "S-0401"),
    at: id("Id of the node that it watches.", "F-0401"),
    type: word(["float-switch", "water-sensor"], "What it is.", "float-switch"),
    seat: word(
      ["secondary-port", "primary-pan", "auxiliary-pan", "drain-line", "main"],
      "Where it sits.",
      "secondary-port",
    ).optional(),
    tripElevation: level("Level at which it trips.", 14.78).optional(),
    tripHeight: dimensionOf(
      "Height at which it trips, above the primary outlet invert on a coil, above the node's elevation elsewhere.",
      30,
    ).optional(),
    contact: word(["nc", "no"], "Contact: normally closed or normally open. Absent: nc.", "nc").optional(),
    state: word(["working", "jumpered", "failed", "untested"], "What is known of its working.", "working").optional(),
    latches: flag("It stays tripped until somebody resets it.", false).optional(),
    circuit: id("Id of the circuit that it is wired into; none stops nothing.", "CI-0401").optional(),
    typical: typicalPart().optional(),
  })
  .meta({
    description: "A switch or sensor that watches for water.",
    examples: [{ id: "S-0401", at: "F-0401", type: "float-switch", seat: "secondary-port", tripHeight: 30 }],
  });

const Circuit = z
  .strictObject({
    id: id("Id of the circuit, unique among circuits.", "CI-0401"),
    devices: z
      .array(id("Id of a device.", "S-0401"))
      .max(MAX_MEMBERS)
      .meta({ description: "Ids of the devices in it; may be stated at the devices instead.", examples: [["S-0401"]] })
      .optional(),
    arrangement: word(
      ["series", "parallel"],
      "Arrangement of the contacts. Absent: series where the circuit has one device.",
      "series",
    ).optional(),
    breaks: word(
      [
        "R",
        "Y",
        "chilled-water-valve",
        "valve-and-fan",
        "supply",
        "equipment-controller",
        "building-system",
        "alarm-only",
      ],
      "What it breaks when it trips: R feeds the whole control circuit, Y calls for the compressor.",
      "chilled-water-valve",
    ).optional(),
    stops: z
      .union([z.array(id("Id of a fan coil.", "F-0401")).max(MAX_MEMBERS), z.literal("all-upstream")])
      .meta({ description: "The fan coils that it stops, or `all-upstream`.", examples: [["F-0401"], "all-upstream"] })
      .optional(),
    onTrip: z
      .strictObject({
        makesWater: flag("The coils still make water after the trip.", false).optional(),
        fan: word(["stops", "runs"], "What the fans do.", "stops").optional(),
      })
      .meta({
        description: "What happens on a trip where it differs from what `breaks` implies.",
        examples: [{ makesWater: false, fan: "stops" }],
      })
      .optional(),
    typical: typicalPart().optional(),
  })
  .meta({
    description: "A control circuit that overflow devices are wired into.",
    examples: [{ id: "CI-0401", devices: ["S-0401"], breaks: "chilled-water-valve", stops: ["F-0401"] }],
  });

const Profile = z
  .union([
    z.enum(PROFILE_NAMES),
    z.strictObject({
      base: word(PROFILE_NAMES, "The profile that the overrides start from.", "imc"),
      overrides: z
        .record(
          z.string().max(100),
          z.union([
            z.number(),
            z.boolean(),
            z.string().max(200),
            z
              .array(
                z.union([
                  z.number(),
                  z.string().max(200),
                  z.record(z.string().max(100), z.union([z.number(), z.string().max(200), z.boolean()])),
                ]),
              )
              .max(200),
            z.record(
              z.string().max(100),
              z.union([z.string().max(200), z.record(z.string().max(100), z.string().max(200))]),
            ),
          ]),
        )
        .meta({
          description: "The firm's own figures, by the profile's names.",
          examples: [{ "fall.minimumGrade": "1/4 in/ft" }],
        })
        .optional(),
    }),
  ])
  .meta({
    description: "Code profile: its name, or a base with the firm's own figures over it.",
    examples: ["imc", { base: "imc", overrides: { "fall.minimumGrade": "1/4 in/ft" } }],
  });

const list = <T extends z.ZodType>(of: T, max: number, description: string, example: unknown[]) =>
  z
    .array(of)
    .max(max)
    .meta({ description, examples: [example] });

const documentHead = {
  format: z.literal(1).meta({ description: "Version of the document format.", examples: [1] }),
  id: z
    .string()
    .max(MAX_ID_LENGTH)
    .regex(NETWORK_ID)
    .meta({ description: "Id of the network: lower case, digits, dot, dash, underscore.", examples: ["alder-court"] }),
  name: line("Name for people.", "Alder Court, east riser").optional(),
  units: word(["si", "us"], "What a bare number means.", "si"),
  profile: Profile,
  stage: word(
    ["design", "as-built", "in-service"],
    "What can be known: drawn, surveyed as built, or in service.",
    "design",
  ),
  site: Site.optional(),
};
/** Bounds of typical details: placements multiply. */
export const MAX_LOCAL = 10_000;
const MAX_JOINTS = 100;

const fragment = (description: string, example: unknown) =>
  z
    .array(z.record(z.string().max(64), z.unknown()))
    .max(MAX_LOCAL)
    .meta({ description, examples: [[example]] });

export const Typical = z
  .strictObject({
    name: line("Name for people.", "Two-bedroom coil").optional(),
    joints: z
      .array(id("Name of a joint.", "main"))
      .max(MAX_JOINTS)
      .meta({
        description: "Names for the nodes outside at which its pipes end; each placement says which they are.",
        examples: [["main"]],
      })
      .optional(),
    nodes: fragment(
      "Nodes as in the document, with ids and levels of their own: a bare level is above the placement.",
      {
        id: "coil",
        kind: "fan-coil",
        elevation: 0,
      },
    ),
    pipes: fragment("Pipes as in the document, between these nodes and joints.", {
      id: "branch",
      from: "coil",
      to: "main",
      length: 3.2,
    }),
    overflowDevices: fragment("Overflow devices as in the document.", {
      id: "switch",
      at: "coil",
      type: "float-switch",
    }).optional(),
    circuits: fragment("Circuits as in the document.", { id: "circuit", devices: ["switch"] }).optional(),
  })
  .meta({
    description: "A fragment that is placed many times.",
    examples: [
      {
        joints: ["main"],
        nodes: [{ id: "coil", kind: "fan-coil", elevation: 0 }],
        pipes: [{ id: "branch", from: "coil", to: "main", length: 3.2 }],
      },
    ],
  });

const joins = () =>
  z.record(z.string().max(MAX_ID_LENGTH), z.union([id("Id of a node.", "M-04"), NodeLevel])).meta({
    description: "Node of each joint, or a level above it; `{floor}` stands for the floor.",
    examples: [{ main: "M-04" }, { main: { node: "M-04", above: 0.03 } }],
  });

const Placement = z
  .strictObject({
    typical: id("The typical's name.", "two-bedroom"),
    id: id("Id of the placement: its parts are `<placement>/<local id>`; `{floor}` stands for the floor.", "A-{floor}"),
    at: level("Level that the typical's own levels are above.", { floor: "L4", above: 2.6 }, 14.6),
    joins: joins().optional(),
    set: z
      .record(z.string().max(MAX_ID_LENGTH), z.record(z.string().max(64), z.unknown()))
      .meta({
        description:
          "Fields of parts, by local id, that replace the typical's; of a group such as `pan`, the fields named; null takes one away. `{floor}` in text stands for the floor.",
        examples: [{ coil: { coolingCapacity: "2 ton" } }],
      })
      .optional(),
    dwelling: id(
      "Dwelling of its nodes, and the one that its coils serve, where they state none; `{floor}` stands for the floor.",
      "{floor}01",
    ).optional(),
    owner: id("Owner of its nodes and pipes that state none; `{floor}` stands for the floor.", "{floor}01").optional(),
    zone: word(["private", "common"], "Zone of its nodes and pipes that state none.", "private").optional(),
    repeat: z
      .strictObject({
        floors: z
          .array(id("Id of a floor.", "L3"))
          .max(MAX_FLOORS)
          .meta({
            description: "Floors on which it is placed, at the same height above each.",
            examples: [["L3", "L4"]],
          }),
        joins: joins().optional(),
      })
      .meta({
        description: "Places it once on each of these floors.",
        examples: [{ floors: ["L3", "L4"], joins: { main: "R1-{floor}" } }],
      })
      .optional(),
    origin: z
      .array(lengthOf("Plan coordinate.", 12))
      .min(2)
      .max(2)
      .meta({ description: "Plan coordinates [x, y] that the typical's own are added to.", examples: [[12, 3]] })
      .optional(),
  })
  .meta({
    description: "A typical in its place.",
    examples: [{ typical: "two-bedroom", id: "A-04", at: { floor: "L4", above: 2.6 }, joins: { main: "M-04" } }],
  });

/** The lists of a document in the order in which they are read, each with the schema of its elements. */
export const SECTIONS = {
  floors: Floor,
  owners: Owner,
  nodes: Node,
  pipes: Pipe,
  overflowDevices: OverflowDevice,
  circuits: Circuit,
  placements: Placement,
} as const;
export type SectionName = keyof typeof SECTIONS;

const shorthand = {
  typicals: z
    .record(z.string().max(MAX_ID_LENGTH), Typical)
    .meta({ description: "Typical details by name.", examples: [{}] })
    .optional(),
};

export const NetworkDocument = z
  .strictObject({
    ...documentHead,
    floors: list(Floor, MAX_FLOORS, "Finished floors.", [{ id: "L4", name: "Level 4", elevation: 12 }]).optional(),
    owners: list(Owner, MAX_MEMBERS, "Owners.", [{ id: "association" }]).optional(),
    nodes: list(Node, MAX_ELEMENTS, "Nodes.", [{ id: "M-04", kind: "junction", elevation: 14.5 }]),
    pipes: list(Pipe, MAX_ELEMENTS, "Pipes.", [{ id: "P-14", from: "T-0401", to: "M-04", length: 3.2 }]),
    overflowDevices: list(OverflowDevice, MAX_ELEMENTS, "Overflow devices.", [
      { id: "S-0401", at: "F-0401", type: "float-switch" },
    ]).optional(),
    circuits: list(Circuit, MAX_ELEMENTS, "Control circuits.", [{ id: "CI-0401", devices: ["S-0401"] }]).optional(),
    ...shorthand,
    placements: list(Placement, MAX_MEMBERS, "Typical details in their places.", [
      { typical: "two-bedroom", id: "A-04", at: { floor: "L4", above: 2.6 }, joins: { main: "M-04" } },
    ]).optional(),
  })
  .meta({
    title: "Condensate drain network",
    description: "One building's condensate drain network, or one riser of it.",
  });

/** The document without what its lists hold: what is left to explain once each element has been looked at by itself. */
export const DocumentFrame = z.strictObject({
  ...documentHead,
  floors: z.array(z.unknown()).max(MAX_FLOORS).optional(),
  owners: z.array(z.unknown()).max(MAX_MEMBERS).optional(),
  nodes: z.array(z.unknown()).max(MAX_ELEMENTS),
  pipes: z.array(z.unknown()).max(MAX_ELEMENTS),
  overflowDevices: z.array(z.unknown()).max(MAX_ELEMENTS).optional(),
  circuits: z.array(z.unknown()).max(MAX_ELEMENTS).optional(),
  ...shorthand,
  placements: z.array(z.unknown()).max(MAX_MEMBERS).optional(),
});

export type RawDocument = z.infer<typeof NetworkDocument>;
export type RawFloor = z.infer<typeof Floor>;
export type RawNode = z.infer<typeof Node>;
export type RawPipe = z.infer<typeof Pipe>;
export type RawDevice = z.infer<typeof OverflowDevice>;
export type RawCircuit = z.infer<typeof Circuit>;
export type RawTypical = z.infer<typeof Typical>;
export type RawPlacement = z.infer<typeof Placement>;
export type RawSite = z.infer<typeof Site>;
export type RawAir = z.infer<ReturnType<typeof airState>>;
export type RawQuantity = number | string;
export type RawLevel = RawQuantity | z.infer<typeof FloorLevel> | z.infer<typeof NodeLevel>;

/** A JSON Schema (draft 2020-12) as plain data. */
export type JsonSchema = { readonly [key: string]: unknown };

let made: JsonSchema | undefined;

/** The document's JSON Schema, draft 2020-12. The same object each time: do not change it. */
export const networkSchema = (): JsonSchema => {
  made ??= z.toJSONSchema(NetworkDocument, {
    target: "draft-2020-12",
    override: ({ zodSchema, jsonSchema }) => {
      const def = zodSchema._zod.def;
      // one branch instead of two where only the type differs: shorter to read and quicker to check
      const branches = jsonSchema.anyOf;
      if (
        Array.isArray(branches) &&
        branches[0]?.type === "number" &&
        Object.keys(branches[0]).length === 1 &&
        branches[1]?.type === "string" &&
        branches[1].maxLength === MAX_QUANTITY_TEXT
      ) {
        const merged = { type: ["number", "string"], maxLength: MAX_QUANTITY_TEXT };
        if (branches.length === 2) {
          delete jsonSchema.anyOf;
          Object.assign(jsonSchema, merged);
        } else jsonSchema.anyOf = [merged, ...branches.slice(2)] as typeof branches;
      }
      if (def.type === "union" && "discriminator" in def && Array.isArray(jsonSchema.oneOf)) {
        jsonSchema.type = "object";
        jsonSchema.required = [def.discriminator as string];
        jsonSchema.discriminator = { propertyName: def.discriminator };
      }
    },
  }) as JsonSchema;
  return made;
};
