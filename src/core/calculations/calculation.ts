import type { AirStateInput } from "../physics/moist-air.js";
import type { QuantityKind } from "../quantity/speaker.js";
import type { SourceId } from "../sources/sources.js";

/** What a figure of a calculation is. Nominal sizes are words here, durations do not occur. */
export type FigureKind = Exclude<QuantityKind, "size" | "duration">;

/** What an input is taken to be where it is not given. */
export interface Standard {
  /** SI base; null: it depends on other inputs, as `why` says */
  readonly value: number | null;
  readonly why: string;
  readonly source: SourceId;
}

interface Stated {
  /** as formulas write it; empty: it stands in none */
  readonly symbol: string;
  readonly meaning: string;
  readonly required: boolean;
  readonly standard: Standard | null;
}
interface Figures extends Stated {
  readonly kind: FigureKind;
  /** SI base; beyond these it can only be a slip of the pen */
  readonly least: number;
  readonly greatest: number;
}

/** What a calculation takes under one name. An air state is its dry bulb and exactly one of the four humidities. */
export type InputSpec =
  | (Figures & { readonly type: "figure" })
  | (Figures & { readonly type: "figures" })
  | (Stated & { readonly type: "word"; readonly words: readonly string[] })
  | (Stated & { readonly type: "flag" })
  | (Stated & { readonly type: "air-state" });

/** An input and the type of its value as the calculation gets it. */
export type Input<V> = InputSpec & { readonly as?: V };

/** What is given by a figure, SI base, from `least` to `greatest`. */
export const figure = (
  kind: FigureKind,
  symbol: string,
  [least, greatest]: readonly [number, number],
  meaning: string,
): Input<number> => ({ type: "figure", kind, symbol, least, greatest, meaning, required: true, standard: null });

/** A list of figures; formulas write its items with their number behind the symbol: `S_1`. */
export const figures = (
  kind: FigureKind,
  symbol: string,
  [least, greatest]: readonly [number, number],
  meaning: string,
): Input<readonly number[]> => ({
  type: "figures",
  kind,
  symbol,
  least,
  greatest,
  meaning,
  required: true,
  standard: null,
});

export const word = <W extends string>(words: readonly W[], meaning: string): Input<W> => ({
  type: "word",
  words,
  symbol: "",
  meaning,
  required: true,
  standard: null,
});

export const flag = (meaning: string): Input<boolean> => ({
  type: "flag",
  symbol: "",
  meaning,
  required: true,
  standard: null,
});

/** Formulas write the parts of an air state with `symbol` behind them: dry bulb `t_1`, humidity ratio `W_1`. */
export const airState = (symbol: string, meaning: string): Input<AirStateInput> => ({
  type: "air-state",
  symbol,
  meaning,
  required: true,
  standard: null,
});

/** null where it is not given. */
export const optional = <V>(input: Input<V>): Input<V | null> => ({ ...input, required: false }) as Input<V | null>;

/** Taken to be this where it is not given, which the answer lists among its assumptions. */
export const otherwise = (input: Input<number>, value: number, why: string, source: SourceId): Input<number> =>
  ({ ...input, required: false, standard: { value, why, source } }) as Input<number>;

/** null where it is not given: the calculation then takes what `why` says and lists it among the assumptions. */
export const otherwiseBy = (input: Input<number>, why: string, source: SourceId): Input<number | null> =>
  ({ ...input, required: false, standard: { value: null, why, source } }) as Input<number | null>;

/** One way to say the same: all of `needs`, and with them `may`. */
export interface Alternative {
  readonly needs: readonly string[];
  readonly may?: readonly string[];
}

/** What a calculation gives under one name. */
export type ResultSpec =
  | (FigureSpec & { readonly type: "figure"; readonly orNull: string | null })
  | {
      readonly type: "word" | "flag" | "size";
      readonly words?: readonly string[];
      readonly meaning: string;
      readonly orNull: string | null;
    }
  | { readonly type: "group"; readonly meaning: string; readonly results: Readonly<Record<string, ResultSpec>> };

/** A figure on the way, or a result. */
export interface FigureSpec {
  readonly kind: FigureKind;
  readonly symbol: string;
  readonly meaning: string;
}

export const line = (kind: FigureKind, symbol: string, meaning: string): FigureSpec => ({ kind, symbol, meaning });

/** `orNull` says when the figure is null; null: never. */
export const result = (
  kind: FigureKind,
  symbol: string,
  meaning: string,
  orNull: string | null = null,
): ResultSpec & FigureSpec => ({ type: "figure", kind, symbol, meaning, orNull });

/**
 * Within what the formula holds: a figure of the calculation (an input, a line of the working, a result) that must lie
 * between `least` and `greatest`, SI base. A figure that the case at hand has no use for judges nothing.
 */
export interface Condition {
  readonly figure: string;
  readonly least?: number | null;
  readonly greatest?: number | null;
  readonly condition: string;
  readonly source: SourceId;
}

export type ResultValue = number | string | boolean | null | { readonly [name: string]: ResultValue };

/** Where a calculation writes down how it goes. */
export interface Sheet {
  /**
   * One line of the working; returns the value.
   * @param name of a figure or result of the calculation
   * @param formula in symbols of inputs and of lines before it; one that starts with `such that` is solved for
   * @param number of a line that is written once for each item of a list; stands behind its symbol
   */
  line(name: string, formula: string, value: number, number?: number): number;
  /** Takes an input that was not given to be `value`, or says (`value` null) what else is assumed under this name. */
  assume(name: string, value: number | null, why: string, source: SourceId): void;
}

/** Tells what is wrong between inputs. `pointer` into the inputs. */
export type Tell = (pointer: string, code: string, detail: string, hint: string) => void;

type Values<I> = { readonly [K in keyof I]: I[K] extends Input<infer V> ? V : never };
type Results<R> = { readonly [K in keyof R]: ResultValue };

/** A calculation: a data block that says everything about it, and one pure function. */
interface Defined<I, R> {
  readonly id: string;
  readonly title: string;
  /** what it answers */
  readonly question: string;
  readonly inputs: I;
  /** of each choice exactly one alternative is given */
  readonly choices?: readonly (readonly Alternative[])[];
  /** lines of the working that are no results */
  readonly figures: Readonly<Record<string, FigureSpec>>;
  readonly results: R;
  /** the governing formulas */
  readonly formula: string;
  readonly sources: readonly SourceId[];
  readonly validity: readonly Condition[];
  /** what must be so and no input tells */
  readonly premises: readonly string[];
  /** inputs that show it, as a caller writes them */
  readonly example: Readonly<Record<string, unknown>>;
  /**
   * What is wrong between inputs that are each well formed. Those that are not, and required ones that are absent, are
   * undefined; `raw` holds what the caller wrote.
   */
  readonly check?: (given: Partial<Values<I>>, tell: Tell, raw: Readonly<Record<string, unknown>>) => void;
  /** NaN and Infinity in a result become null */
  readonly work: (given: Values<I>, sheet: Sheet) => Results<R>;
}

/** A calculation without the types of its own inputs. */
export interface Calculation
  extends Omit<Defined<Readonly<Record<string, InputSpec>>, Readonly<Record<string, ResultSpec>>>, "check" | "work"> {
  readonly check?: (given: never, tell: Tell, raw: Readonly<Record<string, unknown>>) => void;
  readonly work: (given: never, sheet: Sheet) => Readonly<Record<string, ResultValue>>;
}

export const defineCalculation = <
  I extends Readonly<Record<string, InputSpec>>,
  R extends Readonly<Record<string, ResultSpec>>,
>(
  calculation: Defined<I, R>,
): Calculation => calculation;
