import type { AuditFinding } from "../../src/core/index.js";

type Element = Record<string, unknown> & { id: string };
interface Draft {
  nodes: Element[];
  pipes: Element[];
  overflowDevices?: Element[];
  circuits?: Element[];
  units: string;
}
type Step = AuditFinding["remedy"][number];

/** The answer speaks SI; a document's bare levels are metres or feet, its seal depths millimetres or inches. */
const level = (draft: Draft, step: Step): number => {
  if (step.unit !== "m" || step.amount === undefined) throw new Error(`no length in ${JSON.stringify(step)}`);
  return draft.units === "us" ? step.amount / 0.3048 : step.amount;
};
const depth = (draft: Draft, step: Step): number => level(draft, step) * (draft.units === "us" ? 12 : 1000);

const pascals = (draft: Draft, step: Step): number => {
  if (step.unit !== "Pa" || step.amount === undefined) throw new Error(`no pressure in ${JSON.stringify(step)}`);
  return draft.units === "us" ? step.amount / 249.08891 : step.amount;
};

/** Litres or US gallons an hour. */
const flow = (draft: Draft, step: Step): number => {
  if (step.unit !== "m³/s" || step.amount === undefined) throw new Error(`no flow in ${JSON.stringify(step)}`);
  return step.amount * (draft.units === "us" ? 951019.388 : 3.6e6);
};

/** Coils whose drains lead to a node, whatever stands between. */
const coilsAbove = (draft: Draft, id: string): Element[] =>
  draft.pipes
    .filter((pipe) => pipe.to === id && (pipe.role ?? "drain") === "drain")
    .flatMap((pipe) => {
      const from = elementOf(draft.nodes, String(pipe.from));
      return from.kind === "fan-coil" ? [from] : coilsAbove(draft, from.id);
    });

const move = (element: Element, field: string, by: number): void => {
  const level = element[field];
  if (typeof level !== "number") throw new Error(`${element.id} has no plain ${field}`);
  element[field] = level + by;
};

/** Pipes may have to be a little longer to span more height than before. */
const stretch = (draft: Draft): void => {
  const levelAt = (pipe: Element, end: "from" | "to"): number => {
    const own = pipe[end === "from" ? "fromInvert" : "toInvert"];
    if (typeof own === "number") return own;
    const node = draft.nodes.find((candidate) => candidate.id === pipe[end]);
    const drop =
      end === "to" && typeof node?.inletDrop === "number" ? node.inletDrop / (draft.units === "us" ? 12 : 1000) : 0;
    return Number(node?.elevation) + drop;
  };
  for (const pipe of draft.pipes) {
    const height = Math.abs(levelAt(pipe, "from") - levelAt(pipe, "to"));
    if (Number(pipe.length) < height) pipe.length = height;
  }
};

/** The step leaves a choice to the designer. */
class Undecided extends Error {}

/** Wires a device into a circuit of its own that ends water and suction of the coil where it sits. */
const wire = (draft: Draft, device: Element): void => {
  const id = `${device.id}-circuit`;
  const isCoil = elementOf(draft.nodes, String(device.at)).kind === "fan-coil";
  draft.circuits = [
    ...(draft.circuits ?? []),
    { id, breaks: "valve-and-fan", stops: isCoil ? [device.at] : "all-upstream" },
  ];
  for (const circuit of draft.circuits)
    if (Array.isArray(circuit.devices)) circuit.devices = circuit.devices.filter((member) => member !== device.id);
  device.circuit = id;
};

/** Lets a device stop every coil whose water passes a pipe, beside those that it stops already. */
const wireAbove = (draft: Draft, device: Element, pipe: string): void => {
  const above = new Set([String(elementOf(draft.pipes, pipe).from)]);
  for (const node of above)
    for (const { from, to, role } of draft.pipes)
      if (to === node && ["drain", "pressure"].includes(String(role ?? "drain"))) above.add(String(from));
  const coils = draft.nodes.filter(({ id, kind }) => above.has(id) && kind === "fan-coil").map(({ id }) => id);
  const id = `${device.id}-above`;
  const known = draft.circuits?.find((circuit) => circuit.id === id);
  if (known !== undefined) {
    known.stops = [...new Set([...(known.stops as string[]), ...coils])];
    return;
  }
  for (const circuit of draft.circuits ?? [])
    if (Array.isArray(circuit.devices)) circuit.devices = circuit.devices.filter((member) => member !== device.id);
  draft.circuits = [...(draft.circuits ?? []), { id, breaks: "valve-and-fan", stops: coils }];
  device.circuit = id;
};

