import type { LockedAir } from "../../analysis/facts.js";
import type { Compiled } from "../../graph/compiled.js";
import { exact } from "../../quantity/interval.js";
import { type Reading, readings, settleClosures } from "../air-readings.js";
import { evidenceOf, type JudgedFigure, judgeFigure, plainEvidence } from "../judge-figure.js";
import { openPocket, type Pocket, pipesAround } from "../locked-air.js";
import { settlePanStatic } from "../pan-pressure.js";
import { type Case, defineRule, type Evidence, type Family, type Outcome, PASS, type Settle } from "../rule.js";
import { type MeasuredLevel, nodeLevel, reMeasure } from "../settle.js";

/** What bounds the water in the pan: its outlet (it drains dry), the switch that stops the coil, or what it spills over. */
type Bound = "outlet" | "switch" | "spill";

/** One reading of the doubtful closures, judged. */
interface Verdict {
  readonly reading: Reading;
  readonly locked: LockedAir;
  readonly outcome: Outcome;
  readonly family: Family | null;
  readonly judged: JudgedFigure;
  readonly bound: Bound;
}

const verdictOf = (c: Case, coil: number, reading: Reading): Verdict | null => {
  const locked = c.facts.lockedAir[reading].ofCoil.get(coil);
  if (locked === undefined) return null;
  const { needed, toOutlet, toTrip, toSpill, levelTolerance } = locked;
  const figure = { low: needed.low - levelTolerance, best: needed.best, high: needed.high + levelTolerance };
  const dry = judgeFigure(figure, toOutlet, "at-most");
  if (dry.outcome === "pass" || dry.family === "missing")
    return { reading, locked, outcome: dry.outcome, family: dry.family, judged: dry, bound: "outlet" };
  const trips = toTrip <= toSpill || Number.isNaN(toSpill);
  const judged = judgeFigure(figure, trips ? toTrip : toSpill, "at-most");
  const isOpen = Number.isNaN(toSpill) || c.facts.circuits.stoppingTripUnknown[coil] === 1;
  const { outcome, family } =
    judged.outcome === "pass" && isOpen ? ({ outcome: "undetermined", family: "missing" } as const) : judged;
  return { reading, locked, outcome, family, judged, bound: trips && !Number.isNaN(toTrip) ? "switch" : "spill" };
};

const rank: Readonly<Record<Outcome, number>> = { fail: 2, undetermined: 1, pass: 0 };

/** The worst reading in which air is locked; whether all readings agree with it, and whether it is locked in all. */
const judgeReadings = (
  c: Case,
  coil: number,
): { readonly worst: Verdict; readonly isCertain: boolean; readonly isLocked: boolean } => {
  const all = readings(c).map((reading) => verdictOf(c, coil, reading));
  const verdicts = all.filter((verdict) => verdict !== null);
  verdicts.sort((a, b) => rank[b.outcome] - rank[a.outcome]);
  const [worst] = verdicts;
  const isCertain =
    worst.outcome !== "fail" ? worst.outcome === "pass" : all.every((verdict) => verdict?.outcome === "fail");
  return { worst, isCertain, isLocked: verdicts.length === all.length };
};

interface Data {
  readonly outcome: Outcome;
  readonly family: Family | null;
  readonly coil: number;
  /** whatever the doubtful closures */
  readonly isLocked: boolean;
  readonly bound: Bound;
  readonly needed: number;
  readonly compressible: number;
  readonly limit: number;
  readonly toOutlet: number;
}

