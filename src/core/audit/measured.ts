import { expand } from "../network/expand.js";
import type { Problem } from "../network/model.js";
import type { ObservationType } from "../network/observations.js";
import { step } from "../network/problems.js";
import { readNetwork } from "../network/read.js";

/** An observation that may have measured something anew. */
export interface Reading {
  readonly id: string;
  readonly type: string;
  /** RFC 3339 */
  readonly time: string;
  readonly node: string | null;
  readonly pipe: string | null;
  readonly fanCoil: string | null;
  readonly attribute: string | null;
  readonly value: unknown;
}

export type MeasuredResult =
  | {
      readonly ok: true;
      readonly document: unknown;
      /** ids of the readings that are in it, in the order of their times; the others say nothing of the network */
      readonly taken: readonly string[];
    }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

type Part = "nodes" | "pipes" | "overflowDevices";
type Fields = Record<string, unknown>;

/** What a reading says of the network: a field of an element, its parts joined by dots, and what it is now. */
interface Statement {
  readonly part: Part;
  readonly id: string;
  readonly field: string;
  readonly value: unknown;
}

class Unreadable extends Error {
  readonly field: string;
  readonly hint: string;
  constructor(field: string, detail: string, hint: string) {
    super(detail);
    this.field = field;
    this.hint = hint;
  }
}

/**
 * The document as it is with what was measured since, the latest reading of a field being the one that counts. Where a
 * reading is of something that a typical or a stub makes, the document is written out.
 * @param document a network document that reads (parsed JSON)
 * @returns the document, or every reading that cannot be entered, with a pointer into the list of readings; what no
 * reading is to blame for has its pointer into the document
 */
export function measured(document: unknown, readings: readonly Reading[]): MeasuredResult {
  const problems: Problem[] = [];
  const stated: { readonly index: number; readonly statements: readonly Statement[] }[] = [];
  const tell = (index: number, { field, message, hint }: Unreadable) =>
    problems.push({ pointer: `/${index}${field}`, code: "unreadable-reading", detail: message, hint });
  const order = readings
    .map((reading, index) => ({ reading, index, at: Date.parse(reading.time) }))
    .sort((a, b) => a.at - b.at || (a.reading.id < b.reading.id ? -1 : 1));
  const expanded = expand(document);
  if (!expanded.ok) return expanded;
  const whole = expanded.document as unknown as Fields;
  for (const { reading, index } of order)
    try {
      const statements = SAYS.get(reading.type as ObservationType)?.(reading, whole) ?? [];
      if (statements.length > 0) stated.push({ index, statements });
    } catch (error) {
      if (!(error instanceof Unreadable)) throw error;
      tell(index, error);
    }
  if (problems.length > 0) return { ok: false, problems: problems.slice(0, 100), total: problems.length };

  const posted = document as Fields;
  const isWritten = stated.every(({ statements }) =>
    statements.every(({ part, id }) => indexOf(posted, part, id) >= 0),
  );
  const into = structuredClone(isWritten ? posted : whole);
  /** what each reading wrote, the last first */
  const written: { readonly index: number; readonly pointer: string }[] = [];
  for (const { index, statements } of stated)
    for (const { part, id, field, value } of statements) {
      const position = indexOf(into, part, id);
      if (position < 0) {
        tell(index, new Unreadable("", `the network has no ${id}`, "name something of the newest revision"));
        continue;
      }
      const path = field.split(".");
      set((into[part] as Fields[])[position], path, value);
      written.unshift({ index, pointer: `/${part}/${position}${path.map(step).join("")}` });
    }
  if (problems.length > 0) return { ok: false, problems: problems.slice(0, 100), total: problems.length };
  const read = readNetwork(into);
  if (!read.ok) {
    const by = ({ pointer: at }: Problem) => written.find(({ pointer }) => under(at, pointer) || under(pointer, at));
    const own = read.problems.map((problem): Problem => {
      const wrote = by(problem);
      if (wrote !== undefined) return { ...problem, pointer: `/${wrote.index}/value` };
      const moved = endMoved(into, problem.pointer, written);
      if (moved === undefined) return problem;
      return { ...problem, pointer: `/${moved.index}/value`, detail: `pipe ${moved.pipe}: ${problem.detail}` };
    });
    return { ok: false, problems: own, total: read.total };
  }
  return { ok: true, document: into, taken: stated.map(({ index }) => readings[index].id) };
}

const under = (pointer: string, above: string): boolean => pointer === above || pointer.startsWith(`${above}/`);

/** The reading that wrote on an end of the pipe that a problem is of: a level that is wrong shows in the pipes beside it. */
function endMoved(document: Fields, pointer: string, written: readonly { index: number; pointer: string }[]) {
  const position = /^\/pipes\/(\d+)(?:\/|$)/.exec(pointer)?.[1];
  const pipe = position === undefined ? undefined : listOf(document, "pipes")[Number(position)];
  if (pipe === undefined) return undefined;
  const ends = [pipe.from, pipe.to].map((id) => `/nodes/${indexOf(document, "nodes", String(id))}`);
  const by = written.find((each) => ends.some((end) => under(each.pointer, end)));
  return by === undefined ? undefined : { index: by.index, pipe: String(pipe.id) };
}

