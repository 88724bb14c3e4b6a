import { LATENT_HEAT, WATER_DENSITY } from "../physics/constants.js";
import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import { pipeOfStub } from "./index-elements.js";
import type { AirState, Cleanout, FanCoil, ModelNode, NodeKind, Outlet, Pump, Trap, Vent } from "./model.js";
import { boreOfPipe, sizeOfPipe } from "./pipe-bore.js";
import { quoted } from "./problems.js";
import type { RawAir, RawNode, RawQuantity } from "./schema.js";

type Raw<K extends NodeKind> = Extract<RawNode, { readonly kind: K }>;

/** An air state; what is wrong with it is told. */
export const readAir = (draft: Draft, raw: RawAir | undefined, suffix: string): AirState | null => {
  if (raw === undefined) return null;
  const air: AirState = {
    dryBulb: draft.figure(FIGURES.temperature, raw.dryBulb, `${suffix}/dryBulb`),
    relativeHumidity: draft.figureOrNull(FIGURES.ratio, raw.relativeHumidity, `${suffix}/relativeHumidity`),
    wetBulb: draft.figureOrNull(FIGURES.temperature, raw.wetBulb, `${suffix}/wetBulb`),
    dewPoint: draft.figureOrNull(FIGURES.temperature, raw.dewPoint, `${suffix}/dewPoint`),
    humidityRatio: raw.humidityRatio ?? null,
  };
  const stated =
    Number(raw.relativeHumidity !== undefined) +
    Number(raw.wetBulb !== undefined) +
    Number(raw.dewPoint !== undefined) +
    Number(raw.humidityRatio !== undefined);
  if (stated !== 1)
    draft.fail(
      suffix,
      stated === 0 ? "missing-field" : "two-forms",
      stated === 0 ? "the air's humidity is missing" : "the air's humidity is stated more than once",
      "give exactly one of relativeHumidity, wetBulb, dewPoint, humidityRatio",
    );
  // equal where saturated
  if (air.wetBulb !== null && air.wetBulb > air.dryBulb + 1e-9)
    draft.fail(
      `${suffix}/wetBulb`,
      "absurd-number",
      "a wet bulb above the dry bulb",
      "air is never more than saturated",
    );
  if (air.dewPoint !== null && air.dewPoint > air.dryBulb + 1e-9)
    draft.fail(
      `${suffix}/dewPoint`,
      "absurd-number",
      "a dew point above the dry bulb",
      "air is never more than saturated",
    );
  return air;
};

/** Nodes of the model: those of the document, then stubs. Ill-formed ones are left out; there is no model then. */
export const readNodes = (draft: Draft): ModelNode[] => {
  const { nodes } = draft;
  const made: ModelNode[] = new Array(draft.nodeCount);
  for (let i = 0; i < nodes.length; i += 1) {
    if (draft.illFormed("nodes", i)) continue;
    draft.at("nodes", i);
    made[i] = readNode(draft, nodes[i], i);
  }
  for (let stub = 0; stub < draft.stubHost.length; stub += 1)
    made[nodes.length + stub] = stubNode(draft, stub, made[draft.stubHost[stub]]);
  return made;
};

const readNode = (draft: Draft, raw: RawNode, index: number): ModelNode => {
  if (raw.floor !== undefined && draft.floors.length > 0 && !draft.floorLevel.has(raw.floor))
    draft.unknown("/floor", "floor", raw.floor, draft.floorLevel.keys());
  checkOwner(draft, raw.owner);
  return {
    id: raw.id,
    kind: raw.kind,
    pointer: draft.place,
    elevation: draft.z[index],
    tolerance: draft.tolerance[index],
    derived: raw.tolerance === "derived",
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
    foreignDischarge:
      raw.foreignDischarge === undefined
        ? null
        : { what: raw.foreignDischarge.what, approved: raw.foreignDischarge.approved ?? null },
    coil: raw.kind === "fan-coil" ? readCoil(draft, raw) : null,
    trap: raw.kind === "trap" ? readTrap(draft, raw) : null,
    vent: raw.kind === "vent" ? readVent(raw) : null,
    cleanout: raw.kind === "cleanout" ? readCleanout(draft, raw, index) : null,
    pump: raw.kind === "pump" ? readPump(draft, raw) : null,
    outlet: raw.kind === "outlet" ? readOutlet(draft, raw) : null,
    fitting: raw.kind === "junction" ? (raw.fitting ?? null) : null,
    angle: raw.kind === "bend" ? draft.figureOrNull(FIGURES.angle, raw.angle, "/angle") : null,
    form: raw.kind === "reducer" ? (raw.form ?? "flat-bottom") : null,
    typical: raw.typical ?? null,
  };
};

