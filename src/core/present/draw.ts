import { placeOf, readBlocked } from "../audit/backup.js";
import { type Audited, auditedCase } from "../audit/run.js";
import type { Problem } from "../network/model.js";
import { ProblemList, step as pointerStep, quoted } from "../network/problems.js";
import type { Blocked, Highlight } from "./drawing/emphasis.js";
import { pathSection } from "./drawing/path-section.js";
import { riserDiagram } from "./drawing/riser-diagram.js";
import { risersOf } from "./drawing/risers.js";

/** What is asked of a riser diagram; each as it comes from outside. */
export interface RiserRequest {
  /** `{ fanCoil }`, `{ blocked: { pipe } }`, `{ blocked: { node } }` or `{ finding }`: what stands out */
  readonly highlight?: unknown;
  /** id of the node at the foot of a riser: its sheet alone */
  readonly riser?: unknown;
  /** px at which its text is meant to be read */
  readonly width?: unknown;
}

/** What is asked of the long section of a path; each as it comes from outside. */
export interface PathRequest {
  /** id of the fan coil whose way out it is */
  readonly fanCoil: unknown;
  /** `{ pipe }` or `{ node }`: what is stopped */
  readonly blocked?: unknown;
  /** px at which its text is meant to be read */
  readonly width?: unknown;
}

export interface DrawOptions {
  /** id of a profile that replaces the document's */
  readonly profile?: string;
}

export type DrawingResult =
  | { readonly ok: true; readonly svg: string }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

export const WIDTH = { least: 320, most: 4000 } as const;

/**
 * Draws the risers of a network document (a parsed JSON value) with the findings of its audit, as one SVG document: floors
 * as levels, alike ones once. Pure: the same document and request give the same bytes.
 * @returns the picture, or every problem with a pointer under /network or into the request
 */
export function drawRiser(network: unknown, request: RiserRequest = {}, options: DrawOptions = {}): DrawingResult {
  return drawn(network, options, (problems) => {
    const width = readWidth(request.width, problems);
    const riser = request.riser === undefined ? undefined : readId("/riser", request.riser, problems);
    const highlight = request.highlight === undefined ? undefined : readHighlight(request.highlight, problems);
    return (audited) => {
      const { net } = audited;
      if (riser !== undefined) {
        const feet = risersOf(audited).map(({ foot }) => net.nodes[foot].id);
        mustBeIn("/riser", "riser", riser, feet, "name the node at the foot of a riser", problems);
      }
      checkHighlight(audited, highlight, problems);
      return () => riserDiagram(audited, { highlight, riser, width });
    };
  });
}

/**
 * Draws the long section of one coil's way out of a network document (a parsed JSON value), as one SVG document. Pure.
 * @returns the picture, or every problem with a pointer under /network or into the request
 */
export function drawPath(network: unknown, request: PathRequest, options: DrawOptions = {}): DrawingResult {
  return drawn(network, options, (problems) => {
    const width = readWidth(request.width, problems);
    const fanCoil = readId("/fanCoil", request.fanCoil, problems);
    const blocked = request.blocked === undefined ? undefined : readBlockage("", request.blocked, problems);
    return (audited) => {
      if (fanCoil !== undefined) mustBeCoil("/fanCoil", audited, fanCoil, problems);
      if (blocked !== undefined) checkBlockage("", audited, blocked, problems);
      return () => pathSection(audited, { fanCoil: fanCoil!, blocked, width });
    };
  });
}

/** Reads the request, then the document, then the one against the other, and draws if nothing is wrong with any. */
function drawn(
  network: unknown,
  options: DrawOptions,
  read: (problems: ProblemList) => (audited: Audited) => () => string,
): DrawingResult {
  const problems = new ProblemList();
  const check = read(problems);
  const made = auditedCase(network, options);
  if (!made.ok) {
    const list = made.problems.map((problem) => ({ ...problem, pointer: `/network${problem.pointer}` }));
    return { ok: false, problems: [...list, ...problems.listed].slice(0, 100), total: made.total + problems.total };
  }
  const draw = check(made.audited);
  if (problems.total > 0) return { ok: false, problems: problems.listed, total: problems.total };
  return { ok: true, svg: draw() };
}

