import { exact, type Interval, within } from "../../quantity/interval.js";
import type { QuantityKind } from "../../quantity/speaker.js";
import { isAuxiliary } from "../auxiliary-pan.js";
import { evidenceOf, type JudgedFigure, judgeFigure } from "../judge-figure.js";
import { coilOfDevice, familyOf } from "../overflow-devices.js";
import { type Case, defineRule, type Outcome, PASS, type Settle } from "../rule.js";
import { type MeasuredLevel, nodeLevel, reMeasure } from "../settle.js";
import { settleOpening } from "../spill-opening.js";

const NOT_JUDGED = 255;

/** A trip level against the level at which water spills. */
interface Against {
  readonly spill: "rim" | "second port" | "auxiliary pan" | "opening";
  /** heights over the pan's outlet or the auxiliary pan's floor; levels of the datum for an opening */
  readonly kind: QuantityKind;
  readonly trip: Interval;
  /** NaN: not known */
  readonly limit: number;
  readonly missing: readonly Settle[];
  readonly levels: readonly MeasuredLevel[];
  /** node whose opening spills, -1 */
  readonly at: number;
}

/** The trip over another level. A height over its own node has no tolerance against that node's level. */
const tripOver = (c: Case, device: number, base: number, of: MeasuredLevel): Pick<Against, "trip" | "levels"> => {
  const { net } = c;
  const { at, pointer, tripLevel, tripStatedAs } = net.model.devices[device];
  const node = net.nodeRank[at];
  const own = tripStatedAs === "tripElevation" ? { node, pointer: `${pointer}/tripElevation` } : nodeLevel(net, node);
  const height = tripLevel! - base;
  if (own.pointer === of.pointer) return { trip: exact(height), levels: [] };
  return { trip: within(height, net.tolerance[node] + net.tolerance[of.node]), levels: [own, of] };
};

/** In the pan or in the coil's own second line: the rim, or an open second port where that is lower. */
const overPan = (c: Case, device: number, coil: number): Against => {
  const { net } = c;
  const at = net.coils[coil];
  const { pointer, coil: fanCoil } = net.nodes[at];
  const { rimHeight, secondary } = fanCoil!.pan;
  const over = { kind: "dimension", at, ...tripOver(c, device, net.z[at], nodeLevel(net, at)) } as const;
  const rim = rimHeight ?? Number.NaN;
  const port = secondary?.height ?? Number.NaN;
  const is = secondary?.is ?? null;
  const missing: Settle[] = [];
  if (is !== "open" && judgeFigure(over.trip, port, "at-most").outcome === "pass" && Number.isNaN(rim))
    // The port is a hole in the pan's wall: what trips no higher than it trips below the rim.
    return { ...over, spill: "second port", limit: port, missing };
  const isOverRim = judgeFigure(over.trip, rim, "at-most").outcome === "fail";
  const isOverPort = judgeFigure(over.trip, port, "at-most").outcome !== "pass";
  if (is === "open" && !Number.isNaN(port)) return { ...over, spill: "second port", limit: port, missing };
  if (!isOverRim && is === "open") missing.push({ pointer: `${pointer}/pan/secondary/height` });
  if (!isOverRim && is === null && !Number.isNaN(port) && isOverPort)
    missing.push({ pointer: `${pointer}/pan/secondary/is` });
  if (Number.isNaN(rim) && is !== "open") missing.push({ pointer: `${pointer}/pan/rimHeight` });
  return { ...over, spill: "rim", limit: missing.length > 0 ? Number.NaN : rim, missing };
};

/** In the auxiliary pan: that pan's own edge. */
const overAuxiliaryPan = (c: Case, device: number, coil: number): Against => {
  const at = c.net.coils[coil];
  const { pointer, coil: fanCoil } = c.net.nodes[at];
  const { floor, depth } = fanCoil!.auxiliaryPan ?? { floor: null, depth: null };
  const missing: Settle[] = [];
  if (floor === null) missing.push({ pointer: `${pointer}/auxiliaryPan/floor` });
  if (depth === null) missing.push({ pointer: `${pointer}/auxiliaryPan/depth` });
  return {
    spill: "auxiliary pan",
    kind: "dimension",
    at,
    ...tripOver(c, device, floor ?? Number.NaN, { node: at, pointer: `${pointer}/auxiliaryPan/floor` }),
    limit: depth ?? Number.NaN,
    missing,
  };
};

/** In a drain: the first opening above that spills when the drain blocks just below the device. */
const overOpenings = (c: Case, device: number, pipe: number): Against => {
  const { net, facts } = c;
  const { openings, unknownSpills } = facts.backups.ofPipe(pipe)!;
  // Water that is told of, or does no harm, does not spill.
  const spilling = openings.filter(({ told, harmless }) => !told && !harmless);
  const first = spilling.reduce((a, b) => (b.level < a.level ? b : a), spilling[0] ?? null);
  return {
    spill: "opening",
    kind: "elevation",
    at: first?.node ?? -1,
    ...tripOver(c, device, 0, nodeLevel(net, first?.node ?? net.from[pipe])),
    limit: first?.level ?? (openings.length > 0 ? Number.POSITIVE_INFINITY : Number.NaN),
    missing: openings.length > 0 ? [] : unknownSpills.map((node) => settleOpening(c, node)),
  };
};

/** The drain whose blockage a device in a drain would see first; -1 none. */
const drainBelow = ({ net, facts }: Case, device: number): number => {
  const pipe = facts.topology.next[net.nodeRank[net.model.devices[device].at]];
  return pipe >= 0 && facts.backups.outcome[pipe] !== NOT_JUDGED ? pipe : -1;
};

