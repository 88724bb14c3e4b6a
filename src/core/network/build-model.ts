import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import type { LooseDocument } from "./flaws.js";
import { pipeOfStub } from "./index-elements.js";
import type {
  AirState,
  FanCoil,
  Model,
  ModelCircuit,
  ModelDevice,
  ModelNode,
  ModelPipe,
  Outlet,
  Pump,
  Site,
  Trap,
} from "./model.js";
import { boreOfPipe } from "./pipe-bore.js";
import { quoted } from "./problems.js";
import type { RawAir, RawNode } from "./schema.js";

type Raw<K extends RawNode["kind"]> = Extract<RawNode, { kind: K }>;

/** Everything that the document says, in SI base units. What is wrong is told on the way; then the model is not used. */
export const buildModel = (draft: Draft, document: LooseDocument): Model => {
  const profile = document.profile as string | { base: string; overrides?: Record<string, unknown> } | undefined;
  const site = siteOf(draft);
  const nodes = nodesOf(draft);
  const pipes = pipesOf(draft);
  const { devices, circuits } = protectionOf(draft);
  return {
    id: document.id as string,
    name: (document.name as string | undefined) ?? null,
    units: draft.system ?? "si",
    stage: draft.stage ?? "design",
    profile:
      typeof profile === "object" && profile !== null
        ? { base: profile.base, overrides: profile.overrides ?? {} }
        : { base: profile ?? "imc", overrides: {} },
    floors: draft.floors.map((floor) => ({
      id: floor?.id,
      name: floor?.name ?? null,
      elevation: draft.floorLevel.get(floor?.id) ?? Number.NaN,
    })),
    owners: draft.owners === null ? [] : [...draft.owners.keys()],
    site,
    nodes,
    pipes,
    devices,
    circuits,
  };
};

const siteOf = (draft: Draft): Site => {
  const raw = draft.site;
  draft.at("site", 0);
  return {
    humid: raw?.humid ?? null,
    freezes: raw?.freezes ?? null,
    idleDays: raw?.idleDays ?? null,
    indoorAir: airOf(draft, raw?.indoorAir, "/indoorAir"),
    ceilingAir: airOf(draft, raw?.ceilingAir, "/ceilingAir"),
    pressure: draft.figureOrNull(FIGURES.atmosphere, raw?.pressure, "/pressure"),
    surveyTolerance: draft.surveyTolerance,
    surveyToleranceStated: raw?.surveyTolerance !== undefined,
  };
};

const airOf = (draft: Draft, raw: RawAir | undefined, suffix: string): AirState | null => {
  if (raw === undefined) return null;
  const stated = [raw.relativeHumidity, raw.wetBulb, raw.dewPoint, raw.humidityRatio].filter((v) => v !== undefined);
  if (stated.length !== 1)
    draft.fail(
      suffix,
      "air-state",
      stated.length === 0
        ? "an air state needs one more figure beside its dry bulb"
        : "an air state has one figure beside its dry bulb",
      "give exactly one of relativeHumidity, wetBulb, dewPoint and humidityRatio",
    );
  const dryBulb = draft.figure(FIGURES.temperature, raw.dryBulb, `${suffix}/dryBulb`);
  const state = {
    dryBulb,
    relativeHumidity: draft.figureOrNull(FIGURES.ratio, raw.relativeHumidity, `${suffix}/relativeHumidity`),
    wetBulb: draft.figureOrNull(FIGURES.temperature, raw.wetBulb, `${suffix}/wetBulb`),
    dewPoint: draft.figureOrNull(FIGURES.temperature, raw.dewPoint, `${suffix}/dewPoint`),
    humidityRatio: raw.humidityRatio ?? null,
  };
  for (const field of ["wetBulb", "dewPoint"] as const)
    if (state[field] !== null && state[field] > dryBulb)
      draft.fail(
        `${suffix}/${field}`,
        "air-state",
        `the ${field === "wetBulb" ? "wet bulb" : "dew point"} is above the dry bulb`,
        "it is at most the dry bulb",
      );
  return state;
};

const NO_KIND = {
  coil: null,
  trap: null,
  vent: null,
  cleanout: null,
  pump: null,
  outlet: null,
  fitting: null,
  angle: null,
  form: null,
};

