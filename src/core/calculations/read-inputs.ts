import { distance } from "fastest-levenshtein";
import { STANDARD_PRESSURE } from "../physics/constants.js";
import type { AirStateInput } from "../physics/moist-air.js";
import { SI_UNIT } from "../quantity/si-unit.js";
import { parseQuantity } from "../quantity/units.js";
import { AIR_PART_NAMES, AIR_PARTS, airFlaw, HUMIDITIES } from "./air-state.js";
import type { Alternative, Calculation, FigureKind, InputSpec, Standard } from "./calculation.js";

/** What is wrong with the inputs of a calculation, at one place of them. */
export interface InputProblem {
  /** JSON pointer into the inputs */
  readonly pointer: string;
  readonly code: string;
  readonly detail: string;
  readonly hint?: string;
}

/** How many problems are listed; all are counted. */
const MAX_LISTED = 100;

/** Figures that a list may have. */
export const MAX_FIGURES = 50;

export type ReadInputs =
  | {
      readonly ok: true;
      /** by name, SI base; null where not given and nothing stands for it */
      readonly values: Readonly<Record<string, unknown>>;
      /** names of the inputs that are taken to be their standard */
      readonly assumed: ReadonlyMap<string, Standard>;
    }
  | { readonly ok: false; readonly problems: readonly InputProblem[]; readonly total: number };

type Raw = Readonly<Record<string, unknown>>;

const isRecord = (value: unknown): value is Raw => typeof value === "object" && value !== null && !Array.isArray(value);

const own = (raw: Raw, name: string): unknown => (Object.hasOwn(raw, name) ? raw[name] : undefined);

/** A caller's own word inside a sentence: short and quoted. */
const quoted = (text: string): string => JSON.stringify(text.length > 64 ? `${text.slice(0, 60)}…` : text);

/** One step of a JSON pointer (RFC 6901). */
const step = (key: string): string => `/${key.replace(/~/g, "~0").replace(/\//g, "~1")}`;

const listed = (words: readonly string[]): string => words.join(", ");

/** `did you mean …?` where a known name is near enough to be a slip of the pen, else all of them. */
const meant = (name: string, known: readonly string[]): string => {
  const short = name.slice(0, 64).toLowerCase();
  const near = known
    .map((each) => ({ each, apart: distance(short, each.toLowerCase()) }))
    .sort((a, b) => a.apart - b.apart)[0];
  return near !== undefined && near.apart <= Math.max(2, short.length / 3)
    ? `did you mean ${near.each}?`
    : `known are ${listed(known)}`;
};

const unitOf = (kind: FigureKind): string => (SI_UNIT[kind] === "ratio" ? "a ratio" : SI_UNIT[kind]);

interface Bounds {
  readonly kind: FigureKind;
  readonly least: number;
  readonly greatest: number;
}

class Reader {
  readonly problems: InputProblem[] = [];
  total = 0;

  get listing(): boolean {
    return this.problems.length < MAX_LISTED;
  }

  tell = (pointer: string, code: string, detail: string, hint?: string): void => {
    this.total += 1;
    if (this.listing) this.problems.push({ pointer, code, detail, ...(hint === undefined ? {} : { hint }) });
  };

  unknownFields(raw: Raw, pointer: string, known: readonly string[]): void {
    for (const name of Object.keys(raw)) {
      if (known.includes(name)) continue;
      // beyond those that are listed they are only counted: hints cost time
      if (!this.listing) this.total += 1;
      else this.tell(pointer + step(name), "unknown-field", `unknown field ${quoted(name)}`, meant(name, known));
    }
  }

