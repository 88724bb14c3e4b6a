import type { Audit, AuditFinding } from "../audit/answer.js";
import type { Stage } from "../network/model.js";
import type { Family, Kind, Severity } from "../rules/rule.js";

/** From worst to mildest. */
export const severities: readonly Severity[] = ["critical", "major", "minor", "advice"];

/** What a network is a picture of. */
export const stageWords: Readonly<Record<Stage, string>> = {
  design: "as designed",
  "as-built": "as built",
  "in-service": "in service",
};

/** What a severity means to the person who has to act on it. */
export const severityWords: Readonly<Record<Severity, string>> = {
  critical: "water will escape",
  major: "will fail in use",
  minor: "good practice",
  advice: "advice",
};

/** A pan as full as the matter is serious, so that the eye finds the worst without color. */
export const severityMarks: Readonly<Record<Severity, string>> = {
  critical: "|####|",
  major: "|### |",
  minor: "|##  |",
  advice: "|#   |",
};
export const undeterminedMark = "|  ? |";
export const passMark = "|    |";

export const verdictWords: Readonly<Record<Audit["verdict"], string>> = {
  faulty: "Faulty: as it stands, water will escape or a drain will fail in use.",
  undetermined: "Undetermined: nothing serious was seen to fail, but a serious question could not be decided.",
  "no-fault-found": "No fault found that lets water escape or fails in use, among the questions that could be decided.",
  "nothing-judged": "Nothing judged: no rule found anything in this document to look at.",
};

export const exposureWords: Readonly<Record<NonNullable<Audit["exposure"]>["state"], string>> = {
  contained: "Contained: whichever drain blocks, its water is stopped or told of before it does harm.",
  exposed: "Exposed: water would spill, and nothing would stop it in time",
  undetermined: "Undetermined: of some drain nobody can tell where water comes out first if it blocks.",
};

export const familyWords: Readonly<Record<Family, string>> = {
  missing: "A figure is missing.",
  tolerance: "The margin is smaller than the survey can tell.",
  method: "It lies outside what the method or the table covers.",
};

export const kindWords: Readonly<Record<Kind, string | null>> = {
  condition: null,
  contingency: "if something blocks, fails or dries out",
  record: "as found on a visit",
};

/** What no reader may take the audit for. */
export const blindSpots: readonly string[] = [
  "It judges the network as the document describes it: pipes, vents and sags that were not written down were not looked at.",
  "It trusts the stated figures within the stated tolerance; it cannot see a wrong reading, a wrong size or a wrong way of connecting.",
  "It does not see what is inside the pipe (slime, debris, a broken joint), nor what happens to it after the survey.",
  "It asks the questions of its rules and no others; what no rule asks was not judged.",
];

/** `/nodes/3/elevation to within 2 mm (0.078 in)`, `/nodes/3/panStatic`, or the decision somebody has to take. */
export const settlement = (step: NonNullable<AuditFinding["settledBy"]>[number]): string => {
  if (step.decision !== undefined) return `decide (${step.pointer}): ${step.decision}`;
  if (step.within !== undefined) return `re-measure ${step.pointer} ${closeness(step.pointer, step.within)}`;
  return `find out ${step.pointer}`;
};

/** How closely a figure must be measured, in both unit systems: the reader may hold either tape. */
export const closeness = (pointer: string, within: number): string => {
  const field = pointer.slice(pointer.lastIndexOf("/") + 1);
  if (pressures.has(field)) return `to within ${coarse(within)} Pa (${coarse(within / 249.08891)} inH2O)`;
  if (ratios.has(field)) return `to within ${coarse(within * 100)} %`;
  return `to within ${coarse(within * 1000)} mm (${coarse(within / 0.0254)} in)`;
};

const pressures: ReadonlySet<string> = new Set(["panStatic", "opensAt", "holds", "pressure"]);
const ratios: ReadonlySet<string> = new Set(["grade", "sensibleHeatRatio"]);

/** Two significant digits, never more than the value: a closer reading settles it, a coarser one may not. */
const coarse = (value: number): string => {
  if (!(value > 0)) return "0";
  const scale = 10 ** (1 - Math.floor(Math.log10(value)));
  return String(Number((Math.floor(value * scale + 1e-9) / scale).toPrecision(2)));
};

/** Whole per cent, never rounded up to all or down to none. */
export const share = (ratio: number): string => {
  if (ratio >= 1) return "100 %";
  if (ratio > 0 && ratio < 0.01) return "under 1 %";
  return `${Math.floor(ratio * 100 + 1e-9)} %`;
};
