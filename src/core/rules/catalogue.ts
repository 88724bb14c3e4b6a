import { accessBlocked } from "./access/blocked.js";
import { accessCleanout } from "./access/cleanout.js";
import { accessThroughPrivate } from "./access/through-private.js";
import { accessUncapped } from "./access/uncapped.js";
import { airBranchVent } from "./air/branch-vent.js";
import { airBypass } from "./air/bypass.js";
import { airClosedByFlow } from "./air/closed-by-flow.js";
import { airLockHead } from "./air/lock-head.js";
import { airMainVent } from "./air/main-vent.js";
import { airSecondaryOpen } from "./air/secondary-open.js";
import { airTrapped } from "./air/trapped.js";
import { airVentBeforeTrap } from "./air/vent-before-trap.js";
import { airVentBelowRim } from "./air/vent-below-rim.js";
import { airVentCapped } from "./air/vent-capped.js";
import { airVentDrainsBack } from "./air/vent-drains-back.js";
import { airVentOneWay } from "./air/vent-one-way.js";
import { backupMainWatch } from "./backup/main-watch.js";
import { backupUncontained } from "./backup/uncontained.js";
import { fallBelowMinimum } from "./fall/below-minimum.js";
import { fallBelowRecommended } from "./fall/below-recommended.js";
import { fallBudget } from "./fall/budget.js";
import { fallEntry } from "./fall/entry.js";
import { fallPanToTrap } from "./fall/pan-to-trap.js";
import { fallReverse } from "./fall/reverse.js";
import { fallShallowPool } from "./fall/shallow-pool.js";
import { fallStandingWater } from "./fall/standing-water.js";
import { freezeExposed } from "./freeze/exposed.js";
import { installForeign } from "./install/foreign.js";
import { installJoint } from "./install/joint.js";
import { installMaterial } from "./install/material.js";
import { installPort } from "./install/port.js";
import { outletAirGap } from "./outlet/air-gap.js";
import { outletDirect } from "./outlet/direct.js";
import { outletPlace } from "./outlet/place.js";
import { outletReceptor } from "./outlet/receptor.js";
import { outletSubmerged } from "./outlet/submerged.js";
import { outletTrappedReceptor } from "./outlet/trapped-receptor.js";
import { overflowAfterRun } from "./overflow/after-run.js";
import { overflowAlarmOnly } from "./overflow/alarm-only.js";
import { overflowAuxiliaryPan } from "./overflow/auxiliary-pan.js";
import { overflowConductor } from "./overflow/conductor.js";
import { overflowNotWorking } from "./overflow/not-working.js";
import { overflowParallel } from "./overflow/parallel.js";
import { overflowSecondaryIndependent } from "./overflow/secondary-independent.js";
import { overflowSecondarySize } from "./overflow/secondary-size.js";
import { overflowSecondaryVisible } from "./overflow/secondary-visible.js";
import { overflowShortCycle } from "./overflow/short-cycle.js";
import { overflowStopsWater } from "./overflow/stops-water.js";
import { overflowTripAboveSpill } from "./overflow/trip-above-spill.js";
import { overflowUnprotected } from "./overflow/unprotected.js";
import { pathCycle } from "./path/cycle.js";
import { pathDeadLeg } from "./path/dead-leg.js";
import { pathNoOutlet } from "./path/no-outlet.js";
import { pathSplit } from "./path/split.js";
import { pumpCapacity } from "./pump/capacity.js";
import { pumpCheckValve } from "./pump/check-valve.js";
import { pumpInterlock } from "./pump/interlock.js";
import { pumpOverflow } from "./pump/overflow.js";
import type { Rule } from "./rule.js";
import { sealDepth } from "./seal/depth.js";
import { sealDepthMargin } from "./seal/depth-margin.js";
import { sealDevice } from "./seal/device.js";
import { sealDouble } from "./seal/double.js";
import { sealDrop } from "./seal/drop.js";
import { sealDropMargin } from "./seal/drop-margin.js";
import { sealDryOut } from "./seal/dry-out.js";
import { sealMissing } from "./seal/missing.js";
import { sealMissingPressure } from "./seal/missing-pressure.js";
import { sealPriming } from "./seal/priming.js";
import { sealShared } from "./seal/shared.js";
import { sealStep } from "./seal/step.js";
import { sealUnintended } from "./seal/unintended.js";
import { sizeCodeTable } from "./size/code-table.js";
import { sizeHydraulic } from "./size/hydraulic.js";
import { sizePanOutlet } from "./size/pan-outlet.js";
import { sizePractice } from "./size/practice.js";
import { sizeReduction } from "./size/reduction.js";
import { sizeRiserBase } from "./size/riser-base.js";
import { supportHose } from "./support/hose.js";
import { supportSag } from "./support/sag.js";
import { supportSpacing } from "./support/spacing.js";
import { sweatThin } from "./sweat/thin.js";
import { sweatUninsulated } from "./sweat/uninsulated.js";

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

  airTrapped,
  airLockHead,
  airBranchVent,
  airMainVent,
  airVentBeforeTrap,
  airVentCapped,
  airVentOneWay,
  airVentDrainsBack,
  airVentBelowRim,
  airBypass,
  airSecondaryOpen,
  airClosedByFlow,

  sealMissing,
  sealMissingPressure,
  sealShared,
  sealDouble,
  sealUnintended,
  sealDepth,
  sealDrop,
  sealDepthMargin,
  sealDropMargin,
  sealStep,
  sealDevice,
  sealPriming,
  sealDryOut,

  sizeCodeTable,
  sizeHydraulic,
  sizePractice,
  sizeReduction,
  sizePanOutlet,
  sizeRiserBase,

  overflowUnprotected,
  overflowParallel,
  overflowStopsWater,
  overflowConductor,
  overflowTripAboveSpill,
  overflowAlarmOnly,
  overflowAuxiliaryPan,
  overflowSecondaryIndependent,
  overflowSecondaryVisible,
  overflowSecondarySize,
  overflowNotWorking,
  overflowAfterRun,
  overflowShortCycle,

  backupUncontained,
  backupMainWatch,

  outletDirect,
  outletAirGap,
  outletPlace,
  outletSubmerged,
  outletTrappedReceptor,
  outletReceptor,

  supportSpacing,
  supportSag,
  supportHose,

  sweatUninsulated,
  sweatThin,

  freezeExposed,

  accessCleanout,
  accessUncapped,
  accessBlocked,
  accessThroughPrivate,

  installPort,
  installJoint,
  installMaterial,
  installForeign,

  pumpInterlock,
  pumpCheckValve,
  pumpCapacity,
  pumpOverflow,
];
