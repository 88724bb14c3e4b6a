import type { UnitSystem } from "../quantity/unit-system.js";
import { fromSi, parseQuantity } from "../quantity/units.js";
import { explain } from "./explain.js";
import { FIGURES } from "./figures.js";
import type { Flaws, LooseDocument } from "./flaws.js";
import { type ProblemList, quoted, step } from "./problems.js";
import {
  type RawCircuit,
  type RawDevice,
  type RawLevel,
  type RawNode,
  type RawPipe,
  type RawPlacement,
  type RawQuantity,
  type RawTypical,
  SECTIONS,
  Typical,
} from "./schema.js";

/** A document's placements may make this many elements together, stubs among them, */
export const MAX_PLACED = 500_000;
/** and this much text where they are written out. */
export const MAX_PLACED_CHARACTERS = 200_000_000;

export const PARTS = ["nodes", "pipes", "overflowDevices", "circuits"] as const;
export type Part = (typeof PARTS)[number];

/** Where an expanded element comes from. */
export interface Origin {
  readonly placement: number;
  readonly typical: string;
  /** position in the typical's list */
  readonly index: number;
  readonly local: string;
  readonly id: string;
  /** the placement, the typical's part, and what the placement's `set` says of it, as they are written */
  readonly raw: RawPlacement;
  readonly stated: unknown;
  readonly set: unknown;
  /** pointers of the joins at the ends of a pipe */
  readonly fromJoin: string | null;
  readonly toJoin: string | null;
}

/** What the placements of a document come to. Ids and levels are the document's; an ill-formed element is marked. */
export interface Placed {
  readonly nodes: RawNode[];
  readonly pipes: RawPipe[];
  readonly overflowDevices: RawDevice[];
  readonly circuits: RawCircuit[];
  readonly origins: Readonly<Record<Part, Origin[]>>;
  readonly illFormed: Readonly<Record<Part, number[]>>;
}

interface Fields {
  readonly [field: string]: unknown;
}
/** A typical whose parts have been looked at one by one. */
interface Fragment {
  readonly name: string;
  readonly parts: Readonly<Record<Part, readonly Fields[]>>;
  readonly ids: Readonly<Record<Part, ReadonlyMap<string, number>>>;
  readonly sound: Readonly<Record<Part, readonly boolean[]>>;
  readonly joints: ReadonlySet<string>;
  /** elements, with the two that each stub comes to */
  readonly size: number;
  /** about how much text they are, */
  readonly characters: number;
  /** and how many of its words get the placement's id before them */
  readonly names: number;
}

const isFields = (value: unknown): value is Fields =>
  typeof value === "object" && value !== null && !Array.isArray(value);
const textOf = (fields: Fields, field: string): string | undefined => {
  const value = Object.hasOwn(fields, field) ? fields[field] : undefined;
  return typeof value === "string" ? value : undefined;
};

const isJoin = (to: unknown): boolean =>
  typeof to === "string" ||
  (isFields(to) && typeof to.node === "string" && (typeof to.above === "number" || typeof to.above === "string"));

const STUBS = ["vent", "cleanout"] as const;

/** Paths to the fields of an element that are levels. */
const LEVEL_PATHS: Readonly<Record<Part, readonly (readonly string[])[]>> = {
  nodes: [
    ["elevation"],
    ["vent", "top"],
    ["auxiliaryPan", "floor"],
    ["liftTo"],
    ["sump", "rim"],
    ["sump", "startLevel"],
    ["waterLevel"],
    ["receptor", "rim"],
  ],
  pipes: [["fromInvert"], ["toInvert"]],
  overflowDevices: [["tripElevation"]],
  circuits: [],
};

/** Fields that are a group of further fields, of which a placement may give some and leave the typical's others. */
const GROUPS: ReadonlySet<string> = new Set([
  "pan",
  "secondary",
  "auxiliaryPan",
  "connection",
  "trapRequirement",
  "internalPump",
  "sump",
  "receptor",
  "vent",
  "cleanout",
  "insulation",
  "onTrip",
]);

/** A typical's fields with a placement's over them; null takes a field away (as RFC 7396 merges). */
const mergedFields = (fields: Fields, given: Fields): Fields => {
  const merged = new Map(Object.entries(fields));
  for (const [field, value] of Object.entries(given)) {
    const known = merged.get(field);
    if (value === null) merged.delete(field);
    else if (GROUPS.has(field) && isFields(value)) merged.set(field, mergedFields(isFields(known) ? known : {}, value));
    else merged.set(field, value);
  }
  return Object.fromEntries(merged);
};

