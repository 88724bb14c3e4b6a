import { fromSi } from "../quantity/units.js";
import {
  amountOf,
  coilOf,
  coilsAbove,
  type Draft,
  depth,
  deviceOf,
  type Element,
  elevationOf,
  fill,
  find,
  isDrain,
  level,
  metres,
  move,
  nodeOf,
  openVent,
  pipeOf,
  setPan,
  Undecided,
  Unfit,
  wireAbove,
  wireOwn,
} from "./draft.js";
import type { Remedy } from "./remedy.js";

/** m: how far above a limit a vent's end is taken. */
const CLEAR = 0.03;

type Action = (draft: Draft, remedy: Remedy) => void;

/** How a draft is changed by each action that a remedy names. */
export const ACTIONS: ReadonlyMap<string, Action> = new Map<string, Action>([
  ["raise-node", (draft, remedy) => move(draft, nodeOf(draft, remedy.on), level(draft, remedy))],
  ["lower-node", (draft, remedy) => move(draft, nodeOf(draft, remedy.on), -level(draft, remedy))],
  [
    "re-hang",
    (draft, remedy) => {
      const pipe = pipeOf(draft, remedy.on);
      if (pipe.grade === undefined || remedy.amount === undefined)
        throw new Undecided(`which end of ${pipe.id} is moved to give it its fall is for whoever draws it`);
      pipe.grade = amountOf(draft, remedy, "grade");
    },
  ],
  [
    "enlarge-pipe",
    (draft, { on, amount }) => {
      if (amount === undefined) throw new Undecided(`the size that ${on} needs is not known`);
      const pipe = pipeOf(draft, on);
      pipe.size = `DN ${amount}`;
      delete pipe.insideDiameter;
    },
  ],
  ["replace-pipe", (draft, { on, what }) => void Object.assign(pipeOf(draft, on), { material: what })],
  ["remove-pipe", (draft, { on }) => void draft.pipes.splice(draft.pipes.indexOf(pipeOf(draft, on)), 1)],
  [
    "reverse-pipe",
    (draft, { on }) => {
      const pipe = pipeOf(draft, on);
      [pipe.from, pipe.to] = [pipe.to, pipe.from];
      const [upper, lower] = [pipe.toInvert, pipe.fromInvert];
      delete pipe.fromInvert;
      delete pipe.toInvert;
      if (upper !== undefined) pipe.fromInvert = upper;
      if (lower !== undefined) pipe.toInvert = lower;
    },
  ],
  [
    "move-connection",
    (draft, remedy) => {
      if (remedy.what === "primary port") {
        coilOf(draft, remedy.on).connectedPort = "primary";
        return;
      }
      const pipe = pipeOf(draft, remedy.on);
      if (remedy.what === "distance from the foot of the riser")
        throw new Undecided(`how far along the main ${pipe.id} is led is for whoever draws it`);
      const node = nodeOf(draft, pipe.to);
      if (remedy.amount === undefined) node.fitting = "wye";
      else pipe.toInvert = Number(pipe.toInvert ?? elevationOf(draft, node)) + level(draft, remedy);
    },
  ],
  ["connect", (_draft, { on }) => undecided(`to which drain ${on} is connected is for whoever draws it`)],
  ["add-trap", (draft, remedy) => addTrap(draft, remedy)],
  ["rebuild-trap", (draft, remedy) => rebuildTrap(draft, remedy)],
  [
    "prime-trap",
    (draft, { on, what }) => {
      if (what !== undefined) throw new Undecided("refilling it before each season is upkeep, and changes no network");
      nodeOf(draft, on).primed = true;
    },
  ],
  [
    "remove-trap",
    (draft, { on }) => {
      const trap = nodeOf(draft, on);
      // what is left is a point at the weir, to which the pipe before it now falls
      for (const key of Object.keys(trap)) if (!KEPT_OF_TRAP.has(key)) delete trap[key];
      trap.kind = "point";
    },
  ],
  [
    "add-vent",
    (draft, remedy) => {
      const node = nodeOf(draft, remedy.on);
      const foot = elevationOf(draft, node);
      const top = (remedy.amount === undefined ? foot : level(draft, remedy)) + metres(draft, CLEAR);
      const id = `${node.id}/vent`;
      const other = draft.pipes.find((pipe) => pipe.id === id);
      if (other === undefined) node.vent = { top };
      else {
        // one more beside that which is there
        const beside = `${node.id}-new-vent`;
        draft.nodes.push({ id: beside, kind: "vent", elevation: top, opening: "open" });
        draft.pipes.push({ ...other, id: beside, to: beside, length: top - foot });
      }
    },
  ],
  [
    "raise-vent",
    (draft, remedy) => {
      const vent = nodeOf(draft, remedy.on);
      if (remedy.unit === "m" && remedy.what === "top above")
        openVent(draft, vent, level(draft, remedy) + metres(draft, CLEAR));
      else move(draft, vent, level(draft, remedy));
    },
  ],
  ["open-vent", (draft, { on }) => void Object.assign(nodeOf(draft, on), { capped: false })],
  [
    "replace-vent",
    (draft, remedy) =>
      openVent(
        draft,
        nodeOf(draft, remedy.on),
        remedy.amount === undefined ? undefined : level(draft, remedy) + metres(draft, CLEAR),
      ),
  ],
  [
    "remove-vent",
    (draft, { on }) => {
      draft.pipes = draft.pipes.filter((pipe) => pipe.role !== "vent" || pipe.to !== on);
      draft.nodes.splice(draft.nodes.indexOf(nodeOf(draft, on)), 1);
    },
  ],
  [
    "cap",
    (draft, { on }) => {
      const node = nodeOf(draft, on);
      // of a coil it is the pan's second port
      if (node.kind === "fan-coil") fill(node, "pan", { secondary: { is: "plugged" } });
      else node.capped = true;
    },
  ],
  ["add-cleanout", (draft, remedy) => addCleanout(draft, remedy)],
  [
    "add-supports",
    (draft, remedy) => void Object.assign(pipeOf(draft, remedy.on), { supportSpacing: level(draft, remedy) }),
  ],
  ["insulate", (draft, remedy) => fill(pipeOf(draft, remedy.on), "insulation", { thickness: depth(draft, remedy) })],
  ["heat-trace", (draft, { on }) => void Object.assign(pipeOf(draft, on), { heatTraced: true })],
  [
    "remake-joint",
    (draft, { on }) =>
      fill(coilOf(draft, on), "connection", { threadSealant: "non-hardening", cemented: false, handTight: true }),
  ],
  ["disconnect", (draft, { on }) => void delete nodeOf(draft, on).foreignDischarge],
  ["clear-access", (draft, { on }) => void Object.assign(coilOf(draft, on), { filterAccessClear: true })],
  ["give-access", (draft, { on }) => fill(nodeOf(draft, on), "receptor", { accessible: true })],
  [
    "set-air-gap",
    (draft, remedy) =>
      void Object.assign(nodeOf(draft, remedy.on), { connection: "air-gap", airGap: depth(draft, remedy) }),
  ],
  ["move-outlet", (draft, { on, what }) => void Object.assign(nodeOf(draft, on), { discharge: what })],
  ["set-device", (draft, remedy) => setDevice(draft, remedy)],
  [
    "add-device",
    (draft, remedy) => {
      const isInPan = remedy.what === undefined;
      const device: Element = {
        id: `${nodeOf(draft, remedy.on).id}-new-switch`,
        at: remedy.on,
        type: "float-switch",
        seat: isInPan ? "primary-pan" : "main",
      };
      if (!isInPan) device.tripElevation = level(draft, remedy);
      else if (remedy.amount !== undefined) device.tripHeight = depth(draft, remedy);
      draft.overflowDevices.push(device);
      wireOwn(draft, device);
    },
  ],
  ["repair-device", (draft, { on }) => void Object.assign(deviceOf(draft, on), { state: "working" })],
  ["test-device", (draft, { on }) => void Object.assign(deviceOf(draft, on), { state: "working" })],
  [
    "replace-device",
    (draft, { on, what }) => void Object.assign(deviceOf(draft, on), { latches: what === "latching" }),
  ],
  ["wire-device", (draft, { on }) => wireOwn(draft, deviceOf(draft, on))],
  ["interlock-device", (draft, remedy) => wireAbove(draft, deviceOf(draft, remedy.on), remedy)],
  [
    "watch-drain",
    (draft, remedy) => {
      const id = `${nodeOf(draft, remedy.on).id}-level`;
      const tripElevation = level(draft, remedy);
      let device = draft.overflowDevices.find((each) => each.id === id);
      if (device === undefined) {
        device = { id, at: remedy.on, type: "float-switch", seat: "main", tripElevation };
        draft.overflowDevices.push(device);
      } else device.tripElevation = Math.min(Number(device.tripElevation), tripElevation);
      wireAbove(draft, device, remedy);
    },
  ],
  [
    "rewire",
    (draft, { on, what }) => {
      const circuit = find(draft.circuits, on, "circuit");
      if (what === "series" || what === "parallel") {
        circuit.arrangement = what;
        return;
      }
      if (what === "the feed of the coils that its devices watch")
        circuit.stops = draft.overflowDevices.filter((each) => each.circuit === on).map(({ at }) => at);
      delete circuit.onTrip;
      circuit.breaks = what === "R" ? "R" : "valve-and-fan";
    },
  ],
  [
    "add-pan",
    (draft, remedy) => {
      const coil = setPan(draft, remedy);
      const pan = coil.auxiliaryPan as Record<string, unknown>;
      if (pan.drain !== undefined) return;
      // of a drain and a switch the pan gets the switch, as low as may be
      pan.drain = "none";
      pan.floor = elevationOf(draft, coil) - metres(draft, 0.3);
      const device: Element = {
        id: `${coil.id}-new-pan-switch`,
        at: coil.id,
        type: "water-sensor",
        seat: "auxiliary-pan",
        tripElevation: pan.floor,
      };
      draft.overflowDevices.push(device);
      wireOwn(draft, device);
    },
  ],
  ["replace-pan", (draft, remedy) => void setPan(draft, remedy)],
  [
    "interlock-pump",
    (draft, { on }) => {
      const node = nodeOf(draft, on);
      if (node.kind === "pump") node.interlocked = true;
      else fill(node, "internalPump", { switch: true });
    },
  ],
  [
    "add-check-valve",
    (draft, { on }) => {
      const node = nodeOf(draft, on);
      if (node.kind === "pump") node.checkValve = true;
      else fill(node, "internalPump", { checkValve: true });
    },
  ],
  [
    "replace-pump",
    (draft, remedy) => {
      const node = nodeOf(draft, remedy.on);
      const capacity = amountOf(draft, remedy, "flow");
      if (node.kind === "pump") node.capacity = capacity;
      else fill(node, "internalPump", { capacity });
    },
  ],
  ["lead-apart", (draft, remedy) => leadApart(draft, remedy)],
  ["survey", (_draft, { on }) => undecided(`what a survey of ${on} brings is not known beforehand`)],
  ["decide", (_draft, { on }) => undecided(`what is decided about ${on} is not known beforehand`)],
]);

