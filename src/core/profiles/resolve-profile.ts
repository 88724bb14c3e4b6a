import { distance } from "fastest-levenshtein";
import { materials } from "../materials/materials.js";
import type { UnitSystem } from "../quantity/unit-system.js";
import { parseQuantity } from "../quantity/units.js";
import type { MaterialList } from "./material-lists.js";
import {
  CONNECTIONS,
  DISCHARGES,
  type Discharge,
  firmRuling,
  type OutletConnections,
  RULINGS,
  type Ruling,
} from "./outlets.js";
import {
  type AcceptedMethod,
  type EquivalentTable,
  type Limit,
  type LimitName,
  OVERFLOW_METHODS,
  type Profile,
  type SizeRow,
  type SizeTable,
} from "./profile.js";
import { profileById, profiles } from "./profiles.js";
import { SPACED_MATERIALS, type SpacingRow, type SpacingTable } from "./support-spacing.js";

export interface OverrideProblem {
  /** JSON pointer relative to the overrides: `/fall.minimumGrade`; empty: the base itself */
  readonly pointer: string;
  readonly code: "unknown-profile" | "unknown-field" | "bad-value" | "bad-unit";
  readonly detail: string;
  readonly hint: string;
}

export type ResolvedProfile =
  | { readonly ok: true; readonly profile: Profile }
  | { readonly ok: false; readonly problems: readonly OverrideProblem[] };

/** What a limit may be, SI base: outside it the figure is a mistake. */
const RANGES: Readonly<Record<LimitName, readonly [least: number, greatest: number]>> = {
  "fall.minimumGrade": [0, 1],
  "fall.recommendedGrade": [0, 1],
  "fall.minimumRunJudged": [0, 1000],
  "fall.backFallIgnored": [0, 0.1],
  "fall.poolShallow": [0, 1],
  "fall.poolShallowSmallBore": [0, 0.1],
  "capacity.maximumFill": [0.01, 0.938],
  "capacity.riserFraction": [0.01, 1],
  "capacity.manningN": [0.001, 0.1],
  "load.ratePerCapacity": [0, 1e-9],
  "trap.drawThroughMargin": [0, 1],
  "trap.blowThroughMargin": [0, 1],
  "trap.evaporation": [1e-12, 1e-6],
  "size.minimum": [1, 2000],
  "outlet.airGapFactor": [0, 10],
  "outlet.airGapMinimum": [0, 1],
  "overflow.auxiliaryPanDepth": [0, 1],
  "overflow.auxiliaryPanOverhang": [0, 2],
  "overflow.secondarySize": [1, 2000],
  "overflow.afterRun": [0, 1],
  "access.reach": [0, 1000],
  "access.reachTurn": [0, 3600],
  "access.maximumLength": [0, 1000],
  "access.maximumTurn": [0, 3600],
  "support.ceilingTemperature": [-50, 150],
  "sweat.waterTemperature": [0, 50],
  "sweat.filmCoefficient": [0.5, 100],
  "sweat.filmCoefficientFoil": [0.5, 100],
  "sweat.conductivity": [0.001, 10],
  "sweat.margin": [0, 20],
};

/** As long as a site may state, days. */
const LONGEST_SEASON = 3660;

type Reading<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problem: Omit<OverrideProblem, "pointer">; readonly at?: string };

const bad = (detail: string, hint: string, at = "", code: OverrideProblem["code"] = "bad-value"): Reading<never> => ({
  ok: false,
  problem: { code, detail, hint },
  at,
});

const readFigure = (given: unknown, limit: Limit, system: UnitSystem): Reading<number> => {
  if (typeof given !== "number" && typeof given !== "string")
    return bad(`${limit.name} is a figure`, "write a number, or a string with its unit");
  const parsed = parseQuantity(limit.kind, given, system);
  if (!parsed.ok) return bad(parsed.detail, parsed.hint, "", "bad-unit");
  const [least, greatest] = RANGES[limit.name as LimitName];
  if (parsed.value < least || parsed.value > greatest)
    return bad(`${String(given)} is out of range for ${limit.name}`, "check the figure and its unit");
  return { ok: true, value: parsed.value };
};

