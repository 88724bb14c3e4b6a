import { ownNominal } from "../materials/materials.js";
import { atLeast } from "../quantity/interval.js";
import { NOMINAL_SIZES } from "../quantity/sizes.js";
import { boreFamily, borePointer, boreSettle } from "./air-readings.js";
import type { Case, Evidence, Family, Settle } from "./rule.js";

/** Has the pipe a DN/NPS of its own? (A metric plastic's number is its outside diameter.) */
export const isNominal = (c: Case, pipe: number): boolean => !Number.isNaN(ownNominal(c.net.pipes[pipe]));

/**
 * The nominal size that a pipe stands for: its own, or the largest that its bore reaches, by the profile's bores and
 * beyond them by as many millimetres as the size's number. NaN where neither is known.
 */
export const drawnSize = (c: Case, pipe: number): number => {
  if (isNominal(c, pipe)) return c.net.pipes[pipe].size!;
  const bore = c.facts.capacity.bore[pipe];
  if (Number.isNaN(bore)) return Number.NaN;
  let reached = 0;
  for (const { dn } of NOMINAL_SIZES) if (atLeast(bore, boreFor(c, dn))) reached = dn;
  return reached;
};

/** The bore from which a pipe without a nominal size of its own stands for one. */
const boreFor = (c: Case, dn: number): number =>
  c.profile.nominalEquivalents.rows.find(({ size }) => size === dn)?.bore ?? dn / 1000;

/** What would make the size of a pipe known. */
export const settleSize = (
  c: Case,
  pipe: number,
): { readonly family: Family; readonly settledBy: readonly Settle[] } => {
  const { size, material } = c.net.pipes[pipe];
  if (size === null && material === null) {
    const pointer = borePointer(c, pipe).replace(/insideDiameter$/, "size");
    return { family: "missing", settledBy: [{ pointer }] };
  }
  return { family: boreFamily(c, pipe), settledBy: [boreSettle(c, pipe)] };
};

/** A drawn size against the nominal size that it must reach; by bore where the pipe has no nominal size of its own. */
export const sizeEvidence = (
  c: Case,
  pipe: number,
  least: number,
  limit: Pick<NonNullable<Evidence["limit"]>, "name" | "source">,
): Evidence => {
  const { pointer } = c.net.pipes[pipe];
  if (isNominal(c, pipe)) {
    const drawn = drawnSize(c, pipe);
    return {
      name: "size",
      low: drawn,
      best: drawn,
      high: drawn,
      kind: "size",
      limit: { ...limit, value: least },
      margin: drawn - least,
      from: [`${pointer}/size`],
    };
  }
  const bore = c.facts.capacity.bore[pipe];
  return {
    name: "insideDiameter",
    low: bore,
    best: bore,
    high: bore,
    kind: "dimension",
    limit: { ...limit, value: boreFor(c, least) },
    margin: bore - boreFor(c, least),
    from: [pointer],
  };
};