/** An owner must be listed where the document lists owners. */
export const checkOwner = (draft: Draft, owner: string | undefined): void => {
  if (owner !== undefined && draft.owners !== null && !draft.owners.has(owner))
    draft.unknown("/owner", "owner", owner, draft.owners.keys());
};

/** A stub is where its node is: what happens there happens to the same people. */
const stubNode = (draft: Draft, stub: number, host: ModelNode): ModelNode => {
  const node = draft.nodes.length + stub;
  const raw = draft.nodes[draft.stubHost[stub]];
  draft.atNode(node);
  const isVent = draft.stubRole[stub] === "vent";
  const ventStub = raw.kind !== "vent" && isVent ? raw.vent : undefined;
  const cleanoutStub = raw.kind !== "vent" && !isVent ? raw.cleanout : undefined;
  const boreUnknown =
    cleanoutStub?.opening === undefined && Number.isNaN(boreOfPipe(draft, pipeOfStub(draft, draft.stubHost[stub])));
  return {
    id: draft.nodeId(node),
    kind: isVent ? "vent" : "cleanout",
    pointer: draft.place,
    elevation: draft.z[node],
    tolerance: draft.tolerance[node],
    derived: false,
    floor: host.floor,
    dwelling: host.dwelling,
    owner: host.owner,
    zone: host.zone,
    name: null,
    x: host.x,
    y: host.y,
    accessible: host.accessible,
    spillHarmless: host.spillHarmless,
    fixed: false,
    future: false,
    removable: false,
    foreignDischarge: null,
    coil: null,
    trap: null,
    vent: isVent ? { opening: ventStub?.opening ?? "open", capped: ventStub?.capped ?? false } : null,
    cleanout: isVent
      ? null
      : {
          opening: boreUnknown ? null : 0,
          capped: cleanoutStub?.capped ?? true,
          cappedStated: cleanoutStub?.capped !== undefined,
        },
    pump: null,
    outlet: null,
    fitting: null,
    angle: null,
    form: null,
    typical: draft.typicalOfStub(node),
  };
};