const nodesOf = (draft: Draft): ModelNode[] => {
  const nodes: ModelNode[] = [];
  for (let i = 0; i < draft.nodes.length; i += 1) {
    if (draft.illFormed("nodes", i)) continue;
    const raw = draft.nodes[i];
    draft.at("nodes", i);
    if (raw.floor !== undefined && !draft.floorLevel.has(raw.floor))
      draft.unknown("/floor", "floor", raw.floor, draft.floorLevel.keys());
    ownerExists(draft, raw.owner);
    nodes.push({
      id: raw.id,
      kind: raw.kind,
      pointer: `/nodes/${i}`,
      elevation: draft.z[i],
      tolerance: draft.tolerance[i],
      floor: raw.floor ?? null,
      dwelling: raw.dwelling ?? null,
      owner: raw.owner ?? null,
      zone: raw.zone ?? null,
      name: raw.name ?? null,
      x: draft.figureOrNull(FIGURES.plan, raw.x, "/x"),
      y: draft.figureOrNull(FIGURES.plan, raw.y, "/y"),
      accessible: raw.accessible ?? null,
      spillHarmless: raw.spillHarmless ?? false,
      fixed: raw.fixed ?? false,
      future: raw.future ?? false,
      removable: raw.removable ?? false,
      ...NO_KIND,
      coil: raw.kind === "fan-coil" ? coilOf(draft, raw) : null,
      trap: raw.kind === "trap" ? trapOf(draft, raw) : null,
      vent: raw.kind === "vent" ? { opening: raw.opening ?? "open", capped: raw.capped ?? false } : null,
      cleanout:
        raw.kind === "cleanout"
          ? {
              opening:
                raw.opening === undefined
                  ? orNull(boreOfPipe(draft, pipeOfStub(draft, i)))
                  : draft.figureOrNull(FIGURES.opening, raw.opening, "/opening"),
              capped: raw.capped ?? true,
              cappedStated: raw.capped !== undefined,
            }
          : null,
      pump: raw.kind === "pump" ? pumpOf(draft, raw) : null,
      outlet: raw.kind === "outlet" ? outletOf(draft, raw) : null,
      fitting: raw.kind === "junction" ? (raw.fitting ?? null) : null,
      angle: raw.kind === "bend" ? draft.figureOrNull(FIGURES.angle, raw.angle, "/angle") : null,
      form: raw.kind === "reducer" ? (raw.form ?? "flat-bottom") : null,
    });
  }
  draft.stubHost.forEach((host, stub) => {
    const raw = draft.nodes[host];
    const node = draft.nodes.length + stub;
    if (raw.kind === "vent") return;
    draft.atNode(node);
    const vents = draft.stubRole[stub] === "vent";
    nodes.push({
      id: draft.nodeId(node),
      kind: vents ? "vent" : "cleanout",
      pointer: draft.stubPointer(stub),
      elevation: draft.z[node],
      tolerance: draft.tolerance[node],
      floor: raw.floor ?? null,
      dwelling: raw.dwelling ?? null,
      owner: raw.owner ?? null,
      zone: raw.zone ?? null,
      name: null,
      x: draft.figureOrNull(FIGURES.plan, raw.x, ""),
      y: draft.figureOrNull(FIGURES.plan, raw.y, ""),
      accessible: raw.accessible ?? null,
      spillHarmless: raw.spillHarmless ?? false,
      fixed: false,
      future: false,
      removable: false,
      ...NO_KIND,
      vent: vents ? { opening: raw.vent?.opening ?? "open", capped: raw.vent?.capped ?? false } : null,
      cleanout: vents
        ? null
        : { opening: 0, capped: raw.cleanout?.capped ?? true, cappedStated: raw.cleanout?.capped !== undefined },
    });
  });
  return nodes;
};

const orNull = (value: number): number | null => (Number.isNaN(value) ? null : value);

const ownerExists = (draft: Draft, owner: string | undefined): void => {
  if (owner !== undefined && draft.owners !== null && !draft.owners.has(owner))
    draft.unknown("/owner", "owner", owner, draft.owners.keys());
};

