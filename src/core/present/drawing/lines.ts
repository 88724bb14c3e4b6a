import { rounded as r } from "./svg.js";

/** A line of a picture, from point to point, y down the page. */
export type Line = readonly (readonly [number, number])[];

/** As the data of an SVG path. */
export const lineThrough = (points: Line): string => `M${points.map(([x, y]) => `${r(x)} ${r(y)}`).join("L")}`;

/** The first share of a line, by length. */
export function cut(points: Line, share: number): Line {
  if (share >= 1) return points;
  let left = share * lengthOf(points);
  const part: [number, number][] = [[...points[0]!]];
  for (let i = 1; i < points.length; i++) {
    const [x0, y0] = points[i - 1]!;
    const [x1, y1] = points[i]!;
    const piece = Math.hypot(x1 - x0, y1 - y0);
    if (piece >= left) {
      const t = piece === 0 ? 0 : left / piece;
      part.push([x0 + (x1 - x0) * t, y0 + (y1 - y0) * t]);
      break;
    }
    part.push([x1, y1]);
    left -= piece;
  }
  return part;
}

const lengthOf = (points: Line): number => {
  let sum = 0;
  for (let i = 1; i < points.length; i++)
    sum += Math.hypot(points[i]![0] - points[i - 1]![0], points[i]![1] - points[i - 1]![1]);
  return sum;
};

export const middleOf = (points: Line): readonly [number, number] => {
  const part = cut(points, 0.5);
  return part[part.length - 1]!;
};
