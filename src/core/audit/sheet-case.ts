import type { Travel } from "../analysis/travel.js";
import { writtenUnit } from "../quantity/format.js";
import { SI_UNIT } from "../quantity/si-unit.js";
import type { QuantityKind, Speaker } from "../quantity/speaker.js";
import type { UnitSystem } from "../quantity/unit-system.js";
import type { Case } from "../rules/rule.js";
import type { SheetBox, SheetCheck, SheetFigure } from "./commissioning-sheet.js";

/** What the lines of a commissioning sheet are made from. */
export interface SheetCase extends Case {
  readonly speak: Speaker;
  readonly jug: Jug;
  /** water poured in at a pan for the first time: common drains were flushed, the branch holds no water yet */
  readonly poured: Travel;
  /** the same once its branch has been wetted */
  readonly pouredAgain: Travel;
  /** water run into a main that was flushed, at the rate of its outlet or pump */
  readonly run: Travel;
  /** m³/s that mains are flushed and tested with, by the outlet or pump that they lead to */
  readonly rateTo: (boundary: number) => number;
}

/** What water is measured with where a document's units are used. Assumptions. m³/s and m³. */
export interface Jug {
  /** poured in at a pan, a thin stream */
  readonly pourRate: number;
  /** most that a hose gives a main */
  readonly hoseRate: number;
  /** volumes poured in are a whole number of these */
  readonly step: number;
  /** left of what is poured in once the water has arrived, to be collected and measured */
  readonly measured: number;
  /** volumes run into a main are a whole number of these */
  readonly hoseStep: number;
}

const LITER = 1e-3;
const GALLON = 231 * 0.0254 ** 3;
const HOUR = 3600;

/** Half liters, or pints, from a jug; ten liters a minute, or two and a half gallons, from a hose. */
export const JUGS: Readonly<Record<UnitSystem, Jug>> = {
  si: {
    pourRate: (30 * LITER) / HOUR,
    hoseRate: (600 * LITER) / HOUR,
    step: 0.5 * LITER,
    measured: LITER,
    hoseStep: LITER,
  },
  us: {
    pourRate: (8 * GALLON) / HOUR,
    hoseRate: (150 * GALLON) / HOUR,
    step: GALLON / 8,
    measured: GALLON / 4,
    hoseStep: GALLON / 4,
  },
};

/** The least whole number of steps that holds so much. */
export const wholeSteps = (volume: number, step: number): number => Math.ceil(volume / step - 1e-9) * step;

/** A figure, with the reason where it cannot be told. */
export const expected = (
  { speak }: SheetCase,
  name: string,
  value: number,
  kind: QuantityKind,
  reason: string,
): SheetFigure => {
  const known = Number.isFinite(value);
  return {
    name,
    value: known ? value + 0 : null,
    unit: SI_UNIT[kind],
    text: known ? speak.figure(value, kind) : null,
    reason: known ? null : reason,
  };
};

export const yesNo = (name: string, label: string): SheetBox => ({
  name,
  form: "yes-no",
  unit: null,
  writtenIn: null,
  label,
});
export const figureBox = (
  { net }: SheetCase,
  name: string,
  kind: Exclude<QuantityKind, "size">,
  label: string,
): SheetBox => ({
  name,
  form: "figure",
  unit: SI_UNIT[kind],
  writtenIn: writtenUnit(kind, net.model.units),
  label,
});
export const textBox = (name: string, label: string): SheetBox => ({
  name,
  form: "text",
  unit: null,
  writtenIn: null,
  label,
});

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

/** Why nobody can tell when water arrives at a boundary. */
export const whyNoArrival = ({ net }: SheetCase, { stuck }: Travel, node: number, boundary: number): string => {
  if (boundary < 0) return "as drawn it leads to no outlet";
  return stuck[node] < 0
    ? "its way is not known"
    : `bore, fall or standing water of ${net.pipes[stuck[node]].id} do not tell`;
};

/** When water arrives at the end of its way, or why nobody can tell. */
export const sayArrival = (c: SheetCase, travel: Travel, node: number, boundary: number): string => {
  const { speak } = c;
  if (boundary < 0) return "As drawn it leads to no outlet: write down where the water comes out.";
  const end = speak.node(boundary);
  if (!Number.isNaN(travel.time[node]))
    return `It arrives at ${end} after about ${speak.figure(travel.time[node], "duration")}.`;
  return `When it arrives at ${end} is not known: ${whyNoArrival(c, travel, node, boundary)}; write the time down.`;
};