const readFragment = (name: string, raw: RawTypical, problems: ProblemList): Fragment => {
  const base = `/typicals${step(name)}`;
  const joints = new Set(raw.joints ?? []);
  const parts = {
    nodes: raw.nodes,
    pipes: raw.pipes,
    overflowDevices: raw.overflowDevices ?? [],
    circuits: raw.circuits ?? [],
  };
  const ids: Record<Part, Map<string, number>> = {
    nodes: new Map(),
    pipes: new Map(),
    overflowDevices: new Map(),
    circuits: new Map(),
  };
  const sound: Record<Part, boolean[]> = { nodes: [], pipes: [], overflowDevices: [], circuits: [] };
  for (const part of PARTS)
    parts[part].forEach((fields, i) => {
      const at = `${base}/${part}/${i}`;
      sound[part].push(!explain(SECTIONS[part], fields, at, problems));
      const id = textOf(fields, "id");
      if (id === undefined) return;
      if (ids[part].has(id))
        problems.add(`${at}/id`, "duplicate-id", `the local id ${quoted(id)} is taken`, "give it an id of its own");
      else ids[part].set(id, i);
      if (part === "nodes" && joints.has(id))
        problems.add(`${at}/id`, "duplicate-id", `${quoted(id)} is a joint`, "a joint is not a node of its own");
    });
  // what a stub expands to may be referred to as well
  for (const [id, i] of [...ids.nodes])
    for (const stub of STUBS)
      if (Object.hasOwn(parts.nodes[i], stub) && !ids.nodes.has(`${id}/${stub}`)) ids.nodes.set(`${id}/${stub}`, i);
  const fragment = { name, parts, ids, sound, joints, ...extentOf(name, parts) };
  checkReferences(fragment, base, problems);
  return fragment;
};

const extentOf = (
  name: string,
  parts: Readonly<Record<Part, readonly Fields[]>>,
): Pick<Fragment, "size" | "characters" | "names"> => {
  let size = 0;
  let characters = 0;
  let names = 0;
  for (const part of PARTS)
    for (const fields of parts[part]) {
      const stubs = part === "nodes" ? STUBS.filter((stub) => Object.hasOwn(fields, stub)).length : 0;
      size += 1 + 2 * stubs;
      // a stub's node and pipe say again where they are and what they are made of
      characters += (1 + 2 * stubs) * (charactersOf(fields) + name.length);
      names += 4 * (1 + 2 * stubs);
      for (const list of [fields.devices, fields.stops]) if (Array.isArray(list)) names += list.length;
    }
  return { size, characters, names };
};

/** References inside a typical: to its own parts and joints alone. Told once, at the typical. */
const checkReferences = (fragment: Fragment, base: string, problems: ProblemList): void => {
  const { parts, ids, sound, joints } = fragment;
  const check = (value: unknown, known: ReadonlyMap<string, number>, orJoint: boolean, pointer: string): void => {
    if (typeof value !== "string" || known.has(value) || (orJoint && joints.has(value))) return;
    const near = problems.nearest(value, orJoint ? [...known.keys(), ...joints] : known.keys());
    problems.add(
      pointer,
      "unknown-reference",
      `the typical has no ${quoted(value)}`,
      near === undefined ? "name one of its own parts or joints" : `did you mean ${quoted(near)}?`,
    );
  };
  for (const part of PARTS)
    parts[part].forEach((fields, i) => {
      if (!sound[part][i]) return;
      const at = `${base}/${part}/${i}`;
      for (const path of LEVEL_PATHS[part]) {
        const level = valueAt(fields, path);
        if (isFields(level)) check(level.node, ids.nodes, true, `${at}/${path.join("/")}/node`);
      }
      if (part === "pipes") {
        check(fields.from, ids.nodes, true, `${at}/from`);
        check(fields.to, ids.nodes, true, `${at}/to`);
      } else if (part === "overflowDevices") {
        check(fields.at, ids.nodes, true, `${at}/at`);
        check(fields.circuit, ids.circuits, false, `${at}/circuit`);
      } else if (part === "circuits") {
        for (const [field, known] of [
          ["devices", ids.overflowDevices],
          ["stops", ids.nodes],
        ] as const)
          if (Array.isArray(fields[field]))
            (fields[field] as readonly unknown[]).forEach((each, k) => {
              check(each, known, false, `${at}/${field}/${k}`);
            });
      }
    });
};