/** Actions that can be named; some of them always leave a choice. */
export const REMEDY_ACTIONS: readonly string[] = [...ACTIONS.keys()];

const undecided = (message: string): never => {
  throw new Undecided(message);
};

const KEPT_OF_TRAP = new Set(["id", "elevation", "floor", "dwelling", "owner", "zone", "name", "x", "y", "tolerance"]);

/** The coil's drain leaves a trap that hangs plumb below the pan, by its drop; two steps give seal and drop. */
function addTrap(draft: Draft, remedy: Remedy): void {
  if (draft.pipes.some(({ id }) => id === remedy.on))
    throw new Undecided(`where in ${remedy.on} its trap sits is for whoever draws it`);
  const coil = coilOf(draft, remedy.on);
  const id = `${coil.id}-new-trap`;
  let trap = draft.nodes.find((node) => node.id === id);
  if (trap === undefined) {
    const drain = draft.pipes.find((pipe) => pipe.from === coil.id && isDrain(pipe));
    if (drain === undefined) throw new Unfit("on", "bad-value", `no drain leaves ${coil.id}`);
    trap = { id, kind: "trap", elevation: elevationOf(draft, coil), sealDepth: 0, inletDrop: 0, primed: true };
    draft.nodes.push(trap);
    const bore = ["size", "material", "insideDiameter"].filter((field) => drain[field] !== undefined);
    const own = Object.fromEntries(bore.map((field) => [field, drain[field]]));
    draft.pipes.push({ id: `${id}-inlet`, from: coil.id, to: id, length: metres(draft, 0.001), ...own });
    drain.from = id;
    delete drain.fromInvert;
  }
  if (remedy.what === "drop") trap.elevation = elevationOf(draft, coil) - level(draft, remedy);
  else if (remedy.amount !== undefined) trap.sealDepth = depth(draft, remedy);
  else throw new Undecided(`how deep the new trap at ${coil.id} must be is not known`);
}

