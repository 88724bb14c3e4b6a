import type { Audited } from "../../audit/run.js";
import { formatQuantity, writtenUnit } from "../../quantity/format.js";
import type { QuantityKind } from "../../quantity/speaker.js";
import { type Html, html } from "../html.js";
import { counted } from "../layout.js";
import { markOf, severityMark } from "../severity-marks.js";
import { severities } from "../words.js";

/** Rows by index, whatever they are. */
type Row = number;

/** `text` tells rows apart; a figure does as long as there is room to print each. */
export type Column =
  | { readonly head: string; readonly text: (row: Row) => string; readonly number?: true }
  | {
      readonly head: string;
      /** SI; NaN: not known, or without meaning here */
      readonly figure: (row: Row) => number;
      /** `share`: a ratio, printed in per cent */
      readonly kind: Exclude<QuantityKind, "size" | "duration"> | "share";
      /** may differ between rows that are told as one: from the least to the most */
      readonly spread?: true;
    };

export interface Schedule {
  readonly title: string;
  readonly noun: readonly [one: string, many: string];
  readonly rows: readonly Row[];
  readonly id: (row: Row) => string;
  /** `<typical>/<local id>` that it was made from */
  readonly typical: (row: Row) => string | null;
  readonly floor: (row: Row) => string | null;
  readonly dwelling: (row: Row) => string | null;
  /** label of the part of the schedule that it stands in; parts stand in the order of `rows` */
  readonly part?: (row: Row) => string;
  /** positions in the audit's findings */
  readonly findings: (row: Row) => readonly number[];
  readonly columns: readonly Column[];
  /** what a dash and the columns mean, a few sentences */
  readonly note: string;
}

/** More rows than these are too many to read: then rows that differ in figures alone are told as one, from least to most. */
const READABLE = 240;
/** Ids, and dwellings, that a row names one by one. */
const NAMED = 6;

/** A schedule as a table: alike things are one row, with how many they are; parts under headings of their own. */
export const scheduleTable = (audited: Audited, schedule: Schedule): Html => {
  const { rows, noun, title, columns, note } = schedule;
  if (rows.length === 0) return html`<p>${`No ${noun[1]}.`}</p>`;
  const print = printer(audited, columns);
  let alike = foldRows(schedule, print, false);
  const crowded = alike.length > READABLE;
  if (crowded) alike = foldRows(schedule, print, true);
  const parts = new Map<string, Alike[]>();
  for (const each of alike) {
    const part = schedule.part?.(each.rows[0]!) ?? "";
    const known = parts.get(part);
    if (known) known.push(each);
    else parts.set(part, [each]);
  }
  const floors = floorOrder(audited);
  const told =
    alike.length === rows.length
      ? `${counted(rows.length, ...noun)}.`
      : `${counted(rows.length, ...noun)} in ${counted(alike.length, "row")}: alike ones are told once${crowded ? ", and figures that differ from the least to the most" : ""}.`;
  const span = columns.length + 3;
  return html`<div class="scroll" tabindex="0" role="group" aria-label="${title}">
<table class="schedule"><caption>${told} ${note}</caption>
<thead><tr><th scope="col">${capital(noun[0])}</th><th scope="col">Where</th>${columns.map((column, k) => {
    const unit = print.unit[k]!;
    return html`<th scope="col"${isNumber(column) && numberClass}>${column.head}${unit !== "" && html`<br><small>${unit}</small>`}</th>`;
  })}<th scope="col">Findings</th></tr></thead>
${[...parts].map(
  ([
    part,
    group,
  ]) => html`<tbody>${part !== "" && html`<tr class="part"><th scope="rowgroup" colspan="${span}">${part}</th></tr>`}${group.map(
    (each) => rowOf(audited, schedule, print, floors, each),
  )}</tbody>
`,
)}</table></div>`;
};

interface Alike {
  readonly rows: Row[];
}

const foldRows = ({ rows, typical, part, findings, columns }: Schedule, print: Printer, crowded: boolean): Alike[] => {
  const byKey = new Map<string, Alike>();
  for (const row of rows) {
    const key = [
      part?.(row) ?? "",
      typical(row) ?? "",
      findings(row).join(" "),
      ...columns.map((column, k) =>
        "text" in column
          ? column.text(row)
          : crowded || column.spread
            ? String(Number.isNaN(column.figure(row)))
            : print.cell(k, column.figure(row)),
      ),
    ].join("\u0000");
    const known = byKey.get(key);
    if (known) known.rows.push(row);
    else byKey.set(key, { rows: [row] });
  }
  return [...byKey.values()];
};

const rowOf = (
  audited: Audited,
  { id, floor, dwelling, findings, columns }: Schedule,
  print: Printer,
  floors: Floors,
  { rows }: Alike,
): Html => {
  const first = rows[0]!;
  return html`<tr><th scope="row">${idList(rows.map(id))}</th><td>${placesOf(floors, rows.map(floor), rows.map(dwelling))}</td>${columns.map(
    (column, k) => {
      if ("text" in column) return html`<td${column.number && numberClass}>${column.text(first)}</td>`;
      return html`<td class="number">${print.range(k, rows.map(column.figure))}</td>`;
    },
  )}<td>${findingLinks(audited, findings(first))}</td></tr>
`;
};

const numberClass = html` class="number"`;
const isNumber = (column: Column): boolean => "figure" in column || column.number === true;
const capital = (word: string): string => word.charAt(0).toUpperCase() + word.slice(1);