const valueAt = (fields: Fields, path: readonly string[]): unknown => {
  let value: unknown = fields;
  for (const key of path) {
    if (!isFields(value) || !Object.hasOwn(value, key)) return undefined;
    value = value[key];
  }
  return value;
};

const withValueAt = (fields: Fields, path: readonly string[], value: unknown): Fields => {
  const [key, ...rest] = path;
  if (rest.length === 0) return { ...fields, [key]: value };
  const inner = fields[key];
  return isFields(inner) ? { ...fields, [key]: withValueAt(inner, rest, value) } : fields;
};

/** Decimal figures add up to what a person would write: 2.6 + 0.05 is 2.65. */
const tidy = (value: number): number => Number(value.toPrecision(12));

const inMetres = (raw: RawQuantity, system: UnitSystem): number => {
  const parsed = parseQuantity("length", raw, system);
  return parsed.ok ? parsed.value : Number.NaN;
};

/** Sum of two heights, as a bare number of the document. NaN where one is no length. */
const sumOf = (a: RawQuantity, b: RawQuantity, system: UnitSystem): number =>
  typeof a === "number" && typeof b === "number"
    ? tidy(a + b)
    : tidy(fromSi("length", inMetres(a, system) + inMetres(b, system), system));

/** No field of the document is as deep. */
const DEEPEST_FIELD = 8;

const onFloor = <T>(value: T, floor: string | null, depth = 0): T => {
  if (floor === null || depth > DEEPEST_FIELD) return value;
  if (typeof value === "string") return value.replaceAll("{floor}", () => floor) as T & string;
  if (Array.isArray(value)) return value.map((each) => onFloor(each as unknown, floor, depth + 1)) as T & unknown[];
  if (isFields(value))
    return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, onFloor(each, floor, depth + 1)])) as T &
      object;
  return value;
};

interface Job {
  readonly index: number;
  readonly raw: RawPlacement;
  readonly fragment: Fragment;
  readonly id: string;
  readonly floor: string | null;
  readonly dwelling: string | null;
  readonly owner: string | null;
  readonly at: RawLevel;
  readonly joins: ReadonlyMap<
    string,
    { readonly to: string | { readonly node: string; readonly above: RawQuantity }; readonly pointer: string }
  >;
}

/** Expands all placements of a document. What is wrong with them is told, at the placement or the typical. */
export const place = (
  document: LooseDocument,
  flaws: Flaws,
  floors: ReadonlySet<string>,
  system: UnitSystem,
  problems: ProblemList,
): Placed => {
  const placed: Placed = {
    nodes: [],
    pipes: [],
    overflowDevices: [],
    circuits: [],
    origins: { nodes: [], pipes: [], overflowDevices: [], circuits: [] },
    illFormed: { nodes: [], pipes: [], overflowDevices: [], circuits: [] },
  };
  const fragments = new Map<string, Fragment>();
  if (document.typicals !== undefined && !flaws.unusable.has("typicals"))
    // the schema's own record passes over the name __proto__
    for (const [name, raw] of Object.entries(document.typicals as Readonly<Record<string, RawTypical>>))
      if (!explain(Typical, raw, `/typicals${step(name)}`, problems))
        fragments.set(name, readFragment(name, raw, problems));
  const placements =
    Array.isArray(document.placements) && !flaws.unusable.has("placements")
      ? (document.placements as readonly RawPlacement[])
      : [];
  const taken = new Set<string>();
  if (tooMany(placements, flaws, fragments, problems)) return placed;
  for (let i = 0; i < placements.length; i += 1) {
    if (flaws.illFormed("placements")?.[i] === 1) continue;
    const raw = placements[i];
    const fragment = fragments.get(raw.typical);
    if (fragment === undefined) {
      if (flaws.unusable.has("typicals")) continue;
      const near = problems.nearest(raw.typical, fragments.keys());
      problems.add(
        `/placements/${i}/typical`,
        "unknown-reference",
        `there is no typical ${quoted(raw.typical)}`,
        near === undefined ? undefined : `did you mean ${quoted(near)}?`,
      );
      continue;
    }
    const before = problems.total;
    checkPlacement(raw, i, fragment, floors, system, problems);
    const sound = problems.total === before;
    for (const floor of raw.repeat?.floors ?? [null]) {
      const job = jobOf(raw, i, fragment, floor);
      if (taken.has(job.id))
        problems.add(
          `/placements/${i}/id`,
          "duplicate-id",
          `the placement id ${quoted(job.id)} is taken`,
          raw.repeat === undefined ? "give each placement an id of its own" : "write {floor} in the id",
        );
      else expandOne(job, sound, system, placed, problems);
      taken.add(job.id);
    }
  }
  return placed;
};

