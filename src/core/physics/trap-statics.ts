/**
 * Statics of a water seal. Heads, drops, seals and levels in m of water; areas of the moving surfaces in any one unit.
 * `head` is H = |p|/(ρg) of the pan's pressure. Source: hydrostatics of a U-shaped seal.
 */

/** Fall of the outlet leg when suction sets in on a trap at rest and full: H A_in/(A_in + A_out). */
export const outletLegFall = (head: number, inletArea: number, outletArea: number): number =>
  (head * inletArea) / (inletArea + outletArea);

/** Suction that breaks a seal which no water feeds: S (1 + A_out/A_in). */
export const breakingHead = (seal: number, inletArea: number, outletArea: number): number =>
  seal * (1 + outletArea / inletArea);

/** Seal left in the outlet leg of a draw-through trap after evaporation, at start; 0 or less: broken. */
export const sealLeftAtStart = (
  seal: number,
  loss: number,
  head: number,
  inletArea: number,
  outletArea: number,
): number => seal - loss - outletLegFall(head, inletArea, outletArea);

/** Water standing in a draw-through pan while the fan runs: max(0, H − drop). `drop`: pan outlet above the weir. */
export const panStanding = (head: number, drop: number): number => Math.max(0, head - drop);

/** Water that such a pan lets go when the fan stops, m³: pan area (m²) times its standing depth; the legs neglected. */
export const surgeVolume = (head: number, drop: number, panArea: number): number => panArea * panStanding(head, drop);

/** Drop from pan outlet to weir that a draw-through pan needs: H + margin. */
export const dropForSuction = (head: number, margin: number): number => head + margin;

/** Seal that a slow start needs: the fall of the outlet leg + margin. */
export const sealForSlowStart = (head: number, inletArea: number, outletArea: number, margin: number): number =>
  outletLegFall(head, inletArea, outletArea) + margin;

/** Seal by the installers' rule: half of the drop that is needed. Source: trap manuals; HVAC engineering magazine. */
export const sealByHalfDrop = (dropNeeded: number): number => dropNeeded / 2;

/** Seal that holds against fan pressure (or an instant start under suction): H + margin. */
export const sealForPressure = (head: number, margin: number): number => head + margin;

/** Period of the water column of a trap with equal legs, 2π √(L/2g), s. Friction neglected. */
export const columnPeriod = (columnLength: number, gravity: number): number =>
  2 * Math.PI * Math.sqrt(columnLength / (2 * gravity));

/**
 * Water to fill a trap, A_in (seal + D_in) + A_out (seal + D_out), m³: a lower bound, the bend is neglected.
 * @param seal m @param inletBore m @param outletBore m
 */
export const primingVolume = (seal: number, inletBore: number, outletBore: number): number =>
  (Math.PI / 4) * (inletBore * inletBore * (seal + inletBore) + outletBore * outletBore * (seal + outletBore));