const readCoil = (draft: Draft, raw: Raw<"fan-coil">): FanCoil => {
  const { pan, auxiliaryPan, connection, trapRequirement, internalPump } = raw;
  const coolingCapacity = draft.figureOrNull(FIGURES.capacity, raw.coolingCapacity, "/coolingCapacity");
  const condensateRate = draft.figureOrNull(FIGURES.flow, raw.condensateRate, "/condensateRate");
  const panStatic = draft.figureOrNull(FIGURES.static, raw.panStatic, "/panStatic");
  checkStatic(draft, raw, panStatic);
  if (condensateRate !== null && coolingCapacity !== null) {
    const most = coolingCapacity / (LATENT_HEAT * WATER_DENSITY);
    if (condensateRate > most * (1 + 1e-9))
      draft.fail(
        "/condensateRate",
        "impossible-condensate",
        `more condensate than the whole cooling capacity can make (${litresPerHour(condensateRate)} against ${litresPerHour(most)})`,
        "at most 1.4537 L/h per kW (1.3506 gal/h per ton): check the rate and the capacity",
      );
  }
  return {
    unitType: raw.unitType ?? null,
    cooling: raw.cooling ?? null,
    serves: raw.serves ?? null,
    inService: raw.inService ?? true,
    coolingCapacity,
    sensibleHeatRatio: draft.figureOrNull(FIGURES.ratio, raw.sensibleHeatRatio, "/sensibleHeatRatio"),
    airflow: draft.figureOrNull(FIGURES.airflow, raw.airflow, "/airflow"),
    enteringAir: readAir(draft, raw.enteringAir, "/enteringAir"),
    leavingAir: readAir(draft, raw.leavingAir, "/leavingAir"),
    condensateRate,
    fanPosition: raw.fanPosition ?? null,
    panStatic,
    pan: {
      rimHeight: draft.figureOrNull(FIGURES.height, pan?.rimHeight, "/pan/rimHeight"),
      area: draft.figureOrNull(FIGURES.area, pan?.area, "/pan/area"),
      outletSize: orNull(sizeOfPipe(draft, pan?.outletSize, pan?.outletMaterial, "/pan/outletSize")),
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
      auxiliaryPan === undefined
        ? null
        : {
            present: auxiliaryPan.present ?? null,
            floor: draft.level(auxiliaryPan.floor, "/auxiliaryPan/floor"),
            depth: draft.figureOrNull(FIGURES.depth, auxiliaryPan.depth, "/auxiliaryPan/depth"),
            overhang: draft.figureOrNull(FIGURES.overhang, auxiliaryPan.overhang, "/auxiliaryPan/overhang"),
            drain: auxiliaryPan.drain ?? null,
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
      trapRequirement === undefined
        ? null
        : {
            drop: draft.figureOrNull(FIGURES.height, trapRequirement.drop, "/trapRequirement/drop"),
            sealDepth: draft.figureOrNull(FIGURES.depth, trapRequirement.sealDepth, "/trapRequirement/sealDepth"),
          },
    internalPump:
      internalPump === undefined
        ? null
        : {
            lift: draft.figureOrNull(FIGURES.lift, internalPump.lift, "/internalPump/lift"),
            capacity: draft.figureOrNull(FIGURES.flow, internalPump.capacity, "/internalPump/capacity"),
            checkValve: internalPump.checkValve ?? null,
            switch: internalPump.switch ?? null,
          },
    filterAccessClear: raw.filterAccessClear ?? null,
  };
};

const orNull = (value: number): number | null => (Number.isNaN(value) ? null : value);

const litresPerHour = (flow: number): string => `${(flow * 3.6e6).toPrecision(5)} L/h`;

/** A pan after which the fan stands is under suction; one before which it stands, under pressure. */
const checkStatic = (draft: Draft, raw: Raw<"fan-coil">, panStatic: number | null): void => {
  if (panStatic === null || raw.panStatic === undefined || panStatic === 0) return;
  const suction = raw.fanPosition === "draw-through";
  if (suction ? panStatic < 0 : raw.fanPosition !== "blow-through" || panStatic > 0) return;
  draft.fail(
    "/panStatic",
    "static-contradicts-fan",
    suction
      ? "a positive static on a draw-through unit, whose pan is under suction"
      : "a negative static on a blow-through unit, whose pan is under the fan's pressure",
    `write ${otherSign(raw.panStatic, draft.system)} for a pan under ${suction ? "suction" : "fan pressure"}`,
  );
};

const otherSign = (raw: RawQuantity, system: "si" | "us" | null): string => {
  if (typeof raw === "number") {
    const unit = system === "us" ? "inH2O" : "Pa";
    return raw > 0 ? `−${raw} ${unit}` : `${-raw} ${unit}`;
  }
  const text = raw.trim();
  const unsigned = text.replace(/^[-−‐‑‒–+]\s*/u, "");
  const negative = /^[-−‐‑‒–]/u.test(text);
  return quoted(negative ? unsigned : `−${unsigned}`).slice(1, -1);
};

const readTrap = (draft: Draft, raw: Raw<"trap">): Trap => ({
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

const readVent = (raw: Raw<"vent">): Vent => ({ opening: raw.opening ?? "open", capped: raw.capped ?? false });

const readCleanout = (draft: Draft, raw: Raw<"cleanout">, index: number): Cleanout => ({
  opening:
    raw.opening === undefined
      ? orNull(boreOfPipe(draft, pipeOfStub(draft, index)))
      : draft.figureOrNull(FIGURES.opening, raw.opening, "/opening"),
  capped: raw.capped ?? true,
  cappedStated: raw.capped !== undefined,
});

const readPump = (draft: Draft, raw: Raw<"pump">): Pump => ({
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

const readOutlet = (draft: Draft, raw: Raw<"outlet">): Outlet => ({
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
