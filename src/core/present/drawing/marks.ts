import type { AuditFinding } from "../../audit/answer.js";
import type { Audited } from "../../audit/run.js";
import type { Compiled } from "../../graph/compiled.js";
import type { Severity } from "../../rules/rule.js";
import { element, escaped, rounded } from "./svg.js";
import { textWidth } from "./text-width.js";

/** A finding at one place of the picture. */
export interface Mark {
  readonly finding: AuditFinding;
  /** its place in the audit's list, counted from 1 */
  readonly number: number;
}

/** Findings by the elements that they are about. */
export interface Marks {
  readonly ofNode: (node: number) => readonly Mark[];
  readonly ofPipe: (pipe: number) => readonly Mark[];
  /** of the building as a whole, or of things that are not drawn */
  readonly elsewhere: readonly Mark[];
}

/** Elements by their ids. */
export interface Index {
  readonly node: ReadonlyMap<string, number>;
  readonly pipe: ReadonlyMap<string, number>;
  readonly device: ReadonlyMap<string, number>;
  readonly circuit: ReadonlyMap<string, number>;
}

export const indexOf = ({ nodes, pipes, model }: Compiled): Index => ({
  node: new Map(nodes.map(({ id }, i) => [id, i])),
  pipe: new Map(pipes.map(({ id }, p) => [id, p])),
  device: new Map(model.devices.map(({ id }, d) => [id, d])),
  circuit: new Map(model.circuits.map(({ id }, c) => [id, c])),
});

/**
 * Where each finding is drawn: at what it is named after, and, where one finding speaks for many places made from one
 * typical, at the like part of each.
 * @param only this one, and no other
 */
export function placeMarks({ net, audit }: Audited, index: Index, only?: AuditFinding): Marks {
  const nodes = new Map<number, Mark[]>();
  const pipes = new Map<number, Mark[]>();
  const elsewhere: Mark[] = [];
  audit.findings.forEach((finding, position) => {
    if (finding.outcome === "pass" || (only !== undefined && finding !== only)) return;
    const mark = { finding, number: position + 1 };
    const { node, pipe } = anchorOf(net, index, finding);
    const put = (marks: Map<number, Mark[]>, at: number) => {
      const known = marks.get(at);
      if (known === undefined) marks.set(at, [mark]);
      else known.push(mark);
    };
    if (pipe >= 0) {
      for (const p of alike(pipe, net.pipes, finding.subject.pipes, index.pipe)) put(pipes, p);
    } else if (node >= 0) {
      const ids = [...finding.subject.fanCoils, ...finding.subject.nodes];
      for (const n of alike(node, net.nodes, ids, index.node)) put(nodes, n);
    } else elsewhere.push(mark);
  });
  return { ofNode: (node) => nodes.get(node) ?? NONE, ofPipe: (pipe) => pipes.get(pipe) ?? NONE, elsewhere };
}

const NONE: readonly Mark[] = [];

function alike(
  own: number,
  elements: readonly { readonly typical: string | null }[],
  ids: readonly string[],
  index: ReadonlyMap<string, number>,
): Set<number> {
  const { typical } = elements[own];
  const found = new Set([own]);
  if (typical !== null)
    for (const id of ids) {
      const other = index.get(id);
      if (other !== undefined && elements[other].typical === typical) found.add(other);
    }
  return found;
}

/** What a finding is named after, as a node or pipe of the picture; -1 where it is neither. */
export function anchorOf(
  { model, nodeRank }: Compiled,
  index: Index,
  { id }: AuditFinding,
): { node: number; pipe: number } {
  const [, kind, encoded] = /~([a-z]):(.*)$/s.exec(id)!;
  const name = decodeURIComponent(encoded);
  switch (kind) {
    case "p":
      return { node: -1, pipe: index.pipe.get(name) ?? -1 };
    case "n":
    case "f":
      return { node: index.node.get(name) ?? -1, pipe: -1 };
    case "d": {
      const device = index.device.get(name);
      return { node: device === undefined ? -1 : nodeRank[model.devices[device].at], pipe: -1 };
    }
    case "c": {
      const circuit = index.circuit.get(name);
      const devices = circuit === undefined ? [] : model.circuits[circuit].devices;
      return { node: devices.length === 0 ? -1 : nodeRank[model.devices[devices[0]].at], pipe: -1 };
    }
    default:
      return { node: -1, pipe: -1 };
  }
}