/** About how long a value is as JSON. Without recursion: what a caller hands over as an object may be of any depth. */
const charactersOf = (value: unknown): number => {
  let characters = 0;
  const open = [value];
  while (open.length > 0) {
    const each = open.pop();
    if (typeof each === "string") characters += each.length + 2;
    else if (typeof each === "object" && each !== null)
      for (const [key, inner] of Object.entries(each)) {
        characters += key.length + 4;
        open.push(inner);
      }
    else characters += 8;
  }
  return characters;
};

/** Whether the placements come to more than may be: a small document must not grow without bound. */
const tooMany = (
  placements: readonly RawPlacement[],
  flaws: Flaws,
  fragments: ReadonlyMap<string, Fragment>,
  problems: ProblemList,
): boolean => {
  let size = 0;
  let characters = 0;
  for (let i = 0; i < placements.length; i += 1) {
    if (flaws.illFormed("placements")?.[i] === 1) continue;
    const { typical, id, set, repeat } = placements[i];
    const fragment = fragments.get(typical);
    const times = fragment === undefined ? 0 : (repeat?.floors.length ?? 1);
    if (fragment === undefined || times === 0) continue;
    const settings = charactersOf(set);
    size += times * fragment.size;
    characters += times * (fragment.characters + settings + fragment.names * (id.length + 1));
    const what =
      size > MAX_PLACED
        ? `${MAX_PLACED} elements`
        : characters > MAX_PLACED_CHARACTERS
          ? `${MAX_PLACED_CHARACTERS} characters`
          : null;
    if (what === null) continue;
    problems.add(
      `/placements/${i}`,
      "too-many",
      `the placements come to more than ${what}`,
      "send one riser at a time",
    );
    return true;
  }
  return false;
};

/** What is wrong with a placement whatever the floor. */
const checkPlacement = (
  raw: RawPlacement,
  index: number,
  fragment: Fragment,
  floors: ReadonlySet<string>,
  system: UnitSystem,
  problems: ProblemList,
): void => {
  const base = `/placements/${index}`;
  const unknownFloor = (floor: string, pointer: string): void => {
    if (floors.has(floor)) return;
    const near = problems.nearest(floor, floors);
    problems.add(
      pointer,
      "unknown-reference",
      `there is no floor ${quoted(floor)}`,
      near === undefined ? undefined : `did you mean ${quoted(near)}?`,
    );
  };
  if (raw.repeat === undefined) {
    if (typeof raw.at === "object" && "floor" in raw.at) unknownFloor(raw.at.floor, `${base}/at/floor`);
  } else {
    raw.repeat.floors.forEach((floor, k) => {
      unknownFloor(floor, `${base}/repeat/floors/${k}`);
    });
    if (typeof raw.at !== "object" || !("floor" in raw.at))
      problems.add(
        `${base}/at`,
        "bad-placement",
        "a repeated placement stands on floors",
        'write { "floor": "{floor}", "above": … }',
      );
  }
  const above = typeof raw.at === "object" ? raw.at.above : raw.at;
  const parsed = parseQuantity("length", above, system);
  if (!parsed.ok)
    problems.add(`${base}/at${typeof raw.at === "object" ? "/above" : ""}`, "bad-quantity", parsed.detail, parsed.hint);
  const given = new Set([...Object.keys(raw.joins ?? {}), ...Object.keys(raw.repeat?.joins ?? {})]);
  for (const joint of fragment.joints)
    if (!given.has(joint))
      problems.add(
        `${base}/joins${step(joint)}`,
        "missing-field",
        `the joint ${quoted(joint)} is not joined to anything`,
        "name the node that it stands for",
      );
  for (const [joins, at] of [
    [raw.joins, `${base}/joins`],
    [raw.repeat?.joins, `${base}/repeat/joins`],
  ] as const)
    for (const [joint, to] of Object.entries(joins ?? {}))
      if (!isJoin(to)) problems.add(`${at}${step(joint)}`, "wrong-type", "a node or a level above one is wanted");
      else if (!fragment.joints.has(joint)) {
        const near = problems.nearest(joint, fragment.joints);
        problems.add(
          `${at}${step(joint)}`,
          "unknown-reference",
          `the typical has no joint ${quoted(joint)}`,
          near === undefined ? undefined : `did you mean ${quoted(near)}?`,
        );
      }
  for (const [local, fields] of Object.entries(raw.set ?? {}))
    if (!isFields(fields))
      problems.add(`${base}/set${step(local)}`, "wrong-type", "an object with fields of the part is wanted");
    else if (!PARTS.some((part) => fragment.ids[part].has(local)) || local.includes("/")) {
      const near = problems.nearest(
        local,
        PARTS.flatMap((part) => [...fragment.ids[part].keys()]),
      );
      problems.add(
        `${base}/set${step(local)}`,
        "unknown-reference",
        `the typical has no part ${quoted(local)}`,
        near === undefined ? undefined : `did you mean ${quoted(near)}?`,
      );
    } else
      for (const field of ["id", "kind"])
        if (Object.hasOwn(fields, field))
          problems.add(
            `${base}/set${step(local)}/${field}`,
            "bad-placement",
            `\`${field}\` belongs to the typical`,
            "make another typical",
          );
};

