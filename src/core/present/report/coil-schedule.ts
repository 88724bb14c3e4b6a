import { RATE_BASIS } from "../../analysis/facts.js";
import type { Audited } from "../../audit/run.js";
import { sizeName } from "../../quantity/sizes.js";
import type { FindingsAt, Schedule } from "./schedule.js";

const BASIS = {
  stated: "stated",
  "air-states": "air states",
  capacity: "capacity, heat ratio",
  "rule-of-thumb": "rule of thumb",
} as const;

/** Every fan coil: what it makes, what its fan does to its pan, whether its way out falls, and what stops it. Rows are positions in `net.coils`. */
export const coilSchedule = ({ net, facts, profile }: Audited, at: FindingsAt): Schedule => {
  const { loads, fall, seals, circuits } = facts;
  const node = (row: number) => net.nodes[net.coils[row]!]!;
  const coil = (row: number) => node(row).coil!;
  const pump = (row: number) => coil(row).internalPump !== null;
  return {
    title: "Schedule of fan coils",
    noun: ["fan coil", "fan coils"],
    rows: Array.from(net.coils.keys()),
    id: (row) => node(row).id,
    typical: (row) => node(row).typical,
    floor: (row) => node(row).floor,
    dwelling: (row) => node(row).dwelling ?? coil(row).serves,
    findings: (row) => at.coil(net.coils[row]!),
    columns: [
      { head: "Pan outlet", text: (row) => sizeOrDash(coil(row).pan.outletSize, profile.sizeSystem) },
      { head: "Cooling capacity", figure: (row) => loads.capacity[row]!, kind: "cooling-capacity" },
      { head: "Peak condensate", figure: (row) => loads.rate[row]!, kind: "flow" },
      { head: "from", text: (row) => BASIS[RATE_BASIS[loads.basis[row]!]!] ?? "not known" },
      { head: "Pan static", figure: (row) => coil(row).panStatic ?? Number.NaN, kind: "gauge-pressure" },
      { head: "Path", figure: (row) => fall.coils[row]!.pathLength, kind: "length", spread: true },
      { head: "Least grade", figure: (row) => fall.coils[row]!.leastGrade, kind: "grade" },
      {
        head: "Fall to spare to the joint",
        figure: (row) => fall.coils[row]!.fallBudgetToJoiningPoint,
        kind: "dimension",
      },
      { head: "Fall lacking as drawn", figure: (row) => fall.coils[row]!.shortfall, kind: "dimension" },
      { head: "Seals on the way", text: (row) => String(seals.countOnPath[row]), number: true },
      {
        head: "Stopped at, over outlet",
        figure: (row) => circuits.stoppingTrip[row]! - net.z[net.coils[row]!]!,
        kind: "dimension",
      },
      { head: "Lift", text: (row) => (pump(row) ? "own pump" : "gravity") },
    ],
    note: "A dash: not known, or without meaning there. Path: pipe from the pan to the outlet. Fall to spare is what is left of the fall to the joint with other coils after trap and runs at their least grade; where it is negative, no re-hanging will do. Stopped at: the lowest working device at the pan that stops this coil.",
  };
};

export const sizeOrDash = (size: number | null, names: "nps" | "dn"): string =>
  size === null || size === 0 ? "–" : sizeName(size, names);
