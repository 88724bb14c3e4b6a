import type { Connection, Discharge } from "../profiles/outlets.js";
import type { Shorthand } from "./written-at.js";

/**
 * The model: a network document after reading. Every quantity is SI base (m, m², m³, m³/s, Pa, W, °C, ratio, degree),
 * every default of the document page is applied or left `null` where the page says "unknown", stubs are expanded to
 * nodes and pipes of their own, elevations are levels of the document's datum. Nodes and pipes stand in document order,
 * expanded stubs after them.
 */
export type UnitSystem = "si" | "us";
export type Stage = "design" | "as-built" | "in-service";
export type Zone = "private" | "common";

export type NodeKind =
  | "fan-coil"
  | "trap"
  | "junction"
  | "bend"
  | "reducer"
  | "point"
  | "vent"
  | "cleanout"
  | "pump"
  | "outlet";

export type PipeRole = "drain" | "vent" | "secondary" | "auxiliary" | "pressure" | "access";

export interface Model {
  readonly id: string;
  readonly name: string | null;
  readonly units: UnitSystem;
  readonly stage: Stage;
  readonly profile: { readonly base: string; readonly overrides: Readonly<Record<string, unknown>> };
  readonly floors: readonly ModelFloor[];
  readonly owners: readonly string[];
  readonly site: Site;
  readonly nodes: readonly ModelNode[];
  readonly pipes: readonly ModelPipe[];
  readonly devices: readonly ModelDevice[];
  readonly circuits: readonly ModelCircuit[];
  /** null where nothing was placed */
  readonly shorthand: Shorthand | null;
}

export interface ModelFloor {
  readonly id: string;
  readonly name: string | null;
  readonly elevation: number;
}

export interface Site {
  readonly humid: boolean | null;
  readonly freezes: boolean | null;
  readonly idleDays: number | null;
  readonly indoorAir: AirState | null;
  readonly ceilingAir: AirState | null;
  readonly shaftAir: AirState | null;
  /** Pa; null where the document gives none */
  readonly pressure: number | null;
  /** half-width in metres, as stated or the stage's default */
  readonly surveyTolerance: number;
  readonly surveyToleranceStated: boolean;
}

/** dryBulb in °C and exactly one of the others (ratio, °C, °C, kg/kg). */
export interface AirState {
  readonly dryBulb: number;
  readonly relativeHumidity: number | null;
  readonly wetBulb: number | null;
  readonly dewPoint: number | null;
  readonly humidityRatio: number | null;
}

export interface ModelNode {
  readonly id: string;
  readonly kind: NodeKind;
  /** JSON pointer of the node (or of the stub) among all, those that placements made last; see `writtenAt` */
  readonly pointer: string;
  /** invert at the node, m */
  readonly elevation: number;
  /** half-width, m; 0 for `derived` */
  readonly tolerance: number;
  /** it lies on the straight line between its neighbors, and its level is as uncertain as theirs */
  readonly derived: boolean;
  readonly floor: string | null;
  readonly dwelling: string | null;
  readonly owner: string | null;
  readonly zone: Zone | null;
  readonly name: string | null;
  readonly x: number | null;
  readonly y: number | null;
  readonly accessible: boolean | null;
  readonly spillHarmless: boolean;
  readonly fixed: boolean;
  readonly future: boolean;
  readonly removable: boolean;
  /** something else than coil condensate that discharges here */
  readonly foreignDischarge: { readonly what: string; readonly approved: boolean | null } | null;
  /** exactly the one that the kind has; null on every other kind */
  readonly coil: FanCoil | null;
  readonly trap: Trap | null;
  readonly vent: Vent | null;
  readonly cleanout: Cleanout | null;
  readonly pump: Pump | null;
  readonly outlet: Outlet | null;
  readonly fitting: "wye" | "sanitary-tee" | "tee" | "cross" | null;
  /** bend: degrees */
  readonly angle: number | null;
  /** reducer: default `flat-bottom`; null on other kinds */
  readonly form: "concentric" | "flat-bottom" | "flat-top" | null;
  /** `<typical>/<local id>` that it was made from; null where it comes from none */
  readonly typical: string | null;
}

