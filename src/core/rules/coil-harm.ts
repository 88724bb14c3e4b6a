import type { Case } from "./rule.js";

/**
 * Whether water that a coil's pan spills can do harm: not where the document says that it does none, and not while the coil
 * is out of service and makes none. A roof is no exception: what spills inside a unit there runs down its ducts. Coil by
 * position.
 */
export const canHarm = (c: Case, coil: number): boolean => {
  const { spillHarmless, coil: fanCoil } = c.net.nodes[c.net.coils[coil]];
  return !spillHarmless && fanCoil!.inService;
};

export const HARMLESS_COILS = "No coil can do harm: spilling there is harmless, or it is out of service.";
