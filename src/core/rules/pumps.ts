import type { Pump } from "../network/model.js";
import { indexed } from "./indexed.js";
import type { Case, RemedyStep } from "./rule.js";

/**
 * Pumps that lift condensate, ascending by node: condensate pumps below coils, and coils with a pump of their own. Each is
 * the end of one gravity system and the start of another.
 */
export const pumps = indexed(({ net, facts }): readonly number[] => {
  const found: number[] = [];
  for (let node = 0; node < net.nodeCount; node++) {
    const { pump, coil } = net.nodes[node];
    const out = facts.topology.next[node];
    if (coil?.internalPump || (pump !== null && out >= 0 && facts.topology.coilsAbove[out] > 0)) found.push(node);
  }
  return found;
});

export const NO_PUMP = "No pump lifts condensate.";

/** m³/s that arrive at peak, NaN unknown. */
export const arrivingAt = ({ net, facts }: Case, node: number): number => {
  const coil = net.coilAt[node];
  if (coil >= 0) return facts.loads.rate[coil];
  const out = facts.topology.next[node];
  return out < 0 ? Number.NaN : facts.loads.designFlow[out];
};

/** How many coils' water it lifts. */
export const coilsLifted = ({ net, facts }: Case, node: number): number =>
  net.coilAt[node] >= 0 ? 1 : facts.topology.coilsAbove[facts.topology.next[node]];

/** Does a full sump stop what drains into it, by the pump's own contact? null: nobody says. */
export const isInterlocked = ({ net }: Case, node: number): boolean | null => {
  const { pump, coil } = net.nodes[node];
  return pump === null ? coil!.internalPump!.switch : pump.interlocked;
};

export const interlockPointer = ({ net }: Case, node: number): string => {
  const { pump, pointer } = net.nodes[node];
  return pump === null ? `${pointer}/internalPump/switch` : `${pointer}/interlocked`;
};

/** Where its capacity and its check valve stand. */
export const pumpPointer = ({ net }: Case, node: number): string => {
  const { pump, pointer } = net.nodes[node];
  return pump === null ? `${pointer}/internalPump` : pointer;
};

export const pumpFigures = ({ net }: Case, node: number): Pick<Pump, "capacity" | "checkValve"> => {
  const { pump, coil } = net.nodes[node];
  return pump ?? coil!.internalPump!;
};

export const interlock = (node: number): RemedyStep => ({ action: "interlock-pump", on: { node } });
