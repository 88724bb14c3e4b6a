import { type Compiled, ROLE } from "../graph/compiled.js";
import type { ModelCircuit } from "../network/model.js";
import { holds } from "./ascending.js";
import type { CircuitFact, CircuitFacts, DeviceFact, Topology } from "./facts.js";

const NO_COILS = new Int32Array(0);

/** What each overflow device stops when it trips alone, and what each circuit does once it has opened. */
export function circuits(net: Compiled, ways: Topology): CircuitFacts {
  const { devices, circuits: wired } = net.model;
  const listed = wired.map((circuit) => coilsListed(net, circuit));
  const upstream = coilsUpstream(net, ways);
  const facts = wired.map(
    (circuit, i): CircuitFact => ({
      coils:
        circuit.stops === "all-upstream"
          ? ascending(circuit.devices.flatMap((d) => Array.from(upstream(net.nodeRank[devices[d].at]))))
          : listed[i],
      anyDeviceStops: oneIsEnough(net, circuit),
      stopsWater: stopsWater(circuit),
      stopsFan: stopsFan(circuit),
    }),
  );
  const tripped = devices.map((device): DeviceFact => {
    const works = device.state !== "jumpered" && device.state !== "failed";
    if (device.circuit === null) return { works, stops: NO_COILS, stopsFan: false };
    const { anyDeviceStops, stopsWater: water, stopsFan: fan } = facts[device.circuit];
    const acts = works && anyDeviceStops === true;
    const reached =
      wired[device.circuit].stops === "all-upstream" ? upstream(net.nodeRank[device.at]) : listed[device.circuit];
    return {
      works,
      stops: acts && water === true ? reached : NO_COILS,
      stopsFan: !works || anyDeviceStops === false ? false : anyDeviceStops === null ? null : fan,
    };
  });
  return { circuits: facts, devices: tripped, ...stoppingTrips(net, tripped) };
}

/** For each coil the lowest device in its own pan that stops it. */
function stoppingTrips(net: Compiled, tripped: readonly DeviceFact[]) {
  const stoppingTrip = new Float64Array(net.coils.length).fill(NaN);
  const stoppingTripUnknown = new Uint8Array(net.coils.length);
  for (const [d, { at, seat, tripLevel }] of net.model.devices.entries()) {
    const coil = net.coilAt[net.nodeRank[at]];
    if (coil < 0 || seat === "auxiliary-pan" || seat === "main" || !holds(tripped[d].stops, coil)) continue;
    if (tripLevel === null) stoppingTripUnknown[coil] = 1;
    else if (!(stoppingTrip[coil] <= tripLevel)) stoppingTrip[coil] = tripLevel;
  }
  return { stoppingTrip, stoppingTripUnknown };
}

/** Normally-closed contacts act one by one in series, normally-open ones in parallel. null: cannot be told. */
function oneIsEnough(net: Compiled, { devices, arrangement }: ModelCircuit): boolean | null {
  if (devices.length === 0) return null;
  if (devices.length === 1) return true;
  const contact = net.model.devices[devices[0]].contact;
  if (arrangement === null || devices.some((d) => net.model.devices[d].contact !== contact)) return null;
  return (arrangement === "series") === (contact === "nc");
}

/** Whether the coils make no more water once the circuit has opened. */
function stopsWater({ breaks, onTrip }: ModelCircuit): boolean | null {
  if (onTrip !== null && onTrip.makesWater !== null) return !onTrip.makesWater;
  if (breaks === null) return null;
  return breaks !== "alarm-only" && breaks !== "building-system";
}

/** Whether their fans, and with them the pressure at the pans, end. */
function stopsFan({ breaks, onTrip }: ModelCircuit): boolean | null {
  if (onTrip !== null && onTrip.fan !== null) return onTrip.fan === "stops";
  if (breaks === null || breaks === "equipment-controller") return null;
  return breaks === "R" || breaks === "valve-and-fan" || breaks === "supply";
}

const ascending = (coils: readonly number[]): Int32Array => Int32Array.from(new Set(coils)).sort();

const coilsListed = (net: Compiled, { stops }: ModelCircuit): Int32Array =>
  stops === null || stops === "all-upstream"
    ? NO_COILS
    : ascending(stops.map((node) => net.coilAt[net.nodeRank[node]]));

/** Coils whose path contains a node. Walked up from the node; each answer is kept, since devices share nodes. */
function coilsUpstream(net: Compiled, ways: Topology): (node: number) => Int32Array {
  let above: number[][] | null = null;
  const known = new Map<number, Int32Array>();
  return (node) => {
    const before = known.get(node);
    if (before !== undefined) return before;
    if (above === null) {
      above = Array.from({ length: net.nodeCount }, () => []);
      for (let n = 0; n < net.nodeCount; n++) {
        const p = ways.next[n];
        if (p >= 0 && (net.role[p] === ROLE.drain || net.role[p] === ROLE.pressure)) above[net.to[p]].push(n);
      }
    }
    const coils: number[] = [];
    const met = new Set([node]);
    for (const at of met) {
      if (net.coilAt[at] >= 0) coils.push(net.coilAt[at]);
      for (const n of above[at]) met.add(n);
    }
    const found = Int32Array.from(coils).sort();
    known.set(node, found);
    return found;
  };
}
