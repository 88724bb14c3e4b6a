import { readNetwork } from "../network/read.js";
import type { RawDocument } from "../network/schema.js";
import type { QuantityKind } from "../quantity/speaker.js";
import { fromSi } from "../quantity/units.js";
import type { Remedy } from "./remedy.js";

export type Element = Record<string, unknown> & { id: string };
/** A document whose levels, lengths and steps are plain numbers of its own unit system. */
export interface Draft {
  nodes: Element[];
  pipes: Element[];
  overflowDevices: Element[];
  circuits: Element[];
  readonly units: "si" | "us";
  /** levels of nodes that a measured grade fixes, which state none */
  readonly fixed: ReadonlyMap<string, number>;
}

/** The remedy leaves a choice. */
export class Undecided extends Error {}

/** The remedy does not fit the network. */
export class Unfit extends Error {
  readonly field: "on" | "amount" | "what";
  readonly code: string;
  constructor(field: "on" | "amount" | "what", code: string, message: string) {
    super(message);
    this.field = field;
    this.code = code;
  }
}

export function draftOf(document: RawDocument): Draft {
  const read = readNetwork(document);
  if (!read.ok) throw new Error("an expanded document reads");
  const { model } = read;
  const { nodes, pipes, overflowDevices = [], circuits = [] } = structuredClone(document) as unknown as Draft;
  const fixed = new Map<string, number>();
  const draft: Draft = { nodes, pipes, overflowDevices, circuits, units: model.units, fixed };
  const plain = (metres: number, kind: QuantityKind = "length"): number =>
    Number(fromSi(kind, metres, model.units).toPrecision(12));
  draft.nodes.forEach((node, i) => {
    const { elevation, trap, coil } = model.nodes[i];
    if (node.elevation === undefined) fixed.set(node.id, plain(elevation));
    else node.elevation = plain(elevation);
    if (trap !== null && trap.inletDrop !== null) node.inletDrop = plain(trap.inletDrop, "dimension");
    if (coil?.auxiliaryPan?.floor != null)
      node.auxiliaryPan = { ...(node.auxiliaryPan as object), floor: plain(coil.auxiliaryPan.floor) };
  });
  draft.pipes.forEach((pipe, p) => {
    const { length, fromInvert, toInvert, fromInvertOwn, toInvertOwn } = model.pipes[p];
    pipe.length = plain(length);
    if (fromInvertOwn) pipe.fromInvert = plain(fromInvert);
    if (toInvertOwn) pipe.toInvert = plain(toInvert);
  });
  return draft;
}

export const find = (elements: readonly Element[], id: string, what: string): Element => {
  const element = elements.find((candidate) => candidate.id === id);
  if (element === undefined)
    throw new Unfit("on", "unknown-reference", `the network has no ${what} ${JSON.stringify(id.slice(0, 64))}`);
  return element;
};
export const nodeOf = (draft: Draft, id: unknown): Element => find(draft.nodes, String(id), "node");
export const pipeOf = (draft: Draft, id: string): Element => find(draft.pipes, id, "pipe");
export const deviceOf = (draft: Draft, id: string): Element => find(draft.overflowDevices, id, "overflow device");

export const coilOf = (draft: Draft, id: unknown): Element => {
  const node = nodeOf(draft, id);
  if (node.kind !== "fan-coil") throw new Unfit("on", "bad-value", `${node.id} is no fan coil`);
  return node;
};

/** The amount as a bare number of the document. */
export const amountOf = (draft: Draft, { amount }: Remedy, kind: QuantityKind): number => {
  if (amount === undefined) throw new Unfit("amount", "missing-field", "the remedy says no amount");
  return fromSi(kind, amount, draft.units);
};
export const level = (draft: Draft, remedy: Remedy): number => amountOf(draft, remedy, "length");
export const depth = (draft: Draft, remedy: Remedy): number => amountOf(draft, remedy, "dimension");
/** A short length, as a bare level of the document. */
export const metres = (draft: Draft, length: number): number => fromSi("length", length, draft.units);

export const isDrain = ({ role }: Element): boolean => (role ?? "drain") === "drain";

export const elevationOf = (draft: Draft, node: Element): number => Number(node.elevation ?? draft.fixed.get(node.id));