const jobOf = (raw: RawPlacement, index: number, fragment: Fragment, repeated: string | null): Job => {
  const at: RawLevel =
    repeated !== null && typeof raw.at === "object" && "floor" in raw.at
      ? { floor: repeated, above: raw.at.above }
      : raw.at;
  const floor = typeof at === "object" && "floor" in at ? at.floor : repeated;
  const joins: Map<string, { to: string | { node: string; above: RawQuantity }; pointer: string }> = new Map();
  for (const [given, pointer] of [
    [raw.joins, `/placements/${index}/joins`],
    [raw.repeat?.joins, `/placements/${index}/repeat/joins`],
  ] as const)
    for (const [joint, to] of Object.entries(given ?? {}))
      if (isJoin(to)) joins.set(joint, { to: onFloor(to, floor), pointer: `${pointer}${step(joint)}` });
  return {
    index,
    raw,
    fragment,
    id: onFloor(raw.id, floor),
    floor,
    dwelling: onFloor(raw.dwelling ?? null, floor),
    owner: onFloor(raw.owner ?? null, floor),
    at,
    joins,
  };
};

const expandOne = (
  job: Job,
  placementSound: boolean,
  system: UnitSystem,
  placed: Placed,
  problems: ProblemList,
): void => {
  const { fragment, raw, index } = job;
  for (const part of PARTS)
    fragment.parts[part].forEach((fields, i) => {
      const local = textOf(fields, "id") ?? "";
      const given = raw.set !== undefined && Object.hasOwn(raw.set, local) ? raw.set[local] : undefined;
      const id = `${job.id}/${local}`;
      let sound = placementSound && fragment.sound[part][i];
      let merged: Fields = fields;
      if (isFields(given)) {
        merged = { ...mergedFields(fields, onFloor(given, job.floor) as Fields), id: fields.id };
        if (part === "nodes" && Object.hasOwn(fields, "kind")) merged = { ...merged, kind: fields.kind };
        if (sound) sound = !explain(SECTIONS[part], merged, `/placements/${index}/set${step(local)}`, problems);
      }
      if ([...id].length > 128) {
        sound = false;
        problems.add(
          `/placements/${index}/id`,
          "too-long",
          `the id ${quoted(id)} is longer than 128 characters`,
          "shorten the placement's id or the typical's",
        );
      }
      const element = sound ? expanded(job, part, merged, system) : placeholder(job, part, merged, id);
      const target: unknown[] = placed[part];
      placed.illFormed[part].push(sound ? 0 : 1);
      placed.origins[part].push({
        placement: index,
        typical: fragment.name,
        index: i,
        local,
        id,
        raw,
        stated: fields,
        set: given,
        fromJoin: part === "pipes" ? joinPointer(job, fields.from) : null,
        toJoin: part === "pipes" ? joinPointer(job, fields.to) : null,
      });
      target.push(element);
    });
};