  /** undefined: it is wrong, which has been told */
  figure(given: unknown, pointer: string, { kind, least, greatest }: Bounds): number | undefined {
    const unit = unitOf(kind);
    if (typeof given !== "number" && typeof given !== "string") {
      this.tell(
        pointer,
        "wrong-type",
        given === null ? "null is no figure" : "a figure is wanted",
        given === null ? "leave the field out" : `write a number (${unit}) or a text with its unit`,
      );
      return undefined;
    }
    const parsed = this.#parsed(given, kind, unit);
    if (!("value" in parsed)) {
      this.tell(pointer, "bad-unit", parsed.detail, parsed.hint);
      return undefined;
    }
    const { value } = parsed;
    if (value < least || value > greatest) {
      this.tell(
        pointer,
        "out-of-range",
        `${String(given).slice(0, 64)} is out of range: from ${least} to ${greatest}${unit === "a ratio" ? "" : ` ${unit}`}`,
        typeof given !== "number"
          ? "check figure and unit"
          : kind === "ratio" && least === 0 && greatest === 1
            ? 'a share of the whole: write 0.5 or "50 %"'
            : `a bare number is ${unit}; a text may carry another unit`,
      );
      return undefined;
    }
    return value === 0 ? 0 : value;
  }

  /** A bare number is SI base, whatever documents take it for. */
  #parsed(
    given: number | string,
    kind: FigureKind,
    unit: string,
  ): { readonly value: number } | { readonly detail: string; readonly hint: string } {
    if (typeof given === "number")
      return Number.isFinite(given)
        ? { value: given }
        : { detail: "not a finite number", hint: "write a finite number" };
    if (unit !== "a ratio" && /^\s*[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?\s*$/i.test(given))
      return {
        detail: `${quoted(given)} has no unit`,
        hint: `write the number without quotes (${unit}), or add a unit`,
      };
    return parseQuantity(kind, given, "si") as
      | { readonly value: number }
      | { readonly detail: string; readonly hint: string };
  }

  air(given: unknown, pointer: string): AirStateInput | undefined {
    if (!isRecord(given)) {
      this.tell(
        pointer,
        "wrong-type",
        "an air state is wanted",
        'write { "dryBulb": 24, "relativeHumidity": 0.5 }, or with wetBulb, dewPoint or humidityRatio',
      );
      return undefined;
    }
    const before = this.total;
    this.unknownFields(given, pointer, AIR_PART_NAMES);
    const part = (name: (typeof AIR_PART_NAMES)[number]): number | null => {
      const value = own(given, name);
      return value === undefined ? null : (this.figure(value, pointer + step(name), AIR_PARTS[name]) ?? null);
    };
    const air = Object.fromEntries(AIR_PART_NAMES.map((name) => [name, part(name)]));
    if (own(given, "dryBulb") === undefined)
      this.tell(`${pointer}/dryBulb`, "missing-field", "the dry bulb is missing", "an air state has a dryBulb");
    const stated = HUMIDITIES.filter((name) => own(given, name) !== undefined);
    if (stated.length !== 1)
      this.tell(
        pointer,
        stated.length === 0 ? "missing-field" : "two-forms",
        stated.length === 0 ? "the air's humidity is missing" : "the air's humidity is stated more than once",
        `give exactly one of ${listed(HUMIDITIES)}`,
      );
    return this.total === before ? (air as unknown as AirStateInput) : undefined;
  }

  value(spec: InputSpec, given: unknown, pointer: string): unknown {
    switch (spec.type) {
      case "figure":
        return this.figure(given, pointer, spec);
      case "figures": {
        if (!Array.isArray(given) || given.length > MAX_FIGURES) {
          this.tell(
            pointer,
            "wrong-type",
            `a list of at most ${MAX_FIGURES} figures is wanted`,
            `write [0.05, "30 mm"]: bare numbers are ${unitOf(spec.kind)}`,
          );
          return undefined;
        }
        const values = given.map((each: unknown, i) => this.figure(each, `${pointer}/${i}`, spec));
        return values.includes(undefined) ? undefined : values;
      }
      case "word": {
        if (typeof given === "string" && spec.words.includes(given)) return given;
        const said = typeof given === "string" ? `${quoted(given)} is none of its words` : "a word is wanted";
        this.tell(pointer, "bad-word", said, meant(typeof given === "string" ? given : "", spec.words));
        return undefined;
      }
      case "flag": {
        if (typeof given === "boolean") return given;
        this.tell(pointer, "wrong-type", "true or false is wanted", "write true or false, without quotes");
        return undefined;
      }
      case "air-state":
        return this.air(given, pointer);
    }
  }

  /** Fields that belong to what was not chosen. */
  choice(alternatives: readonly Alternative[], isGiven: (name: string) => boolean): ReadonlySet<string> {
    const all = new Set(alternatives.flatMap(({ needs, may }) => [...needs, ...(may ?? [])]));
    const complete = alternatives.filter(({ needs }) => needs.every(isGiven));
    const ways = alternatives.map(({ needs }) => needs.join(" with ")).join(", or ");
    if (complete.length === 1) {
      const chosen = new Set([...complete[0].needs, ...(complete[0].may ?? [])]);
      const others = new Set([...all].filter((name) => !chosen.has(name)));
      for (const name of others)
        if (isGiven(name))
          this.tell(
            step(name),
            "two-forms",
            `${name} does not go with ${complete[0].needs.join(" and ")}`,
            `give ${ways}`,
          );
      return others;
    }
    if (complete.length > 1) {
      const [first, second] = complete;
      const more = second.needs.find((name) => !first.needs.includes(name)) ?? second.needs[0];
      this.tell(step(more), "two-forms", "the same is given in two ways", `give ${ways}`);
      return all;
    }
    const begun = alternatives.map(({ needs }) => needs.filter(isGiven).length);
    const most = Math.max(...begun);
    const nearest = alternatives.filter((_, i) => begun[i] === most);
    if (most > 0 && nearest.length === 1)
      for (const name of nearest[0].needs)
        if (!isGiven(name)) this.tell(step(name), "missing-field", `${name} is missing`, `give ${ways}`);
    if (most === 0 || nearest.length > 1) this.tell("", "missing-field", "an input is missing", `give ${ways}`);
    return all;
  }
}