export const move = (draft: Draft, node: Element, by: number): void => {
  for (const pipe of draft.pipes) {
    if (pipe.grade === undefined || (pipe.from !== node.id && pipe.to !== node.id)) continue;
    // a grade that was measured is no longer what it was, and fixes no level any more
    delete pipe.grade;
    for (const end of [nodeOf(draft, pipe.from), nodeOf(draft, pipe.to)]) end.elevation = elevationOf(draft, end);
  }
  node.elevation = elevationOf(draft, node) + by;
};

/** Nodes from which drains and pumps lead to a node, itself included. */
const above = (draft: Draft, id: string): ReadonlySet<string> => {
  const met = new Set([id]);
  for (const node of met)
    for (const pipe of draft.pipes)
      if (pipe.to === node && (isDrain(pipe) || pipe.role === "pressure")) met.add(String(pipe.from));
  return met;
};
export const coilsAbove = (draft: Draft, id: string): Element[] => {
  const met = above(draft, id);
  return draft.nodes.filter((node) => node.kind === "fan-coil" && met.has(node.id));
};

/** Pipes may have to be a little longer to span more height than before. */
export const stretch = (draft: Draft): void => {
  const nodes = new Map(draft.nodes.map((node) => [node.id, node]));
  const inMetres = draft.units === "us" ? 1 / 12 : 1 / 1000;
  for (const pipe of draft.pipes) {
    const [from, to] = [nodes.get(String(pipe.from)), nodes.get(String(pipe.to))];
    const step = typeof to?.inletDrop === "number" ? to.inletDrop * inMetres : 0;
    if (from === undefined || to === undefined) continue;
    const upper = Number(pipe.fromInvert ?? elevationOf(draft, from));
    const lower = Number(pipe.toInvert ?? elevationOf(draft, to) + step);
    // what a grade fixes goes with its pipe
    if (pipe.grade === undefined) pipe.length = Math.max(Number(pipe.length), Math.abs(upper - lower));
  }
};

const detach = (draft: Draft, device: Element): void => {
  for (const circuit of draft.circuits)
    if (Array.isArray(circuit.devices)) circuit.devices = circuit.devices.filter((member) => member !== device.id);
};

/** Wires a device into a circuit of its own that ends water and suction. */
const wire = (draft: Draft, device: Element, id: string, stops: unknown): void => {
  detach(draft, device);
  draft.circuits.push({ id, breaks: "valve-and-fan", stops });
  device.circuit = id;
};

/** Lets a device stop the coil where it sits, or every coil above it. */
export const wireOwn = (draft: Draft, device: Element): void => {
  const isCoil = nodeOf(draft, device.at).kind === "fan-coil";
  wire(draft, device, `${device.id}-circuit`, isCoil ? [device.at] : "all-upstream");
};

/** Lets a device stop every coil whose water passes a pipe, beside those that it stops already. */
export const wireAbove = (draft: Draft, device: Element, { what }: Remedy): void => {
  if (what === undefined) throw new Unfit("what", "missing-field", "the remedy names no pipe");
  const coils = coilsAbove(draft, String(pipeOf(draft, what).from)).map(({ id }) => id);
  const id = `${device.id}-above`;
  const known = draft.circuits.find((circuit) => circuit.id === id);
  if (known === undefined) wire(draft, device, id, coils);
  else known.stops = [...new Set([...(known.stops as string[]), ...coils])];
};

export const fill = (element: Element, field: string, own: Readonly<Record<string, unknown>>): void => {
  element[field] = { ...(element[field] as object | undefined), ...own };
};

/** Pans are hung and replaced by one figure a step. */
export const setPan = (draft: Draft, remedy: Remedy): Element => {
  const coil = coilOf(draft, remedy.on);
  if (remedy.what !== "depth" && remedy.what !== "overhang")
    throw new Unfit("what", "bad-value", "of a pan the depth or the overhang is wanted");
  fill(coil, "auxiliaryPan", { present: true, [remedy.what]: depth(draft, remedy) });
  return coil;
};

export const openVent = (draft: Draft, node: Element, top: number | undefined): void => {
  node.kind = "vent";
  node.opening = "open";
  node.capped = false;
  if (top !== undefined) node.elevation = Math.max(elevationOf(draft, node), top);
};