const isInPan = ({ net }: Case, device: number): boolean => net.coilAt[net.nodeRank[net.model.devices[device].at]] >= 0;

const against = (c: Case, device: number): Against | null => {
  const coil = coilOfDevice(c)[device];
  if (coil >= 0 && isAuxiliary(c, device)) return overAuxiliaryPan(c, device, coil);
  if (coil >= 0 && isInPan(c, device)) return overPan(c, device, coil);
  const pipe = drainBelow(c, device);
  if (pipe >= 0) return overOpenings(c, device, pipe);
  return coil >= 0 ? overPan(c, device, coil) : null;
};

const abovePan = (figure: string) => `${figure} above the pan's outlet`;

const SAY: Readonly<
  Record<
    Against["spill"],
    { readonly level: (figure: string) => string; readonly over: string; readonly place: string }
  >
> = {
  rim: { level: abovePan, over: "over", place: "the pan's rim" },
  "second port": { level: abovePan, over: "from", place: "the pan's second port" },
  "auxiliary pan": {
    level: (figure) => `${figure} above the floor of its auxiliary pan`,
    over: "over",
    place: "that pan's edge",
  },
  opening: { level: (figure) => `at ${figure}`, over: "at", place: "" },
};

interface Data {
  readonly outcome: Outcome;
  readonly device: number;
  readonly node: number;
  readonly judged: JudgedFigure;
  readonly spill: Against["spill"];
  readonly kind: QuantityKind;
  readonly at: number;
}

export const overflowTripAboveSpill = defineRule<Data>({
  id: "overflow.trip-above-spill",
  title: "Switch that trips after the spill",
  question: "Does a device trip only after water is spilling?",
  why: "A switch that sits higher than the rim, or than another opening that the water reaches first, trips when the ceiling is already wet, or never.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: [
    "overflowDevices.tripHeight",
    "overflowDevices.tripElevation",
    "overflowDevices.seat",
    "nodes.pan.rimHeight",
    "nodes.pan.secondary",
    "nodes.auxiliaryPan",
  ],
  limits: [],
  notApplicable: "No device has a level, or none watches a pan or a drain below coils.",
  remedy: "Set the switch to trip below the level at which water first spills.",
  sources: ["imc-307.2.3", "upc-814.2", "derived"],
  anchor: "device",
  *subjects(c) {
    for (const [d, { tripLevel }] of c.net.model.devices.entries())
      if (tripLevel !== null && against(c, d) !== null) yield d;
  },
  judge(c, device) {
    const { net } = c;
    const { spill, kind, trip, limit, missing, levels, at } = against(c, device)!;
    const judged = judgeFigure(trip, limit, "at-most");
    const { outcome } = judged;
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const { pointer, tripStatedAs, at: place } = net.model.devices[device];
    const node = net.nodeRank[place];
    const nobody: Settle = {
      pointer,
      decision: "At which level water first comes out when the drain below this device blocks.",
    };
    const open = missing.length > 0 ? missing : [nobody];
    return {
      outcome,
      ...(outcome !== "undetermined"
        ? {}
        : judged.family === "tolerance"
          ? { family: "tolerance" as const, settledBy: reMeasure(net, levels, judged.within) }
          : { family: familyOf(open), settledBy: open }),
      data: { outcome, device, node, judged, spill, kind, at },
      anchor: device,
      subject: {
        fanCoils: [...new Set([node, at])].filter((each) => each >= 0 && net.coilAt[each] >= 0),
        nodes: [...new Set([node, at])].filter((each) => each >= 0 && net.coilAt[each] < 0),
      },
      evidence: !Number.isFinite(limit)
        ? []
        : [
            evidenceOf("trip", kind, judged, { name: spill, source: "document" }, [
              `${pointer}/${tripStatedAs}`,
              ...(at < 0 ? [] : [net.nodes[at].pointer]),
            ]),
          ],
      remedy:
        outcome === "fail"
          ? [
              {
                action: "set-device",
                on: { device },
                // what is left of the limit when every tolerance is against it
                amount: limit - (trip.high - trip.best),
                kind,
                ...(spill === "opening"
                  ? {}
                  : { what: spill === "auxiliary pan" ? "the auxiliary pan's floor" : "the pan's outlet" }),
              },
            ]
          : [],
    };
  },
  say: ({ outcome, device, node, judged, spill, kind, at }, speak) => {
    const name = `${speak.device(device)} at ${speak.node(node)}`;
    if (Number.isNaN(judged.limit))
      return `Whether ${name} trips before water spills cannot be told: the level of the spill is not known.`;
    if (judged.limit === Number.POSITIVE_INFINITY)
      return `When the drain below ${name} blocks, no water spills that is not told of or does harm.`;
    const { figure, limit } = speak.against(judged.best, judged.limit, kind);
    const trips = `${name} trips ${SAY[spill].level(figure)}`;
    const place = spill === "opening" ? speak.node(at) : SAY[spill].place;
    if (outcome === "fail") return `${trips}; water spills ${SAY[spill].over} ${place} before, at ${limit}.`;
    return outcome === "pass"
      ? `${trips}, not above ${limit}, where water would spill ${SAY[spill].over} ${place}.`
      : `${trips}, and water spills ${SAY[spill].over} ${place} at ${limit}: too close for the tolerance of the levels.`;
  },
});
