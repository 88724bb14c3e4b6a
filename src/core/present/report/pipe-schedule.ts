import { risers } from "../../audit/places.js";
import type { Audited } from "../../audit/run.js";
import { type Compiled, ROLE } from "../../graph/compiled.js";
import { sizeNameOf } from "../../materials/materials.js";
import { sizeName } from "../../quantity/sizes.js";
import type { FindingsAt, Schedule } from "./schedule.js";

/** Every pipe, by what it is part of, from the top down. Rows are pipe indices. */
export const pipeSchedule = ({ net, facts, profile }: Audited, at: FindingsAt): Schedule => {
  const { topology, fall, loads, capacity, water } = facts;
  const foot = risers(net, facts);
  const part = (pipe: number) => partOf(net, foot[pipe]!, topology.common[pipe] === 1, pipe);
  const size = (number: number, pipe: number): string => {
    const { material } = net.pipes[pipe]!;
    if (number === 0) return "–";
    return sizeNameOf(number, material, profile.sizeSystem);
  };
  const nominal = (number: number): string => (number === 0 ? "–" : sizeName(number, profile.sizeSystem));
  const rows = Array.from({ length: net.pipeCount }, (_, pipe) => pipe).sort(
    (a, b) => part(a)[0] - part(b)[0] || foot[a]! - foot[b]! || net.fromInvert[b]! - net.fromInvert[a]! || a - b,
  );
  return {
    title: "Schedule of pipes",
    noun: ["pipe", "pipes"],
    rows,
    id: (row) => net.pipes[row]!.id,
    typical: (row) => net.pipes[row]!.typical,
    floor: (row) => net.nodes[net.from[row]!]!.floor,
    dwelling: (row) => net.nodes[net.from[row]!]!.dwelling,
    part: (row) => part(row)[1],
    findings: at.pipe,
    columns: [
      { head: "Size", text: (row) => size(net.pipes[row]!.size ?? 0, row) },
      { head: "Material", text: (row) => net.pipes[row]!.material ?? "–" },
      { head: "Bore", figure: (row) => capacity.bore[row]!, kind: "dimension" },
      { head: "by code", text: (row) => nominal(capacity.codeSize[row]!) },
      { head: "by flow", text: (row) => size(capacity.hydraulicSize[row]!, row) },
      { head: "Needed", text: (row) => nominal(capacity.requiredSize[row]!) },
      { head: "Coils", figure: (row) => topology.coilsAbove[row]!, kind: "count" },
      { head: "Connected", figure: (row) => loads.connected[row]!, kind: "cooling-capacity" },
      { head: "Peak flow", figure: (row) => loads.designFlow[row]!, kind: "flow" },
      { head: "Length", figure: (row) => net.length[row]!, kind: "length" },
      {
        head: "Lies",
        text: (row) => (net.role[row] === ROLE.pressure ? "pumped" : fall.vertical[row] === 1 ? "stands" : "slopes"),
      },
      { head: "Grade", figure: (row) => (fall.vertical[row] === 1 ? Number.NaN : fall.grade[row]!), kind: "grade" },
      { head: "Over the least", figure: (row) => fall.grade[row]! - fall.gradeMinimum[row]!, kind: "grade" },
      { head: "Full", figure: (row) => capacity.fillRatio[row]!, kind: "share" },
      { head: "Used", figure: (row) => capacity.utilisation[row]!, kind: "share" },
      {
        head: "Standing water",
        figure: (row) => Math.max(water.fromDepth[row]!, water.toDepth[row]!),
        kind: "dimension",
      },
    ],
    note: "A dash: not known, or without meaning there. By code, by flow, needed: nominal sizes by the profile's table, by hydraulics, and of both with the pan outlets and sizes above. Over the least: grade less the profile's least grade. Full: depth at peak flow over bore (of what stands, the share of the bore). Used: peak flow over what it may carry.",
  };
};

/** Place of a part in the schedule, and its label. */
const partOf = (
  net: Compiled,
  foot: number,
  common: boolean,
  pipe: number,
): readonly [place: number, label: string] => {
  switch (net.role[pipe]) {
    case ROLE.pressure:
      return [3, "Discharges of pumps"];
    case ROLE.secondary:
    case ROLE.auxiliary:
      return [4, "Second lines and drains of auxiliary pans"];
    case ROLE.vent:
      return [5, "Vents"];
    case ROLE.access:
      return [6, "Stubs to cleanouts"];
    default:
      if (!common) return [2, "Branches of single coils"];
      return foot < 0 ? [1, "Mains"] : [0, `Riser that stands on ${net.nodes[foot]!.id}`];
  }
};