export const airLockHead = defineRule<Data>({
  id: "air.lock-head",
  title: "Head over locked air",
  question: "Can the coil push the locked air out before its switch trips or its pan spills?",
  why: "Water that cannot push the air on stands in the pan until the switch stops the unit again and again, or until it runs over the rim. The air is taken as rigid and the order of filling as the worst, since no drawing tells it.",
  severity: "critical",
  kind: "condition",
  stage: "design",
  needs: [
    "nodes.elevation",
    "nodes.sealDepth",
    "nodes.opensAt",
    "fan-coils.panStatic",
    "fan-coils.pan.rimHeight",
    "overflowDevices.tripHeight",
    "pipes.insideDiameter",
  ],
  limits: [],
  notApplicable: "No air is locked on a coil's way to its first outlet or pump.",
  remedy: "Open or add a vent between the two seals, or take the second seal out.",
  sources: ["air-in-pipes", "hydrostatics"],
  anchor: "coil",
  *subjects(c) {
    const { best, closed, open } = c.facts.lockedAir;
    const coils = new Set([...best.ofCoil.keys(), ...closed.ofCoil.keys(), ...open.ofCoil.keys()]);
    yield* [...coils].sort((a, b) => a - b);
  },
  judge(c, coil) {
    const { net, facts } = c;
    const { worst, isCertain, isLocked } = judgeReadings(c, coil);
    const { reading, locked, judged, bound } = worst;
    const outcome: Outcome = isCertain ? worst.outcome : "undetermined";
    if (outcome === "pass" && !c.wantPasses) return PASS;
    const node = net.coils[coil];
    const pockets = locked.spaces.map((space): Pocket => ({ reading, space, coils: [coil] }));
    const settled = outcome === "undetermined" ? settle(c, coil, worst, isLocked, pockets) : null;
    const { needed, neededCompressible, toOutlet } = locked;
    return {
      outcome,
      ...(settled ?? {}),
      data: {
        outcome,
        family: settled?.family ?? null,
        coil: node,
        isLocked,
        bound,
        needed: needed.best,
        compressible: neededCompressible,
        limit: judged.limit,
        toOutlet,
      },
      anchor: coil,
      subject: { fanCoils: [node] },
      evidence: evidenceFor(c, coil, worst),
      remedy: outcome === "fail" ? pockets.map((pocket) => openPocket(c, pocket)) : undefined,
      links: {
        seal: locked.seals.filter((seal) => seal >= 0),
        space: facts.lockedAir.best === facts.lockedAir[reading] ? locked.spaces : [],
      },
    };
  },
  say: ({ outcome, family, coil, isLocked, bound, needed, compressible, limit, toOutlet }, speak) => {
    const locked = `Air ${isLocked ? "is" : "may be"} locked on the way out of ${speak.node(coil)}`;
    if (Number.isNaN(needed) || Number.isNaN(limit))
      return `${locked}. Whether its water can push it on cannot be told: ${
        Number.isNaN(needed)
          ? "the pressure at its pan, or how deep a seal is, is not known."
          : "the level at which its switch trips or its pan spills is not known."
      }`;
    const heights = speak.against(needed, limit, "dimension");
    const milder =
      Number.isNaN(compressible) || needed - compressible < 0.0005
        ? ""
        : ` (${speak.figure(compressible, "dimension", "up")} where the air yields)`;
    const head = `${locked}: at worst its water must stand ${heights.figure} above the first weir to push it on${milder}`;
    const edge =
      bound === "outlet"
        ? "the pan's outlet lies"
        : bound === "switch"
          ? "the switch that stops the unit trips"
          : "the pan spills";
    if (outcome === "pass")
      return bound === "outlet"
        ? `${head}, and ${edge} ${heights.limit} above it.`
        : `${head}, ${speak.figure(needed - toOutlet, "dimension")} of it in the pan, before ${edge} at ${heights.limit}.`;
    if (outcome === "fail")
      return bound === "switch"
        ? `${head}, but ${edge} at ${heights.limit}: the unit stops before its water leaves.`
        : `${head}, but ${edge} at ${heights.limit}.`;
    if (family === "missing")
      return `${head}. Whether the pan spills or its switch trips before that cannot be told from what is known.`;
    return isLocked
      ? `${head}, against ${heights.limit} where ${edge}: too close for the tolerance of the levels.`
      : `${head}, against ${heights.limit} where ${edge}. Whether water closes the bore there cannot be told.`;
  },
});

const LIMITS = { outlet: "toOutlet", switch: "toTrip", spill: "toSpill" } as const;