/** Pans are hung and replaced by one figure a step. */
const panOf = (draft: Draft, step: Step): Record<string, unknown> => {
  const coil = elementOf(draft.nodes, step.on);
  const pan = { ...(coil.auxiliaryPan as object | undefined), present: true } as Record<string, unknown>;
  pan[step.what!] = depth(draft, step);
  coil.auxiliaryPan = pan;
  return pan;
};

const ACTIONS: Readonly<Partial<Record<string, (draft: Draft, step: Step) => void>>> = {
  "add-supports": (draft, step) => {
    elementOf(draft.pipes, step.on).supportSpacing = level(draft, step);
  },
  insulate: (draft, step) => {
    const pipe = elementOf(draft.pipes, step.on);
    pipe.insulation = { ...(pipe.insulation as Record<string, unknown> | undefined), thickness: depth(draft, step) };
  },
  "set-air-gap": (draft, step) => {
    Object.assign(elementOf(draft.nodes, step.on), { connection: "air-gap", airGap: depth(draft, step) });
  },
  "move-outlet": (draft, step) => {
    elementOf(draft.nodes, step.on).discharge = step.what;
  },
  "give-access": (draft, step) => {
    const outlet = elementOf(draft.nodes, step.on);
    outlet.receptor = { ...(outlet.receptor as object | undefined), accessible: true };
  },
  "replace-pipe": (draft, step) => {
    elementOf(draft.pipes, step.on).material = step.what;
  },
  "raise-node": (draft, step) => move(elementOf(draft.nodes, step.on), "elevation", level(draft, step)),
  "lower-node": (draft, step) => move(elementOf(draft.nodes, step.on), "elevation", -level(draft, step)),
  "remove-pipe": (draft, step) => {
    draft.pipes = draft.pipes.filter((pipe) => pipe.id !== step.on);
  },
  "reverse-pipe": (draft, step) => {
    const pipe = elementOf(draft.pipes, step.on);
    [pipe.from, pipe.to] = [pipe.to, pipe.from];
  },
  "move-connection": (draft, step) => {
    // How far along the main the branch is led is the designer's choice.
    if (step.what === "distance from the foot of the riser") throw new Undecided();
    if (step.what === "primary port") {
      elementOf(draft.nodes, step.on).connectedPort = "primary";
      return;
    }
    const pipe = elementOf(draft.pipes, step.on);
    const node = elementOf(draft.nodes, String(pipe.to));
    if (step.amount === undefined) node.fitting = "wye";
    else
      pipe.toInvert = (typeof pipe.toInvert === "number" ? pipe.toInvert : Number(node.elevation)) + level(draft, step);
  },
  "re-hang": (draft, step) => {
    const pipe = elementOf(draft.pipes, step.on);
    // Only a grade that the document states can be set without moving what hangs on it.
    if (pipe.grade === undefined) throw new Undecided();
    pipe.grade = step.amount;
  },
  "remove-trap": (draft, step) => {
    const trap = elementOf(draft.nodes, step.on);
    // What is left is a point at the weir, to which the pipe before it now falls.
    for (const key of Object.keys(trap)) if (key !== "id" && key !== "elevation") delete trap[key];
    trap.kind = "point";
  },
  "add-trap": (draft, step) => {
    // The coil's drain now leaves a trap that hangs plumb below the pan, by its drop; two steps give seal and drop.
    // In a second line the place of its trap is the designer's.
    if (!draft.nodes.some((node) => node.id === step.on)) throw new Undecided();
    const coil = elementOf(draft.nodes, step.on);
    const id = `${coil.id}-new-trap`;
    let trap = draft.nodes.find((node) => node.id === id);
    if (trap === undefined) {
      const drain = draft.pipes.find((pipe) => pipe.from === coil.id && (pipe.role ?? "drain") === "drain");
      if (drain === undefined) throw new Error(`no drain leaves ${coil.id}`);
      trap = { id, kind: "trap", elevation: coil.elevation, sealDepth: 0, inletDrop: 0, primed: true };
      draft.nodes.push(trap);
      const { size, material, insideDiameter } = drain;
      draft.pipes.push({ id: `${id}-inlet`, from: coil.id, to: id, length: 0.001, size, material, insideDiameter });
      drain.from = id;
      delete drain.fromInvert;
    }
    if (step.what === "drop") trap.elevation = Number(coil.elevation) - level(draft, step);
    else trap.sealDepth = depth(draft, step);
  },
  "rebuild-trap": (draft, step) => {
    const trap = elementOf(draft.nodes, step.on);
    if (step.what === "seal depth") trap.sealDepth = depth(draft, step);
    else if (step.what === "pressure held") trap.holds = pascals(draft, step);
    else if (step.what === "step from inlet to weir") {
      trap.inletDrop = depth(draft, step);
      for (const pipe of draft.pipes) if (pipe.to === trap.id) delete pipe.toInvert;
    } else {
      // Its coil is the one whose pan hangs above it: a longer drop lowers the trap, and its inlet stays at its step.
      const pans = coilsAbove(draft, trap.id);
      if (pans.length !== 1) throw new Undecided();
      const weir = Number(pans[0].elevation) - level(draft, step);
      if (typeof trap.elevation === "number") trap.elevation = Math.min(trap.elevation, weir);
      else trap.elevation = weir;
    }
  },
  "prime-trap": (draft, step) => {
    // Refilling it before each season is upkeep, which no document holds.
    if (step.what !== undefined) throw new Undecided();
    elementOf(draft.nodes, step.on).primed = true;
  },
  "add-vent": (draft, step) => {
    const node = elementOf(draft.nodes, step.on);
    const up = draft.units === "us" ? 0.1 : 0.03;
    node.vent = { top: step.amount === undefined ? Number(node.elevation) + up : level(draft, step) + up };
  },
  "enlarge-pipe": (draft, step) => {
    if (draft.units === "us" || step.amount === undefined) throw new Undecided();
    const pipe = elementOf(draft.pipes, step.on);
    pipe.size = step.amount;
    delete pipe.insideDiameter;
  },
  "add-cleanout": (draft, step) => {
    const cleanout = { opening: draft.units === "us" ? 3 : 80, capped: true };
    const place = step.what === "in a common place" ? { zone: "common" } : {};
    const fitting = draft.nodes.find((node) => node.id === step.on);
    if (fitting !== undefined) {
      Object.assign(fitting, { cleanout, ...place });
      return;
    }
    // One stands in a pipe, so many metres below the pipe's upper end as the document has it.
    const at = level(draft, step);
    let pipe = elementOf(draft.pipes, step.on);
    let before = 0;
    for (let next: Element | undefined = pipe; next !== undefined; ) {
      pipe = next;
      next = draft.pipes.find((each) => each.id === `${pipe.id}-rest`);
      if (next === undefined || before + Number(pipe.length) > at) break;
      before += Number(pipe.length);
    }
    const [above, below] = [pipe.from, pipe.to].map((end) => Number(elementOf(draft.nodes, String(end)).elevation));
    const elevation = above + ((at - before) / Number(pipe.length)) * (below - above);
    const id = `${pipe.id}-access`;
    draft.nodes.push({ id, kind: "cleanout", elevation, ...cleanout, ...place });
    const { to, toInvert, ...rest } = pipe;
    const end = toInvert === undefined ? { to } : { to, toInvert };
    draft.pipes.push({ ...rest, id: `${pipe.id}-rest`, from: id, ...end, length: Number(pipe.length) - (at - before) });
    delete pipe.toInvert;
    Object.assign(pipe, { to: id, length: at - before });
  },
  cap: (draft, step) => {
    for (const node of draft.nodes) {
      const stub = node.cleanout as Record<string, unknown> | undefined;
      if (`${node.id}/cleanout` === step.on && stub) stub.capped = true;
      if (node.id !== step.on) continue;
      // Of a coil it is the pan's second port.
      if (node.kind === "fan-coil") node.pan = { ...(node.pan as object), secondary: { is: "plugged" } };
      else node.capped = true;
    }
  },
  "set-device": (draft, step) => {
    const device = elementOf(draft.overflowDevices ?? [], step.on);
    const { elevation, auxiliaryPan } = elementOf(draft.nodes, String(device.at));
    const { floor } = (auxiliaryPan ?? {}) as { floor?: number };
    const over = step.what === undefined ? 0 : Number(step.what === "the pan's outlet" ? elevation : floor);
    if (step.what === "the pan's outlet" && device.tripElevation === undefined) device.tripHeight = depth(draft, step);
    else {
      delete device.tripHeight;
      device.tripElevation = over + level(draft, step);
    }
  },
  "add-device": (draft, step) => {
    const isInPan = step.what === undefined;
    const seat = isInPan ? "primary-pan" : "main";
    const device: Element = { id: `${step.on}-new-switch`, at: step.on, type: "float-switch", seat };
    if (!isInPan) device.tripElevation = level(draft, step);
    else if (step.amount !== undefined) device.tripHeight = depth(draft, step);
    draft.overflowDevices = [...(draft.overflowDevices ?? []), device];
    wire(draft, device);
  },
  "repair-device": (draft, step) => {
    elementOf(draft.overflowDevices ?? [], step.on).state = "working";
  },
  "test-device": (draft, step) => {
    elementOf(draft.overflowDevices ?? [], step.on).state = "working";
  },
  "replace-device": (draft, step) => {
    elementOf(draft.overflowDevices ?? [], step.on).latches = step.what === "latching";
  },
  "wire-device": (draft, step) => wire(draft, elementOf(draft.overflowDevices ?? [], step.on)),
  rewire: (draft, step) => {
    const circuit = elementOf(draft.circuits ?? [], step.on);
    if (step.what === "series" || step.what === "parallel") {
      circuit.arrangement = step.what;
      return;
    }
    if (step.what === "the feed of the coils that its devices watch")
      circuit.stops = (draft.overflowDevices ?? []).filter((each) => each.circuit === step.on).map(({ at }) => at);
    delete circuit.onTrip;
    circuit.breaks = step.what === "R" ? "R" : "valve-and-fan";
  },
  "add-pan": (draft, step) => {
    const pan = panOf(draft, step);
    if (pan.drain !== undefined) return;
    // Of a drain and a switch the pan gets the switch, as low as may be.
    pan.drain = "none";
    const coil = elementOf(draft.nodes, step.on);
    pan.floor = Number(coil.elevation) - (draft.units === "us" ? 1 : 0.3);
    const device: Element = {
      id: `${step.on}-new-pan-switch`,
      at: step.on,
      type: "water-sensor",
      seat: "auxiliary-pan",
      tripElevation: pan.floor,
    };
    draft.overflowDevices = [...(draft.overflowDevices ?? []), device];
    wire(draft, device);
  },
  "interlock-device": (draft, step) => wireAbove(draft, elementOf(draft.overflowDevices ?? [], step.on), step.what!),
  "watch-drain": (draft, step) => {
    const id = `${step.on}-level`;
    const tripElevation = level(draft, step);
    let device = draft.overflowDevices?.find((each) => each.id === id);
    if (device === undefined) {
      device = { id, at: step.on, type: "float-switch", seat: "main", tripElevation };
      draft.overflowDevices = [...(draft.overflowDevices ?? []), device];
    } else device.tripElevation = Math.min(Number(device.tripElevation), tripElevation);
    wireAbove(draft, device, step.what!);
  },
  "interlock-pump": (draft, step) => {
    const node = elementOf(draft.nodes, step.on);
    if (node.kind === "pump") node.interlocked = true;
    else node.internalPump = { ...(node.internalPump as object), switch: true };
  },
  "add-check-valve": (draft, step) => {
    const node = elementOf(draft.nodes, step.on);
    if (node.kind === "pump") node.checkValve = true;
    else node.internalPump = { ...(node.internalPump as object), checkValve: true };
  },
  "replace-pump": (draft, step) => {
    const node = elementOf(draft.nodes, step.on);
    if (node.kind === "pump") node.capacity = flow(draft, step);
    else node.internalPump = { ...(node.internalPump as object), capacity: flow(draft, step) };
  },
  "replace-pan": (draft, step) => void panOf(draft, step),
  "lead-apart": (draft, step) => {
    const pipe = elementOf(draft.pipes, step.on);
    if (step.what === "from a port above the primary one") {
      const coil = elementOf(draft.nodes, String(pipe.from));
      coil.pan = { ...(coil.pan as object), secondary: { height: draft.units === "us" ? 1 : 20, is: "piped" } };
      pipe.fromInvert = Number(coil.elevation) + (draft.units === "us" ? 1 / 12 : 0.02);
      return;
    }
    const { elevation } = elementOf(draft.nodes, String(pipe.to));
    const id = `${pipe.id}-own-end`;
    draft.nodes.push({ id, kind: "outlet", elevation, discharge: "conspicuous-point", connection: "air-gap" });
    pipe.to = id;
  },
  "open-vent": (draft, step) => {
    for (const node of draft.nodes) {
      const stub = node.vent as Record<string, unknown> | undefined;
      if (`${node.id}/vent` === step.on && stub) stub.capped = false;
      if (node.id === step.on) node.capped = false;
    }
  },
};

const elementOf = (elements: readonly Element[], id: string): Element => {
  const element = elements.find((candidate) => candidate.id === id);
  if (element === undefined) throw new Error(`no element ${id}`);
  return element;
};

/**
 * A document as it is once somebody has done what a finding proposes; null where a step leaves a choice to the designer
 * (where to lead a drain, how to hang a whole run) or is no change of the document that is written down here.
 */
export const withRemedy = (document: unknown, steps: readonly Step[]): Record<string, unknown> | null => {
  if (steps.length === 0 || !steps.every((step) => ACTIONS[step.action])) return null;
  const draft = structuredClone(document) as unknown as Draft & Record<string, unknown>;
  try {
    for (const step of steps) ACTIONS[step.action]?.(draft, step);
  } catch (error) {
    if (error instanceof Undecided) return null;
    throw error;
  }
  stretch(draft);
  return draft;
};
