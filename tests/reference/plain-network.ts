import { naturalOrder } from "./natural-order.js";
import { boreOf } from "./tables.js";

const metres = (millimetres: number | undefined): number | null =>
  millimetres === undefined ? null : millimetres / 1000;

/** A plain network document: units `si`, bare numbers only, no typicals, no elevations by reference. */
export interface PlainDocument {
  format: 1;
  id: string;
  name?: string;
  units: "si";
  profile: string | { base: string; overrides: Record<string, number> };
  stage: "design" | "as-built" | "in-service";
  site?: Record<string, unknown> & { surveyTolerance?: number; pressure?: number };
  nodes: PlainNode[];
  pipes: PlainPipe[];
  overflowDevices?: PlainDevice[];
  circuits?: PlainCircuit[];
}

export interface PlainAir {
  dryBulb: number;
  relativeHumidity?: number;
  wetBulb?: number;
  dewPoint?: number;
  humidityRatio?: number;
}

export interface PlainNode {
  id: string;
  kind: string;
  elevation: number;
  tolerance?: number | "derived";
  fixed?: boolean;
  future?: boolean;
  dwelling?: string;
  spillHarmless?: boolean;
  cleanout?: { opening?: number; capped?: boolean };
  vent?: { top: number; size?: number; opening?: string; capped?: boolean };
  // fan coil
  inService?: boolean;
  coolingCapacity?: number;
  sensibleHeatRatio?: number;
  airflow?: number;
  enteringAir?: PlainAir;
  leavingAir?: PlainAir;
  condensateRate?: number;
  fanPosition?: string;
  panStatic?: number;
  pan?: { rimHeight?: number; area?: number; outletSize?: number; secondary?: { height?: number; is?: string } };
  trapRequirement?: { drop?: number; sealDepth?: number };
  auxiliaryPan?: { present?: boolean; floor?: number; depth?: number; drain?: string };
  internalPump?: { lift?: number; capacity?: number; switch?: boolean };
  // trap
  sealType?: string;
  sealDepth?: number;
  inletDrop?: number;
  primed?: boolean;
  inletLegSize?: number;
  outletLegSize?: number;
  opensAt?: number;
  holds?: number;
  // vent, cleanout; `opening` is a word on a vent and a height on a cleanout
  opening?: string | number;
  capped?: boolean;
  // junction, bend, reducer
  fitting?: string;
  angle?: number;
  form?: string;
  // pump
  liftTo?: number;
  capacity?: number;
  checkValve?: boolean;
  sump?: { rim?: number; volume?: number; startLevel?: number; ventedTo?: string };
  // outlet
  discharge?: string;
  connection?: string;
  waterLevel?: number;
}

export interface PlainPipe {
  id: string;
  from: string;
  to: string;
  role?: string;
  size?: number;
  material?: string;
  insideDiameter?: number;
  length: number;
  grade?: number;
  fromInvert?: number;
  toInvert?: number;
}

export interface PlainDevice {
  id: string;
  at: string;
  type: string;
  seat?: string;
  tripElevation?: number;
  tripHeight?: number;
  contact?: string;
  state?: string;
  circuit?: string;
}

export interface PlainCircuit {
  id: string;
  devices?: string[];
  arrangement?: string;
  breaks?: string;
  stops?: string[] | "all-upstream";
  onTrip?: { makesWater?: boolean; fan?: string };
}

export const METRIC_PLASTICS = new Set(["pvc-u-metric", "pp-metric", "pe-metric"]);

/** A node after reading: metres, pascals, watts, m³/s. */
export interface ReadNode {
  id: string;
  kind: string;
  z: number;
  tolerance: number;
  source: PlainNode;
}

export interface ReadPipe {
  id: string;
  from: string;
  to: string;
  role: string;
  size: number | null;
  material: string | null;
  insideDiameter: number | null;
  length: number;
  fromInvert: number;
  toInvert: number;
}

