import type { SealFact } from "../analysis/facts.js";
import { KIND } from "../graph/compiled.js";
import { limitOf } from "../profiles/profile.js";
import { exact, within } from "../quantity/interval.js";
import type { Speaker } from "../quantity/speaker.js";
import type { SourceId } from "../sources/sources.js";
import { type JudgedFigure, judgeFigure, plainEvidence } from "./judge-figure.js";
import { panPressure, settlePanStatic } from "./pan-pressure.js";
import type { Case, Evidence, Family, RemedyStep, Settle, Subject } from "./rule.js";
import { boresLacking, nodeLevel, reMeasure } from "./settle.js";

export const sealAt = (c: Case, trap: number): SealFact => c.facts.seals.list[c.facts.seals.ofTrap[trap]];

export function* traps(c: Case, type: "water" | "device"): Generator<number> {
  for (let node = 0; node < c.net.nodeCount; node++)
    if (c.net.kind[node] === KIND.trap && (c.net.nodes[node].trap!.sealType === "water") === (type === "water"))
      yield node;
}

/** Water traps on which a fan works, or may work for all that is known. A unit that pumps its water puts no fan on its drain. */
export function* trapsUnderFans(c: Case): Generator<number> {
  for (const trap of traps(c, "water")) {
    const isWorked = (coil: number): boolean =>
      c.net.nodes[c.net.coils[coil]].coil!.internalPump === null && panPressure(c, coil) !== "atmosphere";
    if (sealAt(c, trap).coils.some(isWorked)) yield trap;
  }
}

/** By statics alone: the seal against what the fan takes of it. A depth is stated without tolerance. */
export const judgeSeal = (seal: SealFact): JudgedFigure =>
  judgeFigure(exact(seal.sealDepth), seal.sealToHold, "at-least");

/** By statics alone: the drop against the head that the fan holds up. */
export const judgeDrop = (seal: SealFact): JudgedFigure => judgeFigure(dropOf(seal), seal.dropToDrain, "at-least");

export const dropOf = ({ drop, dropTolerance }: SealFact) => within(drop, dropTolerance);

/** What a sentence about a trap's statics needs. */
export interface TrapWords {
  readonly trap: number;
  /** nodes: the coil that governs; where that cannot be told, all of them */
  readonly coils: readonly number[];
  /** Pa, NaN unknown */
  readonly panStatic: number;
  readonly unknown: readonly string[];
}

const coilNodes = (c: Case, seal: SealFact): number[] => seal.coils.map((coil) => c.net.coils[coil]);

export const wordsOf = (c: Case, seal: SealFact, asks: "seal" | "drop"): TrapWords => {
  const unknown: string[] = [];
  if (Number.isNaN(seal.staticPressure)) unknown.push("the static pressure at the pan");
  if (asks === "seal" && Number.isNaN(seal.sealDepth)) unknown.push("the depth of its seal");
  if (asks === "seal" && unknown.length === 0 && Number.isNaN(seal.sealToHold)) unknown.push("the bore of its legs");
  return {
    trap: seal.trap,
    coils: seal.governing >= 0 ? [c.net.coils[seal.governing]] : coilNodes(c, seal),
    panStatic: seal.staticPressure,
    unknown,
  };
};

export const panOf = ({ coils }: TrapWords, speak: Speaker): string =>
  `the pan of ${speak.list(coils.map((node) => speak.node(node)))}`;

export const subjectOf = (c: Case, seal: SealFact): Subject => ({ fanCoils: coilNodes(c, seal), nodes: [seal.trap] });

const staticPointers = (c: Case, seal: SealFact): string[] =>
  (seal.governing >= 0 ? [seal.governing] : seal.coils).map((coil) => settlePanStatic(c, coil).pointer);

export const sealPointers = (c: Case, seal: SealFact): string[] => [
  `${c.net.nodes[seal.trap].pointer}/sealDepth`,
  ...staticPointers(c, seal),
];

const dropLevels = (c: Case, seal: SealFact) => [
  ...(seal.governing >= 0 ? [nodeLevel(c.net, c.net.coils[seal.governing])] : []),
  nodeLevel(c.net, seal.trap),
];

export const dropPointers = (c: Case, seal: SealFact): string[] => [
  ...dropLevels(c, seal).map(({ pointer }) => pointer),
  ...staticPointers(c, seal),
];

export const staticEvidence = (c: Case, seal: SealFact): Evidence =>
  plainEvidence("panStatic", "gauge-pressure", exact(seal.staticPressure), staticPointers(c, seal));

interface Settling {
  readonly family: Family;
  readonly settledBy: readonly Settle[];
}

const missingStatics = (c: Case, seal: SealFact): Settle[] =>
  seal.coils
    .filter((coil) => c.net.nodes[c.net.coils[coil]].coil!.panStatic === null)
    .map((coil) => settlePanStatic(c, coil));

/** What would tell of a seal against a limit: the pans' statics, its depth, and where they matter the bores of its legs. */
export const settleSeal = (c: Case, seal: SealFact, legsMatter: boolean): Settling => {
  const settledBy = missingStatics(c, seal);
  if (Number.isNaN(seal.sealDepth)) settledBy.push({ pointer: `${c.net.nodes[seal.trap].pointer}/sealDepth` });
  const legs = [seal.inletPipe, seal.outletPipe].filter((pipe) => pipe >= 0);
  const bores = legsMatter ? boresLacking(c, legs) : null;
  if (settledBy.length === 0 && bores !== null) return bores;
  if (bores?.family === "missing") settledBy.push(...bores.settledBy);
  return { family: "missing", settledBy };
};

/** What would tell whether a drop suffices: the pans' statics, else both levels measured again. */
export const settleDrop = (c: Case, seal: SealFact, { family, within }: JudgedFigure): Settling =>
  family === "missing"
    ? { family, settledBy: missingStatics(c, seal) }
    : { family: "tolerance", settledBy: reMeasure(c.net, dropLevels(c, seal), within) };

/** The trap that would serve: its seal, and a drop that shows in spite of the tolerance of the levels. */
export const rebuildTrap = (seal: SealFact): RemedyStep[] => {
  const on = { node: seal.trap };
  return [
    { amount: seal.sealToBuild, what: "seal depth" },
    { amount: seal.dropNeeded + seal.dropTolerance, what: "drop" },
  ]
    .filter(({ amount }) => amount > 0)
    .map(({ amount, what }) => ({ action: "rebuild-trap", on, amount, kind: "dimension", what }));
};

/** Where the needed seal or drop comes from: the maker's own figure where it governs, else the margin of practice. */
export const needSource = (c: Case, seal: SealFact, figure: "seal" | "drop"): SourceId => {
  const own = seal.governing >= 0 ? c.net.nodes[c.net.coils[seal.governing]].coil!.trapRequirement : null;
  const stated = figure === "seal" ? own?.sealDepth : own?.drop;
  if (stated === (figure === "seal" ? seal.sealNeeded : seal.dropNeeded)) return "manufacturer";
  return limitOf(c.profile, seal.staticPressure < 0 ? "trap.drawThroughMargin" : "trap.blowThroughMargin").source;
};

/** Fill the trap, with as much as it takes where that is known. */
export const primeTrap = ({ trap, primingVolume }: SealFact): RemedyStep =>
  Number.isNaN(primingVolume)
    ? { action: "prime-trap", on: { node: trap } }
    : { action: "prime-trap", on: { node: trap }, amount: primingVolume, kind: "volume" };
