import type { PlainDocument, PlainNode, PlainPipe } from "../reference/plain-network.js";

/** Documents made from other documents; nothing here touches what it is given. */

const mapPlain = <T extends object>(item: T, change: (copy: T) => void): T => {
  const copy = structuredClone(item);
  change(copy);
  return copy;
};

export const changed = (document: PlainDocument, change: (copy: PlainDocument) => void): PlainDocument =>
  mapPlain(document, change);

/** every level of the document, the ground it stands on included, by the same amount */
export const shifted = (document: PlainDocument, by: number): PlainDocument =>
  changed(document, (copy) => {
    for (const node of copy.nodes) {
      node.elevation += by;
      if (node.vent) node.vent.top += by;
      if (node.liftTo !== undefined) node.liftTo += by;
      if (node.waterLevel !== undefined) node.waterLevel += by;
      if (node.sump?.startLevel !== undefined) node.sump.startLevel += by;
      if (node.auxiliaryPan?.floor !== undefined) node.auxiliaryPan.floor += by;
    }
    for (const pipe of copy.pipes) {
      if (pipe.fromInvert !== undefined) pipe.fromInvert += by;
      if (pipe.toInvert !== undefined) pipe.toInvert += by;
    }
    for (const device of copy.overflowDevices ?? []) if (device.tripElevation !== undefined) device.tripElevation += by;
  });

/** the pipe in two, at a point on its own line; the halves stand in natural order where the whole stood */
export const split = (document: PlainDocument, index: number, share: number, id: string): PlainDocument =>
  changed(document, (copy) => {
    const pipe = copy.pipes[index];
    const at = (end: "from" | "to"): PlainNode => copy.nodes.find((node) => node.id === pipe[end])!;
    const trap = at("to");
    const step = trap.kind === "trap" ? (trap.inletDrop ?? 0) / 1000 : 0;
    const high = pipe.fromInvert ?? at("from").elevation;
    const low = pipe.toInvert ?? trap.elevation + step;
    copy.nodes.push({ id, kind: "point", elevation: high + share * (low - high), tolerance: "derived" });
    const { toInvert, ...first } = pipe;
    const { fromInvert: _, ...second } = pipe;
    copy.pipes[index] = { ...first, id: `${pipe.id}~1`, to: id, length: pipe.length * share };
    const rest: PlainPipe = { ...second, id: `${pipe.id}~2`, from: id, length: pipe.length * (1 - share) };
    if (toInvert !== undefined) rest.toInvert = toInvert;
    copy.pipes.push(rest);
  });

/** every id through `name`, in every place that holds one */
export const renamed = (document: PlainDocument, name: (id: string) => string): PlainDocument =>
  changed(document, (copy) => {
    for (const node of copy.nodes) node.id = name(node.id);
    for (const pipe of copy.pipes) Object.assign(pipe, { id: name(pipe.id), from: name(pipe.from), to: name(pipe.to) });
    for (const device of copy.overflowDevices ?? []) {
      Object.assign(device, { id: name(device.id), at: name(device.at) });
      if (device.circuit !== undefined) device.circuit = name(device.circuit);
    }
    for (const circuit of copy.circuits ?? []) {
      circuit.id = name(circuit.id);
      if (circuit.devices !== undefined) circuit.devices = circuit.devices.map(name);
      if (Array.isArray(circuit.stops)) circuit.stops = circuit.stops.map(name);
    }
  });

const NPS = new Map(
  [15, 20, 25, 32, 40, 50, 65, 80, 100].map((dn, i) => [dn, [0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4][i]]),
);
const FOOT = 0.3048;
const INCH = 25.4;
const INCH_OF_WATER = 249.08891;
const INCH_OF_MERCURY = 3386.389;
const TON = 3.5168528420667;
const GALLON = 3.785411784;

/** the same figures as bare numbers of the other unit system (sizes by outside diameter with their unit) */
export const inUsUnits = (document: PlainDocument): Record<string, unknown> => {
  const copy = structuredClone(document) as unknown as Record<string, unknown> & PlainDocument;
  const scale = (holder: object | undefined, key: string, by: number): void => {
    const record = holder as Record<string, unknown> | undefined;
    if (record !== undefined && typeof record[key] === "number") record[key] = (record[key] as number) / by;
  };
  const nominal = (holder: object | undefined, key: string, metric: boolean): void => {
    const record = holder as Record<string, unknown> | undefined;
    const size = record?.[key];
    if (record === undefined || typeof size !== "number") return;
    record[key] = metric ? `${size} mm` : NPS.get(size);
  };
  const air = (state: PlainNode["enteringAir"]): void => {
    if (state === undefined) return;
    state.dryBulb = state.dryBulb * 1.8 + 32;
    if (state.wetBulb !== undefined) state.wetBulb = state.wetBulb * 1.8 + 32;
    if (state.dewPoint !== undefined) state.dewPoint = state.dewPoint * 1.8 + 32;
  };
  Object.assign(copy, { units: "us" });
  scale(copy.site, "surveyTolerance", FOOT);
  scale(copy.site, "pressure", INCH_OF_MERCURY);
  for (const node of copy.nodes) {
    for (const key of ["elevation", "tolerance", "liftTo", "waterLevel"]) scale(node, key, FOOT);
    for (const key of ["sealDepth", "inletDrop", "inletLegSize", "outletLegSize", "opening"]) scale(node, key, INCH);
    for (const key of ["panStatic", "opensAt", "holds"]) scale(node, key, INCH_OF_WATER);
    scale(node, "coolingCapacity", TON);
    scale(node, "condensateRate", GALLON);
    scale(node, "airflow", FOOT ** 3 * 60);
    air(node.enteringAir);
    air(node.leavingAir);
    scale(node.pan, "rimHeight", INCH);
    scale(node.pan?.secondary, "height", INCH);
    nominal(node.pan, "outletSize", false);
    for (const key of ["drop", "sealDepth"]) scale(node.trapRequirement, key, INCH);
    scale(node.cleanout, "opening", INCH);
    scale(node.vent, "top", FOOT);
    nominal(node.vent, "size", false);
    scale(node.sump, "startLevel", FOOT);
    scale(node.auxiliaryPan, "floor", FOOT);
    scale(node.auxiliaryPan, "depth", INCH);
  }
  for (const pipe of copy.pipes) {
    for (const key of ["length", "fromInvert", "toInvert"]) scale(pipe, key, FOOT);
    scale(pipe, "insideDiameter", INCH);
    nominal(pipe, "size", pipe.material?.endsWith("-metric") ?? false);
  }
  for (const device of copy.overflowDevices ?? []) {
    scale(device, "tripHeight", INCH);
    scale(device, "tripElevation", FOOT);
  }
  return copy;
};
