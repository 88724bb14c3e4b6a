import { dnOfInches, sizeName } from "../quantity/sizes.js";

/** One size of a material. m; NaN where the table does not say. */
export interface PipeSize {
  /** DN number; of metric plastics the outside diameter in mm */
  readonly size: number;
  readonly name: string;
  readonly outsideDiameter: number;
  /** least wall of standards in inches, nominal wall of metric ones */
  readonly wall: number;
  /** mean bore: what hydraulics use */
  readonly bore: number;
}

type Row = readonly [size: string, ...figures: number[]];

const INCH = 0.0254;
const inchesOf = (name: string): number =>
  name.split("-").reduce((sum, part) => {
    const [top, over] = part.split("/");
    return sum + Number(top) / Number(over ?? 1);
  }, 0);

/**
 * Mean bore of pipe made to a least wall: OD − 2 t_mean, the tolerance of the wall being −0/+12 % but not less than
 * +0.020 in, so that t_mean = t_min + max(0.12 t_min, 0.020 in)/2. Inches.
 */
const meanBore = (outside: number, leastWall: number): number =>
  outside - 2 * leastWall - Math.max(0.12 * leastWall, 0.02);

/** Rows of outside diameter and least wall in inches. */
const byLeastWall = (rows: readonly Row[]): PipeSize[] =>
  rows.map(([name, outside, wall]) => {
    const size = dnOfInches(inchesOf(name));
    const bore = meanBore(outside!, wall!);
    return {
      size,
      name: sizeName(size, "nps"),
      outsideDiameter: outside! * INCH,
      wall: wall! * INCH,
      bore: bore * INCH,
    };
  });

/** Rows of outside diameter and bore in inches, both as published. */
const byBore = (rows: readonly Row[]): PipeSize[] =>
  rows.map(([name, outside, bore]) => {
    const size = dnOfInches(inchesOf(name));
    return {
      size,
      name: sizeName(size, "nps"),
      outsideDiameter: outside! * INCH,
      wall: ((outside! - bore!) / 2) * INCH,
      bore: bore! * INCH,
    };
  });

/** Rows of the bore in inches; copper tube is 1/8 in over its nominal size outside. */
const copper = (rows: readonly Row[]): PipeSize[] =>
  byBore(rows.map(([name, bore]) => [name, inchesOf(name) + 0.125, bore!]));

/** Rows of outside diameter, least wall and what the wall may be over it, in inches. */
const byWallTolerance = (rows: readonly Row[]): PipeSize[] =>
  rows.map(([name, outside, wall, over]) => {
    const size = dnOfInches(inchesOf(name));
    return {
      size,
      name: sizeName(size, "nps"),
      outsideDiameter: outside! * INCH,
      wall: wall! * INCH,
      bore: (outside! - 2 * wall! - over!) * INCH,
    };
  });

/** Rows of outside diameter and wall in mm. */
export const metric = (rows: readonly (readonly [number, number])[]): PipeSize[] =>
  rows.map(([outside, wall]) => ({
    size: outside,
    name: `${outside} mm`,
    outsideDiameter: outside / 1000,
    wall: wall / 1000,
    bore: (outside - 2 * wall) / 1000,
  }));

export const schedule40 = byLeastWall([
  ["1/2", 0.84, 0.109],
  ["3/4", 1.05, 0.113],
  ["1", 1.315, 0.133],
  ["1-1/4", 1.66, 0.14],
  ["1-1/2", 1.9, 0.145],
  ["2", 2.375, 0.154],
  ["2-1/2", 2.875, 0.203],
  ["3", 3.5, 0.216],
  ["4", 4.5, 0.237],
  ["5", 5.563, 0.258],
  ["6", 6.625, 0.28],
]);
export const schedule80 = byLeastWall([
  ["1/2", 0.84, 0.147],
  ["3/4", 1.05, 0.154],
  ["1", 1.315, 0.179],
  ["1-1/4", 1.66, 0.191],
  ["1-1/2", 1.9, 0.2],
  ["2", 2.375, 0.218],
  ["2-1/2", 2.875, 0.276],
  ["3", 3.5, 0.3],
  ["4", 4.5, 0.337],
  ["5", 5.563, 0.375],
  ["6", 6.625, 0.432],
]);
export const drainWasteVent = schedule40.filter(({ size }) => size >= 32);
export const cpvc = byLeastWall([
  ["1/2", 0.625, 0.068],
  ["3/4", 0.875, 0.08],
  ["1", 1.125, 0.102],
  ["1-1/4", 1.375, 0.125],
  ["1-1/2", 1.625, 0.148],
  ["2", 2.125, 0.193],
]);
export const copperL = copper([
  ["1/2", 0.545],
  ["3/4", 0.785],
  ["1", 1.025],
  ["1-1/4", 1.265],
  ["1-1/2", 1.505],
  ["2", 1.985],
  ["2-1/2", 2.465],
  ["3", 2.945],
  ["4", 3.905],
  ["5", 4.875],
  ["6", 5.845],
]);
export const copperM = copper([
  ["1/2", 0.569],
  ["3/4", 0.811],
  ["1", 1.055],
  ["1-1/4", 1.291],
  ["1-1/2", 1.527],
  ["2", 2.009],
  ["2-1/2", 2.495],
  ["3", 2.981],
  ["4", 3.935],
  ["5", 4.907],
  ["6", 5.881],
]);
export const copperDwv = copper([
  ["1-1/4", 1.295],
  ["1-1/2", 1.541],
  ["2", 2.041],
  ["3", 3.035],
  ["4", 4.009],
  ["5", 4.981],
  ["6", 5.959],
]);

export const copperK = copper([
  ["1/2", 0.527],
  ["3/4", 0.745],
  ["1", 0.995],
  ["1-1/4", 1.245],
  ["1-1/2", 1.481],
  ["2", 1.959],
  ["2-1/2", 2.435],
  ["3", 2.907],
  ["4", 3.857],
  ["5", 4.805],
  ["6", 5.741],
]);
// The nominal walls of steel pipe are the least walls of plastic pipe of the same schedule.
export const steel40 = byBore([
  ["1/2", 0.84, 0.622],
  ["3/4", 1.05, 0.824],
  ["1", 1.315, 1.049],
  ["1-1/4", 1.66, 1.38],
  ["1-1/2", 1.9, 1.61],
  ["2", 2.375, 2.067],
  ["2-1/2", 2.875, 2.469],
  ["3", 3.5, 3.068],
  ["4", 4.5, 4.026],
  ["5", 5.563, 5.047],
  ["6", 6.625, 6.065],
]);
export const castIron = byBore([
  ["2", 2.3, 1.96],
  ["3", 3.3, 2.96],
  ["4", 4.3, 3.94],
  ["5", 5.3, 4.94],
  ["6", 6.3, 5.94],
]);
export const sdr9 = byWallTolerance([
  ["1/2", 0.625, 0.07, 0.01],
  ["3/4", 0.875, 0.097, 0.01],
  ["1", 1.125, 0.125, 0.013],
  ["1-1/4", 1.375, 0.153, 0.015],
  ["1-1/2", 1.625, 0.181, 0.019],
  ["2", 2.125, 0.236, 0.024],
]);