/** What can be told of an element that has a problem: its id, its kind, and which nodes a pipe touches. */
const placeholder = (job: Job, part: Part, fields: Fields, id: string): Fields => {
  if (part !== "pipes") return { ...fields, id };
  const end = (named: unknown): string | undefined => {
    if (typeof named !== "string") return undefined;
    if (job.fragment.ids.nodes.has(named) || job.joins.has(named)) return nodeOf(job, named);
    return undefined;
  };
  return { ...fields, id, from: end(fields.from), to: end(fields.to) };
};

const joinPointer = (job: Job, end: unknown): string | null =>
  typeof end === "string" && job.fragment.joints.has(end) ? (job.joins.get(end)?.pointer ?? null) : null;

/** Node that a local id or joint stands for. */
const nodeOf = (job: Job, local: string): string => {
  if (!job.fragment.joints.has(local)) return `${job.id}/${local}`;
  const to = job.joins.get(local)?.to;
  return to === undefined ? `${job.id}/${local}` : typeof to === "string" ? to : to.node;
};

const expanded = (job: Job, part: Part, fields: Fields, system: UnitSystem): Fields => {
  const local = String(fields.id);
  let made: Fields = { ...fields, id: `${job.id}/${local}`, typical: `${job.fragment.name}/${local}` };
  for (const path of LEVEL_PATHS[part]) {
    const level = valueAt(made, path) as RawLevel | undefined;
    if (level !== undefined) made = withValueAt(made, path, shifted(job, level, system));
  }
  switch (part) {
    case "nodes":
      made = withDefaults(made, {
        floor: job.floor,
        dwelling: job.dwelling,
        serves: made.kind === "fan-coil" ? job.dwelling : null,
        owner: job.owner,
        zone: job.raw.zone,
      });
      for (const [axis, k] of [
        ["x", 0],
        ["y", 1],
      ] as const) {
        const own = made[axis];
        if (own !== undefined && job.raw.origin !== undefined)
          made = { ...made, [axis]: shiftedPlan(own as RawQuantity, job.raw.origin[k], system) };
      }
      return made;
    case "pipes":
      made = withDefaults(made, { owner: job.owner, zone: job.raw.zone });
      return withJoin(job, withJoin(job, made, "from", "fromInvert"), "to", "toInvert");
    case "overflowDevices":
      made = { ...made, at: nodeOf(job, made.at as string) };
      return made.circuit === undefined ? made : { ...made, circuit: `${job.id}/${String(made.circuit)}` };
    default: {
      const prefixed = (list: unknown): unknown =>
        Array.isArray(list) ? list.map((each) => `${job.id}/${String(each)}`) : list;
      if (made.devices !== undefined) made = { ...made, devices: prefixed(made.devices) };
      return made.stops === undefined ? made : { ...made, stops: prefixed(made.stops) };
    }
  }
};

/** What the placement says for all its parts, where a part says nothing itself. */
const withDefaults = (made: Fields, defaults: Readonly<Record<string, string | null | undefined>>): Fields => ({
  ...made,
  ...Object.fromEntries(
    Object.entries(defaults).filter(([field, value]) => typeof value === "string" && made[field] === undefined),
  ),
});

/** A pipe's end at the node that it names; at a joint with a level of its own, at that level. */
const withJoin = (job: Job, pipe: Fields, end: "from" | "to", invert: "fromInvert" | "toInvert"): Fields => {
  const named = pipe[end] as string;
  const to = job.fragment.joints.has(named) ? job.joins.get(named)?.to : undefined;
  const made = { ...pipe, [end]: nodeOf(job, named) };
  return typeof to === "object" && made[invert as keyof typeof made] === undefined ? { ...made, [invert]: to } : made;
};

/** A level of the typical in its place: bare, it is above the placement. */
const shifted = (job: Job, level: RawLevel, system: UnitSystem): RawLevel => {
  if (typeof level === "object") return "node" in level ? { node: nodeOf(job, level.node), above: level.above } : level;
  if (typeof job.at !== "object") return finiteOr(sumOf(job.at, level, system), level);
  const above = finiteOr(sumOf(job.at.above, level, system), level);
  return "floor" in job.at ? { floor: job.at.floor, above } : { node: job.at.node, above };
};

const shiftedPlan = (own: RawQuantity, origin: RawQuantity, system: UnitSystem): RawQuantity =>
  finiteOr(sumOf(own, origin, system), own);

/** What is no length stays as it is written, and is told when the element is read. */
const finiteOr = (value: number, otherwise: RawQuantity): RawQuantity =>
  Number.isFinite(value) && Math.abs(value) <= FIGURES.plan.max * 4 ? value : otherwise;