export interface ReadNetwork {
  document: PlainDocument;
  profileBase: string;
  overrides: Map<string, number>;
  nodes: ReadNode[];
  pipes: ReadPipe[];
  node: Map<string, ReadNode>;
  devices: PlainDevice[];
  /** m */
  surveyTolerance: number;
}

/** Expands stubs, fills in the inverts of pipe ends, sorts everything in natural order of ids. */
export const readPlain = (document: PlainDocument): ReadNetwork => {
  const stated = document.site?.surveyTolerance;
  const surveyTolerance = stated ?? (document.stage === "design" ? 0 : 0.003);
  const sources: PlainNode[] = document.nodes.map((node) => ({ ...node }));
  const plainPipes: PlainPipe[] = document.pipes.map((pipe) => ({ ...pipe }));

  for (const node of document.nodes) {
    const touching = (end: "from" | "to", ...roles: string[]): PlainPipe | undefined =>
      document.pipes
        .filter((pipe) => roles.includes(pipe.role ?? "drain") && pipe[end] === node.id)
        .sort((a, b) => naturalOrder(a.id, b.id))[0];
    const model =
      touching("from", "drain") ??
      touching("to", "drain") ??
      touching("from", "secondary", "auxiliary") ??
      touching("to", "secondary", "auxiliary");
    const stub = (
      name: "cleanout" | "vent",
      top: number,
      role: string,
      size: number | undefined,
      own: Partial<PlainNode>,
    ): void => {
      const id = `${node.id}/${name}`;
      const { dwelling, spillHarmless } = node;
      sources.push({ id, kind: name, elevation: top, dwelling, spillHarmless, ...own });
      plainPipes.push({
        id,
        from: node.id,
        to: id,
        role,
        length: top - node.elevation,
        size: size ?? model?.size,
        material: model?.material,
        // a stub of a size of its own has that size's bore
        insideDiameter: size === undefined || size === model?.size ? model?.insideDiameter : undefined,
      });
    };
    if (node.cleanout) {
      const bore = model ? boreOf(model.material ?? null, model.size ?? null, metres(model.insideDiameter)) : null;
      // an opening of unknown height counts as standing at the invert
      const rise = metres(node.cleanout.opening) ?? bore ?? 0;
      stub("cleanout", node.elevation + rise, "access", undefined, {
        opening: 0,
        capped: node.cleanout.capped ?? true,
      });
    }
    if (node.vent) {
      stub("vent", node.vent.top, "vent", node.vent.size, {
        opening: node.vent.opening ?? "open",
        capped: node.vent.capped ?? false,
      });
    }
  }

  const nodes: ReadNode[] = sources.map((source) => ({
    id: source.id,
    kind: source.kind,
    z: source.elevation,
    tolerance: source.tolerance === "derived" ? 0 : (source.tolerance ?? surveyTolerance),
    source,
  }));
  const node = new Map(nodes.map((item) => [item.id, item]));
  const pipes: ReadPipe[] = plainPipes.map((pipe) => {
    const from = node.get(pipe.from)!;
    const to = node.get(pipe.to)!;
    const isDrain = (pipe.role ?? "drain") === "drain";
    const step = to.kind === "trap" && isDrain ? (to.source.inletDrop ?? 0) / 1000 : 0;
    return {
      id: pipe.id,
      from: pipe.from,
      to: pipe.to,
      role: pipe.role ?? "drain",
      size: pipe.size ?? null,
      material: pipe.material ?? null,
      insideDiameter: metres(pipe.insideDiameter),
      length: pipe.length,
      fromInvert: pipe.fromInvert ?? from.z,
      toInvert: pipe.toInvert ?? to.z + step,
    };
  });
  nodes.sort((a, b) => naturalOrder(a.id, b.id));
  pipes.sort((a, b) => naturalOrder(a.id, b.id));
  const profile = document.profile;
  return {
    document,
    profileBase: typeof profile === "string" ? profile : profile.base,
    overrides: new Map(typeof profile === "string" ? [] : Object.entries(profile.overrides)),
    nodes,
    pipes,
    node,
    devices: document.overflowDevices ?? [],
    surveyTolerance,
  };
};