function readWidth(width: unknown, problems: ProblemList): number | undefined {
  if (width === undefined) return undefined;
  if (typeof width === "number" && width >= WIDTH.least && width <= WIDTH.most) return width;
  problems.add(
    "/width",
    typeof width === "number" ? "absurd-number" : "wrong-type",
    `a width is a number of px from ${WIDTH.least} to ${WIDTH.most}`,
  );
  return undefined;
}

function readId(pointer: string, id: unknown, problems: ProblemList): string | undefined {
  if (typeof id === "string") return id;
  problems.add(
    pointer,
    id === undefined ? "missing-field" : "wrong-type",
    id === undefined ? `${pointer.slice(1)} is missing` : "an id is wanted",
  );
  return undefined;
}

const WANTED =
  'write { "fanCoil": "…" }, { "blocked": { "pipe": "…" } }, { "blocked": { "node": "…" } } or { "finding": "…" }';

function readHighlight(value: unknown, problems: ProblemList): Highlight | undefined {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    problems.add("/highlight", "wrong-type", "an object is wanted", WANTED);
    return undefined;
  }
  const given = Object.entries(value);
  const known = given.filter(([field]) => field === "fanCoil" || field === "blocked" || field === "finding");
  for (const [field] of given) {
    if (known.some(([each]) => each === field)) continue;
    const near = problems.nearest(field, ["fanCoil", "blocked", "finding"]);
    const hint = near === undefined ? WANTED : `did you mean "${near}"?`;
    problems.add(`/highlight${pointerStep(field)}`, "unknown-field", `unknown field ${quoted(field)}`, hint);
  }
  const [first, second] = known;
  if (first === undefined) {
    if (given.length === 0) problems.add("/highlight", "missing-field", "nothing is named", WANTED);
    return undefined;
  }
  if (second !== undefined) {
    problems.add(`/highlight/${second[0]}`, "two-forms", `${first[0]} and ${second[0]} are both named`, WANTED);
    return undefined;
  }
  const [field, named] = first;
  if (field === "blocked") {
    const blocked = readBlockage("/highlight", named, problems);
    return blocked === undefined ? undefined : { blocked };
  }
  const id = readId(`/highlight/${field}`, named, problems);
  if (id === undefined) return undefined;
  return field === "fanCoil" ? { fanCoil: id } : { finding: id };
}

function checkHighlight(audited: Audited, highlight: Highlight | undefined, problems: ProblemList): void {
  if (highlight === undefined) return;
  if ("fanCoil" in highlight) mustBeCoil("/highlight/fanCoil", audited, highlight.fanCoil, problems);
  else if ("blocked" in highlight) checkBlockage("/highlight", audited, highlight.blocked, problems);
  else {
    const ids = audited.audit.findings.map(({ id }) => id);
    mustBeIn(
      "/highlight/finding",
      "finding",
      highlight.finding,
      ids,
      "take the id of a finding of its audit",
      problems,
    );
  }
}

function readBlockage(under: string, value: unknown, problems: ProblemList): Blocked | undefined {
  const own = new ProblemList();
  const asked = readBlocked(value, own);
  moveUnder(under, own, problems);
  if (asked === null) return undefined;
  return asked.field === "pipe" ? { pipe: asked.id } : { node: asked.id };
}

function checkBlockage(under: string, { net }: Audited, blocked: Blocked, problems: ProblemList): void {
  const own = new ProblemList();
  placeOf(net, "pipe" in blocked ? { field: "pipe", id: blocked.pipe } : { field: "node", id: blocked.node }, own);
  moveUnder(under, own, problems);
}

function moveUnder(under: string, own: ProblemList, problems: ProblemList): void {
  for (const { pointer, code, detail, hint } of own.listed) problems.add(`${under}${pointer}`, code, detail, hint);
}

function mustBeCoil(pointer: string, { net }: Audited, id: string, problems: ProblemList): void {
  const coils = Array.from(net.coils, (node) => net.nodes[node].id);
  mustBeIn(pointer, "fan coil", id, coils, "name a fan coil of the network", problems);
}

function mustBeIn(
  pointer: string,
  what: string,
  id: string,
  known: readonly string[],
  otherwise: string,
  problems: ProblemList,
): void {
  if (known.includes(id)) return;
  const near = problems.nearest(id, known);
  const hint = near === undefined ? otherwise : `did you mean ${quoted(near)}?`;
  problems.add(pointer, "unknown-reference", `the network has no ${what} ${quoted(id)}`, hint);
}