const listOf = (document: Fields, part: Part): readonly Fields[] =>
  Array.isArray(document[part]) ? (document[part] as Fields[]) : [];

const indexOf = (document: Fields, part: Part, id: string): number =>
  listOf(document, part).findIndex((each) => each.id === id);

/** Sets a field of a field; groups on the way are made where they are missing. */
function set(element: Fields, path: readonly string[], value: unknown): void {
  let at = element;
  for (const name of path.slice(0, -1)) {
    const inner = Object.hasOwn(at, name) ? at[name] : undefined;
    const group = typeof inner === "object" && inner !== null && !Array.isArray(inner) ? { ...(inner as Fields) } : {};
    Object.defineProperty(at, name, { value: group, enumerable: true, configurable: true, writable: true });
    at = group;
  }
  const last = path[path.length - 1];
  Object.defineProperty(at, last, { value, enumerable: true, configurable: true, writable: true });
}

const at = (reading: Reading): { part: Part; id: string } =>
  reading.pipe === null
    ? { part: "nodes", id: reading.node ?? reading.fanCoil ?? "" }
    : { part: "pipes", id: reading.pipe };

/** A switch that was tested, and of which nothing else is said, works. */
const WORDS_OF_YES = new Set<unknown>([null, true, "yes"]);

/** The overflow device that a reading at a node is of: the one there, or the one that its attribute names. */
function deviceOf({ node, fanCoil, attribute }: Reading, document: Fields): string {
  const here = listOf(document, "overflowDevices").filter((each) => each.at === (node ?? fanCoil));
  if (attribute !== null) return attribute;
  if (here.length !== 1)
    throw new Unreadable(
      "/attribute",
      here.length === 0 ? "no overflow device is written down there" : "several overflow devices are there",
      "name the device as the attribute",
    );
  return String(here[0].id);
}

const deviceState =
  (state: string) =>
  (reading: Reading, document: Fields): Statement[] => [
    { part: "overflowDevices", id: deviceOf(reading, document), field: "state", value: state },
  ];

/** What each type of observation says of the network; types that are not here say nothing of it. */
const SAYS: ReadonlyMap<ObservationType, (reading: Reading, document: Fields) => Statement[]> = new Map([
  [
    "inspection",
    (reading: Reading) => {
      // an inspection that measured nothing is a note
      if (reading.attribute === null || reading.value === null) return [];
      if (reading.attribute === "id" || reading.attribute === "kind")
        throw new Unreadable("/attribute", `${reading.attribute} is not measured`, "post the changed network instead");
      return [{ ...at(reading), field: reading.attribute, value: reading.value }];
    },
  ],
  [
    "level-reading",
    (reading: Reading) => {
      if (reading.value === null)
        throw new Unreadable("/value", "the level is missing", "say the level in the document's datum");
      if (reading.pipe !== null && reading.attribute !== "fromInvert" && reading.attribute !== "toInvert")
        throw new Unreadable("/attribute", "which end of the pipe is meant is missing", "say fromInvert or toInvert");
      return [{ ...at(reading), field: reading.attribute ?? "elevation", value: reading.value }];
    },
  ],
  [
    "grade-reading",
    (reading: Reading) => {
      if (reading.pipe === null) throw new Unreadable("", "a grade is one of a pipe", "name the pipe");
      if (reading.value === null) throw new Unreadable("/value", "the grade is missing", 'for example "1.2 %"');
      return [{ ...at(reading), field: "grade", value: reading.value }];
    },
  ],
  [
    "cleaned",
    (reading: Reading, document: Fields) => {
      const pipes =
        reading.pipe !== null
          ? [reading.pipe]
          : listOf(document, "pipes")
              .filter(({ from, role }) => from === (reading.node ?? reading.fanCoil) && (role ?? "drain") === "drain")
              .map(({ id }) => String(id));
      return pipes.map((id): Statement => ({ part: "pipes", id, field: "lastCleaned", value: reading.time }));
    },
  ],
  ["trap-primed", (reading: Reading) => [{ ...at(reading), field: "primed", value: true }]],
  ["cap-found-open", (reading: Reading) => [{ ...at(reading), field: "capped", value: false }]],
  ["switch-jumpered", deviceState("jumpered")],
  [
    "switch-tested",
    (reading: Reading, document: Fields) => {
      const { value } = reading;
      if (typeof value !== "object" || value === null)
        return deviceState(WORDS_OF_YES.has(value) ? "working" : "failed")(reading, document);
      // of a test sheet: whether what it stops did stop
      const { stopped } = value as Fields;
      return stopped === undefined
        ? []
        : deviceState(WORDS_OF_YES.has(stopped) ? "working" : "failed")(reading, document);
    },
  ],
]);
