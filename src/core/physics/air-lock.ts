import { GRAVITY } from "./constants.js";

/**
 * Air held between two water seals. Heads and levels in m of water. Source: heads of air-bound low points add up
 * (gravity pipeline air-lock factsheet; hydrostatics); history of filling taken as the worst.
 */

/**
 * Level above its weir that a pan's water must reach to push the air on, rigid air: max(0, H + Σ S).
 * @param suctionHead H of the pan, positive under suction, negative under fan pressure
 * @param seals depths of the seals downstream with no opening between them
 */
export const headOverLockedAir = (suctionHead: number, seals: readonly number[]): number => {
  let sum = suctionHead;
  for (const seal of seals) sum += seal;
  return Math.max(0, sum);
};

/** True where the water spills before it can push the air on. `spill`, `weir`: levels. */
export const isAirLocked = (spill: number, weir: number, suctionHead: number, seals: readonly number[]): boolean =>
  spill - weir < headOverLockedAir(suctionHead, seals);

/**
 * Head that a seal presses back with when the air before it is squeezed at constant temperature:
 * p V₀/(V₀ − A y) − p = ρ g (S − y), S − y returned.
 * @param seal S, m, ≥ 0
 * @param gasLength volume of the air over the area of the water's surface, V₀/A, m, > 0
 * @param density of water, kg/m³
 * @param pressure absolute, Pa
 * @returns m, from 0 (much air) to S (little)
 */
export const headOverCompressibleAir = (seal: number, gasLength: number, density: number, pressure: number): number => {
  if (seal <= 0) return 0;
  // p y = ρ g (S − y)(L − y): y² − (S + L + p/ρg) y + S L = 0, the lesser root
  const sum = seal + gasLength + pressure / (density * GRAVITY);
  const y = (2 * seal * gasLength) / (sum + Math.sqrt(sum * sum - 4 * seal * gasLength));
  return seal - y;
};
