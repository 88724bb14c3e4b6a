import type { PlainCircuit, PlainDevice, PlainDocument } from "../reference/plain-network.js";
import { Dice } from "./random-network.js";

const BREAKS = [
  "R",
  "Y",
  "chilled-water-valve",
  "valve-and-fan",
  "supply",
  "equipment-controller",
  "building-system",
  "alarm-only",
  undefined,
] as const;

/**
 * The same network with further overflow devices, anywhere along the drains, wired in every way a document may say; with
 * places where a spill does no harm, dwellings below, and auxiliary pans.
 */
export const withProtection = (document: PlainDocument, seed: number): PlainDocument => {
  const dice = new Dice(seed ^ 0x1b873593);
  const copy = structuredClone(document);
  const coils = copy.nodes.filter(({ kind }) => kind === "fan-coil");
  const places = copy.nodes.filter(({ kind }) => kind !== "outlet" && kind !== "pump");
  for (const node of copy.nodes) {
    if (dice.chance(0.15)) node.spillHarmless = dice.chance(0.8);
    if (dice.chance(0.2)) node.dwelling = dice.pick(["0301", "0302", "é-4"]);
  }
  for (const coil of coils)
    if (coil.auxiliaryPan === undefined && dice.chance(0.1))
      coil.auxiliaryPan = { present: dice.chance(0.8), drain: dice.pick(["none", "piped"]) };

  const devices: PlainDevice[] = copy.overflowDevices ?? [];
  const circuits: PlainCircuit[] = copy.circuits ?? [];
  for (let k = dice.whole(0, 1 + Math.floor(coils.length / 2)); k > 0; k--) {
    const circuit: PlainCircuit = { id: `W${k}` };
    const contact = dice.pick(["nc", "nc", "no", undefined] as const);
    const members: string[] = [];
    const said = dice.pick(["device", "circuit", "both"]);
    for (
      let i = dice.weighted([
        [1, 0],
        [4, 1],
        [4, 2],
        [1, 3],
      ]);
      i > 0;
      i--
    ) {
      const at = dice.pick(dice.chance(0.4) ? coils : places);
      const device: PlainDevice = {
        id: `W${k}-${i}`,
        at: at.id,
        type: dice.pick(["float-switch", "water-sensor"]),
        state: dice.pick(["working", "working", "working", "jumpered", "failed", "untested"]),
      };
      const seats =
        at.kind === "fan-coil" ? ["primary-pan", "secondary-port", "auxiliary-pan"] : ["drain-line", "main"];
      device.seat = dice.pick([...seats, undefined]);
      device.contact = dice.chance(0.1) ? dice.pick(["nc", "no"]) : contact;
      if (dice.chance(0.7)) device.tripHeight = dice.whole(0, 60);
      else if (dice.chance(0.6)) device.tripElevation = at.elevation + dice.metres(0, 0.5);
      if (said !== "circuit") device.circuit = circuit.id;
      members.push(device.id);
      devices.push(device);
    }
    if (said !== "device" || members.length === 0) circuit.devices = members;
    circuit.arrangement = dice.pick(["series", "parallel", undefined]);
    circuit.breaks = dice.pick(BREAKS);
    if (dice.chance(0.8)) {
      const stopped = coils.filter(() => dice.chance(0.5)).map(({ id }) => id);
      circuit.stops = dice.chance(0.5) ? "all-upstream" : stopped;
    }
    if (dice.chance(0.15)) {
      circuit.onTrip = {};
      if (dice.chance(0.8)) circuit.onTrip.makesWater = dice.chance(0.3);
      if (dice.chance(0.8)) circuit.onTrip.fan = dice.pick(["stops", "runs"]);
    }
    circuits.push(circuit);
  }
  // a vent that stands just below a switch: the pool passes it once the fan no longer lifts the water in the pan
  for (const { at, tripHeight } of devices) {
    const coil = coils.find(({ id }) => id === at);
    if (coil === undefined || tripHeight === undefined || dice.chance(0.3)) continue;
    let below = coil;
    for (let steps = dice.whole(1, 3); steps > 0; steps--) {
      const drain = copy.pipes.find(({ from, role }) => from === below.id && role === undefined);
      below = copy.nodes.find(({ id }) => id === drain?.to) ?? below;
    }
    const top = coil.elevation + tripHeight / 1000 - dice.metres(0.0005, 0.01);
    if (["junction", "point", "bend"].includes(below.kind) && below.vent === undefined && top > below.elevation + 0.01)
      below.vent = { top };
  }
  if (devices.length > 0) copy.overflowDevices = devices;
  if (circuits.length > 0) copy.circuits = circuits;
  // what is undefined was left out
  return JSON.parse(JSON.stringify(copy));
};