const coilOf = (draft: Draft, raw: Raw<"fan-coil">): FanCoil => {
  const { pan, auxiliaryPan: aux, connection, trapRequirement: own, internalPump: pump } = raw;
  return {
    unitType: raw.unitType ?? null,
    cooling: raw.cooling ?? null,
    serves: raw.serves ?? null,
    inService: raw.inService ?? true,
    coolingCapacity: draft.figureOrNull(FIGURES.capacity, raw.coolingCapacity, "/coolingCapacity"),
    sensibleHeatRatio: draft.figureOrNull(FIGURES.ratio, raw.sensibleHeatRatio, "/sensibleHeatRatio"),
    airflow: draft.figureOrNull(FIGURES.airflow, raw.airflow, "/airflow"),
    enteringAir: airOf(draft, raw.enteringAir, "/enteringAir"),
    leavingAir: airOf(draft, raw.leavingAir, "/leavingAir"),
    condensateRate: draft.figureOrNull(FIGURES.flow, raw.condensateRate, "/condensateRate"),
    fanPosition: raw.fanPosition ?? null,
    panStatic: draft.figureOrNull(FIGURES.static, raw.panStatic, "/panStatic"),
    pan: {
      rimHeight: draft.figureOrNull(FIGURES.height, pan?.rimHeight, "/pan/rimHeight"),
      area: draft.figureOrNull(FIGURES.area, pan?.area, "/pan/area"),
      outletSize: draft.figureOrNull(FIGURES.size, pan?.outletSize, "/pan/outletSize"),
      outletMaterial: pan?.outletMaterial ?? null,
      secondary:
        pan?.secondary === undefined
          ? null
          : {
              height: draft.figureOrNull(FIGURES.height, pan.secondary.height, "/pan/secondary/height"),
              is: pan.secondary.is ?? null,
            },
    },
    connectedPort: raw.connectedPort ?? null,
    location: raw.location ?? null,
    auxiliaryPan:
      aux === undefined
        ? null
        : {
            present: aux.present ?? null,
            floor: draft.level(aux.floor, "/auxiliaryPan/floor"),
            depth: draft.figureOrNull(FIGURES.depth, aux.depth, "/auxiliaryPan/depth"),
            overhang: draft.figureOrNull(FIGURES.overhang, aux.overhang, "/auxiliaryPan/overhang"),
            drain: aux.drain ?? null,
          },
    connection:
      connection === undefined
        ? null
        : {
            threadSealant: connection.threadSealant ?? null,
            cemented: connection.cemented ?? null,
            handTight: connection.handTight ?? null,
          },
    trapRequirement:
      own === undefined
        ? null
        : {
            drop: draft.figureOrNull(FIGURES.drop, own.drop, "/trapRequirement/drop"),
            sealDepth: draft.figureOrNull(FIGURES.depth, own.sealDepth, "/trapRequirement/sealDepth"),
          },
    internalPump:
      pump === undefined
        ? null
        : {
            lift: draft.figureOrNull(FIGURES.lift, pump.lift, "/internalPump/lift"),
            capacity: draft.figureOrNull(FIGURES.flow, pump.capacity, "/internalPump/capacity"),
            switch: pump.switch ?? null,
          },
    filterAccessClear: raw.filterAccessClear ?? null,
  };
};

const trapOf = (draft: Draft, raw: Raw<"trap">): Trap => ({
  sealType: raw.sealType ?? "water",
  sealDepth: draft.figureOrNull(FIGURES.depth, raw.sealDepth, "/sealDepth"),
  inletDrop: draft.figureOrNull(FIGURES.drop, raw.inletDrop, "/inletDrop"),
  primed: raw.primed ?? (draft.stage === "design" ? true : null),
  primedStated: raw.primed !== undefined,
  inletLegSize: draft.figureOrNull(FIGURES.bore, raw.inletLegSize, "/inletLegSize"),
  outletLegSize: draft.figureOrNull(FIGURES.bore, raw.outletLegSize, "/outletLegSize"),
  opensAt: draft.figureOrNull(FIGURES.holding, raw.opensAt, "/opensAt"),
  holds: draft.figureOrNull(FIGURES.holding, raw.holds, "/holds"),
});

const pumpOf = (draft: Draft, raw: Raw<"pump">): Pump => ({
  liftTo: draft.level(raw.liftTo, "/liftTo"),
  capacity: draft.figureOrNull(FIGURES.flow, raw.capacity, "/capacity"),
  checkValve: raw.checkValve ?? null,
  interlocked: raw.interlocked ?? null,
  sump:
    raw.sump === undefined
      ? null
      : {
          rim: draft.level(raw.sump.rim, "/sump/rim"),
          volume: draft.figureOrNull(FIGURES.volume, raw.sump.volume, "/sump/volume"),
          startLevel: draft.level(raw.sump.startLevel, "/sump/startLevel"),
          ventedTo: raw.sump.ventedTo ?? null,
        },
});

