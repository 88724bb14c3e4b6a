import { fallBelowMinimum } from "./fall/below-minimum.js";
import { fallBelowRecommended } from "./fall/below-recommended.js";
import { fallBudget } from "./fall/budget.js";
import { fallEntry } from "./fall/entry.js";
import { fallPanToTrap } from "./fall/pan-to-trap.js";
import { fallReverse } from "./fall/reverse.js";
import { fallShallowPool } from "./fall/shallow-pool.js";
import { fallStandingWater } from "./fall/standing-water.js";
import { pathCycle } from "./path/cycle.js";
import { pathDeadLeg } from "./path/dead-leg.js";
import { pathNoOutlet } from "./path/no-outlet.js";
import { pathSplit } from "./path/split.js";
import type { Rule } from "./rule.js";
import { sealDouble } from "./seal/double.js";
import { sealMissing } from "./seal/missing.js";
import { sealMissingPressure } from "./seal/missing-pressure.js";
import { sealShared } from "./seal/shared.js";
import { sealUnintended } from "./seal/unintended.js";

/** Every rule there is, by group (path, fall, air, seal, size), in the order in which the documentation lists them. */
export const catalogue: readonly Rule[] = [
  pathNoOutlet,
  pathCycle,
  pathSplit,
  pathDeadLeg,

  fallReverse,
  fallBelowMinimum,
  fallBelowRecommended,
  fallPanToTrap,
  fallBudget,
  fallStandingWater,
  fallShallowPool,
  fallEntry,

  // air

  sealMissing,
  sealMissingPressure,
  sealShared,
  sealDouble,
  sealUnintended,

  // size
];