export interface FanCoil {
  readonly unitType: "ducted" | "cassette" | "wall" | "heat-pump" | "air-handler" | null;
  readonly cooling: "chilled-water" | "direct-expansion" | null;
  readonly serves: string | null;
  /** default true */
  readonly inService: boolean;
  /** W */
  readonly coolingCapacity: number | null;
  readonly sensibleHeatRatio: number | null;
  /** m³/s */
  readonly airflow: number | null;
  readonly enteringAir: AirState | null;
  readonly leavingAir: AirState | null;
  /** m³/s */
  readonly condensateRate: number | null;
  readonly fanPosition: "draw-through" | "blow-through" | null;
  /** Pa, negative under suction */
  readonly panStatic: number | null;
  readonly pan: {
    /** m above the primary outlet invert */
    readonly rimHeight: number | null;
    /** m² */
    readonly area: number | null;
    /** nominal size, see ModelPipe.size */
    readonly outletSize: number | null;
    readonly outletMaterial: string | null;
    readonly secondary: {
      /** m above the primary outlet invert */
      readonly height: number | null;
      readonly is: "plugged" | "open" | "switch" | "piped" | "none" | null;
    } | null;
  };
  readonly connectedPort: "primary" | "secondary" | null;
  readonly location: "ceiling" | "closet" | "attic" | "rooftop" | "mechanical-room" | null;
  readonly auxiliaryPan: {
    readonly present: boolean | null;
    /** elevation, m */
    readonly floor: number | null;
    readonly depth: number | null;
    readonly overhang: number | null;
    readonly drain: "none" | "piped" | null;
  } | null;
  readonly connection: {
    readonly threadSealant: "non-hardening" | "hardening" | "none" | null;
    readonly cemented: boolean | null;
    readonly handTight: boolean | null;
  } | null;
  /** the manufacturer's own figures, m */
  readonly trapRequirement: { readonly drop: number | null; readonly sealDepth: number | null } | null;
  readonly internalPump: {
    readonly lift: number | null;
    /** m³/s */
    readonly capacity: number | null;
    readonly checkValve: boolean | null;
    readonly switch: boolean | null;
  } | null;
  readonly filterAccessClear: boolean | null;
}

export interface Trap {
  /** default `water` */
  readonly sealType: "water" | "waterless" | "check-valve";
  /** m, weir to crown of the dip */
  readonly sealDepth: number | null;
  /** m, invert of the inlet above the weir */
  readonly inletDrop: number | null;
  /** in stage `design` an absent `primed` is true here and `primedStated` is false */
  readonly primed: boolean | null;
  readonly primedStated: boolean;
  /** inside diameters, m */
  readonly inletLegSize: number | null;
  readonly outletLegSize: number | null;
  /** Pa */
  readonly opensAt: number | null;
  readonly holds: number | null;
}

export interface Vent {
  readonly opening: "open" | "screened" | "admittance-valve";
  /** default false */
  readonly capped: boolean;
}

export interface Cleanout {
  /** height of the opening above the node's elevation, m; null: one bore (of the drain that leaves, else enters), bore unknown */
  readonly opening: number | null;
  /** default true */
  readonly capped: boolean;
  readonly cappedStated: boolean;
}

export interface Pump {
  /** elevation, m */
  readonly liftTo: number | null;
  /** m³/s */
  readonly capacity: number | null;
  readonly checkValve: boolean | null;
  readonly interlocked: boolean | null;
  readonly sump: {
    readonly rim: number | null;
    readonly volume: number | null;
    /** elevation, m */
    readonly startLevel: number | null;
    readonly ventedTo: "room" | "none" | null;
  } | null;
}