/** Ids as they are read out: all of a few, of many the first, the last and how many. */
export const idList = (ids: readonly string[]): Html => {
  if (ids.length <= NAMED) return html`${ids.map((id, k) => html`${k > 0 && ", "}<bdi class="id">${id}</bdi>`)}`;
  return html`<strong>${ids.length} ×</strong> <bdi class="id">${ids[0]}</bdi> … <bdi class="id">${ids.at(-1)}</bdi>`;
};

/** The worst first, each with the number under which it stands among the findings. */
export const findingLinks = ({ audit }: Audited, positions: readonly number[]): Html =>
  html`${positions.map((position, k) => {
    const mark = markOf(audit.findings[position]!);
    return html`${k > 0 && " "}<a class="tag" href="#finding-${position + 1}">${severityMark(mark)}${position + 1}</a>`;
  })}`;

interface Printer {
  readonly unit: readonly string[];
  readonly cell: (column: number, si: number) => string;
  readonly range: (column: number, si: readonly number[]) => string;
}

/** Figures without the unit that stands in their column's head. */
const printer = ({ net, profile }: Audited, columns: readonly Column[]): Printer => {
  const { units } = net.model;
  const units_ = columns.map((column) => {
    if ("text" in column) return "";
    if (column.kind === "share") return "%";
    return column.kind === "grade" && units === "us" ? "in/ft (%)" : writtenUnit(column.kind, units);
  });
  const cell = (k: number, si: number): string => {
    const column = columns[k]!;
    if ("text" in column || Number.isNaN(si)) return "–";
    if (column.kind === "share") return formatQuantity(si, "grade", "si").replace(" %", "");
    const text = formatQuantity(si, column.kind, units, undefined, profile.sizeSystem);
    if (column.kind === "grade" && units === "us") return text.replace(" in/ft", "").replace(" %)", ")");
    return text.replace(` ${units_[k]}`, "");
  };
  return {
    unit: units_,
    cell,
    range: (k, si) => {
      let least = Number.POSITIVE_INFINITY;
      let most = Number.NEGATIVE_INFINITY;
      for (const each of si) {
        if (Number.isNaN(each)) return cell(k, each);
        least = Math.min(least, each);
        most = Math.max(most, each);
      }
      const [low, high] = [cell(k, least), cell(k, most)];
      return low === high ? low : `${low} to ${high}`;
    },
  };
};

export interface Floors {
  readonly position: ReadonlyMap<string, number>;
  readonly names: readonly string[];
}

/** Floors from the lowest up. */
export const floorOrder = ({ net }: Audited): Floors => {
  const rising = [...net.model.floors].sort((a, b) => a.elevation - b.elevation);
  return {
    position: new Map(rising.map(({ id }, k) => [id, k])),
    names: rising.map(({ id, name }) => name ?? id),
  };
};

/** `Level 1 to Level 12, Level 14; 13 dwellings`, `Level 4; dwelling 0401`. */
const placesOf = (
  { position, names }: Floors,
  floors: readonly (string | null)[],
  dwellings: readonly (string | null)[],
): string => {
  const seen = new Set<number>();
  for (const floor of floors) {
    const k = floor === null ? undefined : position.get(floor);
    if (k !== undefined) seen.add(k);
  }
  const runs: string[] = [];
  const rising = [...seen].sort((a, b) => a - b);
  for (let k = 0; k < rising.length; ) {
    let end = k;
    while (rising[end + 1] === rising[end]! + 1) end += 1;
    const [from, to] = [names[rising[k]!]!, names[rising[end]!]!];
    runs.push(end === k ? from : end === k + 1 ? `${from}, ${to}` : `${from} to ${to}`);
    k = end + 1;
  }
  const homes = [...new Set(dwellings.filter((each) => each !== null))];
  const home =
    homes.length === 0
      ? []
      : homes.length === 1
        ? [`dwelling ${homes[0]}`]
        : homes.length <= NAMED
          ? [`dwellings ${homes.join(", ")}`]
          : [`${homes.length} dwellings`];
  return [...(runs.length === 0 ? [] : [runs.join(", ")]), ...home].join("; ") || "–";
};

/** Which findings concern each thing, the worst first, by the kind of thing. */
export const findingsAt = ({ audit, net }: Audited) => {
  const byId = {
    fanCoils: new Map<string, number[]>(),
    nodes: new Map<string, number[]>(),
    pipes: new Map<string, number[]>(),
  };
  audit.findings.forEach(({ outcome, subject }, position) => {
    if (outcome === "pass") return;
    for (const kind of ["fanCoils", "nodes", "pipes"] as const)
      for (const id of subject[kind]) {
        const known = byId[kind].get(id);
        if (known) known.push(position);
        else byId[kind].set(id, [position]);
      }
  });
  const rank = (position: number): number => severities.indexOf(audit.findings[position]!.severity);
  const sorted = (...lists: (readonly number[] | undefined)[]): readonly number[] =>
    [...new Set(lists.flatMap((list) => list ?? []))].sort((a, b) => rank(a) - rank(b) || a - b);
  return {
    coil: (node: number) => sorted(byId.fanCoils.get(net.nodes[node]!.id), byId.nodes.get(net.nodes[node]!.id)),
    node: (node: number) => sorted(byId.nodes.get(net.nodes[node]!.id)),
    pipe: (pipe: number) => sorted(byId.pipes.get(net.pipes[pipe]!.id)),
  };
};
export type FindingsAt = ReturnType<typeof findingsAt>;
