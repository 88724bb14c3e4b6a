import type { Audited } from "../../audit/run.js";
import { ROLE } from "../../graph/compiled.js";
import type { Speaker } from "../../quantity/speaker.js";
import type { Flood } from "./emphasis.js";
import type { Marks } from "./marks.js";
import { short, sizeOf } from "./scene.js";

/** What the panels of one path share. */
export interface PanelScene {
  readonly audited: Audited;
  readonly speak: Speaker;
  readonly marks: Marks;
  readonly flood: Flood | null;
  readonly coil: number;
  /** pipe → in a space of locked air */
  readonly locked: (pipe: number) => boolean;
  /** small, with what matters most */
  readonly brief?: true;
}

export interface Panel {
  readonly content: string;
  readonly height: number;
}

export interface Station {
  readonly node: number;
  /** m along the reach */
  readonly at: number;
  /** px */
  readonly x: number;
  readonly z: number;
}

/** The vents and access stubs that rise from a node. */
export function ventsOf(
  { audited: { net } }: PanelScene,
  node: number,
): { readonly end: number; readonly pipe: number; readonly top: number; readonly isVent: boolean }[] {
  const found = [];
  for (let k = net.ends.start[node]; k < net.ends.start[node + 1]; k++) {
    const p = net.ends.list[k] >> 1;
    if ((net.ends.list[k] & 1) === 1) continue;
    if (net.role[p] !== ROLE.vent && net.role[p] !== ROLE.access) continue;
    const end = net.to[p];
    found.push({ end, pipe: p, top: net.z[end], isVent: net.role[p] === ROLE.vent });
  }
  return found;
}

/** Invert of a trap's dip: its crown lies the seal below the weir, the bore below that. */
export function dipOf({ audited: { net, facts } }: PanelScene, node: number): number {
  const seal = facts.seals.ofTrap[node];
  const { sealDepth, outletLegSize, inletLegSize } = net.nodes[node].trap!;
  const out = seal < 0 ? Number.NaN : facts.seals.list[seal].outletBore;
  const bore = inletLegSize ?? outletLegSize ?? (Number.isNaN(out) ? 0.02 : out);
  return net.z[node] - (sealDepth ?? 0.05) - bore;
}

/** Size of a pipe in words. */
export const sizeText = (scene: PanelScene, p: number): string => sizeOf(scene, p) ?? "size not known";

/** Size and grade of a pipe in words. */
export function pipeText(scene: PanelScene, p: number): string {
  const { grade, vertical } = scene.audited.facts.fall;
  const fall = vertical[p] === 1 ? "plumb" : Number.isNaN(grade[p]) ? "" : short(scene.speak, grade[p], "grade");
  return fall === "" ? sizeText(scene, p) : `${sizeText(scene, p)} · ${fall}`;
}
