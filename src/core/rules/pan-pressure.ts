import { atMost } from "../quantity/interval.js";
import type { Case, Settle } from "./rule.js";

/** Within this of the room's pressure a pan counts as at atmosphere, Pa. */
export const AT_ATMOSPHERE = 5;

export type PanPressure = "atmosphere" | "suction" | "pressure" | "unknown";

/** How a coil's pan stands to the room while its fan runs; out of service it is at atmosphere. Coil by position. */
export const panPressure = (c: Case, coil: number): PanPressure => {
  const { inService, panStatic } = c.net.nodes[c.net.coils[coil]].coil!;
  if (!inService) return "atmosphere";
  if (panStatic === null) return "unknown";
  if (atMost(Math.abs(panStatic), AT_ATMOSPHERE)) return "atmosphere";
  return panStatic < 0 ? "suction" : "pressure";
};

export const settlePanStatic = (c: Case, coil: number): Settle => ({
  pointer: `${c.net.nodes[c.net.coils[coil]].pointer}/panStatic`,
});
