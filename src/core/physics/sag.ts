import { GRAVITY } from "./constants.js";

/** A pipe between supports. SI: m, kg/m³, Pa; insulation in kg/m. */
export interface Span {
  readonly outsideDiameter: number;
  readonly wall: number;
  readonly pipeDensity: number;
  readonly waterDensity: number;
  /** share of the bore that is water, 0 … 1 */
  readonly fill: number;
  readonly modulus: number;
  readonly insulation?: number;
}

/** Weight per length, w = g [π/4 (D_o² − D_i²) ρ_p + fill π/4 D_i² ρ_w + insulation], N/m. */
export const weightPerLength = (span: Span): number => {
  const inside = span.outsideDiameter - 2 * span.wall;
  const bore = (Math.PI / 4) * inside ** 2;
  const wall = (Math.PI / 4) * span.outsideDiameter ** 2 - bore;
  return GRAVITY * (wall * span.pipeDensity + span.fill * bore * span.waterDensity + (span.insulation ?? 0));
};

/** Second moment of area, I = π/64 (D_o⁴ − D_i⁴), m⁴. */
export const secondMoment = (outsideDiameter: number, wall: number): number =>
  (Math.PI / 64) * (outsideDiameter ** 4 - (outsideDiameter - 2 * wall) ** 4);

/** Divisors of wL⁴/EI (deflection at mid-span) and wL³/EI (greatest end or inner slope). Source: beam tables; derived. */
const SIMPLE = { deflection: 384 / 5, slope: 24 } as const;
const CONTINUOUS = { deflection: 384, slope: 216 / Math.sqrt(3) } as const;
const kinds = { simple: SIMPLE, continuous: CONTINUOUS } as const;

/** `simple`: each span for itself, the safe bound. `continuous`: an inner span of a long line, fixed at both ends. */
export type SpanKind = keyof typeof kinds;

/** Deflection at mid-span, m: 5wL⁴/384EI or wL⁴/384EI. `length` of the span, m. */
export const deflection = (span: Span, length: number, kind: SpanKind): number =>
  (weightPerLength(span) * length ** 4) /
  (kinds[kind].deflection * span.modulus * secondMoment(span.outsideDiameter, span.wall));

/** Least installed grade at which the pipe nowhere rises between supports: wL³/24EI or √3 wL³/216EI. */
export const leastGradeBetweenSupports = (span: Span, length: number, kind: SpanKind): number =>
  (weightPerLength(span) * length ** 3) /
  (kinds[kind].slope * span.modulus * secondMoment(span.outsideDiameter, span.wall));

/** Longest span at which a grade survives, m: (24EIS/w)^(1/3) or (124.7EIS/w)^(1/3). */
export const longestSpan = (span: Span, grade: number, kind: SpanKind): number =>
  Math.cbrt(
    (kinds[kind].slope * span.modulus * secondMoment(span.outsideDiameter, span.wall) * grade) / weightPerLength(span),
  );
