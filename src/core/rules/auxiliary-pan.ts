import { type LimitName, limitOf } from "../profiles/profile.js";
import { coilDevices } from "./overflow-devices.js";
import type { Case, RemedyStep } from "./rule.js";
import { linesOf } from "./second-line-end.js";

/** A device that watches an auxiliary pan. */
export const isAuxiliary = ({ net }: Case, device: number): boolean =>
  net.model.devices[device].seat === "auxiliary-pan";

/** Whether a pan hangs under a unit (coil by position); whatever else is said of one says so too. null: not known. */
export const hasAuxiliaryPan = (c: Case, coil: number): boolean | null => {
  const pan = c.net.nodes[c.net.coils[coil]].coil!.auxiliaryPan;
  if (pan?.present != null) return pan.present;
  if (linesOf(c)[coil].some(({ role }) => role === "auxiliary")) return true;
  if (coilDevices(c)[coil].some((device) => isAuxiliary(c, device))) return true;
  if (pan === null) return false;
  return pan.floor !== null || pan.depth !== null || pan.overhang !== null || pan.drain !== null ? true : null;
};

/** What the code asks of an auxiliary pan. */
export const PAN_FIGURES = [
  { field: "depth", limit: "overflow.auxiliaryPanDepth", words: "deep" },
  { field: "overhang", limit: "overflow.auxiliaryPanOverhang", words: "larger than the unit" },
] as const satisfies readonly { field: string; limit: LimitName; words: string }[];

/** A pan under a coil (by position) that has none, as deep and as wide as the code asks. */
export const addPan = (c: Case, coil: number): RemedyStep[] =>
  PAN_FIGURES.map(({ field, limit }) => ({
    action: "add-pan",
    on: { node: c.net.coils[coil] },
    amount: limitOf(c.profile, limit).value,
    kind: "dimension",
    what: field,
  }));
