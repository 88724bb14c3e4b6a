import { naturalOrder } from "../quantity/natural-order.js";
import type { Draft } from "./draft.js";
import { FIGURES } from "./figures.js";
import type { ModelCircuit, ModelDevice } from "./model.js";
import { quoted } from "./problems.js";

const idOf = (raw: unknown): string | undefined => {
  if (typeof raw !== "object" || raw === null || !Object.hasOwn(raw, "id")) return undefined;
  const { id } = raw as { readonly id: unknown };
  return typeof id === "string" ? id : undefined;
};

/** Overflow devices and circuits, each circuit with its members from either side. */
export const readOverflow = (draft: Draft): { devices: ModelDevice[]; circuits: ModelCircuit[] } => {
  const deviceIndex = new Map<string, number>();
  for (let i = 0; i < draft.devices.length; i += 1) {
    draft.at("overflowDevices", i);
    const id = idOf(draft.devices[i]);
    if (id !== undefined) draft.enter(deviceIndex, id, i, "/id", "device");
  }
  const circuitIndex = new Map<string, number>();
  for (let i = 0; i < draft.circuits.length; i += 1) {
    draft.at("circuits", i);
    const id = idOf(draft.circuits[i]);
    if (id !== undefined) draft.enter(circuitIndex, id, i, "/id", "circuit");
  }
  const circuitOf = membership(draft, deviceIndex, circuitIndex);
  const devices: ModelDevice[] = new Array(draft.devices.length);
  const members: number[][] = draft.circuits.map(() => []);
  for (let i = 0; i < draft.devices.length; i += 1) {
    if (circuitOf[i] >= 0) members[circuitOf[i]].push(i);
    if (draft.illFormed("overflowDevices", i)) continue;
    draft.at("overflowDevices", i);
    devices[i] = readDevice(draft, i, circuitOf[i]);
  }
  const circuits: ModelCircuit[] = new Array(draft.circuits.length);
  for (let i = 0; i < draft.circuits.length; i += 1) {
    if (draft.illFormed("circuits", i)) continue;
    draft.at("circuits", i);
    circuits[i] = readCircuit(draft, i, members[i]);
  }
  return { devices, circuits };
};

/** Both lists in natural order of ids, so that the order of the document decides nothing. */
export const inNaturalOrder = (
  devices: readonly ModelDevice[],
  circuits: readonly ModelCircuit[],
): { devices: ModelDevice[]; circuits: ModelCircuit[] } => {
  const [deviceOrder, circuitOrder] = [ranks(devices), ranks(circuits)];
  return {
    devices: deviceOrder.sorted.map((device) => ({
      ...device,
      circuit: device.circuit === null ? null : circuitOrder.rank[device.circuit],
    })),
    circuits: circuitOrder.sorted.map((circuit) => ({
      ...circuit,
      devices: circuit.devices.map((device) => deviceOrder.rank[device]).sort((a, b) => a - b),
    })),
  };
};

const ranks = <T extends { readonly id: string }>(list: readonly T[]): { sorted: T[]; rank: Int32Array } => {
  const order = list.map((_, i) => i).sort((a, b) => naturalOrder(list[a].id, list[b].id));
  const rank = new Int32Array(list.length);
  for (const [place, i] of order.entries()) rank[i] = place;
  return { sorted: order.map((i) => list[i]), rank };
};