const readWord = <W extends string>(given: unknown, words: readonly W[]): Reading<W> => {
  const word = words.find((each) => each === given);
  return word === undefined
    ? bad("not one of the words it may be", `write one of ${words.map((each) => `"${each}"`).join(", ")}`)
    : { ok: true, value: word };
};

const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** `[{ "upTo": "20 ton", "size": "3/4 in" }, …]`, both columns rising. */
const readTable = (given: unknown, system: UnitSystem): Reading<SizeTable> => {
  const hint = 'write rows such as [{ "upTo": "20 ton", "size": "3/4 in" }], each larger than the one before';
  if (!Array.isArray(given) || given.length === 0 || given.length > 50)
    return bad("a table of 1 to 50 rows is wanted", hint);
  const rows: SizeRow[] = [];
  for (const [index, row] of given.entries()) {
    if (!isRecord(row)) return bad("a row is an object", hint, `/${index}`);
    const { upTo, size } = row;
    for (const key of Object.keys(row))
      if (key !== "upTo" && key !== "size") return bad(`unknown field "${key}"`, hint, `/${index}`, "unknown-field");
    if (
      (typeof upTo !== "number" && typeof upTo !== "string") ||
      (typeof size !== "number" && typeof size !== "string")
    )
      return bad("a row has upTo (a cooling capacity) and size", hint, `/${index}`);
    const capacity = parseQuantity("cooling-capacity", upTo, system);
    if (!capacity.ok) return bad(capacity.detail, capacity.hint, `/${index}/upTo`, "bad-unit");
    const nominal = parseQuantity("size", size, system);
    if (!nominal.ok) return bad(nominal.detail, nominal.hint, `/${index}/size`, "bad-unit");
    const last = rows.at(-1);
    if (capacity.value <= (last?.upTo ?? 0) || nominal.value < (last?.size ?? 1))
      return bad("rows must rise", hint, `/${index}`);
    rows.push({ upTo: capacity.value, size: nominal.value });
  }
  return { ok: true, value: { rows, source: "firm", confidence: "firm" } };
};

/** One spacing for every size, or `[{ "upTo": "1 in", "spacing": "3 ft" }, { "spacing": "4 ft" }]` by rising size. */
const readSpacing = (given: unknown, system: UnitSystem): Reading<SpacingTable> => {
  const hint = 'write a spacing, or rows such as [{ "upTo": "1 in", "spacing": "3 ft" }, { "spacing": "4 ft" }]';
  const firm = { upright: Number.NaN, source: "firm", confidence: "firm" } as const;
  const spacingOf = (figure: unknown, at: string): Reading<number> => {
    if (typeof figure !== "number" && typeof figure !== "string") return bad("a spacing is a length", hint, at);
    const parsed = parseQuantity("length", figure, system);
    if (!parsed.ok) return bad(parsed.detail, parsed.hint, at, "bad-unit");
    return parsed.value > 0 && parsed.value <= 100
      ? { ok: true, value: parsed.value }
      : bad(`${String(figure)} is out of range for a spacing`, "check the figure and its unit", at);
  };
  if (!Array.isArray(given)) {
    const one = spacingOf(given, "");
    return one.ok ? { ok: true, value: [{ upTo: Number.POSITIVE_INFINITY, spacing: one.value, ...firm }] } : one;
  }
  if (given.length === 0 || given.length > 50) return bad("a table of 1 to 50 rows is wanted", hint);
  const rows: SpacingRow[] = [];
  for (const [index, row] of given.entries()) {
    if (!isRecord(row)) return bad("a row is an object", hint, `/${index}`);
    for (const key of Object.keys(row))
      if (key !== "upTo" && key !== "spacing") return bad(`unknown field "${key}"`, hint, `/${index}`, "unknown-field");
    const isLast = index === given.length - 1;
    if ((row.upTo === undefined) !== isLast)
      return bad(
        isLast ? "the last row is for every larger size" : "a row before the last has upTo",
        hint,
        `/${index}`,
      );
    let upTo = Number.POSITIVE_INFINITY;
    if (row.upTo !== undefined) {
      if (typeof row.upTo !== "number" && typeof row.upTo !== "string")
        return bad("upTo is a nominal size", hint, `/${index}/upTo`);
      const size = parseQuantity("size", row.upTo, system);
      if (!size.ok) return bad(size.detail, size.hint, `/${index}/upTo`, "bad-unit");
      upTo = size.value;
    }
    if (upTo <= (rows.at(-1)?.upTo ?? 0)) return bad("rows must rise", hint, `/${index}`);
    const spacing = spacingOf(row.spacing, `/${index}/spacing`);
    if (!spacing.ok) return spacing;
    rows.push({ upTo, spacing: spacing.value, ...firm });
  }
  return { ok: true, value: rows };
};

