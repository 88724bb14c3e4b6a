import { pipeSize } from "../../materials/materials.js";
import { formatQuantity } from "../../quantity/format.js";
import { atLeast, type Interval, within } from "../../quantity/interval.js";
import { sizesKnown } from "../air-readings.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { evidenceOf, judgeFigure, plainEvidence } from "../judge-figure.js";
import {
  type Case,
  defineRule,
  type Evidence,
  type Family,
  type Finding,
  type Outcome,
  PASS,
  type Settle,
  TOLD,
} from "../rule.js";
import { fallingSpans, gradeBetweenSupports, gradeFigures, settleGrade } from "../sag-grade.js";

const spanOf = (c: Case, pipe: number) => c.facts.supports.spans[c.facts.supports.ofPipe[pipe]];

const lacking = (c: Case, pipe: number): readonly Settle[] => {
  const { pointer, material, size } = c.net.pipes[pipe];
  return [
    ...(material === null ? [{ pointer: `${pointer}/material` }] : []),
    ...(size === null ? [{ pointer: `${pointer}/size` }] : []),
  ];
};

const waiting = waitingFor(fallingSpans, (c, pipe) => {
  const { leastGrade, temperature } = spanOf(c, pipe);
  if (!Number.isNaN(leastGrade.simple)) return null;
  const { material, size } = c.net.pipes[pipe];
  return lacking(c, pipe).length > 0 ? "missing" : `unknown ${material} ${size} ${temperature}`;
});

interface Data {
  readonly outcome: Outcome;
  readonly open: null | Family;
  readonly pipes: readonly number[];
  readonly grade: Interval;
  readonly spacing: number;
  readonly temperature: number;
  readonly continuous: number;
  readonly simple: number;
  /** spacing at which simple spans keep the grade, NaN none */
  readonly keeps: number;
}

