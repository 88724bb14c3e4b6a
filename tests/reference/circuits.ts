/** What overflow circuits do, a second time: the contacts are wired up and each device is tripped in turn. */
import { naturalOrder } from "./natural-order.js";
import type { PlainCircuit, PlainDevice, ReadNetwork } from "./plain-network.js";

export interface PlainCircuits {
  /** by id, as an answer lists them */
  readonly facts: {
    id: string;
    anyDeviceStops: boolean | null;
    stopsWater: boolean | null;
    stopsFan: boolean | null;
  }[];
  readonly works: (device: PlainDevice) => boolean;
  /** ids of the coils that make no more water once this device has tripped alone, in natural order */
  readonly stops: (device: PlainDevice) => string[];
}

/** @param passed coil id → nodes of its path, the coil's own among them */
export const readCircuits = (
  { document, devices }: ReadNetwork,
  passed: ReadonlyMap<string, ReadonlySet<string>>,
): PlainCircuits => {
  const circuits = document.circuits ?? [];
  const membersOf = ({ id, devices: listed }: PlainCircuit): PlainDevice[] =>
    devices.filter((device) => device.circuit === id || (listed ?? []).includes(device.id));

  /** the unit runs while the circuit is as with nothing tripped; null where nobody knows how it is wired */
  const oneIsEnough = (circuit: PlainCircuit): boolean | null => {
    const members = membersOf(circuit);
    const arrangement = circuit.arrangement ?? (members.length === 1 ? "series" : undefined);
    if (members.length === 0 || arrangement === undefined) return null;
    const contacts = members.map(({ contact }) => contact ?? "nc");
    if (contacts.some((contact) => contact !== contacts[0])) return null;
    const conducts = (tripped: number | null): boolean => {
      const closed = contacts.map((contact, i) => (contact === "nc") !== (i === tripped));
      return arrangement === "series" ? closed.every(Boolean) : closed.some(Boolean);
    };
    return members.every((_, i) => conducts(i) !== conducts(null));
  };
  const water: Record<string, boolean> = {
    R: true,
    Y: true,
    "chilled-water-valve": true,
    "valve-and-fan": true,
    supply: true,
    "equipment-controller": true,
    "building-system": false,
    "alarm-only": false,
  };
  const fan: Record<string, boolean> = {
    R: true,
    Y: false,
    "chilled-water-valve": false,
    "valve-and-fan": true,
    supply: true,
    "building-system": false,
    "alarm-only": false,
  };
  const factsOf = (circuit: PlainCircuit): PlainCircuits["facts"][number] => {
    const { makesWater, fan: fanDoes } = circuit.onTrip ?? {};
    const { breaks } = circuit;
    return {
      id: circuit.id,
      anyDeviceStops: oneIsEnough(circuit),
      stopsWater: makesWater !== undefined ? !makesWater : breaks === undefined ? null : water[breaks],
      stopsFan: fanDoes !== undefined ? fanDoes === "stops" : breaks === undefined ? null : (fan[breaks] ?? null),
    };
  };
  const works = ({ state }: PlainDevice): boolean => state !== "jumpered" && state !== "failed";
  return {
    facts: circuits.map(factsOf).sort((a, b) => naturalOrder(a.id, b.id)),
    works,
    stops: (device) => {
      const circuit = circuits.find((each) => membersOf(each).includes(device));
      if (circuit === undefined || !works(device)) return [];
      const { anyDeviceStops, stopsWater } = factsOf(circuit);
      if (anyDeviceStops !== true || stopsWater !== true) return [];
      const upstream = [...passed].filter(([, nodes]) => nodes.has(device.at)).map(([coil]) => coil);
      return [...(circuit.stops === "all-upstream" ? upstream : (circuit.stops ?? []))].sort(naturalOrder);
    },
  };
};
