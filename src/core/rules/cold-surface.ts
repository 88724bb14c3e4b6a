import type { SurfaceFact } from "../analysis/facts.js";
import { pipeSize } from "../materials/materials.js";
import { limitOf } from "../profiles/profile.js";
import { atMost, within } from "../quantity/interval.js";
import { sizesKnown } from "./air-readings.js";
import { settleAll, type Waiting } from "./asked-once.js";
import { evidenceOf, judgeFigure, plainEvidence } from "./judge-figure.js";
import type { Case, Evidence, Family, Settle } from "./rule.js";

/** Where the document states the air of a space, and what people call it. */
const AIR = {
  conditioned: { field: "indoorAir", of: "the conditioned rooms" },
  ceiling: { field: "ceilingAir", of: "the ceilings" },
  shaft: { field: "shaftAir", of: "the shafts" },
} as const;

export const surfaceOf = (c: Case, pipe: number): SurfaceFact =>
  c.facts.sweating.surfaces[c.facts.sweating.ofPipe[pipe]];

/** Pipes with cold water in a space whose air can be stated, bare or insulated. */
export function* coldPipes(c: Case, which: "bare" | "insulated"): Generator<number> {
  const { ofPipe, surfaces } = c.facts.sweating;
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++)
    if (ofPipe[pipe] >= 0 && (surfaces[ofPipe[pipe]].thickness === 0) === (which === "bare")) yield pipe;
}

/** Even a surface as cold as the water stays dry: nothing about the pipe need be known. */
export const isDryAnyway = ({ needed, waterTemperature }: SurfaceFact): boolean => atMost(needed, waterTemperature);

const airPointer = (c: Case, pipe: number): string => `/site/${AIR[c.net.pipes[pipe].space as keyof typeof AIR].field}`;

/** Figures that nobody gave and without which a pipe's surface has no temperature. */
export const lackingFigures = (c: Case, pipe: number): readonly Settle[] => {
  const { needed, thickness } = surfaceOf(c, pipe);
  const { pointer, material, size } = c.net.pipes[pipe];
  return [
    ...(Number.isNaN(needed) ? [{ pointer: airPointer(c, pipe) }] : []),
    ...(Number.isNaN(thickness) ? [{ pointer: `${pointer}/insulation/thickness` }] : []),
    ...(material === null ? [{ pointer: `${pointer}/material` }] : []),
    ...(size === null ? [{ pointer: `${pointer}/size` }] : []),
  ];
};

/** What a pipe's surface waits for; null: nothing. */
export const surfaceWaits =
  (temperature: (surface: SurfaceFact) => number) =>
  (c: Case, pipe: number): string | null => {
    const surface = surfaceOf(c, pipe);
    if (isDryAnyway(surface) || !(Number.isNaN(surface.needed) || Number.isNaN(temperature(surface)))) return null;
    if (lackingFigures(c, pipe).length > 0) return "missing";
    return `unknown ${c.facts.sweating.ofPipe[pipe]}`;
  };

export interface Unsettled {
  readonly family: Family;
  readonly settledBy: readonly Settle[];
  /** the air of these spaces is not given */
  readonly airOf: readonly string[];
}

/** What would settle a group of pipes whose surface has no temperature yet. */
export const settleSurfaces = (c: Case, group: Waiting): Unsettled => {
  const pipe = group.first;
  if (lackingFigures(c, pipe).length === 0) {
    const { pointer, material, size } = c.net.pipes[pipe];
    const isSizeUnknown = pipeSize(material!, size!) === undefined;
    const why = isSizeUnknown
      ? (sizesKnown(c, pipe) ?? `no table gives outside diameter and wall of ${material}.`)
      : `how well ${material} conducts heat is not known here.`;
    const decision = `Let the engineer decide whether it sweats: ${why}`;
    return {
      family: "method",
      settledBy: [{ pointer: `${pointer}/${isSizeUnknown ? "size" : "material"}`, decision }],
      airOf: [],
    };
  }
  const spaces = new Set<string>();
  for (const each of group.all)
    if (Number.isNaN(surfaceOf(c, each).needed)) spaces.add(AIR[c.net.pipes[each].space as keyof typeof AIR].of);
  return { family: "missing", settledBy: settleAll(c, group, lackingFigures), airOf: [...spaces].sort() };
};

/** The surface against what it must reach, and what that is made of. */
export const surfaceEvidence = (c: Case, pipe: number, temperature: number): Evidence[] => {
  const { needed, dewPoint } = surfaceOf(c, pipe);
  const { pointer } = c.net.pipes[pipe];
  const air = airPointer(c, pipe);
  const judged = judgeFigure(within(temperature, 0), needed, "at-least");
  const { source } = limitOf(c.profile, "sweat.margin");
  const limit = { name: "dew point and sweat.margin", source };
  return [
    evidenceOf("surfaceTemperature", "temperature", judged, limit, [pointer, air]),
    plainEvidence("dewPoint", "temperature", within(dewPoint, 0), [air]),
  ];
};
