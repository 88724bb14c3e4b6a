import type { PlainCircuit, PlainDevice, PlainDocument, PlainNode, PlainPipe } from "../reference/plain-network.js";
import { Dice } from "./random-network.js";

/** The drain that is blocked, below everything. */
export const BLOCKED = "BLOCKED";

/**
 * A riser or main under one to six coils, each with or without suction, trap and vent, its pan and its switches: every figure
 * known, all of it falling, one drain at its foot to block.
 */
export const randomRiser = (seed: number): PlainDocument => {
  const dice = new Dice(seed);
  const nodes: PlainNode[] = [];
  const pipes: PlainPipe[] = [];
  const overflowDevices: PlainDevice[] = [];
  const circuits: PlainCircuit[] = [];
  const drain = (id: string, from: PlainNode, to: PlainNode, run: number, more: Partial<PlainPipe> = {}): void => {
    const step = to.kind === "trap" ? (to.inletDrop ?? 0) / 1000 : 0;
    const fall = from.elevation - (more.toInvert ?? to.elevation + step);
    const length = run === 0 ? fall : Math.hypot(run, fall);
    pipes.push({
      id,
      from: from.id,
      to: to.id,
      length,
      insideDiameter: dice.pick([16, 20.4, 26.1, 35.2, 52]),
      ...more,
    });
  };
  const outlet: PlainNode = { id: "OUT", kind: "outlet", elevation: 0, connection: "air-gap" };
  const foot: PlainNode = { id: "FOOT", kind: "bend", elevation: 1 };
  nodes.push(outlet, foot);
  drain(BLOCKED, foot, outlet, 0);
  const mains = [foot];
  for (let k = dice.whole(0, 3); k > 0; k--) {
    const below = dice.pick(mains);
    const isRiser = dice.chance(0.4);
    const run = isRiser ? 0 : dice.metres(0.5, 5);
    const node: PlainNode = {
      id: `M${k}`,
      kind: "junction",
      elevation: below.elevation + (isRiser ? dice.metres(0.2, 0.8) : run * dice.metres(0.01, 0.03)),
    };
    nodes.push(node);
    drain(`PM${k}`, node, below, run);
    mains.push(node);
  }
  for (let k = dice.whole(1, 6); k > 0; k--) {
    const main = dice.pick(mains);
    const fan = dice.pick(["suction", "suction", "none", "pressure"]);
    const panStatic = fan === "suction" ? -dice.whole(20, 300) : fan === "pressure" ? dice.whole(10, 200) : 0;
    const hasTrap = fan !== "none" || dice.chance(0.3);
    const base = main.elevation + dice.metres(0.02, 0.15);
    const drop = hasTrap ? dice.metres(0.01, 0.07) : 0;
    const tee: PlainNode = { id: `T${k}`, kind: "point", elevation: base };
    const trap: PlainNode = {
      id: `S${k}`,
      kind: "trap",
      elevation: base + dice.metres(0.002, 0.02),
      sealDepth: 60,
      inletDrop: Math.round(drop * 500),
      primed: true,
    };
    const coil: PlainNode = {
      id: `C${k}`,
      kind: "fan-coil",
      elevation: (hasTrap ? trap.elevation + drop : base + dice.metres(0.005, 0.03)) + 0.001,
      panStatic,
      condensateRate: dice.whole(5, 40) / 10,
      pan: { rimHeight: dice.whole(25, 60), area: dice.whole(5, 40) / 100, outletSize: 20 },
    };
    nodes.push(coil, tee);
    if (dice.chance(0.6)) {
      const top = base + dice.metres(0.05, 0.3);
      tee.vent = { top, size: 20, ...(dice.chance(0.2) ? { capped: true } : {}) };
    }
    drain(`PB${k}`, tee, main, dice.metres(0.5, 3), dice.chance(0.3) ? { toInvert: main.elevation + 0.01 } : {});
    if (hasTrap) {
      nodes.push(trap);
      drain(`PS${k}`, coil, trap, dice.metres(0.1, 0.5));
      drain(`PA${k}`, trap, tee, dice.metres(0.1, 0.4));
    } else drain(`PS${k}`, coil, tee, dice.metres(0.1, 0.5));
    if (dice.chance(0.7)) {
      overflowDevices.push({
        ...{ id: `D${k}`, at: coil.id, type: "float-switch", seat: "primary-pan", state: "working" },
        tripHeight: dice.whole(5, coil.pan!.rimHeight! - 5),
        circuit: `K${k}`,
      });
      const breaks = dice.pick(["R", "Y", "valve-and-fan", "supply", "alarm-only"]);
      circuits.push({ id: `K${k}`, arrangement: "series", breaks, stops: [coil.id] });
    }
  }
  if (dice.chance(0.4)) {
    const at = dice.pick(mains);
    overflowDevices.push({
      ...{ id: "DM", at: at.id, type: "float-switch", seat: "main", state: "working" },
      tripHeight: dice.whole(10, 120),
      circuit: "KM",
    });
    circuits.push({ id: "KM", arrangement: "series", breaks: dice.pick(["R", "Y"]), stops: "all-upstream" });
  }
  return {
    format: 1,
    id: "riser",
    units: "si",
    profile: "imc",
    stage: "design",
    nodes: nodes.map((node) => ({ ...node })),
    pipes: pipes.map((pipe) =>
      pipe.insideDiameter === undefined ? pipe : { ...pipe, material: "pvc-sch40", size: 25 },
    ),
    overflowDevices,
    circuits,
  };
};