/** Circuit of each device, -1 none, from what devices and circuits say; where both speak and differ, that is told. */
const membership = (
  draft: Draft,
  deviceIndex: ReadonlyMap<string, number>,
  circuitIndex: ReadonlyMap<string, number>,
): Int32Array => {
  const circuitOf = new Int32Array(draft.devices.length).fill(-1);
  const listedBy = new Int32Array(draft.devices.length).fill(-1);
  for (let c = 0; c < draft.circuits.length; c += 1) {
    if (draft.illFormed("circuits", c)) continue;
    const listed = draft.circuits[c].devices ?? [];
    draft.at("circuits", c);
    for (let k = 0; k < listed.length; k += 1) {
      const device = deviceIndex.get(listed[k]);
      if (device === undefined) {
        draft.unknown(`/devices/${k}`, "device", listed[k], deviceIndex.keys());
        continue;
      }
      if (listedBy[device] === c)
        draft.fail(`/devices/${k}`, "duplicate-id", `the device ${quoted(listed[k])} is listed twice`, "list it once");
      else if (listedBy[device] >= 0)
        draft.fail(
          `/devices/${k}`,
          "membership-conflict",
          `the device ${quoted(listed[k])} is listed by the circuit ${quoted(draft.circuits[listedBy[device]].id)} too`,
          "a device is wired into one circuit",
        );
      else {
        listedBy[device] = c;
        circuitOf[device] = c;
      }
    }
  }
  for (let d = 0; d < draft.devices.length; d += 1) {
    if (draft.illFormed("overflowDevices", d)) continue;
    const stated = draft.devices[d].circuit;
    if (stated === undefined) continue;
    draft.at("overflowDevices", d);
    const circuit = circuitIndex.get(stated);
    if (circuit === undefined) {
      draft.unknown("/circuit", "circuit", stated, circuitIndex.keys());
      continue;
    }
    if (draft.illFormed("circuits", circuit)) continue;
    const differs = listedBy[d] >= 0 ? listedBy[d] !== circuit : draft.circuits[circuit].devices !== undefined;
    if (differs)
      draft.fail(
        "/circuit",
        "membership-conflict",
        listedBy[d] >= 0
          ? `says circuit ${quoted(stated)}, but the circuit ${quoted(draft.circuits[listedBy[d]].id)} lists it`
          : `says circuit ${quoted(stated)}, which lists its devices without it`,
        "state the membership in one place, or the same in both",
      );
    else circuitOf[d] = circuit;
  }
  return circuitOf;
};

const readDevice = (draft: Draft, index: number, circuit: number): ModelDevice => {
  const raw = draft.devices[index];
  const at = draft.nodeIndex.get(raw.at);
  if (at === undefined) draft.unknown("/at", "node", raw.at, draft.nodeIndex.keys());
  if (raw.tripElevation !== undefined && raw.tripHeight !== undefined)
    draft.fail(
      "/tripHeight",
      "two-forms",
      "both tripElevation and tripHeight are stated",
      "state the level at which it trips in one of the two ways",
    );
  const elevation = draft.level(raw.tripElevation, "/tripElevation");
  const height = draft.figure(FIGURES.tripHeight, raw.tripHeight, "/tripHeight");
  const above = at === undefined ? Number.NaN : draft.z[at] + height;
  return {
    id: raw.id,
    pointer: draft.place,
    at: at ?? -1,
    type: raw.type,
    seat: raw.seat ?? null,
    tripLevel: elevation ?? (Number.isNaN(above) ? null : above),
    tripStatedAs: elevation !== null ? "tripElevation" : Number.isNaN(above) ? null : "tripHeight",
    contact: raw.contact ?? "nc",
    state: raw.state ?? null,
    latches: raw.latches ?? null,
    circuit: circuit < 0 ? null : circuit,
    typical: raw.typical ?? null,
  };
};

const readCircuit = (draft: Draft, index: number, devices: readonly number[]): ModelCircuit => {
  const raw = draft.circuits[index];
  let stops: number[] | "all-upstream" | null = null;
  if (raw.stops === "all-upstream") stops = raw.stops;
  else if (raw.stops !== undefined) {
    stops = [];
    for (let k = 0; k < raw.stops.length; k += 1) {
      const node = draft.nodeIndex.get(raw.stops[k]);
      if (node === undefined) draft.unknown(`/stops/${k}`, "fan coil", raw.stops[k], coilIds(draft));
      else if (draft.kind[node] !== "fan-coil" && draft.kind[node] !== null)
        draft.fail(
          `/stops/${k}`,
          "wrong-reference",
          `${quoted(raw.stops[k])} is a ${draft.kind[node]}, not a fan coil`,
          "a circuit stops fan coils",
        );
      else stops.push(node);
    }
  }
  return {
    id: raw.id,
    pointer: draft.place,
    devices,
    arrangement: raw.arrangement ?? (devices.length === 1 ? "series" : null),
    breaks: raw.breaks ?? null,
    stops,
    onTrip:
      raw.onTrip === undefined ? null : { makesWater: raw.onTrip.makesWater ?? null, fan: raw.onTrip.fan ?? null },
    typical: raw.typical ?? null,
  };
};

function* coilIds(draft: Draft): Generator<string> {
  for (const [id, node] of draft.nodeIndex) if (draft.kind[node] === "fan-coil") yield id;
}
