import type { Case, RemedyStep } from "./rule.js";

/** A trap for a coil (by position), with the seal and drop that its pan's static asks for, where that is known. */
export const trapNeeded = (c: Case, position: number): RemedyStep[] => {
  const on = { node: c.net.coils[position] };
  const figures = [
    { amount: c.facts.seals.sealNeededAt[position], what: "seal depth" },
    { amount: c.facts.seals.dropNeededAt[position], what: "drop" },
  ].filter(({ amount }) => amount > 0);
  return figures.length === 0
    ? [{ action: "add-trap", on }]
    : figures.map(({ amount, what }) => ({ action: "add-trap", on, amount, kind: "dimension", what }));
};

/** The trap that a coil's water meets before it leaves the fall (an outlet or a pump), -1 none. Coil by position. */
export const trapOnTheWay = (c: Case, position: number): number => {
  const { firstTrap, boundary } = c.facts.topology;
  const trap = firstTrap[position];
  return trap >= 0 && boundary[trap] === boundary[c.net.coils[position]] ? trap : -1;
};