const outletOf = (draft: Draft, raw: Raw<"outlet">): Outlet => ({
  discharge: raw.discharge ?? null,
  connection: raw.connection ?? null,
  airGap: draft.figureOrNull(FIGURES.gap, raw.airGap, "/airGap"),
  waterLevel: draft.level(raw.waterLevel, "/waterLevel"),
  receptor:
    raw.receptor === undefined
      ? null
      : {
          rim: draft.level(raw.receptor.rim, "/receptor/rim"),
          trapped: raw.receptor.trapped ?? null,
          dwelling: raw.receptor.dwelling ?? null,
          spillHarmless: raw.receptor.spillHarmless ?? null,
          accessible: raw.receptor.accessible ?? null,
        },
});

const pipesOf = (draft: Draft): ModelPipe[] => {
  const pipes: ModelPipe[] = [];
  for (let p = 0; p < draft.pipes.length; p += 1) {
    if (draft.illFormed("pipes", p)) continue;
    const raw = draft.pipes[p];
    draft.at("pipes", p);
    ownerExists(draft, raw.owner);
    pipes.push({
      id: raw.id,
      pointer: `/pipes/${p}`,
      from: draft.from[p],
      to: draft.to[p],
      role: raw.role ?? "drain",
      size: draft.figureOrNull(FIGURES.size, raw.size, "/size"),
      material: raw.material ?? null,
      insideDiameter: draft.figureOrNull(FIGURES.bore, raw.insideDiameter, "/insideDiameter"),
      length: draft.length[p],
      grade: orNull(draft.grade[p]),
      fromInvert: draft.endLevel(2 * p),
      toInvert: draft.endLevel(2 * p + 1),
      fromInvertOwn: draft.endOwn[2 * p] === 1,
      toInvertOwn: draft.endOwn[2 * p + 1] === 1,
      supportSpacing: draft.figureOrNull(FIGURES.spacing, raw.supportSpacing, "/supportSpacing"),
      insulation:
        raw.insulation === undefined
          ? null
          : {
              thickness: draft.figureOrNull(FIGURES.thickness, raw.insulation.thickness, "/insulation/thickness"),
              conductivity: draft.figureOrNull(
                FIGURES.conductivity,
                raw.insulation.conductivity,
                "/insulation/conductivity",
              ),
              facing: raw.insulation.facing ?? null,
            },
      space: raw.space ?? "ceiling",
      zone: raw.zone ?? null,
      owner: raw.owner ?? null,
      flexible: raw.flexible ?? null,
      lastCleaned: raw.lastCleaned ?? null,
      notes: raw.notes ?? null,
    });
  }
  draft.stubHost.forEach((host, stub) => {
    const p = draft.pipes.length + stub;
    const raw = draft.nodes[host];
    if (raw.kind === "vent") return;
    draft.atNode(draft.nodes.length + stub);
    const stated = draft.stubRole[stub] === "vent" ? raw.vent?.size : raw.cleanout?.size;
    const source = pipeOfStub(draft, host);
    const make =
      source >= 0 && source < draft.pipes.length && !draft.illFormed("pipes", source) ? draft.pipes[source] : null;
    const own = draft.figureOrNull(FIGURES.size, stated, "/size");
    pipes.push({
      id: draft.pipeId(p),
      pointer: draft.stubPointer(stub),
      from: draft.from[p],
      to: draft.to[p],
      role: draft.stubRole[stub],
      size: own ?? (make?.size === undefined ? null : orNull(draft.quietFigure(FIGURES.size, make.size))),
      material: make?.material ?? null,
      insideDiameter:
        own !== null || make?.insideDiameter === undefined
          ? null
          : orNull(draft.quietFigure(FIGURES.bore, make.insideDiameter)),
      length: draft.length[p],
      grade: null,
      fromInvert: draft.endLevel(2 * p),
      toInvert: draft.endLevel(2 * p + 1),
      fromInvertOwn: false,
      toInvertOwn: false,
      supportSpacing: null,
      insulation: null,
      space: make?.space ?? "ceiling",
      zone: make?.zone ?? null,
      owner: make?.owner ?? null,
      flexible: null,
      lastCleaned: null,
      notes: null,
    });
  });
  return pipes;
};