/** `[{ "size": "3/4 in", "insideDiameter": 20 }, …]`, one row for each size. */
const readEquivalents = (given: unknown, system: UnitSystem): Reading<EquivalentTable> => {
  const hint = 'write rows such as [{ "size": "3/4 in", "insideDiameter": "20 mm" }], both rising';
  if (!Array.isArray(given) || given.length === 0 || given.length > 50)
    return bad("a table of 1 to 50 rows is wanted", hint);
  const rows: { size: number; bore: number }[] = [];
  for (const [index, row] of given.entries()) {
    if (!isRecord(row)) return bad("a row is an object", hint, `/${index}`);
    for (const key of Object.keys(row))
      if (key !== "size" && key !== "insideDiameter")
        return bad(`unknown field "${key}"`, hint, `/${index}`, "unknown-field");
    const { size, insideDiameter } = row;
    if (
      (typeof size !== "number" && typeof size !== "string") ||
      (typeof insideDiameter !== "number" && typeof insideDiameter !== "string")
    )
      return bad("a row has size and insideDiameter", hint, `/${index}`);
    const nominal = parseQuantity("size", size, system);
    if (!nominal.ok) return bad(nominal.detail, nominal.hint, `/${index}/size`, "bad-unit");
    const bore = parseQuantity("dimension", insideDiameter, system);
    if (!bore.ok) return bad(bore.detail, bore.hint, `/${index}/insideDiameter`, "bad-unit");
    const last = rows.at(-1);
    if (nominal.value <= (last?.size ?? 0) || bore.value <= (last?.bore ?? 0))
      return bad("rows must rise", hint, `/${index}`);
    rows.push({ size: nominal.value, bore: bore.value });
  }
  return { ok: true, value: { rows: rows.reverse(), source: "firm", confidence: "firm" } };
};

/** `["secondary-drain", …]`, at least one, each once. */
const readMethods = (given: unknown): Reading<readonly AcceptedMethod[]> => {
  const hint = `write a list of ${OVERFLOW_METHODS.map((each) => `"${each}"`).join(", ")}`;
  if (!Array.isArray(given) || given.length === 0) return bad("a list of methods is wanted", hint);
  const methods: AcceptedMethod[] = [];
  for (const [index, word] of given.entries()) {
    const method = OVERFLOW_METHODS.find((each) => each === word);
    if (method === undefined) return bad("not a method of protection", hint, `/${index}`);
    if (methods.some((known) => known.method === method)) return bad("listed twice", "list it once", `/${index}`);
    methods.push({ method, edition: "as the firm says", source: "firm", confidence: "firm" });
  }
  return { ok: true, value: methods };
};

const quoted = (words: readonly string[]): string => words.map((each) => `"${each}"`).join(", ");

/** `{ "exterior-grade": "allowed", … }`; places that are not named keep the profile's ruling. */
const readPlaces = (given: unknown): Reading<Partial<Record<Discharge, Ruling>>> => {
  if (!isRecord(given)) return bad("an object of places is wanted", 'write { "exterior-grade": "allowed" }');
  const places: Partial<Record<Discharge, Ruling>> = {};
  for (const [name, word] of Object.entries(given)) {
    const discharge = DISCHARGES.find((each) => each === name);
    const at = `/${escapePointer(name)}`;
    if (discharge === undefined)
      return bad(`"${name.slice(0, 64)}" is no place to discharge`, `places are ${quoted(DISCHARGES)}`, at);
    const ruling = readWord(word, RULINGS);
    if (!ruling.ok) return { ...ruling, at };
    places[discharge] = firmRuling(ruling.value);
  }
  return { ok: true, value: places };
};

