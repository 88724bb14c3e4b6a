import { boreArea, flowArea } from "./circle.js";

/** A straight round pipe and a level plane. All in m. */
export interface TiltedPipe {
  /** bore, > 0 */
  readonly insideDiameter: number;
  /** along the axis, ≥ 0 */
  readonly length: number;
  /** height of one end's invert above the other's, 0 … length */
  readonly rise: number;
  /** level of the plane above the lower end's invert; negative: below it */
  readonly levelAboveLowInvert: number;
}

/** Nodes and weights of Gauss-Legendre quadrature with eight points on −1 … 1. */
const NODES = [0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363];
const WEIGHTS = [0.362683783378362, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763];

/**
 * ∫ of the segment area over its height from 0 to h, for h up to the radius:
 * r³ (sin φ − φ cos φ − sin³ φ / 3), φ = 2 asin √(h/D).
 */
const segmentMoment = (diameter: number, height: number): number => {
  const radius = diameter / 2;
  const phi = 2 * Math.asin(Math.sqrt(height / diameter));
  let sum: number;
  if (phi > 0.6) {
    const sine = Math.sin(phi);
    sum = sine - phi * Math.cos(phi) - (sine * sine * sine) / 3;
  } else {
    // The first terms cancel up to φ⁵: the series Σ (−1)^k (9^k/4 − 2k − 1/4) φ^(2k+1) / (2k+1)!
    sum = 0;
    let term = phi;
    let nine = 1;
    for (let k = 1; k <= 12; k += 1) {
      nine *= 9;
      term *= -(phi * phi) / (2 * k * (2 * k + 1));
      sum += term * (nine / 4 - 2 * k - 0.25);
    }
  }
  return radius * radius * radius * sum;
};

/**
 * F(h) = ∫ A dh, the wetted area summed over the depth: r³ (w − u acos u − w³/3), u = 1 − h/r, w = √(1 − u²), for a
 * depth within the bore; 0 below it, πr³ + πr² (h − D) above.
 * @param diameter bore, m @param height depth h across the axis, m
 * @returns m³
 */
export const segmentIntegral = (diameter: number, height: number): number => {
  const radius = diameter / 2;
  if (height <= 0) return 0;
  if (height <= radius) return segmentMoment(diameter, height);
  // above the axis: the full bore less the air
  const air = height >= diameter ? 0 : segmentMoment(diameter, diameter - height);
  return Math.PI * radius ** 3 + boreArea(diameter) * (height - diameter) + air;
};

/** Mean of the segment area over heights from `low` to `high`, both up to the radius. Keeps its digits as they meet. */
const meanLowSegment = (diameter: number, low: number, high: number): number => {
  if (high <= 0) return 0;
  if (high - low > 0.05 * high)
    return (segmentMoment(diameter, high) - (low > 0 ? segmentMoment(diameter, low) : 0)) / (high - low);
  const middle = (low + high) / 2;
  const half = (high - low) / 2;
  let sum = 0;
  for (let i = 0; i < 4; i += 1)
    sum +=
      WEIGHTS[i]! * (flowArea(diameter, middle - half * NODES[i]!) + flowArea(diameter, middle + half * NODES[i]!));
  return sum / 2;
};

/** Mean of the segment area over heights from `low` to `high`, 0 … diameter. */
const meanSegment = (diameter: number, low: number, high: number): number => {
  const radius = diameter / 2;
  if (high <= radius) return meanLowSegment(diameter, low, high);
  // above the axis: the full bore less the air
  if (low >= radius) return boreArea(diameter) - meanLowSegment(diameter, diameter - high, diameter - low);
  return (
    (meanLowSegment(diameter, low, radius) * (radius - low) +
      (boreArea(diameter) - meanLowSegment(diameter, diameter - high, radius)) * (high - radius)) /
    (high - low)
  );
};

/**
 * Volume of a straight round pipe with square-cut ends below a level plane:
 * V = ∫ A(h(s)) ds along the axis, h(s) = z/cos θ − s tan θ, in closed form; exact for level, sloping and vertical
 * pipes, and continuous between them.
 * @returns m³, from 0 to the pipe's own volume; NaN where an argument is NaN
 * Derived; the limits are the whole pipe, the half pipe and the cylindrical hoof (2/3) r² H.
 */
export const volumeBelowLevel = ({ insideDiameter, length, rise, levelAboveLowInvert }: TiltedPipe): number => {
  const level = levelAboveLowInvert;
  if (Number.isNaN(insideDiameter + length + rise + level)) return Number.NaN;
  if (level <= 0 || length <= 0) return 0;
  const sine = Math.min(1, Math.max(0, rise / length));
  const cosine = Math.sqrt((1 - sine) * (1 + sine));
  // distances along the axis at which the invert and the crown come out of the water
  const out = sine === 0 ? length : Math.min(length, level / sine);
  const crownLevel = level - insideDiameter * cosine;
  const full = crownLevel <= 0 ? 0 : sine === 0 ? length : Math.min(length, crownLevel / sine);
  const volume = boreArea(insideDiameter) * full;
  if (out <= full || cosine === 0) return volume;
  const high = Math.min(insideDiameter, (level - full * sine) / cosine);
  const low = Math.max(0, Math.min(high, (level - out * sine) / cosine));
  return volume + (out - full) * meanSegment(insideDiameter, low, high);
};

/** Depth of a sag that water can seal, max(0, sag − bore), m. `sag`: lower lip's invert above the low point's. */
export const sagSeal = (sag: number, bore: number): number => Math.max(0, sag - bore);

/** Air path left over the water in a sag, max(0, bore − sag), m. */
export const sagAirGap = (sag: number, bore: number): number => Math.max(0, bore - sag);