export interface Outlet {
  readonly discharge: Discharge | null;
  readonly connection: Connection | null;
  readonly airGap: number | null;
  /** elevation, m */
  readonly waterLevel: number | null;
  readonly receptor: {
    readonly rim: number | null;
    readonly trapped: boolean | null;
    readonly dwelling: string | null;
    readonly spillHarmless: boolean | null;
    readonly accessible: boolean | null;
  } | null;
}

export interface ModelPipe {
  readonly id: string;
  readonly pointer: string;
  /** indices into Model.nodes */
  readonly from: number;
  readonly to: number;
  readonly role: PipeRole;
  /** nominal size as its DN number (15, 20, 25 …); for the metric plastic materials the outside diameter in mm */
  readonly size: number | null;
  readonly material: string | null;
  /** m, as measured */
  readonly insideDiameter: number | null;
  /** m, along the pipe */
  readonly length: number;
  /** stated grade, ratio */
  readonly grade: number | null;
  /** m; the end's level after all defaults */
  readonly fromInvert: number;
  readonly toInvert: number;
  /** true where the end has a level of its own; false where it is the node's level (plus a trap's inletDrop) */
  readonly fromInvertOwn: boolean;
  readonly toInvertOwn: boolean;
  /** m; 0: carried all along */
  readonly supportSpacing: number | null;
  readonly insulation: {
    readonly thickness: number | null;
    readonly conductivity: number | null;
    readonly facing: string | null;
  } | null;
  /** default `ceiling` */
  readonly space: "conditioned" | "ceiling" | "shaft" | "outdoors" | "slab" | "buried";
  readonly zone: Zone | null;
  readonly owner: string | null;
  /** default: true of hoses */
  readonly flexible: boolean;
  readonly heatTraced: boolean;
  readonly lastCleaned: string | null;
  readonly notes: string | null;
  /** `<typical>/<local id>` that it was made from; null where it comes from none */
  readonly typical: string | null;
}

export interface ModelDevice {
  readonly id: string;
  readonly pointer: string;
  /** index into Model.nodes */
  readonly at: number;
  readonly type: "float-switch" | "water-sensor";
  readonly seat: "secondary-port" | "primary-pan" | "auxiliary-pan" | "drain-line" | "main" | null;
  /** elevation at which it trips (from tripElevation, or the node's elevation + tripHeight), m */
  readonly tripLevel: number | null;
  /** the field that states it: a height shares its node's tolerance, an elevation was measured for itself */
  readonly tripStatedAs: "tripElevation" | "tripHeight" | null;
  /** default `nc` */
  readonly contact: "nc" | "no";
  readonly state: "working" | "jumpered" | "failed" | "untested" | null;
  readonly latches: boolean | null;
  /** index into Model.circuits */
  readonly circuit: number | null;
  /** `<typical>/<local id>` that it was made from; null where it comes from none */
  readonly typical: string | null;
}

export interface ModelCircuit {
  readonly id: string;
  readonly pointer: string;
  /** indices into Model.devices */
  readonly devices: readonly number[];
  /** `series` by default where the circuit has one device; else null where unknown */
  readonly arrangement: "series" | "parallel" | null;
  readonly breaks:
    | "R"
    | "Y"
    | "chilled-water-valve"
    | "valve-and-fan"
    | "supply"
    | "equipment-controller"
    | "building-system"
    | "alarm-only"
    | null;
  /** indices into Model.nodes, or "all-upstream" */
  readonly stops: readonly number[] | "all-upstream" | null;
  readonly onTrip: { readonly makesWater: boolean | null; readonly fan: "stops" | "runs" | null } | null;
  /** `<typical>/<local id>` that it was made from; null where it comes from none */
  readonly typical: string | null;
}

/** One thing wrong with a document. */
export interface Problem {
  /** JSON pointer into the document as posted */
  readonly pointer: string;
  /** stable kebab-case code, e.g. `unknown-field` */
  readonly code: string;
  readonly detail: string;
  readonly hint?: string;
}

/** All problems of a document: at most 100 are listed, `total` counts every one found. */
export interface Problems {
  readonly problems: readonly Problem[];
  readonly total: number;
}