/** `{ "direct": "ask" }`, or by place: `{ "direct": { "fixture-tailpiece": "allowed" } }`. */
const readConnections = (given: unknown, own: OutletConnections): Reading<OutletConnections> => {
  if (!isRecord(given)) return bad("an object of connections is wanted", 'write { "direct": "ask" }');
  const connections = { ...own };
  for (const [name, part] of Object.entries(given)) {
    const connection = CONNECTIONS.find((each) => each === name);
    const at = `/${escapePointer(name)}`;
    if (connection === undefined)
      return bad(`"${name.slice(0, 64)}" is no connection`, `connections are ${quoted(CONNECTIONS)}`, at);
    if (isRecord(part)) {
      const read = readPlaces(part);
      if (!read.ok) return { ...read, at: at + (read.at ?? "") };
      const { except } = connections[connection];
      connections[connection] = { ...connections[connection], except: { ...except, ...read.value } };
    } else {
      const ruling = readWord(part, RULINGS);
      if (!ruling.ok) return { ...ruling, at };
      connections[connection] = { ...firmRuling(ruling.value), except: {} };
    }
  }
  return { ok: true, value: connections };
};

/** An edition that the profile lists, or the firm's own list of materials. */
const readMaterials = (given: unknown, lists: readonly MaterialList[]): Reading<readonly MaterialList[]> => {
  if (typeof given === "string") {
    const list = lists.find(({ edition }) => edition === given);
    if (list !== undefined) return { ok: true, value: [list] };
    const editions = lists.map(({ edition }) => edition);
    return editions.length === 0
      ? bad("the profile lists no editions", 'write a list of materials, such as ["pvc-sch40", "copper-l"]')
      : bad("not an edition that is listed", `write one of ${quoted(editions)}, or a list of materials`);
  }
  if (!Array.isArray(given) || given.length === 0)
    return bad("a list of materials is wanted", 'write a list such as ["pvc-sch40", "copper-l"]');
  for (const [index, id] of given.entries())
    if (!materials.some((each) => each.id === id))
      return bad("not a material", `materials are ${quoted(materials.map((each) => each.id))}`, `/${index}`);
  return {
    ok: true,
    value: [{ edition: "as the firm says", materials: given, source: "firm", confidence: "firm" }],
  };
};

type Draft = { -readonly [K in keyof Profile]: Profile[K] };

/** Overrides that are no single figure: how each is read and where it goes. */
const OTHERS: ReadonlyMap<string, (given: unknown, draft: Draft, system: UnitSystem) => Reading<unknown>> = new Map<
  string,
  (given: unknown, draft: Draft, system: UnitSystem) => Reading<unknown>
>([
  [
    "size.table",
    (given, draft, system) => {
      const read = readTable(given, system);
      if (read.ok) draft.codeTable = read.value;
      return read;
    },
  ],
  [
    "size.practice",
    (given, draft, system) => {
      const read = readTable(given, system);
      if (read.ok) draft.practiceTable = read.value;
      return read;
    },
  ],
  [
    "size.aboveTable",
    (given, draft) => {
      const read = readWord(given, ["hydraulic", "undetermined"]);
      if (read.ok) draft.aboveTable = read.value;
      return read;
    },
  ],
  [
    "size.minimumBasis",
    (given, draft) => {
      const read = readWord(given, ["pipe-size", "inside-diameter"]);
      if (read.ok) draft.sizeBasis = read.value;
      return read;
    },
  ],
  [
    "outlet.places",
    (given, draft) => {
      const read = readPlaces(given);
      if (read.ok) draft.outletPlaces = { ...draft.outletPlaces, ...read.value };
      return read;
    },
  ],
  [
    "outlet.connections",
    (given, draft) => {
      const read = readConnections(given, draft.outletConnections);
      if (read.ok) draft.outletConnections = read.value;
      return read;
    },
  ],
  [
    "install.materials",
    (given, draft) => {
      const read = readMaterials(given, draft.materialLists);
      if (read.ok) draft.materialLists = read.value;
      return read;
    },
  ],
  [
    "overflow.methods",
    (given, draft) => {
      const read = readMethods(given);
      if (read.ok) draft.overflowMethods = read.value;
      return read;
    },
  ],
  [
    "overflow.inLineDevice",
    (given, draft) => {
      const read = readWord(given, ["accepted", "beside-second-line"]);
      if (read.ok) draft.inLineDevice = read.value;
      return read;
    },
  ],
  [
    "overflow.exemption",
    (given, draft) => {
      const read = readWord(given, ["none", "lay-in-tiles"]);
      if (read.ok) draft.overflowExemption = read.value;
      return read;
    },
  ],
  [
    "vent.rule",
    (given, draft) => {
      const read = readWord(given, ["trip", "rim", "spill-at-vent"]);
      if (read.ok) draft.ventRule = read.value;
      return read;
    },
  ],
  [
    "idleDays",
    (given, draft) => {
      if (typeof given !== "number" || !(given >= 0 && given <= LONGEST_SEASON))
        return bad("an idle season is a number of days", `write a number from 0 to ${LONGEST_SEASON}`);
      draft.idleDays = given;
      return { ok: true, value: given };
    },
  ],
  [
    "nominalEquivalents",
    (given, draft, system) => {
      const read = readEquivalents(given, system);
      if (read.ok) draft.nominalEquivalents = read.value;
      return read;
    },
  ],
  ...SPACED_MATERIALS.map(
    (material): [string, (given: unknown, draft: Draft, system: UnitSystem) => Reading<unknown>] => [
      `support.spacing.${material}`,
      (given, draft, system) => {
        const read = readSpacing(given, system);
        if (read.ok) draft.supportSpacing = new Map(draft.supportSpacing).set(material, read.value);
        return read;
      },
    ],
  ),
]);