export type MarkShape = Severity | "undetermined";

export const shapeOf = ({ finding }: Mark): MarkShape =>
  finding.outcome === "fail" ? finding.severity : "undetermined";

export const MARK_SIZE = 9;
export const MARK_HEIGHT = 13;
const BETWEEN = 2;
/** marks side by side at one place; the rest is counted */
const MOST = 3;
/** messages of counted ones that a pointer is told */
const MOST_TOLD = 12;

const words = (mark: Mark): string => (shapeOf(mark) === "undetermined" ? `${mark.number}?` : String(mark.number));
const widthOf = (text: string): number => Math.max(13, Math.ceil(textWidth(text, MARK_SIZE)) + 8);
const shown = (marks: readonly Mark[]): { few: readonly Mark[]; more: string } =>
  marks.length <= MOST
    ? { few: marks, more: "" }
    : { few: marks.slice(0, MOST - 1), more: `+${marks.length - MOST + 1}` };

/** px that the marks of one place take, 0 without any. */
export function marksWidth(marks: readonly Mark[]): number {
  if (marks.length === 0) return 0;
  const { few, more } = shown(marks);
  const width = few.reduce((sum, mark) => sum + widthOf(words(mark)) + BETWEEN, -BETWEEN);
  return more === "" ? width : width + BETWEEN + Math.ceil(textWidth(more, MARK_SIZE));
}

/**
 * The marks of one place, from their left edge: pointed at both ends where water will escape, square where something will
 * fail in use, round for good practice, round and empty for advice, dashed with a question where nobody can tell.
 */
export function drawMarks(marks: readonly Mark[], left: number, middle: number): string {
  const { few, more } = shown(marks);
  let x = left;
  let drawn = "";
  for (const mark of few) {
    const text = words(mark);
    const width = widthOf(text);
    drawn += drawMark(shapeOf(mark), text, x, middle, width, {
      "data-finding": mark.finding.id,
      title: `${mark.number}. ${mark.finding.message}`,
    });
    x += width + BETWEEN;
  }
  if (more !== "") {
    const told = marks.slice(few.length, few.length + MOST_TOLD);
    const rest = marks.length - few.length - told.length;
    const title = [
      ...told.map(({ number, finding }) => `${number}. ${finding.message}`),
      ...(rest > 0 ? [`and ${rest} more`] : []),
    ].join("\n");
    drawn += `<g class="dw-more"><title>${escaped(title)}</title>${element("text", { class: "dw-small dw-start", x, y: middle + 3.2 }, more)}</g>`;
  }
  return drawn;
}

/** One mark of a shape with a text in it. */
export function drawMark(
  shape: MarkShape,
  text: string,
  x: number,
  middle: number,
  width: number,
  { title, ...attributes }: { readonly title?: string; readonly "data-finding"?: string } = {},
): string {
  const top = middle - MARK_HEIGHT / 2;
  const outline =
    shape === "critical"
      ? element("path", { d: hexagon(x, top, width) })
      : element("rect", {
          x,
          y: top,
          width,
          height: MARK_HEIGHT,
          rx: shape === "minor" || shape === "advice" ? MARK_HEIGHT / 2 : undefined,
        });
  const label = element("text", { class: "dw-mark-text", x: x + width / 2, y: middle + 3.2 }, escaped(text));
  return element(
    "g",
    { class: `dw-mark dw-${shape}`, ...attributes },
    `${title === undefined ? "" : `<title>${escaped(title)}</title>`}${outline}${label}`,
  );
}

function hexagon(x: number, top: number, width: number): string {
  const half = MARK_HEIGHT / 2;
  const point = 3.5;
  const [l, r] = [x - 1, x + width + 1];
  return `M${rounded(l)} ${rounded(top + half)}L${rounded(l + point)} ${rounded(top)}H${rounded(r - point)}L${rounded(r)} ${rounded(top + half)}L${rounded(r - point)} ${rounded(top + MARK_HEIGHT)}H${rounded(l + point)}Z`;
}
