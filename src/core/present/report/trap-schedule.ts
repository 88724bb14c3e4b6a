import type { SealFact } from "../../analysis/facts.js";
import type { Audited } from "../../audit/run.js";
import type { FindingsAt, Schedule } from "./schedule.js";

const TYPES = { water: "water", waterless: "waterless", "check-valve": "check valve" } as const;

/** Every trap: what its fan asks of it, what it has, and what is to spare. Rows are node indices. */
export const trapSchedule = ({ net, facts }: Audited, at: FindingsAt): Schedule => {
  const { seals } = facts;
  const rows: number[] = [];
  for (let node = 0; node < net.nodeCount; node++) if (seals.ofTrap[node]! >= 0) rows.push(node);
  const of = (figure: (seal: SealFact) => number) => (row: number) => figure(seals.list[seals.ofTrap[row]!]!);
  const trap = (row: number) => net.nodes[row]!.trap!;
  return {
    title: "Schedule of traps",
    noun: ["trap", "traps"],
    rows,
    id: (row) => net.nodes[row]!.id,
    typical: (row) => net.nodes[row]!.typical,
    floor: (row) => net.nodes[row]!.floor,
    dwelling: (row) => net.nodes[row]!.dwelling,
    findings: at.node,
    columns: [
      { head: "Seal", text: (row) => TYPES[trap(row).sealType] },
      {
        head: "Primed",
        text: (row) => {
          const { primed, primedStated, sealType } = trap(row);
          if (sealType !== "water") return "no need";
          return primed === null ? "not known" : primed ? (primedStated ? "yes" : "to be") : "no";
        },
      },
      { head: "Static that governs", figure: of((seal) => seal.staticPressure), kind: "gauge-pressure" },
      { head: "as head", figure: of((seal) => seal.head), kind: "dimension" },
      { head: "Drop", figure: of((seal) => seal.drop), kind: "dimension" },
      { head: "needed", figure: of((seal) => seal.dropNeeded), kind: "dimension" },
      { head: "to spare", figure: of((seal) => seal.drop - seal.dropNeeded), kind: "dimension" },
      { head: "Seal depth", figure: of((seal) => seal.sealDepth), kind: "dimension" },
      { head: "needed", figure: of((seal) => seal.sealNeeded), kind: "dimension" },
      { head: "to spare", figure: of((seal) => seal.sealDepth - seal.sealNeeded), kind: "dimension" },
      { head: "Standing in the pan", figure: of((seal) => seal.panStanding), kind: "dimension" },
      { head: "To fill it", figure: of((seal) => seal.primingVolume), kind: "volume" },
      { head: "Days until dry", figure: of((seal) => seal.daysToOpen?.best ?? Number.NaN), kind: "count" },
    ],
    note: "A dash: not known, or without meaning there. Drop: the pan's outlet over the weir. Needed: with the margins of the profile, or the manufacturer's own figure where that is more. To spare: what is built less what is needed; negative is short. To fill it: at least so much. Days until dry: idle, at the profile's rate of drying.",
  };
};