function evidenceFor(c: Case, coil: number, { locked, judged, bound }: Verdict): Evidence[] {
  const { pointer, coil: fanCoil } = c.net.nodes[c.net.coils[coil]];
  if (Number.isNaN(judged.best)) return [];
  const from = [
    ...(fanCoil!.panStatic === null ? [] : [`${pointer}/panStatic`]),
    ...locked.seals.flatMap((seal) => (seal < 0 ? [] : [sealPointer(c, seal)])),
  ];
  const { neededCompressible } = locked;
  return [
    Number.isNaN(judged.limit)
      ? plainEvidence("needed", "dimension", judged, from)
      : evidenceOf("needed", "dimension", judged, { name: LIMITS[bound], source: "document" }, from),
    ...(Number.isNaN(neededCompressible)
      ? []
      : [plainEvidence("neededCompressible", "dimension", exact(neededCompressible), from)]),
  ];
}

/** Where the document states what air must push out: a trap's depth or opening pressure, or the level of a sag. */
function sealPointer({ net, facts }: Case, seal: number): string {
  const { trap, pool } = facts.seals.list[seal];
  if (trap < 0) return nodeLevel(net, facts.water.pools[pool].node).pointer;
  return `${net.nodes[trap].pointer}/${net.nodes[trap].trap!.sealType === "water" ? "sealDepth" : "opensAt"}`;
}

function settle(
  c: Case,
  coil: number,
  { outcome, family, locked, judged }: Verdict,
  isLocked: boolean,
  pockets: readonly Pocket[],
): { readonly family: Family; readonly settledBy: readonly Settle[] } {
  const { net, facts } = c;
  const missing = outcome === "undetermined" && family === "missing" ? missingFigures(c, coil, locked) : [];
  if (missing.length > 0) return { family: "missing", settledBy: missing };
  if (isLocked && outcome === "undetermined" && family === "tolerance") {
    const [first] = facts.seals.onPath(coil);
    // How deep a trap is does not hang on its level, but how high the first weir lies does.
    const deciding = [first, ...locked.seals.filter((seal) => seal >= 0 && facts.seals.list[seal].pool >= 0)];
    const levels = [
      nodeLevel(net, net.coils[coil]),
      ...deciding.flatMap((seal) => (seal === undefined ? [] : sealLevels(c, seal))),
    ];
    const settledBy = reMeasure(net, levels, judged.within);
    if (settledBy.length > 0) return { family: "tolerance", settledBy };
  }
  return settleClosures(c, new Set(pockets.flatMap((pocket) => [...pipesAround(c, pocket)])));
}

/** Levels that decide how deep a seal is, or where its weir lies. */
function sealLevels({ net, facts }: Case, seal: number): MeasuredLevel[] {
  const { trap, pool } = facts.seals.list[seal];
  if (trap >= 0) return [nodeLevel(net, trap)];
  const { node, weir } = facts.water.pools[pool];
  return [nodeLevel(net, node), ...(weir < 0 ? [] : [nodeLevel(net, weir)])];
}

function missingFigures(c: Case, coil: number, locked: LockedAir): Settle[] {
  const { net, facts } = c;
  const { pointer, coil: fanCoil } = net.nodes[net.coils[coil]];
  const list: Settle[] = [];
  if (fanCoil!.panStatic === null) list.push(settlePanStatic(c, coil));
  for (const seal of locked.seals)
    if (seal >= 0 && isUnknown(net, facts.seals.list[seal].trap)) list.push({ pointer: sealPointer(c, seal) });
  if (list.length > 0) return list;
  if (Number.isNaN(locked.toSpill)) {
    const { rimHeight, secondary } = fanCoil!.pan;
    const isPortUnknown = secondary?.is === "open" && secondary.height === null;
    list.push({ pointer: `${pointer}/pan/${isPortUnknown ? "secondary/height" : "rimHeight"}` });
    if (isPortUnknown && rimHeight === null) list.push({ pointer: `${pointer}/pan/rimHeight` });
  }
  if (facts.circuits.stoppingTripUnknown[coil] === 1)
    for (const [d, { at, tripLevel, pointer: device }] of net.model.devices.entries())
      if (net.nodeRank[at] === net.coils[coil] && tripLevel === null && facts.circuits.devices[d].stops.includes(coil))
        list.push({ pointer: `${device}/tripHeight` });
  return list;
}

const isUnknown = (net: Compiled, trap: number): boolean => {
  if (trap < 0) return false;
  const { sealType, sealDepth, opensAt } = net.nodes[trap].trap!;
  return (sealType === "water" ? sealDepth : opensAt) === null;
};