/** Names that overrides accept. */
export const OVERRIDE_NAMES: readonly string[] = [...Object.keys(RANGES), ...OTHERS.keys()];

const nearest = (name: string, known: readonly string[]): string =>
  known.reduce((best, each) => (distance(name, each) < distance(name, best) ? each : best));

const escapePointer = (token: string): string => token.replace(/~/g, "~0").replace(/\//g, "~1");

/**
 * A profile with the firm's own figures in place of the published ones.
 * @param base id of a profile
 * @param overrides by name of limit; numbers in the document's units or strings with a unit
 * @param system what a bare number means
 * @returns the profile (overridden figures have the source `firm`), or every problem with its pointer
 */
export const resolveProfile = (
  base: string,
  overrides: Readonly<Record<string, unknown>>,
  system: UnitSystem,
): ResolvedProfile => {
  const found = profileById(base);
  if (found === undefined) {
    const ids = profiles.map(({ id }) => id);
    return {
      ok: false,
      problems: [
        {
          pointer: "",
          code: "unknown-profile",
          detail: `no profile "${base.slice(0, 64)}"`,
          hint: `profiles are ${ids.join(", ")}`,
        },
      ],
    };
  }
  const entries = Object.entries(overrides);
  if (entries.length === 0) return { ok: true, profile: found };
  const draft: Draft = { ...found };
  const limits = new Map(found.limits);
  const problems: OverrideProblem[] = [];
  const overridden: string[] = [];
  for (const [name, given] of entries) {
    const pointer = `/${escapePointer(name)}`;
    const limit = found.limits.get(name as LimitName);
    const other = OTHERS.get(name);
    let read: Reading<unknown>;
    if (limit !== undefined) {
      const figure = readFigure(given, limit, system);
      if (figure.ok)
        limits.set(name as LimitName, {
          ...limit,
          value: figure.value,
          source: "firm",
          confidence: "firm",
          overridden: true,
        });
      // A firm that states a spacing means it to be kept.
      if (figure.ok && (name === "access.maximumLength" || name === "access.maximumTurn")) draft.cleanoutSpacing = true;
      read = figure;
    } else if (other !== undefined) read = other(given, draft, system);
    else
      read = bad(
        `the profile has no "${name.slice(0, 64)}"`,
        `did you mean "${nearest(name.slice(0, 64), OVERRIDE_NAMES)}"?`,
        "",
        "unknown-field",
      );
    if (read.ok) overridden.push(name);
    else problems.push({ pointer: pointer + (read.at ?? ""), ...read.problem });
  }
  if (problems.length > 0) return { ok: false, problems };
  draft.limits = limits;
  draft.overridden = overridden.sort((a, b) => (a < b ? -1 : 1));
  return { ok: true, profile: draft };
};
