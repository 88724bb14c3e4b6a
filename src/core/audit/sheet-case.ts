import type { Travel } from "../analysis/travel.js";
import { SI_UNIT } from "../quantity/si-unit.js";
import type { QuantityKind, Speaker } from "../quantity/speaker.js";
import type { Case } from "../rules/rule.js";
import type { SheetBox, SheetCheck } from "./commissioning-sheet.js";

/** What the lines of a commissioning sheet are made from. */
export interface SheetCase extends Case {
  readonly speak: Speaker;
  /** water poured in at a pan, at POUR_RATE */
  readonly poured: Travel;
  /** water run into a main, at the rate of its outlet or pump */
  readonly run: Travel;
  /** m³/s that mains are flushed and tested with, by the outlet or pump that they lead to */
  readonly rateTo: (boundary: number) => number;
}

/** m³/s: half a litre a minute, from a jug. An assumption. */
export const POUR_RATE = 30e-3 / 3600;
/** m³: what is left to be measured once the water has arrived. */
const MEASURED = 1e-3;
/** m³: jugs are read in half litres. */
const STEP = 0.5e-3;

/** A whole number of half litres that is not used up before the water arrives; NaN where its time is not known. */
export const volumeToPour = (seconds: number): number =>
  Math.ceil((seconds * POUR_RATE + MEASURED) / STEP - 1e-9) * STEP;

export const expected = (name: string, value: number, kind: QuantityKind): SheetCheck["expected"][number] => ({
  name,
  value: Number.isFinite(value) ? value + 0 : null,
  unit: SI_UNIT[kind],
});

export const yesNo = (name: string, label: string): SheetBox => ({ name, form: "yes-no", unit: null, label });
export const figureBox = (name: string, kind: QuantityKind, label: string): SheetBox => ({
  name,
  form: "figure",
  unit: SI_UNIT[kind],
  label,
});
export const textBox = (name: string, label: string): SheetBox => ({ name, form: "text", unit: null, label });

/** Node, pipe, fan coil, device or building: as in the ids of findings. */
type AnchorLetter = "n" | "p" | "f" | "d" | "b";

export const checkId = (kind: string, letter: AnchorLetter, id: string): string =>
  `${kind}~${letter}:${encodeURIComponent(id)}`;

/** What a line is about, by id. */
export const subjectIds = (
  { net }: Case,
  about: {
    readonly fanCoils?: readonly number[];
    readonly nodes?: readonly number[];
    readonly pipes?: readonly number[];
    readonly devices?: readonly number[];
  },
): SheetCheck["subject"] => ({
  fanCoils: (about.fanCoils ?? []).map((node) => net.nodes[node].id),
  nodes: (about.nodes ?? []).map((node) => net.nodes[node].id),
  pipes: (about.pipes ?? []).map((pipe) => net.pipes[pipe].id),
  devices: (about.devices ?? []).map((device) => net.model.devices[device].id),
});

/** When water arrives at the end of its way, or why nobody can tell. */
export const sayArrival = (
  { net, speak }: SheetCase,
  { time, stuck }: Travel,
  node: number,
  boundary: number,
): string => {
  if (boundary < 0) return "As drawn it leads to no outlet: write down where the water comes out.";
  const end = speak.node(boundary);
  if (!Number.isNaN(time[node])) return `It arrives at ${end} after about ${speak.figure(time[node], "duration")}.`;
  const why = stuck[node] < 0 ? "" : `: bore, fall or standing water of ${net.pipes[stuck[node]].id} do not tell`;
  return `When it arrives at ${end} is not known${why}; write the time down.`;
};
