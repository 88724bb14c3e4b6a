import type { Limit } from "../profiles/profile.js";
import { atLeast, atMost, type Interval } from "../quantity/interval.js";
import type { QuantityKind } from "../quantity/speaker.js";
import type { Evidence } from "./rule.js";

/** Which side of its limit a figure must lie on. */
export type Sense = "at-least" | "at-most";

/** A figure held against a limit. SI base units of the figure; `limit` is null where the figure has none to meet. */
export interface JudgedFigure extends Interval {
  /** pass and fail hold at both ends of the tolerance; `missing`: the figure is not known */
  readonly outcome: "pass" | "fail" | "undetermined";
  readonly family: "tolerance" | "missing" | null;
  readonly limit: number;
  /** best value against the limit, positive on the right side */
  readonly margin: number;
  /** half-width below which a new measurement that finds the same best value decides */
  readonly within: number;
}

/**
 * Judges a figure against a limit: it passes where both ends of its tolerance pass, fails where both fail, and is
 * undetermined by tolerance between. Equality within 1 µm (or 1e-9 relative) passes. NaN at any end: missing.
 */
export const judgeFigure = (figure: Interval, limit: number, sense: Sense): JudgedFigure => {
  const { low, best, high } = figure;
  const signed = sense === "at-least" ? best - limit : limit - best;
  const margin = signed === 0 ? 0 : signed;
  const missing = Number.isNaN(low) || Number.isNaN(best) || Number.isNaN(high) || Number.isNaN(limit);
  const meets = sense === "at-least" ? atLeast : atMost;
  const decided = !missing && meets(low, limit) === meets(high, limit);
  return {
    low,
    best,
    high,
    outcome: !decided ? "undetermined" : meets(low, limit) ? "pass" : "fail",
    family: missing ? "missing" : decided ? null : "tolerance",
    limit,
    margin,
    within: Math.abs(margin),
  };
};

/** The judged figure as evidence; `limit` names where its limit comes from (a profile's limit, or one of physics). */
export const evidenceOf = (
  name: string,
  kind: QuantityKind,
  judged: JudgedFigure,
  limit: Pick<Limit, "name" | "source">,
  from: readonly string[],
): Evidence => ({
  name,
  low: judged.low,
  best: judged.best,
  high: judged.high,
  kind,
  limit: { name: limit.name, value: judged.limit, source: limit.source },
  margin: judged.margin,
  from,
});

/** A figure that is evidence without a limit of its own. */
export const plainEvidence = (
  name: string,
  kind: QuantityKind,
  figure: Interval,
  from: readonly string[],
): Evidence => ({ name, low: figure.low, best: figure.best, high: figure.high, kind, from });
