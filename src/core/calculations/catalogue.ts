import { airLock } from "./air-lock.js";
import type { Calculation } from "./calculation.js";
import { condensateLoad } from "./condensate-load.js";
import { moistAirState } from "./moist-air.js";
import { pipeCapacity } from "./pipe-capacity.js";
import { pipeSize } from "./pipe-size.js";
import { pipeVolume } from "./pipe-volume.js";
import { riserCapacity } from "./riser-capacity.js";
import { supportSag } from "./support-sag.js";
import { surfaceCondensation } from "./surface-condensation.js";
import { trap } from "./trap.js";

/** Every calculation, in the order of the documentation. */
export const catalogue: readonly Calculation[] = [
  condensateLoad,
  trap,
  pipeCapacity,
  riserCapacity,
  pipeSize,
  supportSag,
  surfaceCondensation,
  airLock,
  moistAirState,
  pipeVolume,
];