function rebuildTrap(draft: Draft, remedy: Remedy): void {
  const trap = nodeOf(draft, remedy.on);
  if (remedy.amount === undefined) throw new Undecided(`to what ${trap.id} is rebuilt is not known`);
  switch (remedy.what) {
    case undefined:
    case "seal depth":
      trap.sealDepth = depth(draft, remedy);
      return;
    case "pressure held":
      trap.holds = amountOf(draft, remedy, "gauge-pressure");
      return;
    case "step from inlet to weir":
      trap.inletDrop = depth(draft, remedy);
      for (const pipe of draft.pipes) if (pipe.to === trap.id) delete pipe.toInvert;
      return;
    default: {
      // its coil is the one whose pan hangs above it: a longer drop lowers the trap, and its inlet stays at its step
      const pans = coilsAbove(draft, trap.id);
      if (pans.length !== 1) throw new Undecided(`which of the pans above ${trap.id} it is lowered for is not known`);
      trap.elevation = Math.min(elevationOf(draft, trap), elevationOf(draft, pans[0]) - level(draft, remedy));
    }
  }
}

/** A cleanout stands at a fitting, or in a pipe, so far below the pipe's upper end as the document has it. */
function addCleanout(draft: Draft, remedy: Remedy): void {
  const cleanout = { opening: fromSi("dimension", 0.08, draft.units), capped: true };
  const place = remedy.what === "in a common place" ? { zone: "common" } : {};
  const fitting = draft.nodes.find((node) => node.id === remedy.on);
  if (fitting !== undefined && remedy.amount === undefined) {
    Object.assign(fitting, { cleanout, ...place });
    return;
  }
  const at = level(draft, remedy);
  let pipe = pipeOf(draft, remedy.on);
  let before = 0;
  // of a pipe that was parted by another step, the part that it falls into
  for (;;) {
    const rest = draft.pipes.find((each) => each.id === `${pipe.id}-rest`);
    if (rest === undefined || before + Number(pipe.length) > at) break;
    before += Number(pipe.length);
    pipe = rest;
  }
  const length = Number(pipe.length);
  const upper = Number(pipe.fromInvert ?? elevationOf(draft, nodeOf(draft, pipe.from)));
  const lower = Number(pipe.toInvert ?? elevationOf(draft, nodeOf(draft, pipe.to)));
  const id = `${pipe.id}-access`;
  const elevation = upper + ((at - before) / length) * (lower - upper);
  draft.nodes.push({ id, kind: "cleanout", elevation, ...cleanout, ...place });
  const { id: _id, fromInvert: _fromInvert, ...rest } = pipe;
  draft.pipes.push({ ...rest, id: `${pipe.id}-rest`, from: id, length: length - (at - before) });
  delete pipe.toInvert;
  Object.assign(pipe, { to: id, length: at - before });
}

