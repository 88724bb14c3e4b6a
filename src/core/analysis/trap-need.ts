import type { FanCoil, Trap } from "../network/model.js";
import { headOf, PAN_AT_ATMOSPHERE } from "../physics/constants.js";
import { limitOf, type Profile } from "../profiles/profile.js";
import { atMost } from "../quantity/interval.js";

/** Which way the fan works on the pan: within 5 Pa of the room it does neither. */
export type Pressure = "suction" | "pressure" | "atmosphere" | "unknown";

export const pressureAt = (coil: FanCoil): Pressure =>
  coil.panStatic === null
    ? "unknown"
    : atMost(Math.abs(coil.panStatic), PAN_AT_ATMOSPHERE)
      ? "atmosphere"
      : coil.panStatic < 0
        ? "suction"
        : "pressure";

/** Drop and seal that a seal at this coil needs, m: margins of practice, the manufacturer's own figures upward. NaN: static unknown. */
export interface TrapNeed {
  readonly drop: number;
  readonly seal: number;
}

export function waterTrapNeed(coil: FanCoil, profile: Profile): TrapNeed {
  const own = coil.trapRequirement;
  const head = headOf(Math.abs(coil.panStatic ?? NaN));
  const pressure = pressureAt(coil);
  let drop = 0;
  let seal = 0;
  if (pressure === "unknown") drop = seal = NaN;
  else if (pressure === "suction") {
    drop = Math.max(head + limitOf(profile, "trap.drawThroughMargin").value, own?.drop ?? 0);
    // Half of the drop that is needed by the static, not of the one that is built or that a manufacturer asks for.
    seal = (head + limitOf(profile, "trap.drawThroughMargin").value) / 2;
  } else if (pressure === "pressure") {
    drop = limitOf(profile, "trap.blowThroughMargin").value;
    seal = head + limitOf(profile, "trap.blowThroughMargin").value;
  }
  return { drop: Math.max(drop, own?.drop ?? 0), seal: Math.max(seal, own?.sealDepth ?? 0) };
}

/** The drop that a path's fall budget sets aside, by the first seal on it (null: none). NaN: static or opening head unknown. */
export function dropForBudget(coil: FanCoil, first: Trap | null, profile: Profile): number {
  if (first === null || first.sealType === "water") return waterTrapNeed(coil, profile).drop;
  const pressure = pressureAt(coil);
  if (pressure === "atmosphere") return Math.max(0, coil.trapRequirement?.drop ?? 0);
  const suction = pressure === "suction" ? headOf(-coil.panStatic!) : 0;
  if (pressure === "unknown" || first.opensAt === null) return NaN;
  return Math.max(suction + headOf(first.opensAt), coil.trapRequirement?.drop ?? 0);
}