export const supportSag = defineRule<Data>({
  id: "support.sag",
  title: "Fall lost between supports",
  question: "Is the grade still positive between supports?",
  why: "Plastic pipe full of water sags between its supports. Where it sags more than it falls, water stands in every span.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: [
    "pipes.supportSpacing",
    "pipes.material",
    "pipes.size",
    "nodes.elevation",
    "site.ceilingAir",
    "site.indoorAir",
    "site.shaftAir",
  ],
  limits: ["support.ceilingTemperature", "fall.minimumRunJudged"],
  notApplicable: "No spacing of supports is given for a pipe that falls on a run long enough to have a grade.",
  remedy: "Add supports, or give the pipe more fall.",
  sources: ["beam-tables", "derived", "pvc-handbook", "pe-handbook", "metal-data"],
  anchor: "pipe",
  subjects: fallingSpans,
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined) return group.first === pipe ? askAll(c, pipe) : TOLD;
    const span = spanOf(c, pipe);
    const { simple, continuous } = span.leastGrade;
    const grade = gradeBetweenSupports(c, pipe);
    if (grade.low >= simple && !c.wantPasses) return PASS;
    const asSimple = judgeFigure(grade, simple, "at-least");
    const asContinuous = judgeFigure(grade, continuous, "at-least");
    // The best value says what is in doubt: where it lies between the bounds no survey decides, however close.
    const isBetween = atLeast(grade.best, continuous) && !atLeast(grade.best, simple);
    const open: Family | null =
      asSimple.outcome === "pass" || asContinuous.outcome === "fail" ? null : isBetween ? "method" : "tolerance";
    const outcome: Outcome = open !== null ? "undetermined" : asSimple.outcome === "pass" ? "pass" : "fail";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const keeps = span.spacingFor(grade.low);
    const { pointer } = c.net.pipes[pipe];
    const bound = atLeast(grade.best, simple) || isBetween ? asSimple : asContinuous;
    const limit = {
      name: bound === asSimple ? "least grade as simple spans" : "least grade as a continuous line",
      source: "beam-tables",
    } as const;
    const figures = [...gradeFigures(c, pipe), `${pointer}/supportSpacing`];
    const evidence: Evidence[] = [
      evidenceOf("grade", "grade", bound, limit, figures),
      plainEvidence("leastGradeSimple", "grade", within(simple, 0), [`${pointer}/supportSpacing`]),
      plainEvidence("leastGradeContinuous", "grade", within(continuous, 0), [`${pointer}/supportSpacing`]),
      plainEvidence("deflectionSimple", "dimension", within(span.deflection.simple, 0), [`${pointer}/supportSpacing`]),
    ];
    if (keeps > 0) evidence.push(plainEvidence("spacingThatPasses", "length", within(keeps, 0), figures));
    // As information: what years under load make of it.
    if (!Number.isNaN(span.lastingLeastGrade.simple))
      evidence.push(
        plainEvidence("leastGradeSimpleAfter50Years", "grade", within(span.lastingLeastGrade.simple, 0), []),
        plainEvidence("leastGradeContinuousAfter50Years", "grade", within(span.lastingLeastGrade.continuous, 0), []),
      );
    return {
      outcome,
      ...(open === null
        ? {}
        : {
            family: open,
            settledBy:
              open === "tolerance"
                ? settleGrade(c, pipe, bound.within)
                : [{ pointer: `${pointer}/supportSpacing`, decision: decide(c, keeps) }],
          }),
      data: {
        outcome,
        open,
        pipes: [pipe],
        grade,
        spacing: span.spacing,
        temperature: span.temperature,
        continuous,
        simple,
        keeps,
      },
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence,
      remedy:
        (outcome === "fail" || open === "method") && keeps > 0
          ? [{ action: "add-supports", on: { pipe }, amount: keeps, kind: "length" }]
          : [],
    };
  },
  say: ({ outcome, open, pipes, grade, spacing, temperature, continuous, simple, keeps }, speak) => {
    const name = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    if (open === "missing")
      return `Whether ${name} ${pipes.length === 1 ? "keeps its" : "keep their"} fall between supports cannot be told: the material or size is not given.`;
    if (Number.isNaN(simple))
      return `Whether ${name} ${pipes.length === 1 ? "keeps its" : "keep their"} fall between supports cannot be told: how much such pipe sags at ${speak.figure(temperature, "temperature")} is not known.`;
    const hung = `supports ${speak.figure(spacing, "length")} apart`;
    const full = `full of water at ${speak.figure(temperature, "temperature")}`;
    if (outcome === "pass") {
      if (spacing === 0) return `${name} is carried all along and keeps its fall.`;
      const said = speak.against(grade.best, simple, "grade");
      return `${name} falls ${said.figure} and keeps its fall with ${hung}, even if each span hangs for itself: ${full} that takes ${said.limit}.`;
    }
    const closer =
      keeps > 0 ? ` With supports at most ${speak.figure(keeps, "length", "down")} apart it keeps its fall.` : "";
    if (outcome === "fail") {
      const said = speak.against(grade.best, continuous, "grade");
      return `${name} falls ${said.figure}, and with ${hung} it sags more than it falls, even as one continuous line: ${full} that takes ${said.limit}. Water stands in its spans.${closer}`;
    }
    if (open === "method")
      return `${name} falls ${speak.figure(grade.best, "grade")}. With ${hung} and ${full} a continuous line needs ${speak.figure(continuous, "grade")} to keep its fall, spans that hang for themselves need ${speak.figure(simple, "grade")}: which it is depends on joints and ends.${closer}`;
    const bound = atLeast(grade.best, simple) ? simple : continuous;
    const said = speak.against(grade.best, bound, "grade");
    return `${name} falls ${said.figure} against ${said.limit} that it takes to keep a fall with ${hung}: too close for the tolerance of its levels.`;
  },
});

const decide = (c: Case, keeps: number): string => {
  const { units } = c.net.model;
  const closer =
    keeps > 0 ? `Hang it on supports at most ${formatQuantity(keeps, "length", units, "down")} apart, or ` : "";
  const text = `${closer}let the engineer show that it bends as one continuous line.`;
  return text.charAt(0).toUpperCase() + text.slice(1);
};

function askAll(c: Case, pipe: number): Finding<Data> {
  const group = waiting(c).get(pipe)!;
  const { material, size, pointer } = c.net.pipes[pipe];
  const isMissing = lacking(c, pipe).length > 0;
  const span = spanOf(c, pipe);
  const isSizeUnknown = !isMissing && pipeSize(material!, size!) === undefined;
  const known = isMissing ? null : sizesKnown(c, pipe);
  const decision = isSizeUnknown
    ? `Let the engineer decide how it sags: ${known ?? `no table gives outside diameter and wall of ${material}.`}`
    : `Let the engineer decide how it sags: the stiffness of ${material} at that temperature is not known here.`;
  return {
    outcome: "undetermined",
    family: isMissing ? "missing" : "method",
    settledBy: isMissing
      ? settleAll(c, group, lacking)
      : [{ pointer: `${pointer}/${isSizeUnknown ? "size" : "material"}`, decision }],
    data: {
      outcome: "undetermined",
      open: isMissing ? "missing" : "method",
      pipes: group.all,
      grade: within(Number.NaN, 0),
      spacing: span.spacing,
      temperature: span.temperature,
      continuous: Number.NaN,
      simple: Number.NaN,
      keeps: Number.NaN,
    },
    anchor: pipe,
    subject: { pipes: group.all },
    evidence: [],
  };
}