/**
 * Reads the inputs of a calculation: bare numbers in SI base units, texts with their unit. Everything that is wrong is
 * told at once. Never throws.
 */
export const readInputs = (calculation: Calculation, inputs: unknown): ReadInputs => {
  const reader = new Reader();
  const specs = Object.entries(calculation.inputs);
  const names = specs.map(([name]) => name);
  if (!isRecord(inputs)) {
    reader.tell("", "wrong-type", "an object of inputs is wanted", `its fields are ${listed(names)}`);
    return { ok: false, problems: reader.problems, total: reader.total };
  }
  reader.unknownFields(inputs, "", names);
  const isGiven = (name: string): boolean => own(inputs, name) !== undefined;
  // a flag that is false chooses nothing
  const isChosen = (name: string): boolean => isGiven(name) && own(inputs, name) !== false;

  const unused = new Set<string>();
  for (const alternatives of calculation.choices ?? [])
    for (const name of reader.choice(alternatives, isChosen)) unused.add(name);

  const values: Record<string, unknown> = {};
  const assumed = new Map<string, Standard>();
  for (const [name, spec] of specs) {
    if (isGiven(name)) values[name] = reader.value(spec, own(inputs, name), step(name));
    else if (spec.required) {
      values[name] = undefined;
      reader.tell(step(name), "missing-field", `${name} is missing`, spec.meaning);
    } else if (spec.standard === null || spec.standard.value === null || unused.has(name)) values[name] = null;
    else {
      values[name] = spec.standard.value;
      assumed.set(name, spec.standard);
    }
  }

  const atmosphere = typeof values.pressure === "number" ? values.pressure : STANDARD_PRESSURE;
  for (const [name, spec] of specs) {
    const air = values[name];
    if (spec.type !== "air-state" || air === null || air === undefined) continue;
    const flaw = airFlaw(air as AirStateInput, atmosphere);
    if (flaw !== null) reader.tell(`${step(name)}/${flaw.part}`, "impossible-air", flaw.detail, flaw.hint);
  }
  calculation.check?.(values as never, reader.tell, inputs);
  return reader.total > 0
    ? { ok: false, problems: reader.problems, total: reader.total }
    : { ok: true, values, assumed };
};