/** Devices and circuits; membership may be stated at either, and must agree where both speak. */
const protectionOf = (draft: Draft): { devices: ModelDevice[]; circuits: ModelCircuit[] } => {
  const deviceIndex = new Map<string, number>();
  const circuitIndex = new Map<string, number>();
  draft.devices.forEach((raw, i) => {
    draft.at("overflowDevices", i);
    if (!draft.illFormed("overflowDevices", i)) draft.enter(deviceIndex, raw.id, i, "/id", "device");
  });
  draft.circuits.forEach((raw, i) => {
    draft.at("circuits", i);
    if (!draft.illFormed("circuits", i)) draft.enter(circuitIndex, raw.id, i, "/id", "circuit");
  });
  const circuitOf = new Int32Array(draft.devices.length).fill(-1);
  draft.devices.forEach((raw, i) => {
    if (draft.illFormed("overflowDevices", i) || raw.circuit === undefined) return;
    draft.at("overflowDevices", i);
    const circuit = circuitIndex.get(raw.circuit);
    if (circuit === undefined) draft.unknown("/circuit", "circuit", raw.circuit, circuitIndex.keys());
    else circuitOf[i] = circuit;
  });
  draft.circuits.forEach((raw, c) => {
    if (draft.illFormed("circuits", c) || raw.devices === undefined) return;
    draft.at("circuits", c);
    const listed = new Set<number>();
    raw.devices.forEach((id, k) => {
      const device = deviceIndex.get(id);
      if (device === undefined) {
        draft.unknown(`/devices/${k}`, "device", id, deviceIndex.keys());
        return;
      }
      listed.add(device);
      if (circuitOf[device] >= 0 && circuitOf[device] !== c)
        draft.fail(
          `/devices/${k}`,
          "membership-conflict",
          `the device ${quoted(id)} belongs to the circuit ${quoted(draft.circuits[circuitOf[device]].id)}`,
          "state one circuit for each device, at the device or at the circuit",
        );
      else circuitOf[device] = c;
    });
    draft.devices.forEach((device, i) => {
      if (circuitOf[i] === c && !listed.has(i) && device.circuit !== undefined)
        draft.fail(
          "/devices",
          "membership-conflict",
          `the device ${quoted(device.id)} names this circuit, but is not among its devices`,
          "add it here, or leave the list out",
        );
    });
  });

  const devices: ModelDevice[] = [];
  draft.devices.forEach((raw, i) => {
    if (draft.illFormed("overflowDevices", i)) return;
    draft.at("overflowDevices", i);
    const at = draft.nodeIndex.get(raw.at);
    if (at === undefined) draft.unknown("/at", "node", raw.at, draft.nodeIndex.keys());
    const height = draft.figure(FIGURES.tripHeight, raw.tripHeight, "/tripHeight");
    const level = draft.level(raw.tripElevation, "/tripElevation");
    const fromHeight = at === undefined || Number.isNaN(height) ? null : draft.z[at] + height;
    if (level !== null && fromHeight !== null && Math.abs(level - fromHeight) > 0.0005)
      draft.fail(
        "/tripHeight",
        "trip-disagrees",
        "tripHeight and tripElevation name two levels",
        "leave out one of them",
      );
    devices.push({
      id: raw.id,
      pointer: `/overflowDevices/${i}`,
      at: at ?? -1,
      type: raw.type,
      seat: raw.seat ?? null,
      tripLevel: level ?? fromHeight,
      contact: raw.contact ?? "nc",
      state: raw.state ?? null,
      latches: raw.latches ?? null,
      circuit: circuitOf[i] < 0 ? null : circuitOf[i],
    });
  });
  const members: number[][] = draft.circuits.map(() => []);
  circuitOf.forEach((circuit, device) => {
    if (circuit >= 0) members[circuit].push(device);
  });
  const circuits: ModelCircuit[] = [];
  draft.circuits.forEach((raw, c) => {
    if (draft.illFormed("circuits", c)) return;
    draft.at("circuits", c);
    let stops: ModelCircuit["stops"] = null;
    if (raw.stops === "all-upstream") stops = "all-upstream";
    else if (raw.stops !== undefined) {
      const coils: number[] = [];
      raw.stops.forEach((id, k) => {
        const node = draft.nodeIndex.get(id);
        if (node === undefined) draft.unknown(`/stops/${k}`, "node", id, draft.nodeIndex.keys());
        else if (draft.kind[node] !== "fan-coil")
          draft.fail(
            `/stops/${k}`,
            "not-a-fan-coil",
            `${quoted(id)} is no fan coil`,
            "name the coils that the circuit stops",
          );
        else coils.push(node);
      });
      stops = coils;
    }
    circuits.push({
      id: raw.id,
      pointer: `/circuits/${c}`,
      devices: members[c],
      arrangement: raw.arrangement ?? (members[c].length === 1 ? "series" : null),
      breaks: raw.breaks ?? null,
      stops,
      onTrip:
        raw.onTrip === undefined ? null : { makesWater: raw.onTrip.makesWater ?? null, fan: raw.onTrip.fan ?? null },
    });
  });
  return { devices, circuits };
};
