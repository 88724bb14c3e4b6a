import { HANGS } from "../../analysis/facts.js";
import { type SpacingRow, spacingRow } from "../../profiles/support-spacing.js";
import { settleAll, waitingFor } from "../asked-once.js";
import { drawnSize, settleSize } from "../drawn-size.js";
import { evidenceOf, judgeFigure } from "../judge-figure.js";
import { type Case, defineRule, type Finding, type Outcome, PASS, type Settle, TOLD } from "../rule.js";
import { gradeBetweenSupports } from "../sag-grade.js";

function* hung(c: Case): Generator<number> {
  const { hangs } = c.facts.supports;
  for (let pipe = 0; pipe < c.net.pipeCount; pipe++) if (hangs[pipe] === HANGS.itself) yield pipe;
}

const tableOf = (c: Case, pipe: number) => {
  const { material } = c.net.pipes[pipe];
  return material === null ? undefined : c.profile.supportSpacing.get(material);
};

const isCarriedAllAlong = (c: Case, pipe: number): boolean => c.net.pipes[pipe].supportSpacing === 0;

/** Figures that nobody gave, of a pipe that its material does not leave without a table. */
const lacking = (c: Case, pipe: number): readonly Settle[] => {
  const { pointer, material, supportSpacing } = c.net.pipes[pipe];
  if (supportSpacing === 0) return [];
  const table = tableOf(c, pipe);
  if (material !== null && table === undefined) return [];
  const settles: Settle[] = supportSpacing === null ? [{ pointer: `${pointer}/supportSpacing` }] : [];
  if (material === null) settles.push({ pointer: `${pointer}/material` });
  else if (table!.length > 1 && Number.isNaN(drawnSize(c, pipe))) {
    const size = settleSize(c, pipe);
    if (size.family === "missing") settles.push(...size.settledBy);
  }
  return settles;
};

const MISSING = "missing";
const waiting = waitingFor(hung, (c, pipe) => {
  const { material, pointer } = c.net.pipes[pipe];
  if (isCarriedAllAlong(c, pipe)) return null;
  if (lacking(c, pipe).length > 0) return MISSING;
  if (tableOf(c, pipe) === undefined) return `no table ${material}`;
  return Number.isNaN(limitFor(c, pipe)?.spacing ?? Number.NaN) ? `no size ${pointer}` : null;
});

const limitFor = (c: Case, pipe: number): SpacingRow | undefined => spacingRow(tableOf(c, pipe)!, drawnSize(c, pipe));

interface Data {
  readonly outcome: Outcome;
  readonly pipes: readonly number[];
  readonly material: string | null;
  readonly spacing: number;
  readonly limit: number;
  readonly open: null | "missing" | "table" | "size";
}

export const supportSpacing = defineRule<Data>({
  id: "support.spacing",
  title: "Supports too far apart",
  question: "Are the supports within the code's spacing for the pipe's material and size?",
  why: "Between supports that are too far apart a pipe sags, and with it goes the fall that it was hung with.",
  severity: "minor",
  kind: "condition",
  stage: "design",
  needs: ["pipes.supportSpacing", "pipes.material", "pipes.size", "pipes.space"],
  limits: ["support.spacing"],
  notApplicable: "No pipe that carries water slopes, or all of them are flexible, cast in or buried.",
  remedy: "Add supports until they are as close as the code asks.",
  sources: ["imc-305.4", "irc-p2605.1", "mn-4714.0313", "metric-practice"],
  anchor: "pipe",
  subjects: hung,
  judge: (c, pipe) => {
    const group = waiting(c).get(pipe);
    if (group !== undefined) return group.first === pipe ? askAll(c, pipe) : TOLD;
    const { net } = c;
    const { pointer, material } = net.pipes[pipe];
    const spacing = net.pipes[pipe].supportSpacing!;
    const row = spacing === 0 ? undefined : limitFor(c, pipe);
    const limit = row?.spacing ?? Number.NaN;
    const judged = judgeFigure({ low: spacing, best: spacing, high: spacing }, spacing === 0 ? 0 : limit, "at-most");
    const outcome = judged.outcome;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    // Closer still where the fall would not survive at the code's spacing.
    const keeps = c.facts.supports.spans[c.facts.supports.ofPipe[pipe]].spacingFor(gradeBetweenSupports(c, pipe).low);
    return {
      outcome,
      data: { outcome, pipes: [pipe], material, spacing, limit, open: null },
      anchor: pipe,
      subject: { pipes: [pipe] },
      evidence:
        row === undefined
          ? []
          : [
              evidenceOf(
                "supportSpacing",
                "length",
                judged,
                { name: `support.spacing.${material}`, source: row.source },
                [`${pointer}/supportSpacing`],
              ),
            ],
      remedy:
        outcome === "fail"
          ? [
              {
                action: "add-supports",
                on: { pipe },
                amount: keeps > 0 ? Math.min(limit, keeps) : limit,
                kind: "length",
              },
            ]
          : [],
    };
  },
  say: ({ outcome, pipes, material, spacing, limit, open }, speak) => {
    const named = speak.list(pipes.map((pipe) => speak.pipe(pipe)));
    if (open === "missing")
      return `Whether ${named} ${pipes.length === 1 ? "is" : "are"} supported closely enough cannot be told: the spacing of the supports, or the material or size that decides how far apart they may be, is not given.`;
    if (open === "table")
      return `How far apart the supports of ${named} may be cannot be told: the profile's texts give no spacing for ${material}.`;
    if (open === "size")
      return `How far apart the supports of ${named} may be cannot be told: it depends on the size, and no table has the size of this pipe.`;
    if (spacing === 0) return `${named} is carried all along.`;
    const said = speak.against(spacing, limit, "length");
    return outcome === "pass"
      ? `The supports of ${named} are ${said.figure} apart; at most ${said.limit} are allowed.`
      : `The supports of ${named} are ${said.figure} apart, further than the ${said.limit} that are allowed for ${material}.`;
  },
});

function askAll(c: Case, pipe: number): Finding<Data> {
  const group = waiting(c).get(pipe)!;
  const { material, pointer } = c.net.pipes[pipe];
  const isMissing = lacking(c, pipe).length > 0;
  const hasTable = tableOf(c, pipe) !== undefined;
  const settledBy = isMissing
    ? settleAll(c, group, lacking)
    : hasTable
      ? [...settleSize(c, pipe).settledBy]
      : [
          {
            pointer: `${pointer}/material`,
            decision: `Take the spacing from the instructions of the pipe's manufacturer, and state it as support.spacing.${material}.`,
          },
        ];
  return {
    outcome: "undetermined",
    family: isMissing ? "missing" : "method",
    settledBy,
    data: {
      outcome: "undetermined",
      pipes: group.all,
      material,
      spacing: Number.NaN,
      limit: Number.NaN,
      open: isMissing ? "missing" : hasTable ? "size" : "table",
    },
    anchor: pipe,
    subject: { pipes: group.all },
    evidence: [],
  };
}
