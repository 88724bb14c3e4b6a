import type { Case, Settle } from "./rule.js";

/** The level of an opening that nobody gave: a pan's rim or open port, a cleanout's opening, a sump's or receptor's rim. */
export const settleOpening = ({ net }: Case, node: number): Settle => {
  const { pointer, coil, cleanout, pump } = net.nodes[node];
  if (coil !== null)
    return { pointer: `${pointer}/pan/${coil.pan.secondary?.is === "open" ? "secondary/height" : "rimHeight"}` };
  return { pointer: `${pointer}/${cleanout !== null ? "opening" : pump !== null ? "sump/rim" : "receptor/rim"}` };
};