function setDevice(draft: Draft, remedy: Remedy): void {
  const device = deviceOf(draft, remedy.on);
  const node = nodeOf(draft, device.at);
  if (remedy.what === "the pan's outlet" && device.tripElevation === undefined) {
    device.tripHeight = depth(draft, remedy);
    return;
  }
  const floor = (node.auxiliaryPan as { floor?: number } | undefined)?.floor;
  const over = remedy.what === undefined ? 0 : remedy.what === "the pan's outlet" ? elevationOf(draft, node) : floor;
  if (over === undefined) throw new Undecided(`the floor of the pan under ${String(device.at)} is not known`);
  delete device.tripHeight;
  device.tripElevation = over + level(draft, remedy);
}

function leadApart(draft: Draft, { on, what }: Remedy): void {
  const pipe = pipeOf(draft, on);
  if (what === "from a port above the primary one") {
    const coil = coilOf(draft, pipe.from);
    fill(coil, "pan", { secondary: { height: fromSi("dimension", 0.02, draft.units), is: "piped" } });
    pipe.fromInvert = elevationOf(draft, coil) + metres(draft, 0.02);
    return;
  }
  const elevation = elevationOf(draft, nodeOf(draft, pipe.to));
  const id = `${pipe.id}-own-end`;
  draft.nodes.push({ id, kind: "outlet", elevation, discharge: "conspicuous-point", connection: "air-gap" });
  pipe.to = id;
}
