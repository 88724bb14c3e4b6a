import type { QuantityKind } from "../quantity/speaker.js";

/**
 * A sort of figure in a document: its unit, and the bounds beyond which it can only be a slip of the pen. SI base units
 * (temperatures °C, sizes DN).
 */
export interface Figure {
  readonly kind: QuantityKind;
  readonly min: number;
  readonly max: number;
  /** the bounds in words */
  readonly bounds: string;
}

const figure = (kind: QuantityKind, min: number, max: number, bounds: string): Figure => ({ kind, min, max, bounds });

/** Bounds are the product's own (no building reaches them); ±10 km and 2 m are part of the document format. */
export const FIGURES = {
  elevation: figure("length", -10_000, 10_000, "an elevation lies within ±10 km"),
  length: figure("length", 0, 20_000, "a length is from 0 to 20 km"),
  spacing: figure("length", 0, 1_000, "a spacing is from 0 to 1 km"),
  plan: figure("length", -1_000_000, 1_000_000, "a plan coordinate lies within ±1000 km"),
  tolerance: figure("length", 0, 10, "a tolerance is from 0 to 10 m"),
  lift: figure("length", 0, 1_000, "a lift is from 0 to 1 km"),
  size: figure("size", 1, 2_000, "a pipe size is at most 2 m"),
  bore: figure("dimension", 1e-5, 2, "an inside diameter is over 0 and at most 2 m"),
  depth: figure("dimension", 0, 2, "a depth is from 0 to 2 m"),
  height: figure("dimension", 0, 2, "a height is from 0 to 2 m"),
  drop: figure("dimension", -2, 2, "a drop lies within ±2 m"),
  opening: figure("dimension", 0, 100, "an opening is from 0 to 100 m above the invert"),
  tripHeight: figure("dimension", -10, 100, "a trip height is from −10 m to 100 m"),
  gap: figure("dimension", 0, 10, "an air gap is from 0 to 10 m"),
  overhang: figure("dimension", -10, 10, "an overhang lies within ±10 m"),
  thickness: figure("dimension", 0, 2, "a thickness is from 0 to 2 m"),
  static: figure("gauge-pressure", -100_000, 100_000, "a pan static lies within ±100 kPa"),
  holding: figure("gauge-pressure", 0, 1_000_000, "a holding pressure is from 0 to 1 MPa"),
  atmosphere: figure("pressure", 10_000, 200_000, "an atmospheric pressure is from 10 kPa to 200 kPa"),
  capacity: figure("cooling-capacity", 0, 1e8, "a cooling capacity is from 0 to 100 MW"),
  flow: figure("flow", 0, 10, "a flow is from 0 to 10 m³/s"),
  airflow: figure("airflow", 0, 10_000, "an airflow is from 0 to 10 000 m³/s"),
  temperature: figure("temperature", -100, 200, "an air temperature is from −100 to 200 °C"),
  area: figure("area", 0, 1_000, "a pan area is from 0 to 1000 m²"),
  volume: figure("volume", 0, 1_000, "a volume is from 0 to 1000 m³"),
  conductivity: figure("conductivity", 1e-4, 1_000, "a conductivity is over 0 and at most 1000 W/(m·K)"),
  grade: figure("grade", -1_000, 1_000, "a grade lies within ±1000"),
  ratio: figure("ratio", 0, 1, "a ratio is from 0 to 1"),
  angle: figure("angle", 0, 360, "an angle is from 0 to 360 degrees"),
} as const satisfies Record<string, Figure>;
